//! Several workers on an S3 server from outside the project (moto, by tests/store.py) and a PostgreSQL of their own.
use super::batch::{end, wait_for};
use super::fleet::{Database, kill_at_work};
use super::office::{Office, Told, assert_same, files, jfk};
use serde_json::{Value, json};
use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Write};
use std::path::Path;
use std::process::{Child, ChildStdin, ChildStdout, Command, Stdio};
use std::sync::Mutex;

const ROOT: &str = env!("CARGO_MANIFEST_DIR");

/// The server, and a client from outside the project.
struct Server {
    child: Child,
    port: u16,
    pipes: Mutex<(ChildStdin, BufReader<ChildStdout>)>,
}

impl Server {
    /// None where the server is not installed; `./check` installs it.
    #[expect(clippy::print_stderr, reason = "what is left out is told")]
    fn start() -> Option<Server> {
        let python = Path::new(ROOT).join(".venv/bin/python");
        let libraries = std::fs::read_dir(Path::new(ROOT).join(".venv/lib")).into_iter().flatten().flatten();
        let has = |name: &str, folder: &Path| folder.join("site-packages").join(name).exists();
        let has_all = |folder: &Path| ["moto", "flask", "flask_cors"].iter().all(|name| has(name, folder));
        if !libraries.map(|entry| entry.path()).any(|folder| has_all(&folder)) {
            assert!(std::env::var_os("HEARSHEET_CHECK").is_none(), "no moto in .venv, which ./check installs");
            eprintln!("left out: .venv/bin/python has no moto; ./check installs it (tests/requirements.txt)");
            return None;
        }
        let mut command = Command::new(&python);
        command.arg(Path::new(ROOT).join("tests/store.py")).stdin(Stdio::piped()).stdout(Stdio::piped());
        let mut child = command.spawn().unwrap();
        let (input, mut output) = (child.stdin.take().unwrap(), BufReader::new(child.stdout.take().unwrap()));
        let mut port = String::new();
        output.read_line(&mut port).unwrap();
        Some(Server { child, port: port.trim().parse().unwrap(), pipes: Mutex::new((input, output)) })
    }

    fn ask(&self, command: Value) -> Value {
        let (input, output) = &mut *self.pipes.lock().unwrap();
        writeln!(input, "{command}").unwrap();
        let mut answer = String::new();
        output.read_line(&mut answer).unwrap();
        serde_json::from_str(&answer).unwrap_or_else(|e| panic!("{command}: {e}"))
    }

    /// Copies a folder up, as any S3 tool does.
    fn up(&self, folder: &Path, prefix: &str) {
        self.ask(json!(["up", folder, prefix]));
    }

    fn down(&self, prefix: &str, folder: &Path) {
        self.ask(json!(["down", prefix, folder]));
    }

    fn put(&self, key: &str, text: &str) {
        self.ask(json!(["put", key, text]));
    }

    /// Readings of a key that go wrong, after some that go well.
    fn fault(&self, key: &str, what: Value, well: i64, wrong: i64) {
        self.ask(json!(["fault", key, what, well, wrong]));
    }

    /// Each key with a mark that changes whenever it is put.
    fn tags(&self, prefix: &str) -> BTreeMap<String, Value> {
        let tags = self.ask(json!(["tags", prefix]));
        tags.as_object().unwrap().iter().map(|(key, tag)| (key.clone(), tag.clone())).collect()
    }
}

impl Drop for Server {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// An office, its store and its database.
struct Site {
    office: Office,
    server: Server,
    database: Database,
}

const STORE: [&str; 3] = ["s3://office/recordings", "--out", "s3://office/visits"];

impl Site {
    fn of(office: Office) -> Option<Site> {
        let server = Server::start()?;
        server.up(&office.path("in"), "recordings");
        std::fs::create_dir(office.path("tmp")).unwrap();
        Some(Site { office, server, database: Database::start() })
    }

    fn command(&self, args: &[&str]) -> Command {
        let mut command = self.office.command(args);
        command.env("AWS_ENDPOINT_URL", format!("http://127.0.0.1:{}", self.server.port)).env("AWS_ALLOW_HTTP", "true");
        command.env("AWS_ACCESS_KEY_ID", "office").env("AWS_SECRET_ACCESS_KEY", "of invented keys");
        command.env("AWS_REGION", "us-east-1").env("TMPDIR", self.office.path("tmp"));
        command
    }

    fn shared(&self, args: &[&str]) -> Command {
        let address = self.database.address();
        self.command(&[args, &["--queue", &address, "--lease", "2", "--workers", "1", "--json"]].concat())
    }

    fn batch(&self) -> Told {
        Told::of(self.shared(&[&["batch"][..], &STORE].concat()).output().unwrap())
    }

    fn worker(&self, more: &[&str]) -> Command {
        let mut command = self.shared(&[&["worker", "--in"], &STORE[..], more].concat());
        command.stdout(Stdio::piped()).stderr(Stdio::null());
        command
    }

    /// What a command of `hearsheet` that is no batch told.
    fn run(&self, args: &[&str]) -> (Option<i32>, String) {
        let output = self.command(args).output().unwrap();
        (output.status.code(), String::from_utf8_lossy(&[output.stdout, output.stderr].concat()).into_owned())
    }

    fn visits_down(&self, name: &str) -> std::path::PathBuf {
        let folder = self.office.path(name);
        self.server.down("visits", &folder);
        folder
    }
}

/// The words that the tests of hearing use, at 16 kHz, in a form that takes much room.
fn large() -> Vec<u8> {
    let form = hound::WavSpec {
        channels: 2,
        sample_rate: 96_000,
        bits_per_sample: 32,
        sample_format: hound::SampleFormat::Int,
    };
    let mut sound = std::io::Cursor::new(Vec::new());
    let mut file = hound::WavWriter::new(&mut sound, form).unwrap();
    let words = hound::WavReader::new(std::io::Cursor::new(jfk())).unwrap().into_samples::<i16>();
    for sample in words {
        let sample = i32::from(sample.unwrap()) << 16;
        // Two channels, at six times the rate.
        (0..12).for_each(|_| file.write_sample(sample).unwrap());
    }
    file.finalize().unwrap();
    sound.into_inner()
}

#[test]
fn a_batch_and_workers_over_a_store_make_what_folders_make_though_one_is_killed() {
    let office = Office::with_visits(4);
    // Larger than what goes up in one piece, 8 MB; a second time under another name, which is no second note.
    let large = large();
    assert!(large.len() > 8 << 20);
    office.write("in/Noor Sample/visit 01/spoken.wav", &large);
    office.write("in/Noor Sample/visit 03/again.wav", &large);
    let Some(site) = Site::of(office) else { return };
    let alone = site.office.batch("alone", &[]);
    let victim = site.worker(&[]).spawn().unwrap();
    let at_the_queue = "select count(*) > 0 from pg_stat_activity where application_name = 'hearsheet'";
    wait_for("the worker", || site.database.ask(at_the_queue) == "t");
    let (told, other) = std::thread::scope(|scope| {
        let batch = scope.spawn(|| site.batch());
        kill_at_work(victim);
        let other = site.worker(&[]).stdout(Stdio::null()).spawn().unwrap();
        (batch.join().unwrap(), end(other))
    });
    assert_eq!(other, Some(0));
    assert_eq!((told.code, told.count("failed")), (alone.code, alone.count("failed")), "{}", told.complaints);
    assert_eq!((told.count("same"), alone.count("same")), (1, 1));
    // 12 typed notes and a recording; a result that is taken twice would count twice.
    let notes = "select count(*), min(results), max(results) from job where step = 'hear' and state = 'done'";
    assert_eq!(site.database.ask(notes), "13|1|1");
    assert_same(&site.office.path("alone"), &site.visits_down("down"));
    assert_eq!(site.database.ask("select count(*) from visit where there and drafted and facts > 0"), "4");
    // The killed one's too: the worker that started after it cleared it away.
    assert_eq!(std::fs::read_dir(site.office.path("tmp")).unwrap().count(), 0);
}

#[test]
fn a_worker_whose_job_went_to_another_puts_nothing() {
    let Some(site) = Site::of(Office::with_visits(1)) else { return };
    let visit = "visits/Ida Example/visit 00";
    // Whoever hears this note waits some seconds for it; then it is somebody else's.
    site.server.fault(&format!("{visit}/notes/note-1.txt"), json!("slow"), 0, 1);
    // As on a store that knows no conditions, so that the lease alone guards.
    let bare = |mut command: Command| {
        command.env("AWS_CONDITIONAL_PUT", "disabled");
        command
    };
    let other = bare(site.worker(&[])).stdout(Stdio::null()).spawn().unwrap();
    let (told, done) = std::thread::scope(|scope| {
        let batch = scope.spawn(|| Told::of(bare(site.shared(&[&["batch"][..], &STORE].concat())).output().unwrap()));
        let job = "from job where note = 'note-1.txt'";
        let asks = |question: &str| site.database.ask(&format!("select {question} {job}"));
        wait_for("the job", || {
            site.database.ask("select to_regclass('job') is not null") == "t" && asks("state") == "taken"
        });
        site.database.ask("update job set state = 'waiting', taken_by = null where note = 'note-1.txt'");
        wait_for("the other", || asks("state") == "done");
        let done = site.server.tags(visit);
        (batch.join().unwrap(), done)
    });
    assert_eq!((told.code, end(other)), (Some(0), Some(0)), "{}", told.complaints);
    let words = format!("{visit}/transcripts/note-1.txt.json");
    assert!(done.contains_key(&words), "{done:?}");
    assert_eq!(site.server.tags(visit)[&words], done[&words], "its time would be another");
    assert_eq!(site.database.ask("select max(results) from job"), "1");
}

#[test]
fn an_object_that_cannot_be_had_costs_itself_alone_and_is_told_with_its_cure() {
    let office = Office::with_visits(5);
    let Some(site) = Site::of(office) else { return };
    let key = |visit: &str| format!("recordings/{visit}/note-1.txt");
    // Read once for its hash and gone when its visit is gathered; refused from the first; cut off each time; cut off once.
    site.server.fault(&key("Ida Example/visit 00"), json!(404), 1, -1);
    site.server.fault(&key("Noor Sample/visit 01"), json!(403), 0, -1);
    site.server.fault(&key("Ida Example/visit 02"), json!("cut"), 1, -1);
    site.server.fault(&key("Noor Sample/visit 03"), json!("cut"), 1, 1);
    for hostile in ["..//x.txt", "../../../../../away.txt", "Ida Example/visit 04//x.txt", "Ida Example/b\u{7}l.txt"] {
        site.server.put(&format!("recordings/{hostile}"), "There's no pan.");
    }
    site.server.put("recordings/Ida Example/visit 04/a\\..\\b.txt", "There's no pan.");
    let told = site.batch();
    assert_eq!((told.code, told.count("drafted"), told.count("failed")), (Some(1), 5, 8), "{:?}", told.events);
    // 15 notes, three of which cannot be had.
    assert_eq!(told.count("heard"), 12);
    let told_of = |file: &str, reason: &str, cure: &str| {
        let failure = told.failure(file);
        assert!(failure.0.contains(reason) && failure.1.contains(cure), "{failure:?}");
    };
    told_of("Ida Example/visit 00/note-1.txt", "is not in the store", "put it there");
    told_of("Noor Sample/visit 01/note-1.txt", "refuses", "AWS_ACCESS_KEY_ID");
    told_of("Ida Example/visit 02/note-1.txt", "does not give", "then run the same command again");
    told_of("..//x.txt", "is left alone", "another name");
    told_of("away.txt", "leads out of its folder", "another name");
    told_of("visit 04//x.txt", "is empty", "another name");
    told_of("l.txt", "control character", "another name");
    told_of("b.txt", "backslash", "another name");
    let written = files(site.office.folder.path());
    assert!(written.keys().all(|file| !file.ends_with("away.txt") && !file.ends_with("x.txt")), "{:?}", written.keys());
    // Asked for again when they can be had, they are in the drafts, and what was done is not done again.
    for visit in ["Ida Example/visit 00", "Noor Sample/visit 01", "Ida Example/visit 02"] {
        site.server.fault(&key(visit), json!(404), 0, 0);
    }
    let again = site.batch();
    assert_eq!((again.count("heard"), again.count("heard_before"), again.count("failed")), (3, 12, 5));
}

#[test]
fn what_a_queue_says_cannot_lead_a_worker_to_other_objects_or_out_of_its_scratch() {
    let Some(site) = Site::of(Office::with_visits(1)) else { return };
    site.server.put("secret.txt", "There's no pan.");
    assert_eq!(site.batch().code, Some(0));
    let of =
        |path: &str| format!(r#"{{"gather":{{"known":{{}},"files":[{{"path":"{path}","bytes":15,"sha256":"x"}}]}}}}"#);
    let note = r#"{"hear":{"name":"../../../../secret.txt","kind":"text","sha256":"x","bytes":1,"recorded":"2026-03-14T12:00:00Z"}}"#;
    let planted = [
        ("../away", "gather", of("x.txt")),
        ("/abs", "gather", of("x.txt")),
        ("Ida Example/visit 00/notes", "gather", of("Ida Example/visit 00/note-0.txt")),
        ("new", "gather", of("../secret.txt")),
        ("newer", "gather", of("/secret.txt")),
        ("Ida Example/visit 00", "hear", note.to_owned()),
    ];
    for (visit, step, work) in &planted {
        site.database.ask(&format!("insert into visit (folder) values ('{visit}') on conflict do nothing"));
        let insert = "insert into job (visit, step, note, rank, work)";
        site.database.ask(&format!("{insert} values ('{visit}', '{step}', 'planted', 1, '{work}')"));
    }
    let (before, local) = (site.server.tags(""), files(site.office.folder.path()));
    let told = Told::of(site.worker(&["--until-empty"]).output().unwrap());
    assert_eq!(told.all("failed").len(), planted.len(), "{:?}", told.events);
    // The visit that a note was planted in is drafted anew, as it was.
    let changed = |(key, tag): (&String, &Value)| (site.server.tags("")[key] != *tag).then(|| key.clone());
    let changed: Vec<String> = before.iter().filter_map(changed).collect();
    assert!(changed.iter().all(|key| key.ends_with("visit 00/record.json")), "{changed:?}");
    assert_eq!(before.len(), site.server.tags("").len());
    assert!(local.keys().eq(files(site.office.folder.path()).keys()), "something was written");
}

#[test]
fn a_visit_is_fetched_settled_and_returned_and_nobody_puts_his_over_anothers() {
    let Some(site) = Site::of(Office::new()) else { return };
    site.server.put("recordings/Ida Example/pan/note.txt", "There's no pan.");
    assert_eq!(site.batch().code, Some(0));
    let address = "s3://office/visits/Ida Example/pan";
    for name in ["mine", "yours"] {
        let (code, told) = site.run(&["visit", "fetch", address, name]);
        assert_eq!(code, Some(0), "{told}");
        let (code, told) = site.run(&["confirm", name, "--by", "Noor Sample", "--no", "drain-pan.presence"]);
        assert!(code < Some(2), "{told}");
    }
    // A note that comes meanwhile is drafted without what was decided here; both come together, and lose nothing.
    site.server.put("recordings/Ida Example/pan/later.txt", "The relief line is copper.");
    assert_eq!(site.batch().code, Some(0));
    let refused = |name: &str| {
        let (code, told) = site.run(&["visit", "return", name]);
        assert!(code == Some(2) && told.contains("somebody else changed") && told.contains("fetch it anew"), "{told}");
    };
    refused("mine");
    let (code, told) = site.run(&["visit", "fetch", address, "mine"]);
    assert_eq!(code, Some(0), "{told}");
    assert!(site.run(&["draft", "mine"]).0 < Some(2));
    let record = std::fs::read_to_string(site.office.path("mine/record.json")).unwrap();
    assert!(record.contains("later.txt") && record.contains("rejected"), "{record}");
    let (code, told) = site.run(&["visit", "return", "mine"]);
    assert_eq!(code, Some(0), "{told}");
    refused("yours");
    // All that a folder holds but what only this machine needs.
    let mut mine = files(&site.office.path("mine"));
    mine.retain(|name, _| !name.ends_with(".store.json"));
    assert_eq!(files(&site.visits_down("down").join("Ida Example/pan")), mine);
    let (code, told) = site.run(&["visit", "return", "mine"]);
    assert!(code == Some(0) && told.starts_with("0 files"), "{told}");
    let told = site.batch();
    assert_eq!((told.code, told.count("heard"), told.count("heard_before")), (Some(0), 0, 2), "{}", told.complaints);
    assert_eq!(site.database.ask("select sum(rejected) from term"), "1");
    let (code, told) = site.run(&["visit", "fetch", "s3://office/visits/Ida Example/other", "other"]);
    assert!(code == Some(2) && told.contains("is not in the store"), "{told}");
    let (code, told) = site.run(&["visit", "fetch", address, "tests-of-another"]);
    assert_eq!(code, Some(0), "{told}");
    let (code, told) = site.run(&["visit", "fetch", "s3://office/visits/Ida Example", "tests-of-another"]);
    assert!(code == Some(2) && told.contains("choose another folder"), "{told}");
}

#[test]
fn a_store_without_encryption_is_only_used_where_that_is_asked_for() {
    let office = Office::new();
    // Nothing is asked of a store or a database before all this is refused.
    let refused = |args: &[&str], with: &str, why: &str| {
        let mut command = office.command(args);
        command.env("AWS_ENDPOINT_URL", "http://127.0.0.1:9").env("AWS_ALLOW_HTTP", with);
        command.env("AWS_ACCESS_KEY_ID", "office").env("AWS_SECRET_ACCESS_KEY", "invented");
        let told = Told::of(command.output().unwrap());
        assert!(told.code == Some(2) && told.complaints.contains(why), "{}", told.complaints);
    };
    let queue = ["--queue", "postgres:///x?host=/nowhere&user=office"];
    let of = |folders: &[&'static str]| [&["batch"][..], folders, &queue].concat();
    refused(&of(&STORE), "false", "set AWS_ALLOW_HTTP=true in a network of your own");
    refused(&of(&["s3://office/visits/x", "--out", "s3://office/visits"]), "true", "lie one in the other");
    refused(&of(&["in", "--out", "s3://office/visits"]), "true", "let both, or none");
    refused(&[&["batch"][..], &STORE].concat(), "true", "--queue postgres://");
}

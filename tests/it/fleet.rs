//! Several workers on one PostgreSQL, which each test starts for itself in a temporary folder.
use super::batch::{end, wait_for};
use super::office::{Office, Told, assert_same, files, jfk};
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};

/// A database of our own, reached through a socket in its folder; no port is opened.
pub struct Database {
    folder: tempfile::TempDir,
    bin: PathBuf,
}

impl Database {
    pub fn start() -> Database {
        let folder = tempfile::Builder::new().prefix("db").tempdir_in("/tmp").unwrap();
        let database = Database { folder, bin: programs() };
        if is_root() {
            // PostgreSQL refuses to run as root; its package brings a user for it.
            let given = Command::new("chown").arg("postgres").arg(database.folder.path()).status().unwrap();
            assert!(given.success(), "Debian's package postgresql makes the user postgres");
        }
        database.run("initdb", &["-D", &database.data(), "-A", "trust", "-U", "office", "--no-sync", "-E", "UTF8"]);
        database.control("start");
        database
    }

    fn data(&self) -> String {
        self.folder.path().join("data").display().to_string()
    }

    fn control(&self, what: &str) {
        let dir = self.folder.path().display();
        let options = format!("-k {dir} -c listen_addresses= -c fsync=off");
        let log = format!("{dir}/log");
        self.run("pg_ctl", &["-D", &self.data(), "-o", &options, "-l", &log, "-w", "-m", "immediate", what]);
    }

    /// A program of the database, as its own user where we are root.
    fn run(&self, program: &str, args: &[&str]) -> String {
        let program = self.bin.join(program);
        let mut command = if is_root() {
            let mut command = Command::new("runuser");
            command.args(["-u", "postgres", "--"]).arg(&program);
            command
        } else {
            Command::new(&program)
        };
        // A server that goes on holds on to what it was given to write into.
        let out = tempfile::NamedTempFile::new().unwrap();
        let status = command.args(args).current_dir(self.folder.path()).stdin(Stdio::null());
        let status = status.stdout(out.reopen().unwrap()).stderr(out.reopen().unwrap()).status().unwrap();
        let told = std::fs::read_to_string(out.path()).unwrap();
        assert!(status.success(), "{} {args:?}: {told}", program.display());
        told
    }

    pub fn address(&self) -> String {
        format!("postgres:///postgres?host={}&user=office", self.folder.path().display())
    }

    /// The answer to a question, one line a row.
    pub fn ask(&self, question: &str) -> String {
        let host = self.folder.path().display().to_string();
        self.run("psql", &["-h", &host, "-U", "office", "-d", "postgres", "-At", "-c", question]).trim().to_owned()
    }
}

impl Drop for Database {
    fn drop(&mut self) {
        self.control("stop");
    }
}

/// Where Debian's package keeps the server's programs; the newest there is.
fn programs() -> PathBuf {
    let versions = std::fs::read_dir("/usr/lib/postgresql").into_iter().flatten().flatten();
    let mut versions: Vec<PathBuf> = versions.map(|entry| entry.path().join("bin")).collect();
    versions.sort();
    versions.pop().expect("no PostgreSQL here; install Debian's package postgresql")
}

fn is_root() -> bool {
    String::from_utf8(Command::new("id").arg("-u").output().unwrap().stdout).unwrap().trim() == "0"
}

fn worker(office: &Office, database: &Database, more: &[&str]) -> Command {
    let address = database.address();
    let args =
        ["worker", "--queue", &address, "--in", "in", "--out", "out", "--workers", "1", "--lease", "2", "--json"];
    let mut command = office.command(&[&args, more].concat());
    command.stdout(Stdio::piped()).stderr(Stdio::null());
    command
}

fn share(office: &Office, database: &Database, out: &str, more: &[&str]) -> Told {
    office.batch(out, &[&["--queue", &database.address(), "--lease", "2", "--workers", "1"], more].concat())
}

/// Waits until a worker has begun a note, then ends it as a power cut would.
pub fn kill_at_work(mut child: Child) {
    let mut lines = BufReader::new(child.stdout.take().unwrap()).lines();
    let is_note = |line: &String| line.contains("\"begin\"") && !line.contains("\"note\":null");
    let begun = lines.by_ref().map_while(Result::ok).find(is_note);
    child.kill().unwrap();
    child.wait().unwrap();
    assert!(begun.is_some(), "the worker had nothing to do");
}

#[test]
fn four_workers_one_killed_and_the_database_restarted_do_every_note_exactly_once() {
    let office = Office::with_visits(10);
    let undisturbed = office.batch("alone", &[]);
    assert_eq!(undisturbed.count("heard"), 30);
    let database = Database::start();
    let victim = worker(&office, &database, &[]).spawn().unwrap();
    let others: Vec<Child> =
        (0..3).map(|_| worker(&office, &database, &[]).stdout(Stdio::null()).spawn().unwrap()).collect();
    let told = std::thread::scope(|scope| {
        let batch = scope.spawn(|| share(&office, &database, "out", &[]));
        scope.spawn(|| kill_at_work(victim));
        wait_for("half of the notes", || {
            let there = database.ask("select to_regclass('job') is not null");
            let done = "select count(*) >= 12 from job where step = 'hear' and state = 'done'";
            there == "t" && database.ask(done) == "t"
        });
        database.control("restart");
        batch.join().unwrap()
    });
    others.into_iter().for_each(|child| assert_eq!(end(child), Some(0)));
    assert_eq!(told.code, Some(0), "{}", told.complaints);
    // 10 visits of 3 notes; a result that is taken twice would count twice.
    let notes = "select count(*), min(results), max(results) from job where step = 'hear' and state = 'done'";
    assert_eq!(database.ask(notes), "30|1|1");
    assert_eq!(database.ask("select count(*) from job where state <> 'done'"), "0");
    assert_eq!(database.ask("select count(*) from visit where state = 'drafted' and facts > 0"), "10");
    assert_same(&office.path("alone"), &office.path("out"));
}

#[test]
fn a_file_that_fails_elsewhere_is_told_by_the_batch_and_asking_again_does_the_rest() {
    let office = Office::with_visits(1);
    office.write("in/bad/empty.wav", b"");
    let database = Database::start();
    let told = share(&office, &database, "out", &[]);
    assert_eq!(told.code, Some(1), "{}", told.complaints);
    assert!(told.failure("empty.wav").1.contains("copy it anew"));
    std::fs::remove_dir_all(office.path("in/bad")).unwrap();
    office.write("in/Ida Example/visit 00/late.txt", b"There's no pan.");
    let again = share(&office, &database, "out", &[]);
    assert_eq!(
        (again.code, again.count("heard"), again.count("heard_before")),
        (Some(0), 1, 3),
        "{}",
        again.complaints
    );
    assert_eq!(database.ask("select version from _sqlx_migrations order by version"), "1\n2");
}

#[test]
fn the_database_lists_and_counts_what_the_folders_hold() {
    let office = Office::with_visits(3);
    office.write("in/Ida Example/visit 00/spoken.wav", &jfk());
    office.write("in/Noor Sample/pan/note.txt", b"There's no pan.");
    let new = ["visit", "new", "out/by hand", "--date", "2026-03-14", "--inspector", "Uma Sample"];
    assert!(office.command(&new).output().unwrap().status.success());
    let database = Database::start();
    let told = share(&office, &database, "out", &[]);
    assert_eq!(told.code, Some(0), "{}", told.complaints);
    let address = database.address();
    let ask = |args: &[&str]| {
        let output = office.command(&[&["queue"], args].concat()).output().unwrap();
        (output.status.code(), String::from_utf8(output.stdout).unwrap(), String::from_utf8(output.stderr).unwrap())
    };
    // Below the folder of the visits, wherever that is.
    let below = |args: &[&str], form: &[&str]| {
        let (code, told, complaints) = ask(&[args, form].concat());
        (code, told.replace("out/", ""), complaints.replace("out/", ""))
    };
    let same = |form: &[&str]| {
        let folders = below(&["out"], form);
        folders.1.len() > 2 && folders == below(&["out", "--queue", &address], form)
    };
    let all =
        || [&["--json"][..], &["--all"], &["--stats", "--json"], &["--stats", "--csv"]].iter().all(|form| same(form));
    assert!(all(), "{:?}\n{:?}", ask(&["out", "--json"]), ask(&["out", "--json", "--queue", &address]));
    // Visits 0 and 2 are Ida Example's: 3 notes each and one recording of 11 s, as its README in tests/audio says.
    let by = "select inspector, count(*), sum(notes), sum(length_ms) from visit where there group by 1 order by 1";
    assert_eq!(database.ask(by), "Ida Example|2|7|11000\nNoor Sample|2|4|0\nUma Sample|1|0|0");
    std::fs::rename(office.path("out"), office.path("away")).unwrap();
    let (code, table, _) = ask(&["--queue", &address]);
    assert_eq!((code, table.lines().count()), (Some(1), 6), "a line of titles and five visits: {table}");
    assert!(table.contains("Noor Sample/visit 01") && table.contains("not drafted yet"), "{table}");
    std::fs::rename(office.path("away"), office.path("out")).unwrap();

    let worker = worker(&office, &database, &[]).stdout(Stdio::null()).spawn().unwrap();
    let reject = ["confirm", "out/Noor Sample/pan", "--by", "Noor Sample", "--no", "drain-pan.presence"];
    let reject = office.command(&reject).output().unwrap();
    assert!(reject.status.code() < Some(2), "{reject:?}");
    std::fs::write(office.path("out/Ida Example/visit 02/record.json"), "{").unwrap();
    std::fs::remove_dir_all(office.path("out/by hand")).unwrap();
    office.command(&["visit", "new", "out/later", "--date", "2026-03-15"]).output().unwrap();
    wait_for("what changed in the folders", all);
    assert_eq!(database.ask("select sum(rejected) from term"), "1");
    assert_eq!(end(worker), Some(0));
    database.ask("update visit set looked_at = now() - interval '1 hour'");
    let (_, _, told) = ask(&["--queue", &address]);
    assert!(told.contains("some of this is as it was at 20"), "{told}");
}

#[test]
fn what_a_queue_says_cannot_lead_a_worker_out_of_its_folders() {
    let office = Office::with_visits(1);
    office.write("secret.txt", b"There's no pan.");
    let database = Database::start();
    share(&office, &database, "out", &[]);
    let work = r#"{"gather":{"known":{},"files":[{"path":"../secret.txt","bytes":1,"sha256":"x"}]}}"#;
    let note = r#"{"hear":{"name":"../../../../secret.txt","kind":"text","sha256":"x","bytes":1,"recorded":"2026-03-14T12:00:00Z"}}"#;
    for (visit, step, work) in
        [("../away", "gather", work), ("new", "gather", work), ("Ida Example/visit 00", "hear", note)]
    {
        database.ask(&format!("insert into visit (folder) values ('{visit}') on conflict do nothing"));
        let insert = "insert into job (visit, step, note, rank, work)";
        database.ask(&format!("{insert} values ('{visit}', '{step}', 'planted', 1, '{work}')"));
    }
    let before = files(office.folder.path());
    let output: Output = worker(&office, &database, &["--until-empty"]).output().unwrap();
    let told = Told::of(output);
    assert_eq!(told.all("failed").len(), 3, "{:?}", told.events);
    assert_eq!(database.ask("select count(*) from failure"), "3");
    assert!(!office.path("away").exists() && !office.path("out/new").exists());
    assert!(before.keys().eq(files(office.folder.path()).keys()), "something was written");
}

#[test]
fn a_database_that_is_not_there_is_told_with_the_cure() {
    let office = Office::with_visits(1);
    let told = office.batch("out", &["--queue", "postgres:///x?host=/nowhere&user=office"]);
    assert_eq!(told.code, Some(2));
    assert!(told.complaints.contains("cannot be reached; look whether it runs"), "{}", told.complaints);
    let told = office.batch("out", &["--queue", "somewhere"]);
    assert_eq!(told.code, Some(2));
    assert!(told.complaints.contains("postgres://USER@HOST/NAME"), "{}", told.complaints);
    // Encryption that is asked for is never left out without a word (libpq's names of the modes).
    let told = office.batch("out", &["--queue", "postgres://office@nowhere.invalid/x?sslmode=verify-full"]);
    assert_eq!(told.code, Some(2));
    assert!(
        told.complaints.contains("sslmode=verify-full") && told.complaints.contains("tunnel"),
        "{}",
        told.complaints
    );
    assert!(Path::new(&office.path("out")).exists());
}

//! Drafts made unattended: what is found, what is refused, and what is left after any kind of end.
use super::office::{Office, assert_same, files, jfk};
use serde_json::Value;
use std::collections::BTreeSet;
use std::io::{BufRead, BufReader};
use std::process::{Command, Stdio};
use std::time::{Duration, Instant};

fn record(office: &Office, visit: &str) -> Value {
    serde_json::from_slice(&std::fs::read(office.path(visit).join("record.json")).unwrap()).unwrap()
}

#[test]
fn each_folder_becomes_the_draft_that_draft_makes() {
    let office = Office::with_visits(2);
    office.write("in/Ida Example/visit 00/photo.jpg", b"no note");
    let told = office.batch("out", &[]);
    assert_eq!(told.code, Some(0), "{}", told.complaints);
    assert_eq!((told.count("drafted"), told.count("heard"), told.count("failed")), (2, 6, 0));
    assert_eq!(told.events[0]["left_alone"], 1);
    let about = std::fs::read_to_string(office.path("out/Ida Example/visit 00/visit.toml")).unwrap();
    // The day of the files, 2026-03-14, and the folder above the visit's own.
    assert!(about.contains("date = \"2026-03-14\"") && about.contains("inspector = \"Ida Example\""), "{about}");
    let single = |args: &[&str]| office.command(args).output().unwrap();
    single(&["visit", "new", "alone", "--date", "2026-03-14"]);
    let notes: Vec<String> = (0..3).map(|n| format!("in/Noor Sample/visit 01/note-{n}.txt")).collect();
    single(&[&["visit", "add", "alone"], notes.iter().map(String::as_str).collect::<Vec<_>>().as_slice()].concat());
    single(&["draft", "alone"]);
    assert_eq!(record(&office, "out/Noor Sample/visit 01"), record(&office, "alone"));
}

#[test]
fn what_is_finished_is_not_done_again_and_a_new_note_is() {
    let office = Office::with_visits(2);
    office.batch("out", &[]);
    let before = std::fs::metadata(office.path("out/Ida Example/visit 00/record.json")).unwrap().modified().unwrap();
    let again = office.batch("out", &[]);
    assert_eq!((again.count("finished_before"), again.count("drafted"), again.count("heard")), (2, 0, 0));
    let after = std::fs::metadata(office.path("out/Ida Example/visit 00/record.json")).unwrap().modified().unwrap();
    assert_eq!(before, after);
    office.write("in/Noor Sample/visit 01/late.txt", b"There's no pan.");
    let third = office.batch("out", &[]);
    assert_eq!((third.count("finished_before"), third.count("drafted"), third.count("heard")), (1, 1, 1));
    assert_eq!(third.count("heard_before"), 3);
}

#[test]
fn the_same_recording_twice_is_one_note_and_told() {
    let office = Office::new();
    for name in ["in/a/one.wav", "in/a/two.wav", "in/b/three.wav"] {
        office.write(name, &jfk());
    }
    // Two people may type the same words.
    office.write("in/a/note.txt", b"No pan.");
    office.write("in/b/note.txt", b"No pan.");
    let told = office.batch("out", &[]);
    assert_eq!(told.code, Some(0), "{}", told.complaints);
    let same: Vec<&str> = told.all("same").iter().map(|e| e["file"].as_str().unwrap()).collect();
    assert_eq!(same, ["a/two.wav", "b/three.wav"]);
    assert_eq!(told.count("heard"), 3, "one recording and two typed notes");
    office.write("in/c/four.wav", &jfk());
    let later = office.batch("out", &[]);
    assert_eq!(later.count("same"), 3, "a copy that comes later is told too");
    assert!(!office.path("out/c").exists());
}

#[test]
fn every_bad_file_is_told_with_its_cure_and_the_rest_is_done() {
    let office = Office::with_visits(1);
    office.write("in/bad/empty.wav", b"");
    office.write("in/bad/cut.wav", &jfk()[..100_000]);
    office.write("in/bad/noise.mp3", &[0; 4000]);
    office.write("in/bad/text.wav", b"There's no pan.");
    office.write("in/bad/empty.txt", b"");
    office.write("in/odd; \u{202e}name's \"\u{1b}[2J/no\tte.txt", b"The pan is missing.");
    office.write("in/loose.txt", b"There's no pan.");
    std::fs::create_dir(office.path("in/secret")).unwrap();
    #[cfg(unix)]
    std::os::unix::fs::symlink("/etc/hostname", office.path("in/bad/link.txt")).unwrap();
    let told = office.batch("out", &[]);
    assert_eq!(told.code, Some(1), "{}", told.complaints);
    for (file, cure) in [
        ("empty.wav", "copy it anew"),
        ("cut.wav", "copy it anew"),
        ("noise.mp3", "WAV"),
        ("text.wav", ".txt"),
        ("empty.txt", "write the words"),
        ("link.txt", "the recording itself"),
        ("loose.txt", "folder named after its visit"),
    ] {
        let (reason, told_cure) = told.failure(file);
        assert!(told_cure.contains(cure), "{file}: {reason}; {told_cure}");
    }
    assert_eq!((told.count("failed"), told.count("drafted")), (7, 2));
    let plain = office.command(&["batch", "in", "--out", "out"]).output().unwrap();
    let page = String::from_utf8(plain.stdout).unwrap();
    assert!(page.contains("7 could not be used; everything else was:"), "{page}");
    assert!(!page.contains('\u{1b}') && !page.contains('\u{202e}'), "{page:?}");
    assert_eq!(plain.status.code(), Some(1));
}

#[test]
fn fail_fast_stops_at_the_first() {
    let office = Office::with_visits(3);
    office.write("in/A/empty.wav", b"");
    let told = office.batch("out", &["--fail-fast", "--workers", "1"]);
    assert_eq!(told.code, Some(1));
    assert_eq!(told.count("drafted"), 0, "the bad one comes first");
}

#[test]
fn a_manifest_tells_visits_and_cannot_lead_out() {
    let office = Office::new();
    for name in ["in/deep/a.txt", "in/b.txt", "in/c.txt", "secret.txt"] {
        office.write(name, format!("There's no pan. {name}").as_bytes());
    }
    #[cfg(unix)]
    std::os::unix::fs::symlink("..", office.path("in/up")).unwrap();
    let absolute = office.path("secret.txt").display().to_string();
    let csv = format!(
        "visit,file,property,inspector,date\n\
         one,deep/a.txt,1 Heron Close,Ida Example,2026-03-14\n\
         one,b.txt,,,\n\
         one,../secret.txt,,,\n\
         one,{absolute},,,\n\
         one,up/secret.txt,,,\n\
         ../../out-of-it,c.txt,,,\n\
         one,gone.txt,,,\n"
    );
    office.write("list.csv", csv.as_bytes());
    let told = office.batch("out", &["--manifest", "list.csv"]);
    assert_eq!(told.code, Some(1), "{}", told.complaints);
    for (file, reason) in [
        ("../secret.txt", "'..'"),
        (&absolute, "absolute"),
        ("up/secret.txt", "link"),
        ("c.txt", "leads out"),
        ("gone.txt", "not there"),
    ] {
        assert!(told.failure(file).0.contains(reason), "{file}: {:?}", told.failure(file));
    }
    let names: BTreeSet<String> = files(&office.path("out")).into_keys().map(|p| p.display().to_string()).collect();
    assert!(names.contains("one/notes/a.txt") && names.contains("one/notes/b.txt"), "{names:?}");
    assert!(names.iter().all(|name| name.starts_with("one/") && !name.contains("secret")), "{names:?}");
    assert!(!office.path("out-of-it").exists());
    let about = std::fs::read_to_string(office.path("out/one/visit.toml")).unwrap();
    assert!(about.contains("1 Heron Close") && about.contains("Ida Example"), "{about}");
}

#[test]
fn a_manifest_in_toml_says_the_same_and_a_bad_one_is_refused_with_its_line() {
    let office = Office::new();
    office.write("in/a.txt", b"There's no pan.");
    let toml = "version = 1\n[[visit]]\nfolder = \"one\"\nproperty = \"1 Heron Close\"\nfiles = [\"a.txt\"]\n";
    office.write("list.toml", toml.as_bytes());
    let told = office.batch("out", &["--manifest", "list.toml"]);
    assert_eq!((told.code, told.count("drafted")), (Some(0), 1), "{}", told.complaints);
    office.write("list.toml", toml.replace("files", "fils").as_bytes());
    let told = office.batch("out", &["--manifest", "list.toml"]);
    assert_eq!(told.code, Some(2));
    // The misspelled key is on the fifth line of the text above.
    assert!(told.complaints.contains("list.toml' line 5"), "{}", told.complaints);
}

#[cfg(unix)]
#[test]
fn links_among_the_visits_are_not_written_through() {
    let office = Office::new();
    office.write("in/a/note.txt", b"There's no pan.");
    office.write("in/b/note.txt", b"The pan is missing.");
    std::fs::create_dir_all(office.path("elsewhere")).unwrap();
    std::fs::create_dir_all(office.path("out")).unwrap();
    std::os::unix::fs::symlink("../elsewhere", office.path("out/a")).unwrap();
    let told = office.batch("out", &[]);
    assert_eq!((told.code, told.count("drafted")), (Some(1), 1), "{}", told.complaints);
    assert!(told.failure("a").0.contains("link"));
    assert_eq!(std::fs::read_dir(office.path("elsewhere")).unwrap().count(), 0);
}

#[test]
fn folders_in_one_another_and_two_batches_at_once_are_refused() {
    let office = Office::with_visits(1);
    let nested = office.batch("in/out", &[]);
    assert_eq!(nested.code, Some(2));
    assert!(nested.complaints.contains("folders of their own"), "{}", nested.complaints);
    office.batch("out", &[]);
    let lock = std::fs::File::options().append(true).open(office.path("out/.batch.lock")).unwrap();
    lock.lock().unwrap();
    let busy = office.batch("out", &[]);
    assert_eq!(busy.code, Some(2));
    assert!(busy.complaints.contains("another batch"), "{}", busy.complaints);
}

#[test]
fn names_can_tell_the_visit() {
    let office = Office::new();
    for name in ["in/larkspur-41_garage.txt", "in/larkspur-41_attic.txt", "in/heron-1.txt"] {
        office.write(name, format!("There's no pan. {name}").as_bytes());
    }
    let told = office.batch("out", &["--by", "name"]);
    assert_eq!((told.code, told.count("drafted")), (Some(0), 2), "{}", told.complaints);
    let names: Vec<String> = files(&office.path("out")).into_keys().map(|p| p.display().to_string()).collect();
    assert!(names.contains(&"larkspur-41/notes/larkspur-41_attic.txt".to_owned()), "{names:?}");
}

#[test]
fn folders_within_a_visit_belong_to_it_whenever_they_come() {
    let office = Office::new();
    office.write("in/a/garage.txt", b"There's no pan.");
    office.write("in/a/notes/attic.txt", b"The pan is missing.");
    let told = office.batch("out", &[]);
    assert_eq!((told.code, told.count("drafted"), told.count("heard")), (Some(0), 1, 2), "{}", told.complaints);
    std::fs::remove_file(office.path("in/a/garage.txt")).unwrap();
    office.write("in/a/later/hall.txt", b"No leaks.");
    let told = office.batch("out", &[]);
    assert_eq!((told.code, told.count("drafted"), told.count("heard")), (Some(0), 1, 1), "{}", told.complaints);
    let notes: Vec<String> = files(&office.path("out/a/notes")).into_keys().map(|p| p.display().to_string()).collect();
    assert_eq!(notes, ["attic.txt", "garage.txt", "hall.txt"]);
    office.write("list.csv", b"visit,file\na/inner,a/later/hall.txt\n");
    let told = office.batch("out", &["--manifest", "list.csv"]);
    assert_eq!(told.code, Some(1));
    assert!(told.failure("a/inner").0.contains("within another visit"), "{:?}", told.events);
}

#[test]
fn a_signed_visit_is_left_as_it_was_signed() {
    let office = Office::new();
    office.write("in/a/note.txt", b"There's no pan.");
    office.batch("out", &[]);
    let confirm =
        |more: &[&str]| office.command(&[&["confirm", "out/a", "--by", "Ida Example"], more].concat()).output();
    let done = confirm(&["--yes", "drain-pan.presence"]).unwrap();
    let signed = confirm(&["--sign", "Ida Example"]).unwrap();
    assert!(office.path("out/a/seals.jsonl").exists(), "{done:?} {signed:?}");
    // What a batch remembers is gone, so that it would have to do all again.
    std::fs::remove_file(office.path("out/batch.jsonl")).unwrap();
    let before = files(&office.path("out"));
    let told = office.batch("out", &[]);
    assert_eq!(told.count("finished_before"), 1);
    assert!(before == files(&office.path("out")));
}

#[test]
fn figures_count_by_inspector_and_by_term() {
    let office = Office::new();
    office.write("in/Ida Example/a/note.txt", b"There's no pan.");
    office.write("in/=Noor/b/note.txt", b"The pan is missing.");
    office.batch("out", &[]);
    let set = ["confirm", "out/Ida Example/a", "--by", "Ida Example", "--set", "drain-pan.presence=present"];
    office.command(&set).output().unwrap();
    let output = office.command(&["queue", "out", "--stats", "--csv"]).output().unwrap();
    let table = String::from_utf8(output.stdout).unwrap();
    let line = |begin: &str| table.lines().find(|l| l.starts_with(begin)).unwrap_or_else(|| panic!("{begin}: {table}"));
    assert!(table.starts_with("by,name,visits,notes,minutes,facts,decided,amended,rejected,entered,share_amended,"));
    // Two visits of one typed note and one fact each; one of the facts was decided, and amended.
    assert!(line("all,").starts_with("all,,2,2,0.000,2,1,1,0,0,1.000,"), "{table}");
    assert!(line("inspector,Ida").starts_with("inspector,Ida Example,1,1,0.000,1,1,1,0,0,1.000,"), "{table}");
    // No spreadsheet takes a name for a formula.
    assert!(line("inspector,'=").starts_with("inspector,'=Noor,1,1,0.000,1,0,0,0,0,,"), "{table}");
    assert_eq!(line("term,"), "term,drain-pan.presence,2,2,,2,1,1,0,0,1.000,");
    assert_eq!(output.status.code(), Some(0));
}

/// The command in the unit file, with a home of the test's own.
#[cfg(unix)]
#[test]
fn the_unit_file_is_one_that_systemd_takes_and_its_command_works() {
    let office = Office::new();
    let home = office.folder.path().display().to_string();
    let unit = std::fs::read_to_string(concat!(env!("CARGO_MANIFEST_DIR"), "/docs/hearsheet-watch.service")).unwrap();
    let unit = unit.replace("%h/.local/bin/hearsheet", super::office::PROGRAM).replace("%h", &home);
    office.write("hearsheet-watch.service", unit.as_bytes());
    let verify = ["--user", "verify", "hearsheet-watch.service"];
    let verified =
        Command::new("systemd-analyze").args(verify).current_dir(&home).env("XDG_RUNTIME_DIR", &home).output();
    // Where there is no systemd there is nothing to ask.
    if let Ok(verified) = verified {
        assert!(verified.status.success() && verified.stderr.is_empty(), "{verified:?}");
    }
    std::fs::create_dir(office.path("Recordings")).unwrap();
    let start = unit.lines().find_map(|line| line.strip_prefix("ExecStart=")).unwrap();
    let words: Vec<&str> = start.split(' ').collect();
    let child = Command::new(words[0]).args(&words[1..]).stderr(Stdio::null()).stdout(Stdio::null()).spawn().unwrap();
    wait_for("the folder of the visits", || office.path("Visits/.batch.lock").exists());
    assert_eq!(end(child), Some(0));
}

/// `HEARSHEET_KILLS` says how often; each time at another moment of the run.
#[test]
fn a_batch_killed_at_any_moment_and_started_again_leaves_what_an_undisturbed_one_does() {
    let kills: u32 = std::env::var("HEARSHEET_KILLS").ok().and_then(|n| n.parse().ok()).unwrap_or(3);
    let office = Office::with_visits(4);
    office.write("in/Ida Example/visit 00/spoken.wav", &jfk());
    let whole = office.batch("whole", &["--workers", "2"]);
    assert_eq!((whole.code, whole.count("heard")), (Some(0), 13), "{}", whole.complaints);
    let mut unfinished = 0;
    for kill in 0..kills {
        let out = format!("out-{kill}");
        // Spread over the run by the golden ratio, so that any number of moments is spread evenly; counted in events, since
        // a busy machine would move moments counted in seconds behind the end.
        let share = (f64::from(kill) + 0.5) * 0.618_033_988_75 % 1.0;
        let args = ["batch", "in", "--out", &out, "--json", "--workers", "2"];
        let mut child = office.command(&args).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
        let mut events = BufReader::new(child.stdout.take().unwrap()).lines();
        events.by_ref().take((share * whole.events.len() as f64) as usize).for_each(drop);
        std::thread::sleep(Duration::from_millis(u64::from(kill * 7 % 20)));
        unfinished += u32::from(child.try_wait().unwrap().is_none());
        child.kill().unwrap();
        child.wait().unwrap();
        let again = office.batch(&out, &["--workers", "2"]);
        assert_eq!(again.code, Some(0), "killed at {share}: {}", again.complaints);
        assert_same(&office.path("whole"), &office.path(&out));
        std::fs::remove_dir_all(office.path(&out)).unwrap();
    }
    assert!(unfinished > 0, "no run was killed before its end");
}

#[test]
fn a_watch_takes_files_once_they_are_whole_and_goes_on_after_a_kill() {
    let office = Office::new();
    let args = ["batch", "in", "--out", "out", "--watch", "--every", "0.2", "--settle", "0.6"];
    let watch = || office.command(&args).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
    let mut child = watch();
    std::fs::create_dir_all(office.path("in/a")).unwrap();
    let bytes = jfk();
    for share in 1..=3 {
        // A slow copy, which stands still for longer than the watch waits.
        std::fs::write(office.path("in/a/spoken.wav"), &bytes[..bytes.len() * share / 3]).unwrap();
        if share < 3 {
            std::thread::sleep(Duration::from_millis(2500));
            assert!(!office.path("out/a/notes").exists(), "a part was taken");
        }
    }
    wait_for("the first draft", || office.path("out/a/record.json").exists());
    assert_eq!(std::fs::read(office.path("out/a/notes/spoken.wav")).unwrap(), bytes);
    child.kill().unwrap();
    child.wait().unwrap();
    // The kill may come between the draft and the word that it is done: then it is drafted again, and not heard again.
    let heard = || std::fs::metadata(office.path("out/a/transcripts/spoken.wav.json")).unwrap().modified().unwrap();
    let before = heard();
    office.write("in/b/note.txt", b"There's no pan.");
    let child = watch();
    wait_for("the second draft", || office.path("out/b/record.json").exists());
    assert_eq!(before, heard(), "the first was heard before the kill");
    let ended = end(child);
    assert_eq!(ended, Some(0), "a watch that is asked to end has done all that came");
}

/// Asks a program to end, as the system does.
pub fn end(mut child: std::process::Child) -> Option<i32> {
    Command::new("kill").args(["-TERM", &child.id().to_string()]).status().unwrap();
    child.wait().unwrap().code()
}

pub fn wait_for(what: &str, done: impl Fn() -> bool) {
    let begun = Instant::now();
    while !done() {
        assert!(begun.elapsed() < Duration::from_secs(120), "{what} did not come");
        std::thread::sleep(Duration::from_millis(50));
    }
}

#[cfg(not(feature = "store"))]
#[test]
fn a_program_built_without_stores_says_how_to_build_one_with() {
    let office = Office::new();
    let told = |args: &[&str]| String::from_utf8(office.command(args).output().unwrap().stderr).unwrap();
    for args in
        [&["batch", "s3://office/in", "--out", "s3://office/out"][..], &["visit", "fetch", "s3://office/out/a", "a"]]
    {
        let told = told(args);
        assert!(told.lines().count() == 1 && told.contains("cargo install --path . --features store"), "{told}");
    }
}

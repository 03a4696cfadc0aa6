//! A visit folder from the outside: what a person types, and what is left after any kind of end.
use super::sound;
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::{Command, Output, Stdio};
use std::time::{Duration, Instant};

const PROGRAM: &str = env!("CARGO_BIN_EXE_hearsheet");

/// A visit in a folder of its own.
pub struct Visit {
    folder: tempfile::TempDir,
}

impl Visit {
    pub fn new() -> Visit {
        let visit = Visit { folder: tempfile::tempdir().unwrap() };
        let made = visit.run(&["visit", "new", "v", "--inspector", "Ida Example", "--date", "2026-03-14"]);
        assert_eq!(made.status.code(), Some(0), "{made:?}");
        visit
    }

    pub fn path(&self, name: &str) -> PathBuf {
        self.folder.path().join(name)
    }

    pub fn command(&self, args: &[&str]) -> Command {
        let mut command = Command::new(PROGRAM);
        command.args(args).current_dir(self.folder.path()).stdin(Stdio::null());
        command
    }

    pub fn run(&self, args: &[&str]) -> Output {
        self.command(args).output().unwrap()
    }

    pub fn add_text(&self, name: &str, text: &str) {
        std::fs::write(self.path(name), text).unwrap();
        let added = self.run(&["visit", "add", "v", name]);
        assert_eq!(added.status.code(), Some(0), "{added:?}");
    }

    /// The numbers of the decisions in the journal.
    fn decided(&self) -> Vec<u64> {
        let text = std::fs::read_to_string(self.path("v/decisions.jsonl")).unwrap_or_default();
        let whole = text.lines().filter_map(|line| serde_json::from_str::<Value>(line).ok());
        whole.map(|d| d["number"].as_u64().unwrap()).collect()
    }

    fn record(&self) -> Value {
        serde_json::from_slice(&std::fs::read(self.path("v/record.json")).unwrap()).unwrap()
    }
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// A second of a tone.
fn tone(path: &Path) {
    sound::write(path, (0..16_000).map(|i| ((i as f32 * 0.1).sin() * 9000.0) as i16));
}

#[test]
fn bad_files_are_refused_with_a_cure_and_the_good_ones_go_in() {
    let visit = Visit::new();
    std::fs::write(visit.path("note.txt"), "No pan.").unwrap();
    std::fs::write(visit.path("text.wav"), "No pan.").unwrap();
    std::fs::write(visit.path("empty.wav"), "").unwrap();
    tone(&visit.path("tone.wav"));
    let bytes = std::fs::read(visit.path("tone.wav")).unwrap();
    std::fs::write(visit.path("cut.wav"), &bytes[..bytes.len() / 2]).unwrap();
    let added =
        visit.run(&["visit", "add", "v", "text.wav", "empty.wav", "cut.wav", "gone.wav", "note.txt", "tone.wav"]);
    assert_eq!(added.status.code(), Some(2));
    let told = text(&added.stderr);
    for (name, cure) in
        [("text.wav", ".txt"), ("empty.wav", "copy it anew"), ("cut.wav", "copy it anew"), ("gone.wav", "check")]
    {
        let line = told.lines().find(|l| l.contains(name)).unwrap_or_else(|| panic!("{name} is not named in {told}"));
        assert!(line.contains(cure), "no cure in: {line}");
    }
    assert_eq!(text(&added.stdout), "added note.txt\nadded tone.wav\n");
    assert_eq!(std::fs::read(visit.path("v/notes/tone.wav")).unwrap(), bytes, "a recording is never changed");
}

#[test]
fn the_same_bytes_twice_are_one_note() {
    let visit = Visit::new();
    visit.add_text("a.txt", "No pan.");
    std::fs::write(visit.path("b.txt"), "No pan.").unwrap();
    let again = visit.run(&["visit", "add", "v", "b.txt"]);
    assert_eq!(again.status.code(), Some(0));
    assert!(text(&again.stdout).contains("in the visit already, as a.txt"), "{again:?}");
    assert_eq!(std::fs::read_dir(visit.path("v/notes")).unwrap().count(), 1);
}

#[test]
fn two_notes_of_one_name_are_both_kept() {
    let visit = Visit::new();
    visit.add_text("a.txt", "No pan.");
    visit.add_text("a.txt", "No leaks.");
    assert_eq!(std::fs::read_to_string(visit.path("v/notes/a.txt")).unwrap(), "No pan.");
    assert_eq!(std::fs::read_to_string(visit.path("v/notes/a-2.txt")).unwrap(), "No leaks.");
}

#[test]
fn a_folder_with_anything_in_it_is_not_made_a_visit() {
    let visit = Visit::new();
    for dir in ["v", "."] {
        let made = visit.run(&["visit", "new", dir, "--property", "x"]);
        assert_eq!(made.status.code(), Some(2), "{dir}");
    }
    assert!(visit.path("v/visit.toml").exists());
}

#[test]
fn without_a_terminal_confirm_refuses_and_names_the_flags() {
    let visit = Visit::new();
    let refused = visit.run(&["confirm", "v"]);
    assert_eq!(refused.status.code(), Some(2));
    for flag in ["--yes FACT", "--no FACT", "--set FACT=VALUE"] {
        assert!(text(&refused.stderr).contains(flag), "{refused:?}");
    }
}

#[test]
fn one_wrong_answer_among_many_writes_nothing() {
    let visit = Visit::new();
    let refused = visit.run(&["confirm", "v", "--set", "casing.leak=past", "--set", "casing.leaks=past"]);
    assert_eq!(refused.status.code(), Some(2));
    assert!(visit.decided().is_empty());
}

#[test]
fn decisions_say_who_when_what_was_and_what_is() {
    let visit = Visit::new();
    visit.run(&["confirm", "v", "--set", "casing.leak=past", "--by", "Rex Example", "--why", "seen on the photo"]);
    visit.run(&["confirm", "v", "--set", "casing.leak=active"]);
    let lines = std::fs::read_to_string(visit.path("v/decisions.jsonl")).unwrap();
    let lines: Vec<Value> = lines.lines().map(|l| serde_json::from_str(l).unwrap()).collect();
    assert_eq!((lines[0]["by"].as_str(), lines[0]["why"].as_str()), (Some("Rex Example"), Some("seen on the photo")));
    assert_eq!(lines[1]["by"], "Ida Example", "the visit's inspector, if nobody else is named");
    assert_eq!((&lines[1]["was"]["value"], &lines[1]["is"]["value"]), (&"past".into(), &"active".into()));
    lines[1]["at"].as_str().unwrap().parse::<jiff::Timestamp>().unwrap();
    // An active leak is a defect by the rule active-leak, a past one is not.
    let rules: Vec<String> =
        visit.record()["concerns"].as_array().unwrap().iter().map(|c| c["rule"].to_string()).collect();
    assert_eq!(rules, ["\"active-leak\""]);
}

#[test]
fn undo_is_a_new_line_and_the_fact_stands_as_before() {
    let visit = Visit::new();
    visit.run(&["confirm", "v", "--set", "casing.leak=past"]);
    visit.run(&["confirm", "v", "--set", "casing.leak=active"]);
    visit.run(&["confirm", "v", "--undo", "2"]);
    assert_eq!(visit.decided(), [1, 2, 3]);
    assert_eq!(visit.record()["facts"][0]["value"], "past");
}

#[test]
fn a_draft_made_again_keeps_every_decision() {
    let visit = Visit::new();
    visit.run(&["confirm", "v", "--set", "casing.leak=past"]);
    visit.add_text("a.txt", "Nice dog.");
    std::fs::remove_file(visit.path("v/record.json")).unwrap();
    visit.run(&["draft", "v"]);
    assert_eq!(visit.record()["facts"][0]["state"], "entered");
}

#[test]
fn damage_is_refused_with_file_and_line_while_the_rest_opens() {
    let visit = Visit::new();
    visit.add_text("a.txt", "Nice dog.");
    visit.run(&["draft", "v"]);
    visit.run(&["confirm", "v", "--set", "casing.leak=past", "--set", "casing.damage=none"]);
    // Each file, what is written over it, the line that is then wrong, and a command that works all the same.
    let cases = [
        ("visit.toml", "version = 1\nproperty = \"x\"\ndate = \"someday\"\n", 3, None),
        ("record.json", "{\"version\": 1,\n\"facts\": 7}", 2, Some(vec!["draft", "v"])),
        ("decisions.jsonl", "{\"version\":1}\n", 1, Some(vec!["visit", "add", "v", "a.txt"])),
        ("transcripts/a.txt.json", "{\"version\": 1,\n\n\"note\": []}", 3, Some(vec!["show", "v"])),
        ("notes.json", "{\"version\": 1, \"notes\": [\n{}]}", 2, Some(vec!["show", "v"])),
    ];
    for (name, nonsense, line, works) in cases {
        let path = visit.path("v").join(name);
        let good = std::fs::read(&path).unwrap();
        std::fs::write(&path, nonsense).unwrap();
        let asked: &[&str] = if name == "record.json" { &["show", "v"] } else { &["draft", "v"] };
        let refused = visit.run(asked);
        assert_eq!(refused.status.code(), Some(2), "{name}: {refused:?}");
        let told = text(&refused.stderr);
        let file = Path::new(name).file_name().unwrap().to_str().unwrap();
        assert!(told.contains(file) && told.contains(&format!("line {line}")), "{name}: {told}");
        if let Some(works) = works {
            let done = visit.run(&works);
            assert_ne!(done.status.code(), Some(2), "{name} stops {works:?}: {done:?}");
        }
        std::fs::write(&path, good).unwrap();
    }
    assert_eq!(visit.run(&["draft", "v"]).status.code(), Some(1), "mended, it is as before");
}

#[test]
fn a_newer_version_is_refused_and_left_alone() {
    let visit = Visit::new();
    visit.add_text("a.txt", "Nice dog.");
    visit.run(&["draft", "v"]);
    visit.run(&["confirm", "v", "--set", "casing.leak=past"]);
    for name in ["visit.toml", "record.json", "decisions.jsonl", "notes.json", "transcripts/a.txt.json"] {
        let path = visit.path("v").join(name);
        let good = std::fs::read_to_string(&path).unwrap();
        let newer = good.replace("\"version\": 1,", "\"version\": 99,").replace("\"version\":1,", "\"version\":99,");
        let newer = newer.replace("version = 1\n", "version = 99\n");
        assert_ne!(newer, good, "{name}");
        std::fs::write(&path, &newer).unwrap();
        let refused = visit.run(&["draft", "v"]);
        assert_eq!(refused.status.code(), Some(2), "{name}: {refused:?}");
        assert!(text(&refused.stderr).contains("newer hearsheet"), "{name}: {refused:?}");
        assert_eq!(std::fs::read_to_string(&path).unwrap(), newer, "{name} must not be overwritten");
        std::fs::write(&path, good).unwrap();
    }
}

#[test]
fn a_cut_off_last_line_is_told_and_kept_aside() {
    let visit = Visit::new();
    visit.run(&["confirm", "v", "--set", "casing.leak=past"]);
    let path = visit.path("v/decisions.jsonl");
    let whole = std::fs::read_to_string(&path).unwrap();
    std::fs::write(&path, format!("{whole}{{\"version\":1,\"numb")).unwrap();
    let next = visit.run(&["confirm", "v", "--set", "casing.damage=none"]);
    assert!(text(&next.stderr).contains("cut off"), "{next:?}");
    assert_eq!(visit.decided(), [1, 2]);
    assert_eq!(std::fs::read_to_string(visit.path("v/decisions.torn")).unwrap(), "{\"version\":1,\"numb\n");
}

/// Facts of the catalogue that a person can enter, many enough that a kill falls between them.
const ENTERED: [&str; 12] = [
    "casing.leak=past",
    "casing.damage=none",
    "casing.corrosion=light",
    "inlet.leak=active",
    "inlet.material=copper",
    "outlet.leak=past",
    "outlet.material=pex",
    "drain-pan.presence=absent",
    "drain-pan.state=dry",
    "water-system.static-pressure=61",
    "water-heater.capacity=50",
    "breaker.rating=30",
];

/// Pauses spread over `whole` without any order, the same at each run.
pub fn moments(whole: Duration, count: u32) -> impl Iterator<Item = Duration> {
    let mut state = 0x2545_f491_u32;
    (0..count).map(move |_| {
        state = state.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
        whole * (state >> 16) / 0xffff
    })
}

/// How many times a program is killed; more when asked for.
pub fn kills() -> u32 {
    std::env::var("HEARSHEET_KILLS").ok().and_then(|n| n.parse().ok()).unwrap_or(20)
}

#[test]
fn killing_confirm_at_any_moment_loses_no_decision_that_was_reported() {
    let visit = Visit::new();
    let sets: Vec<&str> = ENTERED.iter().flat_map(|set| ["--set", set]).collect();
    let args = [&["confirm", "v"], sets.as_slice()].concat();
    let begun = Instant::now();
    visit.run(&args);
    let whole = begun.elapsed();
    let (mut reported, mut cut) = (visit.decided(), 0);
    assert_eq!(reported.len(), ENTERED.len());
    for pause in moments(whole, kills()) {
        let mut child = visit.command(&args).stdout(Stdio::piped()).stderr(Stdio::piped()).spawn().unwrap();
        std::thread::sleep(pause);
        let _ = child.kill();
        let out = child.wait_with_output().unwrap();
        let said = text(&out.stdout);
        let numbers = said.lines().filter_map(|l| l.split("(saved as ").nth(1)?.strip_suffix(')')?.parse::<u64>().ok());
        let before = reported.len();
        reported.extend(numbers);
        cut += usize::from(reported.len() < before + ENTERED.len());
        let journal = visit.decided();
        assert!(reported.iter().all(|n| journal.contains(n)), "reported {reported:?}, kept {journal:?}");
        let opened = visit.run(&["confirm", "v", "--set", "vent.presence=connected"]);
        assert_ne!(opened.status.code(), Some(2), "the visit opens again: {opened:?}");
        reported = visit.decided();
        assert_eq!(visit.record()["facts"].as_array().unwrap().len(), ENTERED.len() + 1);
    }
    assert!(cut >= 5, "only {cut} kills came before the end");
}

#[test]
fn killing_draft_at_any_moment_loses_no_note_and_no_decision() {
    let visit = Visit::new();
    let names: Vec<String> = (0..12).map(|i| format!("note-{i}.txt")).collect();
    for (i, name) in names.iter().enumerate() {
        std::fs::write(visit.path(name), format!("Remark number {i}.")).unwrap();
    }
    visit.run(&[&["visit", "add", "v"], names.iter().map(String::as_str).collect::<Vec<_>>().as_slice()].concat());
    visit.run(&["confirm", "v", "--set", "casing.leak=past"]);
    let begun = Instant::now();
    visit.run(&["draft", "v"]);
    let whole = begun.elapsed();
    for pause in moments(whole, kills()) {
        std::fs::remove_dir_all(visit.path("v/transcripts")).unwrap();
        let mut child = visit.command(&["draft", "v"]).stdout(Stdio::null()).stderr(Stdio::null()).spawn().unwrap();
        std::thread::sleep(pause);
        let _ = child.kill();
        child.wait().unwrap();
        let shown = visit.run(&["show", "v"]);
        assert_eq!(shown.status.code(), Some(0), "the last draft is whole: {shown:?}");
        assert_eq!(visit.run(&["draft", "v"]).status.code(), Some(1));
        assert_eq!(std::fs::read_dir(visit.path("v/transcripts")).unwrap().count(), names.len(), "no part is left");
        assert_eq!(visit.record()["facts"][0]["state"], "entered");
    }
}

#[test]
fn killing_a_signature_at_any_moment_leaves_it_whole_or_not_there() {
    let visit = Visit::new();
    visit.run(&["confirm", "v", "--set", "casing.leak=past"]);
    let begun = Instant::now();
    visit.run(&["confirm", "v", "--sign", "Ida Example"]);
    let whole = begun.elapsed();
    let mut signed = 1;
    for pause in moments(whole, kills()) {
        let sign = ["confirm", "v", "--sign", "Ida Example"];
        let mut child = visit.command(&sign).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
        std::thread::sleep(pause);
        let _ = child.kill();
        let reported = text(&child.wait_with_output().unwrap().stdout).contains("signed revision");
        let seals = std::fs::read_to_string(visit.path("v/seals.jsonl")).unwrap().lines().count();
        assert!(seals == signed || seals == signed + 1, "{signed} signatures became {seals}");
        assert!(seals == signed + 1 || !reported, "a signature that was reported is gone");
        signed = seals;
        let verified = visit.run(&["verify", "v"]);
        assert_eq!(verified.status.code(), Some(0), "{verified:?}");
    }
}

/// Runs the program where no file may grow beyond a size, as on a disk that is full.
#[cfg(unix)]
fn on_a_full_disk(visit: &Visit, blocks: u32, args: &[&str]) -> Output {
    let mut command = Command::new("sh");
    // The signal that comes with the limit is ignored, so that the write fails as it does on a full disk.
    command.arg("-c").arg(format!("trap '' XFSZ; ulimit -f {blocks}; exec \"$0\" \"$@\"")).arg(PROGRAM).args(args);
    command.current_dir(visit.path("")).stdin(Stdio::null()).output().unwrap()
}

#[cfg(unix)]
#[test]
fn a_full_disk_costs_nothing_that_was_saved_and_the_error_says_what_to_do() {
    let visit = Visit::new();
    visit.run(&["confirm", "v", "--set", "casing.leak=past"]);
    let (journal, record) = (visit.path("v/decisions.jsonl"), visit.path("v/record.json"));
    let before = (std::fs::read(&journal).unwrap(), std::fs::read(&record).unwrap());
    let full = on_a_full_disk(&visit, 0, &["confirm", "v", "--set", "casing.damage=none"]);
    assert_eq!(full.status.code(), Some(2));
    assert!(text(&full.stderr).contains("free some space"), "{full:?}");
    assert!(!text(&full.stdout).contains("saved"), "nothing is reported that is not on the disk: {full:?}");
    assert_eq!((std::fs::read(&journal).unwrap(), std::fs::read(&record).unwrap()), before);
    std::fs::write(visit.path("a.txt"), "No pan.").unwrap();
    assert_eq!(on_a_full_disk(&visit, 0, &["visit", "add", "v", "a.txt"]).status.code(), Some(2));
    assert_eq!(std::fs::read_dir(visit.path("v/notes")).unwrap().count(), 0, "no half note is left");
    visit.run(&["confirm", "v", "--set", "casing.damage=none"]);
    assert_eq!(visit.decided(), [1, 2], "with space it goes on");
}

#[cfg(unix)]
#[test]
fn a_disk_that_fills_in_the_middle_of_a_line_leaves_a_torn_end_and_no_loss() {
    let visit = Visit::new();
    let long = "x".repeat(190);
    // Lines of about 370 bytes into files of at most 1 or 2 kB, as the shell counts blocks.
    let sets: Vec<String> = (1..=12).map(|item| format!("{item}/water-heater.brand={long}")).collect();
    let sets: Vec<&str> = sets.iter().flat_map(|set| ["--set", set.as_str()]).collect();
    let full = on_a_full_disk(&visit, 2, &[&["confirm", "v"], sets.as_slice()].concat());
    assert_eq!(full.status.code(), Some(2), "{full:?}");
    let reported = text(&full.stdout).matches("(saved as").count();
    let kept = visit.decided().len();
    assert!(kept >= reported && kept < 12, "{reported} reported, {kept} kept");
    let next = visit.run(&["confirm", "v", "--set", "casing.damage=none"]);
    assert_ne!(next.status.code(), Some(2), "{next:?}");
    assert_eq!(visit.decided().len(), kept + 1);
}

#[test]
fn two_programs_deciding_at_once_lose_nothing() {
    let visit = Visit::new();
    let sets: Vec<&str> = ENTERED.iter().flat_map(|set| ["--set", set]).collect();
    let args = [&["confirm", "v"], sets.as_slice()].concat();
    let both: Vec<_> = (0..2).map(|_| visit.command(&args).stdout(Stdio::null()).spawn().unwrap()).collect();
    for mut child in both {
        assert_ne!(child.wait().unwrap().code(), Some(2));
    }
    let count = 2 * ENTERED.len() as u64;
    assert_eq!(visit.decided(), (1..=count).collect::<Vec<_>>(), "each has its own number and line");
    assert_eq!(visit.record()["facts"].as_array().unwrap().len(), ENTERED.len());
}

//! What is left when a program is killed, may not write, or finds a file edited into nonsense.
use super::office::{PROGRAM, files};
use super::report::photograph;
use super::visit::{Visit, kills, moments};
use std::process::{Command, Stdio};
use std::time::Instant;

/// Two visits in which the same words were corrected alike.
fn corrected() -> Visit {
    let visit = Visit::new();
    for name in ["v", "w"] {
        if name == "w" {
            visit.run(&["visit", "new", "w", "--inspector", "Ida Example", "--date", "2026-03-15"]);
        }
        std::fs::write(visit.path("a.txt"), "The cold inlet is beaks. No leaks.").unwrap();
        visit.run(&["visit", "add", name, "a.txt"]);
        assert_eq!(visit.run(&["draft", name]).status.code(), Some(1));
        visit.run(&["confirm", name, "--set", "inlet.material=pex"]);
    }
    visit
}

const LEARN: [&str; 7] = ["lexicon", "learn", ".", "--office", "office.toml", "--yes", "material-pex=beaks"];

#[test]
fn a_proposal_is_listed_and_written_only_when_it_was_said_yes_to() {
    let visit = corrected();
    let listed = visit.run(&LEARN[..5]);
    let told = String::from_utf8_lossy(&listed.stdout).into_owned();
    assert_eq!(listed.status.code(), Some(1), "{listed:?}");
    assert!(told.contains("material-pex=beaks: 'beaks' was inlet.material = pex 2 times"), "{told}");
    assert!(told.contains("\"The cold inlet is beaks.\" (./v, a.txt, decision 1, Ida Example)"), "{told}");
    assert!(!visit.path("office.toml").exists());
    let wrong = visit.run(&["lexicon", "learn", ".", "--yes", "material-pex=bills"]);
    assert_eq!(wrong.status.code(), Some(2), "{wrong:?}");
    assert_eq!(visit.run(&LEARN).status.code(), Some(0));
    let checked = visit.run(&["lexicon", "check", "office.toml"]);
    assert_ne!(checked.status.code(), Some(2), "{checked:?}");
    let read = visit.run(&["read", "w/notes/a.txt", "--lexicon", "office.toml"]);
    assert!(String::from_utf8_lossy(&read.stdout).contains("pex"), "{read:?}");
}

#[test]
fn killing_learn_at_any_moment_leaves_the_offices_file_whole() {
    let visit = corrected();
    let own = "about = \"Ours.\"\n";
    let file = visit.path("office.toml");
    std::fs::write(&file, own).unwrap();
    let begun = Instant::now();
    visit.run(&LEARN);
    let whole = begun.elapsed();
    let learned = std::fs::read_to_string(&file).unwrap();
    assert!(learned.starts_with(own) && learned.contains("beaks"));
    // Each run reads every example of the lexicon, which is slow.
    for pause in moments(whole, kills().div_ceil(8)) {
        std::fs::write(&file, own).unwrap();
        let mut child = visit.command(&LEARN).stdout(Stdio::piped()).stderr(Stdio::null()).spawn().unwrap();
        std::thread::sleep(pause);
        let _ = child.kill();
        let reported = String::from_utf8_lossy(&child.wait_with_output().unwrap().stdout).contains("wrote");
        let left = std::fs::read_to_string(&file).unwrap();
        assert!(left == learned || (left == own && !reported), "{left}");
    }
}

#[cfg(unix)]
#[test]
fn a_folder_that_may_not_be_written_is_left_as_it_is_and_the_error_says_what_to_do() {
    use std::os::unix::fs::PermissionsExt;
    let visit = Visit::new();
    visit.add_text("a.txt", "Fifty gallon water heater.");
    visit.run(&["draft", "v"]);
    photograph(&visit.path("pan.jpg"), "2026:03:14 11:23:10", 1);
    std::fs::write(visit.path("b.txt"), "No leaks.").unwrap();
    let allow = |mode: u32| {
        for folder in ["v", "v/notes", "v/photos", "v/transcripts", "v/report"] {
            std::fs::create_dir_all(visit.path(folder)).unwrap();
            std::fs::set_permissions(visit.path(folder), std::fs::Permissions::from_mode(mode)).unwrap();
        }
    };
    allow(0o555);
    let before = files(&visit.path("v"));
    // The superuser may write everywhere, unless that right is given up (util-linux's setpriv).
    let mighty = std::fs::write(visit.path("v/probe"), "x").is_ok();
    if mighty {
        std::fs::remove_file(visit.path("v/probe")).unwrap();
    }
    let run = |args: &[&str]| {
        let mut command = if mighty { Command::new("setpriv") } else { Command::new(PROGRAM) };
        if mighty {
            command.args(["--bounding-set=-dac_override,-dac_read_search", PROGRAM]);
        }
        command.args(args).current_dir(visit.path("")).output().unwrap()
    };
    for args in [
        vec!["confirm", "v", "--yes", "water-heater.capacity"],
        vec!["visit", "add", "v", "pan.jpg"],
        vec!["visit", "add", "v", "b.txt"],
        vec!["draft", "v"],
        vec!["report", "v", "--as", "pdf"],
    ] {
        let refused = run(&args);
        assert_eq!(refused.status.code(), Some(2), "{args:?}: {refused:?}");
        let told = String::from_utf8_lossy(&refused.stderr).into_owned();
        // The text is the C library's for EACCES.
        assert!(told.contains("make the folder writable") && told.contains("Permission denied"), "{args:?}: {told}");
        assert!(told.contains("'v"), "the file is named: {args:?}: {told}");
    }
    assert_eq!(run(&["show", "v"]).status.code(), Some(0), "reading goes on");
    assert!(before == files(&visit.path("v")), "nothing changed");
    allow(0o755);
    assert_eq!(visit.run(&["confirm", "v", "--yes", "water-heater.capacity"]).status.code(), Some(1));
}

#[test]
fn a_list_of_photographs_edited_into_nonsense_is_refused_with_its_line_while_the_rest_opens() {
    let visit = Visit::new();
    visit.add_text("a.txt", "Fifty gallon water heater.");
    visit.run(&["draft", "v"]);
    let nonsense = [
        ("{\"version\": 1,\n\"photographs\": 7}", "line 2"),
        (
            "{\"version\": 1, \"photographs\": [{\"name\": \"../../x\", \"sha256\": \"\", \"bytes\": 1, \"turn\": 1}]}",
            "'../../x'",
        ),
        ("{\"version\": 7, \"photographs\": []}", "newer hearsheet"),
    ];
    for (text, told) in nonsense {
        std::fs::write(visit.path("v/photos.json"), text).unwrap();
        let refused = visit.run(&["visit", "photos", "v"]);
        assert_eq!(refused.status.code(), Some(2), "{refused:?}");
        let error = String::from_utf8_lossy(&refused.stderr).into_owned();
        assert!(error.contains("photos.json") && error.contains(told), "{error}");
        assert_eq!(visit.run(&["show", "v"]).status.code(), Some(0));
        assert_eq!(visit.run(&["draft", "v"]).status.code(), Some(1));
    }
}

#[test]
fn a_reader_that_goes_away_ends_the_program_without_a_word() {
    use std::io::Write;
    let mut program = Command::new(PROGRAM);
    program.args(["read", "-", "--why"]).stdin(Stdio::piped()).stdout(Stdio::piped()).stderr(Stdio::piped());
    let mut child = program.spawn().unwrap();
    drop(child.stdout.take());
    let mut input = child.stdin.take().unwrap();
    input.write_all("The pan is dry. No leaks on the jacket. ".repeat(400).as_bytes()).unwrap();
    drop(input);
    let out = child.wait_with_output().unwrap();
    assert!(out.stderr.is_empty(), "{}", String::from_utf8_lossy(&out.stderr));
    // 128 and the number of SIGPIPE: what a shell shows for other programs that lost their reader.
    assert_eq!(out.status.code(), Some(141));
}

//! What the system refuses a batch: to read, to write, and room.
use super::office::{Office, PROGRAM, Told, assert_same, files};
use std::process::{Command, Output};

/// A root user may read everything, unless it gives up that right.
#[cfg(unix)]
#[test]
fn a_folder_without_permission_is_told_and_the_rest_is_done() {
    use std::os::unix::fs::PermissionsExt;
    let office = Office::with_visits(1);
    office.write("in/secret/a.txt", b"No pan.");
    office.write("in/closed/b.txt", b"The pan is missing.");
    let shut = |name: &str, mode| std::fs::set_permissions(office.path(name), PermissionsExt::from_mode(mode)).unwrap();
    shut("in/secret", 0o000);
    shut("in/closed/b.txt", 0o000);
    let mut command = Command::new("setpriv");
    command.args(["--bounding-set=-dac_override,-dac_read_search", PROGRAM]);
    command.args(["batch", "in", "--out", "out", "--json"]).current_dir(office.folder.path());
    // Who is not root has no such right to give up.
    let told = if std::fs::read_dir(office.path("in/secret")).is_ok() {
        Told::of(command.output().unwrap())
    } else {
        office.batch("out", &[])
    };
    shut("in/secret", 0o755);
    assert_eq!((told.code, told.count("failed")), (Some(1), 2), "{}", told.complaints);
    for file in ["secret", "closed/b.txt"] {
        let (reason, cure) = told.failure(file);
        // The text is the C library's for EACCES.
        assert!(reason.contains("Permission denied") && cure.contains("you may read it"), "{reason}; {cure}");
    }
    assert_eq!(told.count("drafted"), 1);
}

/// A script that sees a file system of its own at `out`, of which the tests of other systems know nothing.
#[cfg(target_os = "linux")]
fn on_a_small_disk(office: &Office, script: &str) -> Output {
    std::fs::create_dir_all(office.path("out")).unwrap();
    let user = std::fs::read_dir("/root").is_err();
    let flags = if user { "-rm" } else { "-m" };
    Command::new("unshare").args([flags, "sh", "-c", script]).current_dir(office.folder.path()).output().unwrap()
}

#[cfg(target_os = "linux")]
#[test]
fn a_disk_that_fills_up_costs_only_what_does_not_fit() {
    let office = Office::new();
    office.write("in/a/note.txt", b"There's no pan.");
    office.write("in/b/long.txt", "The pan is missing. ".repeat(50_000).as_bytes());
    office.write("in/c/note.txt", b"The pan is missing.");
    let script = format!(
        "mount -t tmpfs -o size=400k none out && {PROGRAM} batch in --out out --json --workers 1; code=$?; \
         cp -r out kept; exit $code"
    );
    let told = Told::of(on_a_small_disk(&office, &script));
    assert_eq!(told.code, Some(1), "{}", told.complaints);
    let (reason, cure) = told.failure("long.txt");
    assert!(reason.contains("No space left on device") && cure.contains("free some space"), "{reason}; {cure}");
    assert_eq!(told.count("drafted"), 2);
    let kept: Vec<bool> = ["a", "b", "c"].map(|v| office.path(&format!("kept/{v}/record.json")).exists()).into();
    assert_eq!(kept, [true, false, true]);
    assert!(!files(&office.path("kept")).keys().any(|name| name.to_string_lossy().contains(".part-")));
}

/// Whatever did not fit, whether a folder, a note, its words or a record, is told; with more room the same command ends
/// as if there had always been enough.
#[cfg(target_os = "linux")]
#[test]
fn a_disk_full_at_any_step_loses_nothing_once_there_is_room() {
    let office = Office::with_visits(3);
    assert_eq!(office.batch("whole", &[]).code, Some(0));
    let (mut failed, mut steps) = (0, std::collections::BTreeSet::new());
    for kilobytes in [4, 24, 44, 68, 92, 116] {
        let batch = format!("{PROGRAM} batch in --out out --json --workers 1");
        let script = format!(
            "mount -t tmpfs -o size={kilobytes}k none out && {{ {batch}; code=$?; mount -o remount,size=9m none out; \
             rm -rf kept; {batch} > again; again=$?; cp -r out kept; echo $code $again >&2; exit $code; }}"
        );
        let told = Told::of(on_a_small_disk(&office, &script));
        let codes = told.complaints.lines().last().unwrap().to_owned();
        assert!(["0 0", "1 0"].contains(&codes.as_str()), "{kilobytes} kB: {}", told.complaints);
        assert_eq!(told.count("failed") > 0, codes == "1 0", "{kilobytes} kB");
        for event in told.all("failed") {
            let (reason, cure) = (event["reason"].as_str().unwrap(), event["cure"].as_str().unwrap());
            assert!(reason.contains("No space left") && cure.contains("free some space"), "{reason}; {cure}");
            steps.extend(
                ["visit.toml", "notes", "transcripts", "record"].into_iter().find(|step| reason.contains(step)),
            );
        }
        failed += u32::from(codes == "1 0");
        assert_same(&office.path("whole"), &office.path("kept"));
    }
    assert!(failed >= 4 && steps.len() >= 3, "the disk was not full in {failed} runs, at {steps:?}");
}

//! `hearsheet quantity`, as typed.
use std::io::Write;
use std::process::{Command, Output, Stdio};

fn quantity(input: &[u8]) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_hearsheet"))
        .args(["quantity", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(input).unwrap();
    child.wait_with_output().unwrap()
}

#[test]
fn each_line_gives_one_object_with_its_quantities_and_their_characters() {
    let done = quantity("Größe: sixty to sixty five pounds\nnothing here\nten minutes\n".as_bytes());
    assert!(done.status.success());
    let lines: Vec<serde_json::Value> =
        String::from_utf8(done.stdout).unwrap().lines().map(|l| serde_json::from_str(l).unwrap()).collect();
    assert_eq!(lines.len(), 3);
    let first = &lines[0]["quantities"][0];
    // Counted in characters by hand: "Größe: " is seven of them, in nine bytes.
    assert_eq!(first["span"], serde_json::json!([7, 33]));
    assert_eq!(first["text"], "sixty to sixty five pounds");
    assert_eq!((&first["low"], &first["high"], &first["unit"]), (&60.0.into(), &65.0.into(), &"[lb_av]".into()));
    assert_eq!(lines[1]["quantities"], serde_json::json!([]));
    assert_eq!(lines[2]["quantities"][0]["distractor"], "duration");
}

#[test]
fn what_is_no_text_is_named_with_its_line_and_the_cure() {
    let done = quantity(b"ten volts\n\xff\xfe\n");
    assert_eq!(done.status.code(), Some(2));
    let message = String::from_utf8(done.stderr).unwrap();
    assert!(message.contains("line 2") && message.contains("UTF-8"), "{message}");
}

#[test]
fn a_missing_file_is_named() {
    let done = Command::new(env!("CARGO_BIN_EXE_hearsheet")).args(["quantity", "no-such.txt"]).output().unwrap();
    assert_eq!(done.status.code(), Some(2));
    assert!(String::from_utf8(done.stderr).unwrap().contains("no-such.txt"));
}

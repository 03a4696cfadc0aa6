//! `hearsheet scope` reads lines and says how each concept is meant.
use std::io::Write;
use std::process::{Command, Output, Stdio};

fn scope(lines: &[u8]) -> Output {
    let mut child = Command::new(env!("CARGO_BIN_EXE_hearsheet"))
        .args(["scope", "-"])
        .stdin(Stdio::piped())
        .stdout(Stdio::piped())
        .stderr(Stdio::piped())
        .spawn()
        .unwrap();
    child.stdin.take().unwrap().write_all(lines).unwrap();
    child.wait_with_output().unwrap()
}

#[test]
fn each_line_gets_one_word_in_its_order() {
    let out = scope(
        b"drip leg\tI see no drip leg.\npan\tThe pan is dry.\nleak\tPossible leak at the union.\n\
          pan\tIt should have a pan.\ntank\tSeller says the tank is new.\n",
    );
    let words = "negated\naffirmed\ndoubtful\nhypothetical\nhearsay\n";
    assert_eq!(String::from_utf8(out.stdout).unwrap(), words, "by the meaning of the sentences");
    assert_eq!(out.status.code(), Some(0));
}

#[test]
fn a_concept_that_is_not_in_its_sentence_is_unknown_and_named_on_standard_error() {
    let out = scope(b"flue\tNo pan.\nno tab here\npan\tNo pan.\r\n\xff\t\xff pan\n");
    let lines: Vec<&str> = std::str::from_utf8(&out.stdout).unwrap().lines().collect();
    assert_eq!(lines[..3], ["unknown", "unknown", "negated"], "the lines that can be read still are");
    let errors = String::from_utf8(out.stderr).unwrap();
    assert!(errors.contains("line 1: 'flue' is not in the sentence"), "{errors}");
    assert!(errors.contains("line 2: there is no TAB"), "{errors}");
    assert_eq!(out.status.code(), Some(2));
}

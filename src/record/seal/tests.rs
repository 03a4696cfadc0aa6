use super::*;
use crate::record::{About, Act, Decision, Stand, State, Value};

fn at() -> jiff::Timestamp {
    "2026-03-14T10:00:00Z".parse().unwrap()
}

/// A visit with one note, one decision and a record, signed once.
fn signed() -> (tempfile::TempDir, Visit) {
    let folder = tempfile::tempdir().unwrap();
    let about = About::new("41 Larkspur Lane", "2026-03-14".parse().unwrap());
    let visit = Visit::create(&folder.path().join("v"), about).unwrap();
    let note = folder.path().join("a.txt");
    std::fs::write(&note, "No pan.").unwrap();
    visit.add(&note).unwrap();
    decide(&visit);
    let record = visit.save_record(|_| Record { version: 1, ..Record::default() }).unwrap();
    visit.sign("Ida Example", at(), &record).unwrap();
    (folder, visit)
}

fn decide(visit: &Visit) {
    let is = Stand { value: Value::Text("past".into()), unit: None, state: State::Entered };
    let decision = Decision {
        version: 1,
        number: 0,
        at: at(),
        by: "Ida Example".into(),
        act: Act::Enter,
        fact: "casing.leak".parse().unwrap(),
        was: None,
        is: Some(is),
        why: None,
        photo: None,
        undoes: None,
        heard: Vec::new(),
        basis: Vec::new(),
    };
    visit.decide(|_| Ok(vec![decision])).unwrap();
}

fn broken(visit: &Visit) -> Vec<String> {
    let all = visit.verify().unwrap().into_iter();
    all.filter_map(|a| if let Alteration::Broken(what) = a { Some(what) } else { None }).collect()
}

fn spoil(visit: &Visit, name: &str) {
    let path = visit.root().join(name);
    let mut bytes = std::fs::read(&path).unwrap();
    bytes[0] ^= 1;
    std::fs::write(&path, bytes).unwrap();
}

#[test]
fn what_was_signed_and_left_alone_verifies() {
    let (_folder, visit) = signed();
    assert_eq!(visit.verify().unwrap(), []);
    let revision = visit.revision().unwrap();
    assert_eq!((revision.number, revision.seal.unwrap().by.as_str()), (1, "Ida Example"));
}

#[test]
fn each_altered_file_is_named() {
    for name in ["notes/a.txt", "decisions.jsonl", "sealed/record-1.json"] {
        let (_folder, visit) = signed();
        spoil(&visit, name);
        assert_eq!(broken(&visit), [format!("{name} was altered (revision 1)")]);
        assert_eq!(visit.revision().unwrap(), Revision { number: 2, seal: None }, "an altered revision is not signed");
    }
}

#[test]
fn a_journal_cut_short_and_a_note_taken_out_are_seen() {
    let (_folder, visit) = signed();
    std::fs::write(visit.journal_path(), "").unwrap();
    std::fs::remove_file(visit.note_path("a.txt")).unwrap();
    assert_eq!(broken(&visit), ["notes/a.txt is gone (revision 1)", "decisions.jsonl is gone (revision 1)"]);
}

#[test]
fn a_change_after_signing_makes_a_new_revision_and_breaks_nothing() {
    let (_folder, visit) = signed();
    decide(&visit);
    assert_eq!(visit.verify().unwrap(), [Alteration::Since("1 decision was made".into())]);
    assert_eq!(visit.revision().unwrap(), Revision { number: 2, seal: None });
    visit.sign("Rex Example", at(), &visit.record().unwrap()).unwrap();
    assert_eq!(visit.revision().unwrap().number, 2);
    assert_eq!(visit.verify().unwrap(), []);
    assert_eq!(visit.seals().unwrap().len(), 2, "the first signature stays");
}

#[test]
fn a_seal_that_was_edited_no_longer_follows() {
    let (_folder, visit) = signed();
    decide(&visit);
    visit.sign("Ida Example", at(), &visit.record().unwrap()).unwrap();
    let path = visit.root().join("seals.jsonl");
    let text = std::fs::read_to_string(&path).unwrap();
    std::fs::write(&path, text.replacen("Ida Example", "Eve Example", 1)).unwrap();
    assert!(broken(&visit)[0].contains("revision 2 does not follow"), "{:?}", broken(&visit));
}

#[test]
fn a_record_that_nobody_saw_is_not_signed() {
    let (_folder, visit) = signed();
    let other = Record { version: 1, remarks: vec!["unseen".into()], ..Record::default() };
    assert!(matches!(visit.sign("Ida Example", at(), &other), Err(Error::Moved { .. })));
    assert_eq!(visit.seals().unwrap().len(), 1);
}

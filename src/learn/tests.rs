use super::*;
use crate::confirm::{Answer, Session};
use crate::draft::{Cause, Draft, Ears};
use crate::recognize::Memory;
use crate::record::{About, FactName, Value, Visit};

/// Nobody hears anything here: all notes are typed.
struct Deaf;

impl Ears for Deaf {
    fn model(&mut self) -> Result<String, Cause> {
        Err("no model".into())
    }

    fn hear(&mut self, _: &Path, _: &[[u64; 2]], _: &mut dyn Memory) -> Result<Transcript, Cause> {
        Err("no model".into())
    }
}

/// A visit with one typed note, in which a person gave these answers.
fn visited(root: &Path, name: &str, words: &str, answers: &[(&str, Answer)]) {
    let visit = Visit::create(&root.join(name), About::new(name, "2026-03-14".parse().unwrap())).unwrap();
    let note = root.join(format!("{name}.txt"));
    std::fs::write(&note, words).unwrap();
    visit.add(&note).unwrap();
    let draft = Draft::make(&visit, &mut Deaf, &mut |_| {}).unwrap();
    draft.save().unwrap();
    let mut session = Session::new(&draft, "Ida Example").unwrap();
    for (fact, answer) in answers {
        let name: FactName = fact.parse().unwrap();
        session.settle(&name, None, answer.clone()).unwrap();
    }
}

fn set(value: &str) -> Answer {
    Answer::Set(Value::Text(value.into()), None)
}

/// Two visits whose inspector heard "pex" written as "beaks", and said so.
fn office() -> (tempfile::TempDir, PathBuf) {
    let folder = tempfile::tempdir().unwrap();
    let root = folder.path().join("visits");
    std::fs::create_dir(&root).unwrap();
    visited(&root, "a", "The cold inlet is beaks. No leaks.", &[("inlet.material", set("pex"))]);
    visited(&root, "b", "Cold inlet, beaks.", &[("inlet.material", set("pex"))]);
    (folder, root)
}

#[test]
fn what_was_corrected_twice_is_proposed_with_its_proof_and_once_a_person_agrees_it_is_read() {
    let (folder, root) = office();
    let found = lessons(&root, &[], 2).unwrap();
    let [proposal] = found.proposals.as_slice() else { panic!("{found:?}") };
    assert_eq!((proposal.id.as_str(), proposal.fact.as_deref()), ("material-pex=beaks", Some("inlet.material = pex")));
    let proofs: Vec<_> = proposal.proofs.iter().map(|p| (p.note.as_str(), p.words.as_str(), p.decision)).collect();
    assert_eq!(proofs, [("a.txt", "The cold inlet is beaks.", 1), ("b.txt", "Cold inlet, beaks.", 1)]);
    let file = folder.path().join("office.toml");
    keep(&file, &[proposal]).unwrap();
    let taught = Lexicon::with_office(std::slice::from_ref(&file)).unwrap();
    let reading = read::facts(&Transcript::from_text("Cold inlet is in beaks."), &taught, "");
    let read: Vec<_> = reading.facts.iter().map(|f| format!("{} = {}", f.key(), f.value)).collect();
    assert!(read.contains(&"inlet.material = pex".to_owned()), "{read:?}");
    assert_eq!(lessons(&root, &[file], 2).unwrap().proposals, [], "what is known is proposed no more");
}

#[test]
fn nothing_is_written_by_itself() {
    let (folder, root) = office();
    lessons(&root, &[], 1).unwrap();
    let names: Vec<_> = std::fs::read_dir(folder.path()).unwrap().map(|e| e.unwrap().file_name()).collect();
    assert_eq!(names, ["visits"]);
}

#[test]
fn what_was_corrected_once_waits_for_a_second_time() {
    let folder = tempfile::tempdir().unwrap();
    visited(folder.path(), "a", "The cold inlet is beaks.", &[("inlet.material", set("pex"))]);
    assert_eq!(lessons(folder.path(), &[], 2).unwrap().proposals, []);
    assert_eq!(lessons(folder.path(), &[], 1).unwrap().proposals.len(), 1);
}

#[test]
fn a_usual_word_that_was_corrected_teaches_nothing() {
    let folder = tempfile::tempdir().unwrap();
    for name in ["a", "b"] {
        visited(folder.path(), name, "The cold inlet is copper.", &[("inlet.material", set("pex"))]);
        visited(folder.path(), &format!("{name}-2"), "Active leak at the tank.", &[("casing.leak", Answer::No)]);
    }
    let found = lessons(folder.path(), &[], 2).unwrap();
    assert_eq!(found.proposals, [], "copper is no other word for PEX, and a leak stays a leak");
    assert!(found.usual.iter().any(|(words, times)| words.contains("leak") && *times == 2), "{:?}", found.usual);
}

#[test]
fn an_existing_file_is_added_to_and_a_damaged_one_is_left_alone() {
    let (folder, root) = office();
    let found = lessons(&root, &[], 2).unwrap();
    let file = folder.path().join("office.toml");
    let own = "about = \"Ours.\"\n\n[[more]]\nof = \"expansion-tank\"\nsays = [\"bladder bottle\"]\nyes = [{ text = \"No bladder bottle.\", fact = \"expansion-tank.presence = absent\" }]\n";
    std::fs::write(&file, own).unwrap();
    keep(&file, &[&found.proposals[0]]).unwrap();
    assert!(std::fs::read_to_string(&file).unwrap().starts_with(own), "what the office wrote stands as it was");
    std::fs::write(&file, "about = ").unwrap();
    assert!(keep(&file, &[&found.proposals[0]]).is_err());
    assert_eq!(std::fs::read_to_string(&file).unwrap(), "about = ");
}

//! A person at the prompts, and what is left on the disk.
use super::*;
use crate::draft::Draft;
use crate::read::Reading;
use crate::record::{About, Act, Evidence, Fact, FactName, State, Value, Visit};
use std::collections::VecDeque;

/// Facts by name, value and confidence, as if one note had said them.
pub fn draft(facts: &[(&str, Value, f64)]) -> (tempfile::TempDir, Draft) {
    let folder = tempfile::tempdir().unwrap();
    let about =
        About { inspector: "Ida Example".into(), ..About::new("41 Larkspur Lane", "2026-03-14".parse().unwrap()) };
    let visit = Visit::create(&folder.path().join("v"), about).unwrap();
    let fact = |(at, (name, value, confidence)): (usize, &(&str, Value, f64))| {
        let name: FactName = name.parse().unwrap();
        let evidence = vec![Evidence {
            note: "a.wav".into(),
            words: format!("{} {value}", name.attribute),
            start_ms: Some(12_300 + 4_100 * at as u64),
            end_ms: Some(13_900 + 4_100 * at as u64),
            ..Evidence::default()
        }];
        let bare = Fact::new(&name.component, &name.attribute, value.clone());
        Fact { item: name.item, place: name.place, confidence: *confidence, evidence, ..bare }
    };
    let reading = Reading { facts: facts.iter().enumerate().map(fact).collect(), ..Reading::default() };
    let draft = Draft::of_readings(&visit, vec![("a.wav".into(), reading)]);
    (folder, draft)
}

pub fn word(text: &str) -> Value {
    Value::Text(text.into())
}

/// What was decided, as `act fact=value`.
pub fn decided(draft: &Draft) -> Vec<String> {
    let journal = draft.visit.journal().unwrap();
    let value =
        |d: &crate::record::Decision| d.is.as_ref().or(d.was.as_ref()).map(|s| s.value.to_string()).unwrap_or_default();
    journal.decisions.iter().map(|d| format!("{:?} {}={}", d.act, d.fact, value(d)).to_lowercase()).collect()
}

/// A person whose keys and lines are known beforehand.
struct Person {
    keys: VecDeque<Key>,
    lines: VecDeque<&'static str>,
    shown: String,
}

impl Person {
    fn pressing(keys: &str) -> Person {
        let key = |c| if c == '\n' { Key::Other } else { Key::Char(c) };
        Person { keys: keys.chars().map(key).collect(), lines: VecDeque::new(), shown: String::new() }
    }
}

impl Terminal for Person {
    fn say(&mut self, text: &str) -> std::io::Result<()> {
        self.shown += text;
        self.shown += "\n";
        Ok(())
    }

    fn key(&mut self) -> std::io::Result<Key> {
        Ok(self.keys.pop_front().unwrap_or(Key::End))
    }

    fn play(&mut self, _: &[i16]) -> Result<(), String> {
        Ok(())
    }

    fn line(&mut self, prompt: &str) -> std::io::Result<String> {
        self.shown += prompt;
        Ok(self.lines.pop_front().unwrap_or_default().to_owned())
    }
}

fn walk_as(draft: &Draft, person: &mut Person) -> bool {
    let mut session = Session::new(draft, "Ida Example").unwrap();
    walk(draft, &mut session, person).unwrap()
}

#[test]
fn enter_and_unknown_keys_accept_nothing() {
    let (_folder, draft) = draft(&[("casing.leak", word("past"), 0.5)]);
    let mut person = Person::pressing("\n\n x\n");
    assert!(!walk_as(&draft, &mut person), "the person stopped");
    assert_eq!(decided(&draft), [""; 0]);
}

#[test]
fn each_question_shows_words_note_value_and_how_sure() {
    let (_folder, draft) = draft(&[("water-heater.capacity", Value::Number(50.0), 0.62)]);
    let mut person = Person::pressing("q");
    walk_as(&draft, &mut person);
    for part in ["water-heater.capacity", "50", "capacity 50", "a.wav", "0.62", "y yes"] {
        assert!(person.shown.contains(part), "'{part}' is not in {}", person.shown);
    }
    assert!(person.shown.lines().all(|l| l.chars().count() <= 80), "{}", person.shown);
}

#[test]
fn yes_no_and_another_value_are_written_down_at_once() {
    let facts = [
        ("casing.leak", word("past"), 0.3),
        ("casing.damage", word("present"), 0.5),
        ("inlet.material", word("pex"), 0.6),
    ];
    let (_folder, draft) = draft(&facts);
    // casing.leak is in a rule of class defect, the others in none: it is asked first. 1 of inlet.material is copper.
    let mut person = Person::pressing("yna1");
    assert!(walk_as(&draft, &mut person));
    assert_eq!(
        decided(&draft),
        ["confirm casing.leak=past", "reject casing.damage=present", "amend inlet.material=copper"]
    );
}

#[test]
fn a_number_is_typed_and_a_slip_is_asked_again() {
    let (_folder, draft) = draft(&[("water-heater.capacity", Value::Number(15.0), 0.5)]);
    let mut person = Person::pressing("a");
    person.lines = ["fifty-ish", "50"].into();
    walk_as(&draft, &mut person);
    assert_eq!(decided(&draft), ["amend water-heater.capacity=50"]);
}

#[test]
fn a_number_is_never_accepted_with_others() {
    let facts = [
        ("water-heater.capacity", Value::Number(50.0), 0.99),
        ("casing.leak", word("past"), 0.99),
        ("casing.damage", word("none"), 0.99),
    ];
    let (_folder, draft) = draft(&facts);
    let mut person = Person::pressing("AyA");
    assert!(walk_as(&draft, &mut person));
    // The first A meets the number, for which it is no answer.
    assert_eq!(
        decided(&draft),
        ["confirm water-heater.capacity=50", "confirm casing.leak=past", "confirm casing.damage=none"]
    );
    assert!(person.shown.contains("casing.damage"), "every statement stood on the screen before it was accepted");
}

#[test]
fn what_cannot_be_heard_is_said_and_answers_nothing() {
    let (_folder, draft) = draft(&[("casing.leak", word("past"), 0.5)]);
    let mut person = Person::pressing("h");
    walk_as(&draft, &mut person);
    assert!(person.shown.contains("cannot read"), "the recording is missing: {}", person.shown);
    assert_eq!(decided(&draft), [""; 0]);
}

#[test]
fn the_other_statement_is_chosen_by_its_number() {
    let (_folder, draft) = draft(&[("casing.leak", word("past"), 0.9), ("casing.leak", word("active"), 0.9)]);
    let mut person = Person::pressing("1");
    assert!(walk_as(&draft, &mut person));
    assert_eq!(decided(&draft), ["confirm casing.leak=active"]);
    let states: Vec<State> = draft.visit.record().unwrap().facts.iter().map(|f| f.state).collect();
    assert_eq!(states, [State::Rejected, State::Confirmed]);
}

#[test]
fn undo_asks_again_and_is_an_entry_of_its_own() {
    let (_folder, draft) = draft(&[("casing.leak", word("past"), 0.5), ("inlet.leak", word("past"), 0.6)]);
    let mut person = Person::pressing("nuyy");
    assert!(walk_as(&draft, &mut person));
    assert_eq!(
        decided(&draft),
        ["reject casing.leak=past", "undo casing.leak=past", "confirm casing.leak=past", "confirm inlet.leak=past"]
    );
}

#[test]
fn an_answer_tells_which_findings_come_and_go() {
    let (_folder, draft) = draft(&[("casing.leak", word("active"), 0.95), ("casing.damage", word("none"), 0.5)]);
    let mut session = Session::new(&draft, "Ida Example").unwrap();
    let leak = session.record.facts[0].clone();
    let outcome = session.answer(&leak, Answer::Set(word("past"), None)).unwrap();
    let rules = |list: &[crate::record::Concern]| list.iter().map(|c| c.rule.clone()).collect::<Vec<_>>();
    // An active leak is a defect, an old one is to be watched (rules.toml).
    assert_eq!((rules(&outcome.gone), rules(&outcome.new)), (vec!["active-leak".into()], vec!["past-leak".into()]));
}

#[test]
fn what_is_left_is_not_asked_again_in_this_session_and_stays_unconfirmed() {
    let (_folder, draft) = draft(&[("casing.leak", word("past"), 0.5)]);
    let mut session = Session::new(&draft, "Ida Example").unwrap();
    walk(&draft, &mut session, &mut Person::pressing("l")).unwrap();
    assert_eq!((session.asks().len(), session.unconfirmed()), (0, 1));
    assert!(matches!(session.sign("Ida Example"), Err(Error::Unsettled { left: 1 })), "and nothing is signed");
}

#[test]
fn signing_seals_what_was_settled() {
    let (_folder, draft) = draft(&[("casing.leak", word("past"), 0.5)]);
    let mut session = Session::new(&draft, "Ida Example").unwrap();
    walk(&draft, &mut session, &mut Person::pressing("y")).unwrap();
    let seal = session.sign("Ida Example").unwrap();
    assert_eq!((seal.revision, draft.visit.verify().unwrap()), (1, vec![]));
    assert_eq!(draft.visit.journal().unwrap().decisions[0].act, Act::Confirm);
}

use super::*;
use crate::record::{About, Record};

fn day(text: &str) -> jiff::civil::Date {
    text.parse().unwrap()
}

fn visit(root: &Path, name: &str, date: &str, facts: Vec<Fact>) {
    let visit = Visit::create(&root.join(name), About::new(name, day(date))).unwrap();
    visit.save_record(|_| Record { version: 1, facts, ..Record::default() }).unwrap();
}

fn fact(key: &str, confidence: f64) -> Fact {
    let (component, attribute) = key.split_once('.').unwrap();
    Fact { confidence, ..Fact::new(component, attribute, Value::Text("x".into())) }
}

fn names(root: &Path) -> Vec<String> {
    queue(root, day("2026-03-20")).unwrap().into_iter().map(|w| w.property).collect()
}

#[test]
fn the_oldest_and_most_risky_come_first_and_the_finished_last() {
    let root = tempfile::tempdir().unwrap();
    visit(root.path(), "old", "2026-03-10", vec![fact("casing.damage", 0.6)]);
    visit(root.path(), "new", "2026-03-19", vec![fact("casing.damage", 0.6)]);
    visit(root.path(), "new-and-risky", "2026-03-19", vec![fact("gas-line.leak", 0.6)]);
    let done = Fact { state: State::Confirmed, ..fact("gas-line.leak", 1.0) };
    visit(root.path(), "done", "2025-01-01", vec![done]);
    // Days waited by risk: 11 × 0.4 for the old, 2 × 0.4 for the new, 2 × 10 × 0.4 for the risky.
    assert_eq!(names(root.path()), ["new-and-risky", "old", "new", "done"]);
}

#[test]
fn counts_are_those_of_the_record() {
    let root = tempfile::tempdir().unwrap();
    let mut disputed = fact("inlet.leak", 0.5);
    disputed.disputed = true;
    let rejected = Fact { state: State::Rejected, ..fact("outlet.leak", 0.2) };
    visit(
        root.path(),
        "v",
        "2026-03-10",
        vec![fact("casing.leak", 0.95), fact("casing.damage", 0.4), disputed, rejected],
    );
    let all = queue(root.path(), day("2026-03-20")).unwrap();
    let counts = (all[0].facts, all[0].unconfirmed, all[0].doubtful, all[0].disputed);
    assert_eq!(counts, (3, 3, 2, 1));
}

#[test]
fn visits_are_found_at_any_depth_and_a_damaged_one_is_listed_with_its_problem() {
    let root = tempfile::tempdir().unwrap();
    visit(root.path(), "a", "2026-03-10", vec![]);
    std::fs::create_dir_all(root.path().join("2026/march")).unwrap();
    visit(&root.path().join("2026/march"), "b", "2026-03-10", vec![]);
    std::fs::write(root.path().join("2026/march/b/record.json"), "{").unwrap();
    let all = queue(root.path(), day("2026-03-20")).unwrap();
    assert_eq!(all.len(), 2);
    assert_eq!(all[0].property, "b", "what cannot be read may hide anything");
    assert!(all[0].problem.as_ref().unwrap().contains("record.json' line 1"), "{:?}", all[0]);
}

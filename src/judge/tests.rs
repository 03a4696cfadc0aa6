use super::*;
use crate::record::OpenKind;

/// What is drawn from facts written as the rules' examples are.
fn judged(text: &str) -> Judgement {
    let rules = Rules::shipped().unwrap();
    // Ages are counted to a fixed year.
    let context = Context { today: jiff::civil::date(2026, 1, 1), ..Context::default() };
    judge(&facts_from_text(text, &rules.catalogue).unwrap(), &[], &rules, &context)
}

fn conditional(judgement: &Judgement) -> Vec<String> {
    let asked = judgement.open.iter().filter(|q| q.kind == OpenKind::Conditional);
    asked.map(|q| format!("{}.{}", q.component, q.attribute)).collect()
}

#[test]
fn an_absent_pan_with_no_word_on_what_stands_around_asks_and_accuses_nothing() {
    // Expected: the rule pan-missing of the rules' table, and a finish that nobody told.
    let judgement = judged("drain-pan.presence = absent");
    assert!(judgement.concerns.is_empty());
    assert_eq!(conditional(&judgement), ["surround.finish"]);
}

//! The tree and its bonuses over a vocabulary of single bytes, where tokens are letters.
use super::*;

fn letters() -> Vocabulary {
    Vocabulary::new((0..=255u8).map(|b| vec![b]))
}

fn tokens(text: &str) -> Vec<u32> {
    text.bytes().map(u32::from).collect()
}

fn pull(forms: &[&str]) -> Pull {
    let forms: Vec<String> = forms.iter().map(|f| (*f).to_owned()).collect();
    Pull::new(&forms, &letters(), Strength { first: 1.0, step: 0.5, most: 2.0 }, 0)
}

fn bonus(pull: &Pull, before: &str, next: char) -> f32 {
    let bonuses = pull.bonuses(&tokens(before));
    bonuses.iter().find(|(t, _)| *t == next as u32).map_or(0.0, |(_, b)| *b)
}

#[test]
fn the_bonus_grows_with_the_depth_to_its_most() {
    let pull = pull(&["flue"]);
    // first 1, then half a step more each token, at most 2.
    assert_eq!(bonus(&pull, "the", ' '), 1.0);
    assert_eq!(bonus(&pull, "the ", 'f'), 1.5);
    assert_eq!(bonus(&pull, "the f", 'l'), 2.0);
    assert_eq!(bonus(&pull, "the fl", 'u'), 2.0);
}

#[test]
fn a_term_left_unfinished_gives_nothing_on() {
    let pull = pull(&["flue"]);
    assert_eq!(bonus(&pull, "the flo", 'u'), 0.0);
    assert_eq!(bonus(&pull, "the flo", 'e'), 0.0);
    assert_eq!(bonus(&pull, "the fl", 'o'), 0.0);
}

#[test]
fn a_term_that_just_ended_does_not_pull_again() {
    let pull = pull(&["flue"]);
    assert_eq!(bonus(&pull, "the flue", ' '), 0.0);
    assert_eq!(bonus(&pull, "the flue a", ' '), 1.0);
}

#[test]
fn every_casing_pulls() {
    let pull = pull(&["t and p", "PVC"]);
    for begun in [" T an", " t an", " T An"] {
        assert!(bonus(&pull, begun, 'd') > 1.0, "{begun}");
    }
    assert_eq!(bonus(&pull, " T AN", 'D'), 0.0);
    for begun in [" PV", " pv", " Pv"] {
        assert!(bonus(&pull, begun, 'C').max(bonus(&pull, begun, 'c')) > 1.0, "{begun}");
    }
}

#[test]
fn terms_with_a_common_beginning_share_it_and_the_largest_bonus_counts_once() {
    let pull = pull(&["relief valve", "relief line", "valve"]);
    assert_eq!(bonus(&pull, " relief ", 'v'), 2.0);
    assert_eq!(bonus(&pull, " relief ", 'l'), 2.0);
    let bonuses = pull.bonuses(&tokens(" relief "));
    let mut seen: Vec<u32> = bonuses.iter().map(|(t, _)| *t).collect();
    seen.dedup();
    assert_eq!(seen.len(), bonuses.len());
}

#[test]
fn a_term_may_begin_without_a_space_at_the_beginning_and_after_a_sign() {
    let pull = pull(&["flue"]);
    assert_eq!(bonus(&pull, "", 'f'), 1.0);
    assert_eq!(bonus(&pull, "f", 'l'), 1.5);
    assert_eq!(bonus(&pull, "the (", 'f'), 1.0);
    assert_eq!(bonus(&pull, "ef", 'l'), 0.0);
    assert_eq!(bonus(&pull, "e", 'f'), 0.0);
}

#[test]
fn a_common_token_gets_no_bonus_as_the_first_and_all_of_it_further_on() {
    let strength = Strength { first: 1.0, step: 0.5, most: 2.0 };
    // Letters are numbered by their bytes: "a" and "d" are common here, "s" is not.
    let pull = Pull::new(&["asd".to_owned()], &letters(), strength, u32::from(b'd') + 1);
    assert_eq!(bonus(&pull, "", 'a'), 0.0);
    assert_eq!(bonus(&pull, "a", 's'), 1.5);
    assert_eq!(bonus(&pull, "as", 'd'), 2.0);
}

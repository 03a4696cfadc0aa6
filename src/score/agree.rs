//! When a stated fact is the labelled one.
use crate::lexicon::{Catalogue, Kind};
use crate::record::{Fact, Value};

/// Numbers agree within this share of the labelled one: labels are rounded to two places.
const NUMBER_TOLERANCE: f64 = 0.01;
/// Free text agrees when at least this share of the longer one's words is common to both.
const TEXT_SHARE: f64 = 0.5;

/// How well a stated fact agrees with a labelled one: 0 is not at all, 1 is the same.
///
/// Component, attribute and item must be equal; the place on the part is not compared.
pub fn agreement(wanted: &Fact, stated: &Fact, catalogue: &Catalogue) -> f64 {
    let same =
        wanted.component == stated.component && wanted.attribute == stated.attribute && wanted.item == stated.item;
    if !same {
        return 0.0;
    }
    let kind = catalogue.row(&wanted.component, &wanted.attribute).map_or(Kind::Text, |row| row.kind);
    same_value(kind, &wanted.attribute, &wanted.value, &stated.value)
}

/// How well two values of one attribute agree, 0 to 1.
pub fn same_value(kind: Kind, attribute: &str, wanted: &Value, stated: &Value) -> f64 {
    match (wanted, stated) {
        (Value::Number(wanted), Value::Number(stated)) => number_agreement(kind, *wanted, *stated),
        (Value::Text(wanted), Value::Text(stated)) => match kind {
            Kind::Text if matches!(attribute, "model" | "serial") => sure(code(wanted) == code(stated)),
            Kind::Text => text_agreement(wanted, stated),
            _ => sure(wanted == stated),
        },
        _ => 0.0,
    }
}

/// A year must be exact, since one percent of it is twenty years; of two close numbers the closer agrees better.
fn number_agreement(kind: Kind, wanted: f64, stated: f64) -> f64 {
    let off = (wanted - stated).abs();
    let room = if kind == Kind::Year { 0.0 } else { NUMBER_TOLERANCE * wanted.abs() };
    match (off <= room, room > 0.0) {
        (false, _) => 0.0,
        (true, true) => 1.0 - 0.5 * off / room,
        (true, false) => 1.0,
    }
}

/// A spelled code without case, space, hyphen or other marks.
fn code(text: &str) -> String {
    text.chars().filter(|c| c.is_alphanumeric()).flat_map(char::to_lowercase).collect()
}

/// The share of the longer text's words that both have, where it is enough.
fn text_agreement(wanted: &str, stated: &str) -> f64 {
    let (wanted, mut stated) = (words(wanted), words(stated));
    let longer = wanted.len().max(stated.len());
    let mut common = 0;
    for word in &wanted {
        if let Some(at) = stated.iter().position(|s| s == word) {
            stated.swap_remove(at);
            common += 1;
        }
    }
    let share = if longer == 0 { 0.0 } else { common as f64 / longer as f64 };
    if share >= TEXT_SHARE { share } else { 0.0 }
}

fn words(text: &str) -> Vec<String> {
    let cut = text.split(|c: char| !c.is_alphanumeric() && c != '\'');
    cut.filter(|w| !w.is_empty()).map(str::to_lowercase).collect()
}

fn sure(same: bool) -> f64 {
    if same { 1.0 } else { 0.0 }
}

/// Which of two lists belong together: each element at most once, the best agreement first.
///
/// Gives the pairs (index in the first list, index in the second).
pub(super) fn pair(firsts: usize, seconds: usize, agreement: impl Fn(usize, usize) -> f64) -> Vec<(usize, usize)> {
    let mut found: Vec<(f64, usize, usize)> = Vec::new();
    for first in 0..firsts {
        found.extend((0..seconds).map(|second| (agreement(first, second), first, second)).filter(|f| f.0 > 0.0));
    }
    found.sort_by(|a, b| b.0.total_cmp(&a.0).then(a.1.cmp(&b.1)).then(a.2.cmp(&b.2)));
    let mut pairs: Vec<(usize, usize)> = Vec::new();
    for (_, first, second) in found {
        if pairs.iter().all(|p| p.0 != first && p.1 != second) {
            pairs.push((first, second));
        }
    }
    pairs
}

#[cfg(test)]
mod tests {
    use super::*;

    fn text(kind: Kind, attribute: &str, wanted: &str, stated: &str) -> bool {
        same_value(kind, attribute, &Value::Text(wanted.into()), &Value::Text(stated.into())) > 0.0
    }

    fn number(kind: Kind, wanted: f64, stated: f64) -> bool {
        same_value(kind, "any", &Value::Number(wanted), &Value::Number(stated)) > 0.0
    }

    #[test]
    fn numbers_agree_within_one_percent_and_years_exactly() {
        assert!(number(Kind::Number, 58.02, 58.0), "0.02 of 58.02 is 0.03 %");
        assert!(number(Kind::Number, 100.0, 101.0), "exactly 1 %");
        assert!(!number(Kind::Number, 100.0, 101.1), "1.1 %");
        assert!(number(Kind::Number, 0.0, 0.0));
        assert!(!number(Kind::Year, 2019.0, 2018.0), "0.05 % and yet another year");
        assert!(number(Kind::Year, 2019.0, 2019.0));
    }

    #[test]
    fn spelled_codes_agree_without_case_space_and_hyphen() {
        assert!(text(Kind::Text, "model", "HE52D", "he-52 d"));
        assert!(!text(Kind::Text, "serial", "R14662B", "R1466B"));
    }

    #[test]
    fn places_and_makers_agree_by_half_of_the_longer_ones_words() {
        assert!(text(Kind::Text, "place", "hall closet", "closet"), "one of two words");
        assert!(text(Kind::Text, "brand", "Tern and Pike", "tern pike"), "two of three words");
        assert!(!text(Kind::Text, "place", "second floor laundry", "laundry"), "one of three words");
        assert!(!text(Kind::Text, "brand", "Halvorsen", "Halverson"));
        assert!(!text(Kind::Text, "place", "garage garage", "attached garage slab"), "one of three words");
    }

    #[test]
    fn choices_agree_by_letter_and_a_word_is_no_number() {
        assert!(text(Kind::Choice, "leak", "none-seen", "none-seen"));
        assert!(!text(Kind::Choice, "leak", "none-seen", "none"));
        assert_eq!(same_value(Kind::Number, "size", &Value::Number(1.0), &Value::Text("1".into())), 0.0);
    }

    #[test]
    fn each_element_is_paired_once_and_the_best_pair_first() {
        // Rows are wanted, columns stated: 0 agrees with both, 1 only with the first; best first gives 0-1, 1-0.
        let agreement = [[0.6, 0.9], [0.7, 0.0]];
        assert_eq!(pair(2, 2, |a, b| agreement[a][b]), [(0, 1), (1, 0)]);
        // Said twice, wanted once: one pair, the second statement is left over.
        assert_eq!(pair(1, 2, |_, _| 1.0), [(0, 0)]);
    }
}

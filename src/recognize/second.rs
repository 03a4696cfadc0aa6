//! The second hearing: a stretch that was heard unsurely is heard once more, more carefully.
//!
//! The first hearing cuts the model's context to the stretch and takes the likeliest token at each step; where that gives
//! nothing or goes in circles, it is done over in the whole context that the model was trained with. The second hearing
//! follows several beams in the whole context. The better of both is kept; a number on which they differ is unsure, however
//! sure either was of it.
use super::{Word, digits};
use crate::lexicon::number_word;

/// A stretch whose words are less sure than this on the whole is heard again.
const UNSURE: f32 = 0.65;
/// So is one with a number less sure than this: a wrong reading is worse than a wrong word.
const UNSURE_NUMBER: f32 = 0.4;
/// What a number on which two hearings differ is worth.
const DISPUTED: f32 = 0.3;
/// Digits may be so many times less sure than the words heard before ...
const LIKELY: f32 = 1.5;
/// ... or so many, where none of those is a word that inspectors say by itself ...
const SENSELESS: f32 = 3.0;
/// ... or so many, where those are fewer than there are bursts of voice, so that they cannot be all that was said.
const LESS_LIKELY: f32 = 6.0;
/// A run of so many words, said three times over, is a model that goes in circles.
const CIRCLE: usize = 3;

/// Whether a stretch should be heard again.
pub fn is_wanted(words: &[Word]) -> bool {
    sureness(words) < UNSURE || words.iter().any(|w| w.probability < UNSURE_NUMBER && tells_number(w))
}

/// The better of two hearings of the same stretch.
pub fn settle(first: Vec<Word>, second: Vec<Word>) -> Vec<Word> {
    // A hearing that gave up half-way is often very sure of the little that it has.
    let enough = second.len() * 3 >= first.len() * 2;
    let better = enough && !goes_in_circles(&second) && sureness(&second) > sureness(&first);
    let (mut kept, other) = if better { (second, first) } else { (first, second) };
    dispute(&mut kept, &other);
    kept
}

/// Makes the numbers unsure that have no equal in another hearing.
fn dispute(words: &mut [Word], other: &[Word]) {
    for at in unmatched(words, other) {
        if tells_number(&words[at]) {
            words[at].probability = words[at].probability.min(DISPUTED);
        }
    }
}

/// Of two hearings of digits the surer, of those that are as many as were spoken.
pub fn surer(one: Vec<Word>, other: Vec<Word>, count: usize) -> Vec<Word> {
    let whole = |words: &[Word]| digits::told(words) == (count, count);
    let better = whole(&other) && (!whole(&one) || sureness(&other) > sureness(&one));
    if better { other } else { one }
}

/// Digits heard one by one: they stand where they are hardly less likely than the words heard before, or where most of
/// those were digits too, but too few or too many. `sense` is whether any of those is a word that inspectors say by itself.
pub fn counted(words: Vec<Word>, mut digits: Vec<Word>, count: usize, sense: bool) -> Vec<Word> {
    let whole = digits::told(&digits) == (count, count);
    let (before, all) = digits::told(&words);
    let margin = match (words.len() < count, sense) {
        (true, _) => LESS_LIKELY,
        (false, false) => SENSELESS,
        (false, true) => LIKELY,
    };
    let likely = sureness(&digits) * margin > sureness(&words) || before * 2 > all;
    if !whole || !likely {
        return words;
    }
    dispute(&mut digits, &words);
    digits
}

/// The geometric mean of the words' probabilities.
fn sureness(words: &[Word]) -> f32 {
    let sum: f32 = words.iter().map(|w| w.probability.max(1e-3).ln()).sum();
    (sum / words.len().max(1) as f32).exp()
}

/// Whether the same few words come three times over.
pub fn goes_in_circles(words: &[Word]) -> bool {
    circle(words).is_some()
}

/// The words up to where they begin to go in circles: once round is all that was said, if that.
pub fn straight(mut words: Vec<Word>) -> Vec<Word> {
    if let Some(at) = circle(&words) {
        words.truncate(at + CIRCLE);
    }
    words
}

/// Where a circle begins.
fn circle(words: &[Word]) -> Option<usize> {
    let same = |a: &[Word], b: &[Word]| a.iter().zip(b).all(|(a, b)| a.text.eq_ignore_ascii_case(&b.text));
    words
        .windows(3 * CIRCLE)
        .position(|w| same(&w[..CIRCLE], &w[CIRCLE..]) && same(&w[CIRCLE..2 * CIRCLE], &w[2 * CIRCLE..]))
}

fn tells_number(word: &Word) -> bool {
    let bare = bare(&word.text);
    bare.contains(|c: char| c.is_ascii_digit()) || bare.split('-').any(number_word::counts)
}

/// A word without case and without the signs around it.
fn bare(text: &str) -> String {
    text.trim_matches(|c: char| !c.is_alphanumeric()).to_lowercase()
}

/// The places of the words that have no equal in the other hearing, in order.
fn unmatched(words: &[Word], others: &[Word]) -> Vec<usize> {
    let (words, others): (Vec<String>, Vec<String>) =
        (words.iter().map(|w| bare(&w.text)).collect(), others.iter().map(|w| bare(&w.text)).collect());
    // longest[i][j]: most words in common, in order, of words[i..] and others[j..].
    let mut longest = vec![vec![0_usize; others.len() + 1]; words.len() + 1];
    for i in (0..words.len()).rev() {
        for j in (0..others.len()).rev() {
            longest[i][j] = if words[i] == others[j] {
                longest[i + 1][j + 1] + 1
            } else {
                longest[i + 1][j].max(longest[i][j + 1])
            };
        }
    }
    let (mut i, mut j, mut alone) = (0, 0, Vec::new());
    while i < words.len() {
        if j < others.len() && words[i] == others[j] {
            (i, j) = (i + 1, j + 1);
        } else if j < others.len() && longest[i][j + 1] > longest[i + 1][j] {
            j += 1;
        } else {
            alone.push(i);
            i += 1;
        }
    }
    alone
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str, probability: f32) -> Vec<Word> {
        text.split(' ').map(|t| Word { text: t.into(), start_ms: 0, end_ms: 0, probability }).collect()
    }

    fn text(words: &[Word]) -> String {
        words.iter().map(|w| w.text.as_str()).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn unsure_words_and_unsure_numbers_are_heard_again() {
        assert!(!is_wanted(&words("No pan under it.", 0.9)));
        assert!(is_wanted(&words("No pan under it.", 0.5)));
        let mut number = words("It reads twenty-one amps, all told.", 0.95);
        assert!(!is_wanted(&number));
        number[2].probability = 0.3;
        assert!(is_wanted(&number));
        // As unsure, but no number, and the stretch on the whole is sure.
        number[2].text = "around".into();
        assert!(!is_wanted(&number));
    }

    #[test]
    fn circles_are_noticed_and_cut_after_once_round() {
        let round = words("it is dry and the pan and the pan And the pan and the", 0.95);
        assert!(goes_in_circles(&round));
        assert_eq!(text(&straight(round)), "it is dry and the pan");
        let twice = words("no leaks here no leaks here and no leaks there", 0.95);
        assert!(!goes_in_circles(&twice));
        assert_eq!(straight(twice.clone()), twice);
    }

    #[test]
    fn the_surer_hearing_is_kept_unless_it_gave_up_or_goes_in_circles() {
        let first = words("the flu is loose at the draft hood", 0.6);
        assert_eq!(
            text(&settle(first.clone(), words("The flue is loose at the draft hood.", 0.7))),
            "The flue is loose at the draft hood."
        );
        assert_eq!(settle(first.clone(), words("The flue is loose.", 0.9)), first);
        assert_eq!(settle(first.clone(), words("it is loose it is loose it is loose it", 0.9)), first);
    }

    #[test]
    fn digits_stand_where_they_are_as_many_as_were_spoken_and_likely() {
        let heard = words("Or seven, two, eight, zero.", 0.3);
        let told = counted(heard.clone(), words("4, 7, 2, 8, 0", 0.5), 5, true);
        assert_eq!(text(&told), "4, 7, 2, 8, 0");
        assert!(told.iter().all(|word| word.probability <= DISPUTED), "two hearings differ: {told:?}");
        assert_eq!(counted(heard.clone(), words("4, 7, 2, 8", 0.9), 5, true), heard, "one is missing");
        let other = words("Ew, you, euro, one, ate.", 0.3);
        assert_eq!(counted(other.clone(), words("8, 8, 8, 8, 8", 0.1), 5, true), other, "unlikely");
        let senseless = words("Be free, fall, view when.", 0.9);
        assert_eq!(
            text(&counted(senseless.clone(), words("3, 3, 4, 2, 1", 0.35), 5, false)),
            "3, 3, 4, 2, 1",
            "a word of each burst, but none that an inspector says"
        );
        assert_eq!(counted(senseless.clone(), words("3, 3, 4, 2, 1", 0.35), 5, true), senseless, "else they stand");
        let fewer = words("Ew, euro, ate.", 0.5);
        assert_eq!(
            text(&counted(fewer.clone(), words("2 0 0 1 8", 0.1), 5, true)),
            "2 0 0 1 8",
            "three words in five bursts"
        );
        assert_eq!(counted(fewer.clone(), words("8 8 8 8 8", 0.02), 5, true), fewer, "yet unlikely");
        // Digits that are too few give way to as many as were spoken, though they are surer.
        assert_eq!(text(&counted(words("9. 5. 2. 8.", 0.9), words("9 5 2 8 9", 0.5), 5, true)), "9 5 2 8 9");
    }

    #[test]
    fn a_number_that_differs_is_unsure_and_one_that_agrees_is_not() {
        let kept = settle(words("set at 130, reads 118 now", 0.6), words("Set at 130, reads 180 now.", 0.9));
        let told: Vec<(&str, f32)> = kept.iter().map(|w| (w.text.as_str(), w.probability)).collect();
        assert_eq!(told, [("Set", 0.9), ("at", 0.9), ("130,", 0.9), ("reads", 0.9), ("180", DISPUTED), ("now.", 0.9)]);
    }
}

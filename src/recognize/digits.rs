//! A hearing that may write nothing but single digits: a serial number read out, which a general model takes for words.
use super::Word;
use super::bpe::Vocabulary;
use super::pull::variants;

/// Digits told one by one, as the model writes them.
const DIGITS: [&str; 21] = [
    "0", "1", "2", "3", "4", "5", "6", "7", "8", "9", "zero", "oh", "one", "two", "three", "four", "five", "six",
    "seven", "eight", "nine",
];
/// What may stand between them.
const SIGNS: [&str; 2] = [",", "."];

/// The model's tokens that write digits, and those that may part them.
pub struct Digits {
    digits: Vec<u32>,
    signs: Vec<u32>,
}

impl Digits {
    pub fn new(vocabulary: &Vocabulary) -> Self {
        let writing = |texts: &[&str]| {
            let cased = texts.iter().flat_map(|text| variants(text));
            let spaced = cased.flat_map(|text| [format!(" {text}"), text]);
            let mut tokens: Vec<u32> = spaced.filter_map(|text| vocabulary.token(&text)).collect();
            tokens.sort_unstable();
            tokens
        };
        Digits { digits: writing(&DIGITS), signs: writing(&SIGNS) }
    }

    /// Rules out all text but a digit, or behind a digit a sign, until there are `count` digits, and then all text. The
    /// tokens from `end` on are no text: the end itself and times.
    pub fn keep(&self, before: &[u32], count: usize, end: usize, logits: &mut [f32]) {
        let is_sign = |token: &u32| self.signs.binary_search(token).is_ok();
        let written = before.iter().filter(|token| !is_sign(token)).count();
        let done = written >= count;
        let digits = if done { &[] } else { &self.digits[..] };
        let signs = if done || before.last().is_none_or(is_sign) { &[] } else { &self.signs[..] };
        let allowed = digits.iter().chain(signs).map(|token| *token as usize);
        let kept: Vec<(usize, f32)> = allowed.filter_map(|token| Some((token, *logits.get(token)?))).collect();
        let ruled_out = if done {
            0..end
        } else if before.is_empty() {
            0..end + 1
        } else {
            0..logits.len()
        };
        logits.get_mut(ruled_out).unwrap_or_default().fill(f32::NEG_INFINITY);
        kept.into_iter().for_each(|(token, logit)| logits[token] = logit);
    }
}

/// Of the parts that words are made of, those that are single digits, and how many parts there are.
pub fn told(words: &[Word]) -> (usize, usize) {
    let texts: Vec<String> = words.iter().map(|word| word.text.to_ascii_lowercase()).collect();
    let parts =
        texts.iter().flat_map(|text| text.split(|c: char| !c.is_alphanumeric())).filter(|part| !part.is_empty());
    parts.fold((0, 0), |(digits, all), part| match part {
        // A run of them: "82828".
        part if part.bytes().all(|b| b.is_ascii_digit()) => (digits + part.len(), all + part.len()),
        part => (digits + usize::from(DIGITS.contains(&part)), all + 1),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn words(text: &str) -> Vec<Word> {
        text.split(' ').map(|t| Word { text: t.into(), start_ms: 0, end_ms: 0, probability: 1.0 }).collect()
    }

    #[test]
    fn digits_are_counted_however_they_are_written() {
        assert_eq!(told(&words("5, 2, 6, 0, 1.")), (5, 5));
        assert_eq!(told(&words("7.9. 7.1.")), (4, 4));
        assert_eq!(told(&words("Four, oh, 82828")), (7, 7));
        assert_eq!(told(&words("Or seven, two")), (2, 3));
    }

    #[test]
    fn nothing_but_digits_up_to_their_number_may_be_written() {
        // Tokens: 0 "1", 1 " two", 2 ",", 3 " pan", 4 the end, 5 a time.
        let texts: [&[u8]; 4] = [b"1", b" two", b",", b" pan"];
        let digits = Digits::new(&Vocabulary::new(texts.into_iter().map(<[u8]>::to_vec)));
        let allowed = |before: &[u32], count: usize| {
            let mut logits = [1.0_f32; 6];
            digits.keep(before, count, 4, &mut logits);
            (0..6).filter(|token| logits[*token] == 1.0).collect::<Vec<_>>()
        };
        assert_eq!(allowed(&[], 2), [0, 1, 5], "a time may lead in");
        assert_eq!(allowed(&[0], 2), [0, 1, 2], "a sign only behind a digit");
        assert_eq!(allowed(&[0, 2], 2), [0, 1]);
        assert_eq!(allowed(&[0, 2, 1], 2), [4, 5], "both are told");
    }
}

//! Spelled letters as one word: "p s i" is PSI, "T and P" and "T&P" are TP.
//!
//! The labels spell letters apart, recognisers write them together, and Whisper's normalizer knows neither. Both texts
//! are joined before they are compared, whoever heard them.

/// The text with runs of single letters joined.
pub fn join(text: &str) -> String {
    let words: Vec<&str> = text.split_whitespace().collect();
    let mut out: Vec<String> = Vec::new();
    let mut at = 0;
    while at < words.len() {
        let (letters, used) = run(&words[at..]);
        if letters.chars().count() > 1 {
            out.push(letters);
            at += used;
        } else {
            out.push(words[at].to_owned());
            at += 1;
        }
    }
    out.join(" ")
}

/// The letters at the beginning of some words, with the mark after the last, and how many words they take.
fn run(words: &[&str]) -> (String, usize) {
    let mut letters = String::new();
    let mut at = 0;
    while let Some(word) = words.get(at) {
        let bare = word.trim_end_matches(|c: char| !c.is_alphanumeric());
        let and = *word == "and" && !letters.is_empty() && words.get(at + 1).is_some_and(|next| is_letter(next));
        // "A" and "I" are words more often than letters, save within a run.
        let article = letters.is_empty() && matches!(bare, "a" | "A" | "I" | "i");
        if let Some((first, last)) = bare.split_once('&').filter(|(f, l)| is_letter(f) && is_letter(l)) {
            letters.extend([first, last]);
        } else if is_letter(bare) && !article {
            letters.push_str(bare);
        } else if !and {
            break;
        }
        at += 1;
        // A mark ends the run, as in "T and P, V is closed"; the full stops of "P.S.I." were no spaces to begin with.
        let mark = &word[bare.len()..];
        if !mark.is_empty() {
            letters.push_str(mark);
            break;
        }
    }
    let spelled = letters.chars().filter(|c| c.is_alphanumeric()).count() > 1;
    if spelled { (letters, at) } else { (String::new(), 0) }
}

fn is_letter(word: &str) -> bool {
    let bare = word.trim_end_matches(|c: char| !c.is_alphanumeric());
    bare.len() == 1 && bare.bytes().all(|b| b.is_ascii_alphabetic())
}

#[cfg(test)]
mod tests {
    use super::join;

    #[test]
    fn letters_spelled_apart_are_one_word_and_words_stay() {
        for (text, joined) in [
            ("sixty eight p s i at the bib", "sixty eight psi at the bib"),
            ("C P V C, and dry.", "CPVC, and dry."),
            ("the T and P valve", "the TP valve"),
            ("the T&P valve", "the TP valve"),
            ("a b vent", "a b vent"),
            ("I saw a pan", "I saw a pan"),
            ("the P R V is set", "the PRV is set"),
            ("grade A and dry", "grade A and dry"),
        ] {
            assert_eq!(join(text), joined);
        }
    }
}

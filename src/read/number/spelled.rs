//! Model and serial numbers spelled out: "H E five two D", "hotel echo five two delta", "HE-52D".
use super::compose;
use super::line::Line;
use super::one;
use super::{unit_name, word};
use crate::read::token::Token;
use std::ops::Range;

/// Letters and digits spelled one after the other.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Spelled {
    /// Tokens it is made of.
    pub span: Range<usize>,
    /// In capitals, joined; a spoken dash or slash is kept.
    pub text: String,
}

/// All spelled runs: those after a word such as "model" or "serial", and those that can be nothing else.
pub fn spelled(tokens: &[Token]) -> Vec<Spelled> {
    let line = Line::new(tokens);
    runs(&line)
        .into_iter()
        .map(|run| Spelled {
            span: line.pieces[run.at.start].token..line.pieces[run.at.end - 1].token + 1,
            text: run.text,
        })
        .collect()
}

/// The positions of all spelled runs, in order.
pub(super) fn spans(line: &Line) -> Vec<Range<usize>> {
    runs(line).into_iter().map(|run| run.at).collect()
}

struct Run {
    at: Range<usize>,
    text: String,
    letters: usize,
    digits: usize,
    /// Spoken by the spelling alphabet, a letter's sign that it is meant.
    alphabet: usize,
    ends_in_letter: bool,
}

fn runs(line: &Line) -> Vec<Run> {
    let mut found = Vec::new();
    // Most notes spell nothing: without a letter or a cue there is no run to look for.
    let spelled = |w: &str| single_letter(w).is_some() || alphabet(w).is_some() || is_cue(w);
    if !line.pieces.iter().any(|p| spelled(&p.text)) {
        return found;
    }
    let signs: Vec<usize> = (0..line.len()).filter(|at| by_alphabet(line, *at)).collect();
    let mut at = 0;
    while at < line.len() {
        let cued = is_cued(line, at);
        if names_number(line, at) {
            at += 2;
            continue;
        }
        let sign = signs.get(signs.partition_point(|sign| *sign < at));
        if !cued && !begins_with_letter(line.word(at)) && sign.is_none_or(|sign| sign - at > MOST) {
            at += 1;
            continue;
        }
        match run(line, at, cued).filter(|run| keeps(line, run, cued)) {
            Some(run) => {
                at = run.at.end;
                found.push(run);
            }
            None => at += 1,
        }
    }
    found
}

/// Signs in the longest run.
const MOST: usize = 40;

/// Whether a run that nothing announces may begin with a word: with a letter, if no letter in it is of the alphabet.
fn begins_with_letter(word: &str) -> bool {
    single_letter(word).is_some() || alphabet(word).is_some() || names_letter(word) || word.contains('.')
}

/// Whether a letter is told at a position by the spelling alphabet or in its manner.
fn by_alphabet(line: &Line, at: usize) -> bool {
    let word = line.word(at);
    let explained = |letter| example(line, at + 1, letter).is_some();
    alphabet(word).is_some() || names_letter(word) || word == "x" || single_letter(word).is_some_and(explained)
}

/// "Capital B", "the letter B".
fn names_letter(word: &str) -> bool {
    matches!(word, "letter" | "capital" | "cap" | "big")
}

/// Whether a run stands for itself, or needs a cue that it has.
fn keeps(line: &Line, run: &Run, cued: bool) -> bool {
    let count = run.letters + run.digits;
    if cued {
        return count >= 3 && (run.digits > 0 || run.letters >= 3) || count == 2 && run.digits > 0 && run.letters > 0;
    }
    let mixed = run.letters >= 1 && run.digits >= 2;
    let starts_with_letter = run.text.starts_with(|c: char| c.is_ascii_alphabetic());
    let names_code = run.letters == 1 && starts_with_letter && !run.ends_in_letter && run.alphabet == 0;
    let pointed = matches!(line.word(run.at.end), "point" | "inch" | "percent");
    let acronym = ACRONYMS.iter().any(|a| run.text.contains(a));
    let goes_on = single_letter(line.before(run.at.start, 1)).is_some();
    (starts_with_letter || run.alphabet > 0)
        && !goes_on
        && !acronym
        && mixed
        && count >= 4
        && !names_code
        && !pointed
        && (run.letters >= 2 || run.alphabet > 0)
}

/// Letters that are spelled for what they name: no part of a serial number, unless one was announced.
const ACRONYMS: &[&str] = &[
    "PVC", "PEX", "PSI", "BTU", "TPR", "TNP", "CSST", "GFCI", "AFCI", "GFI", "ABS", "PRV", "IRC", "NEC", "UPC", "IPC",
    "HVAC", "AWG", "GPM", "CFM", "EMT", "THHN", "CPVC", "TXV",
];

/// Whether a word such as "model" or "serial number is" stands right before.
fn is_cued(line: &Line, at: usize) -> bool {
    let mut back = 1;
    while back <= 4 && at >= back && is_cue_link(line.word(at - back)) {
        back += 1;
    }
    let Some(cue) = at.checked_sub(back) else { return false };
    let pair = matches!((line.word(cue), cue.checked_sub(1).map(|c| line.word(c))), ("n", Some("s" | "m")));
    is_cue(line.word(cue)) || pair
}

/// "S N" and "M N" before what they announce.
fn names_number(line: &Line, at: usize) -> bool {
    let announced = line.says(at, &["s", "n"]) || line.says(at, &["m", "n"]);
    announced && (spells(line, at + 2) || is_cue_link(line.word(at + 2)))
}

fn is_cue(word: &str) -> bool {
    matches!(word, "model" | "serial" | "m/n" | "s/n" | "sn" | "mn" | "models" | "serials")
}

/// Words that may stand between a cue and what is spelled.
fn is_cue_link(w: &str) -> bool {
    matches!(
        w,
        "number"
            | "no"
            | "num"
            | "is"
            | "reads"
            | "says"
            | "that's"
            | "it's"
            | "of"
            | "looks"
            | "like"
            | "the"
            | "a"
            | "#"
            | "was"
            | "as"
    )
}

/// The longest run of spelled letters and digits at a position.
fn run(line: &Line, at: usize, cued: bool) -> Option<Run> {
    let mut run = Run { at: at..at, text: String::new(), letters: 0, digits: 0, alphabet: 0, ends_in_letter: false };
    let mut said_again = 0;
    while run.at.end < line.len() && run.text.len() < MOST {
        let here = run.at.end;
        if here > at && breaks(line, here, &run) {
            break;
        }
        let Some(part) = part(line, here, &run, cued) else { break };
        run.at.end = part.end;
        run.letters += part.text.bytes().filter(u8::is_ascii_alphabetic).count();
        run.digits += part.text.bytes().filter(u8::is_ascii_digit).count();
        if part.alphabet && run.alphabet == 0 {
            said_again = run.text.len();
        }
        run.alphabet += usize::from(part.alphabet);
        run.ends_in_letter = part.text.ends_with(|c: char| c.is_ascii_alphabetic());
        run.text.push_str(&part.text);
    }
    // Said twice, the second time by the alphabet: "K L two, kilo lima two".
    if said_again > 0 && run.text[..said_again].ends_with(&run.text[said_again..]) {
        run.text.truncate(said_again);
    }
    let trimmed = run.text.trim_end_matches(['-', '/', '.']).len();
    run.text.truncate(trimmed);
    (run.letters + run.digits >= 2).then_some(run)
}

/// A sentence's end ends a run; so does a comma before words that go on with something else.
fn breaks(line: &Line, at: usize, run: &Run) -> bool {
    let whole = |i: usize| is_code_piece(line.word(i)) && line.word(i).len() > 2;
    let listed = line.stop(at - 1) != crate::read::Stop::None && (whole(at) && whole(at - 1) || line.joined(at - 1));
    names_number(line, at) && !line.follows(at)
        || listed
        || line.ends_sentence(at - 1)
        || line.pieces[at].pause_ms > 2500
        || run.text.is_empty() && !line.flows(at)
}

struct Part {
    end: usize,
    text: String,
    alphabet: bool,
}

/// One letter, digit, number or dash of a run.
fn part(line: &Line, at: usize, run: &Run, cued: bool) -> Option<Part> {
    let here = line.word(at);
    let plain = |text: String| Some(Part { end: at + 1, text, alphabet: false });
    if let Some(dash) = separator(here).filter(|_| !run.text.is_empty() && spells(line, at + 1)) {
        return plain(dash.to_owned());
    }
    if here.contains('.') && here.split('.').all(|l| single_letter(l).is_some()) {
        return plain(here.replace('.', "").to_uppercase());
    }
    if single_letter(here).is_some_and(|_| !line.says(at, &["x", "ray"]) && !is_article(line, at, run, cued)) {
        return letter(line, at, run, cued);
    }
    if let Some(part) = alphabet_part(line, at, run, cued) {
        return Some(part);
    }
    if heads_code(line, at, run, cued) || is_code_piece(here) && (cued || !run.text.is_empty()) {
        return plain(here.to_uppercase());
    }
    if let Some(letter) = sounded(here).filter(|_| run.letters + run.digits > 0 && cued && spells(line, at + 1)) {
        return plain(letter.to_string());
    }
    digits(line, at, run, cued)
}

/// A letter by its name, with what explains it: "B as in boy".
fn letter(line: &Line, at: usize, run: &Run, cued: bool) -> Option<Part> {
    let letter = single_letter(line.word(at))?;
    let as_in = example(line, at + 1, letter);
    let of_unit = !cued && letters_of_unit(line, at, run);
    let mut text = letter.to_ascii_uppercase().to_string();
    // "Q N seven, N like November": explains a letter told before.
    let last = as_in.is_some_and(|end| end == line.len() || line.ends_sentence(end - 1));
    let explains = last && at > 0 && line.stop(at - 1) == crate::read::Stop::Comma;
    if explains && run.text.contains(&text) {
        text.clear();
    }
    (!of_unit || as_in.is_some()).then(|| Part { end: as_in.unwrap_or(at + 1), text, alphabet: as_in.is_some() })
}

/// A letter by the spelling alphabet, or announced as one: "hotel", "X ray", "capital B".
fn alphabet_part(line: &Line, at: usize, run: &Run, cued: bool) -> Option<Part> {
    let here = line.word(at);
    let part = |end, text: String| Some(Part { end, text, alphabet: true });
    if names_letter(here) && single_letter(line.word(at + 1)).is_some() {
        return part(at + 2, line.word(at + 1).to_uppercase());
    }
    if line.says(at, &["x", "ray"]) {
        return part(at + 2, "X".to_owned());
    }
    let letter = alphabet(here)?;
    let next_spells =
        spells(line, at + 1) || is_code_piece(line.word(at + 1)) || word::repeat(line.word(at + 1)).is_some();
    let in_run = !run.text.is_empty() || next_spells && !line.ends_sentence(at);
    // After letters a lone word of the alphabet explains one: "K, alpha at the front".
    let explains = run.letters > 0 && run.alphabet == 0 && !spells(line, at + 1) && line.follows(at + 1);
    let meant = in_run && !explains && (run.letters + run.digits > 0 || cued || next_spells);
    meant.then(|| Part { end: at + 1, text: letter.to_string(), alphabet: true })
}

/// Letters in one token before a code, where a number was announced: "model HE 52 D".
fn heads_code(line: &Line, at: usize, run: &Run, cued: bool) -> bool {
    let here = line.word(at);
    let number = word::ten(here).is_some() || word::digit(here).is_some() || word::teen(here).is_some();
    let letters = here.len() <= 4 && here.bytes().all(|b| b.is_ascii_alphabetic());
    cued && run.text.is_empty() && letters && is_code_piece(line.word(at + 1)) && !is_cue_link(here) && !number
}

/// A digit, repeated digits, or a number said as one: "five", "double six", "fifty two", "four hundred".
fn digits(line: &Line, at: usize, run: &Run, cued: bool) -> Option<Part> {
    // "Ninety gallons" begins no code; asked only where there is a number, for to look for a unit takes time.
    let measures = || run.text.is_empty() && line.word(at).len() > 3 && unit_name::at(line, at + 1, false).is_some();
    let digits = compose::digit_run(line, at);
    if !digits.digits.is_empty() {
        return (!measures()).then_some(Part { end: digits.end, text: digits.digits, alphabet: false });
    }
    let number = one::number(line, at)
        .filter(|n| n.low.is_none() && n.value.fract() == 0.0 && n.value < 1e12 && n.value >= 0.0)
        .filter(|_| !measures())?;
    // A unit in letters may be the number's own last letter where one was announced: "52 D", "40 V".
    let unit = unit_name::at(line, number.end, false).filter(|u| u.certainty == 1.0);
    let measured = unit.is_some_and(|u| !cued || line.word(u.end - 1).len() > 1);
    let spelled_as_number = !matches!(line.word(at), "a" | "an");
    (spelled_as_number && !measured).then(|| Part {
        end: number.end,
        text: format!("{:.0}", number.value),
        alphabet: false,
    })
}

fn separator(word: &str) -> Option<&'static str> {
    match word {
        "dash" | "hyphen" | "minus" => Some("-"),
        "slash" => Some("/"),
        "dot" | "period" => Some("."),
        "space" => Some(""),
        _ => None,
    }
}

/// Whether a spelled letter or a digit stands at a position.
fn spells(line: &Line, at: usize) -> bool {
    let here = line.word(at);
    single_letter(here).is_some()
        || alphabet(here).is_some()
        || word::digit(here).is_some()
        || word::is_zero(here)
        || is_code_piece(here)
        || word::ten(here).is_some()
        || word::teen(here).is_some()
}

fn single_letter(word: &str) -> Option<char> {
    let mut letters = word.chars();
    let letter = letters.next().filter(char::is_ascii_alphabetic)?;
    letters.next().is_none().then_some(letter)
}

/// "a" and "i" are letters only between spelled ones.
fn is_article(line: &Line, at: usize, run: &Run, cued: bool) -> bool {
    let word = line.word(at);
    if !matches!(word, "a" | "i" | "o") || line.joined(at) {
        return false;
    }
    let after = single_letter(line.word(at + 1)).is_some()
        || word::is_zero(line.word(at + 1))
        || word::digit(line.word(at + 1)).is_some()
        || is_code_piece(line.word(at + 1));
    let ends = line.stop(at) != crate::read::Stop::None || at + 1 == line.len();
    !(after && (cued || !run.text.is_empty()) || ends && !run.text.is_empty())
}

/// "sixty p s i" and "two forty v": the letters of a unit after digits.
fn letters_of_unit(line: &Line, at: usize, run: &Run) -> bool {
    let only_digits = run.letters == 0 && run.digits > 0;
    only_digits && unit_name::at(line, at, false).is_some_and(|u| u.certainty == 1.0)
}

/// "B as in boy", "D for David".
fn example(line: &Line, at: usize, letter: char) -> Option<usize> {
    let words = if line.says(at, &["as", "in"]) {
        2
    } else if matches!(line.word(at), "for" | "like") {
        1
    } else {
        return None;
    };
    line.word(at + words).starts_with(letter).then_some(at + words + 1)
}

/// A token of letters and digits, as in "he52d" or "52d", or of up to four figures.
fn is_code_piece(word: &str) -> bool {
    let alphanumeric = !word.is_empty() && word.bytes().all(|b| b.is_ascii_alphanumeric());
    alphanumeric && word.bytes().any(|b| b.is_ascii_digit())
}

/// The letter of a word of the ICAO spelling alphabet (ICAO Annex 10 volume II, from memory), with common spellings.
fn alphabet(word: &str) -> Option<char> {
    const WORDS: &[&str] = &[
        "alpha", "alfa", "bravo", "charlie", "delta", "echo", "foxtrot", "golf", "hotel", "india", "juliet", "juliett",
        "kilo", "lima", "mike", "november", "oscar", "papa", "quebec", "romeo", "sierra", "tango", "uniform", "victor",
        "whiskey", "whisky", "xray", "x-ray", "yankee", "zulu",
    ];
    let found = WORDS.iter().find(|w| **w == word)?;
    found.chars().next().map(|c| c.to_ascii_uppercase())
}

/// Letters as recognisers write their names.
fn sounded(word: &str) -> Option<char> {
    Some(match word {
        "bee" => 'B',
        "see" | "sea" => 'C',
        "dee" => 'D',
        "ef" | "eff" => 'F',
        "gee" => 'G',
        "aitch" => 'H',
        "jay" => 'J',
        "kay" => 'K',
        "el" | "ell" => 'L',
        "em" => 'M',
        "en" => 'N',
        "pee" | "pea" => 'P',
        "cue" | "queue" => 'Q',
        "are" | "ar" => 'R',
        "ess" => 'S',
        "tee" | "tea" => 'T',
        "you" => 'U',
        "vee" => 'V',
        "ex" => 'X',
        "why" => 'Y',
        "zee" | "zed" => 'Z',
        _ => return None,
    })
}

//! Where sentences, clauses and fragments begin and end, and which words ask.
use super::super::Stop;
use super::cue::{Cues, Hit, Kind, Reach};
use super::group::BINDING;
use super::word::{Lexeme, NO, class};
use std::ops::Range;

/// Silence that ends a sentence where nobody wrote a full stop.
const SENTENCE_PAUSE_MS: u64 = 700;
/// Silence that ends a sentence in spite of the punctuation around it.
const CERTAIN_PAUSE_MS: u64 = 1800;
/// Words within which a subject must find its verb.
const VERB_WITHIN: usize = 7;
/// A longer sentence is cut where it can be, and in any case at twice the length, so that time grows with the note's.
const LONGEST: usize = 40;

/// The sentence and the clause that each word stands in.
#[derive(Debug, Default)]
pub struct Clauses {
    sentence: Vec<Range<usize>>,
    clause: Vec<Range<usize>>,
    /// Whether the note has next to no punctuation.
    pub bare: bool,
}

/// Words that ask, and whether they may as well state something ("It's forty gallons?").
#[derive(Debug, Clone)]
pub struct Question {
    pub words: Range<usize>,
    pub uptalk: bool,
}

impl Clauses {
    /// Cuts a note into sentences and clauses.
    pub fn find(words: &[Lexeme], hits: &[Option<Hit>]) -> Self {
        let stops = words.iter().filter(|w| w.stop != Stop::None).count();
        let bare = stops * 30 < words.len();
        let sentence =
            spans(words.len(), |at, from| ends_sentence(words, at, bare) || cuts(words, hits, at, at - from));
        let clause = spans(words.len(), |at, _| sentence[at].start == at || starts_clause(words, hits, at));
        Clauses { sentence, clause, bare }
    }

    /// The sentence around a word.
    pub fn sentence(&self, at: usize) -> Range<usize> {
        self.sentence.get(at).cloned().unwrap_or(at..at)
    }

    /// The clause around a word.
    pub fn clause(&self, at: usize) -> Range<usize> {
        self.clause.get(at).cloned().unwrap_or(at..at)
    }

    /// Tells the "no" that answers from the "no" that counts, and the "no" that only starts a remark.
    pub fn settle_no(&self, words: &[Lexeme], hits: &mut [Option<Hit>]) {
        for at in 0..words.len() {
            let Some(hit) = hits[at].filter(|hit| hit.len == 1) else { continue };
            let comma = at > 0 && words[at - 1].stop == Stop::Comma;
            let sets_off = words[at].stop != Stop::None || at + 1 == words.len();
            // "Looked for a drip leg, nothing."
            if hit.reach == Reach::Predicate && comma && sets_off {
                hits[at] = Some(Hit { kind: Kind::Negated, reach: Reach::Answer, len: 1 });
            }
            if words[at].id != NO {
                continue;
            }
            let named =
                at > 0 && words[at - 1].stop == Stop::None && !words[at - 1].is(BINDING | class::PRON | class::SOFT);
            let after_fragment = at > self.sentence(at).start && (comma || named);
            let after_question = at > 0 && words[at - 1].stop == Stop::Question;
            let pause_next = words.get(at + 1).is_none_or(|next| next.pause_ms >= 400);
            let remark =
                words.get(at + 1).is_some_and(|next| next.is(class::PRON) && !next.is(class::DET | class::NUMBER));
            let answer = match words[at].stop {
                Stop::Sentence | Stop::Question => true,
                Stop::Comma => after_fragment || after_question,
                Stop::None if remark => after_question,
                Stop::None => at + 1 == words.len() || (self.bare && pause_next && words[at].pause_ms < 300),
            };
            if answer {
                hits[at] = Some(Hit { kind: Kind::Negated, reach: Reach::Answer, len: 1 });
            } else if words[at].stop == Stop::Comma || remark {
                hits[at] = Some(Hit { kind: Kind::Plain, reach: Reach::Itself, len: 1 });
            }
        }
    }

    /// The questions of a note, without those that a fragment and its answer make a statement of.
    pub fn questions(&self, words: &[Lexeme], hits: &[Option<Hit>], cues: &Cues) -> Vec<Question> {
        let mut out = Vec::new();
        let mut at = 0;
        while at < words.len() {
            let sentence = self.sentence(at);
            at = sentence.end.max(at + 1);
            if let Some(question) = question(words, hits, cues, sentence, self) {
                out.push(question);
            }
        }
        out
    }
}

/// Whether a sentence asks.
fn question(
    words: &[Lexeme],
    hits: &[Option<Hit>],
    cues: &Cues,
    sentence: Range<usize>,
    clauses: &Clauses,
) -> Option<Question> {
    let all = words.get(sentence.clone()).filter(|all| !all.is_empty())?;
    let first = all.iter().position(|w| !w.is(class::AND | class::SOFT)).unwrap_or(0);
    let inverted = all[first].is(class::AUX) && all.get(first + 1).is_some_and(|w| w.is(class::PRON));
    let asks = |word: &str| all[first].id == cues.vocabulary.id(word);
    let wh = ["what", "where", "who", "how", "why", "when", "which"].into_iter().any(asks);
    let marked = all[all.len() - 1].stop == Stop::Question;
    if !marked {
        return (inverted && hits[sentence.start + first].is_none())
            .then_some(Question { words: sentence, uptalk: false });
    }
    // "That's a pan, right?": what stands before the tag is stated.
    let tag = all.iter().rposition(|w| w.stop == Stop::Comma).is_some_and(|comma| all.len() - comma <= 4);
    let verbless = !all.iter().any(|w| w.is(class::FINITE));
    let answered = words.get(sentence.end).is_some_and(|next| {
        let stalls = ["let", "where", "hold", "hang", "checking", "looking", "wait", "what", "who", "i"];
        let asks_again = words[clauses.sentence(sentence.end)].last().is_some_and(|w| w.stop == Stop::Question);
        !stalls.into_iter().any(|word| next.id == cues.vocabulary.id(word)) && !asks_again
    });
    if verbless && all.len() <= 6 && answered && !wh {
        return None;
    }
    let you = all.iter().take(3).any(|w| w.id == cues.vocabulary.id("you"));
    let uptalk = !inverted && !wh && !you && !verbless && !all[first].is(class::AUX);
    if tag && !inverted && !wh {
        return None;
    }
    Some(Question { words: sentence, uptalk })
}

/// For each position the span it lies in, given where a new one starts.
fn spans(count: usize, starts: impl Fn(usize, usize) -> bool) -> Vec<Range<usize>> {
    let mut out = Vec::with_capacity(count);
    let mut from = 0;
    for at in 0..=count {
        if at == count || (at > from && starts(at, from)) {
            out.resize(at, from..at);
            from = at;
        }
    }
    out
}

/// Whether an endless sentence may be cut before a word.
fn cuts(words: &[Lexeme], hits: &[Option<Hit>], at: usize, len: usize) -> bool {
    let next_is_verb = words.get(at + 1).is_some_and(|next| next.is(class::FINITE));
    let subject =
        words[at].is(class::PRON) && next_is_verb && !words[at - 1].is(class::FINITE | class::AND | class::OR);
    len >= 2 * LONGEST || (len >= LONGEST && subject && hits[at - 1].is_none())
}

fn ends_sentence(words: &[Lexeme], at: usize, bare: bool) -> bool {
    let (last, pause) = (&words[at - 1], words[at].pause_ms);
    if last.stop >= Stop::Sentence {
        return true;
    }
    // Nobody ends a sentence on "the" or "under": a silence there is a search for a word.
    let open = last.is(class::DET | class::PLACE | class::LINK | class::AND | class::OR | class::AUX | class::TOWARD);
    let limit = if bare { SENTENCE_PAUSE_MS } else { CERTAIN_PAUSE_MS };
    pause >= limit && !open
}

/// Whether a new clause starts at a word inside a sentence.
fn starts_clause(words: &[Lexeme], hits: &[Option<Hit>], at: usize) -> bool {
    let last = &words[at - 1];
    if hits[at].is_some_and(|hit| hit.kind == Kind::Stop) {
        return true;
    }
    if last.is(class::AND) && !words[at].is(class::PRON) {
        return false;
    }
    let word = &words[at];
    let after_comma = last.stop == Stop::Comma;
    if word.is(class::AND) {
        return words.get(at + 1).is_some_and(|next| {
            let subject = next.is(class::PRON) || (after_comma && !next.is(class::FINITE));
            (subject || (next.is(class::DEFINITE))) && verb_follows(words, at + 1)
        });
    }
    let next_is_verb = words.get(at + 1).is_some_and(|next| next.is(class::FINITE));
    if word.is(class::PRON) && next_is_verb {
        return !last.is(class::FINITE | class::PLACE | class::LINK | class::TOWARD) || after_comma;
    }
    // "A leak would harm nothing, so no pan."
    if after_comma && word.is(class::CLOSING) {
        return true;
    }
    if after_comma {
        return !word.is(class::OR) && verb_follows(words, at);
    }
    let closed =
        !last.is(class::DET | class::PLACE | class::LINK | class::TOWARD | class::FINITE | class::OR | class::OWNS);
    word.is(class::DEFINITE) && closed && verb_follows(words, at)
}

/// Whether a subject at `at` finds its verb before the next boundary.
pub fn verb_follows(words: &[Lexeme], at: usize) -> bool {
    let mut seen = 0;
    for (step, word) in words[at..].iter().take(VERB_WITHIN).enumerate() {
        if word.is(class::FINITE) {
            return seen > 0;
        }
        let subject = word.is(class::PRON) && !word.is(class::DET | class::NUMBER);
        if step > 0 && (subject || word.is(class::OR | class::AND)) {
            return false;
        }
        // "its drain line | hot water was" has no verb of its own.
        if step > 1 && word.is(class::OPENER) && words[at + step - 1].is(class::HEAD) {
            return false;
        }
        seen += usize::from(!word.is(class::SOFT));
        if word.stop != Stop::None {
            return false;
        }
    }
    false
}

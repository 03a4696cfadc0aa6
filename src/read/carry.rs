//! How far the talk of one part carries: answers, and questions that name nothing new, do not move it on.
use super::mention::Mention;
use super::note::strong_part;
use super::segment::Segments;
use super::token::{Stop, Token};
use crate::lexicon::WordClass;
use std::ops::Range;

/// Counted sentences up to and with each sentence.
#[derive(Debug, Default)]
pub struct Carry(Vec<usize>);

impl Carry {
    pub fn of(segments: &Segments, tokens: &[Token], mentions: &[Mention]) -> Self {
        let mut counted = 0;
        let goes_on = |sentence: &Range<usize>| {
            answers(&tokens[sentence.clone()])
                || replies(sentence, tokens, mentions)
                || asks_on(sentence, tokens, mentions)
                || leans(sentence, tokens, mentions)
        };
        let step = |sentence: &Range<usize>| {
            counted += usize::from(!goes_on(sentence));
            counted
        };
        Carry(segments.sentences.iter().map(step).collect())
    }

    /// How many sentences lie from one to a later one, the later one counted: at least one.
    pub fn between(&self, from: usize, to: usize) -> usize {
        if from >= to {
            return 0;
        }
        (self.upto(to) - self.upto(from)).max(1)
    }

    /// The first sentence from which something carries over `steps` to this one.
    pub fn floor(&self, sentence: usize, steps: usize) -> usize {
        let least = self.upto(sentence).saturating_sub(steps);
        self.0.partition_point(|counted| *counted < least)
    }

    fn upto(&self, sentence: usize) -> usize {
        self.0.get(sentence).or(self.0.last()).copied().unwrap_or(0)
    }
}

fn answers(sentence: &[Token]) -> bool {
    sentence.len() <= 3 && sentence.iter().all(|t| t.is(WordClass::Answer))
}

/// "No, that is not sweat.": an answer in a few words that names no part.
fn replies(sentence: &Range<usize>, tokens: &[Token], mentions: &[Mention]) -> bool {
    let first = &tokens[sentence.start];
    let word = matches!(first.text.as_str(), "no" | "nope" | "nah") && first.stop == Stop::Comma;
    let from = mentions.partition_point(|m| m.span.start < sentence.start);
    let mut own = mentions[from..].iter().take_while(|m| m.span.start < sentence.end);
    word && sentence.len() <= REPLY && !own.any(|m| strong_part(m).is_some())
}

const REPLY: usize = 7;

/// "It slopes down.", "Its end is open.": a few words on what was named before.
fn leans(sentence: &Range<usize>, tokens: &[Token], mentions: &[Mention]) -> bool {
    let leads = matches!(tokens[sentence.start].text.as_str(), "it" | "its" | "it's");
    let from = mentions.partition_point(|m| m.span.start < sentence.start);
    let mut own = mentions[from..].iter().take_while(|m| m.span.start < sentence.end);
    leads && sentence.len() <= REPLY && !own.any(|m| strong_part(m).is_some())
}

/// Whether a sentence asks and names no part of its own: "Leaking?"
fn asks_on(sentence: &Range<usize>, tokens: &[Token], mentions: &[Mention]) -> bool {
    let from = mentions.partition_point(|m| m.span.start < sentence.start);
    let named = |m: &Mention| strong_part(m).is_some();
    tokens[sentence.end - 1].stop == Stop::Question
        && !mentions[from..].iter().take_while(|m| m.span.start < sentence.end).any(named)
}

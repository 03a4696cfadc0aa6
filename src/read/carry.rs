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
            let words = &tokens[sentence.clone()];
            answers(words) || ((asks(words) || replies(words) || leans(words)) && !names_part(sentence, mentions))
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

/// "Leaking?": of what was named before, if it names no part of its own.
fn asks(sentence: &[Token]) -> bool {
    sentence.last().is_some_and(|last| last.stop == Stop::Question)
}

/// "No, that is not sweat.": an answer in a few words.
fn replies(sentence: &[Token]) -> bool {
    let denies = matches!(sentence[0].text.as_str(), "no" | "nope" | "nah");
    denies && sentence[0].stop == Stop::Comma && sentence.len() <= FEW
}

/// "It slopes down.", "Its end is open.": a few words on what was named before.
fn leans(sentence: &[Token]) -> bool {
    matches!(sentence[0].text.as_str(), "it" | "its" | "it's") && sentence.len() <= FEW
}

const FEW: usize = 7;

fn names_part(sentence: &Range<usize>, mentions: &[Mention]) -> bool {
    let from = mentions.partition_point(|m| m.span.start < sentence.start);
    mentions[from..].iter().take_while(|m| m.span.start < sentence.end).any(|m| strong_part(m).is_some())
}

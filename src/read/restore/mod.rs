//! Stops that a recogniser or a typist left out: where a sentence or a clause ends, by a small learned model.
//!
//! A linear model over words and terms around each gap, learned from our own labelled notes by
//! `hearsheet score FOLDER --learn-stops FILE`. It speaks only where a stretch has hardly any stops of its own.
mod feature;
mod model;

use super::mention;
use super::number;
use super::segment;
use super::token::{Stop, Token, tokenize};
use super::view;
use crate::lexicon::Lexicon;
use crate::recognize::Transcript;
use feature::Around;
pub use feature::key;
use std::ops::Range;

pub use model::{CLASSES, Class};

/// A stretch shorter than this is one thought as it stands, in a note without stops and in one with them.
const SHORT: [usize; 2] = [6, 28];
/// A note with more tokens than this to a full stop has none to speak of.
const UNSTOPPED: usize = 40;

/// Sets the stops that are missing; `heard` is whether the times are heard rather than typed.
pub fn stops(tokens: &mut [Token], lexicon: &Lexicon, heard: bool) {
    let ends = segment::ends(tokens, heard);
    let bare = bare_stretches(tokens, &ends);
    if bare.is_empty() {
        return;
    }
    for (at, stop) in missing(tokens, lexicon, &ends, bare) {
        tokens[at].stop = stop;
    }
}

/// Words around a bare stretch that are looked at with it.
const AROUND: usize = 8;

/// Where which stop is missing in the bare stretches.
fn missing(tokens: &[Token], lexicon: &Lexicon, ends: &[bool], bare: Vec<Range<usize>>) -> Vec<(usize, Stop)> {
    bare.into_iter().flat_map(|stretch| missing_in(tokens, lexicon, ends, stretch)).collect()
}

/// Only the stretch and the words around it are looked through for terms: most of a long note has its stops.
fn missing_in(tokens: &[Token], lexicon: &Lexicon, ends: &[bool], stretch: Range<usize>) -> Vec<(usize, Stop)> {
    let from = stretch.start.saturating_sub(AROUND);
    let near = from..(stretch.end + AROUND).min(tokens.len());
    let around = around(&tokens[near.clone()], lexicon, &ends[near]);
    let (mut missing, mut since) = (Vec::new(), 0);
    for (at, token) in tokens.iter().enumerate().take(stretch.end - 1).skip(stretch.start) {
        since += 1;
        let told = token.stop;
        let stop = if told > Stop::None { told } else { model::decide(&around, at - from, since) };
        if stop > Stop::None {
            since = 0;
        }
        if stop > told {
            missing.push((at, stop));
        }
    }
    missing
}

/// The gaps of a well punctuated note: what stands around each, and the stop that is there.
pub fn lessons(text: &str, lexicon: &Lexicon) -> Vec<(Vec<String>, Class)> {
    let told = tokenize(&Transcript::from_text(text));
    let mut tokens = told.clone();
    tokens.iter_mut().for_each(|t| t.stop = Stop::None);
    let around = around(&tokens, lexicon, &vec![false; tokens.len()]);
    let mut since = 0;
    let gaps = 0..tokens.len().saturating_sub(1);
    gaps.map(|at| {
        since += 1;
        let mut seen = Vec::new();
        around.each(at, since, &mut |name, words| seen.push(feature::text(name, words)));
        if told[at].stop > Stop::None {
            since = 0;
        }
        (seen, model::class(told[at].stop))
    })
    .collect()
}

fn around<'a>(tokens: &'a [Token], lexicon: &'a Lexicon, ends: &[bool]) -> Around<'a> {
    let view = view::build(tokens, lexicon);
    let found = mention::find(&view, lexicon, ends);
    let numbers = number::quantities(tokens);
    Around::of(tokens, &found.main, &numbers, lexicon)
}

/// Stretches that lack stops: shorter ones count where the whole note has none to speak of.
fn bare_stretches(tokens: &[Token], ends: &[bool]) -> Vec<Range<usize>> {
    let full = tokens.iter().filter(|t| t.stop >= Stop::Sentence).count();
    segment::bare(tokens, ends, SHORT[usize::from(full * UNSTOPPED > tokens.len())])
}

#[cfg(test)]
mod tests {
    use super::*;

    fn restored(text: &str) -> String {
        let lexicon = Lexicon::shipped().unwrap();
        let mut tokens = tokenize(&Transcript::from_text(text));
        stops(&mut tokens, &lexicon, false);
        let mark = |t: &Token| match t.stop {
            Stop::None => t.text.clone(),
            Stop::Comma => format!("{},", t.text),
            Stop::Sentence | Stop::Question => format!("{}.", t.text),
        };
        tokens.iter().map(mark).collect::<Vec<_>>().join(" ")
    }

    #[test]
    fn a_run_of_findings_is_cut_where_the_next_part_is_named() {
        let cut = restored(
            "relief valve is there and it's dry the discharge pipe is copper it runs down to the floor \
             the drain pan is missing there's no expansion tank",
        );
        assert!(cut.contains("dry. the discharge"), "{cut}");
        assert!(cut.contains("floor. the drain pan is missing"), "{cut}");
        assert!(!cut.contains("missing there"), "{cut}");
    }

    #[test]
    fn stops_that_are_there_stay_as_they_are() {
        let text = "the pan is dry, the valve is copper, the tank is old, and it drips, but the floor is bare.";
        assert_eq!(restored(text), text);
    }
}

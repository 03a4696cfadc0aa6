//! Tests of the whole program; one binary, a module a subject.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]
mod doc;
mod figure;
mod hear;
mod judge;
mod lexicon;
mod number;
mod quantity;
mod record;
mod sample;
mod scope;
mod terminal;
mod visit;

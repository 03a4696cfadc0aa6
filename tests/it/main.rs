//! Tests of the whole program; one binary, a module a subject.
#![allow(clippy::unwrap_used, reason = "a test that cannot go on has failed")]
mod batch;
mod disk;
mod doc;
mod figure;
mod fleet;
mod format;
mod hear;
mod heaters;
mod judge;
mod lexicon;
mod linking;
mod listen;
mod mutated;
mod number;
mod office;
mod quantity;
mod reading;
mod record;
mod report;
mod robust;
mod sample;
mod scope;
mod snippet;
mod sound;
#[cfg(feature = "store")]
mod store;
mod terminal;
mod visit;

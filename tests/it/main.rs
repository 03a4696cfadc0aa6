//! Tests of the whole program; one binary, a module a subject.
mod doc;
mod sample;
mod visit;

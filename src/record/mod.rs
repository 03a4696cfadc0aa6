//! The record: its types, its schema, the visit folder and the journal of decisions.
mod fact;

pub use fact::{Command, Concern, Evidence, Fact, Limit, OpenKind, OpenQuestion, Photo, Record, Spoken, State, Value};

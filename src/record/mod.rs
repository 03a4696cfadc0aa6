//! The record: its types, its schema, the visit folder and the journal of decisions.
mod clip;
mod error;
mod fact;
mod file;
mod item;
mod journal;
mod live;
mod merge;
mod name;
mod note;
mod photograph;
mod schema;
mod seal;
mod settle;
mod transcript;
mod visit;

pub use clip::{clip, sound};
pub use error::Error;
pub use fact::{Command, Concern, Evidence, Fact, Limit, OpenKind, OpenQuestion, Photo, Record, Spoken, State, Value};
pub(crate) use file::append;
#[cfg(feature = "store")]
pub(crate) use file::{part, write_json};
pub use file::{read_json, replace};
pub use journal::{Act, Decision, JOURNAL_VERSION, Journal, Stand};
pub use live::Begun;
pub use merge::{contradicts, merge, same_slot, same_value};
pub use name::FactName;
pub use note::{Note, NoteKind, hash, hash_bytes, kind_of, look_at, text as note_text, tidy_name};
pub use photograph::{Found, How, Photograph, Placed, is_picture, place};
pub use schema::schema;
pub use seal::{Alteration, Revision, Seal};
pub use settle::{basis, named};
#[cfg(feature = "store")]
pub(crate) use visit::FOLDERS;
pub use visit::{About, Added, Lock, Visit};

/// Version of `record.json`.
pub const RECORD_VERSION: u32 = 1;

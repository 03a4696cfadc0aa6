//! hearsheet turns an inspector's spoken notes into a record to sign and a report to hand over.
//!
//! Data flows one way; each module takes the stage before it and returns a typed value:
//! `audio` → `recognize` → `read` → `record` → `judge` → `confirm` → `report`.
pub mod audio;
pub mod batch;
pub mod confirm;
pub mod draft;
pub mod judge;
pub mod learn;
pub mod lexicon;
pub mod listen;
pub mod read;
pub mod recognize;
pub mod record;
pub mod report;
pub mod score;
#[cfg(feature = "store")]
pub mod store;

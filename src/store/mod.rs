//! Recordings and visits on an S3-compatible store that several machines share: objects as files here, and back.
//!
//! A visit's folder in the store has the layout of one on a disk. An object appears whole or not at all, and none is
//! put over one that somebody else changed meanwhile.
mod address;
mod bucket;
mod copy;
mod error;
mod list;
mod scratch;
mod transfer;
mod visit;

pub use address::{Address, SCHEME};
pub use bucket::Bucket;
pub use copy::Copy;
pub use error::Error;
pub use list::{Listing, Object};
pub use scratch::Scratch;
pub use transfer::{Over, Still};
pub use visit::{Moved, fetch_visit, return_visit};

//! A day's recordings into drafts, unattended: found, added, heard, read and judged, by several workers at once.
//!
//! A [`Plan`] says which recordings belong to which visit. A [`Queue`] hands out [`Job`]s, from memory or from a database
//! that several machines share; whoever takes one does it on the visit's folder, where everything that is done can be
//! seen. So any of them may end at any moment, and whoever starts again goes on with what is left.
mod depot;
mod error;
mod event;
mod fence;
mod fleet;
mod index;
mod job;
mod ledger;
mod local;
mod manifest;
mod memory;
mod outline;
mod plan;
mod run;
mod scan;
mod shared;
mod step;
#[cfg(feature = "store")]
mod store;
mod tally;
mod watch;

pub use depot::Depot;
pub use error::Error;
pub use event::{Event, Failure, Sum, Teller};
pub use fleet::{Crew, Hearing, Outcome};
pub use index::Index;
pub use job::{Done, Job, Queue, Step};
pub use ledger::Ledger;
pub use local::Local;
pub use memory::{room, workers};
pub use plan::{By, Known, Plan, Planned, Same, Source, Taken};
pub use run::{Batch, Rhythm};
pub use scan::{Found, Scan, scan};
pub use shared::{Shared, Until};
pub use tally::{Row, Tally, tally};

#[cfg(test)]
mod tests;

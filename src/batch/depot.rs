//! Recordings and visits that lie in no folder of this machine, and are brought to the steps and taken back.
use super::outline::Outline;
use super::step::Stand;
use super::{Done, Error, Failure, Found, Job, Scan, Taken};
use crate::confirm::Gauge;
use std::collections::BTreeMap;
use std::path::PathBuf;
use std::sync::Arc;

/// What a batch asks of such a place. All of it may wait for a network.
pub(super) trait Work: Send + Sync {
    /// The folder that a worker, or who plans, takes for that of the recordings.
    fn source(&self, hand: &str) -> PathBuf;
    /// The folder that it takes for that of the visits.
    fn out(&self, hand: &str) -> PathBuf;
    /// Whether it answers: who cannot reach it takes no work.
    fn reach(&self) -> Result<(), Error>;
    fn scan(&self) -> Result<Scan, Error>;
    /// The sha256 of a recording.
    fn hash(&self, found: &Found) -> Result<String, Failure>;
    /// What lies in the visits.
    fn taken(&self) -> Result<Taken, Error>;
    /// Brings what a job needs, does it, and takes back what came of it while `still` says that it is this worker's.
    fn work(&self, stand: &mut Stand, job: &Job, still: &dyn Fn() -> bool) -> Done;
    /// How a visit stands; none where there is none.
    fn look_at(&self, gauge: &Gauge, folder: &str) -> Result<Option<Outline>, Error>;
    /// The mark of each visit, as an outline has it.
    fn stamps(&self) -> Result<BTreeMap<String, String>, Error>;
}

/// A store that machines share.
#[derive(Clone)]
pub struct Depot(pub(super) Arc<dyn Work>);

impl Depot {
    /// Where whoever plans takes the recordings and the visits to be.
    pub fn folders(&self) -> (PathBuf, PathBuf) {
        (self.0.source("plan"), self.0.out("plan"))
    }
}

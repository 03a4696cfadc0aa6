//! What is told of a visit without going to its folder, and whether that is still true.
use super::fence;
use super::tally::Count;
use crate::confirm::{Gauge, Waiting};
use std::path::Path;
use std::time::UNIX_EPOCH;

/// Files whose change changes what is told of a visit.
pub(super) const TELLING: [&str; 6] =
    ["visit.toml", "notes.json", "record.json", "decisions.jsonl", "seals.jsonl", "rules.toml"];

/// How a visit stood at one moment.
#[derive(Debug)]
pub(super) struct Outline {
    pub waiting: Waiting,
    pub count: Result<Count, String>,
    pub stamp: String,
}

impl Outline {
    /// Reads a visit; none where there is none, or none that may be read.
    pub fn of(gauge: &Gauge, root: &Path, folder: &str) -> Option<Outline> {
        let dir = fence::visit(root, folder).ok()?;
        // Before anything is read: what changes meanwhile is then looked at once more.
        let stamp = stamp(root, folder);
        if !dir.join("visit.toml").exists() {
            return None;
        }
        // Where the folder is mounted here tells nobody elsewhere anything.
        let above = format!("{}{}", root.display(), std::path::MAIN_SEPARATOR);
        let told = |error: String| error.replace(&above, "");
        let count = Count::of(&dir).map_err(|error| told(error.to_string()));
        let mut waiting = gauge.look_at(&dir);
        waiting.problem = waiting.problem.map(told);
        Some(Outline { waiting, count, stamp })
    }
}

/// Sizes and times of the telling files.
pub(super) fn stamp(root: &Path, folder: &str) -> String {
    let Ok(dir) = fence::visit(root, folder) else { return String::new() };
    let of = |name: &&str| {
        let about = std::fs::symlink_metadata(dir.join(name)).ok()?;
        let time = about.modified().ok()?.duration_since(UNIX_EPOCH).ok()?;
        Some(format!("{} {}", about.len(), time.as_nanos()))
    };
    TELLING.iter().map(|name| of(name).unwrap_or_default()).collect::<Vec<_>>().join(", ")
}

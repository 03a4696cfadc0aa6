//! Waiting for files to be whole: a sync client copies slowly and in pieces, and a shared folder tells nobody of it.
use super::{Found, Ledger, Taken};
use crate::record::{NoteKind, kind_of, look_at};
use jiff::Timestamp;
use std::collections::HashMap;
use std::path::{Path, PathBuf};
use std::time::{Duration, Instant};

/// What is known of a file in the watched folder.
#[derive(Debug, Clone, PartialEq)]
struct Seen {
    bytes: u64,
    modified: Timestamp,
    since: Instant,
    handled: bool,
}

/// Which files have stood still, and which were handled.
#[derive(Debug)]
pub struct Patience {
    settle: Duration,
    seen: HashMap<PathBuf, Seen>,
}

impl Patience {
    /// Files have to keep their size and time for `settle`.
    pub fn new(settle: Duration) -> Patience {
        Patience { settle, seen: HashMap::new() }
    }

    /// The files that have stood still for long enough and were not given out yet in this form.
    pub fn settled(&mut self, files: Vec<Found>, now: Instant) -> Vec<Found> {
        let mut settled = Vec::new();
        let mut seen = HashMap::new();
        for found in files {
            let fresh = Seen { bytes: found.bytes, modified: found.modified, since: now, handled: false };
            let known = self.seen.remove(&found.path);
            let mut kept = known.filter(|k| (k.bytes, k.modified) == (fresh.bytes, fresh.modified)).unwrap_or(fresh);
            let still = !kept.handled && now.duration_since(kept.since) >= self.settle;
            kept.handled |= still;
            seen.insert(found.path.clone(), kept);
            if still {
                settled.push(found);
            }
        }
        // What is gone is forgotten.
        self.seen = seen;
        settled
    }
}

/// Parts files into whole ones and others, each with the reason. What is in a visit already was whole.
pub fn whole(root: &Path, files: Vec<Found>, ledger: &Ledger, taken: &Taken) -> (Vec<Found>, Vec<(Found, String)>) {
    let (mut good, mut bad) = (Vec::new(), Vec::new());
    for found in files {
        let known = || ledger.hash_of(&found).is_some_and(|hash| taken.recordings.contains_key(&hash));
        if kind_of(&found.path) == NoteKind::Recording && known() {
            good.push(found);
            continue;
        }
        match look_at(&root.join(&found.path)) {
            Ok(_) => good.push(found),
            Err(error) => bad.push((found, error.to_string())),
        }
    }
    (good, bad)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(bytes: u64, second: i64) -> Found {
        Found { path: "a.wav".into(), bytes, modified: Timestamp::from_second(second).unwrap() }
    }

    #[test]
    fn a_file_is_given_out_once_it_stood_still_and_again_when_it_changed() {
        let mut patience = Patience::new(Duration::from_secs(10));
        let start = Instant::now();
        let mut at =
            |second: u64, found: Found| patience.settled(vec![found], start + Duration::from_secs(second)).len();
        assert_eq!(at(0, found(100, 1)), 0, "it was never seen before");
        assert_eq!(at(9, found(100, 1)), 0);
        assert_eq!(at(10, found(200, 1)), 0, "it has grown");
        assert_eq!(at(19, found(200, 1)), 0);
        assert_eq!(at(20, found(200, 1)), 1);
        assert_eq!(at(40, found(200, 1)), 0, "once is enough");
        assert_eq!(at(50, found(200, 2)), 0, "same size, written anew");
        assert_eq!(at(60, found(200, 2)), 1);
    }
}

//! How many may work at once without running out of memory.
use std::sync::{Condvar, Mutex, PoisonError};

/// Sound in memory: 16 kHz, two bytes a sample.
const BYTES_A_MS: u64 = 32;
/// A compressed recording grows at most by about this when it is decoded: speech at 16 kbit/s.
const GROWTH: u64 = 16;
/// The longest recording that is taken, twelve hours, as sound.
const LONGEST: u64 = 12 * 3_600_000 * BYTES_A_MS;
/// What one worker needs, beside as much again as the model is large. Of the smallest model, 43 MB, a batch took 195 MB with
/// one worker and 221 MB with two; larger ones were not tried, so this leaves room.
const EACH: u64 = 100 << 20;
/// What else runs on the machine keeps a quarter.
const KEPT_FREE: u64 = 4;

/// Bytes that can be had without pushing others out: of the machine, or of the group of programs this one belongs to.
pub fn room() -> Option<u64> {
    let text = std::fs::read_to_string("/proc/meminfo").ok()?;
    let line = text.lines().find_map(|line| line.strip_prefix("MemAvailable:"))?;
    let kilobytes: u64 = line.trim().strip_suffix("kB")?.trim().parse().ok()?;
    let group = |name: &str| std::fs::read_to_string(format!("/sys/fs/cgroup/{name}")).ok()?.trim().parse::<u64>().ok();
    let of_group = group("memory.max").map(|max| max.saturating_sub(group("memory.current").unwrap_or(0)));
    Some((kilobytes << 10).min(of_group.unwrap_or(u64::MAX)))
}

/// As many workers as there are cores for them and memory: `model` is the size of the speech model in bytes.
pub fn workers(cores: usize, threads: usize, room: Option<u64>, model: u64) -> usize {
    let by_cores = (cores / threads.max(1)).max(1);
    let Some(room) = room else { return by_cores };
    let usable = (room - room / KEPT_FREE).saturating_sub(model);
    by_cores.min(usize::try_from(usable / (EACH + model)).unwrap_or(usize::MAX)).max(1)
}

/// Bytes that the workers share, of memory for sound or of a disk: large recordings wait for one another.
#[derive(Debug)]
pub struct Budget {
    all: u64,
    free: Mutex<u64>,
    changed: Condvar,
}

/// A share of it, given back when dropped.
#[derive(Debug)]
pub struct Share<'a>(&'a Budget, u64);

impl Budget {
    /// Of memory, half of what there is; two recordings of an hour where nobody knows how much that is.
    pub fn of_memory(room: Option<u64>) -> Budget {
        Budget::of(room.map_or(2 * 3_600_000 * BYTES_A_MS, |room| room / 2))
    }

    pub fn of(all: u64) -> Budget {
        Budget { all, free: Mutex::new(all), changed: Condvar::new() }
    }

    /// Waits until a recording of this length fits; one that never does goes alone.
    pub fn for_length(&self, ms: u64) -> Share<'_> {
        self.bytes(ms.saturating_mul(BYTES_A_MS))
    }

    /// The same for a file whose length is not known yet.
    pub fn for_file(&self, bytes: u64) -> Share<'_> {
        self.bytes(bytes.saturating_mul(GROWTH).min(LONGEST))
    }

    /// Waits until so many bytes are free.
    pub fn bytes(&self, bytes: u64) -> Share<'_> {
        let wanted = bytes.min(self.all);
        let mut free = self.free.lock().unwrap_or_else(PoisonError::into_inner);
        while *free < wanted {
            free = self.changed.wait(free).unwrap_or_else(PoisonError::into_inner);
        }
        *free -= wanted;
        Share(self, wanted)
    }
}

impl Drop for Share<'_> {
    fn drop(&mut self) {
        *self.0.free.lock().unwrap_or_else(PoisonError::into_inner) += self.1;
        self.0.changed.notify_all();
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn workers_go_by_cores_and_by_memory() {
        const GB: u64 = 1 << 30;
        assert_eq!(workers(8, 1, None, 0), 8);
        assert_eq!(workers(8, 2, Some(64 * GB), 80 << 20), 4);
        // Three quarters of 1 GB less 80 MB are 688 MB: three of 180 MB.
        assert_eq!(workers(8, 1, Some(GB), 80 << 20), 3);
        assert_eq!(workers(2, 4, Some(1), 80 << 20), 1, "there is always one");
    }

    #[test]
    fn a_recording_larger_than_all_room_goes_alone() {
        let sound = Budget::of_memory(Some(2 * BYTES_A_MS * 1000));
        let long = sound.for_length(5000);
        assert_eq!(*sound.free.lock().unwrap(), 0);
        drop(long);
        assert_eq!(*sound.free.lock().unwrap(), 32_000);
    }
}

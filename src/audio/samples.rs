//! The samples of one recording: in memory while they are few, in a file without a name once they are many.
use std::fs::File;
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::ops::Range;
use std::path::Path;
use std::sync::{Mutex, PoisonError};

/// Samples kept in memory before they go to the disk: five minutes, 10 MB.
const KEPT: usize = 5 * 60 * super::RATE as usize;
/// Where large files that outlive no program belong (Filesystem Hierarchy Standard 3.0, 5.15); the usual folder for
/// small ones is often memory itself.
const ROOMY: &str = "/var/tmp";

/// 16-bit samples at [`super::RATE`]. Two hours are 230 MB, which is why they don't stay in memory.
#[derive(Debug, Default)]
pub struct Samples {
    /// The first samples, little-endian; nobody else sees the file, and it is gone with this.
    file: Option<Mutex<File>>,
    /// How many the file holds.
    spilled: usize,
    /// Those after them.
    rest: Vec<i16>,
    loudest: u16,
    /// Whether a file was tried and could not be written: then all of them stay in memory.
    stuck: bool,
}

impl Samples {
    pub fn len(&self) -> usize {
        self.spilled + self.rest.len()
    }

    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }

    /// The loudest sample's distance from silence.
    pub fn loudest(&self) -> u16 {
        self.loudest
    }

    /// Takes the next ones.
    pub fn extend(&mut self, samples: impl IntoIterator<Item = i16>) {
        let before = self.rest.len();
        self.rest.extend(samples);
        self.loudest = self.rest[before..].iter().map(|s| s.unsigned_abs()).fold(self.loudest, u16::max);
        if self.rest.len() >= KEPT && !self.stuck {
            self.stuck = self.spill().is_err();
        }
    }

    /// Leaves away what comes after the first `count`.
    pub fn truncate(&mut self, count: usize) {
        self.rest.truncate(count.saturating_sub(self.spilled));
        self.spilled = self.spilled.min(count);
    }

    /// The samples between two places; places after the end are those of the end.
    pub fn get(&self, range: Range<usize>) -> io::Result<Vec<i16>> {
        let end = range.end.min(self.len());
        let start = range.start.min(end);
        let border = self.spilled.clamp(start, end);
        let mut samples = self.read_back(start, border)?;
        if border < end {
            samples.extend_from_slice(&self.rest[border - self.spilled..end - self.spilled]);
        }
        Ok(samples)
    }

    /// All of them, piece by piece of `count`.
    pub fn pieces(&self, count: usize) -> impl Iterator<Item = io::Result<Vec<i16>>> + '_ {
        (0..self.len()).step_by(count.max(1)).map(move |at| self.get(at..at + count))
    }

    /// All of them, taken away; the next ones are the first again.
    pub fn take(&mut self) -> io::Result<Vec<i16>> {
        let all = std::mem::take(self);
        if all.spilled == 0 { Ok(all.rest) } else { all.get(0..all.len()) }
    }

    /// Moves what is in memory to the end of the file.
    fn spill(&mut self) -> io::Result<()> {
        let file = match &mut self.file {
            Some(file) => file,
            none => none.insert(Mutex::new(nameless()?)),
        };
        let file = file.get_mut().unwrap_or_else(PoisonError::into_inner);
        file.seek(SeekFrom::Start(2 * self.spilled as u64))?;
        let mut file = io::BufWriter::with_capacity(1 << 16, file);
        self.rest.iter().try_for_each(|sample| file.write_all(&sample.to_le_bytes()))?;
        file.flush()?;
        drop(file);
        self.spilled += self.rest.len();
        self.rest.clear();
        Ok(())
    }

    fn read_back(&self, start: usize, end: usize) -> io::Result<Vec<i16>> {
        let Some(file) = self.file.as_ref().filter(|_| start < end) else { return Ok(Vec::new()) };
        let mut bytes = vec![0; 2 * (end - start)];
        let mut file = file.lock().unwrap_or_else(PoisonError::into_inner);
        file.seek(SeekFrom::Start(2 * start as u64))?;
        file.read_exact(&mut bytes)?;
        Ok(bytes.as_chunks().0.iter().map(|pair| i16::from_le_bytes(*pair)).collect())
    }
}

impl From<Vec<i16>> for Samples {
    fn from(samples: Vec<i16>) -> Self {
        let mut all = Samples::default();
        all.extend(samples);
        all
    }
}

/// A file without a name, in the folder that the user set, or where there is room.
fn nameless() -> io::Result<File> {
    let roomy = Path::new(ROOMY);
    if std::env::var_os("TMPDIR").is_none() && roomy.is_dir() {
        return tempfile::tempfile_in(roomy).or_else(|_| tempfile::tempfile());
    }
    tempfile::tempfile()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Twelve and a half minutes in which each sample tells its place.
    fn long() -> (Samples, Vec<i16>) {
        let all: Vec<i16> = (0..KEPT * 5 / 2).map(|at| (at % 30_011) as i16 - 15_000).collect();
        let mut samples = Samples::default();
        all.chunks(70_001).for_each(|piece| samples.extend(piece.iter().copied()));
        (samples, all)
    }

    #[test]
    fn a_long_recording_leaves_the_memory_and_comes_back_as_it_was() {
        let (samples, all) = long();
        assert_eq!(samples.len(), all.len());
        assert!(samples.rest.len() < KEPT + 70_001, "{} samples in memory", samples.rest.len());
        assert!(samples.spilled >= 2 * KEPT, "{} samples on the disk", samples.spilled);
        assert_eq!(samples.loudest(), 15_010);
        let edge = samples.spilled;
        for range in [0..5, edge - 3..edge, edge - 3..edge + 3, edge..edge + 3, all.len() - 2..all.len()] {
            assert_eq!(samples.get(range.clone()).unwrap(), all[range.clone()], "{range:?}");
        }
        assert_eq!(samples.get(all.len() - 2..all.len() + 9).unwrap(), all[all.len() - 2..]);
        assert!(samples.get(all.len() + 1..all.len() + 9).unwrap().is_empty());
        let back: Vec<i16> = samples.pieces(99_991).flat_map(|piece| piece.unwrap()).collect();
        assert!(back == all, "the pieces together differ");
    }

    #[test]
    fn the_end_is_cut_off_in_memory_and_on_the_disk() {
        let (mut samples, all) = long();
        samples.truncate(all.len() - 7);
        assert_eq!(samples.get(all.len() - 9..all.len()).unwrap(), all[all.len() - 9..all.len() - 7]);
        samples.truncate(KEPT / 2);
        assert_eq!((samples.len(), samples.get(KEPT / 2 - 1..KEPT).unwrap()), (KEPT / 2, vec![all[KEPT / 2 - 1]]));
    }

    #[test]
    fn where_no_file_can_be_written_they_stay_in_memory() {
        let mut samples = Samples { stuck: true, ..Samples::default() };
        samples.extend((0..2 * KEPT).map(|at| (at % 7) as i16));
        assert_eq!((samples.spilled, samples.len()), (0, 2 * KEPT));
        assert_eq!(samples.get(KEPT..KEPT + 3).unwrap(), [KEPT, KEPT + 1, KEPT + 2].map(|at| (at % 7) as i16));
    }
}

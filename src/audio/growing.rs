//! A WAV file that is whole at every moment of its growing, and the mending of one that a power cut left behind.
//!
//! The header is that of RIFF WAVE with a broadcast extension (EBU Tech 3285), which holds the time of the beginning.
use super::wav::find_chunk;
use jiff::tz::TimeZone;
use jiff::{Timestamp, ZonedDateTime};
use std::fs::{File, OpenOptions, TryLockError};
use std::io::{self, Read, Seek, SeekFrom, Write};
use std::path::Path;

/// Who made the file, as its broadcast extension says; no other file is ever mended.
const MAKER: &[u8] = b"hearsheet";
/// Beginning of the name of a file without a header; one that is left behind holds no sound.
const UNNAMED: &str = ".part-";
/// Bytes before the first sample.
pub const HEAD: u64 = 12 + 24 + 8 + EXTENSION as u64 + 8;
const EXTENSION: usize = 602;
/// Where the broadcast extension's fields lie in it: originator, date and time.
const ORIGINATOR: usize = 256;
const DATE: usize = 320;
/// The most sound that one file can hold; its length is a number of 32 bits.
const MOST: u64 = u32::MAX as u64 - HEAD - 1;

/// How the sound in a file is laid out: 16-bit samples, interleaved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Form {
    pub rate: u32,
    pub channels: u16,
}

impl Form {
    /// Bytes of one moment of all channels.
    pub fn frame_bytes(self) -> u64 {
        2 * u64::from(self.channels.max(1))
    }

    /// The milliseconds that so many frames last.
    pub fn ms(self, frames: u64) -> u64 {
        frames * 1000 / u64::from(self.rate.max(1))
    }
}

/// A recording that is being written. It is locked against being taken for a finished one as long as it lives.
#[derive(Debug)]
pub struct Growing {
    file: File,
    form: Form,
    /// Bytes of sound in the file.
    bytes: u64,
    scratch: Vec<u8>,
}

impl Growing {
    /// Begins a new file, which has its name only once its header is whole.
    pub fn create(path: &Path, form: Form, begun: &ZonedDateTime) -> io::Result<Growing> {
        let folder = path.parent().unwrap_or(Path::new("."));
        let mut builder = tempfile::Builder::new();
        builder.prefix(UNNAMED);
        #[cfg(unix)]
        builder.permissions(std::os::unix::fs::PermissionsExt::from_mode(0o666));
        let mut part = builder.tempfile_in(folder)?;
        part.as_file().lock()?;
        part.write_all(&head(form, begun))?;
        part.as_file().sync_all()?;
        let file = part.persist_noclobber(path).map_err(|e| e.error)?;
        Ok(Growing { file, form, bytes: 0, scratch: Vec::new() })
    }

    /// Hands whole frames to the operating system. What was written of them when it fails is taken back.
    pub fn push(&mut self, samples: &[i16]) -> io::Result<()> {
        self.scratch.clear();
        self.scratch.extend(samples.iter().flat_map(|s| s.to_le_bytes()));
        if let Err(error) = self.file.write_all(&self.scratch) {
            self.file.set_len(HEAD + self.bytes)?;
            self.file.seek(SeekFrom::Start(HEAD + self.bytes))?;
            return Err(error);
        }
        self.bytes += self.scratch.len() as u64;
        Ok(())
    }

    /// Waits until all sound is on the disk, then says in the header how much it is.
    pub fn flush(&mut self) -> io::Result<()> {
        self.file.sync_data()?;
        write_lengths(&mut self.file, self.bytes)?;
        self.file.seek(SeekFrom::End(0)).map(|_| ())
    }

    /// Frames written so far.
    pub fn frames(&self) -> u64 {
        self.bytes / self.form.frame_bytes()
    }

    /// Whether so many samples more would be too many for one file.
    pub fn is_full(&self, samples: usize) -> bool {
        self.bytes + 2 * samples as u64 > MOST
    }

    /// Ends the file.
    pub fn close(mut self) -> io::Result<()> {
        self.flush()?;
        self.file.sync_all()
    }
}

/// Whether a file is one of ours that a living program is still writing.
pub fn is_growing(path: &Path) -> bool {
    let Ok(mut file) = File::open(path) else { return false };
    is_ours(&mut file) && matches!(file.try_lock_shared(), Err(TryLockError::WouldBlock))
}

/// Whether a file is one of ours without a single sample.
pub fn is_silent(path: &Path) -> bool {
    let Ok(mut file) = File::open(path) else { return false };
    is_ours(&mut file) && file.metadata().is_ok_and(|m| m.len() == HEAD)
}

/// Sets right the lengths in the header of a recording of ours whose program was ended; tells whether it was needed.
/// Nothing of the sound is changed, save half a frame at its end.
pub fn mend(path: &Path) -> io::Result<bool> {
    let mut file = File::open(path)?;
    if !is_ours(&mut file) || matches!(file.try_lock_shared(), Err(TryLockError::WouldBlock)) {
        return Ok(false);
    }
    let Some(form) = read_form(&mut file)? else { return Ok(false) };
    let there = file.metadata()?.len().saturating_sub(HEAD);
    let whole = there - there % form.frame_bytes();
    let promised = find_chunk(&file, *b"data")?.map_or(0, |(_, size)| u64::from(size));
    if promised == whole && there == whole {
        return Ok(false);
    }
    drop(file);
    let mut file = OpenOptions::new().read(true).write(true).open(path)?;
    file.set_len(HEAD + whole)?;
    write_lengths(&mut file, whole)?;
    file.sync_all()?;
    Ok(true)
}

fn is_ours(file: &mut File) -> bool {
    let mut head = vec![0; HEAD as usize];
    let read = file.seek(SeekFrom::Start(0)).and_then(|_| file.read_exact(&mut head));
    read.is_ok() && head.starts_with(b"RIFF") && head[44 + ORIGINATOR..].starts_with(MAKER)
}

/// How the sound of a RIFF file is laid out, if it is plain 16-bit.
pub fn read_form(file: &mut File) -> io::Result<Option<Form>> {
    let Some((start, 16..)) = find_chunk(file, *b"fmt ")? else { return Ok(None) };
    let mut fields = [0; 16];
    file.seek(SeekFrom::Start(start))?;
    file.read_exact(&mut fields)?;
    Ok(form_in(&fields))
}

/// The layout that a `fmt ` chunk tells, if it is plain 16-bit.
pub fn form_in(fields: &[u8; 16]) -> Option<Form> {
    let short = |at: usize| u16::from_le_bytes([fields[at], fields[at + 1]]);
    // Format 1 is plain samples, 0xfffe the extensible form of the same.
    let plain = matches!(short(0), 1 | 0xfffe) && short(14) == 16 && short(2) > 0;
    let rate = u32::from_le_bytes([fields[4], fields[5], fields[6], fields[7]]);
    plain.then_some(Form { rate, channels: short(2) })
}

fn write_lengths(file: &mut File, bytes: u64) -> io::Result<()> {
    let length = |bytes: u64| u32::try_from(bytes).unwrap_or(u32::MAX).to_le_bytes();
    file.seek(SeekFrom::Start(HEAD - 4))?;
    file.write_all(&length(bytes))?;
    file.seek(SeekFrom::Start(4))?;
    file.write_all(&length(HEAD - 8 + bytes))
}

fn head(form: Form, begun: &ZonedDateTime) -> Vec<u8> {
    let mut head = Vec::with_capacity(HEAD as usize);
    head.extend(b"RIFF");
    head.extend((HEAD as u32 - 8).to_le_bytes());
    head.extend(b"WAVEfmt ");
    head.extend(16u32.to_le_bytes());
    head.extend(1u16.to_le_bytes());
    head.extend(form.channels.to_le_bytes());
    head.extend(form.rate.to_le_bytes());
    head.extend((form.rate * form.frame_bytes() as u32).to_le_bytes());
    head.extend((form.frame_bytes() as u16).to_le_bytes());
    head.extend(16u16.to_le_bytes());
    head.extend(b"bext");
    head.extend((EXTENSION as u32).to_le_bytes());
    let mut extension = vec![0; EXTENSION];
    extension[ORIGINATOR..ORIGINATOR + MAKER.len()].copy_from_slice(MAKER);
    extension[DATE..DATE + 18].copy_from_slice(begun.strftime("%Y-%m-%d%H:%M:%S").to_string().as_bytes());
    head.extend(extension);
    head.extend(b"data");
    head.extend(0u32.to_le_bytes());
    head
}

/// The moment as a clock at this place shows it.
pub fn local(moment: Timestamp) -> ZonedDateTime {
    moment.to_zoned_datetime(TimeZone::system())
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::audio;

    const FORM: Form = Form { rate: 16_000, channels: 1 };

    fn begun() -> ZonedDateTime {
        "2026-03-04T14:05:06".parse::<jiff::civil::DateTime>().unwrap().to_zoned_datetime(TimeZone::system()).unwrap()
    }

    fn ramp(count: usize) -> Vec<i16> {
        (0..count).map(|n| (n * 7 % 65_536) as u16 as i16).collect()
    }

    /// The samples as another reader of WAV files takes them: hound.
    fn read(path: &Path) -> Vec<i16> {
        hound::WavReader::open(path).unwrap().samples::<i16>().map(|s| s.unwrap()).collect()
    }

    #[test]
    fn the_file_opens_at_every_moment_of_its_growing_and_holds_what_was_flushed() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.wav");
        let mut growing = Growing::create(&path, FORM, &begun()).unwrap();
        assert_eq!(read(&path), [0i16; 0]);
        growing.push(&ramp(1000)).unwrap();
        growing.flush().unwrap();
        growing.push(&ramp(500)).unwrap();
        assert_eq!(read(&path), ramp(1000), "what came after the last flush waits for the next");
        growing.close().unwrap();
        assert_eq!(read(&path), [ramp(1000), ramp(500)].concat());
        let recording = audio::load(&path).unwrap();
        assert_eq!(recording.recorded_at, Some(begun().timestamp()), "the time is that of the beginning");
    }

    #[test]
    fn a_file_left_by_an_ended_program_is_mended_once_and_loses_no_sound() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.wav");
        let mut growing = Growing::create(&path, FORM, &begun()).unwrap();
        growing.push(&ramp(1000)).unwrap();
        assert!(is_growing(&path) && !mend(&path).unwrap(), "a living program's file is left alone");
        drop(growing);
        // Half a sample, as a cut in the middle of a write leaves it.
        OpenOptions::new().append(true).open(&path).unwrap().write_all(&[1]).unwrap();
        assert!(!is_growing(&path) && mend(&path).unwrap() && !mend(&path).unwrap());
        assert_eq!(read(&path), ramp(1000));
    }

    #[test]
    fn a_header_that_promises_more_than_the_disk_kept_is_mended_too() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.wav");
        let mut growing = Growing::create(&path, FORM, &begun()).unwrap();
        growing.push(&ramp(1000)).unwrap();
        growing.close().unwrap();
        OpenOptions::new().write(true).open(&path).unwrap().set_len(HEAD + 600).unwrap();
        assert!(matches!(audio::load(&path), Err(audio::Error::CutOff { .. })));
        assert!(mend(&path).unwrap());
        assert_eq!(read(&path), ramp(300));
    }

    #[test]
    fn no_file_of_another_maker_is_touched() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("cut.wav");
        let whole = std::fs::read("tests/audio/jfk.wav").unwrap();
        std::fs::write(&path, &whole[..whole.len() / 2]).unwrap();
        assert!(!mend(&path).unwrap());
        assert_eq!(std::fs::read(&path).unwrap(), whole[..whole.len() / 2]);
    }
}

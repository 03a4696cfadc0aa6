//! What an MP4 (M4A) says beside its sound: when it was made, and which part of what is decoded is to be heard.
//!
//! Boxes are those of ISO/IEC 14496-12.
use jiff::Timestamp;
use std::fs::File;
use std::io::{Read, Seek, SeekFrom};

/// Seconds from 1904, where MP4 counts from, to 1970.
const EPOCH: i64 = 2_082_844_800;
/// A list of edits longer than this is that of a film, not of a note.
const MOST_EDITS: u32 = 16;

/// A place in the file, from one byte to before another.
type Place = (u64, u64);

/// The part of the decoded sound that is to be heard, in seconds.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Edit {
    /// Before the note begins: what the coder needs to get going, or what its owner cut off.
    pub skip_s: f64,
    /// From there on; all of it where the file sets no end.
    pub length_s: Option<f64>,
}

/// The creation time in the movie header, which lies inside the `moov` box.
pub fn created(file: &mut File) -> Option<Timestamp> {
    let moov = find_movie(file)?;
    let mvhd = find_box(file, moov, b"mvhd")?;
    let content = read_bytes(file, mvhd.0, 12)?;
    let seconds = match content[0] {
        0 => i64::from(u32::from_be_bytes(content[4..8].try_into().ok()?)),
        _ => i64::try_from(u64::from_be_bytes(content[4..12].try_into().ok()?)).ok()?,
    };
    // Zero, and the odd clock that was never set, say nothing.
    Timestamp::from_second(seconds.checked_sub(EPOCH)?).ok().filter(|t| t.as_second() > 0)
}

/// The one edit of the first sound track; a list of several, as films have, is left alone.
pub fn edit(file: &mut File) -> Option<Edit> {
    let moov = find_movie(file)?;
    let track = find_sound(file, moov)?;
    let edits = find_box(file, track, b"edts")?;
    let list = find_box(file, edits, b"elst")?;
    let mdia = find_box(file, track, b"mdia")?;
    let media_rate = rate_in(file, mdia, b"mdhd")?;
    let movie_rate = rate_in(file, moov, b"mvhd")?;
    let (length, start) = only_edit(file, list)?;
    let length_s = (length > 0).then(|| length as f64 / movie_rate);
    Some(Edit { skip_s: start as f64 / media_rate, length_s })
}

/// Length, by the movie's clock, and start, by the track's, of the only edit that shows anything.
fn only_edit(file: &mut File, list: Place) -> Option<(u64, u64)> {
    let head = read_bytes(file, list.0, 8)?;
    let count = be32(&head[4..])?;
    if count > MOST_EDITS {
        return None;
    }
    let (wide, size) = if head[0] == 1 { (true, 20) } else { (false, 12) };
    let mut only = None;
    for entry in read_bytes(file, list.0 + 8, u64::from(count) * size)?.chunks_exact(size as usize) {
        let (length, start) = if wide {
            (be64(entry)?, i64::from_be_bytes(entry[8..16].try_into().ok()?))
        } else {
            (be32(entry)?.into(), i64::from(be32(&entry[4..])? as i32))
        };
        // A start before the beginning is a pause put before the sound; none is put there for a coder's sake.
        let Ok(start) = u64::try_from(start) else { continue };
        if only.replace((length, start)).is_some() {
            return None;
        }
    }
    only
}

/// The clock's ticks a second, in the header of a movie or of a track's media.
fn rate_in(file: &mut File, place: Place, name: &[u8; 4]) -> Option<f64> {
    let header = find_box(file, place, name)?;
    let content = read_bytes(file, header.0, 24)?;
    let rate = be32(&content[if content[0] == 1 { 20 } else { 12 }..])?;
    (rate > 0).then_some(f64::from(rate))
}

fn find_movie(file: &mut File) -> Option<Place> {
    let length = file.metadata().ok()?.len();
    if read_bytes(file, 4, 4)? != b"ftyp" {
        return None;
    }
    find_box(file, (0, length), b"moov")
}

/// The first track whose handler is that of sound.
fn find_sound(file: &mut File, moov: Place) -> Option<Place> {
    let mut rest = moov;
    loop {
        let track = find_box(file, rest, b"trak")?;
        let handler = find_box(file, track, b"mdia").and_then(|mdia| find_box(file, mdia, b"hdlr"));
        if handler.and_then(|hdlr| read_bytes(file, hdlr.0 + 8, 4)).is_some_and(|kind| kind == b"soun") {
            return Some(track);
        }
        rest.0 = track.1;
    }
}

/// Where a box's content lies, looked for in a place.
fn find_box(file: &mut File, (mut at, end): Place, wanted: &[u8; 4]) -> Option<Place> {
    while at + 8 <= end {
        let header = read_bytes(file, at, 8)?;
        let mut size = u64::from(be32(&header)?);
        let mut content = at + 8;
        if size == 1 {
            size = be64(&read_bytes(file, content, 8)?)?;
            content += 8;
        }
        if size == 0 {
            size = end - at;
        }
        let next = at.checked_add(size.max(8))?;
        if &header[4..] == wanted {
            return Some((content, next.min(end)));
        }
        at = next;
    }
    None
}

/// So many bytes of a file, or nothing where it has fewer.
pub fn read_bytes(file: &mut File, at: u64, count: u64) -> Option<Vec<u8>> {
    file.seek(SeekFrom::Start(at)).ok()?;
    let mut bytes = Vec::new();
    file.take(count).read_to_end(&mut bytes).ok()?;
    (bytes.len() as u64 == count).then_some(bytes)
}

fn be32(bytes: &[u8]) -> Option<u32> {
    bytes.first_chunk().map(|b| u32::from_be_bytes(*b))
}

fn be64(bytes: &[u8]) -> Option<u64> {
    bytes.first_chunk().map(|b| u64::from_be_bytes(*b))
}

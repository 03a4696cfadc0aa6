//! When a recording was made, where the file itself says so.
use super::wav::find_chunk;
use jiff::{Timestamp, civil, tz::TimeZone};
use std::fs::File;
use std::io::{Read, Seek, SeekFrom};
use symphonia::core::formats::FormatReader;
use symphonia::core::meta::StandardTag;

/// Seconds from 1904, where MP4 counts from, to 1970.
const MP4_EPOCH: i64 = 2_082_844_800;

/// The broadcast extension's origination date and time (EBU Tech 3285), or the RIFF tag `ICRD`.
pub fn in_wav(file: &mut File) -> Option<Timestamp> {
    if let Some((start, size)) = find_chunk(file, *b"bext").ok()?
        && size >= 338
    {
        // Description 256, originator 32, its reference 32, then date 10 and time 8.
        let text = read_text(file, start + 320, 18)?;
        let (date, time) = text.split_at_checked(10)?;
        return parse(&format!("{date}T{}", time.replace(['-', '.', '_'], ":")));
    }
    let (start, size) = find_chunk(file, *b"LIST").ok()??;
    let list = read_bytes(file, start, u64::from(size.min(64 * 1024)))?;
    let at = list.windows(4).position(|w| w == b"ICRD")?;
    let value = list.get(at + 8..)?;
    let end = value.iter().position(|b| *b == 0).unwrap_or(value.len());
    parse(std::str::from_utf8(&value[..end]).ok()?)
}

/// A date among the tags of any other format.
pub fn in_tags(format: &mut dyn FormatReader) -> Option<Timestamp> {
    let mut metadata = format.metadata();
    let tags = &metadata.skip_to_latest()?.media.tags;
    tags.iter().find_map(|tag| match tag.std.as_ref()? {
        StandardTag::RecordingDate(date) | StandardTag::DigitizedDate(date) | StandardTag::EncodingDate(date) => {
            parse(date)
        }
        _ => None,
    })
}

/// The creation time in an MP4's movie header, which lies inside its `moov` box.
pub fn in_mp4(file: &mut File) -> Option<Timestamp> {
    let length = file.metadata().ok()?.len();
    if read_bytes(file, 4, 4)? != b"ftyp" {
        return None;
    }
    let moov = find_box(file, 0, length, b"moov")?;
    let mvhd = find_box(file, moov.0, moov.1, b"mvhd")?;
    let content = read_bytes(file, mvhd.0, 12)?;
    let seconds = match content[0] {
        0 => i64::from(u32::from_be_bytes(content[4..8].try_into().ok()?)),
        _ => i64::try_from(u64::from_be_bytes(content[4..12].try_into().ok()?)).ok()?,
    };
    // Zero, and the odd clock that was never set, say nothing.
    Timestamp::from_second(seconds.checked_sub(MP4_EPOCH)?).ok().filter(|t| t.as_second() > 0)
}

/// Where a box's content starts and ends, looked for between two places.
fn find_box(file: &mut File, mut at: u64, end: u64, wanted: &[u8; 4]) -> Option<(u64, u64)> {
    while at + 8 <= end {
        let header = read_bytes(file, at, 8)?;
        let mut size = u64::from(u32::from_be_bytes(header[..4].try_into().ok()?));
        let mut content = at + 8;
        if size == 1 {
            size = u64::from_be_bytes(read_bytes(file, content, 8)?.try_into().ok()?);
            content += 8;
        }
        if size == 0 {
            size = end - at;
        }
        if &header[4..] == wanted {
            return Some((content, at.checked_add(size)?.min(end)));
        }
        at = at.checked_add(size.max(8))?;
    }
    None
}

fn read_bytes(file: &mut File, at: u64, count: u64) -> Option<Vec<u8>> {
    file.seek(SeekFrom::Start(at)).ok()?;
    let mut bytes = Vec::new();
    file.take(count).read_to_end(&mut bytes).ok()?;
    (bytes.len() as u64 == count).then_some(bytes)
}

fn read_text(file: &mut File, at: u64, count: u64) -> Option<String> {
    String::from_utf8(read_bytes(file, at, count)?).ok()
}

/// An ISO date and time; one without a zone was told by the clock of the place.
fn parse(text: &str) -> Option<Timestamp> {
    let text = text.trim();
    if let Ok(moment) = text.parse::<Timestamp>() {
        return Some(moment);
    }
    let local: civil::DateTime = text.parse().ok()?;
    TimeZone::system().to_timestamp(local).ok()
}

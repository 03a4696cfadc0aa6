//! When a recording was made, where the file itself says so.
use super::mp4::read_bytes;
use super::wav::find_chunk;
use jiff::{Timestamp, civil, tz::TimeZone};
use std::fs::File;
use symphonia::core::formats::FormatReader;
use symphonia::core::meta::StandardTag;

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

//! What a camera wrote into a picture: when it was taken, and how the camera was turned.
use super::Photograph;
use crate::record::Error;
use crate::record::note::hash;
use exif::{DateTime, Exif, In, Tag, Value};
use std::fs::File;
use std::io::{BufReader, Read};
use std::path::Path;

/// What a picture is, by its first bytes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Kind {
    /// One that a report can show.
    Shown,
    /// The High Efficiency Image Format, whose coding no free library of ours reads.
    Heic,
}

/// Whether a file is a picture, by what is in it or by its name.
pub fn is_picture(path: &Path) -> bool {
    let named = path.extension().map(|e| e.to_ascii_lowercase());
    let named = named.is_some_and(|e| ["jpg", "jpeg", "png", "webp", "heic", "heif"].iter().any(|known| e == *known));
    named || kind(path).is_ok_and(|kind| kind.is_some())
}

/// The signatures of JPEG (ITU-T T.81: SOI and a marker), PNG (ISO 15948), WebP in RIFF, and HEIF's brands (ISO 23008-12).
fn kind(path: &Path) -> std::io::Result<Option<Kind>> {
    let mut head = Vec::new();
    File::open(path)?.take(12).read_to_end(&mut head)?;
    let brand = |at: usize, wanted: &[&[u8]]| head.get(at..at + 4).is_some_and(|found| wanted.contains(&found));
    let webp = brand(0, &[b"RIFF"]) && brand(8, &[b"WEBP"]);
    Ok(if webp || head.starts_with(b"\xff\xd8\xff") || head.starts_with(b"\x89PNG\r\n\x1a\n") {
        Some(Kind::Shown)
    } else if brand(4, &[b"ftyp"]) && brand(8, &[b"heic", b"heix", b"mif1", b"hevc", b"msf1"]) {
        Some(Kind::Heic)
    } else {
        None
    })
}

/// The photograph in a file that stands where it is.
pub fn inspect(path: &Path, name: &str) -> Result<Photograph, Error> {
    let refuse = |what: &str, cure| Error::BadNote { path: path.to_owned(), what: what.to_owned(), cure };
    let about = std::fs::metadata(path).map_err(Error::read(path))?;
    match kind(path).map_err(Error::read(path))? {
        Some(Kind::Shown) => {}
        Some(Kind::Heic) => {
            return Err(refuse(
                "it is a HEIC picture, which cannot be shown in a report",
                "export it as JPEG, or set the camera to its most compatible format, and add that file",
            ));
        }
        None => return Err(refuse("it is no picture that can be read", "save it as JPEG or PNG and add that file")),
    }
    let exif = read(path);
    Ok(Photograph {
        name: name.to_owned(),
        sha256: hash(path)?,
        bytes: about.len(),
        taken: exif.as_ref().and_then(taken),
        turn: exif.as_ref().and_then(turn).unwrap_or(1),
    })
}

/// A picture without such notes, or with damaged ones, is a picture all the same.
fn read(path: &Path) -> Option<Exif> {
    exif::Reader::new().read_from_container(&mut BufReader::new(File::open(path).ok()?)).ok()
}

fn turn(exif: &Exif) -> Option<u8> {
    let turn = exif.get_field(Tag::Orientation, In::PRIMARY)?.value.get_uint(0)?;
    u8::try_from(turn).ok().filter(|turn| (1..=8).contains(turn))
}

/// When it was taken; a time without a zone is one of this machine's zone.
fn taken(exif: &Exif) -> Option<jiff::Timestamp> {
    let text = |tag| match &exif.get_field(tag, In::PRIMARY)?.value {
        Value::Ascii(lines) => lines.first().map(Vec::as_slice),
        _ => None,
    };
    let mut time = DateTime::from_ascii(text(Tag::DateTimeOriginal).or_else(|| text(Tag::DateTime))?).ok()?;
    if let Some(offset) = text(Tag::OffsetTimeOriginal) {
        // An offset that cannot be read is as good as none.
        let _ = time.parse_offset(offset);
    }
    let (month, day) = (i8::try_from(time.month).ok()?, i8::try_from(time.day).ok()?);
    let (hour, minute, second) =
        (i8::try_from(time.hour).ok()?, i8::try_from(time.minute).ok()?, i8::try_from(time.second).ok()?);
    let civil = jiff::civil::DateTime::new(i16::try_from(time.year).ok()?, month, day, hour, minute, second, 0).ok()?;
    let zone = match time.offset {
        Some(minutes) => jiff::tz::Offset::from_seconds(i32::from(minutes) * 60).ok()?.to_time_zone(),
        None => jiff::tz::TimeZone::system(),
    };
    zone.to_timestamp(civil).ok()
}

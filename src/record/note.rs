//! The notes of a visit: recordings and texts, copied in and never changed.
use super::Error;
use crate::audio;
use serde::{Deserialize, Serialize};
use sha2::{Digest, Sha256};
use std::io::Read;
use std::path::Path;

/// What a note is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum NoteKind {
    Recording,
    Text,
}

/// One line of `notes.json`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Note {
    /// File name in `notes/`.
    pub name: String,
    pub kind: NoteKind,
    pub sha256: String,
    pub bytes: u64,
    /// Length of a recording.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub length_ms: Option<u64>,
    /// When it began, if the recording says so; else its length before the file was last changed.
    pub recorded: jiff::Timestamp,
    /// Where the program itself spoke while it listened, in milliseconds: nobody's words are looked for there.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub own_voice: Vec<[u64; 2]>,
}

/// `notes.json`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub(crate) struct NoteList {
    pub version: u32,
    pub notes: Vec<Note>,
}

/// A text longer than this is no dictation.
const MAX_TEXT: u64 = 8 << 20;
/// Length of a note's name in bytes; file systems allow 255, a transcript's name adds to it.
const MAX_NAME: usize = 120;

/// The note in a file that stands where it is: its hash, what it is, its length and time.
pub(crate) fn inspect(path: &Path, name: &str) -> Result<Note, Error> {
    let about = std::fs::metadata(path).map_err(Error::read(path))?;
    let refuse = |what: &str, cure| Error::BadNote { path: path.to_owned(), what: what.to_owned(), cure };
    if !about.is_file() {
        return Err(refuse("it is no file", "name the recordings themselves, such as folder/*.wav"));
    }
    let kind = kind_of(path);
    if about.len() == 0 && kind == NoteKind::Text {
        return Err(refuse("it is empty", "write the words into it, or leave it out"));
    }
    let (length_ms, recorded_at) = match kind {
        NoteKind::Text => text(path).map(|_| (None, None))?,
        NoteKind::Recording => audio::load(path).map(|r| (Some(r.duration_ms), r.recorded_at))?,
    };
    // A recorder writes the end last: what it wrote began as long before as it lasts.
    let length = jiff::SignedDuration::from_millis(length_ms.unwrap_or_default() as i64);
    let changed_at = || about.modified().ok().and_then(|t| jiff::Timestamp::try_from(t).ok()?.checked_sub(length).ok());
    Ok(Note {
        name: name.to_owned(),
        kind,
        sha256: hash(path)?,
        bytes: about.len(),
        length_ms,
        recorded: recorded_at.or_else(changed_at).unwrap_or_default(),
        own_voice: Vec::new(),
    })
}

/// The note that a file would be, under a plain form of its name.
pub fn look_at(path: &Path) -> Result<Note, Error> {
    let name = path.file_name().map(|n| n.to_string_lossy()).unwrap_or_default();
    inspect(path, &tidy_name(&name))
}

/// A note is a text if its name says so; anything else has to be a recording.
pub fn kind_of(path: &Path) -> NoteKind {
    match path.extension().map(|e| e.to_ascii_lowercase()) {
        Some(e) if e == "txt" || e == "md" || e == "text" => NoteKind::Text,
        _ => NoteKind::Recording,
    }
}

/// The words of a text note.
pub fn text(path: &Path) -> Result<String, Error> {
    let refuse = |what: &str, cure| Error::BadNote { path: path.to_owned(), what: what.to_owned(), cure };
    let mut bytes = Vec::new();
    let file = std::fs::File::open(path).map_err(Error::read(path))?;
    file.take(MAX_TEXT + 1).read_to_end(&mut bytes).map_err(Error::read(path))?;
    if bytes.len() as u64 > MAX_TEXT {
        return Err(refuse("it is larger than 8 MB", "cut it into the notes of one visit"));
    }
    let text = String::from_utf8(bytes).map_err(|e| {
        refuse(&format!("byte {} is no UTF-8 text", e.utf8_error().valid_up_to()), "save it as UTF-8 text")
    })?;
    if text.contains('\0') {
        return Err(refuse("it holds zero bytes and is no text", "save it as UTF-8 text"));
    }
    Ok(text.strip_prefix('\u{feff}').map(str::to_owned).unwrap_or(text))
}

/// The sha256 of a file as lower-case hex.
pub fn hash(path: &Path) -> Result<String, Error> {
    let mut file = std::fs::File::open(path).map_err(Error::read(path))?;
    let mut hasher = Sha256::new();
    let mut block = vec![0; 1 << 16];
    loop {
        match file.read(&mut block).map_err(Error::read(path))? {
            0 => return Ok(hex(&hasher.finalize())),
            length => hasher.update(&block[..length]),
        }
    }
}

/// The sha256 of some bytes as lower-case hex.
pub fn hash_bytes(bytes: &[u8]) -> String {
    hex(&Sha256::digest(bytes))
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().map(|b| format!("{b:02x}")).collect()
}

/// A file name that is safe in any folder on any system: no path, no control or direction marks, no leading dot.
pub fn tidy_name(name: &str) -> String {
    let name = name.rsplit(['/', '\\']).next().unwrap_or(name);
    let kept: String =
        name.chars().map(|c| if c.is_alphanumeric() || matches!(c, '-' | '_' | '.') { c } else { '-' }).collect();
    let kept = kept.trim_matches(['.', '-']);
    let (stem, extension) = match kept.rsplit_once('.') {
        Some((stem, extension)) if extension.len() <= 8 => (stem.trim_end_matches('.'), format!(".{extension}")),
        _ => (kept, String::new()),
    };
    let mut stem = stem.to_owned();
    while stem.len() + extension.len() > MAX_NAME {
        stem.pop();
    }
    // Some systems keep these names for devices, whatever follows the dot.
    let device = ["con", "prn", "aux", "nul"].contains(&stem.to_ascii_lowercase().as_str());
    match (stem.is_empty(), device) {
        (true, _) => format!("note{extension}"),
        (_, true) => format!("note-{stem}{extension}"),
        _ => format!("{stem}{extension}"),
    }
}

/// `name` if it is free, or the first of `name-2`, `name-3` … that is; capitals make no difference.
pub(crate) fn free_name(name: &str, taken: impl Fn(&str) -> bool) -> String {
    let (stem, dot) = name.rfind('.').map_or((name, ""), |at| name.split_at(at));
    let mut free = name.to_owned();
    let mut count = 2;
    while taken(&free) {
        free = format!("{stem}-{count}{dot}");
        count += 1;
    }
    free
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn no_name_leaves_the_folder() {
        for (given, kept) in [
            ("../../etc/passwd.wav", "passwd.wav"),
            ("..\\..\\boot.ini", "boot.ini"),
            ("..", "note"),
            (".hidden.wav", "hidden.wav"),
            ("a b\u{202e}gpj.wav", "a-b-gpj.wav"),
            ("<script>.txt", "script-.txt"),
            ("nul.wav", "note-nul.wav"),
            ("", "note"),
            ("küche.m4a", "küche.m4a"),
        ] {
            assert_eq!(tidy_name(given), kept, "from '{given}'");
        }
        assert!(tidy_name(&"x".repeat(10_000)).len() <= MAX_NAME);
        assert!(tidy_name(&"é".repeat(10_000)).len() <= MAX_NAME);
    }

    #[test]
    fn a_taken_name_is_counted_up() {
        let taken = ["a.wav", "a-2.wav"];
        assert_eq!(free_name("a.wav", |n| taken.contains(&n)), "a-3.wav");
        assert_eq!(free_name("b", |n| taken.contains(&n)), "b");
    }

    #[test]
    fn the_hash_is_the_published_one() {
        // FIPS 180-2, appendix B.1: the one-block message "abc".
        assert_eq!(hash_bytes(b"abc"), "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
    }

    proptest::proptest! {
        #[test]
        fn any_name_becomes_a_plain_one_and_stays_it(name: String) {
            let tidy = tidy_name(&name);
            assert!(!tidy.is_empty() && tidy.len() <= MAX_NAME && !tidy.starts_with('.'), "{tidy:?}");
            assert!(!tidy.contains(['/', '\\', ':', '\0']) && tidy != ".." && !tidy.chars().any(char::is_control));
            assert_eq!(tidy_name(&tidy), tidy, "a tidy name is left as it is");
        }
    }
}

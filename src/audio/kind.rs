//! Which kind of file lies before us, judged by its first bytes and never by its name.
use super::Error;
use std::fs::File;
use std::io::{Read, Seek};
use std::path::Path;

/// Who decodes the file.
#[derive(Debug, PartialEq)]
pub enum Kind {
    Wav,
    Other,
}

/// Bytes looked at; enough to tell text from sound.
const HEAD: u64 = 512;

/// First bytes of formats that no library here reads, with the name a person knows them by.
const FOREIGN: [(&[u8], &str); 4] = [
    (b"#!AMR", "an AMR voice memo"),
    (b"\x30\x26\xb2\x75\x8e\x66\xcf\x11", "a Windows Media (WMA) file"),
    (b"RF64", "an RF64 file (a WAV above 4 GB)"),
    (b"#!SILK", "a SILK voice message"),
];

/// Tells WAV from the rest, and refuses what is certainly no readable recording.
pub fn find(path: &Path, file: &mut File) -> Result<Kind, Error> {
    let failed = |source| Error::Open { path: path.to_owned(), source };
    let mut head = Vec::new();
    file.by_ref().take(HEAD).read_to_end(&mut head).map_err(failed)?;
    file.rewind().map_err(failed)?;
    judge(path, &head)
}

fn judge(path: &Path, head: &[u8]) -> Result<Kind, Error> {
    if head.is_empty() {
        return Err(Error::Empty { path: path.to_owned() });
    }
    if let Some((_, format)) = FOREIGN.iter().find(|(magic, _)| head.starts_with(magic)) {
        return Err(Error::Foreign { path: path.to_owned(), format });
    }
    if head.starts_with(b"RIFF") {
        return Ok(Kind::Wav);
    }
    if is_text(head) {
        return Err(Error::Text { path: path.to_owned() });
    }
    Ok(Kind::Other)
}

/// True where no byte is one that text never holds; a multi-byte letter may be cut at the end.
fn is_text(head: &[u8]) -> bool {
    let text = match std::str::from_utf8(head) {
        Ok(text) => text,
        Err(e) if e.error_len().is_none() => std::str::from_utf8(&head[..e.valid_up_to()]).unwrap_or_default(),
        Err(_) => return false,
    };
    !text.is_empty() && !text.chars().any(|c| c.is_control() && !c.is_whitespace())
}

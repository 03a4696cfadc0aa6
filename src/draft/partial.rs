//! What was heard of a recording before its hearing was ended: a person's Ctrl-C, or a power cut, in the midst of two hours
//! costs the stretches that were being heard, and no others.
//!
//! `partial/NOTE.jsonl` holds a line on what is heard, then one a stretch, written as soon as it is heard; the words of a
//! whole note take its place.
use crate::audio::Span;
use crate::recognize::{Memory, Word};
use crate::record::{Error, Note, Visit, append};
use serde::{Deserialize, Serialize};
use std::collections::HashMap;
use std::fs::File;
use std::path::PathBuf;

const VERSION: u32 = 1;

/// Words by where their stretch begins and ends.
type Heard = HashMap<(usize, usize), Vec<Word>>;

/// What a stretch's words hang on: another model, another recording, other stretches left out are heard anew.
#[derive(Debug, PartialEq, Serialize, Deserialize)]
struct Head {
    version: u32,
    model: String,
    sha256: String,
    own_voice: Vec<[u64; 2]>,
}

#[derive(Debug, Serialize, Deserialize)]
struct Stretch {
    start: usize,
    end: usize,
    words: Vec<Word>,
}

/// The stretches of one note, kept beside it until all are heard.
pub struct Partial {
    path: PathBuf,
    head: Head,
    heard: Heard,
    /// Bytes of the file that are good; a line that was torn off comes after them.
    good: u64,
    /// Whether the file ends with what is good of it.
    begun: bool,
}

impl Partial {
    /// What an earlier hearing of the same note by the same model left, if any.
    pub fn open(visit: &Visit, note: &Note, model: &str) -> Self {
        let head = Head {
            version: VERSION,
            model: model.to_owned(),
            sha256: note.sha256.clone(),
            own_voice: note.own_voice.clone(),
        };
        let path = visit.root().join("partial").join(format!("{}.jsonl", note.name));
        // What cannot be read is heard anew, which costs time only.
        let text = std::fs::read(&path).unwrap_or_default();
        let (heard, good) = read(&text, &head).unwrap_or_default();
        Partial { path, head, heard, good, begun: false }
    }

    /// Forgets all of it: the note's words are kept as a whole now.
    pub fn remove(self) {
        // One that stays behind is taken up by nobody while the note is as it was heard.
        let _ = std::fs::remove_file(&self.path);
        let _ = self.path.parent().map(std::fs::remove_dir);
    }

    fn write(&mut self, stretch: &Stretch) -> Result<(), Error> {
        if !self.begun {
            self.begin()?;
            self.begun = true;
        }
        self.append(stretch)
    }

    /// Cuts the file to what is good of it; where that is nothing it begins with the head.
    fn begin(&self) -> Result<(), Error> {
        let open = || {
            self.path.parent().map_or(Ok(()), std::fs::create_dir_all)?;
            File::options().create(true).truncate(false).write(true).open(&self.path)?.set_len(self.good)
        };
        open().map_err(Error::write(&self.path))?;
        if self.good == 0 { self.append(&self.head) } else { Ok(()) }
    }

    fn append(&self, value: &impl Serialize) -> Result<(), Error> {
        let line = serde_json::to_string(value).map_err(|e| Error::write(&self.path)(e.into()))?;
        append(&self.path, &line)
    }
}

impl Memory for Partial {
    fn recall(&self, window: Span) -> Option<Vec<Word>> {
        self.heard.get(&(window.start, window.end)).cloned()
    }

    fn keep(&mut self, window: Span, words: &[Word]) {
        // A full disk does not end the hearing; whether the note's words can be kept is told in the end.
        let _ = self.write(&Stretch { start: window.start, end: window.end, words: words.to_owned() });
    }
}

/// The stretches of a file that begins with this head, and up to where it is whole.
fn read(bytes: &[u8], head: &Head) -> Option<(Heard, u64)> {
    let mut lines = bytes.split_inclusive(|b| *b == b'\n').take_while(|line| line.ends_with(b"\n"));
    let first = lines.next()?;
    if serde_json::from_slice::<Head>(first).ok()? != *head {
        return None;
    }
    let (mut heard, mut good) = (HashMap::new(), first.len());
    for line in lines {
        let Ok(Stretch { start, end, words }) = serde_json::from_slice(line) else { break };
        heard.insert((start, end), words);
        good += line.len();
    }
    Some((heard, good as u64))
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::path::Path;

    fn head(model: &str) -> Head {
        Head { version: VERSION, model: model.into(), sha256: "ab".into(), own_voice: vec![[0, 10]] }
    }

    fn partial(path: &Path, model: &str) -> Partial {
        let head = head(model);
        let (heard, good) = read(&std::fs::read(path).unwrap_or_default(), &head).unwrap_or_default();
        Partial { path: path.to_owned(), head, heard, good, begun: false }
    }

    fn words(text: &str) -> Vec<Word> {
        vec![Word { text: text.into(), start_ms: 1, end_ms: 2, probability: 0.5 }]
    }

    const FIRST: Span = Span { start: 0, end: 10 };
    const SECOND: Span = Span { start: 10, end: 20 };

    #[test]
    fn stretches_are_taken_up_again_by_the_same_model_alone_and_a_torn_line_costs_only_itself() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("partial/a.wav.jsonl");
        let mut kept = partial(&path, "small");
        kept.keep(FIRST, &words("pan"));
        kept.keep(SECOND, &words("drain"));
        let whole = std::fs::read(&path).unwrap();
        std::fs::write(&path, &whole[..whole.len() - 5]).unwrap();
        let mut torn = partial(&path, "small");
        assert_eq!((torn.recall(FIRST), torn.recall(SECOND)), (Some(words("pan")), None));
        torn.keep(SECOND, &words("drain"));
        assert!(std::fs::read(&path).unwrap() == whole, "the torn line is written over");
        let mut other = partial(&path, "large");
        assert_eq!(other.recall(FIRST), None);
        other.keep(FIRST, &words("pen"));
        assert_eq!(partial(&path, "small").recall(FIRST), None);
        let other = partial(&path, "large");
        assert_eq!((other.recall(FIRST), other.recall(SECOND)), (Some(words("pen")), None));
        other.remove();
        assert!(!folder.path().join("partial").exists());
    }
}

//! Writing what was learned into the office's own file, after a person's yes.
use super::case::Case;
use super::{Error, Proposal};
use crate::lexicon::{self, Lexicon};
use crate::record::replace;
use crate::score;
use std::path::{Path, PathBuf};

const HEAD: &str = "about = \"Words of this office, learned from its decisions.\"\n";

/// More words for an entry.
pub fn means(entry: &str, phrase: &str, first: &Case, times: usize) -> String {
    format!(
        "\n# {} was {}, {}.\n[[more]]\nof = {}\nmisheard = [{}]\nyes = [{{ text = {}, fact = {} }}]\n",
        comment(phrase),
        comment(&first.fact),
        counted(times),
        quoted(entry),
        quoted(phrase),
        quoted(&first.proof.words),
        quoted(&first.fact),
    )
}

/// Words that look like a statement and are none.
pub fn nothing(phrase: &str, first: &Case, times: usize) -> String {
    format!(
        "\n# {} was not {}, {}.\n[[cue]]\nid = {}\nrole = \"nothing\"\nsays = [{}]\nno = [{}]\n",
        comment(phrase),
        comment(&first.fact),
        counted(times),
        quoted(&format!("nothing-{}", phrase.replace(|c: char| !c.is_ascii_alphanumeric(), "-"))),
        quoted(phrase),
        quoted(&first.proof.words),
    )
}

fn counted(times: usize) -> String {
    if times == 1 { "once".to_owned() } else { format!("{times} times") }
}

fn quoted(text: &str) -> String {
    toml::Value::String(text.to_owned()).to_string()
}

/// What may stand behind a `#`: on one line.
fn comment(text: &str) -> String {
    format!("'{}'", crate::confirm::text::clean(text))
}

/// Adds proposals to the office's file, whole or not at all; the lexicon's examples must still hold.
pub fn keep(file: &Path, proposals: &[&Proposal]) -> Result<(), Error> {
    let old = match std::fs::read_to_string(file) {
        Err(e) if e.kind() == std::io::ErrorKind::NotFound => HEAD.to_owned(),
        other => other.map_err(|cause| lexicon::Error::Unreadable { path: file.to_owned(), cause })?,
    };
    let office: Vec<PathBuf> = Some(file.to_owned()).filter(|file| file.exists()).into_iter().collect();
    let mut text = old;
    for proposal in proposals {
        if !text.ends_with('\n') {
            text.push('\n');
        }
        text += &proposal.text;
    }
    let more: String = proposals.iter().map(|p| p.text.as_str()).collect();
    if let Some(what) = broken(&office, &more)? {
        let ids: Vec<&str> = proposals.iter().map(|p| p.id.as_str()).collect();
        return Err(Error::Breaks { id: ids.join(", "), what });
    }
    Ok(replace(file, text.as_bytes())?)
}

/// An example that held before and would no longer. Reading all of them is slow, and mostly once is enough.
fn broken(office: &[PathBuf], more: &str) -> Result<Option<String>, Error> {
    let after = score::examples(&Lexicon::with_more(office, more)?);
    if after.is_empty() {
        return Ok(None);
    }
    let before = score::examples(&Lexicon::with_office(office)?);
    Ok(after.into_iter().map(|miss| miss.what).find(|what| !before.iter().any(|old| old.what == *what)))
}

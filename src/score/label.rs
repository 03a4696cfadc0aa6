//! Labelled dictations: words as spoken and what a careful listener writes down.
use super::Error;
use crate::record::{Fact, Limit, Photo};
use serde::Deserialize;
use std::collections::HashMap;
use std::path::Path;

/// One dictation with its expected record.
#[derive(Debug, Clone, Deserialize)]
pub struct Dictation {
    /// The file's name without its ending; recordings carry the same.
    #[serde(skip)]
    pub name: String,
    #[serde(default)]
    pub scenario: String,
    /// The words as said, with `[pause 1.5]` and `[um]`.
    pub spoken: String,
    pub facts: Vec<Fact>,
    #[serde(default)]
    pub limits: Vec<Limit>,
    #[serde(default)]
    pub photos: Vec<Photo>,
    /// Ids of the rules that the facts trigger.
    #[serde(default)]
    pub concerns: Vec<String>,
    /// `component.attribute` of each conditional question.
    #[serde(default)]
    pub open: Vec<String>,
}

/// The dictations of a folder in the order of their names.
pub fn dictations(folder: &Path) -> Result<Vec<Dictation>, Error> {
    let unreadable = |source| Error::Folder { path: folder.to_owned(), source };
    let mut paths = Vec::new();
    for entry in std::fs::read_dir(folder).map_err(unreadable)? {
        let path = entry.map_err(unreadable)?.path();
        if path.extension().is_some_and(|e| e == "json") {
            paths.push(path);
        }
    }
    paths.sort();
    if paths.is_empty() {
        return Err(Error::Empty { path: folder.to_owned() });
    }
    paths.iter().map(|path| dictation(path)).collect()
}

fn dictation(path: &Path) -> Result<Dictation, Error> {
    let text = std::fs::read_to_string(path).map_err(|source| Error::Folder { path: path.to_owned(), source })?;
    let mut found: Dictation =
        serde_json::from_str(&text).map_err(|source| Error::Label { path: path.to_owned(), source })?;
    found.name = path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
    Ok(found)
}

/// Who speaks each recording, from `audio/voices.tsv` (name, voice, ...); empty where there is none.
pub fn voices(folder: &Path) -> HashMap<String, String> {
    let text = std::fs::read_to_string(folder.join("audio/voices.tsv")).unwrap_or_default();
    let rows = text.lines().skip(1).filter_map(|line| {
        let mut cells = line.split('\t');
        Some((cells.next()?.to_owned(), cells.next()?.to_owned()))
    });
    rows.collect()
}

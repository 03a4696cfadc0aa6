//! The lexicon's files: where their text comes from and on which line a thing stands.
use super::Error;
use std::path::Path;

/// One text of the lexicon and where it came from.
#[derive(Debug, Clone)]
pub struct Source {
    pub name: String,
    pub text: String,
    /// What the file says of itself, once it is read.
    pub about: String,
}

macro_rules! shipped_files {
    ($($name:literal),* $(,)?) => {
        vec![$(Source { name: concat!("lexicon/", $name).into(), text: include_str!(concat!("../../lexicon/", $name)).into(), about: String::new() }),*]
    };
}

/// The texts that ship with the program.
pub fn shipped() -> Vec<Source> {
    shipped_files![
        "water-heater/heater.toml",
        "water-heater/kind.toml",
        "water-heater/casing.toml",
        "water-heater/leak.toml",
        "water-heater/rust.toml",
        "water-heater/connection.toml",
        "water-heater/valve.toml",
        "water-heater/material.toml",
        "water-heater/relief.toml",
        "water-heater/discharge.toml",
        "water-heater/pan.toml",
        "water-heater/expansion.toml",
        "water-heater/supply.toml",
        "water-heater/electric.toml",
        "water-heater/disconnect.toml",
        "water-heater/cable.toml",
        "water-heater/vent.toml",
        "water-heater/burner.toml",
        "water-heater/gas.toml",
        "water-heater/place.toml",
        "water-heater/surround.toml",
        "water-heater/region.toml",
        "water-heater/usage.toml",
        "water-heater/everyday.toml",
        "common.toml",
    ]
}

/// An office's own file.
pub fn from_disk(path: &Path) -> Result<Source, Error> {
    let text = std::fs::read_to_string(path).map_err(|cause| Error::Unreadable { path: path.to_owned(), cause })?;
    Ok(Source { name: path.display().to_string(), text, about: String::new() })
}

impl Source {
    /// The line on which a text of an entry stands: at or below the entry's id, else that of the id, else the first.
    pub fn line(&self, id: &str, text: &str) -> usize {
        let own = |line: &str| {
            let Some((key, value)) = line.split_once('=') else { return false };
            matches!(key.trim(), "id" | "of") && value.trim().trim_matches('"') == id
        };
        let from = self.text.lines().position(own);
        let found = self.text.lines().enumerate().skip(from.unwrap_or(0)).find(|(_, line)| line.contains(text));
        found.map(|(at, _)| at).or(from).unwrap_or(0) + 1
    }

    /// The line of a byte.
    pub fn line_at(&self, byte: usize) -> usize {
        self.text.bytes().take(byte).filter(|b| *b == b'\n').count() + 1
    }

    /// Whether an entry or more words for it stand in this file.
    pub fn names(&self, id: &str) -> bool {
        ["id", "of"].iter().any(|key| self.text.contains(&format!("{key} = \"{id}\"")))
    }
}

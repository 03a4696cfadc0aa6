//! What can be wrong with the rules, or with how they are asked for.
use std::path::PathBuf;

/// A file of rules that cannot be used, with the cure where it is known.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    #[error("cannot read the rules in '{}'; check the path and its permissions", path.display())]
    Read { path: PathBuf, source: std::io::Error },
    #[error("'{file}' is no file of rules: docs/rules.md shows how one is written")]
    Parse { file: String, source: Box<toml::de::Error> },
    #[error("'{file}', {entry}: {what}")]
    Entry { file: String, entry: String, what: String },
    #[error("no standard is called '{name}'; known are {known}, or define it in an office's own file of rules")]
    Standard { name: String, known: String },
    #[error("no fact can be read from '{text}'; write component.attribute = value, as in drain-pan.presence = absent")]
    Fact { text: String },
}

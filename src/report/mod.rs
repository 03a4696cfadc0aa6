//! The documents drawn from a record: the client's report in several forms, and tables for other programs.
mod docx;
mod figure;
mod html;
mod office;
mod page;
mod pdf;
mod reading;
mod table;
mod thumbnail;
mod wording;

use crate::judge::Rules;
use crate::lexicon::Catalogue;
use crate::record::{About, Decision, Placed, Record, Revision};
use std::collections::BTreeMap;
use std::path::PathBuf;

pub use office::{Office, SECTIONS};
pub use page::{Page, draft};
pub use table::{cell, csv};
pub use thumbnail::Thumbnail;
pub use wording::Wording;

/// What a document is drawn from.
#[derive(Clone, Copy)]
pub struct Source<'a> {
    pub about: &'a About,
    pub record: &'a Record,
    /// The decisions that still count.
    pub decisions: &'a [Decision],
    pub revision: &'a Revision,
    pub rules: &'a Rules,
    pub wording: &'a Wording,
    pub office: &'a Office,
    pub catalogue: &'a Catalogue,
    /// The photographs that lie in the visit, each with what it shows.
    pub photographs: &'a [Placed],
    /// Small copies of those that can be shown.
    pub thumbnails: &'a BTreeMap<String, Thumbnail>,
    /// Names of the notes that could not be heard or read, so that nothing said in them is in the record.
    pub unread: &'a [String],
}

/// Why a document could not be made.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    #[error("the report's words are no valid TOML; compare them with src/report/wording.toml")]
    Wording { source: Box<toml::de::Error> },
    #[error("the report's template does not work; compare it with src/report/html/page.html")]
    Template { source: minijinja::Error },
    #[error("the office's template '{}' does not work: {source}; docs/report.md tells what it can use", path.display())]
    OfficeTemplate { path: PathBuf, source: minijinja::Error },
    #[error("cannot read '{}'; check that it exists and that you may read it", path.display())]
    Unreadable { path: PathBuf, source: std::io::Error },
    #[error("'{}' line {line}: {what}; docs/report.md tells what an office can set", path.display())]
    Office { path: PathBuf, line: usize, what: String },
    #[error("'{}' cannot be shown: save it as a JPEG or PNG picture", path.display())]
    Picture { path: PathBuf, source: image::ImageError },
    #[error("the report could not be set for printing: {what}")]
    Print { what: String },
    #[error("the report could not be written for word processors: {what}")]
    Word { what: String },
    #[error("the table could not be written")]
    Table { source: ::csv::Error },
    #[error("the record could not be written as JSON")]
    Json { source: serde_json::Error },
}

/// What a document is written as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    Html,
    Pdf,
    Docx,
    Csv,
    Json,
}

/// One document, and what a person should know of it.
#[derive(Debug)]
pub struct Document {
    /// The name of its file.
    pub name: &'static str,
    pub bytes: Vec<u8>,
    /// What could not be shown in this form.
    pub lacks: Option<String>,
}

/// Draws one document.
pub fn document(source: &Source, form: Form) -> Result<Document, Error> {
    let whole = |name, bytes| Document { name, bytes, lacks: None };
    Ok(match form {
        Form::Html => whole("report.html", html(source)?.into_bytes()),
        Form::Pdf => {
            let printed = pdf::pdf(&Page::draw(source))?;
            Document { name: "report.pdf", bytes: printed.bytes, lacks: unprintable(&printed.unprintable) }
        }
        Form::Docx => whole("report.docx", docx::docx(&Page::draw(source))?),
        Form::Csv => whole("facts.csv", csv(source)?.into_bytes()),
        Form::Json => whole("record.json", json(source)?.into_bytes()),
    })
}

/// The client's report as one HTML page that needs nothing beside it.
pub fn html(source: &Source) -> Result<String, Error> {
    html::html(source, &Page::draw(source))
}

fn unprintable(letters: &[char]) -> Option<String> {
    let shown: Vec<String> = letters.iter().map(|c| format!("'{c}'")).collect();
    let lacks = || format!("its fonts have no {}; the HTML report shows them", shown.join(", "));
    (!letters.is_empty()).then(lacks)
}

/// The visit and its record in one JSON object.
fn json(source: &Source) -> Result<String, Error> {
    let whole = serde_json::json!({
        "version": 1,
        "visit": source.about,
        "record": source.record,
        "photographs": source.photographs,
    });
    serde_json::to_string_pretty(&whole).map(|text| text + "\n").map_err(|source| Error::Json { source })
}

/// Text that can be shown anywhere, on one line.
fn clean(text: &str) -> String {
    crate::confirm::text::clean(&text.split_whitespace().collect::<Vec<_>>().join(" "))
}

#[cfg(test)]
mod tests;

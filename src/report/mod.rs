//! The documents drawn from a record: the client's page, and tables for other programs.
mod figure;
mod page;
mod reading;
mod table;
mod wording;

use crate::judge::Rules;
use crate::lexicon::Catalogue;
use crate::record::{About, Decision, Record};
use minijinja::{AutoEscape, Environment};

pub use page::{Page, draft};
pub use table::{cell, csv};
pub use wording::Wording;

/// What a document is drawn from.
#[derive(Clone, Copy)]
pub struct Source<'a> {
    pub about: &'a About,
    pub record: &'a Record,
    /// The decisions that still count.
    pub decisions: &'a [Decision],
    pub rules: &'a Rules,
    pub wording: &'a Wording,
    pub catalogue: &'a Catalogue,
    /// Names of the photographs that lie in the visit.
    pub photographs: &'a [String],
    /// Names of the notes that could not be heard or read, so that nothing said in them is in the record.
    pub unread: &'a [String],
}

/// Why a document could not be made.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    #[error("the report's words are no valid TOML; compare them with src/report/wording.toml")]
    Wording { source: Box<toml::de::Error> },
    #[error("the report's template does not work; compare it with src/report/page.html")]
    Template { source: minijinja::Error },
    #[error("the table could not be written")]
    Table { source: ::csv::Error },
    #[error("the record could not be written as JSON")]
    Json { source: serde_json::Error },
}

/// The client's report as one HTML page that needs nothing beside it.
pub fn html(source: &Source) -> Result<String, Error> {
    let mut environment = Environment::new();
    // Whatever a template is called, what goes into it was spoken or typed by somebody and is text.
    environment.set_auto_escape_callback(|_| AutoEscape::Html);
    environment.set_undefined_behavior(minijinja::UndefinedBehavior::Strict);
    let fault = |source| Error::Template { source };
    environment.add_template("page.html", include_str!("page.html")).map_err(fault)?;
    let page = Page::draw(source);
    environment.get_template("page.html").and_then(|t| t.render(minijinja::value::Serde(page))).map_err(fault)
}

/// What a document is written as.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Form {
    Html,
    Csv,
    Json,
}

/// One document: the name of its file and its text.
pub fn document(source: &Source, form: Form) -> Result<(&'static str, String), Error> {
    Ok(match form {
        Form::Html => ("report.html", html(source)?),
        Form::Csv => ("facts.csv", csv(source)?),
        Form::Json => ("record.json", json(source)?),
    })
}

/// The visit and its record in one JSON object.
fn json(source: &Source) -> Result<String, Error> {
    let whole = serde_json::json!({ "version": 1, "visit": source.about, "record": source.record });
    serde_json::to_string_pretty(&whole).map(|text| text + "\n").map_err(|source| Error::Json { source })
}

/// Text that can be shown anywhere, on one line.
fn clean(text: &str) -> String {
    crate::confirm::text::clean(&text.split_whitespace().collect::<Vec<_>>().join(" "))
}

#[cfg(test)]
mod tests;

//! The report as a tagged PDF, set by the Typst library.
mod world;

use super::{Error, Page};
use serde_json::Value;
use typst::diag::{SourceDiagnostic, Warned};
use typst::layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards};
use world::Desk;

/// A word of more letters than these may be wider than its column.
const LONG: usize = 22;
/// No word of a language has as many letters, and setting endless ones takes minutes: the rest is told by its length.
const MOST: usize = 300;

/// The printed report, and the characters that no font of ours can show.
pub struct Printed {
    pub bytes: Vec<u8>,
    pub unprintable: Vec<char>,
}

/// Sets the page and writes it as PDF/UA-1, the accessible kind (ISO 14289-1), wherever that can be done.
pub fn pdf(page: &Page) -> Result<Printed, Error> {
    let mut set = serde_json::to_value(page).map_err(|source| Error::Json { source })?;
    breakable(&mut set);
    let title = format!("{}: {}", page.title, page.cover.property);
    let data = serde_json::json!({ "page": set, "title": title, "author": page.cover.inspector }).to_string();
    let desk = Desk::new(&data, page.pictures());
    let unprintable = desk.unprintable(&data);
    let Warned { output, .. } = typst::compile::<PagedDocument>(&desk);
    let document = output.map_err(|faults| fault(&faults))?;
    let accessible = PdfStandards::new(&[PdfStandard::Ua_1]).unwrap_or_default();
    let strict = PdfOptions { standards: accessible, ..PdfOptions::default() };
    // A letter that no font has is against PDF/UA; the report is then tagged all the same, and the letter told.
    let bytes = match typst_pdf::pdf(&document, &strict) {
        Err(_) if !unprintable.is_empty() => typst_pdf::pdf(&document, &PdfOptions::default()),
        other => other,
    };
    Ok(Printed { bytes: bytes.map_err(|faults| fault(&faults))?, unprintable })
}

/// Lets words that may be wider than their column be broken; a seal is left whole, since it is to be copied.
fn breakable(value: &mut Value) {
    match value {
        Value::String(text) if text.split_whitespace().any(is_long) => {
            *text = text.split_inclusive(char::is_whitespace).map(broken).collect();
        }
        Value::Array(values) => values.iter_mut().for_each(breakable),
        Value::Object(fields) => fields.values_mut().for_each(breakable),
        _ => {}
    }
}

fn is_long(word: &str) -> bool {
    let is_seal = word.len() == 64 && word.bytes().all(|b| b.is_ascii_hexdigit());
    !is_seal && word.chars().count() > LONG
}

fn broken(word: &str) -> String {
    if !is_long(word.trim_end()) {
        return word.to_owned();
    }
    let letters: Vec<char> = word.chars().take(MOST).collect();
    let pieces: Vec<String> = letters.chunks(LONG / 2).map(|piece| piece.iter().collect()).collect();
    let all = word.trim_end().chars().count();
    let rest = if all > MOST { format!("… ({all} letters; the HTML report has them all) ") } else { String::new() };
    pieces.join("\u{200b}") + &rest
}

fn fault(faults: &[SourceDiagnostic]) -> Error {
    let told: Vec<&str> = faults.iter().map(|fault| fault.message.as_str()).collect();
    Error::Print { what: told.join("; ") }
}

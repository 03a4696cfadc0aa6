//! The facts as a table for spreadsheets (RFC 4180).
use super::{Error, Source, clean};
use crate::record::{Fact, Value};

const HEAD: [&str; 14] = [
    "item",
    "component",
    "attribute",
    "value",
    "unit",
    "where",
    "state",
    "confidence",
    "disputed",
    "note",
    "start_ms",
    "end_ms",
    "words",
    "doubts",
];

/// Every fact of the record, rejected ones too, one a line with its first proof.
pub fn csv(source: &Source) -> Result<String, Error> {
    let mut writer = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    let fault = |source| Error::Table { source };
    writer.write_record(HEAD).map_err(fault)?;
    for fact in &source.record.facts {
        writer.write_record(cells(fact)).map_err(fault)?;
    }
    let bytes = writer.into_inner().map_err(|e| fault(e.into_error().into()))?;
    Ok(String::from_utf8_lossy(&bytes).into_owned())
}

fn cells(fact: &Fact) -> [String; 14] {
    let proof = fact.evidence.first();
    let time = |ms: Option<u64>| ms.map(|ms| ms.to_string()).unwrap_or_default();
    let value = match &fact.value {
        Value::Number(number) => number.to_string(),
        Value::Text(text) => cell(text),
    };
    [
        fact.item.to_string(),
        cell(&fact.component),
        cell(&fact.attribute),
        value,
        cell(fact.unit.as_deref().unwrap_or_default()),
        cell(fact.place.as_deref().unwrap_or_default()),
        format!("{:?}", fact.state).to_lowercase(),
        fact.confidence.to_string(),
        fact.disputed.to_string(),
        cell(proof.map_or("", |p| &p.note)),
        time(proof.and_then(|p| p.start_ms)),
        time(proof.and_then(|p| p.end_ms)),
        cell(proof.map_or("", |p| &p.words)),
        cell(&fact.doubts.join("; ")),
    ]
}

/// A text that no spreadsheet takes for a formula: one that begins like a formula gets an apostrophe before it.
pub fn cell(text: &str) -> String {
    let text = clean(text);
    if text.starts_with(['=', '+', '-', '@']) { format!("'{text}") } else { text }
}

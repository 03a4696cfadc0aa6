//! What was computed from the facts, each with its formula and source.
use super::{Source, clean};
use crate::judge::{Context, FigureLine, figures_for};
use serde::Serialize;

/// One computation, ready to be set.
#[derive(Debug, Serialize)]
pub struct Figure {
    pub title: String,
    pub item: String,
    /// What went in, and what came out: a name and a value each.
    pub inputs: Vec<String>,
    pub results: Vec<String>,
    pub formula: String,
    pub source: String,
    pub notes: String,
    /// It rests on words that no person has confirmed.
    pub provisional: bool,
}

/// Every figure that the record's facts call for.
pub fn figures(source: &Source, name: impl Fn(u32) -> String) -> Vec<Figure> {
    let (standard, today) = (source.about.standard.clone(), source.about.date);
    let context = Context { standard, today, office_rules: None };
    figures_for(&source.record.facts, source.rules, &context).iter().map(|line| figure(line, &name)).collect()
}

fn figure(line: &FigureLine, name: impl Fn(u32) -> String) -> Figure {
    let list =
        |rows: &[(String, String)]| rows.iter().map(|(what, value)| clean(format!("{what} {value}").trim())).collect();
    let figure = &line.figure;
    Figure {
        title: clean(figure.title),
        item: name(line.item),
        inputs: list(&figure.inputs),
        results: list(&figure.results),
        formula: clean(figure.formula),
        source: clean(&figure.source),
        notes: clean(&figure.notes.join("; ")),
        provisional: line.provisional,
    }
}

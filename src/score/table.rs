//! The figures as a table for people.
use super::figure::{Figures, Tally};
use super::outcome::Outcome;
use std::fmt::Write;

/// The figures of one source of words, headed by its name.
pub fn table(source: &str, outcomes: &[Outcome], figures: &Figures) -> String {
    let mut out = String::new();
    let _ = write_table(source, outcomes, figures, &mut out);
    out
}

fn write_table(source: &str, outcomes: &[Outcome], figures: &Figures, out: &mut String) -> std::fmt::Result {
    writeln!(out, "== {source}: {} dictations, {} words", figures.dictations, figures.words)?;
    writeln!(
        out,
        "{:<28} {:>9} {:>6} {:>6} {:>6} {:>6} {:>6}",
        "", "precision", "recall", "F1", "right", "given", "wanted"
    )?;
    let rows = [
        ("facts", figures.facts),
        ("limits", figures.limits),
        ("photos", figures.photos),
        ("concerns", figures.concerns),
        ("open questions", figures.open),
    ];
    for (name, tally) in rows {
        row(name, &tally, out)?;
    }
    writeln!(out)?;
    let readings = figures.readings;
    writeln!(
        out,
        "numbers: {} given, {} with a wrong value, {} invented",
        readings.given, readings.wrong, readings.invented
    )?;
    let sure = figures.sure;
    writeln!(out, "wrong though sure: {} of {} ({} of them readings)", sure.wrong, sure.stated, sure.wrong_readings)?;
    for outcome in outcomes {
        for fact in outcome.stated.iter().filter(|s| !s.right && s.confidence >= super::figure::SURE) {
            writeln!(
                out,
                "  {} {} = {}  {:.2}  \"{}\"",
                outcome.name, fact.key, fact.value, fact.confidence, fact.sentence
            )?;
        }
    }
    writeln!(
        out,
        "words lost: {}   facts invented where there is none: {}",
        figures.words_lost, figures.invented_in_empty
    )?;
    if let Some(hearing) = &figures.hearing {
        let (words, terms) = (hearing.word_errors, hearing.terms);
        write!(out, "word error rate: {:.1} %   ", 100.0 * words.rate())?;
        write!(out, "trade terms heard: {:.1} %, put in: {}   ", 100.0 * terms.recall(), terms.inserted)?;
        writeln!(out, "seconds a second of sound: {:.3}", hearing.took_ms as f64 / hearing.audio_ms.max(1) as f64)?;
    }
    reliability(figures, out)?;
    worst(figures, out)?;
    breakdown(outcomes, figures, out)
}

fn row(name: &str, tally: &Tally, out: &mut String) -> std::fmt::Result {
    let (precision, recall, f1) = (tally.precision(), tally.recall(), tally.f1());
    let Tally { right, given, wanted } = tally;
    writeln!(out, "{name:<28} {precision:>9.3} {recall:>6.3} {f1:>6.3} {right:>6} {given:>6} {wanted:>6}")
}

fn reliability(figures: &Figures, out: &mut String) -> std::fmt::Result {
    writeln!(
        out,
        "\nconfidence    facts   said  right   (expected calibration error {:.3})",
        figures.reliability.calibration_error
    )?;
    for bin in &figures.reliability.bins {
        writeln!(out, "{:.1} to {:.1}  {:>7}  {:.3}  {:.3}", bin.from, bin.to, bin.facts, bin.said, bin.right)?;
    }
    Ok(())
}

/// The attributes that are not all right, most errors first.
fn worst(figures: &Figures, out: &mut String) -> std::fmt::Result {
    let errors = |t: &Tally| t.given + t.wanted - 2 * t.right;
    let mut rows: Vec<_> = figures.by_attribute.iter().filter(|(_, tally)| errors(tally) > 0).collect();
    rows.sort_by_key(|(_, tally)| std::cmp::Reverse(errors(tally)));
    if !rows.is_empty() {
        writeln!(out, "\nby attribute ({} more are all right)", figures.by_attribute.len() - rows.len())?;
    }
    rows.into_iter().try_for_each(|(key, tally)| row(key, tally, out))
}

/// One row a dictation and, where voices are known, one a voice.
fn breakdown(outcomes: &[Outcome], figures: &Figures, out: &mut String) -> std::fmt::Result {
    writeln!(out, "\nby dictation")?;
    for outcome in outcomes {
        let speaker = outcome.voice.as_ref().unwrap_or(&outcome.scenario);
        let name: String = format!("{} {speaker}", outcome.name).chars().take(28).collect();
        row(&name, &outcome.facts(), out)?;
    }
    if !figures.by_voice.is_empty() {
        writeln!(out, "\nby voice")?;
    }
    figures.by_voice.iter().try_for_each(|(voice, tally)| row(voice, tally, out))
}

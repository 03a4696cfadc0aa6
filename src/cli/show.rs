//! `hearsheet show`: the record as lines to read, or only what is still open.
use hearsheet::confirm::text::{clean, line};
use hearsheet::draft::rules_of;
use hearsheet::judge::{Caution, Rules, cautions_for};
use hearsheet::record::{Fact, OpenKind, OpenQuestion, Record, Visit};
use std::fmt::Write;
use std::path::PathBuf;
use std::process::ExitCode;

/// What `hearsheet show` was given.
#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet show larkspur-41 --open\n\n\
    Exit codes of --open: 0 nothing is open, 1 something is.")]
pub struct Args {
    /// The visit's folder
    dir: PathBuf,
    /// Only what the record still needs, the questions that a judgement hangs on first
    #[arg(long)]
    open: bool,
    /// Print as JSON
    #[arg(long)]
    json: bool,
}

/// Prints the record as last drafted.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    let visit = Visit::open(&args.dir)?;
    super::tell::torn(&visit)?;
    let record = visit.record()?;
    match (args.open, args.json) {
        (true, true) => println!("{}", serde_json::to_string_pretty(&record.open)?),
        (true, false) => print!("{}", open(&record)),
        (false, true) => println!("{}", serde_json::to_string_pretty(&record)?),
        (false, false) => print!("{}", page(&visit, &record, &rules_of(&visit)?)),
    }
    Ok(ExitCode::from(u8::from(args.open && !record.open.is_empty())))
}

/// The whole record.
pub fn page(visit: &Visit, record: &Record, rules: &Rules) -> String {
    let about = &visit.about;
    let mut page = format!("{}, {}, {}\n", clean(&about.property), about.date, clean(&about.standard));
    page += &facts(record, rules);
    page
}

/// Facts, findings with their cautions, limits, photographs, remarks and what is open.
pub fn facts(record: &Record, rules: &Rules) -> String {
    let mut page = String::new();
    let mut part = |title: &str, lines: Vec<String>| {
        if !lines.is_empty() {
            let _ = write!(page, "\n{title}\n  {}\n", lines.join("\n  "));
        }
    };
    part("Facts", record.facts.iter().flat_map(with_doubts).collect());
    let concern = |c: &hearsheet::record::Concern| {
        let provisional = if c.provisional { " (provisional)" } else { "" };
        format!("{:<8} {}{}{provisional}: {}", c.class, item(c.item), c.rule, clean(&c.because))
    };
    part("Findings", record.concerns.iter().map(concern).collect());
    if !record.concerns.is_empty() {
        let caution = |c: &Caution| format!("{}: {}", c.title, c.text);
        part("Cautions", cautions_for(&record.concerns, rules).into_iter().map(caution).collect());
    }
    let limit = |l: &hearsheet::record::Limit| format!("{}{}: {}", item(l.item), l.component, clean(&l.why));
    part("Could not be seen", record.limits.iter().map(limit).collect());
    let photo = |p: &hearsheet::record::Photo| format!("{}{}", item(p.item), clean(&p.of));
    part("Photographs", record.photos.iter().map(photo).collect());
    part("Remarks", record.remarks.iter().map(|r| clean(r)).collect());
    part("Open", record.open.iter().map(question).collect());
    page
}

/// A fact, and below it why somebody should look.
fn with_doubts(fact: &Fact) -> Vec<String> {
    let doubts = fact.doubts.iter().map(|doubt| format!("    {}", clean(doubt)));
    std::iter::once(line(fact)).chain(doubts).collect()
}

/// The open questions alone.
fn open(record: &Record) -> String {
    record.open.iter().map(|q| question(q) + "\n").collect()
}

fn question(question: &OpenQuestion) -> String {
    let mark = if question.kind == OpenKind::Conditional { "!" } else { " " };
    format!("{mark} {}{}.{}: {}", item(question.item), question.component, question.attribute, clean(&question.why))
}

/// The first heater needs no number.
fn item(item: u32) -> String {
    if item == 1 { String::new() } else { format!("{item}/") }
}

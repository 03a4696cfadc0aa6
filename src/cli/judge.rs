//! `hearsheet judge`: what the rules draw from a file of facts, such as an office's trial of its own rules.
use super::print;
use anyhow::Context as _;
use hearsheet::confirm::text::clean;
use hearsheet::judge::{Context, Judgement, Rules, cautions_for, judge};
use hearsheet::record::{Fact, Limit};
use std::io::Read;
use std::path::PathBuf;
use std::process::ExitCode;

/// What `hearsheet judge` was given.
#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet judge facts.json --standard upc-2021 --rules office.toml")]
pub struct Args {
    /// A JSON object with `facts`, and `limits` if there are any; - is standard input
    file: PathBuf,
    /// Print concerns and open questions as JSON
    #[arg(long)]
    json: bool,
    /// The standard that applies
    #[arg(long, default_value = "irc-2021", value_name = "ID")]
    standard: String,
    /// An office's own rules, on top of those that ship
    #[arg(long, value_name = "FILE")]
    rules: Option<PathBuf>,
    /// Count ages to this day instead of today
    #[arg(long, value_name = "YYYY-MM-DD")]
    today: Option<jiff::civil::Date>,
}

/// The part of a record that is judged.
#[derive(serde::Deserialize)]
struct Input {
    facts: Vec<Fact>,
    #[serde(default)]
    limits: Vec<Limit>,
}

/// Judges the facts; exit code 1 while a question is open or a concern provisional.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    let default = Context::default();
    let today = args.today.unwrap_or(default.today);
    let context = Context { standard: args.standard.clone(), today, office_rules: args.rules.clone() };
    let rules = context.rules()?;
    // Someone who tries rules of their own wants to know which of the examples they wrote fail.
    let failed = rules.failed_examples(|rule| rule.office);
    anyhow::ensure!(failed.is_empty(), "examples that do not come out as written:\n  {}", failed.join("\n  "));
    let input = read(&args.file)?;
    let judgement = judge(&input.facts, &input.limits, &rules, &context);
    if args.json {
        print(&format!("{}\n", serde_json::to_string_pretty(&judgement)?))?;
    } else {
        print(&page(&judgement, &rules))?;
    }
    let settled = judgement.open.is_empty() && !judgement.concerns.iter().any(|concern| concern.provisional);
    Ok(if settled { ExitCode::SUCCESS } else { ExitCode::from(1) })
}

fn read(file: &PathBuf) -> anyhow::Result<Input> {
    let mut text = String::new();
    if file.as_os_str() == "-" {
        std::io::stdin().read_to_string(&mut text).context("cannot read standard input")?;
    } else {
        text = std::fs::read_to_string(file).with_context(|| format!("cannot read '{}'", file.display()))?;
    }
    let expected = "expected a JSON object with `facts`: [{component, attribute, value}], as a record has them";
    serde_json::from_str(&text).with_context(|| format!("'{}': {expected}", file.display()))
}

fn page(judgement: &Judgement, rules: &Rules) -> String {
    let mut page = String::new();
    for concern in &judgement.concerns {
        let doubt = if concern.provisional { " (provisional)" } else { "" };
        page +=
            &format!("{:7} {} [{}]{doubt}\n        {}\n", concern.class, concern.rule, concern.item, concern.because);
    }
    for open in &judgement.open {
        page +=
            &format!("open    {}.{} [{}]\n        {}\n", open.component, open.attribute, open.item, clean(&open.why));
    }
    for caution in cautions_for(&judgement.concerns, rules) {
        page += &format!("! {}: {}\n", caution.title, caution.text);
    }
    page
}

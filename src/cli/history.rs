//! `hearsheet history`: who decided what, when and why.
use hearsheet::confirm::shown;
use hearsheet::confirm::text::{clean, place_in_note};
use hearsheet::record::{Act, Decision, FactName, Stand, Visit};
use std::path::PathBuf;
use std::process::ExitCode;

/// What `hearsheet history` was given.
#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet history larkspur-41 water-system.static-pressure")]
pub struct Args {
    /// The visit's folder
    dir: PathBuf,
    /// Only what was decided about this fact: [item/]component.attribute
    fact: Option<FactName>,
    /// Print as JSON
    #[arg(long)]
    json: bool,
}

/// Prints the journal.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    let visit = Visit::open(&args.dir)?;
    super::tell::torn(&visit)?;
    let journal = visit.journal()?;
    let standing: Vec<u64> = journal.standing().iter().map(|d| d.number).collect();
    let meant = |d: &&Decision| args.fact.as_ref().is_none_or(|f| f.item == d.fact.item && f.key() == d.fact.key());
    let shown: Vec<&Decision> = journal.decisions.iter().filter(meant).collect();
    if args.json {
        println!("{}", serde_json::to_string_pretty(&shown)?);
        return Ok(ExitCode::SUCCESS);
    }
    for decision in shown {
        print!("{}", entry(decision, decision.act == Act::Undo || standing.contains(&decision.number)));
    }
    Ok(ExitCode::SUCCESS)
}

/// One decision, with the words that it rested on.
fn entry(decision: &Decision, stands: bool) -> String {
    let stand = |s: &Option<Stand>| {
        let unit = |s: &Stand| s.unit.as_ref().map(|u| format!(" {u}")).unwrap_or_default();
        s.as_ref().map_or("nothing".to_owned(), |s| clean(&format!("{}{}", s.value, unit(s))))
    };
    let what = match decision.act {
        Act::Confirm => format!("confirmed {}", stand(&decision.is)),
        Act::Amend => format!("amended {} to {}", stand(&decision.was), stand(&decision.is)),
        Act::Reject => format!("rejected {}", stand(&decision.was)),
        Act::Enter => format!("entered {}", stand(&decision.is)),
        Act::Show => shown(decision),
        Act::Undo => format!("took back {}", decision.undoes.unwrap_or_default()),
    };
    let undone = if stands { "" } else { "  (taken back)" };
    let mut text = format!(
        "{:>4}  {}  {}  {}: {what}{undone}\n",
        decision.number,
        decision.at.strftime("%Y-%m-%d %H:%M:%SZ"),
        clean(&decision.by),
        clean(&decision.fact.to_string()),
    );
    text.extend(decision.why.iter().map(|why| format!("      because {}\n", clean(why))));
    for proof in &decision.basis {
        text += &format!("      heard \"{}\", {}\n", clean(&proof.words), place_in_note(proof));
    }
    text
}

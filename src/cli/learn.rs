//! `hearsheet lexicon learn`: words that an office's decisions show to be misheard, written down after a yes each.
use super::terminal::Screen;
use hearsheet::confirm::text::clean;
use hearsheet::confirm::{Key, Terminal};
use hearsheet::learn::{Error, Lessons, Proposal, keep, lessons};
use std::path::PathBuf;
use std::process::ExitCode;

/// What `hearsheet lexicon learn` was given.
#[derive(clap::Args)]
#[command(after_help = "\
Corrections are looked for in the journals of all visits under ROOT. Nothing is written without a yes to each.

Examples:
  hearsheet lexicon learn visits --office office.toml
  hearsheet lexicon learn visits --office office.toml --yes 'material-pex=pecks'

Exit codes: 0 nothing is left to propose, 1 proposals are left, 2 error.")]
pub struct Args {
    /// The folder that holds the visits, at any depth
    root: PathBuf,
    /// The office's own file, which is read and added to; it is made if it is not there
    #[arg(long, value_name = "FILE", default_value = "office.toml")]
    office: PathBuf,
    /// Write this proposal down, by its name in the list
    #[arg(long, value_name = "PROPOSAL")]
    yes: Vec<String>,
    /// How often the same must have been corrected
    #[arg(long, value_name = "COUNT", default_value_t = 2)]
    times: usize,
    /// Print the proposals as JSON and ask nothing
    #[arg(long, conflicts_with = "yes")]
    json: bool,
}

/// Lists what could be learned, asks, and writes what was said yes to.
pub fn run(args: &Args) -> anyhow::Result<ExitCode> {
    let office: Vec<PathBuf> = Some(args.office.clone()).filter(|file| file.exists()).into_iter().collect();
    let found = lessons(&args.root, &office, args.times.max(1))?;
    for problem in &found.problems {
        eprintln!("hearsheet: {problem}");
    }
    if args.json {
        println!("{}", serde_json::to_string_pretty(&found.proposals)?);
        return Ok(code(&found, found.proposals.len()));
    }
    let chosen = if args.yes.is_empty() { asked(&found)? } else { named(args, &found)? };
    let mut left = found.proposals.len();
    for proposal in chosen {
        keep(&args.office, &[proposal])?;
        println!("wrote {} to '{}'", clean(&proposal.id), args.office.display());
        left -= 1;
    }
    Ok(code(&found, left))
}

fn code(found: &Lessons, left: usize) -> ExitCode {
    ExitCode::from(if !found.problems.is_empty() { 2 } else { u8::from(left > 0) })
}

fn named<'f>(args: &Args, found: &'f Lessons) -> anyhow::Result<Vec<&'f Proposal>> {
    let one = |id: &String| {
        let proposal = found.proposals.iter().find(|p| p.id == *id);
        proposal.ok_or_else(|| Error::NoProposal { id: id.clone(), root: args.root.clone() })
    };
    Ok(args.yes.iter().map(one).collect::<Result<Vec<_>, _>>()?)
}

/// Puts each proposal to the person at the terminal; without one they are only listed.
fn asked(found: &Lessons) -> anyhow::Result<Vec<&Proposal>> {
    let mut screen = Screen::open();
    let mut chosen = Vec::new();
    for proposal in &found.proposals {
        println!("{}", told(proposal));
        let Some(screen) = &mut screen else { continue };
        println!("y write it down  n not  q stop");
        match answer(screen)? {
            'y' => chosen.push(proposal),
            'q' => break,
            _ => {}
        }
    }
    for (words, times) in &found.usual {
        println!(
            "'{}' was corrected {times} times; its words are the usual ones, so nothing is proposed",
            clean(words)
        );
    }
    if found.proposals.is_empty() {
        println!("nothing to learn");
    }
    Ok(chosen)
}

/// Enter and all other keys answer nothing.
fn answer(screen: &mut Screen) -> std::io::Result<char> {
    loop {
        match screen.key()? {
            Key::Char(c @ ('y' | 'n' | 'q')) => return Ok(c),
            Key::End => return Ok('q'),
            _ => {}
        }
    }
}

fn told(proposal: &Proposal) -> String {
    let times = proposal.proofs.len();
    let what = match &proposal.fact {
        Some(fact) => format!("was {}", clean(fact)),
        None => "was nothing to record".to_owned(),
    };
    let mut text = format!(
        "{}: '{}' {what} {times} {}\n",
        clean(&proposal.id),
        clean(&proposal.phrase),
        if times == 1 { "time" } else { "times" }
    );
    for proof in &proposal.proofs {
        let place = format!("{}, {}, decision {}", proof.visit.display(), proof.note, proof.decision);
        text += &format!("    \"{}\" ({}, {})\n", clean(&proof.words), clean(&place), clean(&proof.by));
    }
    text + &proposal.text.trim().lines().map(|line| format!("    | {}\n", clean(line))).collect::<String>()
}

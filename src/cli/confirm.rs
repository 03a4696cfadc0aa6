//! `hearsheet confirm`: a person settles what was heard.
use super::terminal::Screen;
use anyhow::{Context, bail};
use hearsheet::confirm::{Answer, Asked, Session, find_row, parse_value, told, walk};
use hearsheet::draft::Draft;
use hearsheet::record::Visit;
use std::path::PathBuf;
use std::process::ExitCode;

/// What `hearsheet confirm` was given.
#[derive(clap::Args)]
#[command(after_help = "\
FACT is [item/]component.attribute, with @place where the same is told of two places and =VALUE where two values \
were heard.

Examples:
  hearsheet confirm larkspur-41
  hearsheet confirm larkspur-41 --yes casing.leak --no 2/drain-pan.presence --set water-heater.capacity=50

Exit codes: 0 everything is confirmed and nothing open, 1 something still is, 2 error.")]
pub struct Args {
    /// The visit's folder
    dir: PathBuf,
    /// Who decides; the visit's inspector if not given
    #[arg(long, value_name = "NAME")]
    by: Option<String>,
    /// Why, for the journal
    #[arg(long, value_name = "TEXT")]
    why: Option<String>,
    /// It is as heard
    #[arg(long, value_name = "FACT")]
    yes: Vec<String>,
    /// It is not so, or was not said
    #[arg(long, value_name = "FACT")]
    no: Vec<String>,
    /// The value is this one, heard or not
    #[arg(long, value_name = "FACT=VALUE")]
    set: Vec<String>,
    /// Take back a decision by its number
    #[arg(long, value_name = "NUMBER")]
    undo: Vec<u64>,
}

/// Takes the answers given as flags, or asks for them.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    let visit = Visit::open(&args.dir)?;
    super::tell::torn(&visit)?;
    let by = args.by.clone().or(Some(visit.about.inspector.clone())).filter(|b| !b.trim().is_empty());
    let by = by.or_else(super::tell::user).context("nobody is named as deciding; add: --by NAME")?;
    let draft = Draft::open(&visit)?;
    let mut session = Session::new(&draft, &by)?;
    session.why = args.why.clone();
    if [&args.yes, &args.no, &args.set].iter().any(|l| !l.is_empty()) || !args.undo.is_empty() {
        by_flags(&args, &draft, &mut session)?;
    } else {
        let Some(mut screen) = Screen::open() else {
            bail!("there is no terminal to ask on; answer with --yes FACT, --no FACT or --set FACT=VALUE instead")
        };
        walk(&draft, &mut session, &mut screen)?;
        println!("{} still to confirm, {} open", session.unconfirmed(), session.record.open.len());
    }
    let standing = super::draft::standing(&session.record);
    Ok(super::tell::problems(draft.problems).unwrap_or(standing))
}

/// Every answer is checked before the first is written down: a slip in one leaves nothing half done.
fn by_flags(args: &Args, draft: &Draft, session: &mut Session<'_>) -> anyhow::Result<()> {
    let mut answers = Vec::new();
    for (texts, kind) in [(&args.yes, 'y'), (&args.no, 'n'), (&args.set, 's')] {
        for text in texts {
            let asked: Asked = text.parse()?;
            let row = find_row(&draft.bench.lexicon.catalogue, &asked.name)?;
            let value = asked.value.as_deref().map(|v| parse_value(row, v)).transpose()?;
            let answer = match (kind, &value) {
                ('y', _) => Answer::Yes,
                ('n', _) => Answer::No,
                (_, Some(value)) => Answer::Set(value.clone(), row.unit.clone()),
                (_, None) => bail!("'{text}' gives no value; write: --set '{}=VALUE'", asked.name),
            };
            let which = value.filter(|_| kind != 's');
            session.check(&asked.name, which.as_ref(), answer.clone())?;
            answers.push((asked.name, which, answer));
        }
    }
    for (name, which, answer) in answers {
        println!("{}", told(&session.settle(&name, which.as_ref(), answer)?));
    }
    for &number in &args.undo {
        println!("{}", told(&session.take_back(number)?));
    }
    Ok(())
}

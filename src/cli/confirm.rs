//! `hearsheet confirm`: a person settles what was heard, and signs it.
use super::terminal::{self, Screen};
use anyhow::{Context, bail};
use hearsheet::confirm::{Answer, Asked, Session, Shows, View, find_row, parse_value, told, walk};
use hearsheet::draft::Draft;
use hearsheet::record::Visit;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// What `hearsheet confirm` was given.
#[derive(clap::Args, Default)]
#[command(after_help = "\
FACT is [item/]component.attribute, with @place where the same is told of two places and =VALUE where two values \
were heard.

Examples:
  hearsheet confirm larkspur-41
  hearsheet confirm larkspur-41 --yes casing.leak --no 2/drain-pan.presence --set water-heater.capacity=50
  hearsheet confirm larkspur-41 --sign 'Ida Example'

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
    /// What a photograph shows, if that was matched wrongly; nothing behind the = for one that shows no part
    #[arg(long, value_name = "NAME=PART")]
    photo: Vec<Shows>,
    /// Take back a decision by its number
    #[arg(long, value_name = "NUMBER")]
    undo: Vec<u64>,
    /// Sign the record once every fact is settled: what it rests on is sealed by its hashes
    #[arg(long, value_name = "NAME")]
    sign: Option<String>,
    /// Ask line by line, as for a screen reader or a simple terminal
    #[arg(long)]
    plain: bool,
}

impl Args {
    fn answers(&self) -> bool {
        let facts = [&self.yes, &self.no, &self.set].iter().any(|list| !list.is_empty());
        facts || !self.photo.is_empty() || !self.undo.is_empty()
    }
}

/// Takes the answers given as flags, or asks for them; then signs if that is wanted.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    confirm(&args).map(|(_, code)| code)
}

/// Confirms one visit with a person at the terminal; whether that person wants to go on, and how the visit stands.
pub fn walk_visit(dir: &Path) -> anyhow::Result<(bool, ExitCode)> {
    confirm(&Args { dir: dir.to_owned(), ..Args::default() })
}

fn confirm(args: &Args) -> anyhow::Result<(bool, ExitCode)> {
    let visit = Visit::open(&args.dir)?;
    super::tell::torn(&visit)?;
    let by = args.by.clone().or(args.sign.clone()).or(Some(visit.about.inspector.clone()));
    let by = by.filter(|b| !b.trim().is_empty()).or_else(super::tell::user);
    let by = by.context("nobody is named as deciding; add: --by NAME")?;
    let draft = Draft::open(&visit)?;
    let mut session = Session::new(&draft, &by)?;
    session.why = args.why.clone();
    let mut goes_on = true;
    if args.answers() {
        by_flags(args, &draft, &mut session)?;
    } else if args.sign.is_none() || session.unconfirmed() > 0 {
        (session, goes_on) = by_hand(args, &draft, session, &by)?;
    }
    if let Some(name) = &args.sign {
        let seal = session.sign(name)?;
        println!("signed revision {} as {name}, seal {}", seal.revision, seal.hash());
    }
    let standing = super::draft::standing(&session.record);
    Ok((goes_on, super::tell::problems(draft.problems).unwrap_or(standing)))
}

/// Asks on the whole screen where there is one, else line by line.
fn by_hand<'d>(
    args: &Args,
    draft: &'d Draft,
    mut session: Session<'d>,
    by: &str,
) -> anyhow::Result<(Session<'d>, bool)> {
    let Some(mut screen) = Screen::open() else {
        bail!(
            "there is no terminal to ask on, and {} facts are to be settled; answer with --yes FACT, --no FACT or \
             --set FACT=VALUE instead",
            session.unconfirmed()
        )
    };
    let goes_on;
    if args.plain || !terminal::is_full() {
        goes_on = walk(draft, &mut session, &mut screen)?;
    } else {
        let mut view = View::new(draft, session, by);
        terminal::show(&mut view, draft)?;
        goes_on = view.ended.unwrap_or(false);
        session = view.session;
    }
    println!("{} still to confirm, {} open", session.unconfirmed(), session.record.open.len());
    Ok((session, goes_on))
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
    let shown = session.check_photographs(&args.photo)?;
    for (name, which, answer) in answers {
        println!("{}", told(&session.settle(&name, which.as_ref(), answer)?));
    }
    for decision in shown {
        println!("{}", told(&session.write(decision)?));
    }
    for &number in &args.undo {
        println!("{}", told(&session.take_back(number)?));
    }
    Ok(())
}

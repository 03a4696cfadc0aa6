//! `hearsheet queue`: the visits that wait for a person, across a folder.
use hearsheet::confirm::text::clean;
use hearsheet::confirm::{Waiting, queue};
use std::path::PathBuf;
use std::process::ExitCode;

/// What `hearsheet queue` was given.
#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet queue visits --confirm\n\n\
    What waits longest and risks most comes first: what mistakes would cost times how likely they are, times the days \
    since the visit.\nExit codes: 0 no visit waits, 1 some do, 2 error.")]
pub struct Args {
    /// The folder that holds the visits, at any depth
    root: PathBuf,
    /// Print all visits as JSON
    #[arg(long)]
    json: bool,
    /// Go through the visits that wait, one after the other
    #[arg(long, conflicts_with = "json")]
    confirm: bool,
    /// List the visits that wait for nobody as well
    #[arg(long)]
    all: bool,
}

/// Lists the visits, or opens them one after the other.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    let today = jiff::ZonedDateTime::now().date();
    let visits = queue(&args.root, today)?;
    let waiting = visits.iter().filter(|v| v.waits());
    if args.json {
        println!("{}", serde_json::to_string_pretty(&visits)?);
    } else if args.confirm {
        return each(waiting);
    } else {
        print!("{}", table(visits.iter().filter(|v| args.all || v.waits())));
    }
    Ok(ExitCode::from(u8::from(visits.iter().any(Waiting::waits))))
}

fn table<'v>(visits: impl Iterator<Item = &'v Waiting>) -> String {
    let mut table = format!("{:<10} {:>8} {:>8} {:>8} {:>5}  visit\n", "date", "to do", "doubtful", "disputed", "open");
    for visit in visits {
        let date = visit.date.map(|d| d.to_string()).unwrap_or_default();
        let name = clean(&format!("{}  {}", visit.dir.display(), visit.property));
        let counts = (visit.unconfirmed, visit.doubtful, visit.disputed, visit.open);
        table += &match (&visit.problem, visit.drafted) {
            (Some(problem), _) => format!("{date:<10} {:<32}  {name}\n    {}\n", "cannot be read:", clean(problem)),
            (None, false) => format!("{date:<10} {:<32}  {name}\n", "not drafted yet"),
            (None, true) => {
                let signed = if visit.signed { " (signed)" } else { "" };
                format!("{date:<10} {:>8} {:>8} {:>8} {:>5}  {name}{signed}\n", counts.0, counts.1, counts.2, counts.3)
            }
        };
    }
    table
}

/// Confirms one visit after the other; a person who stops in one is asked no further.
fn each<'v>(visits: impl Iterator<Item = &'v Waiting>) -> anyhow::Result<ExitCode> {
    let mut code = ExitCode::SUCCESS;
    for visit in visits.filter(|v| v.problem.is_none() && v.drafted && v.unconfirmed > 0) {
        println!("\n{}  {}", clean(&visit.dir.to_string_lossy()), clean(&visit.property));
        let (goes_on, standing) = super::confirm::walk_visit(&visit.dir)?;
        if standing != ExitCode::SUCCESS {
            code = standing;
        }
        if !goes_on {
            break;
        }
    }
    Ok(code)
}

//! `hearsheet queue`: the visits that wait for a person, across a folder.
use hearsheet::batch::{Row, tally};
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
    /// Give the office's figures instead: by inspector and by term, notes, minutes, facts, and the share amended
    #[arg(long, conflicts_with_all = ["confirm", "all"])]
    stats: bool,
    /// Print the figures as a table for spreadsheets
    #[arg(long, requires = "stats", conflicts_with = "json")]
    csv: bool,
}

/// Lists the visits, or opens them one after the other.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    if args.stats {
        return stats(&args);
    }
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

/// Prints the figures; a visit that cannot be read is told, and the others count.
fn stats(args: &Args) -> anyhow::Result<ExitCode> {
    let tally = tally(&args.root)?;
    if args.json {
        println!("{}", serde_json::to_string_pretty(&tally)?);
    } else if args.csv {
        super::print(&figures_csv(&tally.rows)?)?;
    } else {
        super::print(&figures(&tally.rows))?;
    }
    for problem in &tally.unread {
        eprintln!("hearsheet: {}", clean(problem));
    }
    Ok(ExitCode::from(u8::from(!tally.unread.is_empty())))
}

const FIGURES: [&str; 12] = [
    "by",
    "name",
    "visits",
    "notes",
    "minutes",
    "facts",
    "decided",
    "amended",
    "rejected",
    "entered",
    "share_amended",
    "hours_to_draft",
];

fn figures_csv(rows: &[Row]) -> anyhow::Result<String> {
    let mut table = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    table.write_record(FIGURES)?;
    for row in rows {
        let number = |value: Option<f64>| value.map(|value| format!("{value:.3}")).unwrap_or_default();
        let counts = [row.facts, row.decided, row.amended, row.rejected, row.entered].map(|count| count.to_string());
        let mut cells = vec![row.by.to_owned(), hearsheet::report::cell(&row.name)];
        cells.extend([row.visits.to_string(), row.notes.to_string(), number(row.minutes)]);
        cells.extend(counts);
        cells.extend([number(row.share_amended), number(row.hours_to_draft)]);
        table.write_record(cells)?;
    }
    Ok(String::from_utf8(table.into_inner()?)?)
}

fn figures(rows: &[Row]) -> String {
    let head = ["visits", "notes", "minutes", "facts", "decided", "amended", "hours to draft"];
    let mut table = String::new();
    let mut last = "";
    for row in rows {
        if row.by != last {
            let title = if row.by == "all" { String::new() } else { format!("by {}", row.by) };
            let [visits, notes, minutes, facts, decided, amended, hours] = head;
            table += &format!(
                "{title:<32} {visits:>6} {notes:>6} {minutes:>8} {facts:>6} {decided:>8} {amended:>8} {hours:>15}\n"
            );
            last = row.by;
        }
        let name = if row.by == "all" { "all".to_owned() } else { clean(&row.name) };
        let number = |value: Option<f64>| value.map(|value| format!("{value:.1}")).unwrap_or_default();
        let share = row.share_amended.map(|share| format!("{:.0} %", 100.0 * share)).unwrap_or_default();
        let (visits, notes, facts, decided) = (row.visits, row.notes, row.facts, row.decided);
        let (minutes, hours) = (number(row.minutes), number(row.hours_to_draft));
        table +=
            &format!("{name:<32} {visits:>6} {notes:>6} {minutes:>8} {facts:>6} {decided:>8} {share:>8} {hours:>15}\n");
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

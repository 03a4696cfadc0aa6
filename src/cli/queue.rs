//! `hearsheet queue`: the visits that wait for a person, across a folder.
use hearsheet::batch::{self, Index, Row, Tally};
use hearsheet::confirm::text::clean;
use hearsheet::confirm::{self, Waiting};
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// What `hearsheet queue` was given.
#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet queue visits --confirm\n\n\
    What waits longest and risks most comes first: what mistakes would cost times how likely they are, times the days \
    since the visit.\nExit codes: 0 no visit waits, 1 some do, 2 error.")]
pub struct Args {
    /// The folder that holds the visits, at any depth
    #[arg(required_unless_present = "queue")]
    root: Option<PathBuf>,
    /// Ask the database that the workers share, which knows how the visits stand, instead of reading their folders
    #[arg(long, value_name = "ADDRESS")]
    queue: Option<String>,
    /// Print all visits as JSON
    #[arg(long)]
    json: bool,
    /// Go through the visits that wait, one after the other
    #[arg(long, conflicts_with = "json", requires = "root")]
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

/// Where it is looked up how the visits stand.
enum Desk {
    /// Their folders.
    Folders(PathBuf),
    /// A database.
    Index(Index, tokio::runtime::Runtime),
}

/// Lists the visits, or opens them one after the other.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    let desk = Desk::open(&args)?;
    if args.stats {
        return print_figures(&desk.tally()?, &args);
    }
    let visits = desk.visits()?;
    let waiting = visits.iter().filter(|v| v.waits());
    if args.json {
        println!("{}", serde_json::to_string_pretty(&visits)?);
    } else if args.confirm {
        return each(waiting, |dir| desk.take_in(dir, &args));
    } else {
        super::print(&table(visits.iter().filter(|v| args.all || v.waits())))?;
    }
    Ok(ExitCode::from(u8::from(visits.iter().any(Waiting::waits))))
}

/// An index that was not looked after for so long may have missed what people decided.
const STALE: jiff::SignedDuration = jiff::SignedDuration::from_mins(10);

impl Desk {
    fn open(args: &Args) -> anyhow::Result<Desk> {
        let root = args.root.clone().unwrap_or_default();
        let Some(address) = &args.queue else { return Ok(Desk::Folders(root)) };
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
        let index = runtime.block_on(Index::open(address, &root))?;
        if let Some(oldest) = runtime.block_on(index.oldest())?
            && jiff::Timestamp::now().duration_since(oldest) > STALE
        {
            eprintln!(
                "hearsheet: some of this is as it was at {oldest}; a worker that runs keeps it as the folders are"
            );
        }
        Ok(Desk::Index(index, runtime))
    }

    fn visits(&self) -> anyhow::Result<Vec<Waiting>> {
        let today = jiff::ZonedDateTime::now().date();
        Ok(match self {
            Desk::Folders(root) => confirm::queue(root, today)?,
            Desk::Index(index, runtime) => runtime.block_on(index.list(today))?,
        })
    }

    fn tally(&self) -> anyhow::Result<Tally> {
        Ok(match self {
            Desk::Folders(root) => batch::tally(root)?,
            Desk::Index(index, runtime) => runtime.block_on(index.tally())?,
        })
    }

    /// What a person did in a visit.
    fn take_in(&self, dir: &Path, args: &Args) -> anyhow::Result<()> {
        let Desk::Index(index, runtime) = self else { return Ok(()) };
        let folder = args.root.as_ref().and_then(|root| dir.strip_prefix(root).ok()?.to_str());
        Ok(folder.map_or(Ok(()), |folder| runtime.block_on(index.take_in(folder)))?)
    }
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
fn print_figures(tally: &Tally, args: &Args) -> anyhow::Result<ExitCode> {
    if args.json {
        println!("{}", serde_json::to_string_pretty(tally)?);
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
fn each<'v>(
    visits: impl Iterator<Item = &'v Waiting>,
    then: impl Fn(&Path) -> anyhow::Result<()>,
) -> anyhow::Result<ExitCode> {
    let mut code = ExitCode::SUCCESS;
    for visit in visits.filter(|v| v.problem.is_none() && v.drafted && v.unconfirmed > 0) {
        println!("\n{}  {}", clean(&visit.dir.to_string_lossy()), clean(&visit.property));
        let (goes_on, standing) = super::confirm::walk_visit(&visit.dir)?;
        then(&visit.dir)?;
        if standing != ExitCode::SUCCESS {
            code = standing;
        }
        if !goes_on {
            break;
        }
    }
    Ok(code)
}

//! `hearsheet visit photos`: the photographs of a visit, and what each of them shows.
use anyhow::bail;
use hearsheet::confirm::text::clean;
use hearsheet::record::{Found, How, Placed, Record, Visit};
use jiff::SignedDuration;
use std::path::PathBuf;
use std::process::ExitCode;

/// What `hearsheet visit photos` was given.
#[derive(clap::Args)]
#[command(after_help = "\
A photograph shows what the notes asked for at that moment, else the part that was talked about within 20 s. To correct \
that: hearsheet confirm DIR --photo NAME=PART

Examples:
  hearsheet visit photos larkspur-41
  hearsheet visit photos larkspur-41 --clock-offset +37m

Exit codes: 0 every photograph is matched, 1 some are not, 2 error.")]
pub struct Args {
    /// The visit's folder
    dir: PathBuf,
    /// What to add to the camera's clock, such as +37m, -1h2m or 90s, kept in the visit; `found` finds it anew
    #[arg(long, value_name = "TIME", allow_hyphen_values = true)]
    clock_offset: Option<String>,
    /// Print as JSON
    #[arg(long)]
    json: bool,
}

/// Lists the photographs.
pub fn run(args: &Args) -> anyhow::Result<ExitCode> {
    let visit = Visit::open(&args.dir)?;
    if let Some(text) = &args.clock_offset {
        visit.set_clock_offset(offset(text)?)?;
    }
    let record = visit.record()?;
    let found = visit.placed(&record, &visit.journal()?.standing())?;
    if args.json {
        println!("{}", serde_json::to_string_pretty(&found)?);
    } else {
        super::print(&page(&found, &record))?;
    }
    Ok(ExitCode::from(u8::from(found.photographs.iter().any(|p| p.of.is_none()))))
}

fn offset(text: &str) -> anyhow::Result<Option<SignedDuration>> {
    if text == "found" {
        return Ok(None);
    }
    let Ok(offset) = text.trim_start_matches('+').parse::<SignedDuration>() else {
        bail!("'{}' is no time; write it as +37m, -1h2m or 90s, or write: found", text.escape_debug())
    };
    Ok(Some(offset))
}

fn page(found: &Found, record: &Record) -> String {
    let mut page = String::new();
    if found.offset != SignedDuration::ZERO {
        let why = if found.fitted { "found from the best fit" } else { "as given" };
        page += &format!("camera's clock: {:#} added, {why}\n", SignedDuration::from_secs(found.offset.as_secs()));
    }
    for placed in &found.photographs {
        page += &line(placed, record);
    }
    let asked = record.photos.iter().enumerate();
    for (_, photo) in asked.filter(|(at, _)| !found.photographs.iter().any(|p| p.mark == Some(*at))) {
        page += &format!("no photograph of {}{}, which the notes ask for\n", item(photo.item), clean(&photo.of));
    }
    page
}

fn line(placed: &Placed, record: &Record) -> String {
    let taken = placed.taken.map(|t| t.strftime("%Y-%m-%d %H:%M:%SZ").to_string());
    let words = placed.mark.and_then(|at| record.photos.get(at)?.evidence.first());
    let why = match placed.how {
        How::Mark => words.map(|proof| format!("as said: \"{}\"", clean(&proof.words))).unwrap_or_default(),
        How::Words => "by the words around it".to_owned(),
        How::Person => "as a person said".to_owned(),
        How::Nothing if placed.taken.is_none() => "it does not say when it was taken".to_owned(),
        How::Nothing => "nothing was said at that time".to_owned(),
    };
    let of = placed.of.as_ref().map_or("nothing".to_owned(), |of| format!("{}{}", item(placed.item), clean(of)));
    format!("{:<28} {:<20}  {of:<24} {why}\n", clean(&placed.name), taken.unwrap_or_else(|| "no time".to_owned()))
}

/// The first heater needs no number.
fn item(item: u32) -> String {
    if item == 1 { String::new() } else { format!("{item}/") }
}

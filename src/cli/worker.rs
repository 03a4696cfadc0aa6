//! `hearsheet worker`: one of several machines that share the work through a database.
use super::crew::{self, Hands};
use super::ears::Ears;
use hearsheet::batch::{By, Until};
use std::path::PathBuf;
use std::process::ExitCode;

/// What `hearsheet worker` was given.
#[derive(clap::Args)]
#[command(
    after_help = "Example: hearsheet worker --queue postgres://office@server/hearsheet --in recordings --out visits\n\n\
    Every machine sees the same two folders, wherever they are mounted, or names the same two in a store. A password belongs into PGPASSWORD or \
    ~/.pgpass, where the list of programs does not show it.\n\n\
    Each recording is heard by one thread, unless --threads says otherwise.\n\
    Exit codes: 0 done, 1 some files could not be used, 2 error."
)]
pub struct Args {
    /// The database that hands out the work
    #[arg(long, value_name = "ADDRESS")]
    queue: String,
    /// Folder of the recordings, as this machine sees it, or s3://BUCKET/FOLDER
    #[arg(long = "in", value_name = "IN")]
    source: PathBuf,
    /// Folder of the visits, as this machine sees it, or s3://BUCKET/FOLDER
    #[arg(long, value_name = "ROOT")]
    out: PathBuf,
    /// End when nobody has anything left to do
    #[arg(long)]
    until_empty: bool,
    #[command(flatten)]
    hands: Hands,
    #[command(flatten)]
    ears: Ears,
}

/// Works until told to end, or until there is no more.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    let by = By::Folder { loose: false };
    let (batch, board) = crew::batch(args.source, args.out, by, &args.hands, args.ears)?;
    let until = if args.until_empty { Until::Empty } else { Until::Never };
    let done = crew::run(&batch.stop, batch.work(&args.queue, args.hands.lease(), until));
    crew::end(done, &batch, &board, args.hands.json, !args.until_empty)
}

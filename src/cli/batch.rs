//! `hearsheet batch`: a folder of recordings into drafts, unattended.
use super::crew::{self, Hands};
use super::ears::Ears;
use anyhow::bail;
use hearsheet::batch::{Batch, By, Rhythm};
use std::path::PathBuf;
use std::process::ExitCode;
use std::time::Duration;

/// What `hearsheet batch` was given.
#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet batch recordings --out visits\n\n\
    Recordings and typed notes of one folder are one visit. What is finished is not done again, so the same command \
    goes on after it was stopped in any way. docs/office.md tells more.\n\n\
    Each recording is heard by one thread, unless --threads says otherwise.\n\n\
    Exit codes: 0 every file is in a draft, 1 some could not be used or it was stopped, 2 error.")]
pub struct Args {
    /// Folder of the recordings, which are only read; or s3://BUCKET/FOLDER, with --queue
    #[arg(value_name = "IN")]
    source: PathBuf,
    /// Folder of the visits, made if it is not there; or s3://BUCKET/FOLDER
    #[arg(long, value_name = "ROOT")]
    out: PathBuf,
    /// What tells the visit: the folder a file lies in, or its name up to the first underscore
    #[arg(long, value_name = "HOW", value_enum, default_value_t = How::Folder)]
    by: How,
    /// A list of visits and files, as CSV or TOML, instead
    #[arg(long, value_name = "FILE", conflicts_with_all = ["by", "watch"])]
    manifest: Option<PathBuf>,
    /// Stop at the first file that cannot be used
    #[arg(long)]
    fail_fast: bool,
    /// Go on with what arrives, until told to end
    #[arg(long, conflicts_with = "queue")]
    watch: bool,
    /// Seconds from one look at the folder to the next
    #[arg(long, value_name = "SECONDS", default_value_t = 10.0, requires = "watch")]
    every: f64,
    /// Seconds that a file must stand still before it is taken
    #[arg(long, value_name = "SECONDS", default_value_t = 30.0, requires = "watch")]
    settle: f64,
    /// Share the work with other machines through a database, such as postgres://office@server/hearsheet
    #[arg(long, value_name = "ADDRESS")]
    queue: Option<String>,
    #[command(flatten)]
    hands: Hands,
    #[command(flatten)]
    ears: Ears,
}

#[derive(Clone, Copy, clap::ValueEnum)]
enum How {
    Folder,
    Name,
}

/// Does all that is there, or all that comes.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    let seconds = |given: f64| Duration::try_from_secs_f64(given.max(0.1)).unwrap_or(Duration::from_secs(3600));
    let rhythm = Rhythm { every: seconds(args.every), settle: seconds(args.settle) };
    let (json, lease, watch) = (args.hands.json, args.hands.lease(), args.watch);
    let by = match (args.manifest, args.by) {
        (Some(file), _) => By::Manifest(file),
        (None, How::Folder) => By::Folder { loose: !watch },
        (None, How::Name) => By::Name,
    };
    let (batch, board) = crew::batch(args.source, args.out, by, &args.hands, args.ears)?;
    if batch.depot.is_some() && args.queue.is_none() {
        bail!("a database shares out the work on a store; name it with --queue postgres://USER@HOST/NAME");
    }
    let batch = Batch { fail_fast: args.fail_fast, ..batch };
    let done = crew::run(&batch.stop, async {
        match args.queue {
            Some(address) => batch.once_shared(&address, lease).await,
            None if watch => batch.watch(rhythm).await,
            None => batch.once().await,
        }
    });
    crew::end(done, &batch, &board, json, watch)
}

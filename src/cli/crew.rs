//! The options that `batch` and `worker` share, and how they hear and tell.
use super::board::{Board, page};
use super::ears::Ears;
use super::store;
use hearsheet::audio;
use hearsheet::batch::{self, Batch, By, Hearing, Outcome};
use hearsheet::draft::Cause;
use hearsheet::recognize::{Forgetful, Recognizer, Transcript, model};
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Arc, OnceLock};
use std::time::Duration;

/// Who works, and where they get it from.
#[derive(clap::Args)]
pub struct Hands {
    /// How many recordings to work on at once [default: as many as cores and memory allow]
    #[arg(long, value_name = "N", value_parser = clap::value_parser!(u16).range(1..))]
    pub workers: Option<u16>,
    /// Seconds after which the work of a machine that is gone is given to another
    #[arg(long, value_name = "SECONDS", default_value_t = 60, value_parser = clap::value_parser!(u64).range(1..))]
    pub lease: u64,
    /// With a store: gigabytes that may lie in this machine's temporary folder (TMPDIR)
    #[arg(long, value_name = "GB", default_value_t = 8, value_parser = clap::value_parser!(u64).range(1..1 << 20))]
    pub scratch: u64,
    /// Print what happens as JSON, one event a line
    #[arg(long)]
    pub json: bool,
}

impl Hands {
    pub fn lease(&self) -> Duration {
        Duration::from_secs(self.lease)
    }
}

/// Hears for all workers with one speech model, which is loaded when the first recording is met.
pub struct Speech {
    ears: Ears,
    open: OnceLock<Result<Recognizer, String>>,
}

impl Speech {
    /// One thread a recording, unless told otherwise: two recordings at once are done sooner than one after the other.
    pub fn new(mut ears: Ears) -> Speech {
        ears.threads = ears.threads.or(Some(1));
        Speech { ears, open: OnceLock::new() }
    }

    /// As many workers as were asked for, or as cores and memory allow.
    pub fn workers(&self, hands: &Hands) -> usize {
        let cores = std::thread::available_parallelism().map_or(1, usize::from);
        let folder = self.ears.models.clone().unwrap_or_else(model::folder);
        let size = model::find(self.ears.model.as_deref(), &folder)
            .and_then(|path| std::fs::metadata(&path).map_err(|_| model::Error::NoSuchFile { path: path.clone() }));
        let threads = self.ears.threads.unwrap_or(1);
        let usual = || batch::workers(cores, threads, batch::room(), size.map_or(0, |about| about.len()));
        hands.workers.map_or_else(usual, usize::from)
    }

    fn open(&self) -> Result<&Recognizer, Cause> {
        let open = self.open.get_or_init(|| self.ears.open().map_err(|error| format!("{error:#}")));
        open.as_ref().map_err(|told| told.clone().into())
    }
}

impl Hearing for Speech {
    fn model(&self) -> Result<String, Cause> {
        Ok(self.open()?.model().to_owned())
    }

    fn hear(&self, recording: &Path, stop: &AtomicBool, share: &mut dyn FnMut(f32)) -> Result<Transcript, Cause> {
        let sound = audio::load(recording)?;
        Ok(self.open()?.transcribe_until(&sound, stop, &mut Forgetful, share)?)
    }
}

/// A batch over two folders, here or in a store, by these hands and ears, and the board on which it is followed.
pub fn batch(source: PathBuf, out: PathBuf, by: By, hands: &Hands, ears: Ears) -> anyhow::Result<(Batch, Arc<Board>)> {
    let depot = if store::is_address(&source) || store::is_address(&out) {
        Some(store::depot(&source, &out, hands.scratch)?)
    } else {
        None
    };
    let (source, out) = depot.as_ref().map_or_else(|| folders(source, out), |depot| Ok(depot.folders()))?;
    let speech = Speech::new(ears);
    let board = Arc::new(Board::new(hands.json)?);
    let batch = Batch {
        source,
        out,
        depot,
        by,
        workers: speech.workers(hands),
        hearing: Arc::new(speech),
        teller: board.clone(),
        fail_fast: false,
        stop: Arc::default(),
    };
    Ok((batch, board))
}

/// Takes the board away and tells how it ended; `endless` is work whose only end is being told to.
pub fn end(
    done: anyhow::Result<Outcome>,
    batch: &Batch,
    board: &Board,
    json: bool,
    endless: bool,
) -> anyhow::Result<ExitCode> {
    board.close();
    let Outcome { sum, failures } = done?;
    let stopped = batch.stop.load(Ordering::Relaxed) && !endless;
    if !json {
        print!("{}", page(&sum, &failures, stopped));
    }
    Ok(ExitCode::from(u8::from(stopped || !failures.is_empty())))
}

/// Runs what works until it is done, or until somebody asks it to end; then it leaves the rest for the next run.
pub fn run<T>(stop: &Arc<AtomicBool>, work: impl Future<Output = Result<T, batch::Error>>) -> anyhow::Result<T> {
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(1).enable_all().build()?;
    let asked = stop.clone();
    runtime.spawn(async move {
        if ended().await.is_ok() {
            asked.store(true, Ordering::Relaxed);
            eprintln!("hearsheet: ending; run the same command again to go on");
        }
        // Who asks twice does not want to wait; an end at any moment loses nothing.
        if ended().await.is_ok() {
            std::process::exit(1);
        }
    });
    Ok(runtime.block_on(work)?)
}

/// Returns when the terminal or the system asks the program to end.
async fn ended() -> std::io::Result<()> {
    #[cfg(unix)]
    {
        let mut term = tokio::signal::unix::signal(tokio::signal::unix::SignalKind::terminate())?;
        tokio::select! {
            done = tokio::signal::ctrl_c() => done,
            _ = term.recv() => Ok(()),
        }
    }
    #[cfg(not(unix))]
    tokio::signal::ctrl_c().await
}

/// The folders of recordings and visits, as real paths.
fn folders(source: PathBuf, out: PathBuf) -> anyhow::Result<(PathBuf, PathBuf)> {
    std::fs::create_dir_all(&out)
        .map_err(|e| anyhow::anyhow!("cannot make '{}': {e}; choose another", out.display()))?;
    let real = |path: &Path| {
        path.canonicalize()
            .map_err(|e| anyhow::anyhow!("cannot read '{}': {e}; name a folder that is there", path.display()))
    };
    Ok((real(&source)?, real(&out)?))
}

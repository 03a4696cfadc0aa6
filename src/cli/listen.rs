//! `hearsheet listen`: sound from a microphone or another program, with its facts as they are spoken.
use super::ears::{Ears, Live};
use super::terminal;
use anyhow::{Context, bail};
use hearsheet::audio::RATE;
use hearsheet::audio::growing::Form;
use hearsheet::draft::Draft;
use hearsheet::listen::feed::{self, Tail};
use hearsheet::listen::voice::{self, Machine, Utterance};
use hearsheet::listen::{Board, Event, Follower, Now, Screen, Sink, Sound, behind, capture, disk, plain};
use hearsheet::record::Visit;
use std::io::IsTerminal;
use std::path::{Path, PathBuf};
use std::process::ExitCode;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::mpsc::{Receiver, Sender, channel, sync_channel};
use std::thread::{Scope, ScopedJoinHandle};
use std::time::Duration;

/// What `hearsheet listen` was given.
#[derive(clap::Args)]
#[command(after_help = "\
Spoken commands, each as a statement of its own between pauses: scratch that; correction, ...; photo of ...; next unit; \
end of note; what is left; read that back; stop listening; start listening.

Examples:
  hearsheet listen larkspur-41
  ffmpeg -f pulse -i default -f s16le -ar 16000 -ac 1 - | hearsheet listen larkspur-41 --from -

Exit codes: as of hearsheet draft, which is made at the end.")]
pub struct Args {
    /// The visit's folder
    #[arg(required_unless_present = "list_devices")]
    dir: Option<PathBuf>,
    /// Take the sound from a file that grows, or - for standard input, instead of a microphone: WAV, or 16-bit samples
    #[arg(long, value_name = "FILE|-")]
    from: Option<PathBuf>,
    /// Moments a second of samples without a WAV header
    #[arg(long, value_name = "HZ", default_value_t = RATE, value_parser = clap::value_parser!(u32).range(4_000..=384_000))]
    rate: u32,
    /// Channels of samples without a WAV header
    #[arg(long, value_name = "N", default_value_t = 1, value_parser = clap::value_parser!(u16).range(1..=32))]
    channels: u16,
    /// A file that has not grown for so many seconds has ended
    #[arg(long, value_name = "SECONDS", default_value_t = 10.0, value_parser = seconds)]
    patience: f64,
    /// The microphone, as --list-devices names it
    #[arg(long, value_name = "NAME", conflicts_with = "from")]
    device: Option<String>,
    /// List the microphones
    #[arg(long)]
    list_devices: bool,
    /// Stop after so many seconds of sound
    #[arg(long = "for", value_name = "SECONDS", value_parser = seconds)]
    seconds: Option<f64>,
    /// Print lines instead of filling the screen
    #[arg(long)]
    plain: bool,
    /// Say answers aloud, through spd-say or espeak-ng, or as short tones where neither is there
    #[arg(long)]
    speak: bool,
    /// Never sound a tone
    #[arg(long)]
    no_tone: bool,
    #[command(flatten)]
    ears: Ears,
}

/// A length of time that a person would type.
fn seconds(text: &str) -> Result<f64, String> {
    let seconds = text.parse::<f64>().ok().filter(|s| (0.0..=86_400.0).contains(s));
    seconds.ok_or_else(|| "write seconds from 0 to 86400, such as 2.5".to_owned())
}

/// Sound that waits to be written, in pieces; a file is read no faster than the disk takes it.
const WAITING: usize = 64;

/// Listens until the sound ends or a person does, then tells how the draft stands.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    if args.list_devices {
        return list_devices();
    }
    let Some(dir) = &args.dir else { bail!("name the visit's folder") };
    let visit = Visit::open(dir)?;
    super::tell::torn(&visit)?;
    // What an ended session left behind is mended and listed before anything new is written.
    let (found, problems) = visit.adopt()?;
    found.iter().for_each(|note| eprintln!("{} was not listed yet, and is now", note.name));
    let _ = super::tell::problems(problems.into_iter().map(Into::into).collect());
    let session = Session { visit: &visit, args: &args, board: Board::default(), give_up: AtomicBool::new(false) };
    let all_heard = session.run()?;
    if !all_heard {
        eprintln!("not all was heard yet; the sound is kept: run hearsheet draft {}", dir.display());
        return Ok(ExitCode::from(1));
    }
    let draft = Draft::make(&visit, &mut Live::new(&args.ears)?, &mut |_| ())?;
    let record = draft.save()?;
    print!("{}", super::show::page(&visit, &record, &draft.bench.rules));
    Ok(super::tell::problems(draft.problems).unwrap_or(super::draft::standing(&record)))
}

#[cfg(feature = "sound")]
fn list_devices() -> anyhow::Result<ExitCode> {
    for (name, about) in capture::list().map_err(anyhow::Error::msg).context("cannot list the microphones")? {
        println!("{name}\t{}", about.replace('\n', ", "));
    }
    Ok(ExitCode::SUCCESS)
}

#[cfg(not(feature = "sound"))]
fn list_devices() -> anyhow::Result<ExitCode> {
    bail!("this program was built without sound; give it samples with --from")
}

/// One session and what its threads share.
struct Session<'a> {
    visit: &'a Visit,
    args: &'a Args,
    board: Board,
    /// What was not heard is left to a later draft.
    give_up: AtomicBool,
}

impl Session<'_> {
    /// Runs all threads; true where everything that was recorded was heard too.
    fn run(&self) -> anyhow::Result<bool> {
        let (tell, events) = channel();
        let (wish, wishes) = channel();
        let (failed, failure) = channel();
        count_signals()?;
        std::thread::scope(|scope| {
            let sound = self.source(failed)?;
            let mut sink = Sink::new(self.visit, &self.board, tell.clone(), &disk::free);
            sink.limit(self.args.seconds.map(Duration::from_secs_f64));
            let writer = scope.spawn(move || sink.run(&sound));
            let hearer = self.spawn_hearer(scope, tell);
            let talker = self.spawn_talker(scope, wishes);
            let watched = self.watch(&events, wish, &|| hearer.is_finished());
            self.end();
            let written = joined(writer);
            let heard = joined(hearer);
            let _ = joined(talker);
            watched?;
            written?.context("the sound could not be kept to its end")?;
            if let Ok(error) = failure.try_recv() {
                return Err(anyhow::Error::from(error).context("the sound ended early; what came before is kept"));
            }
            heard?
        })
    }

    /// Where the sound comes from; it runs in a thread that nobody waits for, since it may hang in reading.
    fn source(&self, failed: Sender<feed::Error>) -> anyhow::Result<Receiver<Sound>> {
        let form = Form { rate: self.args.rate, channels: self.args.channels };
        let Some(from) = &self.args.from else { return microphone(self.args.device.clone()) };
        let (to, sound) = sync_channel(WAITING);
        let name = from.display().to_string();
        let source: Box<dyn std::io::Read + Send> = if from == Path::new("-") {
            Box::new(std::io::stdin())
        } else {
            Box::new(Tail::open(from, Duration::from_secs_f64(self.args.patience))?)
        };
        std::thread::spawn(move || {
            if let Err(error) = feed::pour(&name, source, form, &to) {
                let _ = failed.send(error);
            }
        });
        Ok(sound)
    }

    fn spawn_hearer<'s>(
        &'s self,
        scope: &'s Scope<'s, '_>,
        tell: Sender<Event>,
    ) -> ScopedJoinHandle<'s, anyhow::Result<bool>> {
        scope.spawn(move || match self.hear(tell.clone()) {
            Ok(()) => Ok(true),
            Err(_) if self.give_up.load(Ordering::Relaxed) => Ok(false),
            Err(error) => {
                let _ = tell.send(Event::NoWords { why: format!("{error:#}") });
                // The sound goes on without words, to its end.
                let mut at = 0;
                while self.board.take(at).is_some() {
                    at += 1;
                }
                Err(error)
            }
        })
    }

    fn hear(&self, tell: Sender<Event>) -> anyhow::Result<()> {
        let ears = self.args.ears.open()?;
        Ok(Follower::new(self.visit, &self.board, &ears, tell, &self.give_up)?.run()?)
    }

    fn spawn_talker<'s>(
        &'s self,
        scope: &'s Scope<'s, '_>,
        wishes: Receiver<Utterance>,
    ) -> ScopedJoinHandle<'s, anyhow::Result<()>> {
        scope.spawn(move || {
            let mut machine = Machine::new(self.args.speak, super::sound::play);
            Ok(voice::run(self.visit, &self.board, &mut machine, &wishes)?)
        })
    }

    /// Shows what happens until all was heard; whoever ends the session twice does not wait for that.
    fn watch(&self, events: &Receiver<Event>, wish: Sender<Utterance>, over: &dyn Fn() -> bool) -> anyhow::Result<()> {
        let mut screen = Screen::default();
        if !self.args.plain && std::io::stdout().is_terminal() && terminal::is_drawable() {
            let mut draw = |frame: &mut ratatui::Frame| {
                let go_on = !over();
                self.obey_signals();
                events.try_iter().for_each(|event| {
                    screen.take(&event);
                    self.utter(&event, &wish);
                });
                screen.draw(frame, self.now());
                go_on
            };
            return Ok(terminal::watch(&mut draw, &mut || self.end())?);
        }
        let mut told = None;
        loop {
            let go_on = !over();
            self.obey_signals();
            for event in events.try_iter() {
                plain(&event).iter().for_each(|line| println!("{line}"));
                self.utter(&event, &wish);
            }
            // How far behind it is, is told when that begins and ends.
            let late = behind(self.now());
            if late.is_some() != told.is_some() {
                println!("{}", late.as_deref().unwrap_or("words have caught up"));
                told = late;
            }
            if !go_on {
                return Ok(());
            }
            std::thread::sleep(Duration::from_millis(50));
        }
    }

    fn now(&self) -> Now {
        let behind_ms = self.board.behind_ms();
        let state = self.board.look();
        let ms = state.takes.last().map_or(0, |take| take.ms());
        Now { ms, behind_ms, level: state.meter.share(), ending: state.stop || state.ended }
    }

    fn utter(&self, event: &Event, wish: &Sender<Utterance>) {
        let utterance = match event {
            Event::Trouble(_) | Event::NoWords { .. } if !self.args.no_tone => Utterance::Alarm,
            Event::Answer { lines } if self.args.speak => Utterance::Say { text: lines.join(" "), tones: lines.len() },
            _ => return,
        };
        let _ = wish.send(utterance);
    }

    fn obey_signals(&self) {
        (0..ENDS.swap(0, Ordering::Relaxed)).for_each(|_| self.end());
    }

    /// Ends the sound; the second time, what was not heard is left.
    fn end(&self) {
        let mut state = self.board.look();
        if state.stop {
            self.give_up.store(true, Ordering::Relaxed);
        }
        state.stop = true;
    }
}

/// Opens the microphone.
#[cfg(feature = "sound")]
fn microphone(device: Option<String>) -> anyhow::Result<Receiver<Sound>> {
    let (to, sound) = channel();
    capture::start(device, to).map_err(anyhow::Error::msg).context(
        "no sound can be recorded; plug a microphone in, name another with --device (--list-devices shows them), or \
         give samples with --from",
    )?;
    Ok(sound)
}

#[cfg(not(feature = "sound"))]
fn microphone(_: Option<String>) -> anyhow::Result<Receiver<Sound>> {
    bail!("this program was built without sound; give it samples with --from")
}

/// How often the operating system has asked the program to end, since that was last looked at.
static ENDS: AtomicUsize = AtomicUsize::new(0);

/// Counts Ctrl-C and requests to terminate, rather than being ended by them: the note is to be listed first.
fn count_signals() -> anyhow::Result<()> {
    let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
    std::thread::spawn(move || {
        runtime.block_on(async {
            #[cfg(unix)]
            let mut terminate = tokio::signal::unix::signal(tokio::signal::unix::SignalKind::terminate())?;
            loop {
                #[cfg(unix)]
                tokio::select! {
                    done = tokio::signal::ctrl_c() => done?,
                    _ = terminate.recv() => (),
                }
                #[cfg(not(unix))]
                tokio::signal::ctrl_c().await?;
                ENDS.fetch_add(1, Ordering::Relaxed);
            }
            #[expect(unreachable_code, reason = "tells the block's type")]
            std::io::Result::Ok(())
        })
    });
    Ok(())
}

/// What a thread gave; one that broke is an error and takes nothing else with it.
fn joined<T>(thread: ScopedJoinHandle<T>) -> anyhow::Result<T> {
    thread.join().map_err(|_| anyhow::anyhow!("a thread of the session broke; the sound that was written is kept"))
}

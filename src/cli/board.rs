//! How a batch shows itself: bars in a terminal, a plain log elsewhere, events for programs.
use hearsheet::batch::{Event, Failure, Sum, Teller};
use hearsheet::confirm::text::clean;
use indicatif::{MultiProgress, ProgressBar, ProgressDrawTarget, ProgressStyle};
use std::io::{IsTerminal, Write};
use std::sync::{Mutex, PoisonError};

/// Files count by their size, so that the time left can be told.
const ALL: &str = "{bar:30} {percent:>3}% {msg} {eta}";
const ONE: &str = "  {bar:28} {percent:>3}% {msg}";

/// Where a batch is followed.
pub struct Board {
    json: bool,
    bars: Option<Bars>,
}

struct Bars {
    all: ProgressBar,
    group: MultiProgress,
    /// A line for each worker.
    each: Mutex<Vec<ProgressBar>>,
    style: ProgressStyle,
    done: Mutex<Done>,
}

#[derive(Default)]
struct Done {
    notes: usize,
    /// Bytes of the note that each worker has, and how much of it is done.
    at_work: Vec<(u64, f32)>,
    finished: u64,
}

impl Board {
    pub fn new(json: bool) -> anyhow::Result<Board> {
        if json || !std::io::stderr().is_terminal() {
            return Ok(Board { json, bars: None });
        }
        let group = MultiProgress::with_draw_target(ProgressDrawTarget::stderr());
        let all = group.add(ProgressBar::new(0));
        all.set_style(ProgressStyle::with_template(ALL)?.progress_chars("=> "));
        let style = ProgressStyle::with_template(ONE)?.progress_chars("-> ");
        let bars = Bars { all, group, each: Mutex::default(), style, done: Mutex::default() };
        Ok(Board { json, bars: Some(bars) })
    }

    /// Takes the bars away before anything else is written.
    pub fn close(&self) {
        let Some(bars) = &self.bars else { return };
        let each = bars.each.lock().unwrap_or_else(PoisonError::into_inner);
        // One that is not finished would draw itself once more when it goes.
        each.iter().chain([&bars.all]).for_each(ProgressBar::finish_and_clear);
        let _ = bars.group.clear();
    }
}

impl Teller for Board {
    fn tell(&self, event: &Event) {
        if self.json {
            let mut out = std::io::stdout().lock();
            // A reader that has gone does not stop a night's work.
            let _ = serde_json::to_string(event).map(|line| writeln!(out, "{line}"));
        } else if let Some(bars) = &self.bars {
            bars.tell(event);
        } else if let Some(line) = line(event) {
            eprintln!("{} {line}", jiff::Timestamp::now().strftime("%H:%M:%SZ"));
        }
    }

    fn progress(&self, worker: usize, share: f32) {
        if let Some(bars) = &self.bars {
            bars.progress(worker, share);
        }
    }
}

impl Bars {
    fn tell(&self, event: &Event) {
        match event {
            Event::Start { bytes, .. } => {
                self.all.inc_length(*bytes);
            }
            Event::Begin { worker, visit, note, bytes } => {
                let bar = self.bar(*worker);
                bar.set_position(0);
                bar.set_message(clean(&format!("{visit}  {}", note.as_deref().unwrap_or(""))));
                self.finish(*worker, *bytes);
            }
            Event::Heard { .. } => {
                self.done.lock().unwrap_or_else(PoisonError::into_inner).notes += 1;
            }
            // What matters afterwards stays above the bars.
            Event::Failed { .. } | Event::Same { .. } | Event::Lost { .. } | Event::Waiting { .. } => {
                let _ = self.group.println(line(event).unwrap_or_default());
            }
            Event::End { .. } => self.all.set_position(self.all.length().unwrap_or(0)),
            _ => {}
        }
    }

    /// The worker's note before this one is done.
    fn finish(&self, worker: usize, next: u64) {
        let mut done = self.done.lock().unwrap_or_else(PoisonError::into_inner);
        if done.at_work.len() <= worker {
            done.at_work.resize(worker + 1, (0, 0.0));
        }
        done.finished += std::mem::replace(&mut done.at_work[worker], (next, 0.0)).0;
        self.show(&done);
    }

    fn progress(&self, worker: usize, share: f32) {
        let mut done = self.done.lock().unwrap_or_else(PoisonError::into_inner);
        if let Some(at_work) = done.at_work.get_mut(worker) {
            at_work.1 = share;
        }
        self.bar(worker).set_position((share * 1000.0) as u64);
        self.show(&done);
    }

    fn show(&self, done: &Done) {
        let part: u64 = done.at_work.iter().map(|(bytes, share)| (*bytes as f64 * f64::from(*share)) as u64).sum();
        self.all.set_position(done.finished + part);
        self.all.set_message(format!("{} notes heard, left:", done.notes));
    }

    fn bar(&self, worker: usize) -> ProgressBar {
        let mut each = self.each.lock().unwrap_or_else(PoisonError::into_inner);
        while each.len() <= worker {
            let bar = self.group.add(ProgressBar::new(1000));
            bar.set_style(self.style.clone());
            each.push(bar);
        }
        each[worker].clone()
    }
}

/// One line of the plain log.
fn line(event: &Event) -> Option<String> {
    let told = match event {
        Event::Start { visits, files, left_alone, workers, .. } => {
            format!("{files} files of {visits} visits, {workers} at once; {left_alone} other files left alone")
        }
        Event::Added { visit, note, .. } => format!("added   {visit}  {note}"),
        Event::Same { file, visit, note } => format!("same    {file} is in {visit} already, as {note}"),
        Event::Heard { visit, note, words, kept: false, took_ms, .. } => {
            format!("heard   {visit}  {note}: {words} words in {:.1} s", *took_ms as f64 / 1000.0)
        }
        Event::Heard { visit, note, .. } => format!("kept    {visit}  {note}: heard before"),
        Event::Drafted { visit, kept: true, .. } => format!("kept    {visit}: finished before"),
        Event::Drafted { visit, facts, open, .. } => format!("drafted {visit}: {facts} facts, {open} open"),
        Event::Failed { failure, .. } => format!("failed  {}: {}; {}", failure.file, failure.reason, failure.cure),
        Event::Waiting { file, why } => format!("waiting {file} is not whole yet: {why}"),
        Event::Lost { what } => format!("waiting for the database: {what}"),
        Event::Returned { visit, note } => format!("left    {visit}  {}", note.as_deref().unwrap_or("")),
        Event::Begin { .. } | Event::End { .. } => return None,
    };
    Some(clean(&told))
}

/// The end of it, for a person.
pub fn page(sum: &Sum, failures: &[Failure], stopped: bool) -> String {
    let Sum { drafted, finished_before, heard, heard_before, same, .. } = sum;
    let minutes = sum.heard_ms as f64 / 60_000.0;
    let mut page = format!(
        "{drafted} visits drafted, {finished_before} finished before; {heard} notes heard ({minutes:.1} minutes), \
         {heard_before} heard before; {same} recordings there already\n"
    );
    if !failures.is_empty() {
        page += &format!("\n{} could not be used; everything else was:\n", failures.len());
    }
    for Failure { file, reason, cure } in failures {
        page += &format!("  {}\n    {}\n    {}\n", clean(file), clean(reason), clean(cure));
    }
    if stopped {
        page += "\nstopped before the end: run the same command again, and it goes on where it was\n";
    }
    page
}

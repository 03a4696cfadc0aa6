use super::*;
use crate::audio::tests::record_tone;
use crate::draft::Cause;
use crate::recognize::Transcript;
use std::path::Path;
use std::sync::Arc;
use std::sync::Mutex;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::Duration;

/// Hears one word in every recording, and counts how many are heard at once.
#[derive(Default)]
struct Hall {
    now: AtomicUsize,
    most: AtomicUsize,
    model: Option<&'static str>,
}

impl Hearing for Hall {
    fn model(&self) -> Result<String, Cause> {
        self.model.map(str::to_owned).ok_or_else(|| "no model".into())
    }

    fn hear(&self, _: &Path, stop: &AtomicBool, share: &mut dyn FnMut(f32)) -> Result<Transcript, Cause> {
        self.most.fetch_max(self.now.fetch_add(1, Ordering::SeqCst) + 1, Ordering::SeqCst);
        std::thread::sleep(Duration::from_millis(100));
        self.now.fetch_sub(1, Ordering::SeqCst);
        share(1.0);
        assert!(!stop.load(Ordering::Relaxed));
        Ok(Transcript { model: self.model().unwrap(), ..Transcript::from_text("Hello.") })
    }
}

/// Keeps what it is told.
#[derive(Default)]
struct Notebook(Mutex<Vec<Event>>);

impl Teller for Notebook {
    fn tell(&self, event: &Event) {
        self.0.lock().unwrap().push(event.clone());
    }
}

fn batch(folder: &Path, hall: Hall, workers: usize) -> (Batch, Arc<Hall>, Arc<Notebook>) {
    let (hall, notebook) = (Arc::new(hall), Arc::new(Notebook::default()));
    let batch = Batch {
        source: folder.join("in"),
        out: folder.join("out"),
        depot: None,
        by: By::Folder { loose: true },
        hearing: hall.clone(),
        teller: notebook.clone(),
        workers,
        fail_fast: false,
        stop: Arc::default(),
    };
    (batch, hall, notebook)
}

#[tokio::test]
async fn workers_hear_at_once_and_no_more_than_there_are() {
    let folder = tempfile::tempdir().unwrap();
    (1..=6).for_each(|n| record_tone(&folder.path().join(format!("in/v/{n}.wav")), n));
    let (batch, hall, _) = batch(folder.path(), Hall { model: Some("small"), ..Hall::default() }, 3);
    let outcome = batch.once().await.unwrap();
    assert_eq!((outcome.sum.heard, outcome.sum.drafted, outcome.failures.len()), (6, 1, 0));
    assert_eq!(hall.most.load(Ordering::SeqCst), 3);
    // 1 + 2 + 3 + 4 + 5 + 6 seconds.
    assert_eq!(outcome.sum.heard_ms, 21_000);
}

#[tokio::test]
async fn another_model_hears_again_and_the_same_does_not() {
    let folder = tempfile::tempdir().unwrap();
    record_tone(&folder.path().join("in/v/1.wav"), 1);
    for (model, heard, before) in [("small", 1, 0), ("small", 0, 1), ("large", 1, 0)] {
        let (batch, _, _) = batch(folder.path(), Hall { model: Some(model), ..Hall::default() }, 1);
        let sum = batch.once().await.unwrap().sum;
        assert_eq!((sum.heard, sum.finished_before), (heard, before), "{model}");
    }
}

#[tokio::test]
async fn without_a_model_nothing_is_begun() {
    let folder = tempfile::tempdir().unwrap();
    record_tone(&folder.path().join("in/v/1.wav"), 1);
    let (batch, _, _) = batch(folder.path(), Hall::default(), 1);
    let error = batch.once().await.unwrap_err();
    assert!(matches!(error, Error::NoModel { .. }), "{error}");
    assert!(!folder.path().join("out/v").exists());
}

#[tokio::test]
async fn a_run_that_is_told_to_stop_leaves_the_rest() {
    let folder = tempfile::tempdir().unwrap();
    record_tone(&folder.path().join("in/v/1.wav"), 1);
    let (batch, _, notebook) = batch(folder.path(), Hall { model: Some("small"), ..Hall::default() }, 1);
    batch.stop.store(true, Ordering::Relaxed);
    assert_eq!(batch.once().await.unwrap().sum, Sum::default());
    let told = notebook.0.lock().unwrap();
    assert!(matches!(told.last(), Some(Event::End { stopped: true, .. })), "{told:?}");
}

#[test]
fn a_ledger_with_a_torn_line_forgets_only_that() {
    let folder = tempfile::tempdir().unwrap();
    let ledger = Ledger::open(folder.path()).unwrap();
    ledger.keep_draft("a", "one".into());
    ledger.keep_draft("b", "two".into());
    drop(ledger);
    let path = folder.path().join("batch.jsonl");
    let bytes = std::fs::read(&path).unwrap();
    std::fs::write(&path, &bytes[..bytes.len() - 5]).unwrap();
    let ledger = Ledger::open(folder.path()).unwrap();
    assert!(ledger.is_drafted("a", "one") && !ledger.is_drafted("b", "two"));
    ledger.keep_draft("c", "three".into());
    drop(ledger);
    assert!(Ledger::open(folder.path()).unwrap().is_drafted("c", "three"), "the torn line was ended first");
}

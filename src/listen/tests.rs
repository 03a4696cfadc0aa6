//! The sink and the board, driven as a session drives them; the whole is tested from the outside in tests/it.
use super::*;
use crate::audio::growing::Form;
use crate::record::{About, Visit};
use std::path::Path;
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Receiver, channel};
use std::time::{Duration, Instant};

fn visit() -> (tempfile::TempDir, Visit) {
    let folder = tempfile::tempdir().unwrap();
    let visit = Visit::create(&folder.path().join("v"), About::new("x", "2026-03-14".parse().unwrap())).unwrap();
    (folder, visit)
}

fn plenty(_: &Path) -> Option<u64> {
    Some(1 << 40)
}

/// All that a sink makes of some sound.
fn sunk(visit: &Visit, board: &Board, sound: Vec<Sound>) -> Vec<Event> {
    let (tell, events) = channel();
    let (to, from) = channel();
    sound.into_iter().for_each(|s| to.send(s).unwrap());
    drop(to);
    Sink::new(visit, board, tell, &plenty).run(&from).unwrap();
    events.try_iter().collect()
}

fn samples_of(visit: &Visit, note: &str) -> Vec<i16> {
    hound::WavReader::open(visit.note_path(note)).unwrap().samples::<i16>().map(|s| s.unwrap()).collect()
}

#[test]
fn sound_is_kept_bit_for_bit_and_listed_with_its_hash() {
    let (_folder, visit) = visit();
    let sound: Vec<i16> = (0..40_000u32).map(|n| (n * 31) as u16 as i16).collect();
    let pieces = sound.chunks(777).map(|c| Sound::Samples(c.to_vec())).collect();
    let events = sunk(&visit, &Board::default(), pieces);
    let notes = visit.notes().unwrap();
    assert_eq!(notes.len(), 1);
    assert_eq!(samples_of(&visit, &notes[0].name), sound);
    assert_eq!(notes[0].sha256, crate::record::hash(&visit.note_path(&notes[0].name)).unwrap());
    // 40 000 samples at 16 kHz.
    assert_eq!(notes[0].length_ms, Some(2500));
    let name = notes[0].name.clone();
    assert!(events.contains(&Event::Note { name: name.clone() }) && events.contains(&Event::Listed { name }));
}

#[test]
fn a_session_without_sound_leaves_no_note() {
    let (_folder, visit) = visit();
    sunk(&visit, &Board::default(), vec![Sound::Form(Form { rate: 48_000, channels: 2 })]);
    assert_eq!(visit.notes().unwrap(), []);
    assert_eq!(std::fs::read_dir(visit.root().join("notes")).unwrap().count(), 0);
}

#[test]
fn a_device_that_is_gone_and_back_goes_on_in_the_same_note() {
    let (_folder, visit) = visit();
    let form = Form { rate: 16_000, channels: 1 };
    let events = sunk(
        &visit,
        &Board::default(),
        vec![
            Sound::Form(form),
            Sound::Samples(vec![100; 5]),
            Sound::Lost("unplugged".into()),
            Sound::Form(form),
            Sound::Samples(vec![200; 5]),
            Sound::Back,
        ],
    );
    let notes = visit.notes().unwrap();
    assert_eq!(notes.len(), 1);
    assert_eq!(samples_of(&visit, &notes[0].name), [[100; 5], [200; 5]].concat());
    let lost = Trouble::Lost { why: "unplugged".into() };
    assert!(events.contains(&Event::Trouble(lost)));
    assert!(events.iter().any(|e| matches!(e, Event::Fine(Trouble::Lost { .. }))));
}

#[test]
fn another_form_and_a_turn_begin_another_note() {
    let (_folder, visit) = visit();
    let board = Board::default();
    sunk(
        &visit,
        &board,
        vec![Sound::Samples(vec![1; 5]), Sound::Form(Form { rate: 48_000, channels: 1 }), Sound::Samples(vec![2; 6])],
    );
    board.look().turn = true;
    sunk(&visit, &board, vec![Sound::Samples(vec![3; 7])]);
    let lengths: Vec<usize> = visit.notes().unwrap().iter().map(|n| samples_of(&visit, &n.name).len()).collect();
    assert_eq!(lengths, [5, 6, 7]);
}

/// A visit whose notes can't be written for the moment, as when the disk is full: a file lies where the folder should.
fn blocked(visit: &Visit) -> std::path::PathBuf {
    let notes = visit.root().join("notes");
    std::fs::remove_dir(&notes).unwrap();
    std::fs::write(&notes, "").unwrap();
    notes
}

fn wait_for(events: &Receiver<Event>, what: impl Fn(&Event) -> bool) {
    let begun = Instant::now();
    while begun.elapsed() < Duration::from_secs(20) {
        if events.recv_timeout(Duration::from_millis(100)).is_ok_and(|event| what(&event)) {
            return;
        }
    }
    panic!("it was never told");
}

#[test]
fn sound_that_cannot_be_written_is_kept_told_and_written_later() {
    let (_folder, visit) = visit();
    let notes = blocked(&visit);
    let board = Board::default();
    let (tell, events) = channel();
    let (to, from) = channel();
    std::thread::scope(|scope| {
        let sink = Sink::new(&visit, &board, tell, &plenty);
        scope.spawn(move || sink.run(&from).unwrap());
        to.send(Sound::Samples(vec![7; 50])).unwrap();
        wait_for(&events, |e| matches!(e, Event::Trouble(Trouble::DiskFull { .. })));
        to.send(Sound::Samples(vec![8; 50])).unwrap();
        std::fs::remove_file(&notes).unwrap();
        wait_for(&events, |e| matches!(e, Event::Fine(Trouble::DiskFull { .. })));
        drop(to);
    });
    let listed = visit.notes().unwrap();
    assert_eq!(samples_of(&visit, &listed[0].name), [[7; 50], [8; 50]].concat());
}

#[test]
fn a_disk_that_fills_up_is_told_before_it_is_full() {
    let (_folder, visit) = visit();
    // 20 minutes at 16 kHz and 16 bits are 38.4 MB; 64 MiB are left alone.
    let free = AtomicU64::new((64 << 20) + 38_400_000);
    let (tell, events) = channel();
    let (to, from) = channel();
    to.send(Sound::Samples(vec![1; 5])).unwrap();
    drop(to);
    let look = |_: &Path| Some(free.load(Ordering::Relaxed));
    Sink::new(&visit, &Board::default(), tell, &look).run(&from).unwrap();
    assert!(events.try_iter().any(|e| e == Event::Trouble(Trouble::DiskLow { minutes: 20 })));
}

#[test]
fn no_more_sound_is_taken_than_was_asked_for() {
    let (_folder, visit) = visit();
    let (tell, _events) = channel();
    let (to, from) = channel();
    (0..10).for_each(|_| to.send(Sound::Samples(vec![1; 3000])).unwrap());
    let board = Board::default();
    let mut sink = Sink::new(&visit, &board, tell, &plenty);
    sink.limit(Some(Duration::from_millis(500)));
    sink.run(&from).unwrap();
    // Half a second at 16 kHz.
    assert_eq!(samples_of(&visit, &visit.notes().unwrap()[0].name).len(), 8000);
}

#[test]
fn where_the_program_itself_spoke_is_listed_with_the_note_also_after_a_sudden_end() {
    let (_folder, visit) = visit();
    let board = Board::default();
    let (tell, events) = channel();
    let (to, from) = channel();
    std::thread::scope(|scope| {
        let sink = Sink::new(&visit, &board, tell, &plenty);
        scope.spawn(move || sink.run(&from).unwrap());
        to.send(Sound::Samples(vec![1; 16_000])).unwrap();
        wait_for(&events, |e| matches!(e, Event::Note { .. }));
        while board.look().takes[0].frames < 16_000 {
            std::thread::sleep(Duration::from_millis(5));
        }
        board.begin_voice(&visit).unwrap();
        let name = board.look().takes[0].name.clone();
        // Had the program ended here, all that follows would count as its own voice.
        let kept = std::fs::read_to_string(visit.root().join("notes").join(format!(".{name}.own"))).unwrap();
        assert_eq!(kept, format!("1000 {}\n", u64::MAX));
        to.send(Sound::Samples(vec![1; 8000])).unwrap();
        while board.look().takes[0].frames < 24_000 {
            std::thread::sleep(Duration::from_millis(5));
        }
        board.end_voice(&visit).unwrap();
        drop(to);
    });
    // From the first second to a second and a half, and half a second of echo.
    assert_eq!(visit.notes().unwrap()[0].own_voice, [[1000, 2000]]);
}

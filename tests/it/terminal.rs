//! A person at a terminal: the program runs in one of our own, 80 by 24, driven by keys.
use super::office::Office;
use super::report::{placed, with_photographs};
use super::visit::Visit;
use portable_pty::{Child, CommandBuilder, MasterPty, PtySize, native_pty_system};
use std::io::{Read, Write};
use std::path::Path;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

/// Long enough for a slow machine; a test that passes never waits so long.
const PATIENCE: Duration = Duration::from_secs(30);
/// Keys pressed before a question is on the screen are thrown away, so a person's pause is needed.
const REACTION: Duration = Duration::from_millis(400);

struct Seat {
    child: Box<dyn Child + Send + Sync>,
    keyboard: Box<dyn Write + Send>,
    /// What stands on the screen, and all that was ever written to it.
    screen: Arc<Mutex<(vt100::Parser, String)>>,
    _master: Box<dyn MasterPty + Send>,
}

impl Seat {
    fn open(visit: &Visit, args: &[&str]) -> Seat {
        Seat::open_in(&visit.path(""), args)
    }

    fn open_in(folder: &Path, args: &[&str]) -> Seat {
        let pair =
            native_pty_system().openpty(PtySize { rows: 24, cols: 80, pixel_width: 0, pixel_height: 0 }).unwrap();
        let mut command = CommandBuilder::new(env!("CARGO_BIN_EXE_hearsheet"));
        command.args(args);
        command.cwd(folder);
        command.env("TERM", "xterm");
        let child = pair.slave.spawn_command(command).unwrap();
        let screen = Arc::new(Mutex::new((
            vt100::Parser::new(24.try_into().unwrap(), 80.try_into().unwrap(), 0),
            String::new(),
        )));
        let (mut reader, seen) = (pair.master.try_clone_reader().unwrap(), screen.clone());
        std::thread::spawn(move || {
            let mut bytes = [0; 4096];
            while let Ok(length @ 1..) = reader.read(&mut bytes) {
                let mut seen = seen.lock().unwrap();
                seen.0.process(&bytes[..length]);
                seen.1 += &String::from_utf8_lossy(&bytes[..length]);
            }
        });
        Seat { child, keyboard: pair.master.take_writer().unwrap(), screen, _master: pair.master }
    }

    fn sees(&self, text: &str) -> bool {
        let screen = self.screen.lock().unwrap();
        screen.0.screen().contents().contains(text)
    }

    fn wait_for(&self, text: &str) {
        let begun = Instant::now();
        while !self.sees(text) {
            let shown = self.screen.lock().unwrap().0.screen().contents();
            assert!(begun.elapsed() < PATIENCE, "'{text}' never came up on\n{shown}");
            std::thread::sleep(Duration::from_millis(20));
        }
    }

    /// Waits for `text`, then presses `keys` as a person would.
    fn at(&mut self, text: &str, keys: &str) {
        self.wait_for(text);
        std::thread::sleep(REACTION);
        self.keyboard.write_all(keys.as_bytes()).unwrap();
        self.keyboard.flush().unwrap();
    }

    fn end(mut self) -> u32 {
        self.child.wait().unwrap().exit_code()
    }
}

/// A visit with a draft of one number and one statement in words.
fn drafted() -> Visit {
    let visit = Visit::new();
    visit.add_text("a.txt", "Fifty gallon electric water heater. Active leak at the base of the tank.");
    assert_eq!(visit.run(&["draft", "v"]).status.code(), Some(1));
    visit
}

#[test]
fn the_whole_screen_takes_a_draft_to_a_signature() {
    let visit = drafted();
    let mut seat = Seat::open(&visit, &["confirm", "v"]);
    seat.at("> # water-heater.capacity", "y");
    seat.at("saved as 1", "t");
    seat.at("A accept all that stand here", "A");
    seat.at("0 to settle", "s");
    seat.at("type your name to sign", "Ida Example\r");
    seat.at("signed revision 1", "q");
    // Questions are still open, and open ones do not keep a record from being signed.
    assert_eq!(seat.end(), 1);
    assert_eq!(visit.run(&["verify", "v"]).status.code(), Some(0));
}

#[test]
fn plain_prompts_take_a_draft_to_a_signature() {
    let visit = drafted();
    let mut seat = Seat::open(&visit, &["confirm", "v", "--plain", "--sign", "Ida Example"]);
    seat.at("water-heater.capacity", "\r");
    seat.at("y yes", "a");
    seat.at("value in gal", "40\r");
    seat.at("is now 40 gal", "A");
    seat.wait_for("signed revision 1");
    assert_eq!(seat.end(), 1);
    let history = String::from_utf8(visit.run(&["history", "v", "water-heater.capacity"]).stdout).unwrap();
    assert!(history.contains("amended 50 gal to 40 gal"), "{history}");
}

/// What a person said of the photographs of `with_photographs`, in their order.
fn said_of_photographs(visit: &Visit) -> Vec<Option<String>> {
    let photographs = placed(visit)["photographs"].as_array().unwrap().clone();
    let said = |p: &serde_json::Value| (p["how"] == "person").then(|| p["of"].as_str().unwrap_or("none").to_owned());
    photographs.iter().map(said).collect()
}

#[test]
fn photographs_are_corrected_on_the_whole_screen() {
    let visit = with_photographs();
    let mut seat = Seat::open(&visit, &["confirm", "v"]);
    seat.at("p photos", "p");
    // The first that shows nothing yet is chosen.
    seat.at("> lunch.jpg", "\r");
    seat.at("not changed", "fridge\r");
    seat.at("'fridge' is no part", "drain-pan\r");
    seat.at("lunch.jpg shows drain-pan  (saved as 2)", "\u{1b}[A\u{1b}[A");
    seat.at("> leak.jpg", "none\r");
    seat.at("leak.jpg belongs to nothing", "\u{1b}");
    seat.at("u undo", "u");
    seat.at("undone", "q");
    assert_eq!(seat.end(), 1);
    assert_eq!(said_of_photographs(&visit), [None, None, None, Some("drain-pan".to_owned())]);
}

#[test]
fn photographs_are_corrected_by_plain_prompts() {
    let visit = with_photographs();
    let mut seat = Seat::open(&visit, &["confirm", "v", "--plain"]);
    seat.at("p photographs", "p");
    seat.at("NUMBER=PART", "9=casing\r");
    seat.at("there is no photograph '9'", "4=2/drain-pan\r");
    seat.at("lunch.jpg shows 2/drain-pan", "leak.jpg=none\r");
    seat.at("leak.jpg belongs to nothing", "\r");
    seat.at("q stop", "q");
    assert_eq!(seat.end(), 1);
    let none = Some("none".to_owned());
    assert_eq!(said_of_photographs(&visit), [None, none, None, Some("drain-pan".to_owned())]);
}

#[test]
fn a_person_may_stop_at_any_question_and_keeps_every_answer() {
    let visit = drafted();
    let mut seat = Seat::open(&visit, &["confirm", "v"]);
    seat.at("> # water-heater.capacity", "y");
    // Ctrl-C.
    seat.at("saved as 1", "\u{3}");
    assert_eq!(seat.end(), 1);
    assert_eq!(std::fs::read_to_string(visit.path("v/decisions.jsonl")).unwrap().lines().count(), 1);
}

#[test]
fn the_terminal_is_left_as_it_was() {
    let visit = drafted();
    let mut seat = Seat::open(&visit, &["confirm", "v"]);
    seat.at("> # water-heater.capacity", "q");
    let screen = seat.screen.clone();
    seat.end();
    std::thread::sleep(REACTION);
    let seen = screen.lock().unwrap();
    assert!(!seen.0.screen().alternate_screen() && !seen.0.screen().hide_cursor());
    assert!(seen.1.contains("still to confirm"), "what is left is said on the ordinary screen");
}

#[test]
fn a_batch_shows_who_is_at_work_and_leaves_a_clean_page() {
    let office = Office::with_visits(2);
    office.write("in/bad/empty.txt", b"");
    let seat = Seat::open_in(office.folder.path(), &["batch", "in", "--out", "out", "--workers", "2"]);
    seat.wait_for("1 could not be used; everything else was:");
    seat.wait_for("write the words into it");
    let (screen, written) = {
        let seen = seat.screen.lock().unwrap();
        (seen.0.screen().contents(), seen.1.clone())
    };
    assert_eq!(seat.end(), 1);
    assert!(written.contains("Noor Sample/visit 01") && written.contains("note-2.txt"), "no worker's line: {written}");
    assert!(written.contains("notes heard, left:"), "no line for all: {written}");
    assert!(screen.contains("2 visits drafted") && !screen.contains('%'), "the bars are still there:\n{screen}");
}

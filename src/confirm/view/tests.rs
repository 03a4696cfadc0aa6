use super::super::tests::{decided, draft, word};
use super::*;
use crate::record::Value;
use ratatui::Terminal;
use ratatui::backend::TestBackend;

/// The screen as text, at the smallest size that has to do.
fn screen(view: &View<'_>) -> String {
    let mut terminal = Terminal::new(TestBackend::new(80, 24)).unwrap();
    terminal.draw(|frame| view.draw(frame)).unwrap();
    let buffer = terminal.backend().buffer().clone();
    let row = |y| (0..80).map(|x| buffer[(x, y)].symbol().to_owned()).collect::<String>();
    (0..24).map(|y| row(y).trim_end().to_owned() + "\n").collect()
}

fn view(draft: &Draft) -> View<'_> {
    View::new(draft, Session::new(draft, "Ida Example").unwrap(), "Ida Example")
}

fn press(view: &mut View<'_>, keys: &str) {
    for key in keys.chars() {
        view.press(match key {
            '\n' => Press::Enter,
            '\u{1b}' => Press::Escape,
            c => Press::Char(c),
        });
    }
}

fn three() -> [(&'static str, Value, f64); 3] {
    [
        ("casing.leak", word("past"), 0.3),
        ("water-heater.capacity", Value::Number(50.0), 0.95),
        ("casing.damage", word("none"), 0.95),
    ]
}

#[test]
fn the_screen_shows_value_words_note_standing_and_every_key() {
    let (_folder, draft) = draft(&three());
    let screen = screen(&view(&draft));
    for part in ["> ? casing.leak", "  # water-heater.capacity", "| leak past |", "note    a.wav", "doubtful (0.30)"] {
        assert!(screen.contains(part), "'{part}' is not in\n{screen}");
    }
    for key in [
        "y yes",
        "n no",
        "a another",
        "1-9",
        "l leave",
        "u undo",
        "up/down",
        "t sure",
        "p photos",
        "s sign",
        "? help",
        "q stop",
    ] {
        assert!(screen.contains(key), "'{key}' is not shown in\n{screen}");
    }
}

#[test]
fn enter_accepts_nothing() {
    let (_folder, draft) = draft(&three());
    press(&mut view(&draft), "\n\n\n");
    assert_eq!(decided(&draft), [""; 0]);
}

#[test]
fn answers_are_saved_and_the_next_question_comes_up() {
    let (_folder, draft) = draft(&three());
    let mut view = view(&draft);
    press(&mut view, "y");
    assert_eq!(decided(&draft), ["confirm casing.leak=past"]);
    assert!(screen(&view).contains("> # water-heater.capacity"));
    assert!(screen(&view).contains("saved as 1"));
}

#[test]
fn numbers_are_not_among_what_is_accepted_together() {
    let (_folder, draft) = draft(&three());
    let mut view = view(&draft);
    press(&mut view, "t");
    let together = screen(&view);
    assert!(together.contains("\"damage none\""), "the words stand beside:\n{together}");
    assert!(together.contains("A accept all that stand here"));
    press(&mut view, "A");
    assert_eq!(decided(&draft), ["confirm casing.damage=none"]);
}

#[test]
fn no_more_is_accepted_together_than_stood_on_the_screen() {
    let parts = ["casing", "inlet", "outlet", "cold-shutoff", "relief-valve", "vent", "element-cover"];
    let facts: Vec<(String, Value, f64)> = (1..=3)
        .flat_map(|item| parts.iter().map(move |part| (format!("{item}/{part}.corrosion"), word("none"), 0.95)))
        .collect();
    let facts: Vec<(&str, Value, f64)> = facts.iter().map(|(n, v, c)| (n.as_str(), v.clone(), *c)).collect();
    let (_folder, draft) = draft(&facts);
    let mut view = view(&draft);
    press(&mut view, "t");
    let stood = screen(&view).matches(".corrosion").count();
    assert!(stood > 3 && stood < facts.len(), "{stood} of {} on\n{}", facts.len(), screen(&view));
    press(&mut view, "A");
    assert_eq!(decided(&draft).len(), stood);
}

#[test]
fn another_key_than_the_one_shown_accepts_nothing_together() {
    let (_folder, draft) = draft(&three());
    press(&mut view(&draft), "t\n");
    press(&mut view(&draft), "ta");
    assert_eq!(decided(&draft), [""; 0]);
}

#[test]
fn a_value_is_typed_checked_and_taken_by_enter_alone() {
    let (_folder, draft) = draft(&three());
    let mut view = view(&draft);
    press(&mut view, "ja");
    press(&mut view, "x\n");
    assert!(screen(&view).contains("is no value of water-heater.capacity"), "{}", screen(&view));
    press(&mut view, "\u{1b}a40 gal\n");
    assert_eq!(decided(&draft), ["amend water-heater.capacity=40"]);
}

#[test]
fn an_open_question_takes_a_value() {
    let (_folder, draft) = draft(&[]);
    let mut view = view(&draft);
    assert!(screen(&view).contains("> o water-heater.energy"), "{}", screen(&view));
    press(&mut view, "y");
    assert!(screen(&view).contains("nobody has said this"));
    press(&mut view, "a1");
    // The first choice of the catalogue's row.
    assert_eq!(decided(&draft), ["enter water-heater.energy=electric"]);
}

#[test]
fn signing_waits_until_all_is_settled_and_needs_a_name() {
    let (_folder, draft) = draft(&three());
    let mut view = view(&draft);
    press(&mut view, "sIda\n");
    assert!(screen(&view).contains("3 facts are not settled"), "{}", screen(&view));
    press(&mut view, "yyy");
    press(&mut view, "s\n");
    assert!(screen(&view).contains("no name was typed"));
    press(&mut view, "sIda Example\n");
    assert!(screen(&view).contains("signed revision 1 as Ida Example"), "{}", screen(&view));
    assert_eq!(draft.visit.verify().unwrap(), []);
}

#[test]
fn the_whole_help_fits_and_photographs_need_one_that_is_there() {
    let (_folder, draft) = draft(&three());
    let mut view = view(&draft);
    press(&mut view, "?");
    assert!(screen(&view).contains("Any key goes back."), "{}", screen(&view));
    press(&mut view, "xp");
    assert!(screen(&view).contains("there is no photograph"), "{}", screen(&view));
}

#[test]
fn moving_stays_within_the_list_and_q_stops() {
    let (_folder, draft) = draft(&three());
    let mut view = view(&draft);
    press(&mut view, "kkk");
    assert!(screen(&view).contains("> ? casing.leak"));
    press(&mut view, &"j".repeat(99));
    assert!(screen(&view).contains("> o "), "the open questions come last");
    press(&mut view, "q");
    assert_eq!(view.ended, Some(false));
}

#[test]
fn nothing_spoken_can_draw_outside_its_place() {
    let (_folder, draft) = draft(&[("water-heater.brand", word("A\u{1b}[2J\u{202e}B"), 0.3)]);
    assert!(!screen(&view(&draft)).chars().any(|c| c == '\u{1b}' || c == '\u{202e}'));
}

/// The sample walk of docs/confirm.md: what is pressed, and what then stands on the screen.
#[test]
fn the_page_on_confirming_shows_the_screen_as_it_is() {
    let (_folder, draft) = draft(&[
        ("casing.leak", word("active"), 0.55),
        ("casing.leak", word("past"), 0.95),
        ("water-system.static-pressure", Value::Number(61.0), 0.93),
        ("drain-pan.presence", word("absent"), 0.97),
        ("casing.damage", word("none"), 0.98),
    ]);
    let mut view = view(&draft);
    let mut page = "# Confirming, screen by screen\n\nThe view at 80 by 24, as a test draws it from made-up readings. \
        To write this page anew:\n`UPDATE_DOCS=1 cargo test --lib page_on_confirming`\n\n`p` lists the photographs \
        with the part that each shows. A part typed there\ncorrects the chosen one; `none` is for one that shows no \
        part, and Enter alone\nchanges nothing. `--plain` has the same key, and `--photo NAME=PART` does it\nwithout a \
        terminal.\n"
        .to_owned();
    let steps = [
        ("", "hearsheet confirm larkspur-41"),
        ("y", "`y`: the leak is active, as heard; the statement against it is rejected"),
        ("a", "`a`: the pressure is another one"),
        ("64 psi\n", "`64 psi` and Enter"),
        ("t", "`t`: what was heard clearly in words"),
        ("A", "`A`: accept what stands there"),
        ("sIda Example\n", "`s`, a name and Enter: signed"),
    ];
    let seal = regex::Regex::new(r"seal\s+[0-9a-f]{16,}").unwrap();
    for (keys, what) in steps {
        press(&mut view, keys);
        let screen = seal.replace_all(&screen(&view), "seal ...").into_owned();
        page += &format!("\n## {what}\n\n```text\n{}\n```\n", screen.trim_end());
    }
    let path = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("docs/confirm.md");
    if std::env::var_os("UPDATE_DOCS").is_some() {
        std::fs::write(&path, &page).unwrap();
    }
    let written = std::fs::read_to_string(&path).unwrap_or_default();
    assert!(written == page, "docs/confirm.md is behind: UPDATE_DOCS=1 cargo test --lib page_on_confirming");
}

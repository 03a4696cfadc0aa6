//! The terminal as a person uses it: single keys, and lines of text.
use crossterm::event::{self, Event, KeyCode, KeyEventKind, KeyModifiers};
use crossterm::terminal::{disable_raw_mode, enable_raw_mode};
use hearsheet::confirm::{Key, Press, Terminal, View, hear};
use hearsheet::draft::Draft;
use std::io::{self, IsTerminal, Write};
use std::time::Duration;

/// A terminal with a person at it.
pub struct Screen(());

impl Screen {
    /// The terminal, if both ends of the program are one.
    pub fn open() -> Option<Screen> {
        (io::stdin().is_terminal() && io::stdout().is_terminal()).then_some(Screen(()))
    }
}

/// Single keys as long as it lives.
struct Raw(());

impl Raw {
    fn on() -> io::Result<Raw> {
        enable_raw_mode().map(|()| Raw(()))
    }
}

impl Drop for Raw {
    fn drop(&mut self) {
        // The program is going on or ending; there is nobody left to tell.
        let _ = disable_raw_mode();
    }
}

impl Terminal for Screen {
    fn say(&mut self, text: &str) -> io::Result<()> {
        let mut out = io::stdout().lock();
        writeln!(out, "{text}")?;
        out.flush()
    }

    fn key(&mut self) -> io::Result<Key> {
        let _raw = Raw::on()?;
        forget_earlier_keys()?;
        Ok(match next_press()? {
            Some(Press::End) => Key::End,
            Some(Press::Char(c)) => Key::Char(c),
            _ => Key::Other,
        })
    }

    fn play(&mut self, samples: &[i16]) -> Result<(), String> {
        super::sound::play(samples)
    }

    fn line(&mut self, prompt: &str) -> io::Result<String> {
        let mut out = io::stdout().lock();
        write!(out, "{prompt}")?;
        out.flush()?;
        let mut line = String::new();
        io::stdin().read_line(&mut line)?;
        Ok(line)
    }
}

/// The smallest screen that the whole view fits on.
const FULL: (u16, u16) = (80, 24);

/// Whether the terminal can be drawn on.
pub fn is_drawable() -> bool {
    !std::env::var("TERM").is_ok_and(|term| term == "dumb" || term.is_empty())
}

/// Whether the terminal can show the whole view.
pub fn is_full() -> bool {
    is_drawable() && crossterm::terminal::size().is_ok_and(|(columns, rows)| columns >= FULL.0 && rows >= FULL.1)
}

/// Shows the view until the person is done with it.
pub fn show(view: &mut View<'_>, draft: &Draft) -> io::Result<()> {
    let mut terminal = ratatui::try_init()?;
    let shown = keep_showing(view, draft, &mut terminal);
    ratatui::try_restore()?;
    shown
}

fn keep_showing(view: &mut View<'_>, draft: &Draft, terminal: &mut ratatui::DefaultTerminal) -> io::Result<()> {
    while view.ended.is_none() {
        terminal.draw(|frame| view.draw(frame))?;
        if !view.is_typing() {
            forget_earlier_keys()?;
        }
        if let Some(press) = next_press()? {
            view.press(press);
        }
        if let Some(fact) = view.take_wish()
            && let Err(why) = hear(draft, &fact, &mut super::sound::play)
        {
            view.show(why);
        }
    }
    Ok(())
}

/// A key pressed before the question was on the screen cannot have been meant for it.
fn forget_earlier_keys() -> io::Result<()> {
    while event::poll(Duration::ZERO)? {
        event::read()?;
    }
    Ok(())
}

/// Shows a session that goes on by itself: `draw` draws it anew all the time and is false once it is over, `end` is
/// told when a key asks for that.
pub fn watch(draw: &mut dyn FnMut(&mut ratatui::Frame) -> bool, end: &mut dyn FnMut()) -> io::Result<()> {
    const MOMENT: Duration = Duration::from_millis(100);
    let mut terminal = ratatui::try_init()?;
    let mut go_on = true;
    let mut shown = Ok(());
    while go_on && shown.is_ok() {
        shown = terminal.draw(|frame| go_on = draw(frame)).map(|_| ());
        if go_on && event::poll(MOMENT)? && matches!(next_press()?, Some(Press::End | Press::Escape | Press::Char('q')))
        {
            end();
        }
    }
    ratatui::try_restore()?;
    shown
}

/// Waits for a key; nothing where something else happened, such as a new size of the window.
fn next_press() -> io::Result<Option<Press>> {
    let Event::Key(key) = event::read()? else { return Ok(None) };
    if key.kind == KeyEventKind::Release {
        return Ok(None);
    }
    let control = key.modifiers.contains(KeyModifiers::CONTROL);
    Ok(match key.code {
        KeyCode::Char('c' | 'd') if control => Some(Press::End),
        KeyCode::Char(c) if !control => Some(Press::Char(c)),
        KeyCode::Enter => Some(Press::Enter),
        KeyCode::Esc => Some(Press::Escape),
        KeyCode::Backspace => Some(Press::Backspace),
        KeyCode::Up => Some(Press::Up),
        KeyCode::Down => Some(Press::Down),
        _ => None,
    })
}

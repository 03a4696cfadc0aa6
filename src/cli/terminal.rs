//! The terminal as a person uses it: single keys, and lines of text.
use crossterm::event::{self, Event, KeyCode, KeyEventKind, KeyModifiers};
use crossterm::terminal::{disable_raw_mode, enable_raw_mode};
use hearsheet::confirm::{Key, Terminal};
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
        // A key pressed before the question was on the screen cannot have been meant for it.
        while event::poll(Duration::ZERO)? {
            event::read()?;
        }
        loop {
            let Event::Key(key) = event::read()? else { continue };
            if key.kind == KeyEventKind::Release {
                continue;
            }
            let control = key.modifiers.contains(KeyModifiers::CONTROL);
            return Ok(match key.code {
                KeyCode::Char('c' | 'd') if control => Key::End,
                KeyCode::Char(c) if !control => Key::Char(c),
                _ => Key::Other,
            });
        }
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

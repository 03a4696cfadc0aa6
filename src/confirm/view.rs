//! Confirming on the whole screen: what is shown and what each key does. It knows no terminal, only keys and a frame.
mod album;
mod draw;
mod press;
#[cfg(test)]
mod tests;

use self::album::Album;
use super::{Ask, Session, text};
use crate::draft::Draft;
use crate::lexicon::Row;
use crate::record::{Fact, OpenQuestion};
use std::cell::Cell;

/// A key as the view knows it.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Press {
    Char(char),
    Enter,
    Escape,
    Backspace,
    Up,
    Down,
    /// Ctrl-C or Ctrl-D, or the terminal is gone.
    End,
}

/// What stands on the screen.
#[derive(Debug, Clone)]
enum Mode {
    /// One fact or open question, with the list around it.
    Ask,
    /// The catalogue's values by number.
    Choose(Row),
    /// A value that is being typed.
    Type(Row, String),
    /// Sure words, as many as fit, to be accepted together.
    Together,
    Help,
    /// What each photograph shows, and what is typed of one.
    Photos(Album),
    /// The name that signs, being typed.
    Sign(String),
}

/// One line of the list.
#[derive(Debug, Clone, PartialEq)]
enum Item {
    Fact(Ask),
    Open(OpenQuestion),
}

/// The whole screen of one person going through one visit.
pub struct View<'d> {
    draft: &'d Draft,
    pub session: Session<'d>,
    by: String,
    selected: usize,
    mode: Mode,
    message: String,
    /// The fact that the person wants to hear.
    wish: Option<Fact>,
    /// First line of the body that is shown, where it does not fit.
    scroll: usize,
    /// How many sure statements stood on the screen when it was last drawn: no more than these are accepted together.
    stood: Cell<usize>,
    /// The person went to the end, or stopped before it.
    pub ended: Option<bool>,
}

impl<'d> View<'d> {
    /// The view at the first thing to be settled.
    pub fn new(draft: &'d Draft, session: Session<'d>, by: &str) -> Self {
        let message = "Enter does nothing, so that nothing is accepted by habit.".to_owned();
        View {
            draft,
            session,
            by: by.to_owned(),
            selected: 0,
            mode: Mode::Ask,
            message,
            wish: None,
            scroll: 0,
            stood: Cell::new(0),
            ended: None,
        }
    }

    /// The fact whose words the person wants to hear, once.
    pub fn take_wish(&mut self) -> Option<Fact> {
        self.wish.take()
    }

    /// Shows a message at the next drawing.
    pub fn show(&mut self, message: String) {
        self.message = message;
    }

    /// Facts first, then what nobody has said.
    fn items(&self) -> Vec<Item> {
        let facts = self.session.asks().iter().cloned().map(Item::Fact);
        facts.chain(self.session.record.open.iter().cloned().map(Item::Open)).collect()
    }

    fn current(&self) -> Option<Item> {
        self.items().into_iter().nth(self.selected)
    }

    fn current_fact(&self) -> Option<Fact> {
        match self.current()? {
            Item::Fact(ask) => Some(self.session.fact(&ask).clone()),
            Item::Open(_) => None,
        }
    }

    /// Whether text is being typed, in which every key counts.
    pub fn is_typing(&self) -> bool {
        matches!(self.mode, Mode::Type(..) | Mode::Photos(_) | Mode::Sign(_))
    }

    fn sure(&self) -> Vec<Fact> {
        self.session.sure().into_iter().cloned().collect()
    }

    /// Everything about a fact, in lines.
    fn detail(&self, fact: &Fact) -> Vec<String> {
        let mut lines = text::detail(fact, &self.draft.transcripts);
        let rivals = self.session.rivals(fact);
        lines.extend(rivals.iter().enumerate().map(|(i, rival)| text::rival(i + 1, rival)));
        let findings = self.session.record.concerns.iter().filter(|c| c.item == fact.item);
        let rests = |because: &str| because.contains(&crate::judge::words(fact, &self.draft.bench.lexicon.catalogue));
        lines.extend(findings.filter(|c| rests(&c.because)).map(|c| format!("makes   {} {}", c.class, c.rule)));
        lines
    }
}

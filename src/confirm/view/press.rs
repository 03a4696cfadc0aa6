//! What each key does.
use super::super::{Answer, Error, Outcome, find_row, parse_value, told};
use super::{Item, Mode, Press, View};
use crate::lexicon::Kind;
use crate::record::{Fact, FactName, Value};

/// Lines that one press of the space bar goes on.
const SCROLL: usize = 6;

impl View<'_> {
    /// Takes one key. A mistake that the person can mend is shown and changes nothing.
    pub fn press(&mut self, press: Press) {
        if let Err(error) = self.try_press(press) {
            self.message = full(&error);
        }
        let last = self.items().len().saturating_sub(1);
        self.selected = self.selected.min(last);
        if press != Press::Char(' ') {
            self.scroll = 0;
        }
    }

    fn try_press(&mut self, press: Press) -> Result<(), Error> {
        if press == Press::End {
            self.ended = Some(false);
            return Ok(());
        }
        match self.mode.clone() {
            Mode::Ask => self.in_ask(press),
            Mode::Choose(row) => {
                let digit = if let Press::Char(c) = press { c.to_digit(10) } else { None };
                let chosen = digit.and_then(|d| row.values.get((d as usize).checked_sub(1)?));
                self.mode = Mode::Ask;
                match chosen {
                    Some(value) => self.set(Value::Text(value.clone()), None),
                    None => self.say("not changed"),
                }
            }
            Mode::Type(row, typed) => match edited(typed, press) {
                Edit::Going(typed) => self.turn(Mode::Type(row, typed)),
                Edit::Left => self.turn(Mode::Ask),
                Edit::Done(typed) => {
                    let value = parse_value(&row, &typed)?;
                    self.mode = Mode::Ask;
                    self.set(value, row.unit)
                }
            },
            Mode::Sign(typed) => match edited(typed, press) {
                Edit::Going(typed) => self.turn(Mode::Sign(typed)),
                Edit::Left => self.turn(Mode::Ask),
                Edit::Done(name) => self.sign(&name),
            },
            Mode::Photos(album) => self.in_photos(album, press),
            Mode::Together => self.in_together(press),
            Mode::Help => self.turn(Mode::Ask),
        }
    }

    fn in_ask(&mut self, press: Press) -> Result<(), Error> {
        match press {
            Press::Up | Press::Char('k') => self.selected = self.selected.saturating_sub(1),
            Press::Down | Press::Char('j') => self.selected += 1,
            Press::Char('y') => return self.answer(Answer::Yes),
            Press::Char('n') => return self.answer(Answer::No),
            Press::Char('a') => return self.amend(),
            Press::Char('l') => {
                if let Some(fact) = self.current_fact() {
                    self.session.leave(&fact);
                    self.message = "left for another time".to_owned();
                }
            }
            Press::Char('u') => match self.session.undo()? {
                Some(outcome) => self.tell(&outcome),
                None => self.message = "nothing to take back yet".to_owned(),
            },
            Press::Char('h') => self.wish = self.current_fact(),
            Press::Char(' ') => self.scroll += SCROLL,
            Press::Char('t') if !self.sure().is_empty() => return self.turn(Mode::Together),
            Press::Char('p') => return self.open_album(),
            Press::Char('s') => return self.turn(Mode::Sign(String::new())),
            Press::Char('?') => return self.turn(Mode::Help),
            Press::Char('q') => self.ended = Some(self.session.asks().is_empty()),
            Press::Char(digit) if digit.is_ascii_digit() => return self.choose_rival(digit),
            _ => {}
        }
        Ok(())
    }

    fn in_together(&mut self, press: Press) -> Result<(), Error> {
        self.mode = Mode::Ask;
        if press != Press::Char('A') {
            return self.say("not accepted");
        }
        let mut facts = self.sure();
        facts.truncate(self.stood.get());
        for fact in &facts {
            let outcome = self.session.answer(fact, Answer::Yes)?;
            self.tell(&outcome);
        }
        self.say(&format!("{} statements confirmed", facts.len()))
    }

    fn answer(&mut self, answer: Answer) -> Result<(), Error> {
        let Some(fact) = self.current_fact() else {
            return self.say("nobody has said this; a gives it a value, or leave it open");
        };
        let outcome = self.session.answer(&fact, answer)?;
        self.tell(&outcome);
        Ok(())
    }

    /// Another statement on the same question is the right one.
    fn choose_rival(&mut self, digit: char) -> Result<(), Error> {
        let Some(fact) = self.current_fact() else { return Ok(()) };
        let number = digit.to_digit(10).unwrap_or_default() as usize;
        let rivals: Vec<Fact> = self.session.rivals(&fact).into_iter().cloned().collect();
        let Some(rival) = number.checked_sub(1).and_then(|i| rivals.get(i)) else { return Ok(()) };
        let outcome = self.session.answer(rival, Answer::Yes)?;
        self.tell(&outcome);
        Ok(())
    }

    fn name(&self) -> Option<FactName> {
        Some(match self.current()? {
            Item::Fact(ask) => FactName::of(self.session.fact(&ask)),
            Item::Open(open) => {
                FactName { item: open.item, component: open.component, attribute: open.attribute, place: None }
            }
        })
    }

    fn amend(&mut self) -> Result<(), Error> {
        let Some(name) = self.name() else { return Ok(()) };
        let row = find_row(&self.draft.bench.lexicon.catalogue, &name)?.clone();
        let typed = !matches!(row.kind, Kind::Choice | Kind::Presence);
        self.turn(if typed { Mode::Type(row, String::new()) } else { Mode::Choose(row) })
    }

    fn set(&mut self, value: Value, unit: Option<String>) -> Result<(), Error> {
        let Some(name) = self.name() else { return Ok(()) };
        let outcome = self.session.settle(&name, None, Answer::Set(value, unit))?;
        self.tell(&outcome);
        Ok(())
    }

    fn sign(&mut self, name: &str) -> Result<(), Error> {
        self.mode = Mode::Ask;
        let name = name.trim();
        if name.is_empty() {
            return self.say("not signed: no name was typed");
        }
        let seal = self.session.sign(name)?;
        self.say(&format!("signed revision {} as {name}, seal {}", seal.revision, seal.hash()))
    }

    pub(super) fn turn(&mut self, mode: Mode) -> Result<(), Error> {
        self.mode = mode;
        self.message.clear();
        Ok(())
    }

    pub(super) fn say(&mut self, message: &str) -> Result<(), Error> {
        self.message = message.to_owned();
        Ok(())
    }

    pub(super) fn tell(&mut self, outcome: &Outcome) {
        self.message = told(outcome);
    }
}

/// The error with its causes.
fn full(error: &Error) -> String {
    let mut text = error.to_string();
    let mut cause = std::error::Error::source(error);
    while let Some(next) = cause {
        text += &format!(": {next}");
        cause = next.source();
    }
    text
}

/// A line of text as it is being typed.
pub(super) enum Edit {
    Going(String),
    Done(String),
    Left,
}

pub(super) fn edited(mut typed: String, press: Press) -> Edit {
    match press {
        Press::Char(c) if !c.is_control() && typed.chars().count() < 200 => typed.push(c),
        Press::Backspace => drop(typed.pop()),
        Press::Enter => return Edit::Done(typed),
        Press::Escape => return Edit::Left,
        _ => {}
    }
    Edit::Going(typed)
}

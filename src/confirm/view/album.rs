//! The photographs on the whole screen: what each shows, and a line in which a person says it better.
use super::super::plain::NO_PHOTOGRAPH;
use super::super::{Error, Shows, parts, photo_line};
use super::draw::{fitted, strong};
use super::press::{Edit, edited};
use super::{Mode, Press, View};
use crate::lexicon::Catalogue;
use crate::record::Placed;
use ratatui::layout::Rect;
use ratatui::text::Line;

/// Rows of the list; the parts that may be meant stand below it.
const ROWS: usize = 9;

/// All photographs of the visit, the one that is spoken of, and the part that is being typed.
#[derive(Debug, Clone)]
pub(super) struct Album {
    photographs: Vec<Placed>,
    at: usize,
    typed: String,
}

impl Album {
    /// The list around the chosen photograph, and the parts that begin to fit what is typed.
    pub(super) fn lines(&self, catalogue: &Catalogue, area: Rect) -> Vec<Line<'static>> {
        let first = self.at.saturating_sub(ROWS / 2).min(self.photographs.len().saturating_sub(ROWS));
        let entries = self.photographs.iter().enumerate().skip(first).take(ROWS).map(|(at, placed)| {
            let here = at == self.at;
            let text = format!("{} {}", if here { ">" } else { " " }, photo_line(placed));
            let line = Line::from(text.chars().take(area.width.into()).collect::<String>());
            if here { line.style(strong()) } else { line }
        });
        let mut lines: Vec<Line<'static>> = entries.collect();
        let below = Rect { height: area.height.saturating_sub(lines.len() as u16 + 1), ..area };
        lines.push(Line::default());
        let known = format!("parts   {}", parts(catalogue, &self.typed).join(", "));
        lines.extend(fitted(&known, below, 0, "        ... type some letters to see fewer"));
        lines
    }

    /// The line that is typed, and the keys.
    pub(super) fn keys(&self) -> Vec<String> {
        let number = format!("{} of {}", self.at + 1, self.photographs.len());
        vec![
            format!("{number} shows (a part, 2/part of heater 2, or none): {}_", self.typed),
            "Enter takes what is typed   up/down another photograph   Escape goes back".to_owned(),
        ]
    }
}

impl View<'_> {
    /// Opens the album at the first photograph that shows nothing yet.
    pub(super) fn open_album(&mut self) -> Result<(), Error> {
        let photographs = self.session.photographs()?.photographs;
        if photographs.is_empty() {
            return self.say(NO_PHOTOGRAPH);
        }
        let at = photographs.iter().position(|p| p.of.is_none()).unwrap_or(0);
        self.turn(Mode::Photos(Album { photographs, at, typed: String::new() }))
    }

    pub(super) fn in_photos(&mut self, mut album: Album, press: Press) -> Result<(), Error> {
        match press {
            Press::Up => album.at = album.at.saturating_sub(1),
            Press::Down => album.at = (album.at + 1).min(album.photographs.len() - 1),
            _ => match edited(album.typed, press) {
                Edit::Going(typed) => album.typed = typed,
                Edit::Left => return self.turn(Mode::Ask),
                Edit::Done(typed) => return self.take_photograph(album.photographs, album.at, &typed),
            },
        }
        self.turn(Mode::Photos(album))
    }

    /// Nothing typed changes nothing: Enter alone is no answer.
    fn take_photograph(&mut self, photographs: Vec<Placed>, at: usize, typed: &str) -> Result<(), Error> {
        self.mode = Mode::Photos(Album { photographs, at, typed: String::new() });
        let Mode::Photos(album) = &mut self.mode else { return Ok(()) };
        if typed.trim().is_empty() {
            return self.say("not changed");
        }
        let shows: Shows = format!("{}={}", album.photographs[at].name, typed.trim()).parse()?;
        let outcome = self.session.show(shows)?;
        album.photographs = self.session.photographs()?.photographs;
        self.tell(&outcome);
        Ok(())
    }
}

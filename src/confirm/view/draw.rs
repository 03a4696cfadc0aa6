//! How the view is drawn: 80 by 24 is enough, and nothing is told by colour alone.
use super::super::text::{clean, standing, value};
use super::{Item, Mode, View};
use crate::lexicon::Row;
use crate::record::FactName;
use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::{Modifier, Style};
use ratatui::text::Line;
use ratatui::widgets::Paragraph;

/// Rows of the list; the one that is asked about stands in the middle, its neighbours around it.
const LIST_ROWS: u16 = 7;

const ASK_KEYS: [&str; 2] = [
    "y yes  n no, not so  a another value  1-9 the other  h hear  l leave  u undo",
    "up/down go to  t sure words together  p photos  s sign  ? help  q stop (saved)",
];
const HELP: &str = "\
y       it is as heard: written down as confirmed
n       it is not so, or was not said: written down as rejected
a       the value is another one: choose it, or type it with its unit
1-9     another statement on the same question is the right one
h       hear the words, with two seconds around them
l       leave it for another time
u       take back the last answer; the journal keeps both
space   the rest of what does not fit
up/down go to another fact or open question (also k and j)
t       look at the statements in words that were heard clearly, and accept them
        together; numbers are settled one by one
p       look at what each photograph shows, and correct it
s       sign, once every fact is settled
q       stop; every answer is on the disk already

Marks: ? doubtful   ! disputed   # a number   o open, nobody has said it
[word?] was heard unsurely. Any key goes back.";

impl View<'_> {
    /// Draws everything.
    pub fn draw(&self, frame: &mut Frame) {
        // What needs the whole height goes without the list.
        let tall = matches!(self.mode, Mode::Together | Mode::Photos(_) | Mode::Help);
        let rows = [
            Constraint::Length(1),
            Constraint::Length(if tall { 0 } else { LIST_ROWS }),
            Constraint::Length(1),
            Constraint::Min(6),
            Constraint::Length(3),
            Constraint::Length(2),
        ];
        let [title, list, rule, body, message, keys] = Layout::vertical(rows).areas(frame.area());
        frame.render_widget(Paragraph::new(self.title(title.width)).style(strong()), title);
        frame.render_widget(Paragraph::new(self.list(list)), list);
        frame.render_widget(Paragraph::new("-".repeat(rule.width.into())), rule);
        let shown = match &self.mode {
            Mode::Together => self.together(body),
            Mode::Photos(album) => album.lines(&self.draft.bench.lexicon.catalogue, body),
            _ => self.body(body),
        };
        frame.render_widget(Paragraph::new(shown), body);
        frame.render_widget(Paragraph::new(fitted(&self.message, message, 0, "...")), message);
        frame.render_widget(Paragraph::new(self.keys()), keys);
    }

    fn title(&self, width: u16) -> String {
        let about = &self.draft.visit.about;
        let left = format!("{}  {}", clean(&about.property), about.date);
        let right = format!("{} to settle, {} open", self.session.asks().len(), self.session.record.open.len());
        let gap = usize::from(width).saturating_sub(right.chars().count() + 1);
        let left: String = left.chars().take(gap).collect();
        format!("{left:<gap$} {right}")
    }

    fn list(&self, area: Rect) -> Vec<Line<'static>> {
        let items = self.items();
        let rows = usize::from(area.height);
        let first = self.selected.saturating_sub(rows / 2).min(items.len().saturating_sub(rows));
        let line = |(at, item): (usize, &Item)| {
            let here = at == self.selected;
            let text = format!("{} {}", if here { ">" } else { " " }, self.entry(item));
            let text: String = text.chars().take(area.width.into()).collect();
            Line::styled(text, if here { strong() } else { Style::new() })
        };
        items.iter().enumerate().skip(first).take(rows).map(line).collect()
    }

    fn entry(&self, item: &Item) -> String {
        match item {
            Item::Fact(ask) => {
                let fact = self.session.fact(ask);
                let mark = match (fact.disputed, ask.group) {
                    (true, _) => "!",
                    (_, super::super::Group::Doubtful) => "?",
                    (_, super::super::Group::Reading) => "#",
                    _ => " ",
                };
                let name = clean(&FactName::of(fact).to_string());
                format!("{mark} {name:<36.36} {:<16.16} {}", value(fact), standing(fact))
            }
            Item::Open(open) => {
                let item = if open.item == 1 { String::new() } else { format!("{}/", open.item) };
                let name = format!("{item}{}.{}", open.component, open.attribute);
                format!("o {name:<36.36} {}", clean(&open.why))
            }
        }
    }

    fn body(&self, area: Rect) -> Vec<Line<'static>> {
        let text = match &self.mode {
            Mode::Help => HELP.to_owned(),
            _ => match self.current() {
                Some(Item::Fact(ask)) => {
                    let fact = self.session.fact(&ask);
                    let head = format!("{}   {}", clean(&FactName::of(fact).to_string()), value(fact));
                    [vec![head], self.detail(fact)].concat().join("\n")
                }
                Some(Item::Open(open)) => {
                    format!("{}\nNobody has said this. a gives it a value; it may also stay open.", clean(&open.why))
                }
                None => "Nothing is left to settle. s signs the record, q ends.".to_owned(),
            },
        };
        let mut lines = fitted(&text, area, self.scroll, "... more below: space");
        if let (Some(first), 0, Mode::Ask) = (lines.first_mut(), self.scroll, &self.mode) {
            first.style = strong();
        }
        lines
    }

    /// As many sure statements as fit, each with its words; how many those are is remembered.
    fn together(&self, area: Rect) -> Vec<Line<'static>> {
        let width = usize::from(area.width);
        let facts = self.sure();
        let fit = facts.iter().take(usize::from(area.height) / 2);
        self.stood.set(fit.len());
        let cut = |text: String| Line::from(text.chars().take(width).collect::<String>());
        fit.flat_map(|fact| {
            let words: Vec<String> = fact.evidence.iter().map(|e| format!("\"{}\"", clean(&e.words))).collect();
            [cut(super::super::text::line(fact)), cut(format!("    {}", words.join(" and ")))]
        })
        .collect()
    }

    fn keys(&self) -> Vec<Line<'static>> {
        let lines: Vec<String> = match &self.mode {
            Mode::Ask => ASK_KEYS.iter().map(|k| (*k).to_owned()).collect(),
            Mode::Choose(row) => vec![choices(row), "any other key: no change".to_owned()],
            Mode::Type(row, typed) => {
                let unit = row.unit.as_deref().map(|u| format!(" in {u}")).unwrap_or_default();
                vec![format!("value{unit}: {typed}_"), "Enter takes it, Escape leaves it as it is".to_owned()]
            }
            Mode::Photos(album) => album.keys(),
            Mode::Sign(typed) => {
                let who = format!("type your name to sign ({}): {typed}_", clean(&self.by));
                vec![who, "Enter signs, Escape does not".to_owned()]
            }
            Mode::Together => {
                let more = self.sure().len().saturating_sub(self.stood.get());
                let then = if more > 0 { format!("; {more} more come after these") } else { String::new() };
                vec![format!("A accept all that stand here{then}"), "any other key: no change".to_owned()]
            }
            Mode::Help => vec!["any key goes back".to_owned()],
        };
        lines.into_iter().map(|l| Line::styled(l, strong())).collect()
    }
}

fn choices(row: &Row) -> String {
    let each = row.values.iter().enumerate().map(|(i, v)| format!("{} {v}", i + 1));
    each.collect::<Vec<_>>().join("  ")
}

/// Bold, not coloured: it shows everywhere, and nothing hangs on it.
pub(super) fn strong() -> Style {
    Style::new().add_modifier(Modifier::BOLD)
}

/// Text in lines as wide as the area; where it does not fit, the last line says so.
pub(super) fn fitted(text: &str, area: Rect, scroll: usize, more: &str) -> Vec<Line<'static>> {
    let height = usize::from(area.height).max(1);
    let lines: Vec<String> = text.lines().flat_map(|line| wrapped(&clean(line), area.width.into())).collect();
    // The last page stays full, however often space is pressed.
    let first = scroll.min(lines.len().saturating_sub(height));
    let mut shown: Vec<String> = lines[first..].iter().take(height).cloned().collect();
    if let (true, Some(last)) = (first + shown.len() < lines.len(), shown.last_mut()) {
        *last = more.to_owned();
    }
    shown.into_iter().map(Line::from).collect()
}

/// Breaks a line between words; what comes after a break stands under the text, not under its label.
fn wrapped(line: &str, width: usize) -> Vec<String> {
    const INDENT: &str = "        ";
    let mut lines = Vec::new();
    let mut now = String::new();
    for word in line.split_inclusive(' ') {
        let mut word = word;
        if now.chars().count() + word.trim_end().chars().count() > width && !now.trim().is_empty() {
            lines.push(std::mem::replace(&mut now, INDENT.to_owned()));
        }
        // A word longer than the line is cut where the line ends.
        while now.chars().count() + word.trim_end().chars().count() > width {
            let room = width.saturating_sub(now.chars().count()).max(1);
            let at = word.char_indices().nth(room).map_or(word.len(), |(at, _)| at);
            now += &word[..at];
            word = &word[at..];
            lines.push(std::mem::replace(&mut now, INDENT.to_owned()));
        }
        now += word;
    }
    lines.push(now);
    lines
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lines_break_between_words_and_lose_none() {
        let text = "heard   one two three four five six seven eight nine ten";
        let lines = wrapped(text, 24);
        assert!(lines.iter().all(|l| l.trim_end().chars().count() <= 24), "{lines:?}");
        let words = |t: &str| t.split_whitespace().map(str::to_owned).collect::<Vec<_>>();
        assert_eq!(words(&lines.join(" ")), words(text));
    }

    #[test]
    fn a_word_longer_than_the_line_is_cut_and_stays_whole_in_sum() {
        let long = "x".repeat(100);
        let lines = wrapped(&format!("heard {long}"), 30);
        assert!(lines.iter().all(|l| l.chars().count() <= 30), "{lines:?}");
        assert_eq!(lines.concat().matches('x').count(), 100);
    }

    #[test]
    fn what_does_not_fit_is_said_and_reached_by_scrolling() {
        let area = Rect::new(0, 0, 20, 3);
        let text = "a\nb\nc\nd\ne";
        let shown = |scroll| fitted(text, area, scroll, "more").iter().map(ToString::to_string).collect::<Vec<_>>();
        assert_eq!(shown(0), ["a", "b", "more"]);
        assert_eq!(shown(99), ["c", "d", "e"]);
    }
}

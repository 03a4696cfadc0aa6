//! How the view is drawn: 80 by 24 is enough, and nothing is told by colour alone.
use super::super::text::{clean, standing, value};
use super::{Item, Mode, View};
use crate::lexicon::Row;
use crate::record::FactName;
use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::{Modifier, Style};
use ratatui::text::Line;
use ratatui::widgets::{Paragraph, Wrap};

/// Rows of the list; the one that is asked about stands in the middle, its neighbours around it.
const LIST_ROWS: u16 = 7;

const ASK_KEYS: [&str; 2] = [
    "y yes  n no, not so  a another value  1-9 the other statement  l leave  u undo",
    "up/down go to  t sure words together  s sign  ? help  q stop (all is saved)",
];
const HELP: &str = "\
y       it is as heard: written down as confirmed
n       it is not so, or was not said: written down as rejected
a       the value is another one: choose it, or type it with its unit
1-9     another statement on the same question is the right one
l       leave it for another time
u       take back the last answer; the journal keeps both
up/down go to another fact or open question (also k and j)
t       look at the statements in words that were heard clearly, and accept them
        together; numbers are always settled one by one
s       sign, once every fact is settled
q       stop; every answer is on the disk already

Marks: ? doubtful   ! disputed   # a number   o open, nobody has said it
[word?] was heard unsurely. Any key goes back.";

impl View<'_> {
    /// Draws everything.
    pub fn draw(&self, frame: &mut Frame) {
        let rows = [
            Constraint::Length(1),
            Constraint::Length(LIST_ROWS),
            Constraint::Length(1),
            Constraint::Min(6),
            Constraint::Length(3),
            Constraint::Length(2),
        ];
        let [title, list, rule, body, message, keys] = Layout::vertical(rows).areas(frame.area());
        frame.render_widget(Paragraph::new(self.title(title.width)).style(strong()), title);
        frame.render_widget(Paragraph::new(self.list(list)), list);
        frame.render_widget(Paragraph::new("-".repeat(rule.width.into())), rule);
        frame.render_widget(Paragraph::new(self.body()).wrap(Wrap { trim: false }), body);
        frame.render_widget(Paragraph::new(clean_lines(&self.message)).wrap(Wrap { trim: false }), message);
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

    fn body(&self) -> Vec<Line<'static>> {
        match &self.mode {
            Mode::Help => HELP.lines().map(Line::from).collect(),
            Mode::Together => self.together_lines(),
            _ => match self.current() {
                Some(Item::Fact(ask)) => {
                    let fact = self.session.fact(&ask);
                    let head = format!("{}   {}", clean(&FactName::of(fact).to_string()), value(fact));
                    let detail = self.detail(fact).into_iter().map(Line::from);
                    std::iter::once(Line::styled(head, strong())).chain(detail).collect()
                }
                Some(Item::Open(open)) => vec![
                    Line::styled(clean(&open.why), strong()),
                    Line::from("Nobody has said this. a gives it a value; it may also stay open."),
                ],
                None => vec![Line::from("Nothing is left to settle. s signs the record, q ends.")],
            },
        }
    }

    fn together_lines(&self) -> Vec<Line<'static>> {
        let facts = self.together();
        let line = |fact| Line::from(super::super::text::line(fact));
        facts.iter().map(line).collect()
    }

    fn keys(&self) -> Vec<Line<'static>> {
        let lines: Vec<String> = match &self.mode {
            Mode::Ask => ASK_KEYS.iter().map(|k| (*k).to_owned()).collect(),
            Mode::Choose(row) => vec![choices(row), "any other key: no change".to_owned()],
            Mode::Type(row, typed) => {
                let unit = row.unit.as_deref().map(|u| format!(" in {u}")).unwrap_or_default();
                vec![format!("value{unit}: {typed}_"), "Enter takes it, Escape leaves it as it is".to_owned()]
            }
            Mode::Sign(typed) => {
                let who = format!("type your name to sign ({}): {typed}_", clean(&self.by));
                vec![who, "Enter signs, Escape does not".to_owned()]
            }
            Mode::Together => {
                let more = self.session.sure().len().saturating_sub(self.together().len());
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
fn strong() -> Style {
    Style::new().add_modifier(Modifier::BOLD)
}

fn clean_lines(text: &str) -> Vec<Line<'static>> {
    text.lines().map(|line| Line::from(clean(line))).collect()
}

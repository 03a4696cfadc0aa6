//! What the inspector sees: few words, the newest first, whole at 80 by 24 and at 40 by 15, nothing by colour alone.
use super::event::{Event, Line, Mark, Standing, Trouble};
use crate::confirm::text::clean;
use ratatui::Frame;
use ratatui::layout::{Constraint, Layout, Rect};
use ratatui::style::{Modifier, Style};
use ratatui::text::Line as Row;
use ratatui::widgets::Paragraph;

/// Facts kept to be shown; no screen has room for more.
const KEPT: usize = 60;
/// Said to be behind when more sound than this waits to be heard.
const BEHIND_MS: u64 = 4000;

/// What changes without an event: it is asked for at each drawing.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Now {
    /// How much sound the note holds.
    pub ms: u64,
    /// How much of it was not heard yet.
    pub behind_ms: u64,
    /// The level as a share of its bar.
    pub level: f32,
    /// The session was ended, and what is left is being heard.
    pub ending: bool,
}

/// Everything that is shown.
#[derive(Debug, Default)]
pub struct Screen {
    note: String,
    /// Newest first.
    heard: Vec<Line>,
    standing: Standing,
    /// The command obeyed last, or the answer given last.
    said: Vec<String>,
    troubles: Vec<Trouble>,
    no_words: Option<String>,
}

impl Screen {
    /// Takes in what happened.
    pub fn take(&mut self, event: &Event) {
        match event {
            Event::Note { name } => self.note = clean(name),
            Event::Listed { name } => self.said = vec![format!("note kept: {}", clean(name))],
            Event::Heard { lines, standing } => {
                lines.iter().for_each(|line| self.heard.insert(0, line.clone()));
                self.heard.truncate(KEPT);
                self.standing = standing.clone();
            }
            Event::Obeyed { words, undone } => self.said = vec![obeyed(words, *undone)],
            Event::Answer { lines } => self.said = lines.clone(),
            Event::Trouble(trouble) => {
                self.troubles.retain(|t| !t.same(trouble));
                self.troubles.insert(0, trouble.clone());
            }
            Event::Fine(trouble) => self.troubles.retain(|t| !t.same(trouble)),
            Event::NoWords { why } => self.no_words = Some(clean(why)),
        }
    }

    /// Draws everything.
    pub fn draw(&self, frame: &mut Frame, now: Now) {
        let area = frame.area();
        let said = wrapped(&self.said.join(" "), area.width.into());
        let said_rows = u16::try_from(said.len()).unwrap_or(1).clamp(1, area.height / 4);
        let left_rows = (area.height / 4).max(2);
        let rows = [
            Constraint::Length(1),
            Constraint::Length(1),
            Constraint::Length(1),
            Constraint::Min(3),
            Constraint::Length(left_rows),
            Constraint::Length(said_rows),
            Constraint::Length(1),
        ];
        let [top, level, alert, heard, left, last, keys] = Layout::vertical(rows).areas(area);
        let strong = Style::new().add_modifier(Modifier::BOLD);
        let text = |frame: &mut Frame, text: String, area: Rect, style: Style| {
            frame.render_widget(Paragraph::new(cut(&text, area.width)).style(style), area);
        };
        text(frame, self.top(now, top.width.into()), top, strong);
        text(frame, bar(now.level, level.width.into(), &self.note), level, Style::new());
        text(frame, self.alert(now), alert, strong.add_modifier(Modifier::REVERSED));
        frame.render_widget(Paragraph::new(self.heard_rows(heard)), heard);
        frame.render_widget(Paragraph::new(self.left_rows(left)), left);
        let said = said.into_iter().take(last.height.into()).map(|l| Row::styled(l, strong)).collect::<Vec<_>>();
        frame.render_widget(Paragraph::new(said), last);
        text(frame, "q ends and keeps all".to_owned(), keys, Style::new());
    }

    fn top(&self, now: Now, width: usize) -> String {
        let state = match (now.ending, self.standing.deaf) {
            (true, _) => "ENDING",
            (_, true) => "NOT LISTENING (recording)",
            _ => "LISTENING",
        };
        let left = format!("{state} {}", clock(now.ms));
        let right = format!("{} facts", self.standing.facts);
        let gap = width.saturating_sub(right.chars().count() + 1);
        format!("{left:<gap$} {right}")
    }

    /// The gravest thing to be told, or nothing.
    fn alert(&self, now: Now) -> String {
        let grave = |t: &&Trouble| matches!(t, Trouble::DiskFull { .. } | Trouble::Lost { .. });
        let trouble = self.troubles.iter().find(grave).or(self.troubles.first());
        if let Some(trouble) = trouble {
            return format!("! {}", clean(&trouble.words()));
        }
        if let Some(why) = &self.no_words {
            return format!("! SOUND ONLY, no words: {why}");
        }
        behind(now).unwrap_or_default()
    }

    fn heard_rows(&self, area: Rect) -> Vec<Row<'static>> {
        let mut rows = vec![Row::styled("HEARD", Style::new().add_modifier(Modifier::BOLD))];
        for (age, line) in self.heard.iter().enumerate() {
            let style = if age == 0 { Style::new().add_modifier(Modifier::BOLD) } else { Style::new() };
            let style = if line.mark == Mark::Unsure { style.add_modifier(Modifier::UNDERLINED) } else { style };
            let lines = wrapped(&marked(line), area.width.into());
            if rows.len() + lines.len() > usize::from(area.height) {
                break;
            }
            rows.extend(lines.into_iter().map(|l| Row::styled(l, style)));
        }
        rows
    }

    fn left_rows(&self, area: Rect) -> Vec<Row<'static>> {
        let left = &self.standing.left;
        let title = if left.is_empty() { "NOTHING LEFT".to_owned() } else { format!("LEFT {}", left.len()) };
        let mut rows = vec![Row::styled(title, Style::new().add_modifier(Modifier::BOLD))];
        let room = usize::from(area.height).saturating_sub(1);
        let mut lines = Vec::new();
        for question in left {
            let begun = lines.len();
            lines.extend(wrapped(&format!("- {}", clean(question)), area.width.into()));
            if lines.len() > room {
                lines.truncate(room);
                if let Some(last) = lines.last_mut().filter(|_| begun < room) {
                    mark_cut(last, area.width.into());
                }
                break;
            }
        }
        rows.extend(lines.into_iter().map(Row::from));
        rows
    }
}

/// One event as lines for a reader of lines.
pub fn plain(event: &Event) -> Vec<String> {
    match event {
        Event::Note { name } => vec![format!("note: {}", clean(name))],
        Event::Listed { name } => vec![format!("kept: {}", clean(name))],
        Event::Heard { lines, .. } => lines.iter().map(|line| format!("heard: {}", words(line))).collect(),
        Event::Obeyed { words, undone } => vec![obeyed(words, *undone)],
        Event::Answer { lines } => lines.iter().map(|line| format!("answer: {}", clean(line))).collect(),
        Event::Trouble(trouble) => vec![format!("warning: {}", clean(&trouble.words()))],
        Event::Fine(trouble) => vec![format!("no longer: {}", clean(&trouble.words()))],
        Event::NoWords { why } => {
            vec![format!("warning: the sound is kept, but no words are made of it: {}", clean(why))]
        }
    }
}

/// How far hearing is behind the sound, if it is worth telling.
pub fn behind(now: Now) -> Option<String> {
    let told = now.behind_ms >= BEHIND_MS || now.ending && now.behind_ms > 0;
    told.then(|| format!("words {} behind, all sound is kept", clock(now.behind_ms)))
}

fn obeyed(words: &str, undone: bool) -> String {
    if undone { format!("taken back: {words}") } else { format!("obeyed: {words}") }
}

fn marked(line: &Line) -> String {
    let mark = match line.mark {
        Mark::Sure => '+',
        Mark::Unsure => '?',
        Mark::Gone => 'x',
    };
    format!("{mark} {}", words(line))
}

fn words(line: &Line) -> String {
    let text = clean(&line.text);
    match line.mark {
        Mark::Sure => text,
        Mark::Unsure => format!("{text} (unsure)"),
        Mark::Gone => format!("{text} (no longer)"),
    }
}

/// Hours, minutes and seconds, as few as do.
fn clock(ms: u64) -> String {
    let seconds = ms / 1000;
    match seconds / 3600 {
        0 => format!("{}:{:02}", seconds / 60, seconds % 60),
        hours => format!("{hours}:{:02}:{:02}", seconds / 60 % 60, seconds % 60),
    }
}

/// The level as a bar, and the note's name where there is room for it.
fn bar(share: f32, width: usize, note: &str) -> String {
    let length = width.saturating_sub(2).min(30);
    let full = (share.clamp(0.0, 1.0) * length as f32).round() as usize;
    let bar = format!("[{}{}]", "#".repeat(full), ".".repeat(length - full));
    let room = width.saturating_sub(bar.len() + 2);
    if note.chars().count() <= room { format!("{bar}  {note}") } else { bar }
}

/// Says at a row's end that more follows for which there is no room.
fn mark_cut(row: &mut String, width: usize) {
    while row.chars().count() + 3 > width || row.ends_with(' ') {
        row.pop();
    }
    row.push_str("...");
}

fn cut(text: &str, width: u16) -> String {
    text.chars().take(width.into()).collect()
}

/// Breaks a text between words; the lines after the first are set in.
fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines: Vec<String> = vec![String::new()];
    for word in text.split_whitespace() {
        let mut rest: Vec<char> = word.chars().collect();
        while !rest.is_empty() {
            let continued = lines.len() > 1;
            let last = lines.last_mut().map(|l| l.chars().count()).unwrap_or(0);
            let gap = usize::from(last > 0 && !(continued && last == 2));
            let room = width.saturating_sub(last + gap);
            let fresh = last == 0 || continued && last == 2;
            if rest.len() > room && !fresh {
                lines.push("  ".to_owned());
                continue;
            }
            let part: String = rest.drain(..rest.len().min(room.max(1))).collect();
            if let Some(line) = lines.last_mut() {
                line.push_str(&" ".repeat(gap));
                line.push_str(&part);
            }
            if !rest.is_empty() {
                lines.push("  ".to_owned());
            }
        }
    }
    lines
}

#[cfg(test)]
mod tests {
    use super::super::level::Fault;
    use super::*;
    use ratatui::Terminal;
    use ratatui::backend::TestBackend;

    fn line(mark: Mark, text: &str) -> Line {
        Line { mark, text: text.to_owned() }
    }

    fn screen() -> Screen {
        let mut screen = Screen::default();
        screen.take(&Event::Note { name: "spoken-2026-03-04-140506.wav".into() });
        let lines = vec![
            line(Mark::Sure, "capacity 50 gal"),
            line(Mark::Unsure, "house water supply, pressure, no water running: 75 to 80 psi"),
            line(Mark::Gone, "no drain pan"),
        ];
        let left = (1..8).map(|n| format!("Question {n}: where does the relief valve's pipe end?")).collect();
        screen.take(&Event::Heard { lines, standing: Standing { facts: 31, left, deaf: false } });
        screen.take(&Event::Obeyed { words: "next unit".into(), undone: false });
        screen
    }

    fn drawn(screen: &Screen, now: Now, (width, height): (u16, u16)) -> Vec<String> {
        let mut terminal = Terminal::new(TestBackend::new(width, height)).unwrap();
        terminal.draw(|frame| screen.draw(frame, now)).unwrap();
        let buffer = terminal.backend().buffer().clone();
        let row = |y| (0..width).map(|x| buffer[(x, y)].symbol().to_owned()).collect::<String>();
        (0..height).map(|y| row(y).trim_end().to_owned()).collect()
    }

    const NOW: Now = Now { ms: 754_000, behind_ms: 0, level: 0.5, ending: false };

    #[test]
    fn both_screens_are_whole() {
        for size in [(80, 24), (40, 15)] {
            let rows = drawn(&screen(), NOW, size);
            let page = rows.join("\n");
            for part in [
                "LISTENING 12:34",
                "31 facts",
                "[###",
                "HEARD",
                "x no drain pan (no longer)",
                "? house water supply",
                "(unsure)",
                "+ capacity 50 gal",
                "LEFT 7",
                "- Question 1",
                "obeyed: next unit",
                "q ends",
            ] {
                assert!(page.contains(part), "'{part}' is not in\n{page}");
            }
        }
    }

    #[test]
    fn the_newest_stands_on_top() {
        let page = drawn(&screen(), NOW, (40, 15)).join("\n");
        assert!(page.find("no drain pan") < page.find("house water"), "{page}");
    }

    #[test]
    fn trouble_comes_before_being_behind_and_both_are_told() {
        let mut screen = screen();
        let behind = Now { behind_ms: 75_000, ..NOW };
        let page = drawn(&screen, behind, (40, 15)).join("\n");
        assert!(page.contains("words 1:15 behind, all sound is kept"), "{page}");
        screen.take(&Event::Trouble(Trouble::Sound(Fault::Quiet)));
        screen.take(&Event::Trouble(Trouble::Lost { why: "unplugged".into() }));
        screen.take(&Event::Trouble(Trouble::Sound(Fault::Quiet)));
        let page = drawn(&screen, behind, (40, 15)).join("\n");
        assert!(page.contains("! MICROPHONE GONE: plug it in (unplugged"), "{page}");
        screen.take(&Event::Fine(Trouble::Lost { why: String::new() }));
        let page = drawn(&screen, behind, (40, 15)).join("\n");
        assert!(page.contains("! TOO QUIET: hold it closer"), "{page}");
    }

    #[test]
    fn every_trouble_fits_the_small_screen() {
        let all = [
            Trouble::Sound(Fault::Muted),
            Trouble::Sound(Fault::Clipped),
            Trouble::Sound(Fault::Quiet),
            Trouble::DiskLow { minutes: 19 },
        ];
        for trouble in all {
            assert!(trouble.words().chars().count() <= 38, "{}", trouble.words());
        }
    }

    #[test]
    fn lines_break_between_words_and_lose_none() {
        let text = "house water supply, pressure, no water running: 75 to 80 psi xxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxxx";
        let lines = wrapped(text, 20);
        assert!(lines.iter().all(|l| l.chars().count() <= 20), "{lines:?}");
        let letters = |t: &str| t.chars().filter(|c| !c.is_whitespace()).collect::<String>();
        assert_eq!(letters(&lines.concat()), letters(text));
    }

    #[test]
    fn a_reader_of_lines_is_told_the_same() {
        let heard = Event::Heard {
            lines: vec![line(Mark::Unsure, "capacity 50 gal"), line(Mark::Gone, "no drain pan")],
            standing: Standing::default(),
        };
        assert_eq!(plain(&heard), ["heard: capacity 50 gal (unsure)", "heard: no drain pan (no longer)"]);
        assert_eq!(plain(&Event::Obeyed { words: "scratch that".into(), undone: true }), ["taken back: scratch that"]);
        // Whatever is spoken or named can't act on the terminal.
        assert_eq!(plain(&Event::Note { name: "a\u{1b}[2J".into() }), ["note: a\u{fffd}[2J"]);
    }
}

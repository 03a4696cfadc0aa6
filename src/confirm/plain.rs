//! Confirming by plain prompts: one question after another, one deliberate key each, no colour, no cursor movement.
use super::text::{clean, detail, line, rival, value};
use super::{Answer, Error, Group, Outcome, Session, find_row, parse_value, parts, photo_line};
use crate::draft::Draft;
use crate::lexicon::{Kind, Row};
use crate::read::number::{Plausibility, plausible};
use crate::record::{Act, Decision, Fact, FactName, sound};

/// A key as far as it matters here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Key {
    Char(char),
    /// Enter, an arrow, anything that answers nothing.
    Other,
    /// Ctrl-C, Ctrl-D, or the terminal is gone.
    End,
}

/// Where questions are put and answers come from.
pub trait Terminal {
    /// Shows whole lines.
    fn say(&mut self, text: &str) -> std::io::Result<()>;
    /// Waits for one key that is pressed after this call.
    fn key(&mut self) -> std::io::Result<Key>;
    /// Plays samples at the recogniser's rate and returns when they are over; tells why it can't.
    fn play(&mut self, samples: &[i16]) -> Result<(), String>;
    /// Asks for a line of text; nothing is a change of mind.
    fn line(&mut self, prompt: &str) -> std::io::Result<String>;
}

const KEYS: &str = "\
y yes  n no  a another value  1-9 other  h hear  l leave  u undo
p photographs  q stop  ? help";
const SURE_KEYS: &str = "A accept all of these   o one by one   u undo   p photographs   q stop";
/// Told where there is none to be corrected.
pub const NO_PHOTOGRAPH: &str = "there is no photograph; hearsheet visit add DIR PHOTO.jpg adds one";

const HELP: &str = "\
y  it is as heard: write it down as confirmed
n  it is not so, or was not said: write it down as rejected
a  the value is another one: choose or type it
1  (or the number shown with it) the other statement is the right one
h  hear the words, with two seconds around them
l  leave it for another time
u  take back the last answer (a new entry in the journal; nothing is erased)
p  look at what each photograph shows, and correct it
q  stop here; every answer given is saved already
Enter does nothing, so that nothing is accepted by habit.";

/// Walks a person through what needs one; false when the person stopped before the end.
pub fn walk(draft: &Draft, session: &mut Session<'_>, terminal: &mut dyn Terminal) -> Result<bool, Error> {
    while let Some(ask) = session.asks().first().cloned() {
        let go_on = match ask.group {
            Group::Sure => ask_sure(draft, session, terminal)?,
            _ => ask_one(draft, session, terminal, &session.fact(&ask).clone())?,
        };
        if !go_on {
            return Ok(false);
        }
    }
    Ok(true)
}

/// Asks about one fact; false when the person stops.
fn ask_one(draft: &Draft, session: &mut Session<'_>, terminal: &mut dyn Terminal, fact: &Fact) -> Result<bool, Error> {
    terminal.say(&question(draft, session, fact))?;
    loop {
        let outcome = match terminal.key()? {
            Key::Char('y') => Some(session.answer(fact, Answer::Yes)?),
            Key::Char('n') => Some(session.answer(fact, Answer::No)?),
            Key::Char('a') => match ask_value(draft, terminal, fact)? {
                Some(answer) => Some(session.answer(fact, answer)?),
                None => {
                    terminal.say("not changed")?;
                    None
                }
            },
            Key::Char(digit) if digit.is_ascii_digit() => {
                let at = (digit.to_digit(10).unwrap_or_default() as usize).checked_sub(1);
                let other = at.and_then(|at| session.rivals(fact).get(at).map(|&r| r.clone()));
                other.map(|other| session.answer(&other, Answer::Yes)).transpose()?
            }
            Key::Char('u') => match session.undo()? {
                Some(outcome) => Some(outcome),
                None => {
                    terminal.say("nothing to take back yet")?;
                    None
                }
            },
            Key::Char('l') => {
                session.leave(fact);
                terminal.say("left")?;
                return Ok(true);
            }
            Key::Char('q') | Key::End => return Ok(false),
            Key::Char('h') => {
                if let Err(why) = hear(draft, fact, &mut |samples| terminal.play(samples)) {
                    terminal.say(&why)?;
                }
                None
            }
            Key::Char('p') => {
                ask_photographs(draft, session, terminal)?;
                terminal.say(&question(draft, session, fact))?;
                continue;
            }
            Key::Char('?') => {
                terminal.say(HELP)?;
                None
            }
            _ => None,
        };
        match outcome {
            Some(outcome) => {
                terminal.say(&told(&outcome))?;
                return Ok(true);
            }
            None => terminal.say(KEYS)?,
        }
    }
}

/// How much sound comes before and after the words of a proof.
const AROUND_MS: u64 = 2000;

/// Plays every proof of a fact that was spoken; tells why it can't.
pub fn hear(draft: &Draft, fact: &Fact, play: &mut dyn FnMut(&[i16]) -> Result<(), String>) -> Result<(), String> {
    let mut spoken = false;
    for proof in &fact.evidence {
        if let Some(samples) = sound(&draft.visit, proof, AROUND_MS).map_err(|e| e.to_string())? {
            spoken = true;
            play(&samples)?;
        }
    }
    if spoken { Ok(()) } else { Err("it was typed, not spoken".to_owned()) }
}

/// What is asked, in lines of at most 80 columns where the words allow it.
fn question(draft: &Draft, session: &Session<'_>, fact: &Fact) -> String {
    let name = clean(&FactName::of(fact).to_string());
    let mut lines = vec![String::new(), format!("{} to go.  {name}   {}", session.asks().len(), value(fact))];
    lines.extend(detail(fact, &draft.transcripts));
    lines.extend(session.rivals(fact).iter().enumerate().map(|(i, r)| rival(i + 1, r)));
    lines.push(KEYS.to_owned());
    lines.join("\n")
}

/// The choices of the catalogue by number, or a typed value; nothing where the person thinks better of it.
fn ask_value(draft: &Draft, terminal: &mut dyn Terminal, fact: &Fact) -> Result<Option<Answer>, Error> {
    let row = find_row(&draft.bench.lexicon.catalogue, &FactName::of(fact))?;
    if matches!(row.kind, Kind::Choice | Kind::Presence) {
        return ask_choice(terminal, row);
    }
    loop {
        let unit = row.unit.as_deref().map(|u| format!(" in {u}")).unwrap_or_default();
        let typed = terminal.line(&format!("value{unit} (empty: no change): "))?;
        if typed.trim().is_empty() {
            return Ok(None);
        }
        match parse_value(row, &typed) {
            Ok(value) => return Ok(Some(Answer::Set(value, row.unit.clone()))),
            Err(error) => terminal.say(&clean(&error.to_string()))?,
        }
    }
}

fn ask_choice(terminal: &mut dyn Terminal, row: &Row) -> Result<Option<Answer>, Error> {
    let choices: Vec<String> = row.values.iter().enumerate().map(|(i, v)| format!("{} {v}", i + 1)).collect();
    terminal.say(&format!("{}   any other key: no change", choices.join("   ")))?;
    let Key::Char(key) = terminal.key()? else { return Ok(None) };
    let chosen = key.to_digit(10).and_then(|d| row.values.get((d as usize).checked_sub(1)?));
    Ok(chosen.map(|v| Answer::Set(crate::record::Value::Text(v.clone()), None)))
}

/// What each photograph shows, and corrections to that until an empty line comes; a slip changes nothing.
fn ask_photographs(draft: &Draft, session: &mut Session<'_>, terminal: &mut dyn Terminal) -> Result<(), Error> {
    loop {
        let photographs = session.photographs()?.photographs;
        if photographs.is_empty() {
            terminal.say(NO_PHOTOGRAPH)?;
            return Ok(());
        }
        let lines = photographs.iter().enumerate().map(|(at, placed)| format!("{:>2} {}", at + 1, photo_line(placed)));
        terminal.say(&lines.collect::<Vec<_>>().join("\n"))?;
        let typed = terminal.line("NUMBER=PART, or NUMBER=none for no part (empty: done, ?: the parts): ")?;
        match typed.trim() {
            "" => return Ok(()),
            "?" => terminal.say(&parts(&draft.bench.lexicon.catalogue, "").join(", "))?,
            typed => {
                let named = typed.split_once('=').and_then(|(number, part)| {
                    let at = number.trim().parse::<usize>().ok()?.checked_sub(1)?;
                    Some(format!("{}={part}", photographs.get(at)?.name))
                });
                let said = named.as_deref().unwrap_or(typed).parse().and_then(|shows| session.show(shows));
                match said {
                    Ok(outcome) => terminal.say(&told(&outcome))?,
                    Err(error) if error.is_slip() => terminal.say(&clean(&error.to_string()))?,
                    Err(error) => return Err(error),
                }
            }
        }
    }
}

/// The sure words, all on the screen before one key accepts them; numbers are never among them.
fn ask_sure(draft: &Draft, session: &mut Session<'_>, terminal: &mut dyn Terminal) -> Result<bool, Error> {
    let sure: Vec<Fact> = session.sure().into_iter().cloned().collect();
    let mut lines = vec![String::new(), format!("{} statements in words were heard clearly:", sure.len())];
    for fact in &sure {
        lines.push(format!("  {}", line(fact)));
        lines.extend(fact.evidence.first().map(|e| format!("      \"{}\"", clean(&e.words))));
    }
    lines.push(SURE_KEYS.to_owned());
    terminal.say(&lines.join("\n"))?;
    loop {
        match terminal.key()? {
            Key::Char('A') => {
                for fact in &sure {
                    terminal.say(&told(&session.answer(fact, Answer::Yes)?))?;
                }
                return Ok(true);
            }
            Key::Char('o') => return each(draft, session, terminal, &sure),
            Key::Char('u') => {
                let Some(outcome) = session.undo()? else { continue };
                terminal.say(&told(&outcome))?;
                return Ok(true);
            }
            Key::Char('q') | Key::End => return Ok(false),
            Key::Char('p') => {
                ask_photographs(draft, session, terminal)?;
                return Ok(true);
            }
            _ => terminal.say(SURE_KEYS)?,
        }
    }
}

fn each(draft: &Draft, session: &mut Session<'_>, terminal: &mut dyn Terminal, facts: &[Fact]) -> Result<bool, Error> {
    for fact in facts {
        if !ask_one(draft, session, terminal, fact)? {
            return Ok(false);
        }
    }
    Ok(true)
}

/// What was written down, and which findings came or went with it.
pub fn told(outcome: &Outcome) -> String {
    let decision = &outcome.decision;
    let name = clean(&decision.fact.to_string());
    let stand = |s: &crate::record::Stand| {
        clean(&format!("{}{}", s.value, s.unit.as_ref().map(|u| format!(" {u}")).unwrap_or_default()))
    };
    let (was, is) = (decision.was.as_ref().map(stand), decision.is.as_ref().map(stand));
    let (was, is) = (was.unwrap_or_default(), is.unwrap_or_default());
    let what = match decision.act {
        Act::Confirm => format!("confirmed {name}: {is}"),
        Act::Amend => format!("amended {name}: {was} is now {is}"),
        Act::Reject => format!("rejected {name}: {was}"),
        Act::Enter => format!("entered {name}: {is}"),
        Act::Show => shown(decision),
        Act::Undo => format!("undone: {name}"),
    };
    let mut lines = vec![format!("{what}  (saved as {})", decision.number)];
    lines.extend(strange(decision));
    let concern =
        |sign: &str, c: &crate::record::Concern| format!("  {sign} {} {}: {}", c.class, c.rule, clean(&c.because));
    lines.extend(outcome.new.iter().map(|c| concern("now", c)));
    lines.extend(outcome.gone.iter().map(|c| concern("no longer", c)));
    lines.join("\n")
}

/// What a photograph is now said to show.
pub fn shown(decision: &Decision) -> String {
    let photo = clean(decision.photo.as_deref().unwrap_or_default());
    match &decision.is {
        Some(is) if decision.fact.item == 1 => format!("{photo} shows {}", clean(&is.value.to_string())),
        Some(is) => format!("{photo} shows {}/{}", decision.fact.item, clean(&is.value.to_string())),
        None => format!("{photo} belongs to nothing that was said"),
    }
}

/// A typed number may have slipped; it stands, since the person has seen the heater, but not without a word.
fn strange(decision: &Decision) -> Option<String> {
    let number = decision.is.as_ref()?.value.as_number()?;
    let far = plausible(&decision.fact.key(), number) == Plausibility::Implausible;
    far.then(|| "  look again: this is far from what is usual; u or --undo takes it back".to_owned())
}

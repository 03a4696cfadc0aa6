//! Reading the lexicon's files and compiling them.
use super::entry::Entry;
use super::pattern::{Form, PatternError, parse};
use super::source::Source;
use super::term::{File, More, OneOrMany};
use super::trie::{Match, TermRef, Trie};
use super::{Catalogue, Kind, Lexicon, Row, english};
use std::path::PathBuf;
use std::sync::OnceLock;

/// What can be wrong with a lexicon file.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    #[error("cannot read lexicon file '{}'; check its name and permissions", path.display())]
    Unreadable {
        path: PathBuf,
        #[source]
        cause: std::io::Error,
    },
    #[error("{name}:{line}: {what}; lexicon/README.md shows how a lexicon file is written")]
    Toml {
        name: String,
        line: usize,
        what: String,
        #[source]
        cause: Box<toml::de::Error>,
    },
    #[error("{name}:{line}: a form of '{id}' is not well made")]
    Pattern {
        name: String,
        line: usize,
        id: String,
        #[source]
        cause: PatternError,
    },
    #[error("{name}:{line}: '{id}' names '{what}', which is not in the catalogue; see lexicon/catalogue.csv")]
    UnknownId { name: String, line: usize, id: String, what: String },
    #[error(
        "{name}:{line}: '{id}' is the id of another entry; give this one its own, or use [[more]] to add words to that"
    )]
    Twice { name: String, line: usize, id: String },
    #[error("{name}:{line}: nothing is called '{id}'; docs/lexicon.md lists all entries")]
    NoEntry { name: String, line: usize, id: String },
}

impl Error {
    /// File and line, where it is about a line.
    pub fn place(&self) -> (String, usize) {
        match self {
            Error::Unreadable { path, .. } => (path.display().to_string(), 1),
            Error::Toml { name, line, .. }
            | Error::Pattern { name, line, .. }
            | Error::UnknownId { name, line, .. }
            | Error::Twice { name, line, .. }
            | Error::NoEntry { name, line, .. } => (name.clone(), *line),
        }
    }
}

/// Fills a lexicon file by file and gathers what is wrong.
struct Compiler<'a> {
    lexicon: Lexicon,
    faults: &'a mut Vec<Error>,
}

impl Lexicon {
    pub(super) fn load(sources: &[Source]) -> Result<Self, Error> {
        let (lexicon, mut faults) = Self::compile(sources);
        if faults.is_empty() { Ok(lexicon) } else { Err(faults.swap_remove(0)) }
    }

    /// The lexicon as far as it is well made, and all that is wrong with it.
    pub(super) fn compile(sources: &[Source]) -> (Self, Vec<Error>) {
        let mut faults = Vec::new();
        let lexicon = Lexicon {
            catalogue: Catalogue::shipped(),
            parts: Vec::new(),
            sayings: Vec::new(),
            readings: Vec::new(),
            cues: Vec::new(),
            trie: Trie::default(),
            english: english::words(),
            vocabulary: Default::default(),
            forms: OnceLock::new(),
            origin: sources.to_vec(),
        };
        let mut compiler = Compiler { lexicon, faults: &mut faults };
        let more: Vec<(usize, More)> =
            (0..sources.len()).flat_map(|at| compiler.take(at).into_iter().map(move |more| (at, more))).collect();
        for (at, more) in more {
            compiler.add(at, more);
        }
        compiler.forms();
        let lexicon = compiler.lexicon;
        (lexicon, faults)
    }
}

impl Compiler<'_> {
    /// Takes in the entries of one file; returns what it adds to entries of others.
    fn take(&mut self, at: usize) -> Vec<More> {
        let source = &self.lexicon.origin[at];
        let mut file: File = match toml::from_str(&source.text) {
            Ok(file) => file,
            Err(cause) => {
                let line = cause.span().map_or(1, |span| source.line_at(span.start));
                let (name, what) = (source.name.clone(), cause.message().to_owned());
                self.faults.push(Error::Toml { name, line, what, cause: Box::new(cause) });
                return Vec::new();
            }
        };
        file.part.iter_mut().for_each(|part| part.source = at);
        file.saying.iter_mut().for_each(|saying| saying.source = at);
        file.reading.iter_mut().for_each(|reading| reading.source = at);
        file.cue.iter_mut().for_each(|cue| cue.source = at);
        self.lexicon.origin[at].about = file.about;
        self.lexicon.parts.extend(file.part);
        self.lexicon.sayings.extend(file.saying);
        self.lexicon.readings.extend(file.reading);
        self.lexicon.cues.extend(file.cue);
        file.more
    }

    /// Adds words to an entry.
    fn add(&mut self, at: usize, more: More) {
        let lexicon = &mut self.lexicon;
        if let Some(part) = lexicon.parts.iter_mut().find(|p| p.id == more.of) {
            extend((&mut part.says, &mut part.misheard, &mut part.yes, &mut part.no), more);
        } else if let Some(saying) = lexicon.sayings.iter_mut().find(|s| s.id == more.of) {
            extend((&mut saying.says, &mut saying.misheard, &mut saying.yes, &mut saying.no), more);
        } else if let Some(cue) = lexicon.cues.iter_mut().find(|c| c.id == more.of) {
            extend((&mut cue.says, &mut cue.misheard, &mut cue.yes, &mut cue.no), more);
        } else if let Some(reading) = lexicon.readings.iter_mut().find(|r| r.id == more.of && more.misheard.is_empty())
        {
            extend((&mut reading.says, &mut Vec::new(), &mut reading.yes, &mut reading.no), more);
        } else {
            let source = &lexicon.origin[at];
            let line = source.line(&more.of, &more.of);
            self.faults.push(Error::NoEntry { name: source.name.clone(), line, id: more.of });
        }
    }

    /// Checks every entry and compiles its forms.
    fn forms(&mut self) {
        let Lexicon { trie, vocabulary, .. } = &mut self.lexicon;
        let (mut trie, mut vocabulary) = (std::mem::take(trie), std::mem::take(vocabulary));
        let mut seen = std::collections::HashSet::new();
        for entry in self.lexicon.entries() {
            if !seen.insert(entry.id) {
                let (name, line) = self.lexicon.place(&entry, entry.id);
                self.faults.push(Error::Twice { name, line, id: entry.id.to_owned() });
            }
            self.faults.extend(unknown(&self.lexicon, &entry));
            for (pattern, term, quality) in entry.forms() {
                let form = match parse(pattern) {
                    Ok(form) => form,
                    Err(cause) => {
                        let (name, line) = self.lexicon.place(&entry, pattern);
                        self.faults.push(Error::Pattern { name, line, id: entry.id.to_owned(), cause });
                        continue;
                    }
                };
                trie.insert(&form, term, quality);
                if quality > Match::Weak {
                    continue;
                }
                // Of a saying such as "stone cold" no word is the trade's own, and a maker may be called Stone, or Candle
                // House after a room.
                let names_room = matches!(term, TermRef::Cue(at) if self.lexicon.cues[at].role.names_room());
                let whole = !matches!(term, TermRef::Saying(_)) && !names_room;
                for word in words(&form, whole) {
                    if !vocabulary.contains(word) {
                        vocabulary.insert(word.clone());
                    }
                }
            }
        }
        (self.lexicon.trie, self.lexicon.vocabulary) = (trie, vocabulary);
    }
}

/// What an entry names that is not in the catalogue.
fn unknown(lexicon: &Lexicon, entry: &Entry) -> Vec<Error> {
    let catalogue = &lexicon.catalogue;
    let mut named: Vec<(String, bool)> = Vec::new();
    let fact = |fact: &String| (fact.clone(), known_fact(catalogue, fact));
    let component = |name: &String| (name.clone(), catalogue.rows.iter().any(|row| row.component == *name));
    match entry.term {
        TermRef::Part(at) => {
            let part = &lexicon.parts[at];
            named.extend(part.component.list().iter().chain(&part.near).map(component));
            let states = |value: &str| part.presence.iter().map(|key| format!("{key} = {value}")).collect::<Vec<_>>();
            named.extend(states(&part.there).iter().chain(&states(&part.gone)).map(fact));
        }
        TermRef::Saying(at) => {
            let saying = &lexicon.sayings[at];
            let stated = saying.states.list().iter().chain(saying.not.iter().flat_map(OneOrMany::list));
            named.extend(stated.map(fact));
            named.extend(saying.need.iter().chain(&saying.default).chain(&saying.limit).map(component));
        }
        TermRef::Reading(at, _) => {
            let reading = &lexicon.readings[at];
            let known = catalogue.rows.iter().any(|row| row.key() == reading.states);
            named.push((reading.states.clone(), known));
            named.extend(reading.need.iter().map(component));
        }
        TermRef::Cue(_) => {}
    }
    for example in entry.yes {
        named.extend(example.fact.list().iter().map(fact));
        named.extend(example.photo.iter().chain(&example.limit).map(component));
    }
    let unknown = named.into_iter().filter(|(_, known)| !known);
    unknown
        .map(|(what, _)| {
            let (name, line) = lexicon.place(entry, &what);
            Error::UnknownId { name, line, id: entry.id.to_owned(), what }
        })
        .collect()
}

type Lists<'a> = (&'a mut Vec<String>, &'a mut Vec<String>, &'a mut Vec<super::term::Example>, &'a mut Vec<String>);

fn extend((says, misheard, yes, no): Lists, more: More) {
    if more.instead {
        [&mut *says, misheard, no].into_iter().for_each(Vec::clear);
        yes.clear();
    }
    says.extend(more.says);
    misheard.extend(more.misheard);
    yes.extend(more.yes);
    no.extend(more.no);
}

/// The words of a form: all, or only those that are a form by themselves.
fn words(form: &Form, all: bool) -> Vec<&String> {
    match form {
        Form::Word(word) => vec![word],
        Form::Gap => Vec::new(),
        Form::Sequence(parts) if !all && parts.len() > 1 => Vec::new(),
        Form::Sequence(parts) | Form::Choice(parts) => parts.iter().flat_map(|part| words(part, all)).collect(),
    }
}

/// Whether the catalogue has `component.attribute = value`, or `attribute = value` for some component.
fn known_fact(catalogue: &Catalogue, fact: &str) -> bool {
    let (key, value) = fact.split_once(" = ").unwrap_or((fact, ""));
    let fits = |row: &Row| match row.kind {
        Kind::Choice | Kind::Presence => row.values.iter().any(|v| v == value),
        Kind::Number | Kind::Year | Kind::Text => !value.is_empty(),
    };
    match key.split_once('.') {
        Some((component, attribute)) => catalogue.row(component, attribute).is_some_and(fits),
        None => catalogue.rows.iter().any(|row| row.attribute == key && fits(row)),
    }
}

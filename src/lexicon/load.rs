//! Reading the lexicon's files and compiling them.
use super::pattern::{Form, PatternError, parse, phrases};
use super::term::{File, OneOrMany};
use super::trie::{Match, TermRef, Trie};
use super::{Catalogue, Kind, Lexicon, english};
use std::path::{Path, PathBuf};

/// One text of the lexicon and where it came from.
#[derive(Debug, Clone)]
pub struct Source {
    pub name: String,
    pub text: String,
}

/// What can be wrong with a lexicon file.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    #[error("cannot read lexicon file '{}'; check its name and permissions", path.display())]
    Unreadable {
        path: PathBuf,
        #[source]
        cause: std::io::Error,
    },
    #[error("{name} is no lexicon file")]
    Toml {
        name: String,
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
}

macro_rules! shipped_files {
    ($($name:literal),* $(,)?) => {
        vec![$(Source { name: concat!("lexicon/", $name).into(), text: include_str!(concat!("../../lexicon/", $name)).into() }),*]
    };
}

/// The texts that ship with the program.
pub fn shipped() -> Vec<Source> {
    shipped_files![
        "water-heater/tank.toml",
        "water-heater/relief.toml",
        "water-heater/water.toml",
        "water-heater/electric.toml",
        "water-heater/gas.toml",
        "water-heater/place.toml",
        "common.toml",
    ]
}

/// An office's own file.
pub fn from_disk(path: &Path) -> Result<Source, Error> {
    let text = std::fs::read_to_string(path).map_err(|cause| Error::Unreadable { path: path.to_owned(), cause })?;
    Ok(Source { name: path.display().to_string(), text })
}

/// A form that stands for more phrases is too loose to pull recognition towards.
const MOST_PHRASES: usize = 120;

/// Compiles one entry's forms and remembers where it stands for messages.
struct Compiler<'a> {
    lexicon: Lexicon,
    source: &'a Source,
}

impl Lexicon {
    pub(super) fn load(sources: &[Source]) -> Result<Self, Error> {
        let lexicon = Lexicon {
            catalogue: Catalogue::shipped(),
            parts: Vec::new(),
            sayings: Vec::new(),
            readings: Vec::new(),
            cues: Vec::new(),
            trie: Trie::default(),
            english: english::words(),
            vocabulary: Default::default(),
            forms: Vec::new(),
            origin: sources.to_vec(),
        };
        let Some(first) = sources.first() else { return Ok(lexicon) };
        let mut compiler = Compiler { lexicon, source: first };
        for source in sources {
            compiler.source = source;
            compiler.file()?;
        }
        let mut lexicon = compiler.lexicon;
        lexicon.forms.sort_unstable();
        lexicon.forms.dedup();
        Ok(lexicon)
    }
}

impl Compiler<'_> {
    fn file(&mut self) -> Result<(), Error> {
        let file: File = toml::from_str(&self.source.text)
            .map_err(|cause| Error::Toml { name: self.source.name.clone(), cause: Box::new(cause) })?;
        for part in file.part {
            for component in part.component.list() {
                self.known_component(&part.id, component)?;
            }
            if let Some(key) = &part.presence {
                self.known_fact(&part.id, &format!("{key} = {}", part.there), None)?;
                self.known_fact(&part.id, &format!("{key} = {}", part.gone), None)?;
            }
            let term = TermRef::Part(self.lexicon.parts.len());
            self.forms(&part.id, &part.says, term, Match::Exact)?;
            self.forms(&part.id, &part.weak, term, Match::Weak)?;
            self.forms(&part.id, &part.misheard, term, Match::Misheard)?;
            self.lexicon.parts.push(part);
        }
        for saying in file.saying {
            for fact in saying.states.list().iter().chain(saying.not.iter().flat_map(OneOrMany::list)) {
                self.known_fact(&saying.id, fact, saying.default.as_deref())?;
            }
            for component in saying.need.iter().chain(&saying.default) {
                self.known_component(&saying.id, component)?;
            }
            let term = TermRef::Saying(self.lexicon.sayings.len());
            self.forms(&saying.id, &saying.says, term, Match::Exact)?;
            self.forms(&saying.id, &saying.alone, term, Match::Weak)?;
            self.forms(&saying.id, &saying.misheard, term, Match::Misheard)?;
            self.lexicon.sayings.push(saying);
        }
        for reading in file.reading {
            self.known_key(&reading.id, &reading.states)?;
            let index = self.lexicon.readings.len();
            self.forms(&reading.id, &reading.says, TermRef::Reading(index, true), Match::Exact)?;
            self.forms(&reading.id, &reading.against, TermRef::Reading(index, false), Match::Exact)?;
            self.lexicon.readings.push(reading);
        }
        for cue in file.cue {
            let term = TermRef::Cue(self.lexicon.cues.len());
            self.forms(&cue.id, &cue.says, term, Match::Exact)?;
            self.forms(&cue.id, &cue.misheard, term, Match::Misheard)?;
            self.lexicon.cues.push(cue);
        }
        Ok(())
    }

    fn forms(&mut self, id: &str, patterns: &[String], term: TermRef, quality: Match) -> Result<(), Error> {
        for pattern in patterns {
            let form = parse(pattern).map_err(|cause| Error::Pattern {
                name: self.source.name.clone(),
                line: self.line(pattern),
                id: id.to_owned(),
                cause,
            })?;
            self.lexicon.trie.insert(&form, term, quality);
            if quality > Match::Weak {
                continue;
            }
            self.learn_words(&form);
            if matches!(term, TermRef::Part(_) | TermRef::Saying(_)) {
                self.lexicon.forms.extend(phrases(&form, MOST_PHRASES).unwrap_or_default());
            }
        }
        Ok(())
    }

    /// Every word of a form belongs to the trade's vocabulary.
    fn learn_words(&mut self, form: &Form) {
        match form {
            Form::Word(word) => {
                self.lexicon.vocabulary.insert(word.clone());
            }
            Form::Gap => {}
            Form::Sequence(all) | Form::Choice(all) => all.iter().for_each(|f| self.learn_words(f)),
        }
    }

    /// Checks `component.attribute = value`, or `attribute = value` for some component.
    fn known_fact(&self, id: &str, fact: &str, _default: Option<&str>) -> Result<(), Error> {
        let (key, value) = fact.split_once(" = ").unwrap_or((fact, ""));
        let fits = |row: &super::Row| match row.kind {
            Kind::Choice | Kind::Presence => row.values.iter().any(|v| v == value),
            Kind::Number | Kind::Year | Kind::Text => true,
        };
        let known = match key.split_once('.') {
            Some((component, attribute)) => self.lexicon.catalogue.row(component, attribute).is_some_and(fits),
            None => self.lexicon.catalogue.rows.iter().any(|row| row.attribute == key && fits(row)),
        };
        if known { Ok(()) } else { Err(self.unknown(id, fact)) }
    }

    fn known_key(&self, id: &str, key: &str) -> Result<(), Error> {
        let known = self.lexicon.catalogue.rows.iter().any(|row| row.key() == key);
        if known { Ok(()) } else { Err(self.unknown(id, key)) }
    }

    fn known_component(&self, id: &str, component: &str) -> Result<(), Error> {
        let known = self.lexicon.catalogue.rows.iter().any(|row| row.component == component);
        if known { Ok(()) } else { Err(self.unknown(id, component)) }
    }

    fn unknown(&self, id: &str, what: &str) -> Error {
        Error::UnknownId { name: self.source.name.clone(), line: self.line(what), id: id.into(), what: what.into() }
    }

    /// The line on which a text first stands in the file.
    fn line(&self, text: &str) -> usize {
        self.source.text.lines().position(|l| l.contains(text)).map_or(0, |at| at + 1)
    }
}

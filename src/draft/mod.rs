//! From a visit's notes to its draft: each note heard once, read, merged, settled by the decisions, judged.
use crate::judge::{self, Rules, judge};
use crate::lexicon::Lexicon;
use crate::read::{self, Reading};
use crate::recognize::{Memory, Transcript};
use crate::record::{self, Decision, Note, NoteKind, Record, Visit, merge};
use partial::Partial;
use std::collections::BTreeMap;
use std::path::{Path, PathBuf};
use std::sync::Arc;

mod partial;
#[cfg(test)]
mod tests;

/// What turns a recording into words.
pub trait Ears {
    /// Name and hash of the speech model, as transcripts bear it; asked before anything is heard.
    fn model(&mut self) -> Result<String, Cause>;
    /// The words of one recording; between the milliseconds of `own_voice` the program itself spoke. `memory` holds the
    /// stretches that were heard before, and is given the others as they are heard.
    fn hear(&mut self, recording: &Path, own_voice: &[[u64; 2]], memory: &mut dyn Memory) -> Result<Transcript, Cause>;
}

/// Any error of those who hear.
pub type Cause = Box<dyn std::error::Error + Send + Sync>;

/// Why a note is not in the draft.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    #[error(transparent)]
    Record(#[from] record::Error),
    #[error(transparent)]
    Judge(#[from] judge::Error),
    #[error(transparent)]
    Lexicon(#[from] crate::lexicon::Error),
    #[error("cannot hear '{}'", path.display())]
    Hear { path: PathBuf, source: Cause },
    #[error("'{}' has not been heard yet; run: hearsheet draft", path.display())]
    Unheard { path: PathBuf },
    #[error("'{}' is not the note that was added: its bytes have changed; put the original back, or add this one under another name and take it out of notes.json", path.display())]
    Changed { path: PathBuf },
}

/// By what a record is read and judged.
pub struct Bench {
    pub lexicon: Arc<Lexicon>,
    pub rules: Arc<Rules>,
    pub context: judge::Context,
}

impl Bench {
    /// What ships with the program, with the rules of a standard; ages are counted to `today`.
    pub fn new(lexicon: Lexicon, standard: &str, today: jiff::civil::Date) -> Result<Bench, Error> {
        Bench::under(lexicon, judge::Context { standard: standard.to_owned(), today, office_rules: None })
    }

    fn under(lexicon: Lexicon, context: judge::Context) -> Result<Bench, Error> {
        Ok(Bench { lexicon: Arc::new(lexicon), rules: Arc::new(context.rules()?), context })
    }

    /// The bench for a visit: its standard, its office's rules and lexicon if it holds any, and ages as they were on its day, so
    /// that a draft made again is the same.
    pub fn of(visit: &Visit) -> Result<Bench, Error> {
        let office: Vec<PathBuf> = Some(visit.lexicon_path()).filter(|path| path.exists()).into_iter().collect();
        Bench::under(Lexicon::with_office(&office)?, context_of(visit))
    }

    /// The bench for a visit, with the words and rules of another that goes by the same; a visit that holds its own, or has
    /// another standard, gets a bench of its own.
    pub fn like(&self, visit: &Visit) -> Result<Bench, Error> {
        let context = context_of(visit);
        let own =
            visit.lexicon_path().exists() || context.office_rules.is_some() || self.context.office_rules.is_some();
        if own || context.standard != self.context.standard {
            return Bench::of(visit);
        }
        Ok(Bench { lexicon: self.lexicon.clone(), rules: self.rules.clone(), context })
    }

    /// Merges, settles and judges.
    pub fn record(&self, readings: Vec<(String, Reading)>, decisions: &[Decision]) -> Record {
        let mut record = merge(readings, decisions);
        let judgement = judge(&record.facts, &record.limits, &self.rules, &self.context);
        record.concerns = judgement.concerns;
        record.open = judgement.open;
        record
    }
}

/// The rules that a visit goes by.
pub fn rules_of(visit: &Visit) -> Result<Rules, Error> {
    Ok(context_of(visit).rules()?)
}

fn context_of(visit: &Visit) -> judge::Context {
    let office_rules = Some(visit.rules_path()).filter(|path| path.exists());
    judge::Context { standard: visit.about.standard.clone(), today: visit.about.date, office_rules }
}

/// The notes of a visit as heard and read, before any decision.
pub struct Draft {
    pub visit: Visit,
    pub bench: Bench,
    pub transcripts: BTreeMap<String, Transcript>,
    readings: Vec<(String, Reading)>,
    /// The record with no decision applied.
    pub heard: Record,
    /// Notes that could not be used; the others are in the draft.
    pub problems: Vec<Error>,
}

impl Draft {
    /// Hears what is new, with what was heard before kept, and reads every note. `told` hears of each note before it
    /// is worked on.
    pub fn make(visit: &Visit, ears: &mut dyn Ears, told: &mut dyn FnMut(&Note)) -> Result<Draft, Error> {
        let (_, refused) = visit.adopt()?;
        let mut draft = Draft::read_all(visit, Bench::of(visit)?, |note| {
            told(note);
            hear(visit, note, ears)
        })?;
        draft.problems.splice(0..0, refused.into_iter().map(Error::Record));
        Ok(draft)
    }

    /// The draft of what has been heard so far; nothing is heard and nothing written.
    pub fn open(visit: &Visit) -> Result<Draft, Error> {
        Draft::open_on(visit, Bench::of(visit)?)
    }

    /// The same, read and judged on a bench that is at hand.
    pub fn open_on(visit: &Visit, bench: Bench) -> Result<Draft, Error> {
        Draft::read_all(visit, bench, |note| match visit.last_transcript(note)? {
            Some(transcript) => Ok(transcript),
            None => Err(Error::Unheard { path: visit.note_path(&note.name) }),
        })
    }

    fn read_all(
        visit: &Visit,
        bench: Bench,
        mut words: impl FnMut(&Note) -> Result<Transcript, Error>,
    ) -> Result<Draft, Error> {
        let (mut transcripts, mut readings, mut problems) = (BTreeMap::new(), Vec::new(), Vec::new());
        for note in visit.notes()? {
            match words(&note) {
                Ok(transcript) => {
                    readings.push((note.name.clone(), read::facts(&transcript, &bench.lexicon, &note.name)));
                    transcripts.insert(note.name, transcript);
                }
                Err(problem) => problems.push(problem),
            }
        }
        let heard = bench.record(readings.clone(), &[]);
        Ok(Draft { visit: visit.clone(), bench, transcripts, readings, heard, problems })
    }

    /// The draft of readings made by hand.
    #[cfg(test)]
    pub(crate) fn of_readings(visit: &Visit, readings: Vec<(String, Reading)>) -> Draft {
        let draft = Draft::read_all(visit, Bench::of(visit).unwrap(), |_| unreachable!("there is no note")).unwrap();
        Draft { heard: draft.bench.record(readings.clone(), &[]), readings, ..draft }
    }

    /// The record as these decisions leave it.
    pub fn record(&self, decisions: &[Decision]) -> Record {
        self.bench.record(self.readings.clone(), decisions)
    }

    /// The record as these decisions leave it, with one note more that is still being spoken.
    pub fn record_with(&self, note: &str, reading: Reading, decisions: &[Decision]) -> Record {
        let mut readings = self.readings.clone();
        readings.push((note.to_owned(), reading));
        self.bench.record(readings, decisions)
    }

    /// Writes `record.json` with the decisions that stand now.
    pub fn save(&self) -> Result<Record, Error> {
        Ok(self.visit.save_record(|decisions| self.record(decisions))?)
    }
}

/// The words of a note: kept ones if they are still good, else heard now and kept before anything else is done.
pub fn hear(visit: &Visit, note: &Note, ears: &mut dyn Ears) -> Result<Transcript, Error> {
    let path = visit.note_path(&note.name);
    if record::hash(&path)? != note.sha256 {
        return Err(Error::Changed { path });
    }
    let failed = |source| Error::Hear { path: path.clone(), source };
    let mut partial = None;
    let transcript = match note.kind {
        NoteKind::Text => match visit.transcript(note, "")? {
            Some(kept) => return Ok(kept),
            None => Transcript::from_text(&record::note_text(&path)?),
        },
        NoteKind::Recording => match (ears.model(), visit.last_transcript(note)?) {
            (Ok(model), Some(kept)) if kept.model == model => return Ok(kept),
            // Where there is no model, what was heard on another machine is still what was said.
            (Err(_), Some(kept)) => return Ok(kept),
            (Err(missing), None) => return Err(failed(missing)),
            (Ok(model), _) => {
                let heard = partial.insert(Partial::open(visit, note, &model));
                ears.hear(&path, &note.own_voice, heard).map_err(failed)?
            }
        },
    };
    visit.keep_transcript(note, &transcript)?;
    if let Some(partial) = partial {
        partial.remove();
    }
    Ok(transcript)
}

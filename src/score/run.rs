//! Makes the records that are scored.
use super::Error;
use super::label::{Dictation, voices};
use super::outcome::{Difference, Outcome, compare};
use super::word::{TermTally, Terms, WordErrors, join_letters, word_errors};
use crate::judge::{self, Context, Rules};
use crate::lexicon::Lexicon;
use crate::read::{self, confidence::Doubts};
use crate::recognize::Transcript;
use crate::record::Record;
use serde::{Deserialize, Serialize};
use std::ops::AddAssign;
use std::path::{Path, PathBuf};

/// Where the words come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Source {
    /// The words as labelled.
    Text,
    /// The same without case, punctuation and pauses.
    Stripped,
    /// Recordings of good quality, `audio/clean/NAME.wav`.
    Clean,
    /// Noisy, far or telephone recordings, `audio/noisy/NAME.wav`.
    Noisy,
}

impl Source {
    /// The name in tables and JSON.
    pub fn name(self) -> &'static str {
        match self {
            Source::Text => "text",
            Source::Stripped => "stripped",
            Source::Clean => "clean",
            Source::Noisy => "noisy",
        }
    }

    fn recording(self, folder: &Path, name: &str) -> PathBuf {
        folder.join("audio").join(self.name()).join(name).with_extension("wav")
    }
}

/// What was heard in one recording, and in which time.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Heard {
    pub transcript: Transcript,
    pub audio_ms: u64,
    pub took_ms: u64,
}

/// How well the words of one recording were heard.
#[derive(Debug, Clone, Copy, PartialEq, Default, Serialize)]
pub struct Hearing {
    pub word_errors: WordErrors,
    pub terms: TermTally,
    pub audio_ms: u64,
    pub took_ms: u64,
}

impl AddAssign for Hearing {
    fn add_assign(&mut self, other: Hearing) {
        self.word_errors += other.word_errors;
        self.terms += other.terms;
        self.audio_ms += other.audio_ms;
        self.took_ms += other.took_ms;
    }
}

/// The labels count ages to this year, whenever they are scored.
const YEAR: i16 = 2026;

/// All that turns words into a record.
pub struct Reader {
    lexicon: Lexicon,
    terms: Terms,
    rules: Rules,
    context: Context,
}

impl Reader {
    /// With the rules that ship with the program.
    pub fn new(lexicon: Lexicon) -> Result<Self, judge::Error> {
        let context = Context { today: jiff::civil::date(YEAR, 7, 1), ..Context::default() };
        Ok(Reader { terms: Terms::new(lexicon.spoken_forms()), lexicon, rules: context.rules()?, context })
    }

    /// The whole record of one note, and what speaks against each of its facts.
    pub fn record(&self, transcript: &Transcript, note: &str) -> (Record, Vec<Doubts>) {
        let reading = read::facts(transcript, &self.lexicon, note);
        let judged = judge::judge(&reading.facts, &reading.limits, &self.rules, &self.context);
        let (remarks, remark_evidence) = reading.remarks.into_iter().unzip();
        let record = Record {
            version: 1,
            facts: reading.facts,
            limits: reading.limits,
            photos: reading.photos,
            commands: reading.commands,
            remarks,
            remark_evidence,
            concerns: judged.concerns,
            open: judged.open,
        };
        (record, reading.doubts)
    }

    fn hearing(&self, dictation: &Dictation, heard: &Heard) -> Hearing {
        let (spoken, text) = (Transcript::from_text(&dictation.spoken).text(), heard.transcript.text());
        Hearing {
            word_errors: word_errors(&join_letters(&spoken), &join_letters(&text)),
            terms: self.terms.heard(&spoken, &text),
            audio_ms: heard.audio_ms,
            took_ms: heard.took_ms,
        }
    }

    /// The trade's terms that were not heard, and those that nobody said.
    fn terms_amiss(&self, dictation: &Dictation, heard: &Heard) -> impl Iterator<Item = Difference> + use<> {
        let spoken = Transcript::from_text(&dictation.spoken).text();
        let amiss = self.terms.amiss(&spoken, &heard.transcript.text());
        amiss.into_iter().map(|(what, missing)| Difference { kind: "term", what, missing })
    }

    fn outcome(&self, dictation: &Dictation, transcript: &Transcript) -> Outcome {
        let (record, doubts) = self.record(transcript, &dictation.name);
        let mut outcome = compare(dictation, transcript, &record, &self.lexicon.catalogue);
        for (stated, doubts) in outcome.stated.iter_mut().zip(doubts) {
            stated.doubts = doubts;
        }
        outcome
    }
}

/// Reads every dictation from its labelled words, as they are or stripped.
pub fn from_text(dictations: &[Dictation], source: Source, reader: &Reader) -> Vec<Outcome> {
    let one = |dictation: &Dictation| {
        let spoken = Transcript::from_text(&dictation.spoken);
        let transcript = if source == Source::Stripped { stripped(&spoken) } else { spoken };
        reader.outcome(dictation, &transcript)
    };
    dictations.iter().map(one).collect()
}

/// Hears and reads every dictation of a folder that has a recording.
pub fn from_recordings(
    dictations: &[Dictation],
    folder: &Path,
    source: Source,
    reader: &Reader,
    mut hear: impl FnMut(&Path) -> Result<Heard, Error>,
) -> Result<Vec<Outcome>, Error> {
    let voices = voices(folder);
    let mut outcomes = Vec::new();
    for dictation in dictations {
        let recording = source.recording(folder, &dictation.name);
        if !recording.exists() {
            continue;
        }
        let heard = hear(&recording)?;
        let mut outcome = reader.outcome(dictation, &heard.transcript);
        outcome.voice = voices.get(&dictation.name).cloned();
        outcome.hearing = Some(reader.hearing(dictation, &heard));
        outcome.differences.extend(reader.terms_amiss(dictation, &heard));
        outcomes.push(outcome);
    }
    if outcomes.is_empty() {
        return Err(Error::NoRecording { path: source.recording(folder, "NAME") });
    }
    Ok(outcomes)
}

/// The words as a recogniser without punctuation gives them: lower case, apostrophes kept, no silences marked.
pub fn stripped(transcript: &Transcript) -> Transcript {
    let marks = |c: char| !c.is_alphanumeric() && c != '\'';
    let pieces = transcript.words.iter().flat_map(|word| word.text.split(marks));
    let bare: Vec<String> = pieces.filter(|p| !p.is_empty()).map(str::to_lowercase).collect();
    Transcript::from_text(&bare.join(" "))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn stripping_leaves_lower_case_words_without_marks_or_pauses() {
        let text = "Pop-off valve, it's 3/4 \"in\". [pause 1.5] [um] P V C?";
        let bare = stripped(&Transcript::from_text(text));
        assert_eq!(bare.text(), "pop off valve it's 3 4 in um p v c");
        let gaps = bare.words.windows(2).filter(|w| w[1].start_ms > w[0].end_ms).count();
        assert_eq!(gaps, 0, "no word is preceded by a silence");
    }

    #[test]
    fn a_folder_without_recordings_is_told_where_they_belong() {
        let folder = tempfile::tempdir().unwrap();
        let never = |_: &Path| panic!("there is nothing to hear");
        let error = from_recordings(
            &[],
            folder.path(),
            Source::Clean,
            &Reader::new(Lexicon::shipped().unwrap()).unwrap(),
            never,
        )
        .unwrap_err();
        assert!(error.to_string().contains("audio/clean/NAME.wav"), "{error}");
    }

    #[test]
    fn a_dictation_with_a_recording_is_scored_with_its_voice_and_its_words() {
        let folder = tempfile::tempdir().unwrap();
        std::fs::create_dir_all(folder.path().join("audio/noisy")).unwrap();
        std::fs::write(folder.path().join("audio/noisy/one.wav"), b"sound").unwrap();
        std::fs::write(folder.path().join("audio/voices.tsv"), "file\tvoice\none\tmine\n").unwrap();
        let label = |name: &str| Dictation {
            name: name.into(),
            scenario: String::new(),
            spoken: "No pan under it.".into(),
            facts: vec![],
            limits: vec![],
            photos: vec![],
            concerns: vec![],
            open: vec![],
        };
        let hear = |_: &Path| {
            Ok(Heard { transcript: Transcript::from_text("No plan under it."), audio_ms: 2000, took_ms: 100 })
        };
        let labels = [label("one"), label("two")];
        let found = from_recordings(
            &labels,
            folder.path(),
            Source::Noisy,
            &Reader::new(Lexicon::shipped().unwrap()).unwrap(),
            hear,
        )
        .unwrap();
        assert_eq!(found.len(), 1, "the second has no recording");
        assert_eq!(found[0].voice.as_deref(), Some("mine"));
        let hearing = found[0].hearing.unwrap();
        assert_eq!(hearing.word_errors, WordErrors { errors: 1, words: 4 }, "plan for pan");
        assert_eq!((hearing.audio_ms, hearing.took_ms), (2000, 100));
    }
}

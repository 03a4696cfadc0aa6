//! Makes the records that are scored.
use super::label::Dictation;
use super::outcome::{Outcome, compare};
use crate::lexicon::Lexicon;
use crate::read;
use crate::recognize::Transcript;
use crate::record::Record;

/// Where the words come from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Source {
    /// The words as labelled.
    Text,
    /// The same without case, punctuation and pauses.
    Stripped,
}

impl Source {
    /// The name in tables and JSON.
    pub fn name(self) -> &'static str {
        match self {
            Source::Text => "text",
            Source::Stripped => "stripped text",
        }
    }
}

/// Reads every dictation from its labelled words.
pub fn from_text(dictations: &[Dictation], source: Source, lexicon: &Lexicon) -> Vec<Outcome> {
    let one = |dictation: &Dictation| {
        let transcript = match source {
            Source::Text => Transcript::from_text(&dictation.spoken),
            Source::Stripped => stripped(&Transcript::from_text(&dictation.spoken)),
        };
        outcome(dictation, &transcript, lexicon)
    };
    dictations.iter().map(one).collect()
}

fn outcome(dictation: &Dictation, transcript: &Transcript, lexicon: &Lexicon) -> Outcome {
    let reading = read::facts(transcript, lexicon, &dictation.name);
    let (remarks, remark_evidence) = reading.remarks.into_iter().unzip();
    let record = Record {
        version: 1,
        facts: reading.facts,
        limits: reading.limits,
        photos: reading.photos,
        commands: reading.commands,
        remarks,
        remark_evidence,
        ..Record::default()
    };
    compare(dictation, transcript, &record, &lexicon.catalogue)
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
}

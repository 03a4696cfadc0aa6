//! The decisions that correct what was heard, each with the words that were taken wrongly.
use super::Proof;
use super::phrase::{sentence, sentences, unknown};
use crate::lexicon::{Kind, Lexicon, Match, TermRef};
use crate::read;
use crate::recognize::Transcript;
use crate::record::{Act, Decision, Error, Evidence, State, Value, Visit};
use std::collections::BTreeMap;
use std::path::Path;

/// What a correction teaches.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub enum Lesson {
    /// The words are another way to hear what an entry says.
    Means { entry: String, phrase: String },
    /// The words are no statement at all.
    Nothing { phrase: String },
    /// The words are the usual ones: the person corrected what was said, not how it was heard.
    None,
}

/// One correction.
#[derive(Debug, Clone)]
pub struct Case {
    pub lesson: Lesson,
    pub phrase: String,
    /// `component.attribute = value`: what the person said it is, or what was rejected.
    pub fact: String,
    pub proof: Proof,
}

/// All corrections in a visit that hold a lesson, or could be mistaken for one.
pub fn cases(dir: &Path, lexicon: &Lexicon) -> Result<Vec<Case>, Error> {
    let visit = Visit::open(dir)?;
    let decisions = visit.journal()?.standing();
    if decisions.is_empty() {
        return Ok(Vec::new());
    }
    let mut transcripts = BTreeMap::new();
    for note in visit.notes()? {
        transcripts.extend(visit.last_transcript(&note)?.map(|transcript| (note.name, transcript)));
    }
    let look = Look { dir, lexicon, transcripts: &transcripts };
    Ok(decisions.iter().filter_map(|decision| look.case(decision)).collect())
}

/// What lies before whoever looks at one visit.
struct Look<'a> {
    dir: &'a Path,
    lexicon: &'a Lexicon,
    transcripts: &'a BTreeMap<String, Transcript>,
}

impl Look<'_> {
    fn case(&self, decision: &Decision) -> Option<Case> {
        match (decision.act, &decision.is) {
            (Act::Amend, Some(is)) => self.means(decision, &is.value),
            (Act::Enter, Some(is)) if is.state == State::Entered => self.unheard(decision, &is.value),
            (Act::Reject, None) => self.rejected(decision),
            _ => None,
        }
    }

    /// Something was heard, and it was another choice of the catalogue.
    fn means(&self, decision: &Decision, value: &Value) -> Option<Case> {
        let entry = self.entry(decision, value)?;
        let proof = decision.basis.first()?;
        let sentence = self.sentence(proof)?;
        self.taught(decision, value, entry, &proof.note, sentence)
    }

    /// Nothing was heard: the one sentence that names the part and gives no fact about it holds the words.
    fn unheard(&self, decision: &Decision, value: &Value) -> Option<Case> {
        let entry = self.entry(decision, value)?;
        let all = self.transcripts.iter().flat_map(|(note, t)| sentences(t).into_iter().map(move |s| (note, s)));
        let mut mute = all.filter(|(_, sentence)| self.names_without_fact(sentence, &decision.fact.component));
        let ((note, sentence), other) = (mute.next()?, mute.next());
        if other.is_some() {
            return None;
        }
        self.taught(decision, value, entry, note, sentence)
    }

    fn taught(&self, decision: &Decision, value: &Value, entry: String, note: &str, sentence: String) -> Option<Case> {
        let fact = format!("{} = {value}", decision.fact.key());
        let Some(phrase) = unknown(&sentence, self.lexicon) else {
            let phrase = sentence.clone();
            return Some(self.finished(decision, Lesson::None, phrase, fact, note, sentence));
        };
        let lesson = Lesson::Means { entry, phrase: phrase.clone() };
        Some(self.finished(decision, lesson, phrase, fact, note, sentence))
    }

    /// What was heard was not so. Only words that the lexicon holds for misheard ones are a lesson: a usual word that was
    /// rejected once must not be unlearned.
    fn rejected(&self, decision: &Decision) -> Option<Case> {
        let was = decision.was.as_ref()?;
        let [proof] = decision.basis.as_slice() else { return None };
        let sentence = self.sentence(proof)?;
        let fact = format!("{} = {}", decision.fact.key(), was.value);
        let phrase = plain(&proof.words);
        let lesson = if self.is_misheard(proof) { Lesson::Nothing { phrase: phrase.clone() } } else { Lesson::None };
        Some(self.finished(decision, lesson, phrase, fact, &proof.note, sentence))
    }

    fn finished(
        &self,
        decision: &Decision,
        lesson: Lesson,
        phrase: String,
        fact: String,
        note: &str,
        words: String,
    ) -> Case {
        let proof = Proof {
            visit: self.dir.to_owned(),
            note: note.to_owned(),
            words,
            by: decision.by.clone(),
            decision: decision.number,
        };
        Case { lesson, phrase, fact, proof }
    }

    fn sentence(&self, proof: &Evidence) -> Option<String> {
        sentence(self.transcripts.get(&proof.note)?, proof.span)
    }

    /// The entry that says this choice of the catalogue: one of the component itself before one of any.
    fn entry(&self, decision: &Decision, value: &Value) -> Option<String> {
        let name = &decision.fact;
        let row = self.lexicon.catalogue.row(&name.component, &name.attribute)?;
        if row.kind != Kind::Choice {
            return None;
        }
        let own = format!("{} = {value}", name.key());
        let any = format!("{} = {value}", name.attribute);
        let says = |states: &str| {
            let mut sayings = self.lexicon.sayings.iter();
            sayings.find(|s| s.states.list() == [states.to_owned()]).map(|s| s.id.clone())
        };
        says(&own).or_else(|| says(&any))
    }

    fn names_without_fact(&self, sentence: &str, component: &str) -> bool {
        let reading = read::facts(&Transcript::from_text(sentence), self.lexicon, "");
        let words: Vec<String> =
            read::tokenize(&Transcript::from_text(sentence)).iter().map(|t| crate::lexicon::fold(&t.text)).collect();
        let names = |term: &TermRef| match term {
            TermRef::Part(at) => self.lexicon.parts[*at].component.list().iter().any(|c| c == component),
            _ => false,
        };
        let hits = self.lexicon.trie.find_all(&words).into_iter();
        let named = hits.flat_map(|hit| hit.terms).any(|(term, _)| names(&term));
        named && reading.facts.iter().all(|fact| fact.component != component)
    }

    /// Whether a fact came of words that the lexicon knows only as a mishearing.
    fn is_misheard(&self, proof: &Evidence) -> bool {
        let words: Vec<String> = read::tokenize(&Transcript::from_text(&proof.words))
            .iter()
            .map(|t| crate::lexicon::fold(&t.text))
            .collect();
        let id_of = |term: &TermRef| self.lexicon.entries().find(|e| e.term == *term).map(|e| e.id.to_owned());
        let hits = self.lexicon.trie.find_all(&words).into_iter();
        let own = hits.flat_map(|hit| hit.terms).filter(|(term, _)| id_of(term).as_ref() == Some(&proof.rule));
        let how: Vec<Match> = own.map(|(_, how)| how).collect();
        !how.is_empty() && how.iter().all(|how| *how == Match::Misheard)
    }
}

/// Words as the lexicon's forms are written.
fn plain(words: &str) -> String {
    let tokens = read::tokenize(&Transcript::from_text(words));
    tokens.iter().map(|t| t.text.as_str()).collect::<Vec<_>>().join(" ")
}

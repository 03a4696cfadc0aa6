//! Walks a note from left to right and lets each cue mark the words it reaches.
use super::super::Token;
use super::Polarity;
use super::clause::{Clauses, Question};
use super::cue::{Cues, Hit, Kind, Reach, cues};
use super::reach::Field;
use super::word::{Lexeme, class, lexemes};
use crate::lexicon::WordClass;
use std::ops::Range;

/// What the cues say of one word.
#[derive(Debug, Clone, Copy, Default, PartialEq)]
pub struct Mark {
    /// Whether the negations over it do not cancel out.
    pub negated: bool,
    pub doubtful: bool,
    pub supposed: bool,
    pub told: bool,
    pub hedged: bool,
    pub elsewhere: bool,
    /// What an answer said of it, whatever the question was.
    pub answer: Option<Polarity>,
    /// Part of a cue.
    pub cue: bool,
    /// An article, an adverb or the like: never what a phrase is about.
    pub light: bool,
}

impl Mark {
    /// The polarity that the marks add up to.
    pub fn polarity(&self) -> Polarity {
        match (self.answer, self) {
            (Some(answer), _) => answer,
            (_, Mark { supposed: true, .. }) => Polarity::Hypothetical,
            (_, Mark { told: true, .. }) => Polarity::Hearsay,
            (_, Mark { doubtful: true, .. }) => Polarity::Doubtful,
            (_, Mark { negated: true, .. }) => Polarity::Negated,
            _ => Polarity::Affirmed,
        }
    }
}

/// The walk over one note.
pub struct Marker<'a> {
    field: Field<'a>,
    marks: Vec<Mark>,
}

impl<'a> Marker<'a> {
    /// The marks of all tokens and the tokens of each negation.
    pub fn run(tokens: &[Token], things: &[Range<usize>]) -> (Vec<Mark>, Vec<Range<usize>>, Vec<Range<usize>>) {
        let cues: &Cues = cues();
        let words = lexemes(tokens, &cues.vocabulary);
        let mut hits = cues.find(&words);
        let (mut negators, mut doubters) = (Vec::new(), Vec::new());
        let thing_starts = thing_starts(&words, things);
        let clauses = Clauses::find(&words, &hits);
        clauses.settle_no(&words, &mut hits);
        let questions = clauses.questions(&words, &hits, cues);
        let field = Field { words: &words, hits: &hits, clauses: &clauses, thing_starts: &thing_starts };
        let mut marker = Marker { field, marks: vec![Mark::default(); words.len()] };
        marker.suppose_questions(&questions);
        marker.suppose_sections(tokens);
        for at in 0..words.len() {
            if let Some(hit) = hits[at] {
                let (first, last) = (words[at].token, words[at + hit.len - 1].token);
                if hit.kind == Kind::Negated && hit.reach == Reach::Inside {
                    negators.extend([first..first + 1, last..last + 1]);
                } else if hit.kind == Kind::Negated {
                    negators.push(first..last + 1);
                } else if hit.kind == Kind::Doubtful {
                    doubters.push(first..last + 1);
                }
                marker.apply(at, hit);
            }
        }
        marker.carry_stories(tokens);
        (fold(tokens.len(), &words, &marker.marks), negators, doubters)
    }

    /// Questions are not statements, as far as nobody answers them; an answer sets that right afterwards.
    fn suppose_questions(&mut self, questions: &[Question]) {
        for question in questions {
            for mark in &mut self.marks[question.words.clone()] {
                mark.supposed = !question.uptalk;
                mark.hedged = question.uptalk;
            }
        }
    }

    /// A sentence that begins with the number of a section ("P 2801.6", "p twenty eight oh one point six") quotes it, and
    /// so does what goes on with "it says".
    fn suppose_sections(&mut self, tokens: &[Token]) {
        let (mut at, mut quoting) = (0, false);
        while at < self.marks.len() {
            let sentence = self.field.clauses.sentence(at);
            let words = &tokens[self.field.words[at].token..];
            quoting = quotes_section(words) || (quoting && quotes_on(words));
            if quoting {
                let hit = Hit { kind: Kind::Hypothetical, reach: Reach::Onward, len: 1 };
                self.set(at, at + 1, hit, |mark| mark.supposed = true);
            }
            at = sentence.end.max(at + 1);
        }
    }

    /// A story goes on in the next sentence if that leans back on it in the past: "It flooded the hall."
    fn carry_stories(&mut self, tokens: &[Token]) {
        let mut at = 0;
        while at < self.marks.len() {
            let sentence = self.field.clauses.sentence(at);
            let story = at > 0 && self.marks[at - 1].elsewhere && !self.marks[at].elsewhere;
            if story && leans_back(&tokens[self.field.words[at].token..]) {
                self.marks[sentence.clone()].iter_mut().for_each(|mark| mark.elsewhere = true);
            }
            at = sentence.end.max(at + 1);
        }
    }

    fn apply(&mut self, at: usize, hit: Hit) {
        let end = at + hit.len;
        if !matches!(hit.kind, Kind::Stop | Kind::Hedged) && hit.reach != Reach::Inside {
            self.marks[at..end].iter_mut().for_each(|mark| mark.cue = true);
        }
        match hit.kind {
            Kind::Negated => self.negate(at, end, hit.reach),
            // "Bonding, could not verify."
            Kind::Doubtful if hit.reach == Reach::Onward && self.field.is_last(end) && at > 0 => {
                self.answer(at, end, Reach::Anaphor, Polarity::Doubtful);
            }
            Kind::Doubtful => self.set(at, end, hit, |mark| mark.doubtful = true),
            Kind::Hypothetical => self.set(at, end, hit, |mark| mark.supposed = true),
            Kind::Hearsay => self.set(at, end, hit, |mark| mark.told = true),
            Kind::Hedged => self.set(at, end, hit, |mark| mark.hedged = true),
            Kind::Elsewhere => self.set(at, end, hit, |mark| mark.elsewhere = true),
            Kind::Affirmed => self.answer(at, end, hit.reach, Polarity::Affirmed),
            Kind::Stop | Kind::Plain => {}
        }
    }

    fn set(&mut self, at: usize, end: usize, mut hit: Hit, change: impl Fn(&mut Mark)) {
        if hit.reach == Reach::Subject && self.field.speaks_onward(at, end) {
            hit.reach = Reach::Noun;
        }
        let reached = self.field.span(at, end, hit);
        for mark in &mut self.marks[reached] {
            change(mark);
        }
    }

    fn negate(&mut self, at: usize, end: usize, reach: Reach) {
        // "Missing: pan, straps, and trap."
        let heads = matches!(reach, Reach::Subject | Reach::Head);
        if let Some(listed) = heads.then(|| self.field.listed(at, end)).flatten() {
            self.marks[listed].iter_mut().for_each(|mark| mark.negated = true);
            return;
        }
        let under = self.marks[at].negated;
        match reach {
            Reach::Head => {}
            // "The trap I could not find."
            Reach::Verb if self.field.is_last(end) && self.field.is_speaker(at) => {
                self.answer(at, end, Reach::Anaphor, Polarity::Negated);
            }
            // "straps also not", "the pipe is lacking": nothing follows that could be meant.
            Reach::Verb | Reach::Lack if self.field.is_last(end) && at > 0 => self.negate(at, end, Reach::Subject),
            Reach::Noun | Reach::Each if self.field.is_last(end) && at > 0 => {
                self.answer(at, end, Reach::Answer, Polarity::Negated);
            }
            Reach::Noun | Reach::List | Reach::Verb | Reach::Predicate => {
                // "ain't no", "don't have no": said twice, meant once.
                for word in self.field.forward(end, reach) {
                    self.marks[word].negated = true;
                }
            }
            Reach::Each => {
                // "Neither the inlet nor the outlet leaks."
                if let Some(finding) = self.field.finding_after(end) {
                    self.marks[finding].negated = true;
                    return;
                }
                let predicate = self.field.predicate_after(end);
                for word in self.field.forward(end, Reach::Noun) {
                    self.marks[word].negated |= predicate.is_none_or(|verb| word >= verb);
                }
            }
            Reach::Suffix if self.field.is_suffix(at) => self.marks[at - 1].negated = !under,
            Reach::Suffix => self.marks[at].cue = false,
            Reach::Lack => {
                for word in self.field.forward(end, reach) {
                    self.marks[word].negated = !(under && self.marks[word].negated);
                }
            }
            // "Required but missing", "I would expect one, not present": what should be is not.
            Reach::Subject if self.field.turns(at, end) && at > 0 && self.supposed_before(at) => {
                self.answer(at, end, Reach::Answer, Polarity::Negated);
            }
            // "Cap? Missing."
            Reach::Subject if self.field.stands_alone(at, end) => {
                self.answer(at, end, Reach::Answer, Polarity::Negated)
            }
            // "missing cap", "it's missing a cap", but "the cap is missing".
            Reach::Subject if self.field.speaks_onward(at, end) => self.negate(at, end, Reach::Lack),
            // "the strap, it is not here".
            Reach::Subject if self.field.is_pronoun(at) => self.answer(at, end, Reach::Anaphor, Polarity::Negated),
            // "No leaks nowhere" says it twice.
            Reach::Subject if self.field.is_doubled(at) => {}
            Reach::Subject => {
                for word in self.field.subject(at) {
                    // "no covers missing" leaves all in place; "isn't missing" says nothing of absence.
                    self.marks[word].negated = !under && !self.marks[word].negated;
                }
            }
            // "I don't see any" stands alone or goes on: "I don't see any rust".
            Reach::Anaphor if self.field.resumed(at, end).is_none() => self.negate(at, end, Reach::Verb),
            Reach::Answer | Reach::Reply | Reach::Anaphor => self.answer(at, end, reach, Polarity::Negated),
            Reach::Claim => {
                for word in self.field.claimed(end) {
                    self.marks[word].negated = true;
                }
            }
            _ => {
                let hit = Hit { kind: Kind::Negated, reach, len: end - at };
                self.set(at, end, hit, |mark| mark.negated = true);
            }
        }
    }

    /// Whether what stands before `at` was only supposed.
    fn supposed_before(&self, at: usize) -> bool {
        self.marks[at.saturating_sub(2)..at].iter().any(|mark| mark.supposed)
    }

    fn answer(&mut self, at: usize, end: usize, reach: Reach, polarity: Polarity) {
        let reached = match reach {
            Reach::Answer => self.field.answered(at),
            Reach::Reply if self.field.is_fragment(at, end) => self.field.answered(at),
            Reach::Anaphor => self.field.resumed(at, end),
            _ => None,
        };
        let Some(reached) = reached else { return };
        for word in self.field.without_places(reached) {
            self.marks[word].answer = Some(polarity);
        }
    }
}

/// Whether a sentence begins with a pronoun and a verb in the past.
fn leans_back(tokens: &[Token]) -> bool {
    let starts = tokens.first().is_some_and(|first| first.is(WordClass::StoryPronoun));
    let verb = |token: &Token| token.is(WordClass::StoryVerb) || token.text.ends_with("ed");
    starts && tokens.get(1).is_some_and(verb)
}

/// Whether words go on with what a section says: "It says no threads on the end."
fn quotes_on(tokens: &[Token]) -> bool {
    const SAYS: [&str; 5] = ["says", "wants", "requires", "calls", "asks"];
    let word = |at: usize| tokens.get(at).map_or("", |token| token.text.as_str());
    matches!(word(0), "it" | "that" | "they" | "which") && SAYS.contains(&word(1))
}

/// Whether words begin with the number of a code section: a letter, digits, a point.
fn quotes_section(tokens: &[Token]) -> bool {
    const LETTERS: [char; 6] = ['p', 'm', 'g', 'e', 'r', 'n'];
    let led = tokens.iter().take(2).take_while(|token| token.is(WordClass::BeforeSection)).count();
    let tokens = &tokens[led..];
    let Some(first) = tokens.first() else { return false };
    let rest = first.text.strip_prefix(LETTERS).unwrap_or("?");
    let dotted = |text: &str| text.len() > 4 && text.contains('.') && text.starts_with(|c: char| c.is_ascii_digit());
    if dotted(rest) || (rest.is_empty() && tokens.get(1).is_some_and(|next| dotted(&next.text))) {
        return true;
    }
    const TENS: [&str; 6] = ["ten", "fifteen", "twenty", "thirty", "twenty-eight", "twenty-nine"];
    let spoken = tokens.get(1).is_some_and(|next| TENS.contains(&next.text.as_str()));
    rest.is_empty() && spoken && tokens.iter().take(8).any(|token| token.text == "point")
}

/// For each lexeme whether one of the things starts there.
fn thing_starts(words: &[Lexeme], things: &[Range<usize>]) -> Vec<bool> {
    let mut starts = vec![false; words.len()];
    let mut at = 0;
    let mut things = things.to_vec();
    things.sort_by_key(|thing| thing.start);
    for thing in things {
        while at < words.len() && words[at].token < thing.start {
            at += 1;
        }
        if at < words.len() && words[at].token == thing.start {
            starts[at] = true;
        }
    }
    starts
}

/// The marks of lexemes brought together for tokens.
fn fold(count: usize, words: &[Lexeme], marks: &[Mark]) -> Vec<Mark> {
    let light = class::DET | class::SOFT | class::PRON | class::FILLER | class::AUX | class::OWNS;
    let mut out = vec![Mark { light: true, ..Mark::default() }; count];
    for (word, mark) in words.iter().zip(marks) {
        out[word.token] = Mark { light: word.is(light), ..*mark };
    }
    out
}

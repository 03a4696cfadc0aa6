//! One note with everything found in it: tokens, terms, scopes, numbers, cuts.
use super::abroad;
use super::carry::Carry;
use super::mention::{self, Mention, Mentions};
use super::number::{self, Quantity};
use super::restore;
use super::scope::{self, Polarity, Scopes};
use super::segment::{self, Segments};
use super::sense;
use super::token::{Stop, Token, tokenize};
use super::view;
use crate::lexicon::{Lexicon, Match, Role, TermRef, WordClass};
use crate::recognize::Transcript;
use std::ops::Range;

/// The note and what was found in it.
pub struct Note<'a> {
    pub lexicon: &'a Lexicon,
    pub tokens: Vec<Token>,
    /// Terms that exclude each other, in order.
    pub mentions: Vec<Mention>,
    /// Cues that may lie over other terms.
    pub side: Vec<Mention>,
    pub segments: Segments,
    pub carry: Carry,
    pub scopes: Scopes,
    /// The tokens of each negation, in order.
    negators: Vec<Range<usize>>,
    pub quantities: Vec<Quantity>,
    /// Parts named inside longer terms: the pilot of "pilot's out".
    pub inner: Vec<(Range<usize>, usize)>,
    /// Sentences about another appliance than the heater, in order.
    pub abroad: Vec<Range<usize>>,
    /// Whether words within sentences have capitals, so that a name has one.
    pub cased: bool,
}

impl<'a> Note<'a> {
    /// Finds everything in a transcript.
    pub fn of(transcript: &Transcript, lexicon: &'a Lexicon) -> Self {
        let mut tokens = tokenize(transcript);
        restore::stops(&mut tokens, lexicon, transcript.timed);
        let view = view::build(&tokens, lexicon);
        let ends = segment::ends(&tokens, transcript.timed);
        let terms = || mention::find(&view, lexicon, &ends);
        let (Mentions { main, side, under }, quantities) =
            super::both(tokens.len() > super::LONG, terms, || number::quantities(&tokens));
        let numbers: Vec<Range<usize>> =
            quantities.iter().filter(|q| q.distractor.is_none()).map(|q| q.span.clone()).collect();
        let breaks = thought_breaks(&tokens, &ends, &main, &numbers, lexicon);
        let segments = segment::cut(&tokens, &ends, &breaks);
        let things: Vec<Range<usize>> = main.iter().filter(|m| is_thing(m)).map(|m| m.span.clone()).collect();
        let scopes = scope::analyse_terms(&tokens, &things);
        let mut negators = scopes.negators().to_vec();
        negators.sort_by_key(|n| n.start);
        let mut note = Note {
            negators,
            lexicon,
            tokens,
            mentions: main,
            side,
            segments,
            carry: Carry::default(),
            scopes,
            quantities,
            inner: inner_parts(&under),
            abroad: Vec::new(),
            cased: false,
        };
        let inner = |at: usize| note.tokens[at].capital && note.tokens[at - 1].stop == Stop::None;
        note.cased = (1..note.tokens.len()).any(|at| note.tokens[at].text.len() > 1 && inner(at));
        // Which meaning holds depends on how far talk carries, and that on what is named: twice.
        note.carry = Carry::of(&note.segments, &note.tokens, &note.mentions);
        sense::settle(&mut note, under);
        note.carry = Carry::of(&note.segments, &note.tokens, &note.mentions);
        note.abroad = abroad::find(&note);
        note
    }

    pub fn text(&self, at: usize) -> &str {
        self.tokens.get(at).map_or("", |t| t.text.as_str())
    }

    /// Whether the word of a token is of a class.
    pub fn is(&self, at: usize, class: WordClass) -> bool {
        self.tokens.get(at).is_some_and(|t| t.is(class))
    }

    pub fn is_preposition(&self, at: usize) -> bool {
        self.is(at, WordClass::Preposition)
    }

    pub fn sentence_of(&self, at: usize) -> usize {
        self.segments.sentence_of.get(at).copied().unwrap_or(self.segments.sentences.len())
    }

    pub fn clause_of(&self, at: usize) -> usize {
        self.segments.clause_of.get(at).copied().unwrap_or(self.segments.clauses.len())
    }

    pub fn clause(&self, at: usize) -> Range<usize> {
        self.segments.clauses.get(self.clause_of(at)).cloned().unwrap_or(at..at)
    }

    pub fn sentence(&self, at: usize) -> Range<usize> {
        self.segments.sentences.get(self.sentence_of(at)).cloned().unwrap_or(at..at)
    }

    /// Whether what these tokens say was observed here, by the speaker.
    pub fn observed(&self, span: &Range<usize>) -> bool {
        let polarity = self.scopes.of(span.clone());
        matches!(polarity, Polarity::Affirmed | Polarity::Negated)
            && !self.scopes.elsewhere(span.clone())
            && !self.is_abroad(span.start)
            && (polarity == Polarity::Negated || !self.asked(span.start))
            && !self.asks_of_work(&self.sentence(span.start))
    }

    /// Whether a token stands in talk of another appliance.
    pub fn is_abroad(&self, at: usize) -> bool {
        let after = self.abroad.partition_point(|talk| talk.start <= at);
        after > 0 && self.abroad[after - 1].contains(&at)
    }

    /// Whether it is only asked, and no plain "yes" or "no" answers it: "Leaks? That's oil from the car."
    fn asked(&self, at: usize) -> bool {
        let sentence = self.sentence(at);
        if !self.is_question(&sentence) {
            return false;
        }
        let confirmed = self.is(sentence.end, WordClass::Confirming) || self.says_it_is(sentence.end);
        !confirmed && !self.points(&sentence, at) && !self.found_none(sentence.end)
    }

    pub fn is_question(&self, sentence: &Range<usize>) -> bool {
        !sentence.is_empty() && self.tokens[sentence.end - 1].stop == Stop::Question
    }

    /// "Did I check the gas pipe for leaks?" asks of the work, and its answer tells nothing of the pipe.
    pub fn asks_of_work(&self, sentence: &Range<usize>) -> bool {
        if !self.is_question(sentence) {
            return false;
        }
        let from = sentence.start;
        let speaker = matches!(self.text(from + 1), "i" | "we");
        let opens = matches!(self.text(from), "did" | "have" | "could" | "can" | "do" | "was" | "were") && speaker;
        opens && (from + 2..sentence.end.min(from + 6)).any(|at| self.is(at, WordClass::Working))
    }

    /// "It was", "she does": an answer that repeats but the verb of the question.
    fn says_it_is(&self, at: usize) -> bool {
        let pronoun = matches!(self.text(at), "it" | "she" | "he" | "they" | "there" | "that");
        let verb =
            matches!(self.text(at + 1), "is" | "was" | "are" | "were" | "does" | "did" | "do" | "has" | "had" | "will");
        pronoun && verb && self.tokens[at + 1].stop > Stop::None
    }

    /// Whether a sentence ends with not finding what was asked for: "Expansion valve? Went over the house, didn't find one."
    fn found_none(&self, at: usize) -> bool {
        self.closing(&self.sentence(at)).is_some_and(|m| m.words > 1 && m.is(self.lexicon, Role::Gone))
    }

    /// The mention that a sentence ends with.
    pub fn closing(&self, sentence: &Range<usize>) -> Option<&Mention> {
        self.mentions_in(sentence).last().filter(|m| m.span.end == sentence.end)
    }

    /// Whether a question only points at what it tells: "See this steel post?", "it's dripping, see that?"
    fn points(&self, sentence: &Range<usize>, at: usize) -> bool {
        let pointing = |at: usize| matches!(self.text(at), "this" | "that" | "these" | "those" | "it" | "the");
        let last = self.clause(sentence.end - 1);
        let tag = last.len() <= 3 && last.start > at && self.is(last.start, WordClass::Tag);
        tag || (self.text(sentence.start) == "see" && pointing(sentence.start + 1))
    }

    /// Whether the words are denied; a form that holds its own "no" ("not running") is not.
    pub fn negated(&self, span: &Range<usize>) -> bool {
        let own = self.negators_in(&(span.start..span.end)).iter().any(|n| n.end <= span.end);
        !own && self.scopes.of(span.clone()) == Polarity::Negated
    }

    /// The negations that begin in a range.
    pub fn negators_in(&self, range: &Range<usize>) -> &[Range<usize>] {
        let all = &self.negators;
        let from = all.partition_point(|n| n.start < range.start);
        let to = all.partition_point(|n| n.start < range.end);
        &all[from..to]
    }

    /// Whether a "no" stands right before a part: "no ground wire".
    pub fn denied(&self, part: &Range<usize>) -> bool {
        self.negated(part)
            && self.negators_in(&(part.start.saturating_sub(12)..part.start)).iter().any(|n| {
                n.end <= part.start && self.tokens[n.end..part.start].iter().all(|t| t.is(WordClass::Determiner))
            })
    }

    /// Lowest word probability over the tokens.
    pub fn surety(&self, span: &Range<usize>) -> f32 {
        self.tokens[span.clone()].iter().map(|t| t.probability).fold(1.0, f32::min)
    }

    /// The mentions that are parts, with the entry and how it matched.
    pub fn parts(&self) -> impl DoubleEndedIterator<Item = (&Mention, usize, Match)> {
        self.mentions.iter().filter_map(|m| part_of(m).map(|(index, quality)| (m, index, quality)))
    }

    /// The components of the part that a mention names, the first one meant first; none if it names no part.
    pub fn components(&self, mention: &Mention) -> &[String] {
        part_of(mention).map_or(&[], |(index, _)| self.lexicon.parts[index].component.list())
    }

    /// The parts named within longer words, of each its words and its entry.
    pub fn inner_in(&self, span: &Range<usize>) -> impl Iterator<Item = &(Range<usize>, usize)> {
        within(&self.inner, span, |(part, _)| part.start).iter().filter(|(part, _)| part.end <= span.end)
    }

    /// What the sayings that a mention may be state, as the lexicon writes it.
    pub fn states(&self, mention: &Mention) -> impl Iterator<Item = &str> {
        let sayings = mention.terms.iter().filter_map(|(term, _)| match term {
            TermRef::Saying(index) => Some(&self.lexicon.sayings[*index]),
            _ => None,
        });
        sayings.flat_map(|saying| saying.states.list()).map(String::as_str)
    }

    /// The mentions of one sentence.
    pub fn mentions_in(&self, range: &Range<usize>) -> &[Mention] {
        within(&self.mentions, range, |m| m.span.start)
    }

    /// The cues lying over these tokens.
    pub fn side_in(&self, range: &Range<usize>) -> &[Mention] {
        within(&self.side, range, |m| m.span.start)
    }

    pub fn quantities_in(&self, range: &Range<usize>) -> &[Quantity] {
        within(&self.quantities, range, |q| q.span.start)
    }

    /// Whether the part stands behind a preposition, so that it is no subject: "rust at the inlet".
    pub fn oblique(&self, part: &Range<usize>) -> bool {
        let mut at = part.start;
        for _ in 0..3 {
            if at == 0 || self.tokens[at - 1].stop > Stop::None {
                return false;
            }
            at -= 1;
            if self.is_preposition(at) {
                // "Come back to the pan" puts it off and says nothing of it.
                if self.text(at) == "to" && at > 0 && self.text(at - 1) == "back" {
                    return true;
                }
                // "Look here at the cold nipple": what is looked at is what is talked about.
                let looks = |at: usize| matches!(self.text(at), "look" | "looking" | "looks");
                if self.text(at) == "at" && (at.saturating_sub(2)..at).any(looks) {
                    return false;
                }
                return !self.negators_in(&(at.saturating_sub(12)..at + 1)).iter().any(|n| n.contains(&at));
            }
            if !self.is(at, WordClass::Determiner) && self.text(at) != "'s" {
                return false;
            }
        }
        false
    }

    /// Whether only small words stand between, so that the one is said of the other.
    pub fn only_small_words(&self, between: Range<usize>) -> bool {
        let small = [WordClass::Determiner, WordClass::Preposition, WordClass::Linking];
        between.len() <= 5
            && self.tokens[between].iter().all(|t| t.stop == Stop::None && small.iter().any(|class| t.is(*class)))
    }

    /// Whether only "and", "or" and articles stand between two parts of one list.
    pub fn only_list_words(&self, between: Range<usize>) -> bool {
        between.len() <= 3 && !between.is_empty() && self.tokens[between].iter().all(|t| t.is(WordClass::Listing))
    }
}

/// How many tokens stand between two spans.
pub fn gap(a: &Range<usize>, b: &Range<usize>) -> usize {
    if a.start >= b.end { a.start - b.end } else { b.start.saturating_sub(a.end) }
}

/// The part a mention names, if it can name one.
pub fn part_of(mention: &Mention) -> Option<(usize, Match)> {
    mention.terms.iter().find_map(|(t, quality)| match t {
        TermRef::Part(index) => Some((*index, *quality)),
        _ => None,
    })
}

/// The part a mention names by more than a short form.
pub fn strong_part(mention: &Mention) -> Option<usize> {
    part_of(mention).filter(|(_, quality)| *quality != Match::Weak).map(|(index, _)| index)
}

fn inner_parts(under: &[Mention]) -> Vec<(Range<usize>, usize)> {
    let mut inner: Vec<_> = under
        .iter()
        .filter_map(|m| part_of(m).filter(|(_, q)| *q == Match::Exact).map(|(index, _)| (m.span.clone(), index)))
        .collect();
    inner.sort_by_key(|(span, _)| span.start);
    inner
}

fn is_thing(mention: &Mention) -> bool {
    mention.terms.iter().any(|(t, _)| matches!(t, TermRef::Part(_) | TermRef::Saying(_)))
}

/// A stretch without stops that is no longer than this is one thought.
const LONG: usize = 18;

/// Tokens of unpunctuated speech before which a new thought begins: the next part once the one before has been told.
pub fn thought_breaks(
    tokens: &[Token],
    ends: &[bool],
    mentions: &[Mention],
    numbers: &[Range<usize>],
    lexicon: &Lexicon,
) -> Vec<usize> {
    let bare = segment::bare(tokens, ends, LONG);
    if bare.is_empty() {
        return Vec::new();
    }
    // "I didn't see the valve": what was not seen goes with the words that say so.
    let unseen = mentions.iter().filter(|m| m.is(lexicon, Role::Limit) || m.is(lexicon, Role::Wish));
    let objects: Vec<usize> = unseen.map(|m| m.span.end).collect();
    let breaks = bare.into_iter().flat_map(|stretch| breaks_between(tokens, mentions, numbers, stretch));
    breaks.filter(|at| objects.binary_search(at).is_err()).collect()
}

/// Those of a list in order that begin in the range: a long note has many ranges and a long list.
fn within<'t, T>(list: &'t [T], range: &Range<usize>, start: impl Fn(&T) -> usize) -> &'t [T] {
    let from = list.partition_point(|one| start(one) < range.start);
    let to = list.partition_point(|one| start(one) < range.end);
    &list[from..to.max(from)]
}

fn breaks_between(tokens: &[Token], mentions: &[Mention], numbers: &[Range<usize>], range: Range<usize>) -> Vec<usize> {
    let mut breaks: Vec<usize> = Vec::new();
    let (mut told, mut named) = (false, false);
    let mut told_until = range.start;
    let mut spans: Vec<(Range<usize>, bool)> = within(mentions, &range, |m| m.span.start)
        .iter()
        // A lone "no" leads in what follows.
        .filter(|m| m.span.len() > 1 || tokens[m.span.start].text != "no")
        .map(|m| (m.span.clone(), strong_part(m).is_some()))
        .chain(within(numbers, &range, |n| n.start).iter().map(|n| (n.clone(), false)))
        .collect();
    spans.sort_by_key(|(span, _)| span.start);
    for (span, part) in spans {
        let start = group_start(tokens, span.start, range.start.max(told_until));
        let before = tokens.get(start.wrapping_sub(1));
        let bound = before.is_some_and(|t| t.is(WordClass::Preposition) || t.is(WordClass::Binding));
        let opens = opens_thought(tokens, start, span.start);
        // A value right before a part describes it: "copper discharge line".
        let fresh = part && told && (named || start > told_until);
        if start > range.start && told && ((fresh && !bound) || opens) {
            breaks.push(start);
            (told, named) = (false, false);
        }
        named |= part;
        told |= !part;
        told_until = span.end.max(told_until);
    }
    breaks
}

/// "There's", "it's", "I couldn't": words that begin a sentence of their own.
fn opens_thought(tokens: &[Token], start: usize, span: usize) -> bool {
    let text = |at: usize| tokens.get(at).map_or("", |t| t.text.as_str());
    start < span
        && match text(start) {
            "there" => tokens.get(start + 1).is_some_and(|t| t.is(WordClass::Being)),
            "it" => matches!(text(start + 1), "'s" | "is" | "has" | "was" | "isn't"),
            "couldn't" | "didn't" | "found" | "there's" => true,
            "i" => matches!(text(start + 1), "couldn't" | "didn't" | "found" | "see"),
            _ => false,
        }
}

/// Where the words that lead in a part begin: "there's no", "and the".
fn group_start(tokens: &[Token], part: usize, floor: usize) -> usize {
    let mut start = part;
    while start > floor {
        let before = &tokens[start - 1];
        if !before.is(WordClass::Determiner) && !before.is(WordClass::LeadIn) {
            break;
        }
        start -= 1;
    }
    start
}

impl Note<'_> {
    /// The cues of a role among all mentions.
    pub fn cues(&self, role: Role) -> impl Iterator<Item = &Mention> {
        self.mentions.iter().chain(&self.side).filter(move |m| m.is(self.lexicon, role))
    }
}

//! Which of several meanings a term has here: a longer form that finds no part gives way to the shorter ones under it.
use super::mention::Mention;
use super::note::{Note, part_of, strong_part};
use super::reach;
use super::state;
use crate::lexicon::{Match, TermRef, WordClass};
use std::collections::HashSet;

/// No form spans more tokens than this.
const LONGEST: usize = 24;
/// How many tokens before its sentence what a short form stands for may be told of.
const TOLD_WITHIN: usize = 40;

/// So many forms may lie under each other, each barren.
const DEPTH: usize = 4;

/// Replaces each mention that can mean nothing here by what lies under it, and puts the fitting part first.
pub fn settle(note: &mut Note, mut under: Vec<Mention>) {
    under.sort_by(|a, b| b.words.cmp(&a.words).then(a.span.start.cmp(&b.span.start)).then(a.span.end.cmp(&b.span.end)));
    // What stands on the same words is one mention with several meanings, as among those that stand.
    under.dedup_by(|next, kept| {
        let same = next.span == kept.span && next.words == kept.words;
        if same {
            for term in std::mem::take(&mut next.terms) {
                if kept.terms.iter().all(|(t, _)| *t != term.0) {
                    kept.terms.push(term);
                }
            }
        }
        same
    });
    // Whether what is said of "the pipe coming off it" holds hangs on what that pipe is.
    choose_parts(note);
    // What lies under may itself need a part that is not there, and what lies under that: real forms go no deeper.
    let mut old: HashSet<(usize, usize)> = HashSet::new();
    for _ in 0..DEPTH {
        let barren: Vec<bool> = note.mentions.iter().map(|m| is_barren(note, m)).collect();
        if !barren.contains(&true) {
            break;
        }
        let mut freed = vec![false; note.tokens.len()];
        // How many words the form has that holds each token.
        let mut taken = vec![0; note.tokens.len()];
        for (mention, barren) in note.mentions.iter().zip(&barren) {
            if *barren {
                freed[mention.span.clone()].fill(true);
            } else {
                taken[mention.span.clone()].fill(mention.words);
            }
        }
        // Two barren forms that overlap would take turns.
        let tried = note.mentions.iter().zip(&barren).filter(|(_, barren)| **barren);
        old.extend(tried.map(|(m, _)| (m.span.start, m.span.end)));
        let mut flags = barren.iter();
        note.mentions.retain(|_| !flags.next().copied().unwrap_or(false));
        let mut fresh: Vec<Mention> = Vec::new();
        for mention in &under {
            let span = mention.span.clone();
            let open = freed[span.clone()].contains(&true) && taken[span.clone()].iter().all(|t| *t < mention.words);
            let inside = |m: &Mention| span.start <= m.span.start && m.span.end <= span.end;
            let apart = |m: &Mention| m.span.end <= span.start || span.end <= m.span.start;
            let near = note.mentions_in(&(span.start.saturating_sub(LONGEST)..span.end));
            if open && !old.contains(&(span.start, span.end)) && near.iter().all(|m| inside(m) || apart(m)) {
                if near.iter().any(inside) {
                    // "Drain pan" takes back the "pan" that was left of it.
                    note.mentions.retain(|m| !inside(m));
                }
                taken[span].fill(usize::MAX);
                fresh.push(mention.clone());
            }
        }
        if fresh.is_empty() {
            break;
        }
        note.mentions.extend(fresh);
        note.mentions.sort_by_key(|m| m.span.start);
    }
    choose_parts(note);
    choose_meanings(note);
}

/// Words that name a part and also state something of another: "drip leg" is a trap in the gas line, and a drain in the
/// relief pipe where its sentence tells of that one.
fn choose_meanings(note: &mut Note) {
    for at in 0..note.mentions.len() {
        let mention = &note.mentions[at];
        if mention.terms.len() < 2 || part_of(mention).is_none() {
            continue;
        }
        let needs = |term: &TermRef| match term {
            TermRef::Saying(index) => Some(&note.lexicon.sayings[*index].need).filter(|need| !need.is_empty()),
            _ => None,
        };
        if !mention.terms.iter().any(|(term, quality)| *quality == Match::Exact && needs(term).is_some()) {
            continue;
        }
        let (subject, named) = (subject_before(note, &mention.span), named_around(note, mention));
        let of =
            |parts: &[String]| mention.terms.iter().filter_map(|(t, _)| needs(t)).flatten().any(|n| parts.contains(n));
        let part = |term: &TermRef| matches!(term, TermRef::Part(_));
        let kept: Vec<_> = match (of(&subject), of(&named)) {
            (true, _) => mention.terms.iter().copied().filter(|(term, _)| !part(term)).collect(),
            (false, false) => mention.terms.iter().copied().filter(|(term, _)| needs(term).is_none()).collect(),
            (false, true) => continue,
        };
        note.mentions[at].terms = kept;
    }
}

/// The components of all other parts that a mention's sentence names.
fn named_around(note: &Note, mention: &Mention) -> Vec<String> {
    let others = note.mentions_in(&note.sentence(mention.span.start)).iter().filter(|m| m.span != mention.span);
    others.flat_map(|m| note.components(m).iter().cloned()).collect()
}

/// The components of the part named last before these words in their sentence, if any.
fn subject_before(note: &Note, span: &std::ops::Range<usize>) -> Vec<String> {
    let before = note.mentions_in(&(note.sentence(span.start).start..span.start));
    let subject = before.iter().rev().find(|m| !note.oblique(&m.span) && strong_part(m).is_some());
    subject.map_or(Vec::new(), |m| note.components(m).to_vec())
}

/// A mention is barren if all it could be are sayings whose part is nowhere near.
fn is_barren(note: &Note, mention: &Mention) -> bool {
    mention.terms.iter().all(|(term, _)| match term {
        TermRef::Saying(index) => {
            let saying = &note.lexicon.sayings[*index];
            let weak = mention.terms.iter().any(|(t, q)| t == term && *q == Match::Weak);
            (weak && !stands_alone(note, mention))
                || (!saying.need.is_empty() && !state::need_met(note, mention, saying))
        }
        TermRef::Part(index) => {
            let weak = mention.terms.iter().any(|(t, q)| t == term && *q == Match::Weak);
            weak && !reach::weak_holds(note, mention, *index)
        }
        _ => false,
    })
}

/// Whether a mention is all that its clause says, but for small words.
pub fn stands_alone(note: &Note, mention: &Mention) -> bool {
    let clause = note.clause(mention.span.start);
    clause.len() <= mention.span.len() + 4
        && clause.filter(|at| !mention.span.contains(at)).all(|at| note.is(at, WordClass::AroundState))
}

/// Of several parts that the same words may name, the one that is being talked about comes first.
fn choose_parts(note: &mut Note) {
    for at in 0..note.mentions.len() {
        let mention = &note.mentions[at];
        if mention.terms.len() < 2 {
            continue;
        }
        let holds = |&(term, quality): &(TermRef, Match)| match term {
            TermRef::Part(index) => quality == Match::Weak && reach::weak_holds(note, mention, index),
            _ => false,
        };
        let fitting = (0..mention.terms.len()).filter(|i| holds(&mention.terms[*i]));
        // "No pan. Relief valve's there. The pipe off it": of two that it may be short for, the one told of last.
        let Some(best) = fitting.rev().max_by_key(|i| told_of_at(note, mention, mention.terms[*i].0)) else { continue };
        note.mentions[at].terms.swap(0, best);
    }
}

/// Where something was last named that a short form may stand for.
fn told_of_at(note: &Note, mention: &Mention, term: TermRef) -> Option<usize> {
    let TermRef::Part(index) = term else { return None };
    let near = &note.lexicon.parts[index].near;
    let before =
        note.mentions_in(&(note.sentence(mention.span.start).start.saturating_sub(TOLD_WITHIN)..mention.span.start));
    let names = |m: &&Mention| strong_part(m).is_some() && note.components(m).iter().any(|c| near.contains(c));
    before.iter().rev().find(names).map(|m| m.span.start)
}

//! Where the lexicon's terms stand in a note.
use super::view::View;
use crate::lexicon::{Hit, Lexicon, Match, Role, TermRef};
use std::cmp::Reverse;
use std::ops::Range;

/// A term found: its tokens and what it may be.
#[derive(Debug, Clone, PartialEq)]
pub struct Mention {
    pub span: Range<usize>,
    pub terms: Vec<(TermRef, Match)>,
    /// How many words the matched form has.
    pub words: usize,
}

/// All terms of a note: those that exclude each other, and the cues that may lie over them.
#[derive(Debug, Default)]
pub struct Mentions {
    pub main: Vec<Mention>,
    pub side: Vec<Mention>,
    /// Shorter terms that lie under a longer one, should the longer one turn out to mean nothing.
    pub under: Vec<Mention>,
}

/// Finds every term; where two overlap the one with more words stands. `ends` says after which tokens nothing goes on.
pub fn find(view: &View, lexicon: &Lexicon, ends: &[bool]) -> Mentions {
    let mut main: Vec<Hit> = Vec::new();
    let mut side: Vec<Hit> = Vec::new();
    let words = lexicon.trie.words(&view.words);
    let mut stop = 0;
    for start in 0..view.words.len() {
        if start >= stop {
            stop = start + 1;
            while stop < view.words.len() && !ends[view.after[stop - 1] - 1] {
                stop += 1;
            }
        }
        for mut hit in lexicon.trie.find(&words, start, stop) {
            let aside = hit.terms.iter().filter(|(term, _)| is_side(lexicon, *term));
            side.extend(aside.map(|term| Hit { terms: vec![*term], ..hit }));
            hit.terms.retain(|(term, _)| !is_side(lexicon, *term));
            distinct(&mut hit.terms);
            if !hit.terms.is_empty() {
                main.push(hit);
            }
        }
    }
    let to_mention =
        |hit: Hit| Mention { span: view.first[hit.start]..view.after[hit.end - 1], terms: hit.terms, words: hit.words };
    let (kept, dropped) = longest(main, view.words.len());
    let mut main: Vec<Mention> = kept.into_iter().map(to_mention).collect();
    main.sort_by_key(|m| m.span.start);
    let under = dropped.into_iter().map(to_mention).collect();
    Mentions { main, side: side.into_iter().map(to_mention).collect(), under }
}

/// Of the forms of one term the surest stands.
fn distinct(terms: &mut Vec<(TermRef, Match)>) {
    let mut at = 1;
    while at < terms.len() {
        let known = terms[..at].iter().any(|(term, _)| *term == terms[at].0);
        if known {
            terms.remove(at);
        } else {
            at += 1;
        }
    }
}

/// Cues that may lie over other terms.
fn is_side(lexicon: &Lexicon, term: TermRef) -> bool {
    match term {
        TermRef::Reading(..) => true,
        TermRef::Cue(index) => {
            let role = lexicon.cues[index].role;
            role.frames_talk()
                || matches!(
                    role,
                    Role::Reason
                        | Role::GivenUp
                        | Role::Overcome
                        | Role::OutOfView
                        | Role::FarEnd
                        | Role::Brand
                        | Role::BrandBefore
                        | Role::AllItems
                        | Role::SeveralItems
                )
        }
        _ => false,
    }
}

/// The hits that stand: more words first, then the surer, then the earlier; hits on the same words are one.
fn longest(mut hits: Vec<Hit>, length: usize) -> (Vec<Hit>, Vec<Hit>) {
    let quality = |hit: &Hit| hit.terms.iter().map(|(_, q)| *q).min().unwrap_or(Match::Fuzzy);
    hits.sort_by_cached_key(|hit| (Reverse(hit.words), quality(hit), hit.start, Reverse(hit.end)));
    let mut taken = vec![usize::MAX; length];
    let (mut kept, mut dropped): (Vec<Hit>, Vec<Hit>) = (Vec::new(), Vec::new());
    for hit in hits {
        let owner = taken[hit.start];
        if let Some(same) = kept.get_mut(owner).filter(|k| k.start == hit.start && k.end == hit.end) {
            for term in hit.terms {
                if same.terms.iter().all(|(t, _)| *t != term.0) {
                    same.terms.push(term);
                }
            }
            continue;
        }
        if taken[hit.start..hit.end].iter().all(|t| *t == usize::MAX) {
            taken[hit.start..hit.end].fill(kept.len());
            kept.push(hit);
        } else {
            dropped.push(hit);
        }
    }
    (kept, dropped)
}

impl Mention {
    /// The role of the cue, if it is one.
    pub fn role(&self, lexicon: &Lexicon) -> Option<Role> {
        self.terms.iter().find_map(|(t, _)| match t {
            TermRef::Cue(index) => Some(lexicon.cues[*index].role),
            _ => None,
        })
    }

    /// Whether it may state something, and not only name a part or steer the reading.
    pub fn is_saying(&self) -> bool {
        self.terms.iter().any(|(term, _)| matches!(term, TermRef::Saying(_)))
    }

    /// Whether some cue of this role is meant.
    pub fn is(&self, lexicon: &Lexicon, role: Role) -> bool {
        self.terms.iter().any(|(t, _)| matches!(t, TermRef::Cue(index) if lexicon.cues[*index].role == role))
    }
}

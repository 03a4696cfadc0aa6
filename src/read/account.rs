//! Proof for each claim, and a place for every word: what makes no fact becomes a remark.
use super::note::Note;
use crate::lexicon::WordClass;
use crate::recognize::Transcript;
use crate::record::Evidence;
use std::ops::Range;

/// Cuts evidence out of a transcript and remembers which tokens are accounted for.
pub struct Ledger<'a> {
    note: &'a Note<'a>,
    transcript: &'a Transcript,
    name: &'a str,
    covered: Vec<bool>,
}

impl<'a> Ledger<'a> {
    pub fn new(note: &'a Note<'a>, transcript: &'a Transcript, name: &'a str) -> Self {
        // A word without letters has no token; it goes with its neighbours.
        Ledger { note, transcript, name, covered: vec![false; transcript.words.len()] }
    }

    /// The proof of what these tokens say: the clauses that hold them.
    pub fn evidence(&mut self, span: &Range<usize>, rule: &str) -> Evidence {
        if span.is_empty() || self.note.tokens.is_empty() {
            return self.proof(0..0, rule);
        }
        let from = self.note.clause(span.start).start;
        let to = self.note.clause(span.end - 1).end;
        let words = self.words_of(&(from..to));
        self.covered[words.clone()].fill(true);
        self.proof(words, rule)
    }

    /// The words that tokens came from.
    fn words_of(&self, span: &Range<usize>) -> Range<usize> {
        let first = self.note.tokens[span.start].word;
        let last = self.note.tokens[span.end - 1].word;
        first..last + 1
    }

    fn proof(&self, words: Range<usize>, rule: &str) -> Evidence {
        let list = &self.transcript.words[words.clone()];
        let text: Vec<&str> = list.iter().map(|w| w.text.as_str()).collect();
        let timed = self.transcript.timed;
        Evidence {
            note: self.name.to_owned(),
            start_ms: list.first().filter(|_| timed).map(|w| w.start_ms),
            end_ms: list.last().filter(|_| timed).map(|w| w.end_ms),
            words: text.join(" "),
            span: [words.start, words.end],
            rule: rule.to_owned(),
        }
    }

    /// Everything not accounted for yet, sentence by sentence, as remarks.
    pub fn remarks(self) -> Vec<(String, Evidence)> {
        let mut remarks = Vec::new();
        let mut from = 0;
        while from < self.covered.len() {
            if self.covered[from] {
                from += 1;
                continue;
            }
            let mut to = from + 1;
            while to < self.covered.len() && !self.covered[to] && !self.ends_sentence(to - 1) {
                to += 1;
            }
            let proof = self.proof(from..to, "remark");
            remarks.push((proof.words.clone(), proof));
            from = to;
        }
        remarks
    }

    fn ends_sentence(&self, word: usize) -> bool {
        self.transcript.words[word].text.ends_with(['.', '!', '?'])
    }

    /// Takes small words left between proofs into the proof before them, so that no remark is a lone "and".
    pub fn close(&mut self, proofs: &mut [&mut Evidence]) {
        proofs.sort_by_key(|p| p.span[1]);
        for proof in proofs.iter_mut() {
            let mut to = proof.span[1];
            while to < self.covered.len()
                && !self.covered[to]
                && self.is_small(to)
                && !self.ends_sentence(to.saturating_sub(1))
            {
                to += 1;
            }
            let next_covered = to == self.covered.len() || self.covered[to] || self.ends_sentence(to - 1);
            if to > proof.span[1] && next_covered {
                self.covered[proof.span[1]..to].fill(true);
                let words = proof.span[0]..to;
                let rule = std::mem::take(&mut proof.rule);
                **proof = self.proof(words, &rule);
            }
        }
    }

    fn is_small(&self, word: usize) -> bool {
        let bare: String =
            self.transcript.words[word].text.chars().filter(|c| c.is_alphanumeric()).collect::<String>().to_lowercase();
        bare.is_empty() || WordClass::Small.holds(&bare)
    }
}

//! What stands in the client's report, whatever form it takes: every string is plain text.
mod album;
mod draw;
mod stand;

use super::figure::Figure;
use super::office::Face;
use super::reading::Reading;
use serde::Serialize;
use std::collections::BTreeMap;

pub use stand::draft;

/// The client's page.
#[derive(Debug, Serialize)]
pub struct Page {
    pub title: String,
    pub version: &'static str,
    pub office: Face,
    /// The fixed sentences and labels.
    pub words: BTreeMap<String, String>,
    /// Ids of the sections, in the order in which they stand.
    pub order: Vec<String>,
    pub cover: Cover,
    /// Why this is a draft; nothing when every fact was settled by a person.
    pub draft: Option<String>,
    pub standing: String,
    pub glance: String,
    pub groups: Vec<Group>,
    pub items: Vec<Item>,
    pub readings: Vec<Reading>,
    pub figures: Vec<Figure>,
    pub limits: Vec<Unseen>,
    pub open: Vec<Question>,
    /// What no inspection of this kind looks into.
    pub outside: Vec<String>,
    pub photos: Vec<Shot>,
    /// Photographs of the visit that no spoken mark or fact was found for.
    pub files: Vec<String>,
    /// What else was said, if the office wants it told.
    pub remarks: Vec<String>,
    pub cautions: Vec<Caution>,
    pub signature: Option<Signature>,
    pub people: Vec<Person>,
    pub changes: Vec<Change>,
}

/// Whom and what the page is about.
#[derive(Debug, Serialize)]
pub struct Cover {
    pub property: String,
    pub client: String,
    pub inspector: String,
    pub date: String,
    /// The date as programs write it (ISO 8601).
    pub day: String,
    pub standard: String,
    /// Which revision of the record it is, and whether it is signed.
    pub revision: String,
}

/// Who signed this very revision.
#[derive(Debug, Serialize)]
pub struct Signature {
    pub by: String,
    pub when: String,
    /// What the seal in the visit's folder is to be compared with.
    pub seal: String,
}

/// The findings of one class.
#[derive(Debug, Serialize)]
pub struct Group {
    pub class: String,
    pub label: String,
    pub sign: String,
    pub meaning: String,
    pub findings: Vec<Finding>,
}

/// One judgement with what a reader needs to act on it.
#[derive(Debug, Serialize)]
pub struct Finding {
    pub anchor: String,
    pub title: String,
    pub item: String,
    pub because: String,
    pub meaning: String,
    pub next: String,
    pub trade: String,
    pub caution: String,
    pub sources: Vec<String>,
    pub provisional: bool,
    pub pictures: Vec<Picture>,
}

/// One heater.
#[derive(Debug, Serialize)]
pub struct Item {
    pub name: String,
    pub facts: Vec<Line>,
    pub all: Vec<Line>,
}

/// One fact as a line of a table.
#[derive(Debug, Serialize)]
pub struct Line {
    pub part: String,
    pub label: String,
    pub value: String,
    pub standing: String,
    pub unsure: bool,
    pub proofs: Vec<Proof>,
}

/// Where something was said.
#[derive(Debug, Serialize)]
pub struct Proof {
    pub note: String,
    /// Minutes and seconds into the recording; empty for typed text.
    pub at: String,
    pub words: String,
}

#[derive(Debug, Serialize)]
pub struct Unseen {
    pub part: String,
    pub why: String,
    pub item: String,
}

#[derive(Debug, Serialize)]
pub struct Question {
    pub what: String,
    pub why: String,
    pub item: String,
}

#[derive(Debug, Serialize)]
pub struct Shot {
    pub of: String,
    pub item: String,
    pub proof: Option<Proof>,
    pub pictures: Vec<Picture>,
}

/// A small upright copy of a photograph, without anything that the camera wrote into it.
#[derive(Debug, Clone, Serialize)]
pub struct Picture {
    /// What it is called within the document.
    pub file: String,
    /// What is to be seen, for a reader who cannot see it.
    pub alt: String,
    pub width: u32,
    pub height: u32,
    /// The JPEG's bytes.
    #[serde(skip)]
    pub jpeg: Vec<u8>,
}

#[derive(Debug, Serialize)]
pub struct Caution {
    pub title: String,
    pub text: String,
}

/// How much one person settled, and when.
#[derive(Debug, Serialize)]
pub struct Person {
    pub name: String,
    pub what: String,
    pub when: String,
}

/// A decision that made the record differ from what was heard.
#[derive(Debug, Serialize)]
pub struct Change {
    pub when: String,
    pub who: String,
    pub what: String,
    pub was: String,
    pub is: String,
    pub why: String,
}

impl Page {
    /// Every picture that the page shows.
    pub fn pictures(&self) -> impl Iterator<Item = &Picture> {
        let findings = self.groups.iter().flat_map(|group| &group.findings).flat_map(|finding| &finding.pictures);
        self.office.logo.iter().chain(findings).chain(self.photos.iter().flat_map(|shot| &shot.pictures))
    }
}

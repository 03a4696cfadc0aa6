//! What an entry of a file of rules holds.
use super::condition::Condition;
use serde::Deserialize;

/// How grave a judgement is, gravest first.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Deserialize)]
#[serde(rename_all = "lowercase")]
pub enum Class {
    Unsafe,
    Defect,
    /// Near the end of its service life.
    Worn,
    Watch,
    Upkeep,
    /// Something could not be seen.
    Limit,
}

impl Class {
    /// Its name in the record.
    pub fn name(self) -> &'static str {
        match self {
            Class::Unsafe => "unsafe",
            Class::Defect => "defect",
            Class::Worn => "worn",
            Class::Watch => "watch",
            Class::Upkeep => "upkeep",
            Class::Limit => "limit",
        }
    }
}

/// How far a citation or a figure can be leant on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Status {
    /// Seen in a published text, perhaps in an older or a state edition.
    Checked,
    /// Not looked up: confirm it in the edition in force.
    FromMemory,
    /// What the trade does; no published source.
    CommonPractice,
}

impl Status {
    /// Its name as shown to a reader.
    pub fn name(self) -> &'static str {
        match self {
            Status::Checked => "checked",
            Status::FromMemory => "from memory",
            Status::CommonPractice => "common practice",
        }
    }
}

/// Where a rule or a figure comes from.
#[derive(Debug, Clone, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Source {
    /// The code or publication; empty for common practice.
    #[serde(default)]
    pub code: String,
    #[serde(default)]
    pub edition: String,
    #[serde(default)]
    pub section: String,
    pub status: Status,
    /// The standards that it speaks for; all when empty.
    #[serde(default)]
    pub standards: Vec<String>,
    #[serde(default)]
    pub note: Option<String>,
}

impl std::fmt::Display for Source {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        let words = [&self.code, &self.edition, &self.section];
        let place = words.into_iter().filter(|w| !w.is_empty()).map(String::as_str).collect::<Vec<_>>().join(" ");
        match (place.is_empty(), self.status) {
            (true, status) => f.write_str(status.name()),
            (false, Status::Checked) => f.write_str(&place),
            (false, status) => write!(f, "{place} ({})", status.name()),
        }
    }
}

/// An unknown fact that a rule asks for once enough of the rule was heard.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ask {
    pub key: String,
    /// The part of the rule that must hold before the question is worth asking.
    pub once: String,
    #[serde(skip)]
    pub(super) when: Option<Condition>,
}

/// One judgement that the program draws by itself.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub struct Rule {
    pub id: String,
    pub class: Class,
    /// The condition as written.
    pub when: String,
    /// What takes the judgement back, or lowers it to `unless_class`, if it is known to hold.
    pub unless: Option<String>,
    pub unless_class: Option<Class>,
    /// What the client reads.
    pub says: String,
    /// What to do about it.
    pub next: String,
    /// Who does it.
    pub trade: String,
    /// The caution to show beside it.
    pub caution: Option<String>,
    pub source: Vec<Source>,
    /// The standards that know this rule; all when empty.
    #[serde(default)]
    pub standards: Vec<String>,
    #[serde(default)]
    pub ask: Vec<Ask>,
    /// The computation whose result belongs in its because.
    pub figure: Option<String>,
    /// Facts with which it holds, with which it does not, and with which nobody can tell.
    pub yes: Vec<String>,
    pub no: Vec<String>,
    pub unknown: Vec<String>,
    /// It comes from an office's own file.
    #[serde(skip)]
    pub office: bool,
    #[serde(skip)]
    pub(super) holds: Option<Condition>,
    #[serde(skip)]
    pub(super) lifted: Option<Condition>,
}

impl Rule {
    /// The sources that speak for a standard.
    pub fn sources<'r>(&'r self, standard: &'r str) -> impl Iterator<Item = &'r Source> {
        self.source.iter().filter(move |s| s.standards.is_empty() || s.standards.iter().any(|name| name == standard))
    }

    /// The keys of the facts that it looks at.
    pub fn keys(&self) -> std::collections::BTreeSet<String> {
        self.holds.iter().chain(&self.lifted).flat_map(Condition::keys).collect()
    }

    pub(super) fn applies_under(&self, lineage: &[&str]) -> bool {
        self.standards.is_empty() || self.standards.iter().any(|name| lineage.contains(&name.as_str()))
    }
}

/// A code, or an office's own choice of limits on top of one.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Standard {
    pub id: String,
    pub name: String,
    /// Where limits come from that this one does not set.
    pub base: Option<String>,
}

/// A figure of one standard that rules compare with.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Bound {
    pub standard: String,
    pub value: f64,
    pub source: Source,
}

/// A figure that rules compare with; it may differ by standard.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Limit {
    pub id: String,
    pub means: String,
    pub unit: String,
    pub value: Vec<Bound>,
}

/// How a missing fact is asked for.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Question {
    pub key: String,
    /// A few words that can be read at arm's length.
    pub ask: String,
    /// Where to look for it.
    pub look: String,
    /// What makes the question pointless.
    pub moot: Option<String>,
    #[serde(skip)]
    pub(super) pointless: Option<Condition>,
}

/// What a person must be told where a finding can hurt.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Caution {
    pub id: String,
    pub title: String,
    pub text: String,
    pub source: Source,
}

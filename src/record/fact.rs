//! The types of the record; their JSON form is a contract with every reader.
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// What a fact says: a number in the catalogue's unit (a year too), or a word.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(untagged)]
pub enum Value {
    Number(f64),
    Text(String),
}

impl Value {
    /// The value as a word, if it is one.
    pub fn as_text(&self) -> Option<&str> {
        match self {
            Value::Text(text) => Some(text),
            Value::Number(_) => None,
        }
    }

    /// The value as a number, if it is one.
    pub fn as_number(&self) -> Option<f64> {
        match self {
            Value::Number(number) => Some(*number),
            Value::Text(_) => None,
        }
    }
}

impl std::fmt::Display for Value {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Value::Number(number) => write!(f, "{number}"),
            Value::Text(text) => f.write_str(text),
        }
    }
}

/// The number and unit as spoken, before conversion to the catalogue's unit.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Spoken {
    pub number: f64,
    /// UCUM code of the unit.
    pub unit: Option<String>,
}

/// Where a statement was made: the proof of whatever is drawn from it.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Evidence {
    /// The note's file name, `-` for standard input.
    pub note: String,
    /// First millisecond in the recording; absent for typed text.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub start_ms: Option<u64>,
    /// Last millisecond in the recording; absent for typed text.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub end_ms: Option<u64>,
    /// The words as recognised.
    pub words: String,
    /// Index of the first word in the transcript, and of the one after the last.
    pub span: [usize; 2],
    /// The lexicon entry or rule of reading that made it.
    pub rule: String,
}

/// How far a fact has come on its way to being signed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum State {
    #[default]
    Heard,
    Confirmed,
    Amended,
    Rejected,
    Entered,
}

/// One thing said about the equipment, with its proof.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Fact {
    pub component: String,
    pub attribute: String,
    pub value: Value,
    /// The catalogue's unit, for numbers.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub unit: Option<String>,
    /// The place on the part, as spoken.
    #[serde(rename = "where", skip_serializing_if = "Option::is_none", default)]
    pub place: Option<String>,
    /// Which heater of the visit, from 1.
    #[serde(default = "one")]
    pub item: u32,
    #[serde(default)]
    pub state: State,
    /// Calibrated probability that the fact is right, 0 to 1.
    #[serde(default = "certain")]
    pub confidence: f64,
    /// Two statements disagree and neither is a correction.
    #[serde(default, skip_serializing_if = "is_false")]
    pub disputed: bool,
    /// Both ends of a spoken range, in the catalogue's unit.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub range: Option<[f64; 2]>,
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub spoken: Option<Spoken>,
    /// Why a person should look: a doubtful word, a number out of its plausible range.
    #[serde(skip_serializing_if = "Vec::is_empty", default)]
    pub doubts: Vec<String>,
    #[serde(default)]
    pub evidence: Vec<Evidence>,
}

fn one() -> u32 {
    1
}

fn certain() -> f64 {
    1.0
}

fn is_false(flag: &bool) -> bool {
    !flag
}

impl Fact {
    /// A bare fact about the first heater; the rest is filled in by whoever makes it.
    pub fn new(component: &str, attribute: &str, value: Value) -> Self {
        Fact {
            component: component.to_owned(),
            attribute: attribute.to_owned(),
            value,
            unit: None,
            place: None,
            item: 1,
            state: State::Heard,
            confidence: 1.0,
            disputed: false,
            range: None,
            spoken: None,
            doubts: Vec::new(),
            evidence: Vec::new(),
        }
    }

    /// `component.attribute`, the key of the catalogue.
    pub fn key(&self) -> String {
        format!("{}.{}", self.component, self.attribute)
    }
}

/// Something that could not be inspected, and why.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Limit {
    pub component: String,
    pub why: String,
    #[serde(default = "one")]
    pub item: u32,
    #[serde(default)]
    pub evidence: Vec<Evidence>,
}

/// A photograph that the words speak of.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Photo {
    /// The component photographed.
    pub of: String,
    #[serde(default = "one")]
    pub item: u32,
    #[serde(default)]
    pub evidence: Vec<Evidence>,
}

/// A spoken command to the note itself.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Command {
    /// `scratch-that`, `correction`, `next-item`, `first-item`, `end-of-note`, `what-is-left`, `read-that-back`,
    /// `stop-listening` or `start-listening`.
    pub kind: String,
    /// "Scratch that", said right behind it, took it back.
    #[serde(default, skip_serializing_if = "is_false")]
    pub undone: bool,
    #[serde(default)]
    pub evidence: Vec<Evidence>,
}

/// A judgement drawn by a rule.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct Concern {
    pub rule: String,
    /// `unsafe`, `defect`, `worn`, `watch`, `upkeep` or `limit`.
    pub class: String,
    #[serde(default = "one")]
    pub item: u32,
    /// The facts it rests on, in words.
    pub because: String,
    /// Rests on a fact that is doubtful or disputed.
    #[serde(default)]
    pub provisional: bool,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum OpenKind {
    /// A rule's outcome hangs on it.
    Conditional,
    /// The catalogue always asks for it and nobody has said it.
    Unsaid,
}

/// Something the record still needs.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize, JsonSchema)]
pub struct OpenQuestion {
    pub component: String,
    pub attribute: String,
    #[serde(default = "one")]
    pub item: u32,
    pub kind: OpenKind,
    pub why: String,
}

/// Everything that came of a note or of a visit.
#[derive(Debug, Clone, PartialEq, Default, Serialize, Deserialize, JsonSchema)]
pub struct Record {
    pub version: u32,
    pub facts: Vec<Fact>,
    pub limits: Vec<Limit>,
    pub photos: Vec<Photo>,
    pub commands: Vec<Command>,
    /// What was said and is no fact, word for word.
    pub remarks: Vec<String>,
    /// Where each remark was said, in the same order.
    #[serde(default)]
    pub remark_evidence: Vec<Evidence>,
    pub concerns: Vec<Concern>,
    pub open: Vec<OpenQuestion>,
}

//! The entries of the lexicon's files, as they are written in TOML.
use serde::Deserialize;

/// One file of the lexicon.
#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct File {
    /// A line for people who read the file.
    #[serde(default)]
    pub about: String,
    #[serde(default)]
    pub part: Vec<Part>,
    #[serde(default)]
    pub saying: Vec<Saying>,
    #[serde(default)]
    pub reading: Vec<NumberTerm>,
    #[serde(default)]
    pub cue: Vec<Cue>,
    #[serde(default)]
    pub more: Vec<More>,
}

/// Phrases and what each of them must give: facts as `component.attribute = value`, or something beside the facts.
#[derive(Debug, Clone, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Example {
    pub text: OneOrMany,
    #[serde(default)]
    pub fact: OneOrMany,
    /// The component of a photograph.
    pub photo: Option<String>,
    /// The component that could not be seen.
    pub limit: Option<String>,
    /// A command that acts on the note: `scratch-that`, `correction`, `next-item`, `first-item`, `end-of-note`,
    /// `what-is-left`, `read-that-back`, `stop-listening`, `start-listening`.
    pub command: Option<String>,
}

/// A single word or a list of them.
#[derive(Debug, Clone, Deserialize)]
#[serde(untagged)]
pub enum OneOrMany {
    One(String),
    Many(Vec<String>),
}

impl OneOrMany {
    /// The list, of one or of many.
    pub fn list(&self) -> &[String] {
        match self {
            OneOrMany::One(one) => std::slice::from_ref(one),
            OneOrMany::Many(many) => many,
        }
    }
}

impl Default for OneOrMany {
    fn default() -> Self {
        OneOrMany::Many(Vec::new())
    }
}

/// Words for a thing that people point at.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Part {
    pub id: String,
    /// Which of the lexicon's files it stands in.
    #[serde(skip)]
    pub source: usize,
    /// The components it names; the first that has an attribute takes it.
    pub component: OneOrMany,
    /// A word for several at once ("both connections"): each of the components takes the value.
    #[serde(default)]
    pub all: bool,
    /// `component.attribute` that its being there states.
    pub presence: Option<String>,
    /// The value for being there.
    #[serde(default = "present")]
    pub there: String,
    /// The value for not being there.
    #[serde(default = "absent")]
    pub gone: String,
    /// Being named as a thing is enough to be there.
    #[serde(default)]
    pub named: bool,
    pub says: Vec<String>,
    /// Short forms that count only while one of `near` is talked about.
    #[serde(default)]
    pub weak: Vec<String>,
    #[serde(default)]
    pub near: Vec<String>,
    /// Forms that recognisers write for it.
    #[serde(default)]
    pub misheard: Vec<String>,
    #[serde(default)]
    pub yes: Vec<Example>,
    #[serde(default)]
    pub no: Vec<String>,
}

fn present() -> String {
    "present".into()
}

fn absent() -> String {
    "absent".into()
}

/// Words that state a value.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Saying {
    pub id: String,
    /// Which of the lexicon's files it stands in.
    #[serde(skip)]
    pub source: usize,
    /// `attribute = value` of whatever part is talked about, or `component.attribute = value`.
    pub states: OneOrMany,
    /// What it states when negated; nothing if left out.
    pub not: Option<OneOrMany>,
    /// The component meant when no fitting part is in reach.
    pub default: Option<String>,
    /// Counts only with one of these components in reach.
    #[serde(default)]
    pub need: Vec<String>,
    /// A component that these words say could not be seen.
    pub limit: Option<String>,
    /// Counts only if this attribute was said in the same sentence or the one before.
    pub said: Option<String>,
    pub says: Vec<String>,
    /// Short forms that count only where they are all that is said: "Which way? Down."
    #[serde(default)]
    pub alone: Vec<String>,
    #[serde(default)]
    pub misheard: Vec<String>,
    #[serde(default)]
    pub yes: Vec<Example>,
    #[serde(default)]
    pub no: Vec<String>,
}

/// Where a number belongs.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct NumberTerm {
    pub id: String,
    /// Which of the lexicon's files it stands in.
    #[serde(skip)]
    pub source: usize,
    /// `component.attribute`.
    pub states: String,
    /// Components, one of which must be in reach; empty if the unit says it all.
    #[serde(default)]
    pub need: Vec<String>,
    /// Words around the number that speak for it.
    #[serde(default)]
    pub says: Vec<String>,
    /// Words around the number that speak against it.
    #[serde(default)]
    pub against: Vec<String>,
    /// Without one of the words it does not count.
    #[serde(default)]
    pub strict: bool,
    /// A number with no unit counts, beside one of the words.
    #[serde(default)]
    pub bare: bool,
    /// The only values it takes, if there are few.
    #[serde(default)]
    pub only: Vec<f64>,
    #[serde(default)]
    pub yes: Vec<Example>,
    #[serde(default)]
    pub no: Vec<String>,
}

/// Words that steer the reading and state nothing themselves.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Cue {
    pub id: String,
    /// Which of the lexicon's files it stands in.
    #[serde(skip)]
    pub source: usize,
    pub role: Role,
    pub says: Vec<String>,
    /// Short forms that count only as all of a statement: a command of one word or two.
    #[serde(default)]
    pub alone: Vec<String>,
    #[serde(default)]
    pub misheard: Vec<String>,
    #[serde(default)]
    pub yes: Vec<Example>,
    #[serde(default)]
    pub no: Vec<String>,
}

/// More words for an entry that another file defines: how an office says it.
#[derive(Debug, Clone, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct More {
    /// The id of the entry.
    pub of: String,
    /// The entry's own words no longer count: these stand in their place.
    #[serde(default)]
    pub instead: bool,
    #[serde(default)]
    pub says: Vec<String>,
    #[serde(default)]
    pub misheard: Vec<String>,
    #[serde(default)]
    pub yes: Vec<Example>,
    #[serde(default)]
    pub no: Vec<String>,
}

/// What a cue does.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Deserialize)]
#[serde(rename_all = "kebab-case")]
pub enum Role {
    ScratchThat,
    Correction,
    NextItem,
    FirstItem,
    EndOfNote,
    /// What has nobody said yet?
    WhatIsLeft,
    /// The last facts once more.
    ReadBack,
    StopListening,
    StartListening,
    /// A photograph of what follows.
    Photo,
    /// A photograph of what was just named.
    PhotoBefore,
    /// Something could not be seen.
    Limit,
    /// Words of wanting to inspect, which a "but" turns into a limit.
    Wish,
    /// A value said before is told again only to be given up: "I wrote two".
    GivenUp,
    /// Why it could not.
    Reason,
    /// It was seen all the same: "so I shifted them", "but from the side I could".
    Overcome,
    /// The side of something that is hard to see: "the back of it".
    OutOfView,
    /// Where a pipe ends, the pipe itself not named: "where it comes out".
    FarEnd,
    /// A room or space.
    Place,
    /// A word before a room that belongs to its name.
    PlaceBefore,
    /// A fixture where a reading is taken.
    Fixture,
    Brand,
    /// A brand named before the cue ("X is the brand").
    BrandBefore,
    Model,
    Serial,
    /// Both of the parts just named.
    Both,
    /// All heaters of the house.
    AllItems,
    /// The house has more than one heater.
    SeveralItems,
    /// How much of the thing said beside it: light, moderate, heavy.
    DegreeLight,
    DegreeModerate,
    DegreeHeavy,
    /// There, here, in place.
    There,
    /// Missing, none.
    Gone,
    /// Words that look like a term and are none.
    Nothing,
    /// Another appliance than the one inspected.
    Other,
    /// What is told is of no house that is being looked at: a class, a call, a story.
    NotHere,
    /// Nothing that was said before counts: "wrong house".
    NoneOfIt,
    /// From here on something else is told of: a report read out, a call, a plan.
    AsideBegins,
    /// And here the heater at hand again.
    AsideEnds,
}

impl Role {
    /// Whether it tells what talk is about, and lies over the terms in it.
    pub fn frames_talk(self) -> bool {
        matches!(self, Role::NotHere | Role::NoneOfIt | Role::AsideBegins | Role::AsideEnds)
    }

    /// Whether its words name rooms.
    pub fn names_room(self) -> bool {
        matches!(self, Role::Place | Role::PlaceBefore)
    }
}

//! What to ask a person first, what an answer does, and how it is asked.
mod answer;
mod order;
mod photo;
mod plain;
mod queue;
mod session;
#[cfg(test)]
mod tests;
pub mod text;
mod view;

pub use answer::{Answer, Asked, Facts, Who, decide, find_row, parse_value, undo};
pub use order::{Ask, Costs, Group, SURE, is_doubtful, order, rivals};
pub use photo::{Shows, parts, photo_line, show};
pub use plain::{Key, Terminal, hear, shown, told, walk};
#[cfg(feature = "store")]
pub(crate) use queue::side_by_side;
pub use queue::{Gauge, Waiting, find as find_visits, queue, rank};
pub use session::{Outcome, Session};
pub use view::{Press, View};

/// Why an answer was not taken.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    #[error("'{key}' is no fact of the catalogue{hint}")]
    NoSuchFact { key: String, hint: String },
    #[error("'{text}' is no value of {key}; write one of: {choices}")]
    NoChoice { key: String, text: String, choices: String },
    #[error("'{text}' is no value of {key}; write a number{unit}, such as {example}")]
    NoNumber { key: String, text: String, unit: String, example: String },
    #[error("'{text}' is no value of {key}; write up to 200 plain characters")]
    NoText { key: String, text: String },
    #[error("nothing was said about {name}; to enter it yourself write: --set '{name}=VALUE'")]
    Unsaid { name: String },
    #[error("{name} was heard more than once; say which one: {choices}")]
    Several { name: String, choices: String },
    #[error("{left} facts are not settled, so nothing was signed; settle them first")]
    Unsettled { left: usize },
    #[error("a note is not in the record, so nothing was signed: {problem}")]
    NotAll { problem: String },
    #[error(
        "'{text}' tells nothing of a photograph; write NAME=[item/]component, such as IMG_1.jpg=drain-pan, or NAME=none"
    )]
    NoPhotograph { text: String },
    #[error("there is no photograph '{name}' in the visit; there is: {known}")]
    NotAdded { name: String, known: String },
    #[error("'{component}' is no part; there is: {known}")]
    NoPart { component: String, known: String },
    #[error("'{name}' belongs to nothing as it is")]
    ShowsNothing { name: String },
    #[error("the answer is kept, but the draft could not be written anew")]
    Draft(#[from] Box<crate::draft::Error>),
    #[error("cannot read keys from the terminal")]
    Terminal(#[from] std::io::Error),
    #[error(transparent)]
    Record(#[from] crate::record::Error),
}

impl Error {
    /// Whether another try at typing is all that is needed.
    fn is_slip(&self) -> bool {
        use Error::{NoPart, NoPhotograph, NotAdded, ShowsNothing};
        matches!(self, NoPart { .. } | NoPhotograph { .. } | NotAdded { .. } | ShowsNothing { .. })
    }
}

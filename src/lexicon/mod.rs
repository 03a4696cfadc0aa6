//! The trade's words as data: loaded, checked and compiled.
mod catalogue;

pub use catalogue::{Catalogue, Kind, Row};

/// All that the reading knows of the trade.
#[derive(Debug)]
pub struct Lexicon {
    pub catalogue: Catalogue,
}

impl Lexicon {
    /// The lexicon that ships with the program.
    pub fn shipped() -> Self {
        Lexicon { catalogue: Catalogue::shipped() }
    }
}

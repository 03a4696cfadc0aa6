//! Why a figure cannot be computed, and what was expected instead.

/// An input that no figure can be made of.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum Error {
    #[error("'{text}' is no {what}: give a number with its unit ({units}), such as {example}")]
    Quantity { text: String, what: &'static str, units: String, example: &'static str },
    #[error("'{text}': a {what} is never negative; give one such as {example}")]
    Negative { text: String, what: &'static str, example: &'static str },
    #[error("{what} of {value} is outside of where the formula holds: {low} to {high}")]
    Range { what: &'static str, value: String, low: String, high: String },
    #[error("{what}; {expected}")]
    Input { what: String, expected: &'static str },
}

//! Computations, each with its formula, its source and the range where it holds.
pub mod circuit;

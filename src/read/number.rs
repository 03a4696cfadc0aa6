//! Spoken numbers and their units.

//! Whether a phrase is affirmed, negated, doubted, supposed or only told.

//! What people must be told where a finding can hurt them.
use super::rule::Caution;
use super::rules::Rules;
use crate::record::Concern;

/// The cautions that a record's concerns call for, gravest first, and last the one that always stands.
///
/// The order is that of the rules' file: gas before carbon monoxide before live parts.
pub fn cautions_for<'r>(concerns: &[Concern], rules: &'r Rules) -> Vec<&'r Caution> {
    let wanted = |id: &str| {
        let mut rules = concerns.iter().filter_map(|concern| rules.get(&concern.rule));
        rules.any(|rule| rule.caution.as_deref() == Some(id))
    };
    rules.cautions.iter().filter(|caution| caution.id == GENERAL || wanted(&caution.id)).collect()
}

/// The caution that every report carries once: local codes and licensed trades prevail, this is a visual inspection.
pub const GENERAL: &str = "general";

/// The caution with this id: `gas-smell`, `carbon-monoxide`, `live-parts`, `scald`, `relief-valve` or `general`.
pub fn caution<'r>(id: &str, rules: &'r Rules) -> Option<&'r Caution> {
    rules.caution(id)
}

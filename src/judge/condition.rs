//! Conditions over facts, in CEL, with a third answer beside true and false.
//!
//! CEL alone stops with an error at a name it does not know. Here `&&`, `||` and `!` are walked by hand
//! after Kleene: an unknown fact leaves a condition unknown only where its outcome hangs on that fact.
//! Everything below those three is handed to CEL.
use super::situation::Situation;
use crate::record::{Fact, Value};
use cel::common::ast::{CallExpr, Expr, IdedExpr, LiteralValue, operators};
use std::collections::{BTreeMap, BTreeSet};

/// What an answer rests on: facts, and the constants they were compared with.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct Grounds<'f> {
    pub facts: Vec<&'f Fact>,
    pub constants: BTreeSet<String>,
}

impl Grounds<'_> {
    fn extend(&mut self, other: Self) {
        self.facts.extend(other.facts);
        self.constants.extend(other.constants);
    }
}

/// What a condition comes to, and what it rests or hangs on.
#[derive(Debug, Clone, PartialEq)]
pub enum Truth<'f> {
    /// It holds, for these reasons.
    Holds(Grounds<'f>),
    /// It does not, for these.
    Fails(Grounds<'f>),
    /// Nobody has said enough: it hangs on these keys.
    Hangs(BTreeSet<String>),
}

impl Truth<'_> {
    /// Whether it is known to hold.
    pub fn holds(&self) -> bool {
        matches!(self, Truth::Holds(_))
    }
}

/// Names that are no facts: the limits of the standard in force, and the year.
pub type Constants = BTreeMap<String, f64>;

/// A compiled condition; it is written with the ids of the catalogue, `drain-pan.presence == "absent"`.
#[derive(Debug)]
pub struct Condition {
    program: cel::Program,
    text: String,
}

impl Condition {
    /// Compiles the text of a condition.
    pub fn compile(text: &str) -> Result<Self, String> {
        let program = cel::Program::compile(&to_cel(text)).map_err(|e| format!("'{text}' is no condition: {e}"))?;
        Ok(Condition { program, text: text.to_owned() })
    }

    /// The condition as it was written.
    pub fn text(&self) -> &str {
        &self.text
    }

    /// The keys of the facts and constants that it asks for.
    pub fn keys(&self) -> BTreeSet<String> {
        let mut keys = BTreeSet::new();
        collect_keys(self.program.expression(), &mut keys);
        keys
    }

    /// The words that it compares facts with, by key.
    pub fn words(&self) -> Vec<(String, String)> {
        let mut words = Vec::new();
        collect_words(self.program.expression(), &mut words);
        words
    }

    /// What it comes to in a situation.
    pub fn evaluate<'f>(
        &self,
        situation: &Situation<'f>,
        constants: &Constants,
        functions: &cel::Context<'_, '_>,
    ) -> Truth<'f> {
        Walk { situation, constants, functions }.truth(self.program.expression())
    }
}

struct Walk<'w, 'f> {
    situation: &'w Situation<'f>,
    constants: &'w Constants,
    functions: &'w cel::Context<'w, 'w>,
}

impl<'f> Walk<'_, 'f> {
    fn truth(&self, node: &IdedExpr) -> Truth<'f> {
        match &node.expr {
            Expr::Call(call) if call.func_name == operators::LOGICAL_AND => {
                both(call.args.iter().map(|a| self.truth(a)))
            }
            Expr::Call(call) if call.func_name == operators::LOGICAL_OR => {
                either(call.args.iter().map(|a| self.truth(a)))
            }
            Expr::Call(CallExpr { func_name, args, .. }) if func_name == operators::LOGICAL_NOT && args.len() == 1 => {
                negate(self.truth(&args[0]))
            }
            Expr::Select(select) if select.test => self.has(&key_of(&select.operand, &select.field)),
            _ => self.leaf(node),
        }
    }

    /// `has(part.attribute)`: whether it was said at all, so never unknown.
    fn has(&self, key: &str) -> Truth<'f> {
        let grounds = Grounds { facts: self.situation.facts(key), constants: BTreeSet::new() };
        if grounds.facts.is_empty() { Truth::Fails(grounds) } else { Truth::Holds(grounds) }
    }

    /// Tries every combination of the facts stated: one that holds is enough.
    fn leaf(&self, node: &IdedExpr) -> Truth<'f> {
        let mut keys = BTreeSet::new();
        collect_keys(node, &mut keys);
        let (constants, keys): (BTreeSet<_>, BTreeSet<_>) = keys.into_iter().partition(|k| is_constant(k));
        let unset = constants.iter().filter(|k| !self.constants.contains_key(*k));
        let unsaid = keys.iter().filter(|k| !self.situation.knows(k));
        let missing: BTreeSet<String> = unset.chain(unsaid).cloned().collect();
        if !missing.is_empty() {
            return Truth::Hangs(missing);
        }
        let known: Vec<_> =
            keys.into_iter().map(|key| (self.situation.facts(&key), key)).map(|(facts, key)| (key, facts)).collect();
        match self.worlds(node, &known) {
            Truth::Holds(grounds) => Truth::Holds(Grounds { constants, ..grounds }),
            Truth::Fails(grounds) => Truth::Fails(Grounds { constants, ..grounds }),
            hangs => hangs,
        }
    }

    fn worlds(&self, node: &IdedExpr, known: &[(String, Vec<&'f Fact>)]) -> Truth<'f> {
        let worlds: usize = known.iter().map(|(_, facts)| facts.len()).product();
        let (mut holding, mut failing) = (None::<Grounds>, None::<Grounds>);
        for world in 0..worlds {
            let chosen = choose(known, world);
            let answer = match self.ask(node, &chosen) {
                Some(true) => &mut holding,
                Some(false) => &mut failing,
                None => continue,
            };
            answer.get_or_insert_default().facts.extend(chosen.iter().map(|(_, fact)| *fact));
        }
        match (holding, failing) {
            (Some(grounds), _) => Truth::Holds(grounds),
            (None, Some(grounds)) => Truth::Fails(grounds),
            // CEL could make nothing of the values: no wire of that gauge, a word where a number belongs.
            (None, None) => Truth::Hangs(known.iter().map(|(key, _)| key.clone()).collect()),
        }
    }

    fn ask(&self, node: &IdedExpr, chosen: &[(&str, &Fact)]) -> Option<bool> {
        let mut scope = self.functions.new_inner_scope();
        for (key, fact) in chosen {
            match &fact.value {
                Value::Number(number) => scope.add_variable_from_value(underscored(key), *number),
                Value::Text(text) => scope.add_variable_from_value(underscored(key), text.clone()),
            }
        }
        for (key, value) in self.constants {
            scope.add_variable_from_value(underscored(key), *value);
        }
        match scope.resolve(node) {
            Ok(cel::Value::Bool(answer)) => Some(answer),
            _ => None,
        }
    }
}

fn choose<'k, 'f>(known: &'k [(String, Vec<&'f Fact>)], mut world: usize) -> Vec<(&'k str, &'f Fact)> {
    let mut chosen = Vec::with_capacity(known.len());
    for (key, facts) in known {
        chosen.push((key.as_str(), facts[world % facts.len()]));
        world /= facts.len();
    }
    chosen
}

fn both<'f>(parts: impl Iterator<Item = Truth<'f>>) -> Truth<'f> {
    negate(either(parts.map(negate)))
}

fn either<'f>(parts: impl Iterator<Item = Truth<'f>>) -> Truth<'f> {
    let (mut holding, mut failing, mut hanging) = (None::<Grounds>, Grounds::default(), BTreeSet::new());
    for part in parts {
        match part {
            Truth::Holds(grounds) => holding.get_or_insert_default().extend(grounds),
            Truth::Fails(grounds) => failing.extend(grounds),
            Truth::Hangs(keys) => hanging.extend(keys),
        }
    }
    match holding {
        Some(grounds) => Truth::Holds(grounds),
        None if hanging.is_empty() => Truth::Fails(failing),
        None => Truth::Hangs(hanging),
    }
}

fn negate(truth: Truth<'_>) -> Truth<'_> {
    match truth {
        Truth::Holds(grounds) => Truth::Fails(grounds),
        Truth::Fails(grounds) => Truth::Holds(grounds),
        hangs => hangs,
    }
}

/// Whether a key names a limit of the standard or the date, rather than a fact.
pub fn is_constant(key: &str) -> bool {
    key.starts_with("limit.") || key.starts_with("today.")
}

fn key_of(operand: &IdedExpr, field: &str) -> String {
    match &operand.expr {
        Expr::Ident(name) => format!("{name}.{field}").replace('_', "-"),
        _ => field.replace('_', "-"),
    }
}

fn collect_keys(node: &IdedExpr, keys: &mut BTreeSet<String>) {
    match &node.expr {
        Expr::Select(select) => {
            keys.insert(key_of(&select.operand, &select.field));
        }
        Expr::Call(call) => call.args.iter().chain(call.target.as_deref()).for_each(|a| collect_keys(a, keys)),
        Expr::List(list) => list.elements.iter().for_each(|e| collect_keys(e, keys)),
        _ => {}
    }
}

fn collect_words(node: &IdedExpr, words: &mut Vec<(String, String)>) {
    let Expr::Call(call) = &node.expr else { return };
    let mut keys = BTreeSet::new();
    call.args.iter().for_each(|a| {
        if matches!(a.expr, Expr::Select(_)) {
            collect_keys(a, &mut keys)
        }
    });
    for (key, arg) in keys.iter().flat_map(|k| call.args.iter().map(move |a| (k, a))) {
        literals(arg, &mut |word| words.push((key.clone(), word)));
    }
    call.args.iter().for_each(|a| collect_words(a, words));
}

fn literals(node: &IdedExpr, push: &mut impl FnMut(String)) {
    match &node.expr {
        Expr::Literal(LiteralValue::String(text)) => push(text.inner().to_owned()),
        Expr::List(list) => list.elements.iter().for_each(|e| literals(e, push)),
        _ => {}
    }
}

/// CEL reads a hyphen as a minus; ids have hyphens, so they become underscores outside of quotes.
fn to_cel(text: &str) -> String {
    text.split('"')
        .enumerate()
        .map(|(i, part)| if i % 2 == 0 { hyphenated(part) } else { part.to_owned() })
        .collect::<Vec<_>>()
        .join("\"")
}

/// A minus has a space or a digit on one side; a hyphen has letters on both.
fn hyphenated(part: &str) -> String {
    let bytes = part.as_bytes();
    part.char_indices()
        .map(|(i, c)| {
            let beside = |at: Option<usize>| at.and_then(|at| bytes.get(at)).is_some_and(u8::is_ascii_lowercase);
            if c == '-' && beside(i.checked_sub(1)) && beside(Some(i + 1)) { '_' } else { c }
        })
        .collect()
}

fn underscored(key: &str) -> String {
    key.replace('-', "_")
}

#[cfg(test)]
mod tests;

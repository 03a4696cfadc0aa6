//! The brackets in an entry of the cue file: "(see|find) (a|)" stands for four phrases, "leak(s|ing)" for two.

/// A stretch of an entry's text, or one of several.
#[derive(Debug, PartialEq, Eq)]
pub enum Piece {
    Text(String),
    Choice(Vec<Vec<Piece>>),
}

/// The alternatives that an entry consists of.
pub fn parse(says: &str) -> Vec<Vec<Piece>> {
    alternatives(&mut says.chars().peekable())
}

/// Reads alternatives up to the closing bracket or the end; brackets may stand inside brackets.
fn alternatives(rest: &mut std::iter::Peekable<std::str::Chars>) -> Vec<Vec<Piece>> {
    let mut any = vec![Vec::new()];
    while let Some(c) = rest.next() {
        let these = any.len() - 1;
        match c {
            ')' => break,
            '|' => any.push(Vec::new()),
            '(' => any[these].push(Piece::Choice(alternatives(rest))),
            c => {
                let mut text = String::from(c);
                while let Some(c) = rest.next_if(|c| !"()|".contains(*c)) {
                    text.push(c);
                }
                any[these].push(Piece::Text(text));
            }
        }
    }
    any
}

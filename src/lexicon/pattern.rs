//! The small language of spoken forms: `(a|b)` is a choice, `[a]` may be left out, `..` skips up to three words.

/// A spoken form as written, taken apart.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Form {
    Word(String),
    /// Up to three words in between, within one sentence.
    Gap,
    Sequence(Vec<Form>),
    Choice(Vec<Form>),
}

/// A form that is not well made, with the cure.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PatternError {
    #[error("'{0}' opens a bracket that it does not close; close it")]
    Unclosed(String),
    #[error("'{0}' can stand for nothing, or begins or ends with a gap; it must begin and end with a word")]
    Empty(String),
}

/// Takes a form apart.
pub fn parse(pattern: &str) -> Result<Form, PatternError> {
    let mut parser = Parser { text: pattern, rest: pattern };
    let form = parser.choice(None)?;
    if can_be_empty(&form) || edge_is_gap(&form, true) || edge_is_gap(&form, false) {
        return Err(PatternError::Empty(pattern.to_owned()));
    }
    Ok(form)
}

fn can_be_empty(form: &Form) -> bool {
    match form {
        Form::Word(_) => false,
        Form::Gap => true,
        Form::Sequence(all) => all.iter().all(can_be_empty),
        Form::Choice(any) => any.iter().any(can_be_empty),
    }
}

fn edge_is_gap(form: &Form, first: bool) -> bool {
    match form {
        Form::Word(_) => false,
        Form::Gap => true,
        Form::Sequence(all) if first => all.first().is_some_and(|f| edge_is_gap(f, first)),
        Form::Sequence(all) => all.last().is_some_and(|f| edge_is_gap(f, first)),
        Form::Choice(any) => any.iter().any(|f| edge_is_gap(f, first)),
    }
}

/// The phrases without gaps that a form stands for, or none if there are more than `most`.
pub fn phrases(form: &Form, most: usize) -> Option<Vec<String>> {
    let all = match form {
        Form::Word(word) => vec![word.clone()],
        Form::Gap => return None,
        Form::Choice(any) => {
            let mut all = Vec::new();
            for one in any {
                all.extend(phrases(one, most)?);
            }
            all
        }
        Form::Sequence(parts) => {
            let mut all = vec![String::new()];
            for part in parts {
                let next = phrases(part, most)?;
                if all.len() * next.len() > most {
                    return None;
                }
                all = all.iter().flat_map(|left| next.iter().map(move |right| join(left, right))).collect();
            }
            all
        }
    };
    (all.len() <= most).then_some(all)
}

fn join(left: &str, right: &str) -> String {
    if left.is_empty() || right.is_empty() { format!("{left}{right}") } else { format!("{left} {right}") }
}

struct Parser<'a> {
    text: &'a str,
    rest: &'a str,
}

impl Parser<'_> {
    /// Alternatives separated by `|`, up to the closing bracket.
    fn choice(&mut self, close: Option<char>) -> Result<Form, PatternError> {
        let mut all = Vec::new();
        loop {
            all.push(self.sequence()?);
            match self.rest.chars().next() {
                Some('|') => self.rest = &self.rest[1..],
                Some(c) if Some(c) == close => {
                    self.rest = &self.rest[1..];
                    break;
                }
                None if close.is_none() => break,
                _ => return Err(PatternError::Unclosed(self.text.to_owned())),
            }
        }
        Ok(if all.len() == 1 { all.remove(0) } else { Form::Choice(all) })
    }

    /// Words and brackets one after another.
    fn sequence(&mut self) -> Result<Form, PatternError> {
        let mut all = Vec::new();
        loop {
            self.rest = self.rest.trim_start();
            match self.rest.chars().next() {
                None | Some('|' | ')' | ']') => return Ok(Form::Sequence(all)),
                Some('(') => {
                    self.rest = &self.rest[1..];
                    all.push(self.choice(Some(')'))?);
                }
                Some('[') => {
                    self.rest = &self.rest[1..];
                    all.push(Form::Choice(vec![self.choice(Some(']'))?, Form::Sequence(Vec::new())]));
                }
                Some(_) => all.push(self.word()),
            }
        }
    }

    fn word(&mut self) -> Form {
        let end = self.rest.find(|c: char| c.is_whitespace() || "|()[]".contains(c)).unwrap_or(self.rest.len());
        let (word, rest) = self.rest.split_at(end);
        self.rest = rest;
        if word == ".." { Form::Gap } else { Form::Word(fold(word)) }
    }
}

/// One spelling for the forms of a word: lower case, American spelling, no plural.
pub fn fold(word: &str) -> String {
    let word = word.to_lowercase();
    let word = match word.strip_suffix("ised").filter(|stem| stem.len() > 4) {
        Some(stem) => format!("{stem}ized"),
        None => word,
    };
    let word = match word.as_str() {
        "colour" => "color".into(),
        "mould" => "mold".into(),
        "grey" => "gray".into(),
        "litre" | "litres" => "liter".into(),
        "metre" | "metres" => "meter".into(),
        "kerb" => "curb".into(),
        "armoured" => "armored".into(),
        "gage" => "gauge".into(),
        "centre" => "center".into(),
        "feet" => "foot".into(),
        "dont" => "don't".into(),
        "isnt" => "isn't".into(),
        "cant" | "cannot" => "can't".into(),
        "couldnt" => "couldn't".into(),
        "didnt" => "didn't".into(),
        "doesnt" => "doesn't".into(),
        "aint" => "ain't".into(),
        "wasnt" => "wasn't".into(),
        "theres" => "there's".into(),
        _ => word,
    };
    if word.len() > 3
        && word.ends_with('s')
        && !word.ends_with("ss")
        && !word.ends_with("us")
        && !word.ends_with("is")
        && !word.contains('\'')
    {
        if let Some(stem) = word.strip_suffix("ies").filter(|s| s.len() > 2) {
            return format!("{stem}y");
        }
        let hisses = |stem: &&str| ["sh", "ch", "x", "ss"].iter().any(|e| stem.ends_with(e));
        if let Some(stem) = word.strip_suffix("es").filter(hisses) {
            return stem.to_owned();
        }
        return word[..word.len() - 1].to_owned();
    }
    word
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn choices_and_options_multiply_out() {
        let form = parse("(blow off|relief) [drain] pipes").unwrap();
        assert_eq!(
            phrases(&form, 9).unwrap(),
            ["blow off drain pipe", "blow off pipe", "relief drain pipe", "relief pipe"]
        );
        assert_eq!(phrases(&form, 3), None, "four phrases are more than three");
        assert_eq!(phrases(&parse("ends .. floor").unwrap(), 9), None, "a gap stands for any words");
    }

    #[test]
    fn a_form_that_is_not_well_made_says_what_to_do() {
        assert_eq!(parse("(a|b"), Err(PatternError::Unclosed("(a|b".into())));
        assert_eq!(parse("[a]"), Err(PatternError::Empty("[a]".into())));
        assert_eq!(parse("a .."), Err(PatternError::Empty("a ..".into())));
    }

    #[test]
    fn british_spelling_and_plurals_fold() {
        for (word, folded) in [
            ("Galvanised", "galvanized"),
            ("bushes", "bush"),
            ("covers", "cover"),
            ("bodies", "body"),
            ("gas", "gas"),
            ("glass", "glass"),
            ("mould", "mold"),
        ] {
            assert_eq!(fold(word), folded);
        }
    }
}

//! The small language of spoken forms: `(a|b)` is a choice, `[a]` may be left out, `..` skips up to three words.

/// One piece of a flat spoken form.
#[derive(Debug, Clone, PartialEq, Eq, Hash)]
pub enum Piece {
    Word(String),
    /// Up to three words in between, within one sentence.
    Gap,
}

/// A form that is not well made, with the cure.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
pub enum PatternError {
    #[error("'{0}' opens a bracket that it does not close; close it")]
    Unclosed(String),
    #[error("'{0}' stands for more than {MOST_FORMS} spoken forms; split it into several")]
    TooMany(String),
    #[error("'{0}' holds no word; a form begins and ends with a word")]
    Empty(String),
}

const MOST_FORMS: usize = 4000;

/// All flat forms that a pattern stands for.
pub fn expand(pattern: &str) -> Result<Vec<Vec<Piece>>, PatternError> {
    let mut parser = Parser { text: pattern, rest: pattern };
    let forms = parser.choice(None)?;
    if forms.iter().any(|f| !matches!((f.first(), f.last()), (Some(Piece::Word(_)), Some(Piece::Word(_))))) {
        return Err(PatternError::Empty(pattern.to_owned()));
    }
    Ok(forms)
}

struct Parser<'a> {
    text: &'a str,
    rest: &'a str,
}

impl Parser<'_> {
    /// Alternatives separated by `|`, up to the closing bracket.
    fn choice(&mut self, close: Option<char>) -> Result<Vec<Vec<Piece>>, PatternError> {
        let mut all = Vec::new();
        loop {
            all.extend(self.sequence()?);
            match self.rest.chars().next() {
                Some('|') => self.rest = &self.rest[1..],
                Some(c) if Some(c) == close => {
                    self.rest = &self.rest[1..];
                    return Ok(all);
                }
                None if close.is_none() => return Ok(all),
                _ => return Err(PatternError::Unclosed(self.text.to_owned())),
            }
        }
    }

    /// Words and brackets one after another.
    fn sequence(&mut self) -> Result<Vec<Vec<Piece>>, PatternError> {
        let mut forms = vec![Vec::new()];
        loop {
            self.rest = self.rest.trim_start();
            let next = match self.rest.chars().next() {
                None | Some('|' | ')' | ']') => return Ok(forms),
                Some('(') => {
                    self.rest = &self.rest[1..];
                    self.choice(Some(')'))?
                }
                Some('[') => {
                    self.rest = &self.rest[1..];
                    let mut inner = self.choice(Some(']'))?;
                    inner.push(Vec::new());
                    inner
                }
                Some(_) => vec![vec![self.word()]],
            };
            forms = product(&forms, &next);
            if forms.len() > MOST_FORMS {
                return Err(PatternError::TooMany(self.text.to_owned()));
            }
        }
    }

    fn word(&mut self) -> Piece {
        let end = self.rest.find(|c: char| c.is_whitespace() || "|()[]".contains(c)).unwrap_or(self.rest.len());
        let (word, rest) = self.rest.split_at(end);
        self.rest = rest;
        if word == ".." { Piece::Gap } else { Piece::Word(fold(word)) }
    }
}

fn product(left: &[Vec<Piece>], right: &[Vec<Piece>]) -> Vec<Vec<Piece>> {
    left.iter().flat_map(|l| right.iter().map(move |r| [l.as_slice(), r.as_slice()].concat())).collect()
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
        if let Some(stem) = word.strip_suffix("es") {
            if ["sh", "ch", "x", "ss"].iter().any(|e| stem.ends_with(e)) {
                return stem.to_owned();
            }
        }
        return word[..word.len() - 1].to_owned();
    }
    word
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flat(pattern: &str) -> Vec<String> {
        let join = |form: Vec<Piece>| {
            let words: Vec<String> =
                form.into_iter().map(|p| if let Piece::Word(w) = p { w } else { "..".into() }).collect();
            words.join(" ")
        };
        expand(pattern).unwrap().into_iter().map(join).collect()
    }

    #[test]
    fn choices_and_options_multiply_out() {
        assert_eq!(flat("(blow off|relief) [drain] pipes"), [
            "blow off drain pipe",
            "blow off pipe",
            "relief drain pipe",
            "relief pipe"
        ]);
        assert_eq!(flat("ends .. floor"), ["end .. floor"]);
    }

    #[test]
    fn a_form_that_is_not_well_made_says_what_to_do() {
        assert_eq!(expand("(a|b"), Err(PatternError::Unclosed("(a|b".into())));
        assert_eq!(expand("[a]"), Err(PatternError::Empty("[a]".into())));
    }

    #[test]
    fn british_spelling_and_plurals_fold() {
        for (word, folded) in
            [("Galvanised", "galvanized"), ("bushes", "bush"), ("covers", "cover"), ("bodies", "body"), ("gas", "gas"), ("glass", "glass"), ("mould", "mold")]
        {
            assert_eq!(fold(word), folded);
        }
    }
}

//! What a person says of a photograph: which part it shows, or that it shows none.
use super::text::clean;
use super::{Error, Who};
use crate::lexicon::Catalogue;
use crate::record::{Act, Decision, FactName, How, JOURNAL_VERSION, Placed, Stand, State, Value};

/// Said of a photograph that shows no part; no part is called so.
const NONE: &str = "none";

/// `IMG_1.jpg=[item/]component`, or `IMG_1.jpg=none` (or nothing behind the `=`) for a photograph that shows no part.
#[derive(Debug, Clone, PartialEq)]
pub struct Shows {
    pub name: String,
    pub part: Option<(u32, String)>,
}

impl std::str::FromStr for Shows {
    type Err = Error;

    fn from_str(text: &str) -> Result<Self, Error> {
        let refuse = || Error::NoPhotograph { text: text.escape_debug().to_string() };
        let (name, part) = text.rsplit_once('=').ok_or_else(refuse)?;
        let (item, component) = match part.trim().split_once('/') {
            Some((item, component)) => (item.trim().parse().map_err(|_| refuse())?, component.trim()),
            None => (1, part.trim()),
        };
        if name.is_empty() || item == 0 {
            return Err(refuse());
        }
        let part = (!component.is_empty() && component != NONE).then(|| (item, component.to_owned()));
        Ok(Shows { name: name.to_owned(), part })
    }
}

/// `IMG_1.jpg   2/drain-pan  by the words around it`
pub fn photo_line(placed: &Placed) -> String {
    let of = placed.of.as_deref().unwrap_or(NONE);
    let of = if placed.item == 1 { of.to_owned() } else { format!("{}/{of}", placed.item) };
    let how = match placed.how {
        How::Mark => "as the notes say",
        How::Words => "by the words around it",
        How::Person => "as a person said",
        How::Nothing => "matched to nothing",
    };
    format!("{:<28} {:<22} {how}", clean(&placed.name), clean(&of))
}

/// The parts that may be meant by what was typed so far, in the catalogue's order.
pub fn parts<'c>(catalogue: &'c Catalogue, typed: &str) -> Vec<&'c str> {
    let begun = typed.rsplit('/').next().unwrap_or_default().trim();
    let mut parts: Vec<&str> = catalogue.rows.iter().map(|row| row.component.as_str()).collect();
    parts.dedup();
    parts.retain(|part| part.contains(begun));
    parts
}

/// The decision that follows; `photographs` are those of the visit as they are placed now.
pub fn show(photographs: &[Placed], shows: &Shows, catalogue: &Catalogue, who: &Who) -> Result<Decision, Error> {
    let placed = photographs.iter().find(|p| p.name == shows.name);
    let placed = placed.ok_or_else(|| Error::NotAdded {
        name: shows.name.clone(),
        known: photographs.iter().map(|p| p.name.as_str()).collect::<Vec<_>>().join(", "),
    })?;
    if let Some((_, component)) = &shows.part
        && !catalogue.rows.iter().any(|row| row.component == *component)
    {
        return Err(Error::NoPart { component: component.clone(), known: parts(catalogue, "").join(", ") });
    }
    let was = placed.of.as_ref().map(|of| (placed.item, of.clone()));
    let Some((item, component)) = shows.part.clone().or_else(|| was.clone()) else {
        return Err(Error::ShowsNothing { name: placed.name.clone() });
    };
    let stand = |(_, part): (u32, String)| Stand { value: Value::Text(part), unit: None, state: State::Entered };
    Ok(Decision {
        version: JOURNAL_VERSION,
        number: 0,
        at: who.at,
        by: who.by.clone(),
        act: Act::Show,
        fact: FactName { item, component, attribute: "photo".to_owned(), place: None },
        was: was.map(stand),
        is: shows.part.clone().map(stand),
        why: who.why.clone(),
        photo: Some(placed.name.clone()),
        undoes: None,
        heard: Vec::new(),
        basis: Vec::new(),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn placed(of: Option<&str>) -> Placed {
        Placed { name: "a.jpg".into(), of: of.map(str::to_owned), item: 1, how: How::Words, mark: None, taken: None }
    }

    fn decided(of: Option<&str>, shows: &str) -> Result<Decision, Error> {
        let who = Who { by: "Ida Example".into(), at: jiff::Timestamp::UNIX_EPOCH, why: None };
        show(&[placed(of)], &shows.parse()?, &Catalogue::shipped(), &who)
    }

    #[test]
    fn a_person_says_what_a_photograph_shows() {
        let decision = decided(Some("casing"), "a.jpg=2/drain-pan").unwrap();
        assert_eq!(
            (decision.fact.to_string().as_str(), decision.photo.as_deref()),
            ("2/drain-pan.photo", Some("a.jpg"))
        );
        assert_eq!(decision.was.unwrap().value, Value::Text("casing".into()));
        for nothing in ["a.jpg=", "a.jpg=none"] {
            let nothing = decided(Some("casing"), nothing).unwrap();
            assert_eq!((nothing.fact.component.as_str(), nothing.is), ("casing", None));
        }
    }

    #[test]
    fn what_is_not_there_is_refused() {
        for shows in ["b.jpg=casing", "a.jpg=casings", "a.jpg", "=casing", "a.jpg=0/casing", "a.jpg="] {
            assert!(decided(None, shows).is_err(), "{shows}");
        }
    }
}

//! What a person says of a photograph: which part it shows, or that it shows none.
use super::{Error, Who};
use crate::lexicon::Catalogue;
use crate::record::{Act, Decision, FactName, JOURNAL_VERSION, Placed, Stand, State, Value};

/// `IMG_1.jpg=[item/]component`, or `IMG_1.jpg=` for a photograph that shows nothing of the record.
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
        let part = (!component.is_empty()).then(|| (item, component.to_owned()));
        Ok(Shows { name: name.to_owned(), part })
    }
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
        let mut known: Vec<&str> = catalogue.rows.iter().map(|row| row.component.as_str()).collect();
        known.dedup();
        return Err(Error::NoPart { component: component.clone(), known: known.join(", ") });
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
    use crate::record::How;

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
        let nothing = decided(Some("casing"), "a.jpg=").unwrap();
        assert_eq!((nothing.fact.component.as_str(), nothing.is), ("casing", None));
    }

    #[test]
    fn what_is_not_there_is_refused() {
        for shows in ["b.jpg=casing", "a.jpg=casings", "a.jpg", "=casing", "a.jpg=0/casing", "a.jpg="] {
            assert!(decided(None, shows).is_err(), "{shows}");
        }
    }
}

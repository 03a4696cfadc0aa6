//! Facts in a few plain words, and back.
use super::error::Error;
use crate::lexicon::{Catalogue, Kind};
use crate::record::{Fact, Value};

/// A number as a person writes it: no more than three decimals, no idle zeros.
pub fn number(value: f64) -> String {
    let text = format!("{value:.3}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// What a fact says, in words for the client.
pub fn words(fact: &Fact, catalogue: &Catalogue) -> String {
    catalogue.names.fact(fact)
}

/// A unit of the catalogue as people write it.
pub fn readable(unit: &str) -> &str {
    match unit {
        "degF" => "°F",
        unit => unit,
    }
}

/// Facts from `component.attribute = value; …`, as the examples of the rules are written.
pub fn facts(text: &str, catalogue: &Catalogue) -> Result<Vec<Fact>, Error> {
    text.split(';').map(str::trim).filter(|part| !part.is_empty()).map(|part| fact(part, catalogue)).collect()
}

fn fact(text: &str, catalogue: &Catalogue) -> Result<Fact, Error> {
    let wrong = || Error::Fact { text: text.to_owned() };
    let (key, value) = text.split_once('=').ok_or_else(wrong)?;
    let (component, attribute) = key.trim().split_once('.').ok_or_else(wrong)?;
    let row = catalogue.row(component, attribute).ok_or_else(wrong)?;
    let value = value.trim();
    let value = match row.kind {
        Kind::Number | Kind::Year => Value::Number(value.parse().map_err(|_| wrong())?),
        Kind::Choice | Kind::Presence if !row.values.iter().any(|v| v == value) => return Err(wrong()),
        Kind::Choice | Kind::Presence | Kind::Text => Value::Text(value.to_owned()),
    };
    Ok(Fact { unit: row.unit.clone(), ..Fact::new(component, attribute, value) })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_absent_part_reads_as_no_part() {
        // Words of ours; the fact is an example of the catalogue.
        let catalogue = Catalogue::shipped();
        let fact = &facts("expansion-tank.presence = absent", &catalogue).unwrap()[0];
        assert_eq!(words(fact, &catalogue), "no expansion tank");
    }

    #[test]
    fn a_spoken_range_keeps_both_ends() {
        let catalogue = Catalogue::shipped();
        let mut fact = facts("water-system.static-pressure = 80", &catalogue).unwrap().remove(0);
        fact.range = Some([75.0, 80.0]);
        assert_eq!(words(&fact, &catalogue), "house water supply, pressure, no water running: 75 to 80 psi");
    }

    #[test]
    fn a_word_that_the_catalogue_does_not_know_is_no_fact() {
        assert!(facts("drain-pan.presence = perhaps", &Catalogue::shipped()).is_err());
    }
}

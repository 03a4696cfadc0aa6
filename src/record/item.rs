//! Heaters counted through a visit: a note that opens with "next unit" goes on where the notes before it ended.
use crate::read::Reading;
use crate::record::Evidence;

/// Gives the heaters of each note their number in the visit; each note by itself counts from 1.
///
/// A note that names no other heater is about the first.
pub fn count_on(readings: &mut [(String, Reading)]) {
    let mut highest = 0;
    for (_, reading) in readings {
        if highest > 0 && opens_another(reading) {
            numbers(reading).for_each(|item| *item += highest);
        }
        highest = numbers(reading).map(|item| *item).fold(highest, u32::max);
    }
}

/// Whether the note turns to another heater before it says anything.
fn opens_another(reading: &Reading) -> bool {
    let turns = reading.commands.iter().filter(|c| c.kind == "next-item");
    let Some(turn) = first(turns.flat_map(|c| &c.evidence)) else { return false };
    let facts = reading.facts.iter().flat_map(|f| &f.evidence);
    let limits = reading.limits.iter().flat_map(|l| &l.evidence);
    let said = first(facts.chain(limits).chain(reading.photos.iter().flat_map(|p| &p.evidence)));
    said.is_none_or(|said| turn <= said)
}

/// The first word that any of the proofs rests on.
fn first<'e>(proofs: impl Iterator<Item = &'e Evidence>) -> Option<usize> {
    proofs.map(|proof| proof.span[0]).min()
}

fn numbers(reading: &mut Reading) -> impl Iterator<Item = &mut u32> {
    let facts = reading.facts.iter_mut().map(|f| &mut f.item);
    let limits = reading.limits.iter_mut().map(|l| &mut l.item);
    facts.chain(limits).chain(reading.photos.iter_mut().map(|p| &mut p.item))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::{Command, Fact, Limit, Value};

    fn at(word: usize) -> Vec<Evidence> {
        vec![Evidence { span: [word, word + 2], ..Evidence::default() }]
    }

    /// A note with a fact at each word given, about the heater given, and a turn to the next at another word.
    fn note(facts: &[(usize, u32)], turn: Option<usize>) -> (String, Reading) {
        let fact = |&(word, item): &(usize, u32)| {
            let fact = Fact::new("water-heater", "place", Value::Text(format!("room {word}")));
            Fact { item, evidence: at(word), ..fact }
        };
        let commands = turn.map(|word| Command { kind: "next-item".to_owned(), undone: false, evidence: at(word) });
        let facts = facts.iter().map(fact).collect();
        (String::new(), Reading { facts, commands: commands.into_iter().collect(), ..Reading::default() })
    }

    fn counted(mut readings: Vec<(String, Reading)>) -> Vec<Vec<u32>> {
        count_on(&mut readings);
        readings.iter().map(|(_, r)| r.facts.iter().map(|f| f.item).collect()).collect()
    }

    #[test]
    fn a_note_that_opens_with_next_unit_counts_on() {
        assert_eq!(counted(vec![note(&[(3, 1)], None), note(&[(2, 1)], Some(0))]), [[1], [2]]);
        let third = vec![note(&[(0, 1), (9, 2)], Some(5)), note(&[(2, 1)], Some(0))];
        assert_eq!(counted(third), [vec![1, 2], vec![3]], "two heaters in the first note, so this is the third");
    }

    #[test]
    fn a_note_that_names_no_other_heater_is_about_the_first() {
        assert_eq!(counted(vec![note(&[(3, 1)], None), note(&[(2, 1)], None)]), [[1], [1]]);
        let turned = vec![note(&[(3, 1)], None), note(&[(1, 1), (9, 2)], Some(6))];
        assert_eq!(counted(turned), [vec![1], vec![1, 2]], "it begins at the first and then turns");
    }

    #[test]
    fn the_first_note_counts_from_one_however_it_opens() {
        assert_eq!(counted(vec![note(&[(2, 1)], Some(0)), note(&[(2, 1)], Some(0))]), [[1], [2]]);
    }

    #[test]
    fn limits_go_with_their_heater() {
        let mut second = note(&[], Some(0));
        second.1.limits.push(Limit { component: "vent".into(), why: "boxes".into(), item: 1, evidence: at(4) });
        let mut readings = vec![note(&[(1, 1)], None), second];
        count_on(&mut readings);
        assert_eq!(readings[1].1.limits[0].item, 2);
    }
}

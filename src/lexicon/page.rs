//! The page of the lexicon for people: what may be said of each part, and what the program makes of it.
use super::entry::Entry;
use super::{Lexicon, Role, TermRef};
use std::fmt::Write;

/// Forms shown of an entry before the rest is only counted.
const SHOWN: usize = 6;
/// Examples shown of an entry.
const EXAMPLES: usize = 2;

/// The page, in Markdown.
pub fn page(lexicon: &Lexicon) -> String {
    let mut page = String::new();
    // Writing into a string cannot fail.
    let _ = fill(lexicon, &mut page);
    page
}

fn fill(lexicon: &Lexicon, page: &mut String) -> std::fmt::Result {
    let phrases: usize =
        lexicon.entries().map(|e| e.no.len() + e.yes.iter().map(|y| y.text.list().len()).sum::<usize>()).sum();
    writeln!(page, "# What people say\n")?;
    writeln!(
        page,
        "Every entry of the lexicon, file by file: {} entries with {phrases} examples, each checked by a test. Of the \
         forms only the first are shown; `(a|b)` is a choice, `[a]` may be left out, `..` skips up to three words. How \
         a file is written, and how an office adds its own words, is told in [the lexicon's README](../lexicon/README.md). \
         This page is made by `hearsheet lexicon page`; to write it anew: \
         `UPDATE_DOCS=1 cargo test --test it page_of_the_lexicon`.",
        lexicon.entries().count()
    )?;
    for (index, source) in lexicon.origin.iter().enumerate() {
        let entries: Vec<Entry> = lexicon.entries().filter(|e| e.source == index).collect();
        if entries.is_empty() {
            continue;
        }
        writeln!(
            page,
            "\n## {}\n\n{}\n\n| entry | says | states | for example |\n| --- | --- | --- | --- |",
            source.name, source.about
        )?;
        for entry in entries {
            writeln!(
                page,
                "| `{}` | {} | {} | {} |",
                entry.id,
                forms(&entry),
                states(lexicon, &entry),
                examples(&entry)
            )?;
        }
    }
    Ok(())
}

fn forms(entry: &Entry) -> String {
    let all: Vec<&String> = entry.says.iter().chain(entry.weak).collect();
    let mut text = all.iter().take(SHOWN).map(|f| escape(f)).collect::<Vec<_>>().join(", ");
    if all.len() > SHOWN {
        text += &format!(" and {} more", all.len() - SHOWN);
    }
    if !entry.misheard.is_empty() {
        text += &format!("; misheard as {}", escape(&entry.misheard[0]));
    }
    text
}

fn states(lexicon: &Lexicon, entry: &Entry) -> String {
    match entry.term {
        TermRef::Part(at) => {
            let part = &lexicon.parts[at];
            let names = part.component.list().join(", ");
            part.presence.as_ref().map_or(names, |key| format!("`{key}`"))
        }
        TermRef::Saying(at) => {
            let saying = &lexicon.sayings[at];
            let mut text = code(saying.states.list());
            if let Some(not) = &saying.not {
                text += &format!("; denied: {}", code(not.list()));
            }
            if !saying.need.is_empty() {
                text += &format!("; of {}", saying.need.join(", "));
            }
            text
        }
        TermRef::Reading(at, _) => format!("`{}`", lexicon.readings[at].states),
        TermRef::Cue(at) => role(lexicon.cues[at].role).to_owned(),
    }
}

fn code(facts: &[String]) -> String {
    facts.iter().map(|fact| format!("`{fact}`")).collect::<Vec<_>>().join(", ")
}

fn examples(entry: &Entry) -> String {
    let all = entry.yes.iter().flat_map(|example| example.text.list());
    let shown: Vec<String> = all.take(EXAMPLES).map(|text| format!("\"{}\"", escape(text))).collect();
    if shown.is_empty() {
        entry.no.first().map_or(String::new(), |no| format!("not \"{}\"", escape(no)))
    } else {
        shown.join("<br>")
    }
}

fn role(role: Role) -> &'static str {
    match role {
        Role::ScratchThat => "takes back the last statement",
        Role::Correction => "lets the value after it replace the one before",
        Role::NextItem => "another heater begins",
        Role::FirstItem => "back to the first heater",
        Role::EndOfNote => "the note ends",
        Role::WhatIsLeft => "what is still open is told",
        Role::ReadBack => "the last facts are told again",
        Role::StopListening => "nothing more is read",
        Role::StartListening => "what is said is read again",
        Role::Photo => "a photograph of what follows",
        Role::PhotoBefore => "a photograph of what was just named",
        Role::Limit => "could not be seen",
        Role::Wish => "was wanted, but could not be",
        Role::Overcome => "tells that what was in the way was overcome, so that it is no limit",
        Role::GivenUp => "tells again a value that is given up",
        Role::Reason => "why it could not be seen",
        Role::OutOfView => "the side that is hard to see",
        Role::FarEnd => "where a pipe ends",
        Role::Place => "a room or space",
        Role::PlaceBefore => "belongs to the name of a room",
        Role::Fixture => "where a reading is taken",
        Role::Brand => "the maker's name follows",
        Role::BrandBefore => "the maker's name stands before",
        Role::Model => "the model number follows",
        Role::Serial => "the serial number follows",
        Role::Both => "of both parts just named",
        Role::AllItems => "of all heaters",
        Role::SeveralItems => "the house has several heaters",
        Role::DegreeLight => "to a light degree",
        Role::DegreeModerate => "to a moderate degree",
        Role::DegreeHeavy => "to a heavy degree",
        Role::There => "is there",
        Role::Gone => "is not there",
        Role::Nothing => "looks like a term and is none",
        Role::Other => "another appliance",
        Role::NoneOfIt => "nothing said before counts",
        Role::AsideBegins => "something else is told of from here on",
        Role::AsideEnds => "back to the heater at hand",
        Role::NotHere => "told of no house at hand",
    }
}

fn escape(text: &str) -> String {
    text.replace('|', "\\|")
}

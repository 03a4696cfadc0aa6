//! The lexicon's own phrases, what they cover, and what recognisers write for the trade's words.
use hearsheet::lexicon::{self, Kind, Lexicon};
use hearsheet::read;
use hearsheet::recognize::Transcript;
use hearsheet::score;
use std::collections::HashSet;

/// Fewer phrases than this show too little of how people talk.
const PHRASES: usize = 3_500;

#[test]
fn every_phrase_gives_what_its_entry_says_and_no_two_entries_clash() {
    let (lexicon, findings) = lexicon::check(&[]);
    let findings: Vec<String> = findings.iter().map(|f| format!("{}:{}: {}", f.file, f.line, f.what)).collect();
    assert!(findings.is_empty(), "entries without example, clashes, ill-made forms:\n{}", findings.join("\n"));
    let misses: Vec<String> =
        score::examples(&lexicon).iter().map(|m| format!("{}:{}: {}", m.file, m.line, m.what)).collect();
    assert!(misses.is_empty(), "phrases that do not give what they should:\n{}", misses.join("\n"));
    let phrases = score::phrases(&lexicon);
    assert!(phrases >= PHRASES, "{phrases} phrases are left");
}

#[test]
fn every_fact_that_the_record_can_hold_is_said_in_some_phrase() {
    let lexicon = Lexicon::shipped().unwrap();
    let said: HashSet<&str> =
        lexicon.entries().flat_map(|e| e.yes).flat_map(|y| y.fact.list()).map(String::as_str).collect();
    let attributes: HashSet<&str> = said.iter().filter_map(|fact| fact.split(" = ").next()).collect();
    let mut unsaid = Vec::new();
    for row in &lexicon.catalogue.rows {
        let key = format!("{}.{}", row.component, row.attribute);
        match row.kind {
            Kind::Choice | Kind::Presence => {
                let values = row.values.iter().map(|value| format!("{key} = {value}"));
                unsaid.extend(values.filter(|fact| !said.contains(fact.as_str())));
            }
            Kind::Number | Kind::Year | Kind::Text if attributes.contains(key.as_str()) => {}
            Kind::Number | Kind::Year | Kind::Text => unsaid.push(key),
        }
    }
    assert!(unsaid.is_empty(), "no phrase of the lexicon says {unsaid:?}");
}

/// A term of the table, a sentence that it stands in, and what that sentence states.
const CARRIERS: [(&str, &str, &str, &str); 32] = [
    ("TPR valve", "There is a {} on the side.", "relief-valve.presence", "present"),
    ("T&P valve", "There is a {} on the side.", "relief-valve.presence", "present"),
    ("relief valve", "There is a {} on the side.", "relief-valve.presence", "present"),
    ("discharge pipe", "No {}.", "relief-discharge.presence", "absent"),
    ("CPVC", "The discharge pipe is {}.", "relief-discharge.material", "cpvc"),
    ("PEX", "The discharge pipe is {}.", "relief-discharge.material", "pex"),
    ("PVC", "The discharge pipe is {}.", "relief-discharge.material", "pvc"),
    ("galvanized", "The discharge pipe is {}.", "relief-discharge.material", "galvanized"),
    ("copper", "The discharge pipe is {}.", "relief-discharge.material", "copper"),
    ("dielectric union", "There is a {} on the hot side.", "dielectric-union.presence", "present"),
    ("expansion tank", "There is no {}.", "expansion-tank.presence", "absent"),
    ("drain pan", "There is no {}.", "drain-pan.presence", "absent"),
    ("heating element", "Light rust at the lower {}.", "element-cover.corrosion", "light"),
    ("pressure reducing valve", "There is a {} on the main.", "water-system.regulator", "present"),
    ("backflow preventer", "There is a {} at the meter.", "water-system.loop", "closed"),
    ("sediment trap", "There is a {} on the gas line.", "sediment-trap.presence", "present"),
    ("drip leg", "There is a {} on the gas line.", "sediment-trap.presence", "present"),
    ("flue", "There is no {} pipe.", "vent.presence", "missing"),
    ("draft hood", "The {} is pulling.", "draft-hood.draft", "drafting"),
    ("B-vent", "The flue is {}.", "vent.material", "b-vent"),
    ("combustion air", "The {} is adequate.", "combustion-air.supply", "adequate"),
    ("flexible gas connector", "There is a {} at the gas shutoff.", "gas-line.material", "flex-connector"),
    ("CSST", "The gas line is {}.", "gas-line.material", "csst"),
    ("pilot light", "The {} is not lit.", "burner.flame", "not-lit"),
    ("spillage", "The draft hood shows {}.", "draft-hood.draft", "spilling"),
    ("breaker", "It is on a thirty amp {}.", "breaker.rating", "30"),
    ("ten gauge", "The wire is {}.", "cable.gauge", "10"),
    ("psi", "Static pressure is sixty {}.", "water-system.static-pressure", "60"),
    ("BTU", "Input is forty thousand {}.", "water-heater.input-rate", "40000"),
    ("degrees Fahrenheit", "Hot water is one hundred twenty {}.", "hot-water.temperature", "120"),
    ("amps", "The breaker is thirty {}.", "breaker.rating", "30"),
    ("hose bibb", "Static pressure is sixty psi at the {}.", "water-system.static-pressure", "60"),
];

/// Terms of the same trades that no fact of a water heater hangs on.
const OTHER: [&str; 21] = [
    "ABS",
    "polybutylene",
    "dip tube",
    "anode rod",
    "thermostat",
    "vacuum breaker",
    "GFCI",
    "AFCI",
    "receptacle",
    "double tapped breaker",
    "service entrance",
    "bonding jumper",
    "grounding electrode",
    "knob and tube",
    "aluminum wiring",
    "ampacity",
    "reversed polarity",
    "gpm",
    "water column",
    "P-trap",
    "S-trap",
];

/// Mishearings that are left alone: everyday words, or words that the reading takes for a condition ("if", "would").
const LEFT: [&str; 7] = ["drainpipe", "draft would", "tin gauge", "tan gauge", "Tengage", "BT's", "T P are valve"];

/// Words that people say as well as they are misheard.
const SAID: [&str; 3] = ["TP valve", "drip pan", "draft good"];

/// A number is as sure as its digits: a unit or a breaker that was misheard costs it nothing.
const NUMBERS: [&str; 7] = ["breaker", "ten gauge", "psi", "BTU", "degrees Fahrenheit", "amps", "hose bibb"];

/// What is said of a part is as sure as its own words: that the part was misheard costs it nothing.
const REACHED: [&str; 4] = ["heating element", "combustion air", "draft hood", "pilot light"];

/// What a sentence states of `key`, with the confidence.
fn stated(lexicon: &Lexicon, sentence: &str, key: &str) -> Option<(String, f64)> {
    let reading = read::facts(&Transcript::from_text(sentence), lexicon, "mishearing");
    reading.facts.iter().find(|f| f.key() == key).map(|f| (f.value.to_string(), f.confidence))
}

/// Letters and digits, without what only spelling tells apart.
fn letters(text: &str) -> String {
    let plain: String = text.to_lowercase().chars().filter(char::is_ascii_alphanumeric).collect();
    plain.replace("ised", "ized").trim_end_matches('s').to_owned()
}

/// The table is the trade's own list of 371 mishearings of small recognisers, as they were collected for this program.
#[test]
fn what_recognisers_write_for_a_term_gives_its_fact_with_less_confidence() {
    let lexicon = Lexicon::shipped().unwrap();
    let mut wrong = Vec::new();
    let mut understood = 0;
    for line in include_str!("../tables/mishearing.csv").lines().skip(1) {
        let [term, class, heard] = line.splitn(3, ',').collect::<Vec<_>>()[..] else { panic!("{line}") };
        let Some((_, carrier, key, value)) = CARRIERS.iter().find(|c| c.0 == term) else {
            let ours = matches!(class, "gas" | "electrical" | "unit") || (class == "plumbing" && term != "sump pump");
            assert!(!ours || OTHER.contains(&term) || matches!(term, "cleanout"), "nothing carries '{term}'");
            continue;
        };
        if LEFT.contains(&heard) {
            continue;
        }
        let sentence = carrier.replace("{}", heard);
        let plain = carrier.replace("{}", term);
        let (right, sure) = stated(&lexicon, &plain, key).unwrap_or_else(|| panic!("{plain} gives no {key}"));
        assert_eq!(right, *value, "the term itself: {}", carrier.replace("{}", term));
        match stated(&lexicon, &sentence, key) {
            Some((given, confidence)) if given == *value => {
                understood += 1;
                let alike = strsim::levenshtein(&letters(heard), &letters(term)) <= 1;
                let unsure = !alike && !SAID.contains(&heard) && !NUMBERS.contains(&term) && !REACHED.contains(&term);
                if unsure && confidence >= sure {
                    wrong.push(format!("'{sentence}' is as sure as with {term}: {confidence}"));
                }
            }
            other => wrong.push(format!("'{sentence}' should give {key} = {value} ({term}), gives {other:?}")),
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
    assert!(understood >= 125, "of 139 mishearings of these terms {understood} are understood");
}

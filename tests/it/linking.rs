//! Of which part something is said, where the words tell it only by what was said before. The sentences are invented, ours.
use hearsheet::lexicon::Lexicon;
use hearsheet::read;
use hearsheet::recognize::Transcript;
use std::sync::LazyLock;

static LEXICON: LazyLock<Lexicon> = LazyLock::new(|| Lexicon::shipped().unwrap());

/// What a text says, as `component.attribute = value` and `limit component`, in order.
fn said(text: &str) -> String {
    let reading = read::facts(&Transcript::from_text(text), &LEXICON, "note.txt");
    let facts = reading.facts.iter().map(|f| format!("{} = {}", f.key(), f.value));
    let limits = reading.limits.iter().map(|l| format!("limit {}", l.component));
    let photos = reading.photos.iter().map(|p| format!("photo {}", p.of));
    let mut all: Vec<String> = facts.chain(limits).chain(photos).map(|s| s.replace("1/", "")).collect();
    all.sort();
    all.join(", ")
}

fn says(text: &str, wanted: &str) {
    assert_eq!(said(text), wanted, "{text}");
}

#[test]
fn a_correction_that_names_only_the_other_part_moves_what_was_said() {
    says("Moderate rust at the hot connection, correction, that's the cold connection.", "inlet.corrosion = moderate");
    says("The inlet is dripping. No, sorry, the outlet.", "outlet.leak = active");
    // Named for itself: nothing moves.
    says("Rust at the inlet, moderate. Not the outlet.", "inlet.corrosion = moderate");
}

#[test]
fn what_is_denied_of_one_part_is_what_was_said_of_the_other() {
    says(
        "The cold side's rusty, moderate, the hot one's got none.",
        "inlet.corrosion = moderate, outlet.corrosion = none",
    );
    says("The cold side's leaking, the hot side isn't.", "inlet.leak = active, outlet.leak = none-seen");
    says("The cold side isn't leaking, the hot side is.", "inlet.leak = none-seen, outlet.leak = active");
    // No rust on it, and not no flue.
    says("Rust on the jacket, light, the flue has none.", "casing.corrosion = light, vent.corrosion = none");
}

#[test]
fn what_is_likened_to_a_part_is_as_that_part() {
    says(
        "Moderate rust at the cold inlet. Same on the hot side.",
        "inlet.corrosion = moderate, outlet.corrosion = moderate",
    );
    says("The cold inlet is PEX, and so's the hot outlet.", "inlet.material = pex, outlet.material = pex");
    says(
        "Hot outlet, copper, no leak. Cold inlet, identical.",
        "inlet.leak = none-seen, inlet.material = copper, outlet.leak = none-seen, outlet.material = copper",
    );
    says(
        "No drip leg. Same for the expansion tank.",
        "expansion-tank.presence = absent, sediment-trap.presence = absent",
    );
    // That it is there too is no likeness.
    says("No pan. Relief valve's there too.", "drain-pan.presence = absent, relief-valve.presence = present");
}

#[test]
fn what_was_thought_and_ruled_out_is_not_told() {
    let dry = "relief-valve.leak = none-seen, relief-valve.presence = present";
    says("I thought the relief valve was wet, wiped it, waited, stays dry.", dry);
    says("The relief valve's not leaking and never has.", dry);
    says(
        "Discharge pipe's there. I had it as level, but the bubble says it runs uphill.",
        "relief-discharge.presence = present, relief-discharge.slope = up",
    );
    says("There's no expansion tank. Ah no, there is, up behind the beam.", "expansion-tank.presence = present");
    says("No drip leg. Wait, the pan is there.", "drain-pan.presence = present, sediment-trap.presence = absent");
}

#[test]
fn a_question_may_be_answered_part_by_part() {
    says(
        "Rust? On the jacket, no. On the hot connection, yes, moderate I would say.",
        "casing.corrosion = none, outlet.corrosion = moderate",
    );
    says("Did the job on Elm yesterday. Rust? On the jacket, no.", "casing.corrosion = none");
}

#[test]
fn a_note_may_open_with_from_where_nothing_was_seen() {
    // No word stands before the first.
    says("From here I couldn't see the drain valve.", "limit drain-valve");
}

#[test]
fn work_that_was_not_done_finds_nothing() {
    says("Did I check the gas pipe for leaks? I did not, the battery in the sniffer died.", "limit gas-line");
    says("The joints of the gas line weren't checked for leaks.", "limit gas-line");
    says("Did I find any rust on the jacket? No.", "casing.corrosion = none");
    // From where it comes is no outlet.
    says("Water is beading out of the cold connection.", "inlet.leak = active");
}

#[test]
fn a_number_denied_for_another_does_not_stand() {
    says("The cable isn't twelve gauge but eight.", "cable.gauge = 8");
    let gas = "water-heater.capacity = 50, water-heater.energy = natural-gas, water-heater.style = storage";
    says("Natural gas, forty gallons, no, fifty, says fifty right on the sticker.", gas);
}

#[test]
fn a_heading_is_what_the_next_sentence_could_not_see() {
    says("Next, the drain valve. Behind a wall of boxes, so no luck.", "limit drain-valve");
    says("Draft hood and vent sit behind a riveted screen. I could examine neither.", "limit draft-hood, limit vent");
    says(
        "Boxes were blocking the relief valve, so I shifted them. No leaks on it.",
        "relief-valve.leak = none-seen, relief-valve.presence = present",
    );
    // Its own fault is no limit.
    says("Can't make out the rating label, somebody's painted over it.", "data-plate.legibility = illegible");
    says("Rating label faces the wall, I couldn't read it.", "limit data-plate");
}

#[test]
fn photographs_are_listed_counted_and_called_off() {
    says("Two photos. One's the pan, the other's the relief valve.", "photo drain-pan, photo relief-valve");
    says(
        "I did not photograph the expansion tank. It's supported.",
        "expansion-tank.presence = present, expansion-tank.support = supported",
    );
    says(
        "Discharge pipe is copper, drain valve is brass, both photographed.",
        "drain-valve.material = brass, photo drain-valve, photo relief-discharge, relief-discharge.material = copper, relief-discharge.presence = present",
    );
}

#[test]
fn a_search_between_a_part_and_its_not_being_found_says_that_there_is_none() {
    let none = "expansion-valve.presence = absent";
    says("Expansion relief valve? Went through every room and didn't find one.", none);
    says("Expansion relief valve, I looked high and low, and there is none.", none);
}

#[test]
fn a_pipe_is_of_the_valve_that_it_comes_off() {
    let pipe = "relief-discharge.end-gap = 8, relief-discharge.end-place = floor, relief-discharge.material = galvanized, \
                relief-discharge.presence = present, relief-discharge.slope = down, relief-valve.presence = present";
    says(
        "Relief valve's on the side, galvanized pipe coming off it, runs down and stops eight inches above the floor.",
        pipe,
    );
    says(
        "Relief valve's on the side. What comes off it is galvanized, runs down and stops eight inches above the floor.",
        pipe,
    );
}

#[test]
fn a_note_that_greets_is_a_note_if_it_tells_as_much() {
    let told = said(
        "Hi, this is the boathouse. Gas water heater, forty gallon. No pan. Relief valve's there. The vent's connected. \
         Drip leg, none. Light rust on the jacket. City water. Seventy pounds at the hose bib.",
    );
    assert!(
        told.contains("water-system.static-pressure = 70") && told.contains("drain-pan.presence = absent"),
        "{told}"
    );
    says("Hi, this is Ann. Did you see that leak at the relief valve on Elm Street? The owner called.", "");
}

#[test]
fn a_part_not_seen_may_be_named_before_or_stand_for_itself() {
    says("Whether there's a pan in there at all is anybody's guess.", "limit drain-pan");
    says("The drain valve and the cold shutoff, I couldn't get to either.", "limit cold-shutoff, limit drain-valve");
    says("Relief valve's there. It was not exercised.", "limit relief-valve, relief-valve.presence = present");
    // Looked for and not found: there is none.
    says("I looked for a drip leg and didn't find one.", "sediment-trap.presence = absent");
}

#[test]
fn the_verdict_behind_a_rust_counts_and_not_some_before_it() {
    says("There's some crusty corrosion on the hot connection, moderate I'd say.", "outlet.corrosion = moderate");
    says("Some rust on the jacket, I'd put that at heavy.", "casing.corrosion = heavy");
    says("Light rust on the jacket, nothing heavy.", "casing.corrosion = light");
}

#[test]
fn a_word_that_was_said_of_a_part_stands_for_it_in_a_photograph() {
    says(
        "Heavy rust on the flue at the elbow. The pan's dry. I took a picture of that elbow.",
        "drain-pan.presence = present, drain-pan.state = dry, photo vent, vent.corrosion = heavy",
    );
}

#[test]
fn a_serial_number_that_is_corrected_is_told_over_or_unsure() {
    says(
        "Serial, zero seven, double three, N, one eight. Sorry, one nine on the end. So zero seven double three N one nine.",
        "water-heater.serial = 0733N19",
    );
    let reading =
        read::facts(&Transcript::from_text("Serial four four K seven two. Sorry, seven three."), &LEXICON, "note.txt");
    // What stands at the end is for a person to put together: not shown as sure, that is under 0.9.
    assert!(reading.facts.iter().all(|fact| fact.confidence < 0.9), "{:?}", reading.facts);
    // An explanation with nothing before it is no code, and no fault.
    says("N like November.", "");
}

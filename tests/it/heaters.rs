//! Two heaters in one note, led in by the many words that people have for it, and parts that come in twos and are none.
use crate::reading::{tells, told};

#[test]
fn another_heater_is_led_in_by_number_side_room_size_fuel_or_another() {
    const FIRST: &str = "gas, forty gallons. No drip leg.";
    const SECOND: &str = "electric, fifty gallons. The pan is dry.";
    let led_in = [
        ("Two heaters here. First, garage,", "Second, basement,"),
        ("Tank one. Garage,", "Tank two. Attic,"),
        ("Number one, garage,", "Number two, attic,"),
        ("Unit A, in the garage,", "Unit B, in the attic,"),
        ("Two of them side by side in the furnace room. The left one is", "The right one is"),
        ("Upstairs unit.", "Downstairs unit."),
        ("Two tanks in this house. Upstairs one first.", "Now the downstairs one."),
        ("There are two. The bigger one is in the basement,", "The smaller one is under the kitchen sink,"),
        ("Main house heater is in the cellar,", "In-law suite heater is in the hall closet,"),
        ("Garage heater,", "Moving to the other heater, the one in the attic,"),
        ("Heater in the garage,", "That's it for that one. Over in the shop there's another,"),
        ("Heater in the garage,", "So much for the gas one. The electric one now, it's in the attic,"),
        ("Heater in the garage,", "Then there's the one in the shed."),
        ("Heater in the garage,", "Second system, guest house."),
        ("Heater in the garage,", "All right, other house now, the cottage."),
        ("Heater in the garage,", "As for the second one, up in the loft, it's"),
        ("Heater in the garage,", "Okay, on to the annex."),
        ("This is for the first of two. Garage,", "And the second of the two. Attic,"),
    ];
    let wanted = [
        "water-heater.energy = natural-gas",
        "water-heater.capacity = 40",
        "sediment-trap.presence = absent",
        "water-heater.energy = electric #2",
        "water-heater.capacity = 50 #2",
        "drain-pan.state = dry #2",
    ];
    for (first, second) in led_in {
        let text = format!("{first} {FIRST} {second} {SECOND}");
        tells(&text, &wanted, &["water-heater.capacity = 40 #2", "drain-pan.state = dry #3"]);
        assert!(
            !told(&text).contains(&"water-heater.capacity = 50".to_owned()),
            "{text}: the second's volume is the first's"
        );
    }
}

#[test]
fn what_is_told_of_both_before_either_is_kept_of_each() {
    let text = "Heater one is in the utility room, heater two is out in the workshop, and they're twins. Both electric, \
                fifty gallons apiece. On number one, the relief valve is weeping. Now number two. Relief valve's dry.";
    let wanted = [
        "water-heater.place = utility room",
        "water-heater.place = workshop #2",
        "water-heater.capacity = 50",
        "water-heater.capacity = 50 #2",
        "relief-valve.leak = active",
        "relief-valve.leak = none-seen #2",
    ];
    tells(text, &wanted, &["relief-valve.leak = active #2", "relief-valve.leak = none-seen #3"]);
    let text = "Two water heaters, one gas, one electric. The gas one is in the garage. No drip leg. The electric one is \
                in the attic. No pan.";
    let wanted = [
        "water-heater.energy = natural-gas",
        "water-heater.energy = electric #2",
        "sediment-trap.presence = absent",
        "drain-pan.presence = absent #2",
    ];
    tells(text, &wanted, &["water-heater.energy = natural-gas #2"]);
}

#[test]
fn talk_goes_back_to_a_heater_by_its_number_or_its_room() {
    let both =
        "First heater, garage, gas, forty gallons. No drip leg. Heater two, shed, electric, ten gallons. No pan.";
    for back in ["Back to the garage one, relief valve is dripping.", "Back to number one, relief valve is dripping."] {
        tells(&format!("{both} {back}"), &["relief-valve.leak = active"], &["relief-valve.leak = active #2"]);
    }
}

#[test]
fn parts_that_come_in_twos_are_no_heaters() {
    for (text, wanted) in [
        (
            "Gas, forty gallon. Two gas valves on the line, first one leaks, the other one is tight.",
            "water-heater.capacity = 40",
        ),
        ("Electric, forty gallon. Upper element cover is on. The lower one is off.", "water-heater.capacity = 40"),
        ("Electric. Two breakers. The left one is thirty amps, the right one is spare.", "breaker.rating = 30"),
        ("Electric cylinder, two hundred litres. Two shutoffs. The cold one works.", "water-heater.energy = electric"),
        ("Electric tank, two hundred and ten litres. Breaker, sixteen, no, twenty amps.", "breaker.rating = 20"),
    ] {
        tells(text, &[wanted], &[]);
        assert!(!told(text).iter().any(|fact| fact.contains('#')), "{text}: {:?}", told(text));
    }
}

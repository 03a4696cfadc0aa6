use super::*;

fn verdicts(inches: f64, standard: &str) -> String {
    let rules = Rules::shipped().unwrap();
    let size = Length::new::<inch>(0.75);
    figure(Length::new::<inch>(inches), Some(size), &rules, standard).unwrap().summary()
}

#[test]
fn eight_inches_is_too_high_for_one_code_and_right_for_the_other() {
    // IRC 2021 P2804.6.1: at most 6 in. UPC 608.5: 6 to 24 in.
    assert_eq!(verdicts(8.0, "irc-2021"), "at most 6 in too high; two diameters, 1.5 in (from memory) not too low");
    assert_eq!(verdicts(8.0, "upc-2021"), "at most 24 in not too high; at least 6 in not too low");
}

#[test]
fn half_an_inch_fails_the_two_diameters() {
    assert!(verdicts(0.5, "irc-2021").contains("1.5 in (from memory) too low"));
}

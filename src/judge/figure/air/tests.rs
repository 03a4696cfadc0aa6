use super::*;

fn burner(btuh: f64) -> Power {
    Power::new::<btu_per_hour>(btuh)
}

#[test]
fn a_closet_is_too_small_for_a_heater_of_forty_thousand() {
    // IRC 2021 G2407.5.1: 50 ft³ × 40 = 2,000 ft³; the closet is 6 × 5 × 8 ft = 240 ft³.
    let closet = Volume::new::<cubic_feet>(6.0 * 5.0 * 8.0);
    let figure = combustion(&[burner(40_000.0)], Some(closet)).unwrap();
    assert!(figure.summary().contains("2000 ft³") && figure.summary().contains("too small"), "{}", figure.summary());
}

#[test]
fn the_burners_of_a_room_are_counted_together() {
    // 50 × (40 + 80) = 6,000 ft³, by hand.
    let needed = room_needed(&[burner(40_000.0), burner(80_000.0)]).unwrap();
    assert!((needed.get::<cubic_feet>() - 6000.0).abs() < 1e-6);
}

#[test]
fn a_room_of_just_the_volume_is_enough() {
    let room = Volume::new::<cubic_feet>(2000.0);
    assert!(combustion(&[burner(40_000.0)], Some(room)).unwrap().summary().contains("enough"));
}

#[test]
fn five_inches_over_eight_feet_is_five_eighths_an_inch_a_foot() {
    // 5 / 8 = 0.625, by hand.
    let slope = vent_rise(Length::new::<inch>(5.0), Length::new::<foot>(8.0)).unwrap();
    assert!((slope - 0.625).abs() < 1e-12);
}

#[test]
fn a_vent_that_falls_is_below_the_least_rise() {
    let figure = vent(Length::new::<inch>(-1.0), Length::new::<foot>(4.0)).unwrap();
    assert!(figure.summary().contains("below the least rise") && !figure.summary().contains("not below"));
}

#[test]
fn a_run_of_no_length_is_refused_with_the_range() {
    let error = vent_rise(Length::new::<inch>(5.0), Length::new::<foot>(0.0)).unwrap_err().to_string();
    assert!(error.contains("0.5 to 100 ft"), "{error}");
}

use super::*;
use proptest::prelude::*;

/// Each names its source in its header.
const ELEMENTS: &str = include_str!("../../../../tests/tables/element.csv");
const BREAKERS: &str = include_str!("../../../../tests/tables/breaker.csv");
const WIRES: &str = include_str!("../../../../tests/tables/wire.csv");

fn rows(table: &str) -> Vec<Vec<f64>> {
    let mut reader = csv::ReaderBuilder::new().comment(Some(b'#')).from_reader(table.as_bytes());
    reader.records().map(|row| row.unwrap().iter().map(|cell| cell.parse().unwrap()).collect()).collect()
}

fn watts_and_volts(watts: f64, volts: f64) -> Load {
    let power = Some(Power::new::<watt>(watts));
    let voltage = Some(ElectricPotential::new::<volt>(volts));
    Load::from_any_two(Known { power, voltage, ..Known::default() }).unwrap()
}

#[test]
fn the_elements_of_the_table_draw_and_need_what_it_says() {
    let rows = rows(ELEMENTS);
    assert_eq!(rows.len(), 9);
    for row in rows {
        let amps = watts_and_volts(row[0], row[1]).current.get::<ampere>();
        // The table is rounded to hundredths.
        assert!((amps - row[2]).abs() <= 0.0051, "{} W: {amps} A", row[0]);
        assert!((circuit_min(amps) - row[3]).abs() <= 0.0051, "{} W", row[0]);
        assert_eq!(standard_at_least(circuit_min(amps)), Some(row[4]), "{} W: smallest", row[0]);
        assert!((1.5 * amps - row[5]).abs() <= 0.0051, "{} W", row[0]);
        assert_eq!(breaker_max(amps), Some(row[6]), "{} W: largest", row[0]);
    }
}

#[test]
fn the_standard_sizes_are_those_of_the_code() {
    // NEC 2020 table 240.6(A).
    assert_eq!(rows(BREAKERS).concat(), STANDARD_BREAKERS);
}

#[test]
fn the_conductor_limits_are_those_of_the_code() {
    // NEC 2020 240.4(D) and table 310.16; the header tells which were checked.
    let expected: Vec<(f64, f64)> = rows(WIRES).iter().map(|row| (row[0], row[1])).collect();
    assert_eq!(expected, WIRE_LIMITS);
    assert_eq!(wire_max(11.0), None, "no wire of 11 AWG is made for houses");
}

#[test]
fn an_element_of_240_volts_gives_three_quarters_on_208() {
    // (208 / 240)² = 75.1 %: 4,500 W becomes 3,380 W at 16.25 A, by hand.
    let rated = watts_and_volts(4500.0, 240.0);
    assert!((rated.resistance.get::<ohm>() - 12.8).abs() < 1e-9);
    let known = Known {
        voltage: Some(ElectricPotential::new::<volt>(208.0)),
        resistance: Some(rated.resistance),
        ..Known::default()
    };
    let load = Load::from_any_two(known).unwrap();
    assert!((load.power.get::<watt>() - 3380.0).abs() < 1e-9);
    assert!((load.current.get::<ampere>() - 16.25).abs() < 1e-9);
}

#[test]
fn figures_that_contradict_each_other_are_refused() {
    let known = Known {
        power: Some(Power::new::<watt>(4500.0)),
        voltage: Some(ElectricPotential::new::<volt>(240.0)),
        current: Some(ElectricCurrent::new::<ampere>(30.0)),
        resistance: None,
    };
    let error = Load::from_any_two(known).unwrap_err().to_string();
    assert!(error.contains("18.75 A"), "{error}");
}

#[test]
fn one_figure_alone_is_refused_and_two_are_asked_for() {
    let known = Known { power: Some(Power::new::<watt>(4500.0)), ..Known::default() };
    let error = Load::from_any_two(known).unwrap_err().to_string();
    assert!(error.contains("any two"), "{error}");
}

proptest! {
    #[test]
    fn any_two_figures_give_the_other_two(watts in 100.0..12_000.0f64, volts in 100.0..260.0f64) {
        let load = watts_and_volts(watts, volts);
        let (p, v, i, r) = (Some(load.power), Some(load.voltage), Some(load.current), Some(load.resistance));
        let pairs = [
            Known { power: p, voltage: v, ..Known::default() }, Known { power: p, current: i, ..Known::default() },
            Known { power: p, resistance: r, ..Known::default() }, Known { voltage: v, current: i, ..Known::default() },
            Known { voltage: v, resistance: r, ..Known::default() }, Known { current: i, resistance: r, ..Known::default() },
        ];
        for known in pairs {
            let got = Load::from_any_two(known).unwrap();
            prop_assert!((got.power.get::<watt>() / watts - 1.0).abs() < 1e-9);
            prop_assert!((got.voltage.get::<volt>() / volts - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn the_smallest_breaker_is_never_above_the_largest(amps in 0.5..150.0f64) {
        // 150 % rounded up is at least 125 % rounded up.
        prop_assert!(standard_at_least(circuit_min(amps)) <= breaker_max(amps));
    }
}

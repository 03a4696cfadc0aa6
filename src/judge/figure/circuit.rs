//! Current, breaker and wire of an electric heater.
use super::quantity::{ElectricCurrent, ElectricPotential, ElectricalResistance, Power};
use super::{Error, Figure, row, with_unit, within};
use uom::si::{electric_current::ampere, electric_potential::volt, electrical_resistance::ohm, power::watt};

/// Standard ratings of breakers in amperes, up to 300 A: NEC 2020 240.6(A), as table 240.6(A) lists them.
pub const STANDARD_BREAKERS: [f64; 21] = [
    15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0, 110.0, 125.0, 150.0, 175.0, 200.0,
    225.0, 250.0, 300.0,
];

/// The largest breaker that a copper conductor may have: gauge in AWG, amperes.
///
/// 18 to 10 AWG from NEC 2020 240.4(D). Thicker ones from the 60 °C column of table 310.16 that 334.80 asks for,
/// with the next standard size that 240.4(B) allows (6 AWG carries 55 A). `is_checked` tells which were seen in print.
pub const WIRE_LIMITS: [(f64, f64); 8] =
    [(18.0, 7.0), (16.0, 10.0), (14.0, 15.0), (12.0, 20.0), (10.0, 30.0), (8.0, 40.0), (6.0, 60.0), (4.0, 70.0)];

/// What an electric heater draws, from any two of its four figures.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Load {
    pub power: Power,
    pub voltage: ElectricPotential,
    pub current: ElectricCurrent,
    pub resistance: ElectricalResistance,
}

/// Those of the four figures that are known.
#[derive(Debug, Clone, Copy, Default)]
pub struct Known {
    pub power: Option<Power>,
    pub voltage: Option<ElectricPotential>,
    pub current: Option<ElectricCurrent>,
    pub resistance: Option<ElectricalResistance>,
}

impl Load {
    /// Works out all four from two: P = V · I and V = I · R.
    ///
    /// More than two must agree within 1 %. Holds for loads of 1 W to 50 kW, 1 to 600 V.
    pub fn from_any_two(known: Known) -> Result<Self, Error> {
        let p = known.power.map(|p| p.get::<watt>());
        let v = known.voltage.map(|v| v.get::<volt>());
        let i = known.current.map(|i| i.get::<ampere>());
        let r = known.resistance.map(|r| r.get::<ohm>());
        let (volts, amps) = match (p, v, i, r) {
            (Some(p), Some(v), ..) => (v, p / v),
            (_, Some(v), Some(i), _) => (v, i),
            (_, Some(v), _, Some(r)) => (v, v / r),
            (Some(p), _, Some(i), _) => (p / i, i),
            (Some(p), _, _, Some(r)) => ((p * r).sqrt(), (p / r).sqrt()),
            (_, _, Some(i), Some(r)) => (i * r, i),
            _ => return Err(too_few()),
        };
        let load = Load::of(volts, amps)?;
        let pairs = [(p, volts * amps, "W"), (v, volts, "V"), (i, amps, "A"), (r, volts / amps, "ohm")];
        for (given, derived, unit) in pairs {
            if given.is_some_and(|given| (given - derived).abs() > 0.01 * derived) {
                let what =
                    format!("the figures contradict each other: the others make it {}", with_unit(derived, unit));
                return Err(Error::Input { what, expected: "give any two of watts, volts, amperes and ohms" });
            }
        }
        Ok(load)
    }

    fn of(volts: f64, amps: f64) -> Result<Self, Error> {
        within("voltage", volts, 1.0, 600.0, "V")?;
        within("power", volts * amps, 1.0, 50_000.0, "W")?;
        Ok(Load {
            power: Power::new::<watt>(volts * amps),
            voltage: ElectricPotential::new::<volt>(volts),
            current: ElectricCurrent::new::<ampere>(amps),
            resistance: ElectricalResistance::new::<ohm>(volts / amps),
        })
    }
}

fn too_few() -> Error {
    let what = "one figure alone says nothing of a circuit".to_owned();
    Error::Input { what, expected: "give any two of --watts 4500W, --volts 240V, --amps 18.75A, --ohms 12.8ohm" }
}

/// The smallest standard breaker of at least this many amperes; none above 300 A.
pub fn standard_at_least(amps: f64) -> Option<f64> {
    // A hair of tolerance: 150 % of 20 A is 30 A, whatever the floating point makes of it.
    STANDARD_BREAKERS.into_iter().find(|size| *size >= amps - 1e-9)
}

/// The least that the circuit of a storage heater must carry: 125 % of its current. NEC 2020 422.13.
pub fn circuit_min(amps: f64) -> f64 {
    1.25 * amps
}

/// The largest breaker for a heater that draws this current: 150 %, the next standard size up, and 20 A
/// for whatever draws 13.3 A or less. NEC 2020 422.11(E), for heaters that carry no marking of their own.
pub fn breaker_max(amps: f64) -> Option<f64> {
    if amps <= 13.3 { Some(20.0) } else { standard_at_least(1.5 * amps) }
}

/// The largest breaker for copper of this gauge; nothing for a gauge that the table does not have.
pub fn wire_max(gauge: f64) -> Option<f64> {
    WIRE_LIMITS.into_iter().find(|(awg, _)| *awg == gauge).map(|(_, amps)| amps)
}

/// Whether the limit of this gauge was seen in print; the others are from memory.
pub fn is_checked(gauge: f64) -> bool {
    [14.0, 12.0, 10.0, 8.0].contains(&gauge)
}

/// The whole computation, to be shown; `breaker` and `gauge` are compared with it if given.
pub fn figure(load: &Load, breaker: Option<ElectricCurrent>, gauge: Option<f64>) -> Result<Figure, Error> {
    let amps = load.current.get::<ampere>();
    let beyond = || Error::Input {
        what: format!("{} is beyond the standard sizes", with_unit(amps, "A")),
        expected: "a household heater draws less than 200 A",
    };
    let smallest = standard_at_least(circuit_min(amps)).ok_or_else(beyond)?;
    let largest = breaker_max(amps).ok_or_else(beyond)?;
    let mut figure = Figure {
        name: "circuit",
        title: "Current, breaker and wire of an electric storage heater",
        inputs: vec![
            row("power", with_unit(load.power.get::<watt>(), "W")),
            row("voltage", with_unit(load.voltage.get::<volt>(), "V")),
        ],
        formula: "I = P / V; R = V / I; circuit ≥ 1.25 × I; breaker ≤ 1.5 × I, next standard size up (20 A up to 13.3 A)",
        source: "NEC 2020 422.13, 422.11(E), 240.6(A), 240.4(D)".to_owned(),
        results: vec![
            row("draws", with_unit(amps, "A")),
            row("resistance", with_unit(load.resistance.get::<ohm>(), "ohm")),
            row("circuit at least", with_unit(circuit_min(amps), "A")),
            row("smallest breaker", with_unit(smallest, "A")),
            row("largest breaker", with_unit(largest, "A")),
        ],
        notes: vec!["two elements of a household heater heat in turn: count the larger one".to_owned()],
        caution: Some("live-parts"),
    };
    compare(&mut figure, amps, breaker.map(|b| b.get::<ampere>()), gauge)?;
    Ok(figure)
}

fn compare(figure: &mut Figure, amps: f64, breaker: Option<f64>, gauge: Option<f64>) -> Result<(), Error> {
    if let Some(size) = breaker {
        figure.inputs.push(row("breaker", with_unit(size, "A")));
        let verdict = match (size < circuit_min(amps), breaker_max(amps).is_some_and(|most| size > most)) {
            (true, _) => "smaller than the circuit needs",
            (_, true) => "larger than allowed",
            _ => "between the two",
        };
        figure.results.push(row("breaker is", verdict));
    }
    if let Some(gauge) = gauge {
        let most = wire_max(gauge).ok_or_else(|| Error::Input {
            what: format!("no copper of {} is in the table", with_unit(gauge, "AWG")),
            expected: "give 18, 16, 14, 12, 10, 8, 6 or 4",
        })?;
        figure.inputs.push(row("wire", format!("{} copper", with_unit(gauge, "AWG"))));
        let memory = if is_checked(gauge) { "" } else { " (from memory)" };
        figure.results.push(row("breaker on this wire", format!("at most {}{memory}", with_unit(most, "A"))));
    }
    Ok(())
}

#[cfg(test)]
mod tests;

//! Current, breaker and wire of an electric heater.

/// Standard ratings of breakers in amperes: NEC 2020 240.6(A), up to 200 A.
pub const STANDARD_BREAKERS: [f64; 21] = [
    15.0, 20.0, 25.0, 30.0, 35.0, 40.0, 45.0, 50.0, 60.0, 70.0, 80.0, 90.0, 100.0, 110.0, 125.0, 150.0, 175.0, 200.0,
    225.0, 250.0, 300.0,
];

/// The largest breaker that a copper conductor may have: gauge in AWG, amperes.
///
/// 14, 12 and 10 AWG from NEC 2020 240.4(D); 8 and thicker from the 60 °C column of table 310.16 that
/// 334.80 asks for, with the next standard size of 240.4(B) (6 AWG carries 55 A and may have 60 A; from memory).
pub const WIRE_LIMITS: [(f64, f64); 8] =
    [(18.0, 7.0), (16.0, 10.0), (14.0, 15.0), (12.0, 20.0), (10.0, 30.0), (8.0, 40.0), (6.0, 60.0), (4.0, 70.0)];

/// The smallest standard breaker of at least this many amperes.
pub fn standard_at_least(amps: f64) -> Option<f64> {
    // A hair of tolerance: 150 % of 20 A is 30 A, whatever the floating point makes of it.
    STANDARD_BREAKERS.into_iter().find(|size| *size >= amps - 1e-9)
}

/// The largest breaker for a heater that draws this current: 150 %, the next standard size up, and 20 A
/// for whatever draws 13.3 A or less. NEC 2020 422.11(E).
pub fn breaker_max(amps: f64) -> Option<f64> {
    if amps <= 13.3 { Some(20.0) } else { standard_at_least(1.5 * amps) }
}

/// The largest breaker for copper of this gauge; nothing for a gauge that the table does not have.
pub fn wire_max(gauge: f64) -> Option<f64> {
    WIRE_LIMITS.into_iter().find(|(awg, _)| *awg == gauge).map(|(_, amps)| amps)
}

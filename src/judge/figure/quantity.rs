//! Quantities with their units, as they are typed: `50gal`, `140F`, `4bar`.
//!
//! The types are uom's. Its factors for pounds, gallons and Btu are cut to seven digits; the ones here are
//! the exact definitions (NIST SP 811): inch 0.0254 m, pound 0.453 592 37 kg, gravity 9.806 65 m/s², gallon 231 in³.
use super::Error;
pub use uom::si::f64::{
    ElectricCurrent, ElectricPotential, ElectricalResistance, Length, Power, Pressure, TemperatureInterval,
    ThermodynamicTemperature, Volume,
};
use uom::si::{
    electric_current::ampere,
    electric_potential::volt,
    electrical_resistance::ohm,
    length::{centimeter, foot, inch, meter, millimeter},
    power::{kilowatt, watt},
    pressure::{bar, kilopascal},
    temperature_interval,
    thermodynamic_temperature::{degree_celsius, degree_fahrenheit},
    volume::{cubic_meter, liter},
};

/// A unit that uom lacks or gives with too few digits; uom's own macro works at a crate's root alone.
macro_rules! exact_unit {
    ($(#[$doc:meta])* $name:ident, $quantity:ident, $factor:literal, $short:literal, $one:literal, $many:literal) => {
        $(#[$doc])*
        #[allow(non_camel_case_types, reason = "uom names its units so")]
        #[derive(Debug, Clone, Copy)]
        pub struct $name;

        impl uom::Conversion<f64> for $name {
            type T = f64;

            fn coefficient() -> f64 {
                $factor
            }
        }

        impl uom::si::Unit for $name {
            fn abbreviation() -> &'static str {
                $short
            }

            fn singular() -> &'static str {
                $one
            }

            fn plural() -> &'static str {
                $many
            }
        }

        impl uom::si::$quantity::Unit for $name {}
        impl uom::si::$quantity::Conversion<f64> for $name {}
    };
}

exact_unit!(
    /// Pound of force on a square inch.
    psi, pressure, 6.894_757_293_168_361e3, "psi", "pound per square inch", "pounds per square inch"
);
exact_unit!(
    /// Gallon of the United States.
    us_gallon, volume, 3.785_411_784e-3, "gal", "US gallon", "US gallons"
);
exact_unit!(
    /// Cubic foot.
    cubic_feet, volume, 2.831_684_659_2e-2, "ft3", "cubic foot", "cubic feet"
);
exact_unit!(
    /// British thermal unit of the International Table, in an hour.
    btu_per_hour, power, 2.930_710_701_722_222e-1, "Btu/h", "Btu per hour", "Btu per hour"
);

/// How one kind of quantity is typed: each unit's spellings, the first being the usual one.
struct Kind<Q: 'static> {
    what: &'static str,
    example: &'static str,
    may_be_negative: bool,
    units: &'static [Spelling<Q>],
}

/// A unit's spellings and what a number of it is.
type Spelling<Q> = (&'static [&'static str], fn(f64) -> Q);

impl<Q> Kind<Q> {
    fn parse(&self, text: &str) -> Result<Q, Error> {
        let text = text.trim();
        let end = text.find(|c: char| !(c.is_ascii_digit() || "+-.,".contains(c))).unwrap_or(text.len());
        let (number, unit) = text.split_at(end);
        let number: f64 = number.replace(',', "").parse().map_err(|_| self.wrong(text))?;
        let unit = unit.trim().to_lowercase();
        let (_, make) = self
            .units
            .iter()
            .find(|(names, _)| names.iter().any(|name| name.to_lowercase() == unit))
            .ok_or_else(|| self.wrong(text))?;
        if number < 0.0 && !self.may_be_negative {
            return Err(Error::Negative { text: text.to_owned(), what: self.what, example: self.example });
        }
        Ok(make(number))
    }

    fn wrong(&self, text: &str) -> Error {
        let units = self.units.iter().map(|(names, _)| names[0]).collect::<Vec<_>>().join(", ");
        Error::Quantity { text: text.to_owned(), what: self.what, units, example: self.example }
    }
}

macro_rules! kind {
    ($(#[$doc:meta])* $name:ident -> $quantity:ident, $what:literal, $example:literal, $negative:literal, $($names:expr => $make:expr),+) => {
        $(#[$doc])*
        pub fn $name(text: &str) -> Result<$quantity, Error> {
            const KIND: Kind<$quantity> =
                Kind { what: $what, example: $example, may_be_negative: $negative, units: &[$((&$names, |v| $make(v))),+] };
            KIND.parse(text)
        }
    };
}

kind!(
    /// Reads a volume.
    volume -> Volume, "volume", "50gal", false,
    ["gal", "gallon", "gallons"] => Volume::new::<us_gallon>,
    ["L", "liter", "liters", "litre", "litres"] => Volume::new::<liter>,
    ["ft3", "ft³", "cuft"] => Volume::new::<cubic_feet>,
    ["m3", "m³"] => Volume::new::<cubic_meter>
);
kind!(
    /// Reads a temperature.
    temperature -> ThermodynamicTemperature, "temperature", "140F", true,
    ["F", "°F", "degF"] => ThermodynamicTemperature::new::<degree_fahrenheit>,
    ["C", "°C", "degC"] => ThermodynamicTemperature::new::<degree_celsius>
);
kind!(
    /// Reads a difference of temperatures.
    rise -> TemperatureInterval, "rise of temperature", "90F", false,
    ["F", "°F", "degF"] => TemperatureInterval::new::<temperature_interval::degree_fahrenheit>,
    ["C", "°C", "degC", "K"] => TemperatureInterval::new::<temperature_interval::degree_celsius>
);
kind!(
    /// Reads a pressure above that of the air, as a gauge shows it.
    pressure -> Pressure, "pressure", "60psi", false,
    ["psi", "psig"] => Pressure::new::<psi>,
    ["kPa"] => Pressure::new::<kilopascal>,
    ["bar"] => Pressure::new::<bar>
);
kind!(
    /// Reads a length.
    length -> Length, "length", "8ft", false,
    ["in", "\"", "inch", "inches"] => Length::new::<inch>,
    ["ft", "'", "foot", "feet"] => Length::new::<foot>,
    ["mm"] => Length::new::<millimeter>,
    ["cm"] => Length::new::<centimeter>,
    ["m"] => Length::new::<meter>
);
kind!(
    /// Reads a length that may be below zero: a drop, or a place below sea level.
    height -> Length, "height", "5000ft", true,
    ["in", "\"", "inch", "inches"] => Length::new::<inch>,
    ["ft", "'", "foot", "feet"] => Length::new::<foot>,
    ["cm"] => Length::new::<centimeter>,
    ["m"] => Length::new::<meter>
);
kind!(
    /// Reads a heating power, electric or of gas burnt.
    power -> Power, "heating power", "4500W or 40000Btu/h", false,
    ["W", "watt", "watts"] => Power::new::<watt>,
    ["kW"] => Power::new::<kilowatt>,
    ["Btu/h", "Btuh", "Btu/hr"] => Power::new::<btu_per_hour>
);
kind!(
    /// Reads a voltage.
    voltage -> ElectricPotential, "voltage", "240V", false,
    ["V", "volt", "volts"] => ElectricPotential::new::<volt>
);
kind!(
    /// Reads a current.
    current -> ElectricCurrent, "current", "30A", false,
    ["A", "amp", "amps"] => ElectricCurrent::new::<ampere>
);
kind!(
    /// Reads a resistance.
    resistance -> ElectricalResistance, "resistance", "12.8ohm", false,
    ["ohm", "ohms", "Ω"] => ElectricalResistance::new::<ohm>
);

#[cfg(test)]
mod tests;

//! Spoken units into the catalogue's, by the factors of uom.
use super::unit::Unit;
use uom::si::f64::*;
use uom::si::{
    electric_current as current, electric_potential as potential, energy, length, power, pressure,
    thermodynamic_temperature as temperature, volume,
};

/// The value in one of the catalogue's units (`gal`, `W`, `V`, `Btu/h`, `in`, `psi`, `degF`, `AWG`, `A`, `in/ft`), if it can be in it.
///
/// Three loose ways of speaking are taken as they are meant: pounds of a pressure are psi, bare degrees are Fahrenheit,
/// and Btu of a burner are Btu per hour.
pub fn convert(value: f64, from: Unit, to: &str) -> Option<f64> {
    let converted = match to {
        "gal" => gallons(value, from),
        "W" => watts(value, from),
        "Btu/h" => btu_per_hour(value, from),
        "V" => volts(value, from),
        "A" => amps(value, from),
        "in" => inches(value, from),
        "psi" => psi(value, from),
        "degF" => fahrenheit(value, from),
        "in/ft" => slope(value, from),
        "AWG" => (from == Unit::Gauge).then_some(value),
        _ => None,
    }?;
    Some(rounded(converted))
}

/// To nine significant digits, so that a foot is 12 inches and not 12.000000000000002.
fn rounded(value: f64) -> f64 {
    format!("{value:.8e}").parse().unwrap_or(value)
}

fn gallons(value: f64, from: Unit) -> Option<f64> {
    let found = match from {
        Unit::Gallon => return Some(value),
        Unit::ImperialGallon => Volume::new::<volume::gallon_imperial>(value),
        Unit::Litre => Volume::new::<volume::liter>(value),
        Unit::Millilitre | Unit::CubicCentimetre => Volume::new::<volume::milliliter>(value),
        Unit::CubicFoot => Volume::new::<volume::cubic_foot>(value),
        Unit::CubicMetre => Volume::new::<volume::cubic_meter>(value),
        Unit::Quart => Volume::new::<volume::quart_liquid>(value),
        Unit::Pint => Volume::new::<volume::pint_liquid>(value),
        _ => return None,
    };
    Some(found.get::<volume::gallon>())
}

fn power_of(value: f64, from: Unit) -> Option<Power> {
    // uom has the Btu as an energy alone; an hour of it is a power.
    let btu = |value| Power::new::<power::watt>(Energy::new::<energy::btu_it>(value).get::<energy::watt_hour>());
    Some(match from {
        Unit::Watt => Power::new::<power::watt>(value),
        Unit::Milliwatt => Power::new::<power::milliwatt>(value),
        Unit::Kilowatt => Power::new::<power::kilowatt>(value),
        Unit::Megawatt => Power::new::<power::megawatt>(value),
        Unit::Horsepower => Power::new::<power::horsepower>(value),
        Unit::Btu | Unit::BtuPerHour => btu(value),
        Unit::ThousandBtuPerHour => btu(value * 1000.0),
        // 3.6 MJ in an hour are a kilowatt.
        Unit::MegajoulePerHour => Power::new::<power::kilowatt>(value / 3.6),
        _ => return None,
    })
}

fn watts(value: f64, from: Unit) -> Option<f64> {
    if from == Unit::Watt || from == Unit::VoltAmpere {
        return Some(value);
    }
    Some(power_of(value, from)?.get::<power::watt>())
}

fn btu_per_hour(value: f64, from: Unit) -> Option<f64> {
    match from {
        Unit::Btu | Unit::BtuPerHour => Some(value),
        Unit::ThousandBtuPerHour => Some(value * 1000.0),
        _ => {
            Some(Energy::new::<energy::watt_hour>(power_of(value, from)?.get::<power::watt>()).get::<energy::btu_it>())
        }
    }
}

fn volts(value: f64, from: Unit) -> Option<f64> {
    let found = match from {
        Unit::Volt => return Some(value),
        Unit::Millivolt => ElectricPotential::new::<potential::millivolt>(value),
        Unit::Kilovolt => ElectricPotential::new::<potential::kilovolt>(value),
        _ => return None,
    };
    Some(found.get::<potential::volt>())
}

fn amps(value: f64, from: Unit) -> Option<f64> {
    let found = match from {
        Unit::Amp => return Some(value),
        Unit::Milliamp => ElectricCurrent::new::<current::milliampere>(value),
        Unit::Kiloamp => ElectricCurrent::new::<current::kiloampere>(value),
        _ => return None,
    };
    Some(found.get::<current::ampere>())
}

fn length_of(value: f64, from: Unit) -> Option<Length> {
    Some(match from {
        Unit::Inch => Length::new::<length::inch>(value),
        Unit::Foot => Length::new::<length::foot>(value),
        Unit::Yard => Length::new::<length::yard>(value),
        Unit::Mil => Length::new::<length::mil>(value),
        Unit::Millimetre => Length::new::<length::millimeter>(value),
        Unit::Centimetre => Length::new::<length::centimeter>(value),
        Unit::Metre => Length::new::<length::meter>(value),
        _ => return None,
    })
}

fn inches(value: f64, from: Unit) -> Option<f64> {
    if from == Unit::Inch {
        return Some(value);
    }
    Some(length_of(value, from)?.get::<length::inch>())
}

fn psi(value: f64, from: Unit) -> Option<f64> {
    let found = match from {
        Unit::Psi | Unit::Pound => return Some(value),
        Unit::Pascal => Pressure::new::<pressure::pascal>(value),
        Unit::Hectopascal | Unit::Millibar => Pressure::new::<pressure::hectopascal>(value),
        Unit::Kilopascal => Pressure::new::<pressure::kilopascal>(value),
        Unit::Megapascal => Pressure::new::<pressure::megapascal>(value),
        Unit::Bar => Pressure::new::<pressure::bar>(value),
        Unit::Atmosphere => Pressure::new::<pressure::atmosphere>(value),
        Unit::InchOfWater => Pressure::new::<pressure::inch_of_water>(value),
        Unit::InchOfMercury => Pressure::new::<pressure::inch_of_mercury>(value),
        Unit::MillimetreOfMercury => Pressure::new::<pressure::millimeter_of_mercury>(value),
        Unit::PoundPerSquareFoot => Pressure::new::<pressure::pound_force_per_square_foot>(value),
        _ => return None,
    };
    Some(found.get::<pressure::psi>())
}

fn fahrenheit(value: f64, from: Unit) -> Option<f64> {
    let found = match from {
        Unit::Fahrenheit | Unit::Degree => return Some(value),
        Unit::Celsius => ThermodynamicTemperature::new::<temperature::degree_celsius>(value),
        Unit::Kelvin => ThermodynamicTemperature::new::<temperature::kelvin>(value),
        _ => return None,
    };
    Some(found.get::<temperature::degree_fahrenheit>())
}

/// Rise over run is a bare ratio: a percent is 0.12 inches in a foot.
fn slope(value: f64, from: Unit) -> Option<f64> {
    match from {
        Unit::InchPerFoot => Some(value),
        Unit::MillimetrePerMetre => Some(value * 12.0 / 1000.0),
        Unit::CentimetrePerMetre => Some(value * 12.0 / 100.0),
        Unit::Percent => Some(value * 12.0 / 100.0),
        _ => None,
    }
}

//! Figures of a heater's power and age.
use hearsheet::judge::Rules;
use hearsheet::judge::figure::quantity::{
    self as read, ElectricCurrent, ElectricPotential, ElectricalResistance, Power, TemperatureInterval, Volume,
};
use hearsheet::judge::figure::{Error, Figure, age, circuit, heating};

/// Any two of watts, volts, amperes and ohms.
#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet figure circuit --watts 4500W --volts 240V --breaker 30A --gauge 10")]
pub struct Circuit {
    /// Rated power of the larger element
    #[arg(long, value_parser = read::power, value_name = "4500W", allow_hyphen_values = true)]
    watts: Option<Power>,
    /// Rated voltage
    #[arg(long, value_parser = read::voltage, value_name = "240V", allow_hyphen_values = true)]
    volts: Option<ElectricPotential>,
    /// Current while heating
    #[arg(long, value_parser = read::current, value_name = "18.75A", allow_hyphen_values = true)]
    amps: Option<ElectricCurrent>,
    /// Resistance of the element
    #[arg(long, value_parser = read::resistance, value_name = "12.8ohm", allow_hyphen_values = true)]
    ohms: Option<ElectricalResistance>,
    /// Breaker to compare with
    #[arg(long, value_parser = read::current, value_name = "30A", allow_hyphen_values = true)]
    breaker: Option<ElectricCurrent>,
    /// Gauge of the copper to compare with, in AWG
    #[arg(long, value_name = "10", allow_hyphen_values = true)]
    gauge: Option<f64>,
}

impl Circuit {
    pub fn figure(self) -> Result<Figure, Error> {
        let known =
            circuit::Known { power: self.watts, voltage: self.volts, current: self.amps, resistance: self.ohms };
        circuit::figure(&circuit::Load::from_any_two(known)?, self.breaker, self.gauge)
    }
}

#[derive(clap::Args)]
#[command(
    after_help = "Example: hearsheet figure recovery --power 40000Btu/h --efficiency 0.76 --rise 90F --tank 50gal"
)]
pub struct Recovery {
    /// Heating power, electric or of gas burnt
    #[arg(long, value_parser = read::power, value_name = "4500W", allow_hyphen_values = true)]
    power: Power,
    /// Share of the heat that reaches the water: about 1 electric, about 0.76 gas
    #[arg(long, value_name = "0.76", allow_hyphen_values = true)]
    efficiency: f64,
    /// Rise of temperature
    #[arg(long, value_parser = read::rise, value_name = "90F", allow_hyphen_values = true)]
    rise: TemperatureInterval,
    /// Volume of the tank, for the first hour
    #[arg(long, value_parser = read::volume, value_name = "50gal", allow_hyphen_values = true)]
    tank: Option<Volume>,
}

impl Recovery {
    pub fn figure(self) -> Result<Figure, Error> {
        heating::figure(self.power, self.efficiency, self.rise, self.tank)
    }
}

#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet figure age --made 2011 --life 12")]
pub struct Age {
    /// Year of manufacture
    #[arg(long, value_name = "2011", allow_hyphen_values = true)]
    made: i16,
    /// Year to count to, instead of this year
    #[arg(long, value_name = "YEAR")]
    year: Option<i16>,
    /// Expected life in years, instead of that of a storage heater
    #[arg(long, value_name = "12", allow_hyphen_values = true)]
    life: Option<f64>,
}

impl Age {
    pub fn figure(self, this_year: i16, rules: &Rules) -> Result<Figure, Error> {
        let year = self.year.unwrap_or(this_year);
        match (self.life, rules.bound("tank-life", "irc-2021")) {
            (None, Some(bound)) => age::figure(self.made, year, Some((bound.value, &bound.source.to_string()))),
            (life, _) => age::figure(self.made, year, life.map(|years| (years, "the expected life as given"))),
        }
    }
}

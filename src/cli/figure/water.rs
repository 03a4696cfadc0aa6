//! Figures of water: its growth, density, pressure and heat.
use hearsheet::judge::figure::quantity::{
    self as read, Length, Pressure, ThermodynamicTemperature as Temperature, Volume,
};
use hearsheet::judge::figure::{Error, Figure, expansion, pressure, scald, water};

#[derive(clap::Args)]
#[command(
    after_help = "Example: hearsheet figure expansion --volume 50gal --cold 40F --hot 140F --precharge 60psi --supply 60psi --max 80psi"
)]
pub struct Expansion {
    /// Volume of the heater's tank
    #[arg(long, value_parser = read::volume, value_name = "50gal", allow_hyphen_values = true)]
    volume: Volume,
    /// Cold supply
    #[arg(long, value_parser = read::temperature, value_name = "50F", allow_hyphen_values = true)]
    cold: Temperature,
    /// Stored hot water
    #[arg(long, value_parser = read::temperature, value_name = "140F", allow_hyphen_values = true)]
    hot: Temperature,
    /// Air pressure in the expansion tank
    #[arg(long, value_parser = read::pressure, value_name = "60psi", allow_hyphen_values = true)]
    precharge: Pressure,
    /// Static pressure of the supply
    #[arg(long, visible_alias = "static", value_parser = read::pressure, value_name = "60psi", allow_hyphen_values = true)]
    supply: Pressure,
    /// Pressure not to be passed: the code's limit, or the relief valve's setting
    #[arg(long, visible_alias = "relief", value_parser = read::pressure, value_name = "80psi", allow_hyphen_values = true)]
    max: Pressure,
    /// Height above the sea
    #[arg(long, value_parser = read::height, value_name = "5000ft", default_value = "0ft", allow_hyphen_values = true)]
    elevation: Length,
}

impl Expansion {
    pub fn figure(self) -> Result<Figure, Error> {
        expansion::figure(&expansion::System {
            volume: self.volume,
            cold: self.cold,
            hot: self.hot,
            precharge: self.precharge,
            supply: self.supply,
            most: self.max,
            elevation: self.elevation,
        })
    }
}

#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet figure density --temperature 140F")]
pub struct Density {
    /// The water
    #[arg(long, value_parser = read::temperature, value_name = "140F", allow_hyphen_values = true)]
    temperature: Temperature,
}

impl Density {
    pub fn figure(self) -> Result<Figure, Error> {
        water::figure(self.temperature)
    }
}

#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet figure scald --temperature 55C")]
pub struct Scald {
    /// The water at the tap
    #[arg(long, value_parser = read::temperature, value_name = "140F", allow_hyphen_values = true)]
    temperature: Temperature,
}

impl Scald {
    pub fn figure(self) -> Result<Figure, Error> {
        scald::figure(self.temperature)
    }
}

#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet figure pressure 4.5bar")]
pub struct PressureArgs {
    /// The pressure as a gauge shows it
    #[arg(value_parser = read::pressure, value_name = "60psi", allow_hyphen_values = true)]
    pressure: Pressure,
}

impl PressureArgs {
    pub fn figure(self) -> Result<Figure, Error> {
        pressure::figure(self.pressure)
    }
}

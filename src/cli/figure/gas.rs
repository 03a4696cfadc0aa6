//! Figures of a burner's air and vent.
use hearsheet::judge::figure::quantity::{self as read, Length, Power, Volume};
use hearsheet::judge::figure::{Error, Figure, air};

#[derive(clap::Args)]
#[command(
    after_help = "Example: hearsheet figure combustion-air --burner 40000Btu/h --burner 80000Btu/h --room 240ft3"
)]
pub struct CombustionAir {
    /// Input of each burner in the room; give it once a burner
    #[arg(long, required = true, value_parser = read::power, value_name = "40000Btu/h", allow_hyphen_values = true)]
    burner: Vec<Power>,
    /// Volume of the room to compare with
    #[arg(long, value_parser = read::volume, value_name = "240ft3", allow_hyphen_values = true)]
    room: Option<Volume>,
}

impl CombustionAir {
    pub fn figure(self) -> Result<Figure, Error> {
        air::combustion(&self.burner, self.room)
    }
}

#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet figure vent-rise --rise 5in --run 8ft")]
pub struct VentRise {
    /// Rise from the heater to the far end; below zero if it falls
    #[arg(long, value_parser = read::height, value_name = "5in", allow_hyphen_values = true)]
    rise: Length,
    /// Run along the floor
    #[arg(long, value_parser = read::length, value_name = "8ft", allow_hyphen_values = true)]
    run: Length,
}

impl VentRise {
    pub fn figure(self) -> Result<Figure, Error> {
        air::vent(self.rise, self.run)
    }
}

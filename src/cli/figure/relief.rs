//! The figure of the relief valve's discharge pipe.
use hearsheet::judge::Rules;
use hearsheet::judge::figure::quantity::{self as read, Length};
use hearsheet::judge::figure::{Error, Figure, discharge};

#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet figure discharge-end --gap 9in --size 0.75in --standard irc-2021")]
pub struct DischargeEnd {
    /// Height of the open end above floor, ground or receptor
    #[arg(long, value_parser = read::length, value_name = "6in", allow_hyphen_values = true)]
    gap: Length,
    /// Nominal diameter of the pipe
    #[arg(long, value_parser = read::length, value_name = "0.75in", allow_hyphen_values = true)]
    size: Option<Length>,
    /// The standard that applies
    #[arg(long, default_value = "irc-2021", value_name = "ID")]
    pub standard: String,
}

impl DischargeEnd {
    pub fn figure(self, rules: &Rules) -> Result<Figure, Error> {
        discharge::figure(self.gap, self.size, rules, &self.standard)
    }
}

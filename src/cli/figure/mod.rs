//! `hearsheet figure`: one computation, with its inputs, formula, source and result.
mod electric;
mod gas;
mod relief;
mod water;

use super::print;
use anyhow::Context as _;
use hearsheet::judge::figure::Figure;
use hearsheet::judge::{Context, Rules};
use std::process::ExitCode;

const EXAMPLES: &str = "\
Examples:
  hearsheet figure expansion --volume 50gal --cold 40F --hot 140F \\
      --precharge 60psi --supply 60psi --max 80psi
  hearsheet figure density --temperature 140F
  hearsheet figure circuit --watts 4500W --volts 240V --breaker 30A --gauge 10
  hearsheet figure recovery --power 40000Btu/h --efficiency 0.76 --rise 90F --tank 50gal
  hearsheet figure scald --temperature 140F
  hearsheet figure combustion-air --burner 40000Btu/h --burner 80000Btu/h --room 240ft3
  hearsheet figure vent-rise --rise 5in --run 8ft
  hearsheet figure age --made 2011 --life 12
  hearsheet figure pressure 4.5bar
  hearsheet figure discharge-end --gap 9in --size 0.75in --standard irc-2021

Cautions: local codes and licensed trades prevail; a figure proves nothing about what was not seen.";

/// What `hearsheet figure` was given.
#[derive(clap::Args)]
#[command(after_help = EXAMPLES)]
pub struct Args {
    #[command(subcommand)]
    name: Name,
}

#[derive(clap::Subcommand)]
enum Name {
    /// Growth of the heated water, and the smallest expansion tank that takes it up
    Expansion(water::Expansion),
    /// Density of water at a temperature
    Density(water::Density),
    /// Current, smallest circuit, largest breaker and wire of an electric heater
    Circuit(electric::Circuit),
    /// Gallons an hour, gallons in the first hour, Btu/h and kW
    Recovery(electric::Recovery),
    /// Time to a burn at a water temperature
    Scald(water::Scald),
    /// Room that burners need for their air
    CombustionAir(gas::CombustionAir),
    /// Rise of a vent over its run
    VentRise(gas::VentRise),
    /// Age of a heater and the share of its expected life
    Age(electric::Age),
    /// A pressure in psi, kPa and bar
    Pressure(water::PressureArgs),
    /// Height of the relief valve's discharge pipe's end, by code
    DischargeEnd(relief::DischargeEnd),
}

/// Computes the figure and prints it with the caution that belongs to it.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    let rules = Rules::shipped()?;
    let figure = match args.name {
        Name::Expansion(args) => args.figure(),
        Name::Density(args) => args.figure(),
        Name::Circuit(args) => args.figure(),
        Name::Recovery(args) => args.figure(),
        Name::Scald(args) => args.figure(),
        Name::CombustionAir(args) => args.figure(),
        Name::VentRise(args) => args.figure(),
        Name::Age(args) => args.figure(Context::default().today.year(), &rules),
        Name::Pressure(args) => args.figure(),
        Name::DischargeEnd(args) => {
            rules.require_standard(&args.standard)?;
            args.figure(&rules)
        }
    };
    print(&page(&figure.context("no figure")?, &rules)).map_err(Into::into).map(|()| ExitCode::SUCCESS)
}

fn page(figure: &Figure, rules: &Rules) -> String {
    let caution = figure.caution.and_then(|id| rules.caution(id));
    let caution = caution.map(|c| format!("caution: {}\n", c.text)).unwrap_or_default();
    format!("{figure}{caution}")
}

//! The figures that a record's facts call for.
use super::quantity::{
    ElectricCurrent, ElectricPotential, Length, Power, Pressure, TemperatureInterval, ThermodynamicTemperature, Volume,
    btu_per_hour, psi, us_gallon,
};
use super::{Error, Figure, age, air, circuit, discharge, expansion, heating, number, pressure, scald};
use crate::judge::situation::{Situation, is_certain};
use crate::judge::{Context, Rules};
use crate::record::{Fact, State};
use std::collections::BTreeSet;
use uom::si::{
    electric_current::ampere, electric_potential::volt, length::inch, power::watt,
    temperature_interval::degree_fahrenheit as rise_fahrenheit, thermodynamic_temperature::degree_fahrenheit,
};

/// A figure for the report, and the heater that it is about.
#[derive(Debug, Clone, PartialEq, serde::Serialize)]
pub struct FigureLine {
    pub item: u32,
    pub figure: Figure,
    /// One of the facts in it is doubtful or disputed.
    pub provisional: bool,
}

/// Where nobody told the temperatures: the cold supply and the storage that sizing commonly starts from.
const ASSUMED_COLD: f64 = 50.0;
const ASSUMED_HOT: f64 = 120.0;
/// The rise that recovery is commonly given for.
const COMMON_RISE: f64 = 90.0;
/// Heat that reaches the water: nearly all of an element's, about this much of a burner's (common practice).
const ELECTRIC_EFFICIENCY: f64 = 1.0;
const GAS_EFFICIENCY: f64 = 0.76;
/// Below this water no table of burns is shown unasked: the limit at a bath.
const SCALD_FROM: f64 = 120.0;

/// Every figure that the facts call for, by heater; what cannot be computed is left out.
pub fn figures_for(facts: &[Fact], rules: &Rules, context: &Context) -> Vec<FigureLine> {
    let items: BTreeSet<u32> = facts.iter().filter(|f| f.state != State::Rejected).map(|f| f.item).collect();
    let mut lines: Vec<FigureLine> = Vec::new();
    for item in items {
        let situation = Situation::of(item, facts, &rules.house);
        let desk = Desk { situation: &situation, rules, context };
        for line in desk.lines(item) {
            // What two heaters share, such as the house's pressure, is shown once.
            if !lines.iter().any(|old| old.figure == line.figure && old.figure.name == "pressure") {
                lines.push(line);
            }
        }
    }
    lines
}

/// The figure of one name from a few facts, for the reasons of a rule.
pub(in crate::judge) fn summary(name: &str, facts: &[&Fact], rules: &Rules, context: &Context) -> Option<String> {
    let situation = Situation::gather(facts);
    let desk = Desk { situation: &situation, rules, context };
    if name == "wire" {
        return desk.wire();
    }
    let line = desk.lines(1).into_iter().find(|line| line.figure.name == name)?;
    Some(line.figure.summary())
}

struct Desk<'d, 'f> {
    situation: &'d Situation<'f>,
    rules: &'d Rules,
    context: &'d Context,
}

/// A number of the record, and whether it is certain.
type Known = (f64, bool);

impl Desk<'_, '_> {
    fn lines(&self, item: u32) -> Vec<FigureLine> {
        let makers = [
            Self::age,
            Self::pressure,
            Self::expansion,
            Self::circuit,
            Self::recovery,
            Self::scald,
            Self::air,
            Self::vent,
            Self::discharge,
        ];
        makers
            .iter()
            .filter_map(|make| make(self))
            .map(|(figure, certain)| FigureLine { item, figure, provisional: !certain })
            .collect()
    }

    /// What the wire's gauge takes, which needs neither power nor voltage.
    fn wire(&self) -> Option<String> {
        let (gauge, _) = self.number("cable.gauge")?;
        let most = circuit::wire_max(gauge)?;
        let memory = if circuit::is_checked(gauge) { "" } else { " (from memory)" };
        Some(format!("copper of {} AWG takes a breaker of at most {} A{memory}", number(gauge), number(most)))
    }

    fn number(&self, key: &str) -> Option<Known> {
        let facts = self.situation.facts(key);
        facts.iter().find_map(|fact| Some((fact.value.as_number()?, is_certain(fact))))
    }

    /// The highest of several readings: the one nearest to breaking a limit.
    fn highest(&self, key: &str) -> Option<Known> {
        let facts = self.situation.facts(key);
        let readings = facts.iter().filter_map(|fact| Some((fact.value.as_number()?, is_certain(fact))));
        readings.max_by(|a, b| a.0.total_cmp(&b.0))
    }

    fn is_tankless(&self) -> bool {
        self.situation.says("water-heater.style", "tankless")
    }

    fn age(&self) -> Option<(Figure, bool)> {
        let (made, certain) = self.number("water-heater.made-year")?;
        let life = self.life().and_then(|id| self.rules.bound(id, &self.context.standard));
        let source = life.map(|bound| bound.source.to_string()).unwrap_or_default();
        let life = life.map(|bound| (bound.value, source.as_str()));
        shown(age::figure(made as i16, self.context.today.year(), life), certain)
    }

    /// The limit that tells how long a heater of this style lasts.
    fn life(&self) -> Option<&'static str> {
        let is = |style: &str| self.situation.says("water-heater.style", style);
        match (is("tankless"), is("storage") || is("heat-pump")) {
            (true, _) => Some("tankless-life"),
            (false, true) => Some("tank-life"),
            (false, false) => None,
        }
    }

    fn pressure(&self) -> Option<(Figure, bool)> {
        let (value, certain) = self.highest("water-system.static-pressure")?;
        shown(pressure::figure(Pressure::new::<psi>(value)), certain)
    }

    fn expansion(&self) -> Option<(Figure, bool)> {
        if self.is_tankless() || !self.situation.says("water-system.loop", "closed") {
            return None;
        }
        let (volume, a) = self.number("water-heater.capacity")?;
        let (supply, b) = self.highest("water-system.static-pressure")?;
        let (precharge, c) = self.number("expansion-tank.precharge").unwrap_or((supply, true));
        let (hot, d) =
            self.highest("hot-water.temperature").filter(|hot| hot.0 > ASSUMED_HOT).unwrap_or((ASSUMED_HOT, true));
        let most = self.rules.bound("static-pressure-max", &self.context.standard)?.value;
        let system = expansion::System {
            volume: Volume::new::<us_gallon>(volume),
            cold: ThermodynamicTemperature::new::<degree_fahrenheit>(ASSUMED_COLD),
            hot: ThermodynamicTemperature::new::<degree_fahrenheit>(hot),
            precharge: Pressure::new::<psi>(precharge),
            supply: Pressure::new::<psi>(supply),
            most: Pressure::new::<psi>(most),
            elevation: Length::new::<inch>(0.0),
        };
        let mut figure = expansion::figure(&system).ok()?;
        figure.notes.push("cold water of 50 °F, sea level and whatever nobody measured are assumed".to_owned());
        Some((figure, a && b && c && d))
    }

    fn circuit(&self) -> Option<(Figure, bool)> {
        let (power, a) = self.number("water-heater.power")?;
        let (voltage, b) = self.number("water-heater.voltage")?;
        let known = circuit::Known {
            power: Some(Power::new::<watt>(power)),
            voltage: Some(ElectricPotential::new::<volt>(voltage)),
            ..circuit::Known::default()
        };
        let load = circuit::Load::from_any_two(known).ok()?;
        let breaker = self.number("breaker.rating");
        let gauge = self.number("cable.gauge").filter(|gauge| circuit::wire_max(gauge.0).is_some());
        let certain = a && b && breaker.is_none_or(|b| b.1) && gauge.is_none_or(|g| g.1);
        let breaker = breaker.map(|b| ElectricCurrent::new::<ampere>(b.0));
        shown(circuit::figure(&load, breaker, gauge.map(|g| g.0)), certain)
    }

    fn recovery(&self) -> Option<(Figure, bool)> {
        if self.situation.says("water-heater.style", "heat-pump") {
            return None;
        }
        let electric = self.number("water-heater.power").map(|p| (Power::new::<watt>(p.0), ELECTRIC_EFFICIENCY, p.1));
        let gas =
            self.number("water-heater.input-rate").map(|p| (Power::new::<btu_per_hour>(p.0), GAS_EFFICIENCY, p.1));
        let (power, efficiency, a) = electric.or(gas)?;
        let tank = self.number("water-heater.capacity").filter(|_| !self.is_tankless());
        let rise = TemperatureInterval::new::<rise_fahrenheit>(COMMON_RISE);
        let volume = tank.map(|t| Volume::new::<us_gallon>(t.0));
        let mut figure = heating::figure(power, efficiency, rise, volume).ok()?;
        figure.notes.push("the rise and the efficiency are common values, not measured here".to_owned());
        Some((figure, a && tank.is_none_or(|t| t.1)))
    }

    fn scald(&self) -> Option<(Figure, bool)> {
        let (hot, certain) = self.highest("hot-water.temperature").filter(|hot| hot.0 >= SCALD_FROM)?;
        shown(scald::figure(ThermodynamicTemperature::new::<degree_fahrenheit>(hot)), certain)
    }

    fn air(&self) -> Option<(Figure, bool)> {
        // A tankless heater mostly brings its own air in.
        let (input, certain) = self.number("water-heater.input-rate").filter(|_| !self.is_tankless())?;
        shown(air::combustion(&[Power::new::<btu_per_hour>(input)], None), certain)
    }

    fn vent(&self) -> Option<(Figure, bool)> {
        let (slope, certain) = self.number("vent.slope")?;
        Some((air::vent_of_slope(slope), certain))
    }

    fn discharge(&self) -> Option<(Figure, bool)> {
        let (gap, a) = self.highest("relief-discharge.end-gap")?;
        let size = self.number("relief-discharge.size");
        let length = |value: f64| Length::new::<inch>(value);
        let figure = discharge::figure(length(gap), size.map(|s| length(s.0)), self.rules, &self.context.standard);
        shown(figure, a && size.is_none_or(|s| s.1))
    }
}

/// A figure that could be computed; one that could not is no line of a report.
fn shown(figure: Result<Figure, Error>, certain: bool) -> Option<(Figure, bool)> {
    figure.ok().map(|figure| (figure, certain))
}

#[cfg(test)]
mod tests;

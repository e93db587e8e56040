//! Carbon dioxide in bedrooms over a night with the doors shut.

use crate::air::Air;
use crate::dwelling::{Dwelling, Way, volume};
use crate::facts::{self, FLOW, HOURS, PPM};
use crate::lack::Lack;
use crate::linear::{add, at};
use crate::people::{ADULT, sleeper};
use crate::rooms::network_basis;
use crate::settings::Settings;
use mateline_model::home::{Home, Id, Space, SpaceUse};
use mateline_model::quantity::{Duration, Flow, Quantity, Ratio, Units, Volume};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term};
use mateline_sdk::{Findings, Request};

/// Carbon dioxide of the outdoor air: about the mean of the mid-2020s (common practice).
pub const OUTDOORS: f64 = 420e-6;
/// Carbon dioxide in every room as the night begins (common practice, no source).
pub const EVENING: f64 = 600e-6;
/// Length of a night (s).
pub const NIGHT: f64 = 8.0 * 3600.0;
/// Length of a step (s).
pub const STEP: f64 = 60.0;
/// Level of the fact that names it.
pub(crate) const LEVEL: f64 = 1000e-6;

/// A night in every zone.
#[derive(Clone, Debug)]
pub(crate) struct Night {
    /// Concentrations minute by minute, zone by zone.
    pub(crate) series: Vec<Vec<f64>>,
    /// Steady concentrations above the outdoors.
    pub(crate) steady: Vec<Option<f64>>,
}

impl Night {
    /// A night with everyone in bed.
    pub(crate) fn of(home: &Home, dwelling: &Dwelling<'_>, air: &Air<'_>) -> Result<Night, Lack> {
        let mut source = vec![0.0; dwelling.zones.len()];
        for (id, space) in &home.spaces {
            if let Some(zone) = dwelling.zone_of.get(id) {
                add(&mut source, *zone, given_off(space).si());
            }
        }
        let start = vec![EVENING - OUTDOORS; source.len()];
        let count = (NIGHT / STEP) as usize;
        let series = air
            .mixing
            .hours(&start, &source, STEP, count)
            .ok_or_else(|| Lack::new("air changes too fast in some room for the night to be computed"))?;
        let series = series.into_iter().map(|zone| zone.into_iter().map(|value| value + OUTDOORS).collect()).collect();
        Ok(Night { series, steady: air.mixing.steady(&source) })
    }

    fn zone(&self, zone: usize) -> &[f64] {
        self.series.get(zone).map(Vec::as_slice).unwrap_or_default()
    }
}

/// What the sleepers of a room give off.
pub(crate) fn given_off(space: &Space) -> Flow {
    if space.sleeper_ages.is_empty() {
        sleeper(ADULT) * f64::from(space.sleeps.unwrap_or(0))
    } else {
        space.sleeper_ages.iter().map(|age| sleeper(*age)).sum()
    }
}

/// Sleepers of a room.
pub(crate) fn sleepers(space: &Space) -> usize {
    if space.sleeper_ages.is_empty() { space.sleeps.unwrap_or(0) as usize } else { space.sleeper_ages.len() }
}

/// Highest value of a series.
pub fn peak(series: &[f64]) -> f64 {
    series.iter().copied().fold(0.0, f64::max)
}

/// Mean of a series of equal steps, by trapezoids.
pub fn mean(series: &[f64]) -> f64 {
    let sum: f64 = series.windows(2).map(|pair| pair.iter().sum::<f64>() / 2.0).sum();
    sum / (series.len().saturating_sub(1).max(1)) as f64
}

/// Time above a level (s), by straight lines between the steps.
pub fn time_above(series: &[f64], step: f64, level: f64) -> f64 {
    let share = |pair: &[f64]| match pair {
        [a, b] if *a > level && *b > level => 1.0,
        [a, b] if *a <= level && *b <= level => 0.0,
        [a, b] => (a.max(*b) - level) / (a - b).abs(),
        _ => 0.0,
    };
    series.windows(2).map(share).sum::<f64>() * step
}

const NIGHTLY: &[&QuantityDef] = &[&facts::CO2_PEAK, &facts::CO2_MEAN, &facts::CO2_HOURS_ABOVE_1000];
const PER_SLEEPER: &[&QuantityDef] = &[&facts::OUTDOOR_AIR, &facts::OUTDOOR_AIR_PER_SLEEPER];

fn level(pack: &str, value: &serde_json::Value) -> Result<Option<f64>, Lack> {
    Settings::read(pack, value)?.level(pack)
}

/// The home's air on an ordinary night, and with the main unit off.
pub(crate) struct Nights<'a, 'b> {
    pub(crate) dwelling: &'b Dwelling<'a>,
    pub(crate) ordinary: Result<(&'b Air<'a>, Night), Lack>,
    pub(crate) off: Result<(&'b Air<'a>, Night), Lack>,
}

/// Facts of every room that someone sleeps in.
pub(crate) fn report(request: &Request<'_>, nights: &Nights<'_, '_>, findings: &mut Findings) {
    let levels: Vec<(&str, Result<Option<f64>, Lack>)> =
        request.settings.iter().map(|(pack, value)| (pack.as_str(), level(pack, value))).collect();
    for (id, space) in &request.home.spaces {
        let Some((zone, _)) = nights.dwelling.zone(id) else { continue };
        let subject = Subject::element("spaces", id);
        if sleepers(space) == 0 {
            if space.used_as == SpaceUse::Bedroom && space.sleeps.is_none() {
                let lack = Lack::at(format!("{subject} does not say how many it sleeps"), subject.as_str());
                lack.write(&subject, NIGHTLY, findings);
                lack.write(&subject, PER_SLEEPER, findings);
                lack.write(&subject, &[&facts::CO2_PEAK_UNIT_OFF], findings);
            }
            continue;
        }
        let bedroom = Bedroom { id, space, zone, subject: &subject, dwelling: nights.dwelling };
        match bedroom.pick(&nights.ordinary) {
            Ok((air, night)) => {
                bedroom.report(air, night, findings);
                for (pack, level) in &levels {
                    bedroom.at_level(pack, level, air, night, findings);
                }
            }
            Err(lack) => {
                lack.write(&subject, NIGHTLY, findings);
                lack.write(&subject, PER_SLEEPER, findings);
            }
        }
        match bedroom.pick(&nights.off) {
            Ok((air, night)) => {
                let peak = ppm(peak(night.zone(zone)));
                let basis =
                    bedroom.basis(air, night).assuming("the largest unit that is no spot unit is off; spot units run");
                findings.fact(&subject, &facts::CO2_PEAK_UNIT_OFF, peak, basis);
            }
            Err(lack) => lack.write(&subject, &[&facts::CO2_PEAK_UNIT_OFF], findings),
        }
    }
}

fn ppm(value: f64) -> Quantity {
    Ratio::from_si(value).into()
}

struct Bedroom<'a, 'b> {
    id: &'b Id,
    space: &'b Space,
    zone: usize,
    subject: &'b Subject,
    dwelling: &'b Dwelling<'a>,
}

impl<'a, 'b> Bedroom<'a, 'b> {
    /// A night's air, unless it cannot be told for this room.
    fn pick<'c>(&self, night: &'c Result<(&'b Air<'a>, Night), Lack>) -> Result<(&'b Air<'a>, &'c Night), Lack> {
        let (air, night) = night.as_ref().map_err(Clone::clone)?;
        if let Some(lack) = air.trouble(self.dwelling, self.zone) {
            return Err(lack);
        }
        let served = air.fans.get(self.id).is_some_and(|fans| !fans.supply.is_empty() || !fans.exhaust.is_empty());
        match self.dwelling.ways.get(self.id) {
            // A tight door is a statement about the room; an undescribed one is not.
            Some(Way::None(why)) if !served && !crate::dwelling::has_door(self.space) => {
                Err(Lack::at(format!("{why}, and no unit serves it"), self.subject.as_str()))
            }
            _ => Ok((air, night)),
        }
    }

    fn report(&self, air: &Air<'_>, night: &Night, findings: &mut Findings) {
        let series = night.zone(self.zone);
        let at_room = || Pointer::new(self.subject.as_str());
        let basis = self.basis(air, night);
        findings.fact_at(self.subject, &facts::CO2_PEAK, ppm(peak(series)), basis.clone(), at_room());
        let mean_basis = basis.clone().step(Step::new("C_m = 1/T ∫ C dt").result(Term::new(
            "C_m",
            "mean over the night",
            ppm(mean(series)),
            PPM,
        )));
        findings.fact(self.subject, &facts::CO2_MEAN, ppm(mean(series)), mean_basis);
        let hours = Duration::from_si(time_above(series, STEP, LEVEL));
        findings.fact(self.subject, &facts::CO2_HOURS_ABOVE_1000, hours, above(basis, LEVEL, hours));
        self.outdoor_air(air, night, findings);
    }

    fn at_level(
        &self,
        pack: &str,
        level: &Result<Option<f64>, Lack>,
        air: &Air<'_>,
        night: &Night,
        findings: &mut Findings,
    ) {
        let subject = Subject::element("references", format!("{pack}-{}", self.id));
        match level {
            Ok(None) => {}
            Ok(Some(level)) => {
                let hours = Duration::from_si(time_above(night.zone(self.zone), STEP, *level));
                let basis = above(self.basis(air, night), *level, hours);
                findings.fact(&subject, &facts::CO2_HOURS_ABOVE, hours, basis);
            }
            Err(lack) => lack.write(&subject, &[&facts::CO2_HOURS_ABOVE], findings),
        }
    }

    /// Where the room says who sleeps in it.
    fn people_path(&self) -> String {
        let field = if self.space.sleeper_ages.is_empty() { "sleeps" } else { "sleeper_ages" };
        format!("{}.{field}", self.subject)
    }

    /// The people of a room, the air that comes to it, and the steady state the night goes towards.
    fn basis(&self, air: &Air<'_>, night: &Night) -> Basis {
        let given = given_off(self.space);
        let inflow = at(&air.mixing.inflows(), self.zone);
        let size = self.dwelling.zones.get(self.zone).map_or(0.0, |zone| zone.volume);
        let ages = &self.space.sleeper_ages;
        let who = if ages.is_empty() {
            "adults asleep, mean of both sexes".to_owned()
        } else {
            format!("sleepers of {} years", ages.iter().map(ToString::to_string).collect::<Vec<_>>().join(", "))
        };
        let rate = Units::new("L/s", 5, "L/s", 5);
        let mut balance = Step::new("V dC/dt = Σ Q_j C_j − Q C + G")
            .term(Term::new("V", "volume of the air", Volume::from_si(size), Units::VOLUME))
            .term(Term::new("Q", "all air that enters", Flow::from_si(inflow), FLOW))
            .term(Term::new("Q_o", "outdoor air among it", Flow::from_si(at(&air.mixing.outdoor, self.zone)), FLOW))
            .term(Term::new("C_o", "outdoor air", ppm(OUTDOORS), PPM));
        for (from, flow) in air.transfers_into(self.zone) {
            let there = night.zone(from).last().copied().unwrap_or(OUTDOORS);
            let name = self.dwelling.name(from);
            balance = balance
                .term(Term::new("Q_j", format!("from {name}"), Flow::from_si(flow), FLOW))
                .term(Term::new("C_j", format!("{name} in the morning"), ppm(there), PPM));
        }
        let high = peak(night.zone(self.zone));
        let mut basis =
            Basis::new("transient mass balance over 8 h, all rooms together", "Persily and de Jonge 2017; ASTM D6245")
                .provenance("from memory")
                .step(
                    Step::new("G = 0.85 · 0.000211 · M · T/P · Σ BMR")
                        .term(
                            Term::new("N", who, sleepers(self.space) as f64, Units::plain(0)).given(self.people_path()),
                        )
                        .term(
                            Term::new("M", "asleep", crate::people::ASLEEP, Units::plain(2))
                                .published("compendium of physical activities, from memory"),
                        )
                        .result(Term::new("G", "carbon dioxide given off", given, rate.clone())),
                )
                .step(balance.result(Term::new("C", "highest of the night", ppm(high), PPM)));
        if let Some(steady) = night.steady.get(self.zone).copied().flatten() {
            basis = basis.step(Step::new("0 = Σ Q_j C_j − Q C_ss + G").result(Term::new(
                "C_ss",
                "what it goes towards",
                ppm(steady + OUTDOORS),
                PPM,
            )));
        }
        if air.fans.get(self.id).is_none_or(|fans| fans.supply.is_empty()) {
            let spot = Flow::from_si(given.si() / (LEVEL - OUTDOORS));
            basis = basis.step(
                Step::new("Q_spot = G/(1000 ppm − C_o)")
                    .term(Term::new("G", "carbon dioxide given off", given, rate))
                    .result(Term::new(
                        "Q_spot",
                        "what a spot unit would have to bring for a steady 1000 ppm",
                        spot,
                        FLOW,
                    )),
            );
        }
        let assumptions = network_basis(air).assumptions;
        assumptions
            .into_iter()
            .fold(basis, Basis::assuming)
            .assuming("every room holds 600 ppm as the night begins; 20 °C and sea level; every zone is well mixed")
    }

    fn outdoor_air(&self, air: &Air<'_>, night: &Night, findings: &mut Findings) {
        let Some(steady) = night.steady.get(self.zone).copied().flatten().filter(|steady| *steady > 0.0) else {
            let none = Flow::from_si(0.0);
            let words = "no outdoor air gets to the room";
            let basis = network_basis(air).step(Step::new("Q_e = 0").result(Term::new("Q_e", words, none, FLOW)));
            for definition in PER_SLEEPER {
                let at_room = Pointer::noted(self.subject.as_str(), words);
                findings.fact_at(self.subject, definition, none, basis.clone(), at_room);
            }
            return;
        };
        let given = given_off(self.space);
        let own_share = self.dwelling.zones.get(self.zone).map_or(1.0, |zone| volume(self.space) / zone.volume);
        let outdoor = Flow::from_si(given.si() / steady);
        let rate = Units::new("L/s", 5, "L/s", 5);
        let mut basis = network_basis(air).step(
            Step::new("Q_e = G/(C_ss − C_o)")
                .term(Term::new("G", "carbon dioxide given off in the room", given, rate))
                .term(Term::new("C_ss", "steady, with everyone in bed", ppm(steady + OUTDOORS), PPM))
                .term(Term::new("C_o", "outdoor air", ppm(OUTDOORS), PPM))
                .result(Term::new("Q_e", "outdoor air that counts", outdoor, FLOW)),
        );
        basis.method = "steady tracer balance with everyone in bed".into();
        if own_share < 1.0 {
            basis = basis.assuming("the room shares its air with others; the whole of it counts");
        }
        findings.fact(self.subject, &facts::OUTDOOR_AIR, outdoor, basis.clone());
        let people = sleepers(self.space) as f64;
        let each = outdoor / people;
        let basis = basis.step(
            Step::new("Q_e/N")
                .term(Term::new("N", "sleepers", people, Units::plain(0)).given(self.people_path()))
                .result(Term::new("q", "outdoor air for each", each, FLOW)),
        );
        let at_room = Pointer::new(self.subject.as_str());
        findings.fact_at(self.subject, &facts::OUTDOOR_AIR_PER_SLEEPER, each, basis, at_room);
    }
}

/// The step that counts hours above a level.
fn above(basis: Basis, level: f64, hours: Duration) -> Basis {
    basis.step(Step::new("t = time with C > C_L").term(Term::new("C_L", "level", ppm(level), PPM)).result(Term::new(
        "t",
        "time above it",
        hours,
        HOURS,
    )))
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A ramp from 0 to 2 passes 1 in its middle; a step series has its trapezoid mean.
    #[test]
    fn measures_of_a_series() {
        let ramp = [0.0, 1.0, 2.0];
        assert_eq!(peak(&ramp), 2.0);
        assert_eq!(mean(&ramp), 1.0);
        assert_eq!(time_above(&ramp, 60.0, 0.5), 90.0);
        assert_eq!(time_above(&ramp, 60.0, 2.0), 0.0);
        assert_eq!(time_above(&[2.0, 0.0], 60.0, 1.5), 15.0);
    }

    #[test]
    fn levels_of_packs() {
        let read = |value| Settings::read("pack", &value)?.level("pack");
        assert_eq!(read(serde_json::json!({"co2_level": "1200 ppm"})), Ok(Some(1200.0 * 1e-6)));
        assert_eq!(read(serde_json::json!({})), Ok(None));
        for wrong in
            [serde_json::json!({"co2_level": "12 ft"}), serde_json::json!({"level": "1 ppm"}), serde_json::json!(3)]
        {
            assert!(read(wrong).is_err());
        }
    }
}

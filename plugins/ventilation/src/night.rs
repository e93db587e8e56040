//! Carbon dioxide in bedrooms over a night with the doors shut.

use crate::air::Air;
use crate::dwelling::{Dwelling, Way, volume};
use crate::facts::{self, HOURS, PPM};
use crate::people::{ADULT, GIVEN_OFF, Generation, asleep, basal};
use crate::rooms::network_basis;
use crate::settings::Levels;
use mateline_equation::equation;
use mateline_mixing::linear::{add, at};
use mateline_model::home::{Home, Id, Space, SpaceUse};
use mateline_model::quantity::{Duration, Flow, Power, Quantity, Ratio, Units, Volume};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term};
use mateline_sdk::{Findings, Lack, Request};

/// Carbon dioxide of the outdoor air: about the mean of the mid-2020s (common practice).
pub const OUTDOORS: f64 = 420e-6;
/// Carbon dioxide in every room as the night begins (common practice, no source).
pub const EVENING: f64 = 600e-6;
/// Length of a night (s).
pub const NIGHT: f64 = 8.0 * 3600.0;
/// Length of a step (s).
pub const STEP: f64 = 60.0;

equation! {
    /// What the carbon dioxide of a room goes towards with everyone in bed. Source: mass balance of the room's air.
    pub(crate) Steady = "Q C_ss = Q_o C_o + Σ Q_j C_j + G" {
        C_ss: Ratio "what it goes towards" [PPM],
        Q: Flow "all air that enters" [Units::FLOW],
        Q_o: Flow "outdoor air among it" [Units::FLOW],
        C_o: Ratio "outdoor air" [PPM],
        Q_j: [Flow] "from another room" [Units::FLOW],
        C_j: [Ratio] "what that room goes towards" [PPM],
        G: Flow "carbon dioxide given off in the air it shares" [GIVEN_OFF],
    }

    /// What a spot unit would have to bring for a steady level. Source: mass balance of the room's air.
    pub(crate) Spot = "Q_spot = G/(C_L − C_o)" {
        Q_spot: Flow "what a spot unit would have to bring to keep the level" [Units::FLOW],
        G: Flow "carbon dioxide given off" [GIVEN_OFF],
        C_L: Ratio "level" [PPM],
        C_o: Ratio "outdoor air" [PPM],
    }

    /// Outdoor air that counts for sleepers: brought straight to them, it would hold the same carbon dioxide. Source: mass
    /// balance.
    pub(crate) Counted = "Q_e = G/(C_ss − C_o)" {
        Q_e: Flow "outdoor air that counts" [Units::FLOW],
        G: Flow "carbon dioxide given off in the room" [GIVEN_OFF],
        C_ss: Ratio "steady, with everyone in bed" [PPM],
        C_o: Ratio "outdoor air" [PPM],
    }

    /// Outdoor air for each sleeper. Source: division.
    pub(crate) Each = "q = Q_e/N" {
        q: Flow "outdoor air for each" [Units::FLOW],
        Q_e: Flow "outdoor air that counts" [Units::FLOW],
        N: f64 "sleepers" [Units::plain(0)],
    }
}

/// A night in every zone.
#[derive(Clone, Debug)]
pub(crate) struct Night {
    /// Concentrations minute by minute, zone by zone.
    pub(crate) series: Vec<Vec<f64>>,
    /// Steady concentrations above the outdoors.
    pub(crate) steady: Vec<Option<f64>>,
    /// What the people of a zone give off (m³/s).
    source: Vec<f64>,
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
        Ok(Night { series, steady: air.mixing.steady(&source), source })
    }

    fn zone(&self, zone: usize) -> &[f64] {
        self.series.get(zone).map(Vec::as_slice).unwrap_or_default()
    }
}

/// What the sleepers of a room give off.
pub(crate) fn given_off(space: &Space) -> Flow {
    let (people, rates, _) = in_bed(space);
    asleep(&people, &rates).value()
}

/// Sleepers of a room alike in age: how many, their basal rate, and who they are.
fn in_bed(space: &Space) -> (Vec<f64>, Vec<Power>, Vec<String>) {
    if space.sleeper_ages.is_empty() {
        let who = "adults asleep, mean of both sexes".to_owned();
        return (vec![f64::from(space.sleeps.unwrap_or(0))], vec![basal(ADULT)], vec![who]);
    }
    let ages = || space.sleeper_ages.iter();
    let who = ages().map(|age| format!("sleeper of {age} years")).collect();
    (ages().map(|_| 1.0).collect(), ages().map(|age| basal(*age)).collect(), who)
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

const NIGHTLY: &[&QuantityDef] = &[&facts::CO2_PEAK, &facts::CO2_MEAN];
const PER_SLEEPER: &[&QuantityDef] = &[&facts::OUTDOOR_AIR, &facts::OUTDOOR_AIR_PER_SLEEPER];

/// The home's air on an ordinary night, and with the main unit off.
pub(crate) struct Nights<'a, 'b> {
    pub(crate) dwelling: &'b Dwelling<'a>,
    pub(crate) ordinary: Result<(&'b Air<'a>, Night), Lack>,
    pub(crate) off: Result<(&'b Air<'a>, Night), Lack>,
    pub(crate) levels: Levels<'b>,
}

impl Nights<'_, '_> {
    /// The lowest level that a pack sets, and the pack.
    pub(crate) fn lowest_level(&self) -> Option<(&str, f64)> {
        let set = self.levels.iter().filter_map(|(pack, level)| Some((*pack, (*level.as_ref().ok()?)?)));
        set.min_by(|(_, a), (_, b)| a.total_cmp(b))
    }
}

/// Facts of every room that someone sleeps in.
pub(crate) fn report(request: &Request<'_>, nights: &Nights<'_, '_>, findings: &mut Findings) {
    for (id, space) in &request.home.spaces {
        let Some((zone, _)) = nights.dwelling.zone(id) else { continue };
        let subject = Subject::element("spaces", id);
        if sleepers(space) == 0 {
            if space.used_as == SpaceUse::Bedroom && space.sleepers().is_none() {
                let lack = Lack::at(format!("{subject} does not say how many it sleeps"), subject.as_str());
                lack.write(&subject, NIGHTLY, findings);
                lack.write(&subject, PER_SLEEPER, findings);
                lack.write(&subject, &[&facts::CO2_PEAK_UNIT_OFF], findings);
            }
            continue;
        }
        let level = nights.lowest_level();
        let bedroom = Bedroom { id, space, zone, subject: &subject, dwelling: nights.dwelling, level };
        let ordinary = bedroom.pick(&nights.ordinary);
        for (pack, level) in &nights.levels {
            bedroom.at_level(pack, level, &ordinary, findings);
        }
        match ordinary {
            Ok((air, night)) => bedroom.report(air, night, findings),
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
    /// The lowest level of all packs.
    level: Option<(&'b str, f64)>,
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
        let mean_basis = basis.clone().step(Step::procedure("C_m = 1/T ∫ C dt").result(Term::new(
            "C_m",
            "mean over the night",
            ppm(mean(series)),
            PPM,
        )));
        findings.fact(self.subject, &facts::CO2_MEAN, ppm(mean(series)), mean_basis);
        self.outdoor_air(air, night, findings);
    }

    fn at_level(
        &self,
        pack: &str,
        level: &Result<Option<f64>, Lack>,
        night: &Result<(&Air<'_>, &Night), Lack>,
        findings: &mut Findings,
    ) {
        let subject = Subject::element("references", format!("{pack}-{}", self.id));
        match (level, night) {
            (Ok(None), _) => {}
            (Ok(Some(level)), Ok((air, night))) => {
                let hours = Duration::from_si(time_above(night.zone(self.zone), STEP, *level));
                let basis = above(self.basis(air, night), *level, pack, hours);
                findings.fact(&subject, &facts::CO2_HOURS_ABOVE, hours, basis);
            }
            (Err(lack), _) | (_, Err(lack)) => lack.write(&subject, &[&facts::CO2_HOURS_ABOVE], findings),
        }
    }

    /// Where the room says who sleeps in it.
    fn people_path(&self) -> String {
        let field = if self.space.sleeper_ages.is_empty() { "sleeps" } else { "sleeper_ages" };
        format!("{}.{field}", self.subject)
    }

    /// The people of a room, the air that comes to it, and the steady state the night goes towards.
    fn basis(&self, air: &Air<'_>, night: &Night) -> Basis {
        let inflow = Flow::from_si(at(&air.mixing.inflows(), self.zone));
        let outdoor = Flow::from_si(at(&air.mixing.outdoor, self.zone));
        let size = self.dwelling.zones.get(self.zone).map_or(0.0, |zone| zone.volume);
        let (people, rates, who) = in_bed(self.space);
        let (given, generation) = asleep(&people, &rates).step();
        let generation = generation
            .each(Generation::N_j, who, |term, who| Term { meaning: who, ..term }.given(self.people_path()))
            .meaning(Generation::M, "asleep")
            .published(Generation::M, "compendium of physical activities, from memory");
        let mut balance = Step::procedure("V dC/dt = Σ Q_j C_j − Q C + G")
            .term(Term::new("V", "volume of the air", Volume::from_si(size), Units::VOLUME))
            .term(Term::new("Q", "all air that enters", inflow, Units::FLOW))
            .term(Term::new("Q_o", "outdoor air among it", outdoor, Units::FLOW))
            .term(Term::new("C_o", "outdoor air", ppm(OUTDOORS), PPM));
        for (from, flow) in air.transfers_into(self.zone) {
            let there = night.zone(from).last().copied().unwrap_or(OUTDOORS);
            let name = self.dwelling.name(from);
            balance = balance
                .term(Term::new("Q_j", format!("from {name}"), Flow::from_si(flow), Units::FLOW))
                .term(Term::new("C_j", format!("{name} in the morning"), ppm(there), PPM));
        }
        let high = peak(night.zone(self.zone));
        let mut basis =
            Basis::new("transient mass balance over 8 h, all rooms together", "Persily and de Jonge 2017; ASTM D6245")
                .provenance("from memory")
                .step(generation)
                .step(balance.result(Term::new("C", "highest of the night", ppm(high), PPM)));
        if let Some(steady) = self.steady(air, night) {
            basis = basis.step(steady);
        }
        let outdoors = Ratio::from_si(OUTDOORS);
        let is_unserved = air.fans.get(self.id).is_none_or(|fans| fans.supply.is_empty());
        if let Some((pack, level)) = self.level.filter(|_| is_unserved) {
            let step = Spot { G: given, C_L: Ratio::from_si(level), C_o: outdoors }.step().1;
            basis = basis.step(step.published(Spot::C_L, setting_of(pack)));
        }
        let assumptions = network_basis(air).assumptions;
        assumptions
            .into_iter()
            .fold(basis, Basis::assuming)
            .assuming("every room holds 600 ppm as the night begins; 20 °C and sea level; every zone is well mixed")
    }

    /// The balance of the steady state; `None` where the room or one that gives it air has none.
    fn steady(&self, air: &Air<'_>, night: &Night) -> Option<Step> {
        let towards = |zone: usize| Some(Ratio::from_si(night.steady.get(zone).copied()?? + OUTDOORS));
        let (mut flows, mut levels, mut names) = (Vec::new(), Vec::new(), Vec::new());
        for (from, flow) in air.transfers_into(self.zone) {
            flows.push(Flow::from_si(flow));
            levels.push(towards(from)?);
            names.push(self.dwelling.name(from));
        }
        let balance = Steady {
            C_ss: towards(self.zone)?,
            Q: Flow::from_si(at(&air.mixing.inflows(), self.zone)),
            Q_o: Flow::from_si(at(&air.mixing.outdoor, self.zone)),
            C_o: Ratio::from_si(OUTDOORS),
            Q_j: &flows,
            C_j: &levels,
            G: Flow::from_si(at(&night.source, self.zone)),
        };
        let named =
            |words: &'static str| move |term: Term, name: &String| Term { meaning: format!("{words}{name}"), ..term };
        Some(balance.step().1.each(Steady::Q_j, &names, named("from ")).each(Steady::C_j, &names, named("")))
    }

    fn outdoor_air(&self, air: &Air<'_>, night: &Night, findings: &mut Findings) {
        let Some(steady) = night.steady.get(self.zone).copied().flatten().filter(|steady| *steady > 0.0) else {
            let none = Flow::from_si(0.0);
            let words = "no outdoor air gets to the room";
            let basis =
                network_basis(air).step(Step::new("Q_e = 0").result(Term::new("Q_e", words, none, Units::FLOW)));
            for definition in PER_SLEEPER {
                let at_room = Pointer::noted(self.subject.as_str(), words);
                findings.fact_at(self.subject, definition, none, basis.clone(), at_room);
            }
            return;
        };
        let given = given_off(self.space);
        let own_share = self.dwelling.zones.get(self.zone).map_or(1.0, |zone| volume(self.space) / zone.volume);
        let (level, outdoors) = (Ratio::from_si(steady + OUTDOORS), Ratio::from_si(OUTDOORS));
        let (outdoor, step) = Counted { G: given, C_ss: level, C_o: outdoors }.step();
        let mut basis = network_basis(air).step(step);
        basis.method = "steady tracer balance with everyone in bed".into();
        if own_share < 1.0 {
            basis = basis.assuming("the room shares its air with others; the whole of it counts");
        }
        findings.fact(self.subject, &facts::OUTDOOR_AIR, outdoor, basis.clone());
        let people = sleepers(self.space) as f64;
        let (each, step) = Each { Q_e: outdoor, N: people }.step();
        let step =
            step.fact(Each::Q_e, self.subject, facts::OUTDOOR_AIR.name.clone()).given(Each::N, self.people_path());
        let basis = basis.step(step);
        let at_room = Pointer::new(self.subject.as_str());
        findings.fact_at(self.subject, &facts::OUTDOOR_AIR_PER_SLEEPER, each, basis, at_room);
    }
}

fn setting_of(pack: &str) -> String {
    format!("setting of {pack}")
}

/// The step that counts hours above a level.
fn above(basis: Basis, level: f64, pack: &str, hours: Duration) -> Basis {
    let level = Term::new("C_L", "level", ppm(level), PPM).published(setting_of(pack));
    let time = Term::new("t", "time above it", hours, HOURS);
    basis.step(Step::procedure("t = time with C > C_L").term(level).result(time))
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
        let read = |value| crate::settings::Settings::read("pack", &value)?.level("pack");
        assert_eq!(read(serde_json::json!({"co2_level": "1200 ppm"})), Ok(Some(1200.0 * 1e-6)));
        assert_eq!(read(serde_json::json!({})), Ok(None));
        for wrong in
            [serde_json::json!({"co2_level": "12 ft"}), serde_json::json!({"level": "1 ppm"}), serde_json::json!(3)]
        {
            assert!(read(wrong).is_err());
        }
    }
}

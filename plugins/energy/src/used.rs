//! What the year uses: heating, cooling, hot water, fans, appliances and lights, and what that comes to.
//!
//! Machines follow the hours of the held year ([`crate::home_year`]), so that what they use is of the same hours as the need.
//! Everything is as the home gives it: a machine that is not described uses nothing that could be told, and the sums wait.
//! Sizing, refrigerants, combustion and electrical work belong to licensed people.
//!
//! Sources: as [`crate::machine`] and [`crate::hot_water`] say.

use crate::air::AIR;
use crate::facts::{self, HEAT, USE};
use crate::frost;
use crate::gathered::Balance;
use crate::home_year::HeldYear;
use crate::hot_water;
use crate::machine::Machine;
use crate::part::{Added, CAUTION, Course, Part, ungiven};
use crate::totals;
use mateline_equation::equation;
use mateline_model::home::{CoolingKind, DryerKind, Fuel};
use mateline_model::quantity::{Conductance, Duration, Energy, Power, Ratio, Temperature, Units};
use mateline_model::{Basis, QuantityDef, Step, Subject, Term};
use mateline_sdk::{Findings, Lack, Request};

const YEAR: f64 = 365.0 * 86_400.0;
/// So little of the year's heat may be left without a machine that brings it.
const UNMET: f64 = 1e-6;

equation! {
    /// What runs all year. Source: addition.
    pub(crate) AllYear = "E = Σ r_j P_j t" {
        E: Energy "used" [USE],
        r_j: [Ratio] "share of the time" [Units::PERCENT],
        P_j: [Power] "power" [WATTS],
        t: Duration "the year" [Units::new("d", 0, "d", 0)],
    }

    /// Heat brought over what that used. Source: definition.
    pub(crate) Performance = "p = Q/E" {
        p: Ratio "performance of the year" [Units::plain(2)],
        Q: Energy "heat" [HEAT],
        E: Energy "used" [USE],
    }
}

/// Electric power.
const WATTS: Units = Units::new("W", 1, "W", 1);

/// Heat in the year's hours, each with how many it stands for (J).
fn summed(year: &HeldYear, of: impl Fn(usize) -> f64) -> Energy {
    let hours = year.hours.hours.iter().enumerate();
    Energy::from_si(hours.map(|(number, hour)| of(number) * hour.count * 3_600.0).sum())
}

/// Writes what every part uses, and the sums of all.
pub(crate) fn report(request: &Request<'_>, balance: &Balance<'_>, year: &HeldYear, findings: &mut Findings) {
    let home = Subject::home();
    let mut added = Added::default();
    let parts = [
        (hot_water::hot_water(request, balance, &mut added, findings), &facts::HOT_WATER_USE),
        (dryer(request, balance, year, &mut added, findings), &facts::DRYER_USE),
        (heating(request, balance, year, &added, findings), &facts::HEATING_USE),
        (cooling(request, year, findings), &facts::COOLING_USE),
        (fans(request), &facts::FAN_USE),
        (frost::part(request, year), &facts::FROST_USE),
        (appliances(request), &facts::APPLIANCE_USE),
    ];
    let (mut known, mut lack) = (Vec::new(), None);
    for (part, fact) in parts {
        match part {
            Ok(part) => {
                findings.fact(&home, &part.fact, part.energy, part.basis.clone());
                known.push(part);
            }
            Err(why) => {
                why.write(&home, &[fact], findings);
                lack.get_or_insert(why);
            }
        }
    }
    if let Err(lack) = capacity(request, findings) {
        lack.write(&home, &[&facts::HEATING_CAPACITY], findings);
    }
    let all = lack.map_or(Ok(known), Err);
    totals::report(request, year, all, findings);
}

fn dryer(
    request: &Request<'_>,
    balance: &Balance<'_>,
    year: &HeldYear,
    added: &mut Added,
    findings: &mut Findings,
) -> Result<Part, Lack> {
    let home = Subject::home();
    let air = |findings: &mut Findings, lack: &Lack| lack.write(&home, &[&facts::DRYER_AIR], findings);
    let Some(dryer) = &request.home.systems.clothes_dryer else {
        let lack = Lack::at("the home does not say how clothes are dried", "systems");
        air(findings, &lack);
        return Err(lack);
    };
    let lost = match (dryer.kind, dryer.flow, dryer.run_time) {
        (DryerKind::Vented, None, _) => Err(ungiven("systems.clothes_dryer.flow")),
        (DryerKind::Vented, _, None) => Err(ungiven("systems.clothes_dryer.run_time")),
        (DryerKind::Vented, Some(flow), Some(run)) => Ok(AIR * flow.si() * run.si()),
        _ => Ok(0.0),
    };
    match &lost {
        Err(lack) => air(findings, lack),
        Ok(each) => {
            added.dryer = *each;
            let winter = balance.winter.si();
            let heat = summed(year, |hour| {
                let outdoors = year.hours.hours.get(hour).map_or(winter, |of| of.air);
                let heats = year.held.get(hour).is_some_and(|told| told.heat > 0.0);
                if heats { each * (winter - outdoors).max(0.0) } else { 0.0 }
            });
            let step =
                Step::procedure("outdoor air that takes the place of the dryer's, over the hours that are heated")
                    .term(Term::new(
                        "H",
                        "by the dryer's air, mean of the year",
                        Conductance::from_si(*each),
                        Units::CONDUCTANCE,
                    ))
                    .term(Term::new("θ_i", "indoors", balance.winter, Units::TEMPERATURE))
                    .result(Term::new("Q", "lost with the dryer's air", heat, HEAT));
            let basis = Basis::new("air of the dryer, through the hours", "ISO 13789:2017")
                .provenance("from memory, high")
                .step(step)
                .assuming("the dryer runs as much in every hour; a dryer that drains its water blows no air outdoors");
            findings.fact(&home, &facts::DRYER_AIR, heat, basis);
        }
    }
    lost?;
    let power = match dryer.kind {
        DryerKind::None => Power::default(),
        _ => dryer.power.ok_or_else(|| ungiven("systems.clothes_dryer.power"))?,
    };
    let (energy, step) = AllYear { r_j: &[Ratio::from_si(1.0)], P_j: &[power], t: Duration::from_si(YEAR) }.step();
    let step = step.each(AllYear::P_j, &["systems.clothes_dryer.power"], |term, path| term.given(*path));
    let basis = Basis::new("mean power over the year", "definition").provenance("definition").step(step);
    let course = Course::Even(power.si());
    Ok(Part { fact: facts::DRYER_USE, fuel: None, course, energy, basis })
}

fn heating(
    request: &Request<'_>,
    balance: &Balance<'_>,
    year: &HeldYear,
    added: &Added,
    findings: &mut Findings,
) -> Result<Part, Lack> {
    let home = Subject::home();
    let told = heated(request, balance, year, added, findings);
    if let Err(lack) = &told {
        lack.write(
            &home,
            &[&facts::HEAT_PUMP_HEAT, &facts::BACKUP_HEAT, &facts::UNMET_HEAT, &facts::HEATING_PERFORMANCE],
            findings,
        );
    }
    told
}

fn heated(
    request: &Request<'_>,
    balance: &Balance<'_>,
    year: &HeldYear,
    added: &Added,
    findings: &mut Findings,
) -> Result<Part, Lack> {
    let home = Subject::home();
    let system =
        request.home.systems.heating.as_ref().ok_or_else(|| Lack::at("the home names no heating", "systems"))?;
    let winter = balance.winter.si();
    let load = |hour: usize| {
        let (Some(told), Some(of)) = (year.held.get(hour), year.hours.hours.get(hour)) else { return 0.0 };
        if told.heat <= 0.0 {
            return 0.0;
        }
        let water = added.water.get(of.month).copied().unwrap_or_default();
        told.heat + water + added.dryer * (winter - of.air).max(0.0)
    };
    let pump = system.pump.map_or(0.0, Power::si);
    let count = year.hours.hours.len();
    let heat = summed(year, load);
    let mut course = vec![0.0; count];
    let mut step =
        Step::procedure("heat of each hour that the rooms are held, by the machine at its outdoor temperature");
    let none = |findings: &mut Findings| {
        let lack = Lack::at("the heating is no heat pump", "systems.heating");
        lack.write(&home, &[&facts::HEAT_PUMP_HEAT, &facts::BACKUP_HEAT, &facts::UNMET_HEAT], findings);
    };
    let fuel = match system.fuel {
        Fuel::HeatPump => {
            let machine = heat_pump(request)?;
            let backup = system.backup.map_or(0.0, Power::si);
            let (mut pumped, mut helped, mut unmet) = (vec![0.0; count], vec![0.0; count], vec![0.0; count]);
            for hour in 0..count {
                let (wanted, outdoor) = (load(hour), year.hours.hours.get(hour).map_or(0.0, |of| of.air));
                let work = machine.hour(wanted, outdoor);
                let help = (wanted - work.heat).min(backup).max(0.0);
                let places = (pumped.get_mut(hour), helped.get_mut(hour), unmet.get_mut(hour), course.get_mut(hour));
                if let (Some(pumped), Some(helped), Some(unmet), Some(power)) = places {
                    (*pumped, *helped, *unmet) = (work.heat, help, (wanted - work.heat - help).max(0.0));
                    *power = work.power + help;
                }
            }
            let of = |hours: &[f64]| summed(year, |hour| hours.get(hour).copied().unwrap_or_default());
            let missed = of(&unmet);
            for (fact, what, energy) in [
                (&facts::HEAT_PUMP_HEAT, "by the heat pump", of(&pumped)),
                (&facts::BACKUP_HEAT, "by backup heat", of(&helped)),
                (&facts::UNMET_HEAT, "that nothing brings", missed),
            ] {
                let step = step.clone().result(Term::new("Q", format!("heat {what}"), energy, HEAT));
                findings.fact(&home, fact, energy, worked(step, added));
            }
            if missed.si() > UNMET * heat.si() {
                let because = match system.backup {
                    None => "the heat pump falls short in cold hours, and systems.heating.backup is not given",
                    Some(_) => "the heat pump and its backup together fall short in cold hours",
                };
                let lack = Lack::at(because, "systems.heating");
                lack.write(&home, &[&facts::HEATING_PERFORMANCE], findings);
                return Err(lack);
            }
            None
        }
        Fuel::Electricity => {
            none(findings);
            course.iter_mut().enumerate().for_each(|(hour, power)| *power = load(hour));
            None
        }
        fuel => {
            none(findings);
            let share = system.efficiency.filter(|share| share.si() > 0.0);
            let share = share.ok_or_else(|| ungiven("systems.heating.efficiency"))?;
            course.iter_mut().enumerate().for_each(|(hour, power)| *power = load(hour) / share.si());
            step = step.term(
                Term::new("η", "share of the fuel's heat that reaches the rooms", share, Units::PERCENT)
                    .given("systems.heating.efficiency"),
            );
            Some(fuel)
        }
    };
    // Pumps take electricity, which is counted with the heat where that is electricity too.
    if fuel.is_none() {
        course.iter_mut().enumerate().for_each(|(hour, power)| *power += if load(hour) > 0.0 { pump } else { 0.0 });
    }
    let energy = summed(year, |hour| course.get(hour).copied().unwrap_or_default());
    if energy.si() > 0.0 {
        let (performance, worked_step) = Performance { Q: heat, E: energy }.step();
        let basis = worked(step.clone().result(Term::new("Q", "heat of the hours", heat, HEAT)), added);
        let worked_step = worked_step.fact(Performance::E, &home, facts::HEATING_USE.name);
        findings.fact(&home, &facts::HEATING_PERFORMANCE, performance, basis.step(worked_step));
    } else {
        findings.missing(&home, &facts::HEATING_PERFORMANCE, "no heat is needed", None);
    }
    let step = step.term(Term::new("Q", "heat of the hours", heat, HEAT)).result(Term::new("E", "used", energy, USE));
    Ok(Part { fact: facts::HEATING_USE, fuel, course: Course::Hours(course), energy, basis: worked(step, added) })
}

/// The heat pump of the home, by its rated points.
fn heat_pump(request: &Request<'_>) -> Result<Machine, Lack> {
    let system = request.home.systems.heating.as_ref();
    let system = system.ok_or_else(|| Lack::at("the home names no heating", "systems"))?;
    let degradation = system.part_load.map(|share| share.si());
    let machine = Machine::of(&system.rated, degradation, system.stops_below.map(Temperature::si));
    let because = "systems.heating.rated needs two points without frost at least, at two temperatures";
    machine.filter(|_| system.fuel == Fuel::HeatPump).ok_or_else(|| Lack::at(because, "systems.heating"))
}

/// Writes what the heat pump can bring at the design temperature.
fn capacity(request: &Request<'_>, findings: &mut Findings) -> Result<(), Lack> {
    let machine = heat_pump(request)?;
    let outdoor = request.home.site.design_heating;
    let outdoor = outdoor.ok_or_else(|| Lack::at("site.design_heating is not given", "site"))?;
    let runs = outdoor.si() >= machine.stops_below;
    let capacity = Power::from_si(if runs { machine.at(outdoor.si()).0.max(0.0) } else { 0.0 });
    let step = Step::procedure("on the line between rated points, at the design temperature")
        .term(
            Term::new("θ_d", "outdoors, for heating design", outdoor, Units::TEMPERATURE).given("site.design_heating"),
        )
        .result(Term::new("Φ", "capacity", capacity, facts::POWER));
    let basis = worked(step, &Added::default()).assuming("backup heat is not in it");
    findings.fact(&Subject::home(), &facts::HEATING_CAPACITY, capacity, basis);
    Ok(())
}

/// A basis of machines through the hours.
fn worked(step: Step, added: &Added) -> Basis {
    let basis = Basis::new("machine by rated points, through the hours", "10 CFR 430, appendix M")
        .provenance("from memory, high")
        .step(step)
        .assuming("defrost is in a point rated with frost; without one, none is counted")
        .assuming("need of the hours: one zone, with what people feel held")
        .assuming(CAUTION);
    added.said.iter().fold(basis, |basis, said| basis.assuming(said.clone()))
}

fn cooling(request: &Request<'_>, year: &HeldYear, findings: &mut Findings) -> Result<Part, Lack> {
    let home = Subject::home();
    let told = cooled(request, year, findings);
    if let Err(lack) = &told {
        lack.write(&home, &[&facts::COOLING_PERFORMANCE], findings);
    }
    told
}

fn cooled(request: &Request<'_>, year: &HeldYear, findings: &mut Findings) -> Result<Part, Lack> {
    let home = Subject::home();
    let system =
        request.home.systems.cooling.as_ref().ok_or_else(|| Lack::at("the home names no cooling", "systems"))?;
    let none = Added::default();
    let step = Step::procedure("heat of each hour that is taken out, by the machine at its outdoor temperature");
    if system.kind == CoolingKind::None {
        findings.missing(&home, &facts::COOLING_PERFORMANCE, "nothing cools the rooms", None);
        let (energy, course) = (Energy::default(), Course::Even(0.0));
        let step = Step::procedure("nothing cools the rooms").result(Term::new("E", "used", energy, USE));
        return Ok(Part { fact: facts::COOLING_USE, fuel: None, course, energy, basis: worked(step, &none) });
    }
    let machine = Machine::of(&system.rated, system.part_load.map(|share| share.si()), None);
    let because = "systems.cooling.rated needs two points at least, at two temperatures";
    let machine = machine.ok_or_else(|| Lack::at(because, "systems.cooling"))?;
    let mut course = Vec::with_capacity(year.held.len());
    let (mut heat, mut unmet) = (0.0, 0.0);
    for (told, of) in year.held.iter().zip(&year.hours.hours) {
        let load = told.cool;
        let work = machine.hour(load, of.air);
        heat += work.heat * of.count * 3_600.0;
        unmet += (load - work.heat) * of.count * 3_600.0;
        course.push(work.power);
    }
    if unmet > UNMET * (heat + unmet) {
        return Err(Lack::at("the cooling falls short in hot hours", "systems.cooling"));
    }
    let energy = summed(year, |hour| course.get(hour).copied().unwrap_or_default());
    let heat = Energy::from_si(heat);
    match energy.si() > 0.0 {
        true => {
            let (performance, worked_step) = Performance { Q: heat, E: energy }.step();
            let basis = worked(step.clone().result(Term::new("Q", "heat taken out", heat, HEAT)), &none);
            let worked_step = worked_step.fact(Performance::E, &home, facts::COOLING_USE.name);
            findings.fact(&home, &facts::COOLING_PERFORMANCE, performance, basis.step(worked_step));
        }
        false => findings.missing(&home, &facts::COOLING_PERFORMANCE, "nothing has to be taken out", None),
    }
    let step = step.term(Term::new("Q", "heat taken out", heat, HEAT)).result(Term::new("E", "used", energy, USE));
    let basis = worked(step, &none).assuming("sensible heat alone; drying of the air comes on top");
    Ok(Part { fact: facts::COOLING_USE, fuel: None, course: Course::Hours(course), energy, basis })
}

fn fans(request: &Request<'_>) -> Result<Part, Lack> {
    let (mut shares, mut powers, mut paths) = (Vec::new(), Vec::new(), Vec::new());
    for (id, unit) in &request.home.systems.ventilation {
        let path = format!("systems.ventilation.{id}.power");
        powers.push(unit.power.ok_or_else(|| ungiven(&path))?);
        shares.push(unit.run_time.unwrap_or(Ratio::from_si(1.0)));
        paths.push(path);
    }
    Ok(all_year(facts::FAN_USE, &shares, &powers, &paths))
}

fn appliances(request: &Request<'_>) -> Result<Part, Lack> {
    let listed = &request.home.systems.appliances;
    if listed.is_empty() {
        return Err(Lack::at("the home lists no appliances and lights under systems.appliances", "systems"));
    }
    let powers: Vec<Power> = listed.values().map(|appliance| appliance.power).collect();
    let paths: Vec<String> = listed.keys().map(|id| format!("systems.appliances.{id}.power")).collect();
    Ok(all_year(facts::APPLIANCE_USE, &vec![Ratio::from_si(1.0); powers.len()], &powers, &paths))
}

/// What powers that are means over the year, or run a share of it, come to.
fn all_year(fact: QuantityDef, shares: &[Ratio], powers: &[Power], paths: &[String]) -> Part {
    let (energy, step) = AllYear { r_j: shares, P_j: powers, t: Duration::from_si(YEAR) }.step();
    let step = step.each(AllYear::P_j, paths, |term, path| Term { meaning: path.clone(), ..term }.given(path.clone()));
    let basis = Basis::new("power over the year", "definition")
        .provenance("definition")
        .step(step)
        .assuming("as much in every hour; the heat that it gives off is that of systems.internal_gains");
    let course = Course::Even(energy.si() / YEAR);
    Part { fact, fuel: None, course, energy, basis }
}

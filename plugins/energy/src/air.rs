//! Outdoor air in use: what fans bring, what recovery keeps of its heat, and what leaks in.

use crate::rooms::{Room, is_heated};
use crate::surfaces::known;
use mateline_equation::equation;
use mateline_model::home::{Home, Id, Shielding, VentilationKind, VentilationUnit};
use mateline_model::quantity::{Conductance, Flow, Ratio, Units};
use mateline_model::{Basis, Subject, Term};
use mateline_sdk::{Lack, Request};
use std::collections::BTreeMap;

/// Heat that a cubic metre of air holds for each degree (J/(m³·K)), as the equation of what air takes along has it.
pub(crate) const AIR: f64 = 1_200.0;
/// A factor without a unit.
const FACTOR: Units = Units::plain(2);
/// How much steadier leaks are than wind, more than one façade being exposed. Source: ISO 13789:2017 (from memory, high).
pub(crate) const WIND_FACTOR: f64 = 15.0;

equation! {
    /// Air through leaks in use: a share of what 50 Pa drive through, less where fans keep the home under pressure.
    /// Source: ISO 13789:2017, air change by infiltration (from memory, high).
    pub Infiltration = "q_x = e q50/(1 + f/e ((q_s − q_a)/q50)²)" {
        q_x: Flow "through leaks" [Units::HOURLY_FLOW],
        e: Ratio "shelter" [FACTOR],
        q50: Flow "leakage at 50 Pa" [Units::HOURLY_FLOW],
        f: Ratio "wind" [FACTOR],
        q_s: Flow "supply of all fans" [Units::HOURLY_FLOW],
        q_a: Flow "exhaust of all fans" [Units::HOURLY_FLOW],
    }

    /// Supply or exhaust of all fans, over all hours. Source: addition.
    pub(crate) Fans = "q = Σ r_j q_j" {
        q: Flow "of all fans" [Units::HOURLY_FLOW],
        r_j: [Ratio] "share of the time" [Units::PERCENT],
        q_j: [Flow] "while it runs" [Units::HOURLY_FLOW],
    }

    /// Outdoor air whose heat recovery keeps. Source: ISO 13789:2017 (from memory, high).
    pub(crate) Kept = "q_k = Σ η_j r_j q_j" {
        q_k: Flow "kept by recovery" [Units::HOURLY_FLOW],
        η_j: [Ratio] "sensible recovery" [Units::PERCENT],
        r_j: [Ratio] "share of the time" [Units::PERCENT],
        q_j: [Flow] "the smaller of supply and exhaust" [Units::HOURLY_FLOW],
    }

    /// Heat loss coefficient of air: the larger of supply and exhaust, less what recovery keeps, and the leaks.
    /// Source: ISO 13789:2017 and ISO 13790:2008, 9.3 (from memory, high).
    pub(crate) AirLoss = "H_V = 1200[J/(m³·K)] (max(q_s, q_a) − q_k + q_x)" {
        H_V: Conductance "by air" [Units::CONDUCTANCE],
        q_s: Flow "supply of all fans" [Units::HOURLY_FLOW],
        q_a: Flow "exhaust of all fans" [Units::HOURLY_FLOW],
        q_k: Flow "kept by recovery" [Units::HOURLY_FLOW],
        q_x: Flow "through leaks" [Units::HOURLY_FLOW],
    }
}

/// Air in use, with how it follows.
pub(crate) struct Air {
    /// Supply and exhaust of all fans, and what recovery keeps of them.
    pub supply: Flow,
    pub exhaust: Flow,
    pub kept: Flow,
    /// What recovery keeps of their water (m³/s).
    pub latent_kept: f64,
    /// Leakage at 50 Pa.
    pub q50: Flow,
    fans: Vec<Fan>,
    pub infiltration: (Flow, Basis),
    pub loss: (Conductance, Basis),
}

/// What one unit's air loses, and where it is brought.
struct Fan {
    /// Outdoor air less what recovery keeps (m³/s).
    weight: f64,
    /// Its supply to each room (m³/s).
    to: BTreeMap<Id, f64>,
}

impl Air {
    /// Share of a room in what the fans' air loses: by the supply it gets, of fans that supply no room by its volume.
    pub(crate) fn share_of_fans(&self, room: &Room<'_>) -> f64 {
        let all: f64 = self.fans.iter().map(|fan| fan.weight).sum();
        if all <= 0.0 {
            return room.volume;
        }
        let part = |fan: &Fan| {
            let supplied: f64 = fan.to.values().sum();
            let own =
                if supplied > 0.0 { fan.to.get(room.id).map_or(0.0, |flow| flow / supplied) } else { room.volume };
            fan.weight / all * own
        };
        self.fans.iter().map(part).sum()
    }
}

/// Supply and exhaust of a unit while it runs, from the flow that it delivers.
pub(crate) fn sides(unit: &VentilationUnit, flow: f64) -> (f64, f64) {
    match unit.kind {
        VentilationKind::ExhaustFan => (0.0, flow),
        VentilationKind::SupplyFan => (flow, 0.0),
        _ => {
            let (supply, exhaust) = (unit.supply.map_or(flow, Flow::si), unit.exhaust.map_or(flow, Flow::si));
            let larger = supply.max(exhaust);
            if larger > 0.0 { (flow * supply / larger, flow * exhaust / larger) } else { (flow, flow) }
        }
    }
}

/// The share of 50 Pa's flow, by shelter.
pub(crate) fn shelter(home: &Home) -> Result<Ratio, Lack> {
    let share = match home.site.shielding {
        Some(Shielding::Exposed) => 0.10,
        Some(Shielding::Average) => 0.07,
        Some(Shielding::Sheltered) => 0.04,
        None => return Err(Lack::at("site.shielding is not given", "site")),
    };
    Ok(Ratio::from_si(share))
}

/// Flows of one side of all units, over all hours.
struct Side {
    run: Vec<Ratio>,
    flows: Vec<Flow>,
}

/// What is known of the home's air.
pub(crate) fn of(request: &Request<'_>) -> Result<Air, Lack> {
    let (home, subject) = (request.home, Subject::home());
    if home.systems.ventilation.is_empty() {
        return Err(Lack::at("the home names no ventilation units", "systems.ventilation"));
    }
    let side = || Side { run: Vec::new(), flows: Vec::new() };
    let (mut supply, mut exhaust, mut both, mut recovery) = (side(), side(), side(), Vec::new());
    let (mut fans, mut latent_kept) = (Vec::new(), 0.0);
    let mut units = Vec::new();
    let heated = |room: &Id| home.spaces.get(room).is_some_and(|space| is_heated(request, space));
    for (id, unit) in &home.systems.ventilation {
        let unit_subject = Subject::element("systems.ventilation", id);
        let flow = known(request, &unit_subject, "ventilation.unit_flow")?;
        let run = unit.run_time.unwrap_or(Ratio::from_si(1.0));
        let (supplied, exhausted) = sides(unit, flow);
        for (side, flow) in [(&mut supply, supplied), (&mut exhaust, exhausted), (&mut both, supplied.min(exhausted))] {
            side.run.push(run);
            side.flows.push(Flow::from_si(flow));
        }
        // What is missing is not nought: it would make a load too large, and a machine seem none too large for it.
        let η = match unit.sensible_recovery {
            Some(η) => η,
            None if unit.kind.recovers_heat() => {
                return Err(Lack::at(format!("{unit_subject} has no sensible_recovery"), unit_subject.to_string()));
            }
            None => Ratio::default(),
        };
        recovery.push(η);
        let both = supplied.min(exhausted);
        latent_kept += run.si() * both * unit.latent_recovery.unwrap_or_default().si();
        let to = unit.supplies.iter().filter(|(room, _)| heated(room)).map(|(room, flow)| (room.clone(), flow.si()));
        fans.push(Fan { weight: run.si() * (supplied.max(exhausted) - η.si() * both), to: to.collect() });
        units.push(unit_subject);
    }
    let (q_s, supply_step) = Fans { r_j: &supply.run, q_j: &supply.flows }.step();
    let (q_a, exhaust_step) = Fans { r_j: &exhaust.run, q_j: &exhaust.flows }.step();
    let (q_k, kept_step) = Kept { η_j: &recovery, r_j: &both.run, q_j: &both.flows }.step();
    let named = |term, unit: &Subject| Term { meaning: unit.to_string(), ..term };
    let flow = |term, unit: &Subject| named(term, unit).fact(unit, "ventilation.unit_flow");
    let supply_step =
        supply_step.each(Fans::q_j, &units, flow).meaning(Fans::q, "supply of all fans").named(Fans::q, "q_s");
    let exhaust_step =
        exhaust_step.each(Fans::q_j, &units, flow).meaning(Fans::q, "exhaust of all fans").named(Fans::q, "q_a");
    let kept_step = kept_step.each(Kept::η_j, &units, |term, unit| named(term, unit).given(unit.as_str()));

    let q50 = Flow::from_si(known(request, &subject, "airtightness.shown_q50")?);
    let leaks = Infiltration { e: shelter(home)?, q50, f: Ratio::from_si(WIND_FACTOR), q_s, q_a };
    let (q_x, step) = leaks.step();
    let step = step
        .given(Infiltration::e, "site.shielding")
        .published(Infiltration::f, "ISO 13789:2017, more than one façade exposed (from memory, high)")
        .fact(Infiltration::q50, &subject, "airtightness.shown_q50");
    let source = "ISO 13789:2017";
    let infiltration = Basis::new("share of the leakage at 50 Pa", source)
        .provenance("from memory, high")
        .step(supply_step.clone())
        .step(exhaust_step.clone())
        .step(step);
    let (loss, step) = AirLoss { q_s, q_a, q_k, q_x }.step();
    let basis = Basis::new("fans, recovery and leaks", source)
        .provenance("from memory, high")
        .step(supply_step)
        .step(exhaust_step)
        .step(kept_step)
        .step(step.fact(AirLoss::q_x, &subject, crate::facts::INFILTRATION.name))
        .assuming("recovery works all year as rated, without a bypass in summer; what warms its air against frost is counted by itself")
        .assuming("windows stay shut; hood and dryer are not counted");
    Ok(Air {
        supply: q_s,
        exhaust: q_a,
        kept: q_k,
        latent_kept,
        q50,
        fans,
        infiltration: (q_x, infiltration),
        loss: (loss, basis),
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn flow(cubic_metres_per_hour: f64) -> Flow {
        Flow::from_si(cubic_metres_per_hour / 3_600.0)
    }

    /// 350 m³/h at 50 Pa, e 0.07: 24.5 m³/h balanced, 9.517 m³/h with 30 m³/h more supply than exhaust. Source: worked
    /// by an independent script from the same formula of ISO 13789 (from memory, high); half of the last digit.
    #[test]
    fn infiltration_of_a_balanced_home_and_of_one_under_pressure() {
        let of = |surplus: f64| Infiltration {
            e: Ratio::from_si(0.07),
            q50: flow(350.0),
            f: Ratio::from_si(WIND_FACTOR),
            q_s: flow(100.0 + surplus),
            q_a: flow(100.0),
        };
        assert!((of(0.0).value().si() * 3_600.0 - 24.5).abs() < 0.0005);
        assert!((of(30.0).value().si() * 3_600.0 - 9.517).abs() < 0.0005);
    }
}

//! What each ventilation unit moves: its design flows, when it runs, and how much of the design its ducts let through.

use crate::duct_runs::Ducts;
use crate::facts::DUCT_PRESSURE;
use crate::operating_point::Meeting;
use mateline_model::Subject;
use mateline_model::home::{Elements, Home, Id, VentilationKind, VentilationUnit};
use mateline_model::quantity::{Flow, Pressure, Units};
use mateline_sdk::Lack;

/// A fan that runs for less of each hour than this is local exhaust on demand: the residential code's table of run times
/// ends here. Method and no requirement: it says which fans run in the model of an ordinary night.
pub(crate) const LEAST_RUN: f64 = 0.25;

/// How the units run.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Mode {
    /// Ordinary operation: every unit at its mean flow, fans on demand off.
    Ordinary,
    /// Every unit at its highest flow, fans on demand running.
    Boost,
    /// Ordinary operation without the main unit.
    MainOff,
}

/// A ventilation unit.
#[derive(Clone, Debug)]
pub(crate) struct Service<'a> {
    pub(crate) id: &'a Id,
    pub(crate) unit: &'a VentilationUnit,
    pub(crate) subject: Subject,
    /// Design supply and exhaust (m³/s) while it runs.
    pub(crate) design: Result<(Flow, Flow), Lack>,
    pub(crate) ducts: Option<Ducts<'a>>,
    /// Where its fan curve meets its ducts.
    pub(crate) meeting: Option<Meeting>,
    /// Whether it is the unit that is off in [`Mode::MainOff`].
    pub(crate) main: bool,
}

/// That the home names units at all: of one that does not, nobody knows what brings its air.
pub(crate) fn named(home: &Home) -> Result<(), Lack> {
    if home.systems.ventilation.is_empty() {
        return Err(Lack::at("the home names no ventilation units", "systems.ventilation"));
    }
    Ok(())
}

/// Every unit of the home.
pub(crate) fn services(home: &Home) -> Vec<Service<'_>> {
    let mut all: Vec<Service<'_>> = home.systems.ventilation.iter().map(|(id, unit)| Service::of(id, unit)).collect();
    let size = |service: &Service<'_>| {
        let flow = service.design.as_ref().map_or(0.0, |(supply, exhaust)| supply.si().max(exhaust.si()));
        (service.unit.kind != VentilationKind::SpotRecovery && !service.on_demand(), flow)
    };
    let mut main: Option<(usize, (bool, f64))> = None;
    for (index, service) in all.iter().enumerate() {
        let size = size(service);
        if main.is_none_or(|(_, most)| size > most) {
            main = Some((index, size));
        }
    }
    if let Some(service) = main.and_then(|(index, _)| all.get_mut(index)) {
        service.main = true;
    }
    all
}

impl<'a> Service<'a> {
    fn of(id: &'a Id, unit: &'a VentilationUnit) -> Service<'a> {
        let subject = Subject::element("systems.ventilation", id);
        let design = design(&subject, unit);
        let ducts = design.as_ref().ok().map(|(supply, exhaust)| Ducts::of(unit, *supply, *exhaust));
        let meeting = match (&ducts, &design) {
            (Some(ducts), Ok((supply, exhaust))) => ducts.meeting(unit, larger(*supply, *exhaust)),
            _ => None,
        };
        Service { id, unit, subject, design, ducts, meeting, main: false }
    }

    /// Share of each hour it runs.
    pub(crate) fn run_share(&self) -> f64 {
        self.unit.run_time.map_or(1.0, |share| share.si())
    }

    /// Whether it runs on demand only, and so is no whole-dwelling ventilation.
    pub(crate) fn on_demand(&self) -> bool {
        self.run_share() < LEAST_RUN
    }

    /// Whether it is a unit in the wall of one or two rooms.
    pub(crate) fn is_spot(&self) -> bool {
        self.unit.kind == VentilationKind::SpotRecovery
    }

    /// Share of its design flow that it delivers: 1, or less where the ducts let less through. A fan that could move more
    /// is taken to be throttled to its design flow.
    pub(crate) fn throttle(&self, home: &Home) -> Result<f64, Lack> {
        self.share_of(home, |design| design)
    }

    /// Share of its design flow that it delivers at its highest setting.
    pub(crate) fn boosted(&self, home: &Home) -> Result<f64, Lack> {
        self.share_of(home, |design| self.unit.boost.map_or(design, |boost| larger(boost, design)))
    }

    fn share_of(&self, home: &Home, wanted: impl Fn(Flow) -> Flow) -> Result<f64, Lack> {
        let (supply, exhaust) = self.design.clone()?;
        let design = larger(supply, exhaust);
        let wanted = wanted(design);
        if design.si() <= 0.0 {
            return Ok(0.0);
        }
        let through = match self.meeting {
            None => wanted,
            Some(Meeting::At(flow, _)) => smaller(flow, wanted),
            Some(Meeting::BeyondTheCurve(last, ..)) if last >= design => smaller(last, wanted),
            Some(meeting) => return Err(Lack::at(describe(home, meeting), format!("{}.fan_curve", self.subject))),
        };
        Ok(through / design)
    }

    /// Share of its design flow that it moves on average in a mode.
    pub(crate) fn share(&self, home: &Home, mode: Mode) -> Result<f64, Lack> {
        match mode {
            Mode::MainOff if self.main => Ok(0.0),
            Mode::Ordinary | Mode::MainOff if self.on_demand() => Ok(0.0),
            Mode::Ordinary | Mode::MainOff => Ok(self.throttle(home)? * self.run_share()),
            Mode::Boost => self.boosted(home),
        }
    }

    /// The rooms it serves with the flows in and out in a mode: (room, supply, exhaust) in m³/s.
    pub(crate) fn rooms(&self, home: &Home, mode: Mode) -> Result<Vec<(&'a Id, f64, f64)>, Lack> {
        let share = self.share(home, mode)?;
        if share <= 0.0 {
            return Ok(Vec::new());
        }
        let (supply, exhaust) = self.design.clone()?;
        for (field, total, rooms) in
            [("supplies", supply, &self.unit.supplies), ("exhausts", exhaust, &self.unit.exhausts)]
        {
            if total.si() > 0.0 && rooms.is_empty() {
                let shown = Units::FLOW.show(total.into(), home.units);
                let because = format!("{} moves {shown}, but its {field} name no rooms", self.subject);
                return Err(Lack::at(because, self.subject.as_str()));
            }
        }
        let supplies = self.unit.supplies.iter().map(|(room, flow)| (room, flow.si() * share, 0.0));
        let exhausts = self.unit.exhausts.iter().map(|(room, flow)| (room, 0.0, flow.si() * share));
        Ok(supplies.chain(exhausts).collect())
    }

    /// Supply and exhaust on average in a mode (m³/s).
    pub(crate) fn totals(&self, home: &Home, mode: Mode) -> Result<(f64, f64), Lack> {
        let share = self.share(home, mode)?;
        if share <= 0.0 {
            return Ok((0.0, 0.0));
        }
        let (supply, exhaust) = self.design.clone()?;
        Ok((supply.si() * share, exhaust.si() * share))
    }
}

/// Design supply and exhaust: as given, or the sum over the rooms.
fn design(subject: &Subject, unit: &VentilationUnit) -> Result<(Flow, Flow), Lack> {
    let total = |given: Option<Flow>, rooms: &Elements<Flow>, field: &str| {
        let sum = (!rooms.is_empty()).then(|| rooms.values().copied().sum());
        sum.or(given).ok_or_else(|| Lack::at(format!("{subject} has no {field} flow"), subject.as_str()))
    };
    let none = Flow::from_si(0.0);
    let supplies = unit.kind != VentilationKind::ExhaustFan;
    let exhausts = unit.kind != VentilationKind::SupplyFan;
    let supply = if supplies { total(unit.supply, &unit.supplies, "supply")? } else { none };
    let exhaust = if exhausts { total(unit.exhaust, &unit.exhausts, "exhaust")? } else { none };
    Ok((supply, exhaust))
}

/// Why a fan curve gives no flow.
pub(crate) fn describe(home: &Home, meeting: Meeting) -> String {
    let flow = |flow: Flow| Units::FLOW.show(flow.into(), home.units);
    let pressures = |a: Pressure, b: Pressure| DUCT_PRESSURE.show_pair(a.into(), b.into(), home.units);
    match meeting {
        Meeting::NeverReached(least, fan, ducts) => {
            let (fan, ducts) = pressures(fan, ducts);
            format!(
                "the fan curve never meets the ducts: at {}, its smallest flow, the fan gives {fan} and the ducts take {ducts}",
                flow(least)
            )
        }
        Meeting::BeyondTheCurve(most, fan, ducts) => {
            let (fan, ducts) = pressures(fan, ducts);
            format!(
                "the fan curve ends before it meets the ducts: at {}, its largest flow, the fan still gives {fan} and the ducts take {ducts}",
                flow(most)
            )
        }
        Meeting::At(..) => "the fan curve meets the ducts".to_owned(),
    }
}

pub(crate) fn larger(a: Flow, b: Flow) -> Flow {
    if a > b { a } else { b }
}

fn smaller(a: Flow, b: Flow) -> Flow {
    if a < b { a } else { b }
}

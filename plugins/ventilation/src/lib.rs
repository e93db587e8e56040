//! Ventilation: fresh air for every room.
//!
//! In order: what each unit moves, by its design and by its ducts ([`friction`], [`operating_point`]); the
//! whole-dwelling rates ([`rates`]) and local exhaust; the rooms as zones of air and the steady flows between them
//! ([`network`]); which rooms no unit reaches, and how fresh the air of each is (mateline-mixing); carbon dioxide in bedrooms
//! over a night ([`people`]); what recovery does at the design temperature (mateline-psychrometrics); and what exhaust does to
//! a tight home; figures of the nights and of the air's way. Does not judge: limits live in `rules/`.
//!
//! Assumes well-mixed rooms, fans that hold their flows, doors shut with one-way flow through their gaps, and neither
//! wind nor stack effect. Fresh air is told in two ways: `ventilation.fresh_air` by the age of the air, which counts every
//! cubic metre alike and suits what materials give off, and `ventilation.outdoor_air` by what sleepers give off, which
//! suits people.
//!
//! Sources: ASHRAE 62.2-2016 to -2022; IRC 2021 M1505; Persily and de Jonge 2017; ASHRAE Fundamentals, ch. 1 and duct
//! design. Each method carries its own mark.

mod air;
pub mod curves;
mod depressurisation;
mod duct_runs;
mod dwelling;
mod facts;
mod figures;
pub mod friction;
mod local_exhaust;
pub mod network;
mod night;
pub mod operating_point;
pub mod people;
mod problems;
pub mod rates;
pub mod recovery;
mod rooms;
mod service;
mod settings;
mod unit_facts;
mod whole_dwelling;
mod windows;
mod zone_facts;

pub use depressurisation::depressurisation;
pub use facts::*;
pub use service::Mode;
pub use settings::{Code, Settings, Standard};

use air::{Air, Leakage};
use dwelling::Dwelling;
use mateline_model::Equation;
use mateline_model::home::{Home, Id};
use mateline_sdk::{Declaration, Findings, Lack, Plugin, PluginError, Request};
use night::{Night, Nights};
use service::Service;
use settings::{Levels, Rates};
use std::collections::BTreeSet;

/// The ventilation plugin.
#[derive(Clone, Copy, Debug, Default)]
pub struct Ventilation;

/// Every equation of this plugin.
pub fn equations() -> Vec<Equation> {
    vec![
        rates::TotalRate::EQUATION,
        rates::CodeRate::EQUATION,
        rates::BalancedCredit::EQUATION,
        rates::UnbalancedCredit::EQUATION,
        whole_dwelling::Supply::EQUATION,
        whole_dwelling::Exhaust::EQUATION,
        whole_dwelling::Imbalance::EQUATION,
        whole_dwelling::Delivered::EQUATION,
        whole_dwelling::Required::EQUATION,
        whole_dwelling::DeliveredByCode::EQUATION,
        whole_dwelling::Margin::EQUATION,
        local_exhaust::Exhausted::EQUATION,
        local_exhaust::ShareOfAsked::EQUATION,
        rooms::Fanned::EQUATION,
        rooms::Transfer::EQUATION,
        rooms::Leaked::EQUATION,
        rooms::Age::EQUATION,
        rooms::Fresh::EQUATION,
        rooms::FreeArea::EQUATION,
        rooms::Across::EQUATION,
        rooms::BarelyAcross::EQUATION,
        zone_facts::ZoneOutdoor::EQUATION,
        night::Steady::EQUATION,
        night::Spot::EQUATION,
        night::Counted::EQUATION,
        night::Each::EQUATION,
        people::Generation::EQUATION,
        friction::Velocity::EQUATION,
        friction::VelocityPressure::EQUATION,
        friction::Reynolds::EQUATION,
        friction::Colebrook::EQUATION,
        friction::Laminar::EQUATION,
        friction::Between::EQUATION,
        friction::Drop::EQUATION,
        friction::PerLength::EQUATION,
        unit_facts::RunOfDucts::EQUATION,
        unit_facts::FilteredRun::EQUATION,
        unit_facts::RunLength::EQUATION,
        windows::Openable::EQUATION,
        unit_facts::Throttled::EQUATION,
        unit_facts::AsDesigned::EQUATION,
        unit_facts::Efficacy::EQUATION,
        unit_facts::SpecificPower::EQUATION,
        recovery::SupplyAir::EQUATION,
        recovery::ExhaustAir::EQUATION,
        recovery::ExhaustHumidity::EQUATION,
        recovery::ExhaustSaturation::EQUATION,
        recovery::AirHeat::EQUATION,
        recovery::HeatLost::EQUATION,
        recovery::OtherLost::EQUATION,
        recovery::HeatRecovered::EQUATION,
        recovery::WaterOut::EQUATION,
        depressurisation::NetExhaust::EQUATION,
        depressurisation::Depressurisation::EQUATION,
        depressurisation::TwoLargest::EQUATION,
        depressurisation::PerArea::EQUATION,
    ]
}

impl Plugin for Ventilation {
    fn declaration(&self) -> Declaration {
        Declaration {
            name: "ventilation",
            version: env!("CARGO_PKG_VERSION"),
            about: "Fresh air for every room: rates, delivery, overnight carbon dioxide, ducts, recovery and make-up air.",
            reads: &["takeoff", "airtightness"],
            sections: &["site", "spaces", "openings", "systems", "measurements"],
            quantities: quantities(),
        }
    }

    fn run(&self, request: &Request<'_>) -> Result<Findings, PluginError> {
        let problems = problems::problems(request.home);
        if !problems.is_empty() {
            return Ok(Findings { problems, ..Findings::default() });
        }
        let mut findings = Findings::default();
        let plan = Plan::of(request);
        unit_facts::report(request, &plan.services, &mut findings);
        recovery::report(request, &plan.services, &mut findings);
        let rates = Rates::of(request.settings);
        whole_dwelling::report(request, &rates, &plan.services, &mut findings);
        local_exhaust::report(request, &rates, &plan.services, &mut findings);
        windows::report(request, &mut findings);
        let boost = plan.air(Mode::Boost);
        let delivery = rooms::Delivery { dwelling: &plan.dwelling, ordinary: &plan.ordinary, boost: &boost };
        rooms::report(request, &delivery, &mut findings);
        zone_facts::report(&plan.dwelling, &plan.ordinary, &mut findings);
        let nights = plan.nights(settings::levels(request.settings));
        night::report(request, &nights, &mut findings);
        depressurisation::report(request, &plan.services, &mut findings);
        if request.shown {
            figures::report(request, &plan, &nights, &mut findings);
        }
        Ok(findings)
    }
}

/// The units, the zones, and their air on ordinary nights.
struct Plan<'a> {
    home: &'a Home,
    services: Vec<Service<'a>>,
    dwelling: Dwelling<'a>,
    leakage: Option<Leakage>,
    ordinary: Result<Air<'a>, Lack>,
    off: Result<Air<'a>, Lack>,
}

impl<'a> Plan<'a> {
    fn of(request: &Request<'a>) -> Plan<'a> {
        let home = request.home;
        let services = service::services(home);
        let units = home.systems.ventilation.values();
        let fanned: BTreeSet<&Id> = units.flat_map(|unit| unit.supplies.keys().chain(unit.exhausts.keys())).collect();
        let dwelling = Dwelling::of(home, &fanned);
        let leakage = Leakage::of(request);
        let ordinary = Air::solve(home, &dwelling, &services, leakage, Mode::Ordinary);
        let off = Air::solve(home, &dwelling, &services, leakage, Mode::MainOff);
        Plan { home, services, dwelling, leakage, ordinary, off }
    }

    /// The air of a mode.
    fn air(&self, mode: Mode) -> Result<Air<'a>, Lack> {
        match mode {
            Mode::Ordinary => self.ordinary.clone(),
            Mode::MainOff => self.off.clone(),
            Mode::Boost => Air::solve(self.home, &self.dwelling, &self.services, self.leakage, mode),
        }
    }

    fn nights<'b>(&'b self, levels: Levels<'b>) -> Nights<'a, 'b> {
        let night = |air: &'_ Result<Air<'a>, Lack>| -> Result<Night, Lack> {
            Night::of(self.home, &self.dwelling, air.as_ref().map_err(Clone::clone)?)
        };
        let pair = |air| -> Result<(&Air<'a>, Night), Lack> {
            let night = night(air)?;
            Ok((air.as_ref().map_err(Clone::clone)?, night))
        };
        Nights { dwelling: &self.dwelling, ordinary: pair(&self.ordinary), off: pair(&self.off), levels }
    }
}

//! Airtightness: a leakage budget by seam, hole and opening, what the tests made so far show, and what the next one has
//! to show.
//!
//! In order: leakage of every mate line, opening, hole, line and surface ([`components`], [`item`], [`budget`]); the
//! spread of their sum ([`spread`]); every blower-door test, corrected for its air and fitted ([`conditions`],
//! [`regression`], [`blower_door`]) and held against the conditions of its standard ([`validity`]); the budget at the
//! stage of a test, and the finished home from the latest one, forecast where parts were still open ([`forecast`]); chances against the targets that packs set;
//! infiltration over the year ([`infiltration`]); what is drawn of all this ([`figures`]). Does not judge: limits on
//! homes live in `rules/`. The conditions in [`validity`] are a part of the test methods.
//!
//! Assumes that leaks add up, that they follow one power law with n = 0.65 where no test gives it, and that the best
//! estimates are means of lognormal distributions. Nothing published was found for mate lines of factory-built homes:
//! their rows are marked so and have a wide spread. Wind and stack pressure over the year enter only by the ventilation
//! standard's own factor.
//!
//! Sources: ISO 9972:2015; ASTM E779-19; ASTM E1827-11; CAN/CGSB-149.10; ASHRAE 62.2-2016; ASHRAE Fundamentals (all
//! from memory). Every row of `components.yaml` carries its own mark.

pub mod air;
mod best;
pub mod blower_door;
pub mod budget;
mod check;
pub mod components;
pub mod conditions;
mod corners;
mod elements;
mod envelope;
mod facts;
pub mod figures;
pub mod forecast;
mod home_budget;
pub mod infiltration;
pub mod item;
mod openings;
mod outcome;
mod penetrations;
pub mod power_law;
mod prediction;
pub mod regression;
mod remembered;
mod seams;
pub mod spread;
mod stages;
pub mod student;
mod systems;
mod targets;
mod tests_made;
pub mod validity;
mod worked_test;

pub use facts::*;

use budget::Budget;
use mateline_model::Equation;
use mateline_sdk::{Declaration, Findings, Plugin, PluginError, Request};

/// Every equation of this plugin.
pub fn equations() -> Vec<Equation> {
    vec![
        item::PartsArea::EQUATION,
        power_law::OfArea::EQUATION,
        power_law::LeakageArea::EQUATION,
        power_law::Through::EQUATION,
        power_law::OfCurve::EQUATION,
        outcome::Leaks::EQUATION,
        outcome::AirChanges::EQUATION,
        outcome::PerArea::EQUATION,
        elements::Gain::EQUATION,
        air::DryAir::EQUATION,
        air::Viscosity::EQUATION,
        conditions::DrawnIn::EQUATION,
        conditions::BlownOut::EQUATION,
        conditions::Referred::EQUATION,
        conditions::ReferredE779::EQUATION,
        worked_test::AtFifty::EQUATION,
        worked_test::AtFiftyE779::EQUATION,
        targets::TargetChanges::EQUATION,
        targets::TargetPerArea::EQUATION,
        targets::Allowance::EQUATION,
        targets::NextReading::EQUATION,
        infiltration::Infiltration::EQUATION,
    ]
}

/// The airtightness plugin.
#[derive(Clone, Copy, Debug, Default)]
pub struct Airtightness;

impl Plugin for Airtightness {
    fn declaration(&self) -> Declaration {
        Declaration {
            name: "airtightness",
            version: env!("CARGO_PKG_VERSION"),
            about: "A leakage budget of the air barrier, its test results, and what the next test has to show.",
            reads: &["takeoff"],
            sections: &[
                "site",
                "modules",
                "assemblies",
                "enclosure",
                "openings",
                "foundation",
                "seams",
                "penetrations",
                "systems",
                "measurements",
            ],
            quantities: quantities(),
        }
    }

    fn run(&self, request: &Request<'_>) -> Result<Findings, PluginError> {
        let problems = check::problems(request);
        if !problems.is_empty() {
            return Ok(Findings { problems, ..Findings::default() });
        }
        let mut findings = Findings::default();
        let budget = Budget::of(request);
        let drawn = budget.drawn();
        elements::report(request, &budget, &mut findings);
        home_budget::report(request, &budget, &drawn, &mut findings);
        let tests = tests_made::work_out(request);
        tests_made::report(request, &budget, &tests, &mut findings);
        let prediction = prediction::predict(&budget, &tests);
        prediction::report(request, &prediction, &mut findings);
        let standing = targets::Standing { budget: &budget, drawn: &drawn, prediction: &prediction };
        targets::report(request, &standing, &mut findings);
        best::report(request, &budget, &prediction, &tests, &mut findings);
        if request.shown {
            figures::report(request, &standing, &tests, &mut findings);
        }
        // Sizes beyond all measure overflow; a fact that is no number is not stated, so that its rules are unproven.
        findings.facts.retain(|fact| fact.value.number().is_none_or(|quantity| quantity.si.is_finite()));
        Ok(findings)
    }
}

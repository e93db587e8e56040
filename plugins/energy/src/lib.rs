//! Energy: the year's balance of heat.
//!
//! In order: the climate of the site by months ([`months`]); sun and sky on every plane by the mean day of a month
//! ([`mean_day`]) and what shades leave of it ([`shade`]); heat lost to outdoor air and to the ground, and by fans and leaks
//! ([`air`]); what layers store; what sun, people and appliances bring; and the monthly balance ([`balance`]), which gives
//! the heat that a year needs and the heat that has to be taken out; then the loads of the home and of each room: on the
//! coldest day without sun, and on a hot, clear day hour by hour ([`network`], [`clear_day`]); and the year by hours ([`hours`]), of a weather file or of mean
//! days, through elements of five nodes ([`elements`]); then what machines use in these hours ([`machine`], [`used`]), what solar
//! arrays yield in them ([`solar_arrays`]) and what both come to; and, where a pack hands over a reference home, what that one
//! uses ([`reference_home`], [`performance`]). Beside the hours the monthly need can be held, with how warm rooms get
//! when nothing cools them. Does not judge: limits live in `rules/`.
//!
//! Assumes one zone at one temperature in winter and another in summer, but for how warm rooms get ([`zones`], [`touching`]), months that stand for their days, windows that
//! stay shut, and unheated spaces of which the home says too little as cold as outdoors ([`unheated`]). A balance of months says
//! what a year needs and nothing of the hours in it. Loads are shared out among rooms by a rule and not by plans. Sizing of heating and
//! cooling, refrigerants and combustion belong to licensed people.
//!
//! Sources: ISO 13790:2008 and ISO 52016-1:2017 (monthly method, network, elements), EN 12831:2003 (heating load), ISO 13789:2017 (transfer), ISO 13370:2017 (ground), ISO
//! 13786:2017 (capacity), all from memory; radiation as [`mean_day`] says.

pub mod air;
pub mod balance;
mod capacity;
pub mod cells;
mod check;
pub mod clear_day;
mod cooling;
pub mod elements;
mod facts;
mod figures;
mod frost;
mod gathered;
pub mod ground;
mod home_year;
pub mod hot_water;
mod hour_figures;
pub mod hours;
mod load;
pub mod machine;
pub mod mains;
pub mod mean_day;
pub mod months;
pub mod network;
mod part;
mod performance;
mod reference_home;
mod report;
mod rooms;
pub mod shade;
pub mod solar_arrays;
mod stated_year;
mod sun;
mod surfaces;
mod totals;
pub mod touching;
mod treated;
pub mod unheated;
pub mod unheated_temperatures;
pub mod used;
mod weather_file;
mod zone_model;
mod zones;

pub use facts::*;

use mateline_model::Equation;
use mateline_sdk::{Declaration, Findings, Plugin, PluginError, Request};

/// The energy plugin.
#[derive(Clone, Copy, Debug, Default)]
pub struct Energy;

impl Plugin for Energy {
    fn declaration(&self) -> Declaration {
        Declaration {
            name: "energy",
            version: env!("CARGO_PKG_VERSION"),
            about: "The balance of heat: what a year needs for heating and cooling, and the loads of the home and its rooms.",
            reads: &["takeoff", "envelope", "airtightness", "ventilation", "junctions", "moisture"],
            sections: &[
                "site",
                "weather",
                "modules",
                "spaces",
                "materials",
                "assemblies",
                "enclosure",
                "openings",
                "foundation",
                "systems",
                "rates",
            ],
            quantities: quantities(),
        }
    }

    fn run(&self, request: &Request<'_>) -> Result<Findings, PluginError> {
        let mut problems = check::problems(request.home);
        problems.extend(unheated::problems(request));
        let weather = weather_file::of(request).unwrap_or_else(|faults| {
            problems.extend(faults);
            None
        });
        let mut findings = Findings { problems, ..Findings::default() };
        if findings.problems.is_empty() {
            report::report(request, weather.as_ref(), &mut findings);
        }
        Ok(findings)
    }
}

/// Every equation of this plugin.
pub fn equations() -> Vec<Equation> {
    vec![
        air::Infiltration::EQUATION,
        air::Fans::EQUATION,
        air::Kept::EQUATION,
        air::AirLoss::EQUATION,
        ground::Airborne::EQUATION,
        ground::AirborneAll::EQUATION,
        ground::GroundFlow::EQUATION,
        ground::SpaceFlow::EQUATION,
        ground::IntoGround::EQUATION,
        unheated::SpaceToOutdoors::EQUATION,
        unheated::SpaceFactor::EQUATION,
        unheated::Sheltered::EQUATION,
        unheated_temperatures::BelowFactor::EQUATION,
        unheated_temperatures::SpaceTemperature::EQUATION,
        unheated_temperatures::BelowTemperature::EQUATION,
        capacity::Stored::EQUATION,
        capacity::Capacity::EQUATION,
        sun::Collecting::EQUATION,
        sun::Opaque::EQUATION,
        sun::SunAndSky::EQUATION,
        treated::Treated::EQUATION,
        balance::TimeConstant::EQUATION,
        balance::Exponent::EQUATION,
        balance::Through::EQUATION,
        balance::ByAir::EQUATION,
        balance::Lost::EQUATION,
        balance::Gained::EQUATION,
        balance::Proportion::EQUATION,
        balance::UsedOfFew::EQUATION,
        balance::UsedOfEven::EQUATION,
        balance::UsedOfMany::EQUATION,
        balance::HeatNeeded::EQUATION,
        balance::LossUsed::EQUATION,
        balance::CoolNeeded::EQUATION,
        balance::CoolNeededInHeat::EQUATION,
        load::WindyLeaks::EQUATION,
        load::ColdGround::EQUATION,
        load::OverCold::EQUATION,
        load::HeatingLoad::EQUATION,
        load::RoomLoad::EQUATION,
        load::LoadPerArea::EQUATION,
        cooling::LatentLoad::EQUATION,
        stated_year::Spread::EQUATION,
        solar_arrays::Yield::EQUATION,
        solar_arrays::AllArrays::EQUATION,
        hot_water::HotWaterHeat::EQUATION,
        hot_water::WaterUse::EQUATION,
        used::AllYear::EQUATION,
        used::Performance::EQUATION,
        reference_home::FreshAir::EQUATION,
        performance::SourceEnergy::EQUATION,
        performance::EnergyCost::EQUATION,
        totals::Together::EQUATION,
        totals::Primary::EQUATION,
        totals::Netted::EQUATION,
        totals::Cost::EQUATION,
        totals::GridCarbon::EQUATION,
        totals::ZeroPower::EQUATION,
        totals::ZeroArea::EQUATION,
        report::Inside::EQUATION,
        report::Sunshine::EQUATION,
        report::Year::EQUATION,
        report::PerArea::EQUATION,
    ]
}

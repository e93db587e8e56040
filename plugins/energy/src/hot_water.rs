//! Hot water: the heat that is drawn, and what its source uses.
//!
//! Source: uniform energy factor as 10 CFR 430, appendix E, has it (from memory, high); temperatures of the mains as
//! [`crate::mains`] says.

use crate::facts::{self, HEAT, MONTH, USE};
use crate::gathered::Balance;
use crate::mains;
use crate::months::{Climate, MONTHS, duration};
use crate::part::{Added, CAUTION, Course, Part, ungiven};
use mateline_equation::equation;
use mateline_model::home::{Fuel, HeatFrom, Home, HotWater};
use mateline_model::quantity::{Energy, Flow, Ratio, Units};
use mateline_model::{Basis, Subject};
use mateline_sdk::{Findings, Lack, Request};

equation! {
    /// Heat of the hot water drawn in a month, with what pipes lose. Source: heat of water, 4.147 MJ/(m³·K) near 50 °C (from
    /// memory, high).
    pub HotWaterHeat = "Q = 4.147[MJ/(m³·K)] q (θ_w − θ_m) t/(1 − l)" {
        Q: Energy "heat of the hot water" [HEAT],
        q: Flow "drawn" [DRAWN],
        θ_w: Temperature "as it leaves the source" [Units::TEMPERATURE],
        θ_m: Temperature "from the mains" [Units::TEMPERATURE],
        t: Duration "the month" [MONTH],
        l: Ratio "lost in pipes" [Units::PERCENT],
    }

    /// What its source uses. Source: definition of the uniform energy factor.
    pub(crate) WaterUse = "E = Q/f" {
        E: Energy "used" [USE],
        Q: Energy "heat of the hot water" [HEAT],
        f: Ratio "uniform energy factor" [Units::plain(2)],
    }
}

/// Hot water in a day.
const DRAWN: Units = Units::new("L/d", 0, "gal/d", 0);

/// Writes the heat of hot water; what its source uses, and what that takes from the rooms.
pub(crate) fn hot_water(
    request: &Request<'_>,
    balance: &Balance<'_>,
    added: &mut Added,
    findings: &mut Findings,
) -> Result<Part, Lack> {
    let home = Subject::home();
    let (months, water, f, basis) = match heat(request, balance.climate, None) {
        Ok(found) => found,
        Err(why) => {
            why.write(&home, &[&facts::HOT_WATER_HEAT], findings);
            let said = "hot water is not described, so that nothing is counted that it takes from the rooms";
            added.said.push(said.to_owned());
            return Err(why);
        }
    };
    let all: Energy = months.iter().copied().fold(Energy::default(), |sum, month| sum + month);
    findings.fact(&home, &facts::HOT_WATER_HEAT, all, basis.clone());
    let (energy, step) = WaterUse { Q: all, f }.step();
    let basis = basis
        .step(step.fact(WaterUse::Q, &home, facts::HOT_WATER_HEAT.name).given(WaterUse::f, "systems.hot_water.uef"))
        .assuming("the source works all year as rated: losses of its tank are in the factor");
    if water.fuel == Fuel::HeatPump {
        let from = water.heat_from.ok_or_else(|| ungiven("systems.hot_water.heat_from"))?;
        if from == HeatFrom::Rooms {
            added.water = taken(&months, f);
            added.said.push(
                "what the hot water's heat pump takes from the rooms is brought in again while they are heated"
                    .to_owned(),
            );
        }
    }
    let mut course = [0.0; 12];
    for (month, (place, heat)) in course.iter_mut().zip(&months).enumerate() {
        *place = heat.si() / f.si() / duration(month).si();
    }
    let fuel = Some(water.fuel).filter(|fuel| !matches!(fuel, Fuel::HeatPump | Fuel::Electricity));
    Ok(Part { fact: facts::HOT_WATER_USE, fuel, course: Course::Months(course), energy, basis })
}

/// Heat of the hot water of each month, its source, the energy factor, and how the heat follows: by what the home draws, or by
/// what a pack says that is drawn.
pub(crate) fn heat<'a>(
    request: &Request<'a>,
    climate: &Climate,
    drawn: Option<Flow>,
) -> Result<(Vec<Energy>, &'a HotWater, Ratio, Basis), Lack> {
    let home: &'a Home = request.home;
    let water = home.systems.hot_water.as_ref().ok_or_else(|| Lack::at("the home names no hot water", "systems"))?;
    let q = drawn.or(water.draw).ok_or_else(|| ungiven("systems.hot_water.draw"))?;
    let θ_w = water.delivered_at.ok_or_else(|| ungiven("systems.hot_water.delivered_at"))?;
    let l = water.pipe_loss.ok_or_else(|| ungiven("systems.hot_water.pipe_loss"))?;
    let f = water.uef.filter(|factor| factor.si() > 0.0).ok_or_else(|| ungiven("systems.hot_water.uef"))?;
    if l.si() >= 1.0 {
        return Err(Lack::at("systems.hot_water.pipe_loss leaves nothing of the heat", "systems.hot_water"));
    }
    let mut basis = Basis::new("heat of the water drawn, by mains temperature", "heat of water")
        .provenance("from memory, high")
        .assuming("as much is drawn in every month")
        .assuming(CAUTION);
    let mut months = Vec::new();
    for (month, θ_m) in mains::of(climate).into_iter().enumerate() {
        let θ_m = if θ_m > θ_w { θ_w } else { θ_m };
        let (heat, step) = HotWaterHeat { q, θ_w, θ_m, t: duration(month), l }.step();
        let name = MONTHS.get(month).map_or("", |(_, name, _)| name);
        let step = step
            .given(HotWaterHeat::q, "systems.hot_water.draw")
            .given(HotWaterHeat::θ_w, "systems.hot_water.delivered_at")
            .given(HotWaterHeat::l, "systems.hot_water.pipe_loss")
            .published(HotWaterHeat::θ_m, "regression of mains temperatures from outdoor ones (from memory, high)")
            .meaning(HotWaterHeat::Q, format!("heat of the hot water, {name}"));
        basis = basis.step(step);
        months.push(heat);
    }
    Ok((months, water, f, basis))
}

/// What a heat pump with this energy factor takes from the rooms for the heat of each month (W).
pub(crate) fn taken(months: &[Energy], f: Ratio) -> [f64; 12] {
    let mut from = [0.0; 12];
    for (month, (place, heat)) in from.iter_mut().zip(months).enumerate() {
        *place = heat.si() * (1.0 - 1.0 / f.si()).max(0.0) / duration(month).si();
    }
    from
}

//! How cold unheated spaces get: beside the home, and below its floor.
//!
//! A space beside the home follows outdoors by its factor. What lies below the floor follows the heat that passes the floor,
//! which ISO 13370 gives by months; on the coldest day it follows outdoors, as the load has it.
//!
//! Sources: ISO 13789:2017 (from memory, high); ISO 13370:2017 (from memory, med).

#![allow(non_snake_case, reason = "symbols are named as the equations print them")]

use crate::facts::{self, POWER};
use crate::gathered::Balance;
use crate::ground::GroundFlow;
use crate::months::duration;
use crate::surfaces::{Surface, known, loss};
use crate::unheated::FACTOR;
use mateline_equation::equation;
use mateline_model::quantity::{Conductance, Power, Ratio, Temperature, Units};
use mateline_model::{Basis, QuantityDef, Step, Subject};
use mateline_sdk::{Findings, Lack, Request};

equation! {
    /// What a space below the floor leaves of the difference between indoors and outdoors, in the mean of the year. Source:
    /// the heat that passes the floor is what ground and air below take on (ISO 13370:2017).
    pub BelowFactor = "b = H_g/H_f" {
        b: Ratio "share of the difference between indoors and outdoors" [FACTOR],
        H_g: Conductance "through floor, ground and air below" [Units::CONDUCTANCE],
        H_f: Conductance "through the floor alone" [Units::CONDUCTANCE],
    }

    /// Temperature of a space that follows outdoors. Source: ISO 13789:2017 (from memory, high).
    pub SpaceTemperature = "θ_u = θ_i − b (θ_i − θ_e)" {
        θ_u: Temperature "in the space" [Units::TEMPERATURE],
        θ_i: Temperature "indoors" [Units::TEMPERATURE],
        b: Ratio "share of the difference between indoors and outdoors" [FACTOR],
        θ_e: Temperature "outdoors" [Units::TEMPERATURE],
    }

    /// Temperature of a space below the floor, by the heat that passes the floor. Source: definition of the U-factor.
    pub BelowTemperature = "θ_u = θ_i − Φ_g/H_f" {
        θ_u: Temperature "in the space" [Units::TEMPERATURE],
        θ_i: Temperature "indoors" [Units::TEMPERATURE],
        Φ_g: Power "through the floor" [POWER],
        H_f: Conductance "through the floor alone" [Units::CONDUCTANCE],
    }
}

const ALL: [&QuantityDef; 3] = [&facts::SPACE_FACTOR, &facts::SPACE_WINTER, &facts::SPACE_COLDEST];

/// Whether a quantity is told of unheated spaces alone.
pub(crate) fn is_of_space(definition: &QuantityDef) -> bool {
    ALL.iter().any(|one| one.name == definition.name)
}

/// Writes factor and temperatures of every unheated space that the home borders on.
pub(crate) fn report(
    request: &Request<'_>,
    balance: &Balance<'_>,
    surfaces: &[Surface<'_>],
    findings: &mut Findings,
) -> Result<(), Lack> {
    let beside =
        || Basis::new("heat into the space is heat out of it", "ISO 13789:2017").provenance("from memory, high");
    for space in balance.shell.spaces.iter() {
        let subject = Subject::element("unheated", space.name);
        match &space.told {
            Ok((_, b, steps)) => {
                let worked = steps.iter().cloned().fold(beside(), Basis::step);
                findings.fact(&subject, &facts::SPACE_FACTOR, *b, worked);
                let (θ_u, step) = in_coldest_month(balance, &subject, *b);
                findings.fact(&subject, &facts::SPACE_WINTER, θ_u, beside().step(step));
                on_coldest_day(request, balance, &subject, *b, beside(), findings);
            }
            Err(lack) => lack.write(&subject, &ALL, findings),
        }
    }
    below_floor(request, balance, surfaces, findings)
}

/// The same of what lies below the floor, where that is no outdoor air and no ground.
fn below_floor(
    request: &Request<'_>,
    balance: &Balance<'_>,
    surfaces: &[Surface<'_>],
    findings: &mut Findings,
) -> Result<(), Lack> {
    let shell = &balance.shell;
    let mut H_f = Conductance::default();
    for surface in surfaces.iter().filter(|surface| shell.is_below(surface)) {
        H_f = H_f + loss(request, surface.subject)?;
    }
    if H_f.si() <= 0.0 {
        return Ok(());
    }
    let (home, subject) = (Subject::home(), Subject::element("unheated", "below-floor"));
    let basis = || {
        Basis::new("heat through the floor is what ground and air below take on", "ISO 13370:2017")
            .provenance("from memory, med")
    };
    let H_g = Conductance::from_si(known(request, &home, "junctions.ground_loss")?);
    if H_g > H_f {
        let because = "junctions.ground_loss is more than the surfaces over the space lose by themselves";
        Lack::at(because, "foundation").write(&subject, &ALL, findings);
        return Ok(());
    }
    let (b, step) = BelowFactor { H_g, H_f }.step();
    let step = step.fact(BelowFactor::H_g, &home, "junctions.ground_loss");
    findings.fact(&subject, &facts::SPACE_FACTOR, b, basis().step(step));
    let (θ_u, basis_of_month) = if shell.is_over_space() {
        let month = balance.climate.coldest();
        let t = duration(month);
        let (heat, steps) = shell.below(balance.climate, balance.winter, month, t);
        let Φ_g = Power::from_si(heat.si() / t.si());
        let (θ_u, step) = BelowTemperature { θ_i: balance.winter, Φ_g, H_f }.step();
        let flow =
            steps.into_iter().filter(|step| step.result.as_ref().is_some_and(|one| one.symbol == GroundFlow::Φ_g.0));
        (θ_u, flow.fold(basis(), Basis::step).step(step))
    } else {
        let (θ_u, step) = in_coldest_month(balance, &subject, b);
        (
            θ_u,
            basis()
                .step(step)
                .assuming("what the seasons drive through the ground is not known for it: it follows outdoors"),
        )
    };
    findings.fact(&subject, &facts::SPACE_WINTER, θ_u, basis_of_month);
    let coldest = basis().assuming("on the coldest day it follows outdoors: what the ground stores is left out");
    on_coldest_day(request, balance, &subject, b, coldest, findings);
    Ok(())
}

/// Temperature of a space that follows outdoors, on the mean of the coldest month.
fn in_coldest_month(balance: &Balance<'_>, subject: &Subject, b: Ratio) -> (Temperature, Step) {
    let month = balance.climate.coldest();
    let θ_e = balance.climate.temperatures.get(month).copied().unwrap_or_default();
    let (θ_u, step) = SpaceTemperature { θ_i: balance.winter, b, θ_e }.step();
    let step = step
        .fact(SpaceTemperature::b, subject, facts::SPACE_FACTOR.name)
        .given(SpaceTemperature::θ_e, balance.climate.path(month, "temperature"));
    (θ_u, step)
}

/// Writes that at the design temperature.
fn on_coldest_day(
    request: &Request<'_>,
    balance: &Balance<'_>,
    subject: &Subject,
    b: Ratio,
    basis: Basis,
    findings: &mut Findings,
) {
    let Some(θ_e) = request.home.site.design_heating else {
        Lack::at("site.design_heating is not given", "site").write(subject, &[&facts::SPACE_COLDEST], findings);
        return;
    };
    let (θ_u, step) = SpaceTemperature { θ_i: balance.winter, b, θ_e }.step();
    let step = step
        .fact(SpaceTemperature::b, subject, facts::SPACE_FACTOR.name)
        .given(SpaceTemperature::θ_e, "site.design_heating");
    findings.fact(subject, &facts::SPACE_COLDEST, θ_u, basis.step(step));
}

#[cfg(test)]
mod tests {
    use super::*;

    /// A floor of 19.2 W/K over a space that takes on 16.4 W/K in all, by hand: b = 0.8542; at 20 °C indoors and −5 °C outdoors
    /// the space is at −1.35 °C; where 300 W pass the floor it is at 4.375 °C.
    #[test]
    fn a_space_below_a_floor_by_hand() {
        let H_f = Conductance::from_si(19.2);
        let b = BelowFactor { H_g: Conductance::from_si(16.4), H_f }.value();
        let (θ_i, θ_e) = (Temperature::from_si(20.0), Temperature::from_si(-5.0));
        let cold = SpaceTemperature { θ_i, b, θ_e }.value().si();
        assert!((b.si() - 0.8542).abs() < 5e-5 && (cold + 1.35).abs() < 0.005, "{b}, {cold}");
        let month = BelowTemperature { θ_i, Φ_g: Power::from_si(300.0), H_f }.value().si();
        assert!((month - 4.375).abs() < 1e-12, "{month}");
    }
}

//! What a month loses to the ground, and what it loses to outdoor air.
//!
//! The ground below a slab or a heated basement follows the year a month late and with less swing. What lies below any
//! other floor is taken to be as cold as outdoors, month by month.
//!
//! Source: ISO 13370:2017, heat flow by months at a steady indoor temperature (from memory, med).

use crate::facts::{HEAT, MONTH, POWER};
use crate::months::Climate;
use crate::surfaces::{Surface, known, loss};
use mateline_equation::equation;
use mateline_model::quantity::{Conductance, Duration, Energy, Temperature, Units};
use mateline_model::{Basis, Step, Subject};
use mateline_sdk::{Lack, Request};

/// A month's number.
const NUMBER: Units = Units::plain(0);

equation! {
    /// What envelope and junctions lose to outdoor air. Source: subtraction.
    pub(crate) Airborne = "H_D = UA' − H_g" {
        H_D: Conductance "to outdoor air, through envelope and junctions" [Units::CONDUCTANCE],
        whole "UA'": Conductance "envelope with junctions and ground" [Units::CONDUCTANCE],
        H_g: Conductance "of it, through the ground" [Units::CONDUCTANCE],
    }

    /// The same where no ground is reckoned by itself. Source: definition.
    pub(crate) AirborneAll = "H_D = UA'" {
        H_D: Conductance "to outdoor air, through envelope and junctions" [Units::CONDUCTANCE],
        whole "UA'": Conductance "envelope with junctions and ground" [Units::CONDUCTANCE],
    }

    /// Heat flow into the ground in a month: what the year's means drive, and the swing of the seasons a month late.
    /// Source: ISO 13370:2017, annex on periodic heat flow (from memory, med).
    pub GroundFlow = "Φ_g = H_g (θ_i − θ_y) + H_pe θ_a cos(2 π (m − n − 1)/12)" {
        Φ_g: Power "into the ground" [POWER],
        H_g: Conductance "through the ground" [Units::CONDUCTANCE],
        θ_i: Temperature "indoors" [Units::TEMPERATURE],
        θ_y: Temperature "outdoors, mean of the year" [Units::TEMPERATURE],
        H_pe: Conductance "through the ground, by the seasons" [Units::CONDUCTANCE],
        θ_a: TemperatureDifference "swing of the months' means" [Units::new("K", 1, "Δ°F", 1)],
        m: f64 "number of the month" [NUMBER],
        n: f64 "number of the coldest month" [NUMBER],
    }

    /// Heat into the ground in a month. Source: definition.
    pub(crate) IntoGround = "Q_g = Φ_g t" {
        Q_g: Energy "through the ground" [HEAT],
        Φ_g: Power "into the ground" [POWER],
        t: Duration "the month" [MONTH],
    }
}

/// Heat loss coefficients of everything but air.
#[derive(Clone, Debug)]
pub(crate) struct Shell {
    /// To outdoor air.
    pub airborne: (Conductance, Basis),
    /// Through the ground, of the year's means.
    pub ground: Conductance,
    /// Through the ground, of the seasons.
    pub seasons: Conductance,
}

impl Shell {
    pub(crate) fn of(request: &Request<'_>) -> Result<Shell, Lack> {
        let home = Subject::home();
        let whole = Conductance::from_si(known(request, &home, "junctions.ua_with_junctions")?);
        let basis = Basis::new("envelope and junctions without the ground", "ISO 13789:2017").provenance("from memory");
        let ground = request.number(&home, "junctions.ground_loss").map(Conductance::from_si);
        let seasons = request.number(&home, "junctions.ground_seasonal").map(Conductance::from_si);
        let Some((ground, seasons)) = ground.zip(seasons) else {
            let (airborne, step) = AirborneAll { whole }.step();
            let step = step.fact(AirborneAll::whole, &home, "junctions.ua_with_junctions");
            let basis = basis.step(step).assuming("what lies below the floor is as cold as outdoors in every month");
            let none = Conductance::default();
            return Ok(Shell { airborne: (airborne, basis), ground: none, seasons: none });
        };
        let (airborne, step) = Airborne { whole, H_g: ground }.step();
        let step = step.fact(Airborne::whole, &home, "junctions.ua_with_junctions").fact(
            Airborne::H_g,
            &home,
            "junctions.ground_loss",
        );
        Ok(Shell { airborne: (airborne, basis.step(step)), ground, seasons })
    }

    /// What junctions, and what stands in for other parts, lose to outdoor air beyond surfaces and openings.
    pub(crate) fn bridges(&self, request: &Request<'_>, surfaces: &[Surface<'_>]) -> Result<Conductance, Lack> {
        let mut rest = self.airborne.0;
        let apart = self.ground.si() > 0.0;
        for surface in surfaces.iter().filter(|surface| !(apart && surface.boundary == "ground")) {
            rest = rest - loss(request, surface.subject)?;
        }
        for id in request.home.openings.keys() {
            let subject = Subject::element("openings", id);
            if request.text(&subject, "takeoff.boundary") != Some("outside-envelope") {
                rest = rest - loss(request, &subject)?;
            }
        }
        Ok(rest)
    }

    /// Heat into the ground in a month, counted from 0.
    pub(crate) fn below(
        &self,
        climate: &Climate,
        indoors: Temperature,
        month: usize,
        t: Duration,
    ) -> (Energy, Vec<Step>) {
        let flow = GroundFlow {
            H_g: self.ground,
            θ_i: indoors,
            θ_y: climate.mean(),
            H_pe: self.seasons,
            θ_a: climate.swing(),
            m: month as f64 + 1.0,
            n: climate.coldest() as f64 + 1.0,
        };
        let home = Subject::home();
        let (flow, step) = flow.step();
        let step = step
            .fact(GroundFlow::H_g, &home, "junctions.ground_loss")
            .fact(GroundFlow::H_pe, &home, "junctions.ground_seasonal")
            .given(GroundFlow::θ_y, climate.months_path())
            .given(GroundFlow::θ_a, climate.months_path())
            .given(GroundFlow::n, climate.months_path());
        let (heat, into) = IntoGround { Φ_g: flow, t }.step();
        (heat, vec![step, into])
    }
}

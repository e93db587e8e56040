//! What a month loses to the ground, and what it loses to outdoor air.
//!
//! The ground below a slab or a basement follows the year a month late and with less swing; the air of a crawl space, which
//! the ground and outdoors share, without delay. What lies below any other floor is taken to be as cold as outdoors, month
//! by month, and so are unheated spaces beside the home of which it says nothing ([`crate::unheated`]).
//!
//! Source: ISO 13370:2017, heat flow by months at a steady indoor temperature (from memory, med).

use crate::facts::{HEAT, MONTH, POWER};
use crate::months::Climate;
use crate::surfaces::{Surface, known, loss};
use crate::unheated::Spaces;
use mateline_equation::equation;
use mateline_model::home::FoundationKind;
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

    /// Heat flow through a floor over a crawl space in a month. Source: as for the ground, without delay (from memory, med).
    pub SpaceFlow = "Φ_g = H_g (θ_i − θ_y) + H_pe θ_a cos(2 π (m − n)/12)" {
        Φ_g: Power "through the floor" [POWER],
        H_g: Conductance "through floor, ground and air below" [Units::CONDUCTANCE],
        θ_i: Temperature "indoors" [Units::TEMPERATURE],
        θ_y: Temperature "outdoors, mean of the year" [Units::TEMPERATURE],
        H_pe: Conductance "the same, by the seasons" [Units::CONDUCTANCE],
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
    /// What the ground stands in for, in the take-off's words.
    below: &'static str,
    /// Unheated spaces beside the home.
    pub spaces: Spaces,
}

impl Shell {
    pub(crate) fn of(request: &Request<'_>, surfaces: &[Surface<'_>]) -> Result<Shell, Lack> {
        let spaces = Spaces::of(request, surfaces)?;
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
            let airborne = sheltered(airborne, basis, &spaces);
            return Ok(Shell { airborne, ground: none, seasons: none, below: below(request), spaces });
        };
        let (airborne, step) = Airborne { whole, H_g: ground }.step();
        let step = step.fact(Airborne::whole, &home, "junctions.ua_with_junctions").fact(
            Airborne::H_g,
            &home,
            "junctions.ground_loss",
        );
        let below = below(request);
        let mut basis = basis.step(step);
        if below != "ground" {
            basis = basis
                .assuming("the air below the floor is that of the month: what a cold night does to it is left out");
        }
        Ok(Shell { airborne: sheltered(airborne, basis, &spaces), ground, seasons, below, spaces })
    }

    /// Whether the ground, with what lies below the floor, stands in for a surface.
    pub(crate) fn stands_in(&self, surface: &Surface<'_>) -> bool {
        self.ground.si() > 0.0 && surface.boundary == self.below
    }

    /// Whether a surface is a floor over an unheated space in the ground.
    pub(crate) fn is_below(&self, surface: &Surface<'_>) -> bool {
        self.below != "ground" && surface.boundary == self.below
    }

    /// Whether an unheated space lies below the floor, of which ground and outdoor air have each their part.
    pub(crate) fn is_over_space(&self) -> bool {
        self.ground.si() > 0.0 && self.below != "ground"
    }

    /// Share of the difference between indoors and outdoors that lies across a part towards this boundary.
    pub(crate) fn factor(&self, boundary: &str) -> f64 {
        self.spaces.factor(boundary)
    }

    /// What junctions, and what stands in for other parts, lose to outdoor air beyond surfaces and openings.
    pub(crate) fn bridges(&self, request: &Request<'_>, surfaces: &[Surface<'_>]) -> Result<Conductance, Lack> {
        let mut rest = self.airborne.0;
        let left = |boundary: &str, loss: Conductance| Conductance::from_si(self.factor(boundary) * loss.si());
        for surface in surfaces.iter().filter(|surface| !self.stands_in(surface)) {
            rest = rest - left(surface.boundary, loss(request, surface.subject)?);
        }
        for id in request.home.openings.keys() {
            let subject = Subject::element("openings", id);
            let boundary = request.text(&subject, "takeoff.boundary").unwrap_or("outdoor");
            if boundary != "outside-envelope" {
                rest = rest - left(boundary, loss(request, &subject)?);
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
        let (flow, step) = match self.below {
            "crawl-space" => {
                let GroundFlow { H_g, θ_i, θ_y, H_pe, θ_a, m, n } = flow;
                SpaceFlow { H_g, θ_i, θ_y, H_pe, θ_a, m, n }.step()
            }
            _ => flow.step(),
        };
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

/// What the ground stands in for, in the take-off's words, by the home's foundation.
fn below(request: &Request<'_>) -> &'static str {
    match &request.home.foundation {
        Some(foundation) if !foundation.is_conditioned() => match foundation.kind {
            FoundationKind::CrawlSpace => "crawl-space",
            FoundationKind::Basement => "unheated-basement",
            FoundationKind::Slab | FoundationKind::Piers => "ground",
        },
        _ => "ground",
    }
}

/// What unheated spaces leave of it, with its basis.
fn sheltered(all: Conductance, basis: Basis, spaces: &Spaces) -> (Conductance, Basis) {
    let (left, steps, said) = spaces.sheltered(all);
    let basis = steps.into_iter().fold(basis, Basis::step);
    (left, said.into_iter().fold(basis, |basis, said| basis.assuming(said)))
}

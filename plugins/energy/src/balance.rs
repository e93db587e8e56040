//! The balance of one month: what is lost, what comes in, how much of that is of use.
//!
//! Source: ISO 13790:2008, 7 to 13, and ISO 52016-1:2017, 6.6 (from memory, high).

#![allow(non_snake_case, reason = "symbols are named as the equations print them")]

use crate::facts::{CAPACITY, HEAT, HOURS, MONTH};
use mateline_equation::equation;
use mateline_model::Step;
use mateline_model::quantity::{Energy, Ratio, Units};

/// A figure of the balance without a unit.
const NUMBER: Units = Units::plain(4);

equation! {
    /// How long the home keeps its heat. Source: ISO 13790:2008, 12.2.1.3 (from memory, high).
    pub TimeConstant = "τ = C/(H_D + H_g + H_V)" {
        τ: Duration "time constant" [HOURS],
        C: "J/K" "heat that layers, air and furniture store" [CAPACITY],
        H_D: Conductance "to outdoor air, through the envelope" [Units::CONDUCTANCE],
        H_g: Conductance "through the ground" [Units::CONDUCTANCE],
        H_V: Conductance "by air" [Units::CONDUCTANCE],
    }

    /// How steeply use falls as gains approach losses. Source: ISO 13790:2008, 12.2.1.1, monthly method (from memory,
    /// high).
    pub Exponent = "a = 1 + τ/15[h]" {
        a: Ratio "exponent" [NUMBER],
        τ: Duration "time constant" [HOURS],
    }

    /// Heat through the envelope to outdoor air in a month. Source: ISO 13790:2008, 8.2 (from memory, high).
    pub Through = "Q_D = H_D (θ_i − θ_e) t" {
        Q_D: Energy "through the envelope" [HEAT],
        H_D: Conductance "to outdoor air, through the envelope" [Units::CONDUCTANCE],
        θ_i: Temperature "indoors" [Units::TEMPERATURE],
        θ_e: Temperature "outdoors" [Units::TEMPERATURE],
        t: Duration "the month" [MONTH],
    }

    /// Heat that air carries out in a month. Source: ISO 13790:2008, 9.2 (from memory, high).
    pub ByAir = "Q_V = H_V (θ_i − θ_e) t" {
        Q_V: Energy "by air" [HEAT],
        H_V: Conductance "by air" [Units::CONDUCTANCE],
        θ_i: Temperature "indoors" [Units::TEMPERATURE],
        θ_e: Temperature "outdoors" [Units::TEMPERATURE],
        t: Duration "the month" [MONTH],
    }

    /// All that a month loses. Source: ISO 13790:2008, 7.2 (from memory, high).
    pub Lost = "Q_l = Q_D + Q_g + Q_V" {
        Q_l: Energy "lost" [HEAT],
        Q_D: Energy "through the envelope" [HEAT],
        Q_g: Energy "through the ground" [HEAT],
        Q_V: Energy "by air" [HEAT],
    }

    /// All that comes in by itself. Source: ISO 13790:2008, 7.2 (from memory, high).
    pub Gained = "Q_p = Q_i + Q_s" {
        Q_p: Energy "gained" [HEAT],
        Q_i: Energy "from people, lights and appliances" [HEAT],
        Q_s: Energy "from sun and sky" [HEAT],
    }

    /// Gains over losses. Source: ISO 13790:2008, 12.2.1.1 (from memory, high).
    pub Proportion = "γ = Q_p/Q_l" {
        γ: Ratio "gains over losses" [NUMBER],
        Q_p: Energy "gained" [HEAT],
        Q_l: Energy "lost" [HEAT],
    }

    /// Share of the gains that saves heating, below as much as is lost. Source: ISO 13790:2008, 12.2.1.1 (from memory,
    /// high).
    pub UsedOfFew = "η = (1 − γ^a)/(1 − γ γ^a)" {
        η: Ratio "share of the gains that is of use" [NUMBER],
        γ: Ratio "gains over losses" [NUMBER],
        a: Ratio "exponent" [NUMBER],
    }

    /// The same where as much is gained as lost. Source: as for fewer gains.
    pub UsedOfEven = "η = a/(a + 1)" {
        η: Ratio "share of the gains that is of use" [NUMBER],
        a: Ratio "exponent" [NUMBER],
    }

    /// The same where more is gained than lost, divided through by `γ^a`, which may be beyond all numbers. Source: as for
    /// fewer gains.
    pub UsedOfMany = "η = (1 − (1/γ)^a)/(γ − (1/γ)^a)" {
        η: Ratio "share of the gains that is of use" [NUMBER],
        γ: Ratio "gains over losses" [NUMBER],
        a: Ratio "exponent" [NUMBER],
    }

    /// Heat that a month needs. Source: ISO 13790:2008, 7.2.1 (from memory, high).
    pub HeatNeeded = "Q_H = max(0, Q_l − η Q_p)" {
        Q_H: Energy "heating" [HEAT],
        Q_l: Energy "lost" [HEAT],
        η: Ratio "share of the gains that is of use" [NUMBER],
        Q_p: Energy "gained" [HEAT],
    }

    /// Share of the losses that saves cooling: the same share of use, seen from the other side, `γ η`.
    /// Source: ISO 13790:2008, 12.2.1.2 (from memory, high).
    pub LossUsed = "η_C = γ η" {
        η_C: Ratio "share of the losses that is of use" [NUMBER],
        γ: Ratio "gains over losses" [NUMBER],
        η: Ratio "share of the gains that would be of use for heating" [NUMBER],
    }

    /// Heat that has to be taken out in a month. Source: ISO 13790:2008, 7.2.2 (from memory, high).
    pub CoolNeeded = "Q_C = max(0, Q_p − η_C Q_l)" {
        Q_C: Energy "cooling" [HEAT],
        Q_p: Energy "gained" [HEAT],
        η_C: Ratio "share of the losses that is of use" [NUMBER],
        Q_l: Energy "lost" [HEAT],
    }

    /// Heat to be taken out in a month in which outdoors is warmer than rooms may become. Source: as for other months, with
    /// all of the losses counted, which are below zero.
    pub CoolNeededInHeat = "Q_C = max(0, Q_p − Q_l)" {
        Q_C: Energy "cooling" [HEAT],
        Q_p: Energy "gained" [HEAT],
        Q_l: Energy "lost" [HEAT],
    }
}

/// How near to 1 gains over losses count as 1; the branches differ by less there.
const EVEN: f64 = 1e-9;

/// Share of the gains that is of use, with its step.
pub fn used(γ: Ratio, a: Ratio) -> (Ratio, Step) {
    if (γ.si() - 1.0).abs() < EVEN {
        UsedOfEven { a }.step()
    } else if γ.si() < 1.0 {
        UsedOfFew { γ, a }.step()
    } else {
        UsedOfMany { γ, a }.step()
    }
}

/// What a month needs, and how that follows.
pub struct Need {
    /// Heat to bring in, or to take out.
    pub heat: Energy,
    /// From gains and losses to the need.
    pub steps: Vec<Step>,
    /// In words, where nothing is needed.
    pub because: Option<&'static str>,
}

impl Need {
    fn none(because: &'static str) -> Need {
        Need { heat: Energy::default(), steps: Vec::new(), because: Some(because) }
    }

    /// Heat that a month needs.
    pub fn of_heating(Q_l: Energy, Q_p: Energy, a: Ratio) -> Need {
        if Q_p.si() > 0.0 && Q_l.si() <= 0.0 {
            return Need::none("no heat is lost in this month, so that none is needed");
        }
        if Q_p.si() <= 0.0 {
            let (heat, step) = HeatNeeded { Q_l, η: Ratio::from_si(1.0), Q_p }.step();
            return Need { heat, steps: vec![step], because: None };
        }
        let (γ, proportion) = Proportion { Q_p, Q_l }.step();
        let (η, use_step) = used(γ, a);
        let (heat, step) = HeatNeeded { Q_l, η, Q_p }.step();
        Need { heat, steps: vec![proportion, use_step, step], because: None }
    }

    /// Heat that has to be taken out in a month.
    pub fn of_cooling(Q_l: Energy, Q_p: Energy, a: Ratio) -> Need {
        if Q_p.si() <= 0.0 && Q_l.si() >= 0.0 {
            return Need::none("nothing warms the home in this month");
        }
        if Q_l.si() <= 0.0 || Q_p.si() <= 0.0 {
            let (heat, step) = CoolNeededInHeat { Q_p, Q_l }.step();
            return Need { heat, steps: vec![step], because: None };
        }
        let (γ, proportion) = Proportion { Q_p, Q_l }.step();
        let (η, use_step) = used(γ, a);
        let (η_C, loss_step) = LossUsed { γ, η }.step();
        let (heat, step) = CoolNeeded { Q_p, η_C, Q_l }.step();
        Need { heat, steps: vec![proportion, use_step, loss_step, step], because: None }
    }
}

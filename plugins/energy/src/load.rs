//! Heat to bring in on the coldest day, for the home and for each room.
//!
//! No sun and nothing that people or appliances give off is counted. The ground gives its largest flow of the year. Leaks
//! let in twice what they do on the mean of the year, for a day of wind.
//!
//! Sources: EN 12831:2003, infiltration by design (from memory, high); ISO 13370:2017 (ground); common practice.

#![allow(non_snake_case, reason = "symbols are named as the equations print them")]

use crate::air::{AIR, AirLoss};
use crate::facts::{self, POWER, POWER_PER_AREA};
use crate::gathered::Balance;
use crate::rooms::Room;
use mateline_equation::equation;
use mateline_model::home::{Home, Shielding};
use mateline_model::quantity::{Area, Conductance, Power, Ratio, Units};
use mateline_model::{Basis, Subject};
use mateline_sdk::{Findings, Lack, Request};

/// A share.
const SHARE: Units = Units::PERCENT;
/// What a reader has to bear in mind.
const CAUTION: &str = "for the licensed designer of the system: no power to warm up again after a set-back is added";

equation! {
    /// Air through leaks on a day of wind. Source: EN 12831:2003, up to 10 m above ground (from memory, high).
    pub(crate) WindyLeaks = "q_i = 2 e q50" {
        q_i: Flow "through leaks" [Units::HOURLY_FLOW],
        e: Ratio "shelter" [Units::plain(2)],
        q50: Flow "leakage at 50 Pa" [Units::HOURLY_FLOW],
    }

    /// The largest heat flow of the year into the ground. Source: ISO 13370:2017 (from memory, med).
    pub(crate) ColdGround = "Φ_g = H_g (θ_i − θ_y) + H_pe θ_a" {
        Φ_g: Power "into the ground" [POWER],
        H_g: Conductance "through the ground" [Units::CONDUCTANCE],
        θ_i: Temperature "indoors" [Units::TEMPERATURE],
        θ_y: Temperature "outdoors, mean of the year" [Units::TEMPERATURE],
        H_pe: Conductance "through the ground, by the seasons" [Units::CONDUCTANCE],
        θ_a: TemperatureDifference "swing of the months' means" [Units::new("K", 1, "Δ°F", 1)],
    }

    /// Heat through a floor over an unheated space, which on the coldest day follows outdoors. Source: EN 12831:2003 with the
    /// steady U-factor of ISO 13370:2017 (from memory, high).
    pub(crate) OverCold = "Φ_g = H_g (θ_i − θ_d)" {
        Φ_g: Power "through the floor over an unheated space" [POWER],
        H_g: Conductance "through floor, ground and air below" [Units::CONDUCTANCE],
        θ_i: Temperature "indoors" [Units::TEMPERATURE],
        θ_d: Temperature "outdoors, for heating design" [Units::TEMPERATURE],
    }

    /// Heat to bring in on the coldest day. Source: EN 12831:2003 (from memory, high).
    pub(crate) HeatingLoad = "Φ_H = (H_D + H_A) (θ_i − θ_d) + Φ_g" {
        Φ_H: Power "heating load" [POWER],
        H_D: Conductance "to outdoor air, through envelope and junctions" [Units::CONDUCTANCE],
        H_A: Conductance "by air" [Units::CONDUCTANCE],
        θ_i: Temperature "indoors" [Units::TEMPERATURE],
        θ_d: Temperature "outdoors, for heating design" [Units::TEMPERATURE],
        Φ_g: Power "into the ground" [POWER],
    }

    /// Heat to bring into a room on the coldest day: its windows, its share of everything else, and the air that it gets.
    /// Source: as for the home, shared out.
    pub(crate) RoomLoad = "Φ_r = (H_w + s_R H_R + H_a) (θ_i − θ_d) + s_g Φ_g" {
        Φ_r: Power "heating load of the room" [POWER],
        H_w: Conductance "windows and doors of the room" [Units::CONDUCTANCE],
        s_R: Ratio "share of everything else" [SHARE],
        H_R: Conductance "everything else to outdoor air" [Units::CONDUCTANCE],
        H_a: Conductance "by air of the room" [Units::CONDUCTANCE],
        θ_i: Temperature "indoors" [Units::TEMPERATURE],
        θ_d: Temperature "outdoors, for heating design" [Units::TEMPERATURE],
        s_g: Ratio "share of the ground" [SHARE],
        Φ_g: Power "into the ground" [POWER],
    }

    /// A load for each floor area. Source: definition.
    pub(crate) LoadPerArea = "p = Φ/A" {
        p: HeatFlux "for each floor area" [POWER_PER_AREA],
        Φ: Power "load" [POWER],
        A: Area "floor area" [Units::AREA],
    }
}

/// The share of 50 Pa's flow on a windy day, by shelter: EN 12831:2003, several façades (from memory, high).
fn shelter(home: &Home) -> Result<Ratio, Lack> {
    let share = match home.site.shielding {
        Some(Shielding::Exposed) => 0.05,
        Some(Shielding::Average) => 0.03,
        Some(Shielding::Sheltered) => 0.02,
        None => return Err(Lack::at("site.shielding is not given", "site")),
    };
    Ok(Ratio::from_si(share))
}

/// Writes the heating load of the home and of its rooms.
pub(crate) fn report(request: &Request<'_>, balance: &Balance<'_>, rooms: &[Room<'_>], findings: &mut Findings) {
    let home = Subject::home();
    if let Err(lack) = written(request, balance, rooms, findings) {
        lack.write(&home, &[&facts::HEATING_LOAD, &facts::HEATING_LOAD_PER_AREA], findings);
        for room in rooms {
            let subject = Subject::element("spaces", room.id);
            lack.write(&subject, &[&facts::HEATING_LOAD, &facts::HEATING_LOAD_PER_AREA], findings);
        }
    }
}

fn written(
    request: &Request<'_>,
    balance: &Balance<'_>,
    rooms: &[Room<'_>],
    findings: &mut Findings,
) -> Result<(), Lack> {
    let home = Subject::home();
    let outdoors = request.home.site.design_heating;
    let θ_d = outdoors.ok_or_else(|| Lack::at("site.design_heating is not given", "site"))?;
    let (θ_i, shell, air) = (balance.winter, &balance.shell, &balance.air);
    let (q_i, leaks) = WindyLeaks { e: shelter(request.home)?, q50: air.q50 }.step();
    let leaks = leaks.given(WindyLeaks::e, "site.shielding").fact(WindyLeaks::q50, &home, "airtightness.shown_q50");
    let (H_A, by_air) = AirLoss { q_s: air.supply, q_a: air.exhaust, q_k: air.kept, q_x: q_i }.step();
    let (Φ_g, ground) = if shell.is_over_space() {
        let (flow, step) = OverCold { H_g: shell.ground, θ_i, θ_d }.step();
        let step = step.fact(OverCold::H_g, &home, "junctions.ground_loss").given(OverCold::θ_d, "site.design_heating");
        (flow, step)
    } else {
        let (H_g, H_pe) = (shell.ground, shell.seasons);
        let ground = ColdGround { H_g, θ_i, θ_y: balance.climate.mean(), H_pe, θ_a: balance.climate.swing() };
        let (flow, step) = ground.step();
        let path = balance.climate.months_path();
        (flow, step.given(ColdGround::θ_y, path).given(ColdGround::θ_a, path))
    };
    let (load, step) = HeatingLoad { H_D: shell.airborne.0, H_A, θ_i, θ_d, Φ_g }.step();
    let step =
        step.fact(HeatingLoad::H_D, &home, facts::AIRBORNE_LOSS.name).given(HeatingLoad::θ_d, "site.design_heating");
    let basis =
        |method: &'static str| Basis::new(method, "EN 12831:2003").provenance("from memory, high").assuming(CAUTION);
    let whole =
        basis("losses on the coldest day").step(leaks.clone()).step(by_air.clone()).step(ground.clone()).step(step);
    findings.fact(&home, &facts::HEATING_LOAD, load, whole);
    per_area(&home, load, balance.treated, true, findings);

    let all: Conductance = rooms.iter().map(|room| room.openings).sum();
    let rest = shell.airborne.0 - all;
    let fans = H_A.si() - AIR * q_i.si();
    for room in rooms {
        let subject = Subject::element("spaces", room.id);
        let H_a = Conductance::from_si(fans * balance.air.share_of_fans(room) + AIR * q_i.si() * room.volume);
        let (s_R, s_g) = (Ratio::from_si(room.rest), Ratio::from_si(room.ground));
        let (load, step) = RoomLoad { H_w: room.openings, s_R, H_R: rest, H_a, θ_i, θ_d, s_g, Φ_g }.step();
        let step = step.given(RoomLoad::θ_d, "site.design_heating");
        let basis = basis("the home's losses, shared out among its rooms")
            .step(ground.clone())
            .step(step)
            .assuming("windows and doors belong to the room they serve, supply air to the room it is brought to, leaks to all by volume")
            .assuming("everything else is shared by the open faces of the boxes and by floor area: a room at a corner loses more");
        findings.fact(&subject, &facts::HEATING_LOAD, load, basis);
        per_area(&subject, load, room.space.floor_area, false, findings);
    }
    Ok(())
}

fn per_area(subject: &Subject, load: Power, area: Area, treated: bool, findings: &mut Findings) {
    let (flux, step) = LoadPerArea { Φ: load, A: area }.step();
    let step = step.fact(LoadPerArea::Φ, subject, facts::HEATING_LOAD.name);
    let step = match treated {
        true => step.fact(LoadPerArea::A, subject, facts::TREATED_AREA.name),
        false => step.given(LoadPerArea::A, format!("{subject}.floor_area")),
    };
    let basis = Basis::new("load for each floor area", "EN 12831:2003").provenance("from memory, high").step(step);
    findings.fact(subject, &facts::HEATING_LOAD_PER_AREA, flux, basis);
}

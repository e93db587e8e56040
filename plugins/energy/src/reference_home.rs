//! The home as a pack's performance path sees it, and the pack's reference home beside it.
//!
//! Of the reference home surfaces keep their areas and what they store, and each gets the U-factor of the pack's table.
//! Windows are as large as in the home, up to a share of its floor, a quarter of them on each side with nothing before them;
//! one door looks north. Walls and ceilings give way to openings, or take their place. It is as tight as the pack says,
//! and its fans bring no more air than the pack counts. Junctions are in neither home, as they are in none of the table's
//! U-factors. What lies on the ground is as in the home, so that nothing is won there; where a wall there is worse than the
//! table, there is no reference home. A floor over an unheated space is the table's over the home's own ground and air, and an
//! unheated space beside the home is the home's, as warm as the table's parts leave it.
//!
//! Source: the table of the reference design in the performance path of the model energy code, whose values the pack hands over.

#![allow(non_snake_case, reason = "symbols are named as the equations print them")]

use crate::air::{AirLoss, Infiltration, WIND_FACTOR, shelter};
use crate::gathered::Balance;
use crate::hours::Views;
use crate::shade::Screen;
use crate::sun::ANGLE;
use crate::surfaces::{Surface, known, loss};
use crate::zone_model::{Behind, Model};
use mateline_equation::equation;
use mateline_model::home::{AssemblyKind, OpeningKind};
use mateline_model::quantity::{
    Area, FanEfficacy, Flow, FlowPerArea, HeatFlux, Power, Rate, Ratio, Temperature, ThermalTransmittance, Units,
};
use mateline_model::{Step, Subject};
use mateline_sdk::{Lack, Request};
use mateline_weather::sky::Plane;
use serde::Deserialize;
use std::collections::BTreeMap;

/// So much better than the table counts as the table's.
const EVEN: f64 = 1e-9;
/// Where the walls look: south, west, north, east (°).
const SIDES: [f64; 4] = [0.0, 90.0, 180.0, -90.0];

equation! {
    /// Outdoor air that a pack's performance path counts. Source: the pack.
    pub(crate) FreshAir = "q = a A + b (N + 1)" {
        q: Flow "outdoor air that counts" [Units::FLOW],
        a: FlowPerArea "for each floor area" [Units::new("L/(s·m²)", 3, "cfm/ft²", 3)],
        A: Area "conditioned floor area" [Units::AREA],
        b: Flow "for each bedroom, and one more" [Units::FLOW],
        N: f64 "bedrooms" [Units::plain(0)],
    }
}

/// What a pack says of its performance path.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Settings {
    pub source: String,
    pub provenance: String,
    /// By kind of part, as the pack's other tables have it.
    pub u_factors: BTreeMap<String, Option<ThermalTransmittance>>,
    pub shgc: Ratio,
    /// Share of the sun that curtains leave: so much without, less so much for each unit of the solar heat gain coefficient.
    pub inner_shade: InnerShade,
    /// Windows at most, of the floor area.
    pub most_glazing: Ratio,
    pub door: Area,
    /// Air changes at 50 Pa.
    pub leakage: Rate,
    pub indoor: Indoor,
    pub fresh_air: ByRooms<FlowPerArea, Flow>,
    /// Of the reference home's fans.
    pub recovery: Ratio,
    pub fans: FanEfficacy,
    /// From people, lights and appliances.
    pub inside: ByRooms<HeatFlux, Power>,
    /// Drawn in a day.
    pub hot_water: ByRooms<FlowPerArea, Flow>,
    pub source_factors: SourceFactors,
}

/// What is counted for the home, its floor and each bedroom.
#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct ByRooms<F, B> {
    #[serde(default)]
    home: Option<B>,
    #[serde(default)]
    per_floor_area: Option<F>,
    per_bedroom: B,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct InnerShade {
    clear: f64,
    falls: f64,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct Indoor {
    pub heating: Temperature,
    pub cooling: Temperature,
}

#[derive(Clone, Debug, Deserialize)]
#[serde(deny_unknown_fields)]
pub(crate) struct SourceFactors {
    pub electricity: Ratio,
    pub fuel: Ratio,
}

impl Settings {
    /// Share of the sun that passes curtains behind glass of this solar heat gain coefficient.
    fn shaded(&self, gain: f64) -> f64 {
        (self.inner_shade.clear - self.inner_shade.falls * gain).clamp(0.0, 1.0)
    }

    /// The table's U-factor for a kind of part, or for the more general one that it falls under.
    fn u_factor(&self, names: &[&str]) -> Result<f64, Lack> {
        let found = names.iter().find_map(|name| self.u_factors.get(*name).copied().flatten());
        let name = names.first().copied().unwrap_or("part");
        found.map(|u| u.si()).ok_or_else(|| Lack::new(format!("the pack's table gives no U-factor for {name} here")))
    }
}

/// Both homes, ready for the hours.
pub(crate) struct Pair {
    pub settings: Settings,
    pub proposed: Side,
    pub reference: Side,
    /// From people, lights and appliances (W).
    pub inside: f64,
    /// Drawn in a day.
    pub drawn: Flow,
    /// How the counted air follows.
    pub air_step: Step,
    /// Whether their floors lie over an unheated space.
    pub over_space: bool,
}

/// One of the two homes.
pub(crate) struct Side {
    pub model: Model,
    /// With outdoor air (W/K).
    pub exchange: f64,
    /// Power of the fans, mean of the year.
    pub fans: Power,
}

/// What the home's openings take from its walls and from its ceilings (m²), and how much of that is glass.
#[derive(Default)]
struct Openings {
    walls: f64,
    ceilings: f64,
    glass: f64,
}

fn openings(request: &Request<'_>) -> Result<Openings, Lack> {
    let mut found = Openings::default();
    for (id, opening) in &request.home.openings {
        let subject = Subject::element("openings", id);
        if request.text(&subject, "takeoff.boundary") == Some("outside-envelope") {
            continue;
        }
        let area = known(request, &subject, "takeoff.area")?;
        match opening.kind {
            OpeningKind::Window | OpeningKind::GlazedDoor => {
                (found.walls, found.glass) = (found.walls + area, found.glass + area)
            }
            OpeningKind::Skylight => (found.ceilings, found.glass) = (found.ceilings + area, found.glass + area),
            OpeningKind::OpaqueDoor => found.walls += area,
            OpeningKind::Hatch => found.ceilings += area,
        }
    }
    Ok(found)
}

impl Pair {
    /// The home and its reference by a pack's settings.
    pub(crate) fn of(
        request: &Request<'_>,
        balance: &Balance<'_>,
        surfaces: &[Surface<'_>],
        model: &Model,
        views: &mut Views,
        settings: Settings,
    ) -> Result<Pair, Lack> {
        let home = Subject::home();
        let bedrooms = known(request, &home, "takeoff.bedrooms")?;
        let floor = balance.floor.si();
        let fresh = &settings.fresh_air;
        let counted = FreshAir {
            a: fresh.per_floor_area.unwrap_or_default(),
            A: balance.floor,
            b: fresh.per_bedroom,
            N: bedrooms,
        };
        let (counted, air_step) = counted.step();
        let air_step = air_step
            .published(FreshAir::a, settings.source.clone())
            .published(FreshAir::b, settings.source.clone())
            .fact(FreshAir::A, &home, "takeoff.floor_area")
            .fact(FreshAir::N, &home, "takeoff.bedrooms");
        let inside = &settings.inside;
        let inside = inside.home.map_or(0.0, Power::si)
            + inside.per_floor_area.map_or(0.0, HeatFlux::si) * floor
            + inside.per_bedroom.si() * bedrooms;
        let water = &settings.hot_water;
        let drawn = water.home.map_or(0.0, Flow::si)
            + water.per_floor_area.map_or(0.0, FlowPerArea::si) * floor
            + water.per_bedroom.si() * bedrooms;
        Ok(Pair {
            proposed: proposed(request, balance, model, views, &settings)?,
            reference: reference(request, balance, surfaces, model, views, &settings, counted)?,
            inside,
            drawn: Flow::from_si(drawn),
            air_step,
            over_space: balance.shell.is_over_space(),
            settings,
        })
    }
}

/// The home itself: its own parts, air and fans, with the pack's curtains and without junctions.
fn proposed(
    request: &Request<'_>,
    balance: &Balance<'_>,
    model: &Model,
    views: &mut Views,
    settings: &Settings,
) -> Result<Side, Lack> {
    let mut model = Model { glass: Vec::new(), ..model.clone() };
    for pane in &balance.collectors.panes {
        let view = views.number(pane.plane, pane.screen);
        model.pane(view, pane.collecting * settings.shaded(pane.gain.si()), 1.0);
    }
    let mut fans = 0.0;
    for (id, unit) in &request.home.systems.ventilation {
        let at =
            || Lack::at(format!("systems.ventilation.{id}.power is not given"), format!("systems.ventilation.{id}"));
        fans += unit.power.ok_or_else(at)?.si() * unit.run_time.map_or(1.0, Ratio::si);
    }
    Ok(Side { model, exchange: balance.air.loss.0.si(), fans: Power::from_si(fans) })
}

/// What stands there, a wall below grade by what it stands around.
fn kind(request: &Request<'_>, surface: &Surface<'_>) -> Result<AssemblyKind, Lack> {
    let assembly = request.home.assemblies.iter().find(|(id, _)| id.as_ref() == surface.assembly);
    let kind = assembly.map(|(_, assembly)| assembly.kind);
    let kind = kind.ok_or_else(|| Lack::new(format!("assemblies.{} is not in the home", surface.assembly)))?;
    let subject = Subject::element("assemblies", surface.assembly);
    let stands = |quantity: &str| request.number(&subject, quantity).is_some_and(|area| area > 0.0);
    Ok(kind.around(stands("takeoff.basement_wall_area"), stands("takeoff.crawl_wall_area")))
}

/// What ground and air below a floor over an unheated space resist (m²·K/W).
fn below_floor(request: &Request<'_>, balance: &Balance<'_>, surfaces: &[Surface<'_>]) -> Result<f64, Lack> {
    let shell = &balance.shell;
    let (mut area, mut through) = (0.0, 0.0);
    for surface in surfaces.iter().filter(|surface| shell.stands_in(surface)) {
        area += surface.area.si();
        through += loss(request, surface.subject)?.si();
    }
    Ok(if through > 0.0 { area / shell.ground.si() - area / through } else { 0.0 })
}

/// The reference home.
fn reference(
    request: &Request<'_>,
    balance: &Balance<'_>,
    surfaces: &[Surface<'_>],
    model: &Model,
    views: &mut Views,
    settings: &Settings,
    counted: Flow,
) -> Result<Side, Lack> {
    let mut built = Model::empty();
    let shell = &balance.shell;
    let beyond = below_floor(request, balance, surfaces)?;
    let own = openings(request)?;
    let glass = own.glass.min(settings.most_glazing.si() * balance.floor.si());
    let is_wall = |one: &Surface<'_>| one.boundary != "ground" && !matches!(one.orientation, "up" | "down");
    let sum = |of: &dyn Fn(&Surface<'_>) -> bool| -> f64 {
        surfaces.iter().filter(|one| of(one)).map(|one| one.area.si()).sum()
    };
    let (walls, above) = (sum(&is_wall), sum(&|one| one.orientation == "up" && one.boundary != "ground"));
    let of_walls = (walls + own.walls - glass - settings.door.si()) / walls;
    let of_ceilings = if above > 0.0 { (above + own.ceilings) / above } else { 1.0 };
    if of_walls.is_nan() || of_walls <= 0.0 {
        return Err(Lack::new("the reference home has no wall to put its windows in"));
    }
    let times = |surface: &Surface<'_>| match surface.orientation {
        "up" => of_ceilings,
        "down" => 1.0,
        _ => of_walls,
    };
    let standing = || surfaces.iter().filter(|surface| surface.area.si() > 0.0);
    // What it loses towards each boundary (W/K).
    let mut towards: BTreeMap<&str, f64> = BTreeMap::new();
    for surface in standing().filter(|surface| surface.boundary != "ground") {
        let u = settings.u_factor(kind(request, surface)?.in_tables())?;
        *towards.entry(surface.boundary).or_default() += surface.area.si() * times(surface) * u;
    }
    for surface in standing() {
        let kind = kind(request, surface)?;
        let area = surface.area.si();
        let stores = balance.stores.get(surface.assembly).copied().unwrap_or_default();
        if surface.boundary == "ground" {
            let through = loss(request, surface.subject)?.si() / area;
            // None of the tables has one for a floor on the ground: it stays the home's.
            if kind != AssemblyKind::Slab && through > settings.u_factor(kind.in_tables())? * (1.0 + EVEN) {
                let because = format!("assemblies.{} on the ground is worse than the pack's table", surface.assembly);
                return Err(Lack::at(because, format!("assemblies.{}", surface.assembly)));
            }
            if !shell.stands_in(surface) {
                built.outdoors(surface, area, through, stores, views);
            }
            continue;
        }
        let u = settings.u_factor(kind.in_tables())?;
        if shell.stands_in(surface) {
            // The table's floor over the home's own ground and air below.
            built.over_space(surface, area, beyond + 1.0 / u, stores);
            continue;
        }
        let lost = towards.get(surface.boundary).copied().unwrap_or_default();
        let factor = shell.spaces.factor_with(surface.boundary, lost);
        built.outdoors(surface, area * times(surface), factor * u, stores, views);
    }
    let on_ground = model.elements.iter().zip(&model.behind).filter(|(_, behind)| **behind == Behind::Ground);
    for (element, behind) in on_ground.filter(|_| !shell.is_over_space()) {
        built.add(element.clone(), *behind);
    }
    built.light(glass, settings.u_factor(&["window"])?);
    built.light(settings.door.si(), settings.u_factor(&["opaque-door", "window"])?);
    let gain = settings.shgc.si();
    for side in SIDES {
        let view = views.number(Plane::wall(side), Screen::default());
        built.pane(view, ANGLE * gain * settings.shaded(gain) * glass / 4.0, 1.0);
    }

    let air = &balance.air;
    let most = air.supply.si().max(air.exhaust.si());
    if most < counted.si() * (1.0 - EVEN) {
        return Err(Lack::at("the fans bring less air than the pack's path counts", "systems.ventilation"));
    }
    let part = Ratio::from_si(counted.si() / most);
    let (q_s, q_a) = (Flow::from_si(part.si() * air.supply.si()), Flow::from_si(part.si() * air.exhaust.si()));
    let q_k = Flow::from_si(settings.recovery.si() * q_s.si().min(q_a.si()));
    let volume = known(request, &Subject::home(), "takeoff.interior_volume")?;
    let q50 = Flow::from_si(settings.leakage.si() * volume);
    let f = Ratio::from_si(WIND_FACTOR);
    let q_x = Infiltration { e: shelter(request.home)?, q50, f, q_s, q_a }.value();
    let exchange = AirLoss { q_s, q_a, q_k, q_x }.value();
    let fans = Power::from_si(counted.si() / settings.fans.si());
    Ok(Side { model: built, exchange: exchange.si(), fans })
}

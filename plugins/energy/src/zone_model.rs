//! The home, or a part of it, as a zone: an element for every surface and for the openings of every side, and what stands
//! behind each.

use crate::capacity::FURNITURE;
use crate::elements::{Element, OUTER_AIR, OUTER_GLOW, USUAL, Zone};
use crate::gathered::Balance;
use crate::hours::Views;
use crate::shade::Screen;
use crate::sun::side;
use crate::surfaces::{Surface, known, loss};
use crate::zones::Part;
use mateline_model::Subject;
use mateline_model::quantity::Area;
use mateline_sdk::{Lack, Request};

/// Behind the outer film of a surface on the ground nothing else resists (W/(m²·K)).
const GROUND: f64 = 1e4;
/// The least resistance of an element (m²·K/W): that of what is next to nothing.
const LEAST: f64 = 0.01;
/// Elements as near to one another as this are one.
const ALIKE: f64 = 1e-9;

/// Convection at an inner surface, by the way heat flows: level, up, down (W/(m²·K)). Source: ISO 52016-1:2017 (from
/// memory, high).
fn inner_film(orientation: &str) -> f64 {
    match orientation {
        "up" => 5.0,
        "down" => 0.7,
        _ => 2.5,
    }
}

/// Films that the U-factor of a surface has within it (m²·K/W). Source: ISO 6946:2017 (from memory, high).
fn films(orientation: &str) -> f64 {
    let inside = match orientation {
        "up" => 0.10,
        "down" => 0.17,
        _ => 0.13,
    };
    inside + 0.04
}

/// What stands behind an element.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(crate) enum Behind {
    /// Outdoor air, with the number of the plane that the sun falls on and its view of the sky.
    Outdoors(Option<usize>, f64),
    Ground,
}

/// The home as a zone.
#[derive(Clone)]
pub(crate) struct Model {
    pub elements: Vec<Element>,
    pub behind: Vec<Behind>,
    /// Glass on each view: its number, the collecting area (m²) and what a drawn blind lets through of the sun.
    pub glass: Vec<(usize, f64, f64)>,
    /// How many parts it was put together from.
    pub parts: usize,
}

impl Model {
    pub(crate) fn of(
        request: &Request<'_>,
        balance: &Balance<'_>,
        surfaces: &[Surface<'_>],
        views: &mut Views,
        part: &Part,
    ) -> Result<Model, Lack> {
        let mut model = Model::empty();
        let shell = &balance.shell;
        let on_ground: f64 = surfaces.iter().filter(|one| shell.stands_in(one)).map(|one| one.area.si()).sum();
        for (number, surface) in surfaces.iter().enumerate().filter(|(_, surface)| surface.area.si() > 0.0) {
            let area = surface.area.si() * part.of_surface(number);
            if area <= 0.0 {
                continue;
            }
            let stores = balance.stores.get(surface.assembly).copied().unwrap_or_default();
            if shell.stands_in(surface) {
                model.over_space(surface, area, on_ground / shell.ground.si(), stores);
                continue;
            }
            // What an unheated space behind it resists is in the part.
            let transmittance =
                shell.factor(surface.boundary) * loss(request, surface.subject)?.si() / surface.area.si();
            model.outdoors(surface, area, transmittance, stores, views);
        }
        for (id, opening) in &request.home.openings {
            let subject = Subject::element("openings", id);
            let boundary = request.text(&subject, "takeoff.boundary").unwrap_or("outdoor");
            if boundary == "outside-envelope" {
                continue;
            }
            let area = known(request, &subject, "takeoff.area")?;
            let through = shell.factor(boundary) * loss(request, &subject)?.si();
            let share = part.of_opening(opening);
            if area > 0.0 && through > 0.0 && share > 0.0 {
                model.light(share * area, through / area);
            }
        }
        for pane in &balance.collectors.panes {
            let view = views.number(pane.plane, pane.screen);
            let share = part.of_place(pane.space.as_ref(), &pane.module);
            if share > 0.0 {
                model.pane(view, share * pane.collecting, pane.blind);
            }
        }
        Ok(model)
    }

    /// Nothing yet.
    pub(crate) fn empty() -> Model {
        Model { elements: Vec::new(), behind: Vec::new(), glass: Vec::new(), parts: 0 }
    }

    /// Adds glass of so large a collecting area (m²) to a view.
    pub(crate) fn pane(&mut self, view: usize, collecting: f64, blind: f64) {
        match self.glass.iter_mut().find(|(known, _, its)| *known == view && *its == blind) {
            Some((_, area, _)) => *area += collecting,
            None => self.glass.push((view, collecting, blind)),
        }
    }

    /// Adds a surface to outdoor air of this area (m²), U-factor (W/(m²·K)) and storage (J/(m²·K)).
    pub(crate) fn outdoors(
        &mut self,
        surface: &Surface<'_>,
        area: f64,
        transmittance: f64,
        stores: f64,
        views: &mut Views,
    ) {
        let resistance = 1.0 / transmittance - films(surface.orientation);
        let seen = if surface.boundary == "outdoor" { side(surface.orientation) } else { None };
        let (plane, view) = match seen {
            Some((plane, view)) => (Some(views.number(plane, Screen::default())), view),
            None => (None, 0.0),
        };
        let inner = inner_film(surface.orientation);
        let element = Element::opaque(area, resistance.max(LEAST), stores, OUTER_AIR + OUTER_GLOW, inner);
        self.add(element, Behind::Outdoors(plane, view));
    }

    /// Adds a surface on the ground, or over a space in it, of this area (m²), resistance with its films (m²·K/W) and storage
    /// (J/(m²·K)).
    pub(crate) fn over_space(&mut self, surface: &Surface<'_>, area: f64, resistance: f64, stores: f64) {
        let (resistance, inner) = (resistance - films(surface.orientation), inner_film(surface.orientation));
        self.add(Element::opaque(area, resistance.max(LEAST), stores, GROUND, inner), Behind::Ground);
    }

    /// Adds a window or a door of this area (m²) and U-factor (W/(m²·K)).
    pub(crate) fn light(&mut self, area: f64, transmittance: f64) {
        let resistance = (1.0 / transmittance - 0.17).max(LEAST);
        self.add(Element::light(area, resistance, OUTER_AIR + OUTER_GLOW, 2.5), Behind::Outdoors(None, 0.0));
    }

    /// Adds an element, to one that is like it and sees the same where there is one: both are then at the same temperatures.
    pub(crate) fn add(&mut self, element: Element, behind: Behind) {
        self.parts += 1;
        let known = self.elements.iter_mut().zip(&self.behind);
        let mut like = known.filter(|(known, its)| **its == behind && known.is_like(&element, ALIKE));
        match like.next() {
            Some((known, _)) => known.area += element.area,
            None => {
                self.elements.push(element);
                self.behind.push(behind);
            }
        }
    }

    /// The zone of so much floor, in which what people feel is held, with so much exchanged with outdoor air (W/K).
    pub(crate) fn zone(&self, floor: Area, exchange: f64) -> Zone {
        Zone::new(&self.elements, exchange, FURNITURE * floor.si(), USUAL, 0.5)
    }
}

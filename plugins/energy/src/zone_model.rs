//! The home as one zone: an element for every surface and for the openings of every side, and what stands behind each.

use crate::capacity::FURNITURE;
use crate::elements::{Element, OUTER_AIR, OUTER_GLOW, USUAL, Zone};
use crate::gathered::Balance;
use crate::hours::Views;
use crate::shade::Screen;
use crate::sun::side;
use crate::surfaces::{Surface, known, loss};
use mateline_model::Subject;
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
    ) -> Result<Model, Lack> {
        let mut model = Model { elements: Vec::new(), behind: Vec::new(), glass: Vec::new(), parts: 0 };
        let on_ground: f64 = surfaces.iter().filter(|one| one.boundary == "ground").map(|one| one.area.si()).sum();
        let outer = OUTER_AIR + OUTER_GLOW;
        for surface in surfaces.iter().filter(|surface| surface.area.si() > 0.0) {
            let area = surface.area.si();
            let inner = inner_film(surface.orientation);
            let stores = balance.stores.get(surface.assembly).copied().unwrap_or_default();
            if surface.boundary == "ground" && balance.shell.ground.si() > 0.0 {
                let resistance = on_ground / balance.shell.ground.si() - films(surface.orientation);
                model.add(Element::opaque(area, resistance.max(LEAST), stores, GROUND, inner), Behind::Ground);
                continue;
            }
            let resistance = area / loss(request, surface.subject)?.si() - films(surface.orientation);
            let seen = if surface.boundary == "outdoor" { side(surface.orientation) } else { None };
            let (plane, view) = match seen {
                Some((plane, view)) => (Some(views.number(plane, Screen::default())), view),
                None => (None, 0.0),
            };
            let element = Element::opaque(area, resistance.max(LEAST), stores, outer, inner);
            model.add(element, Behind::Outdoors(plane, view));
        }
        for id in request.home.openings.keys() {
            let subject = Subject::element("openings", id);
            if request.text(&subject, "takeoff.boundary") == Some("outside-envelope") {
                continue;
            }
            let area = known(request, &subject, "takeoff.area")?;
            let through = loss(request, &subject)?.si();
            if area > 0.0 && through > 0.0 {
                let element = Element::light(area, (area / through - 0.17).max(LEAST), outer, 2.5);
                model.add(element, Behind::Outdoors(None, 0.0));
            }
        }
        for pane in &balance.collectors.panes {
            let view = views.number(pane.plane, pane.screen);
            match model.glass.iter_mut().find(|(known, _, blind)| *known == view && *blind == pane.blind) {
                Some((_, area, _)) => *area += pane.collecting,
                None => model.glass.push((view, pane.collecting, pane.blind)),
            }
        }
        Ok(model)
    }

    /// Adds an element, to one that is like it and sees the same where there is one: both are then at the same temperatures.
    fn add(&mut self, element: Element, behind: Behind) {
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

    /// The zone, in which what people feel is held, with so much more exchanged with outdoor air (W/K).
    pub(crate) fn zone(&self, balance: &Balance<'_>, more: f64) -> Zone {
        let stores = FURNITURE * balance.floor.si();
        Zone::new(&self.elements, balance.air.loss.0.si() + more, stores, USUAL, 0.5)
    }
}

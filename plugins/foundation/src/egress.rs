//! Openings to escape through: their clear sizes, and which is the largest of each room.

use crate::facts;
use crate::lack;
use crate::terms::{given, length, plain};
use mateline_boxes::Boxes;
use mateline_boxes::coordinate::metres;
use mateline_equation::equation;
use mateline_model::home::{Foundation, FoundationKind, Home, Id, Opening, OpeningKind, Operation, Space, SpaceUse};
use mateline_model::quantity::{Area, Length, Quantity, Units};
use mateline_model::{Basis, Pointer, QuantityDef, Step, Subject, Term, Value};
use mateline_sdk::{Findings, Lack, Request};

equation! {
    /// Clear area of an opening. Source: geometry.
    pub(crate) ClearArea = "A = b h" {
        A: Area "net clear area" [Units::AREA],
        b: Length "clear width" [facts::OPENING],
        h: Length "clear height" [facts::OPENING],
    }

    /// Sill of an opening in the foundation above grade. Source: geometry.
    pub(crate) FoundationSill = "z = s − d" {
        z: Length "sill above grade" [Units::LENGTH],
        s: Length "sill above the floor" [Units::LENGTH],
        d: Length "floor below grade" [Units::LENGTH],
    }

    /// Sill of an opening in a box above grade. Source: geometry.
    pub(crate) BoxSill = "z = h − d + z_b + t_fl + s" {
        z: Length "sill above grade" [Units::LENGTH],
        h: Length "height from the foundation's floor to the boxes" [Units::LENGTH],
        d: Length "foundation's floor below grade" [Units::LENGTH],
        z_b: Length "underside of the box above the lowest boxes" [Units::LENGTH],
        t_fl: Length "thickness of the boxes' floor" [Units::LENGTH],
        s: Length "sill above the floor" [Units::LENGTH],
    }

    /// Clear area of a window well. Source: geometry.
    pub(crate) WellArea = "A = b p" {
        A: Area "clear area" [Units::AREA],
        b: Length "width of the well" [Units::LENGTH],
        p: Length "projection of the well" [Units::LENGTH],
    }
}

/// Facts of every opening that can be escaped through, of the rooms they serve, and of window wells.
pub fn report(request: &Request<'_>, boxes: &Boxes, findings: &mut Findings) {
    let home = request.home;
    let mut clear: Vec<(&Id, &Opening, Clear)> = Vec::new();
    for (id, opening) in &home.openings {
        let subject = Subject::element("openings", id);
        let owed = [&facts::EGRESS_AREA, &facts::EGRESS_WIDTH, &facts::EGRESS_HEIGHT];
        if let Some(why) = no_way_out(request, id, opening) {
            Lack::at(format!("{subject} is no way out: {why}"), subject.as_str()).write(&subject, &owed, findings);
            continue;
        }
        match Clear::of(request, boxes, id, opening) {
            Ok(found) => {
                found.write(&subject, id, findings);
                clear.push((id, opening, found));
            }
            Err(lack) => lack.write(&subject, &owed, findings),
        }
    }
    for (id, space) in &home.spaces {
        in_foundation(id, space, findings);
    }
    for (id, _) in home.spaces.iter().filter(|(_, space)| is_slept_in(space)) {
        let room = Room {
            subject: Subject::element("spaces", id),
            path: if home.openings.is_empty() { "openings".to_owned() } else { format!("spaces.{id}") },
            unserved: format!("no opening says that it serves {id}"),
            serves: Box::new(move |opening| opening.space.as_ref() == Some(id)),
        };
        room.report(request, &clear, findings);
    }
    basement(request, &clear, findings);
    wells(home, &clear, findings);
}

/// Whether a room lies in the foundation alone.
fn in_foundation(id: &Id, space: &Space, findings: &mut Findings) {
    let subject = Subject::element("spaces", id);
    let below = space.within.iter().all(|within| within == "foundation");
    let term = Term::new("in", "the room lies in the foundation alone", Value::Flag(below), Units::plain(0));
    let step = Step::procedure("in").term(term.given(format!("spaces.{id}.in")));
    let basis = Basis::new("where the room lies", "the home").step(step);
    findings.flag(&subject, &facts::ROOM_IN_FOUNDATION, below, basis);
}

/// Why an opening does not count: windows that open, and doors, count where they lead outdoors; skylights and hatches are
/// not counted on.
fn no_way_out(request: &Request<'_>, id: &Id, opening: &Opening) -> Option<&'static str> {
    match opening.kind {
        OpeningKind::Skylight | OpeningKind::Hatch => return Some("skylights and hatches are not counted on"),
        OpeningKind::Window if opening.operation == Some(Operation::Fixed) => return Some("it does not open"),
        OpeningKind::Window | OpeningKind::GlazedDoor | OpeningKind::OpaqueDoor => {}
    }
    match request.text(&Subject::element("openings", id), "takeoff.boundary")? {
        "garage" => Some("it leads into a garage"),
        "attic" | "crawl-space" | "unheated-basement" | "unheated" | "conditioned" => Some("it does not lead outdoors"),
        _ => None,
    }
}

/// The clear size of an opening.
#[derive(Clone, Debug, PartialEq)]
struct Clear {
    width: f64,
    height: f64,
    sill: Result<f64, Lack>,
    above_grade: Result<(f64, Basis), Lack>,
}

impl Clear {
    fn of(request: &Request<'_>, boxes: &Boxes, id: &Id, opening: &Opening) -> Result<Clear, Lack> {
        let path = format!("openings.{id}");
        let lack = |field: &str| Lack::at(format!("{path} has no {field}"), path.clone());
        let width = opening.clear_width.ok_or_else(|| lack("clear_width"))?.si();
        let height = opening.clear_height.ok_or_else(|| lack("clear_height"))?.si();
        let door = matches!(opening.kind, OpeningKind::GlazedDoor | OpeningKind::OpaqueDoor);
        let sill = match opening.sill {
            Some(sill) => Ok(sill.si()),
            None if door => Ok(0.0),
            None => Err(lack("sill")),
        };
        let above_grade = sill.clone().and_then(|sill| above_grade(request, boxes, (id, opening), sill));
        Ok(Clear { width, height, sill, above_grade })
    }

    fn area(&self) -> f64 {
        self.clear_area().value().si()
    }

    fn clear_area(&self) -> ClearArea {
        ClearArea { b: Length::from_si(self.width), h: Length::from_si(self.height) }
    }

    fn write(&self, subject: &Subject, id: &Id, findings: &mut Findings) {
        let path = format!("openings.{id}");
        let side = |symbol, meaning, value: f64, field: &str| {
            Term::new(symbol, meaning, Length::from_si(value), facts::OPENING).given(format!("{path}.{field}"))
        };
        let width = side("b", "clear width", self.width, "clear_width");
        let height = side("h", "clear height", self.height, "clear_height");
        let (area, step) = self.clear_area().step();
        let step = step.with(width.clone()).with(height.clone());
        let basis = Basis::new("clear width times clear height", "geometry").step(step);
        let at = |field: &str| Pointer::new(format!("{path}.{field}"));
        findings.fact_at(subject, &facts::EGRESS_AREA, area, basis, at("clear_width"));
        findings.fact_at(subject, &facts::EGRESS_WIDTH, Length::from_si(self.width), given(width), at("clear_width"));
        findings.fact_at(
            subject,
            &facts::EGRESS_HEIGHT,
            Length::from_si(self.height),
            given(height),
            at("clear_height"),
        );
        match &self.sill {
            Ok(sill) => {
                let basis = given(side("s", "sill above the floor", *sill, "sill"));
                findings.fact_at(subject, &facts::EGRESS_SILL, Length::from_si(*sill), basis, at("sill"));
            }
            Err(lack) => lack.write(subject, &[&facts::EGRESS_SILL], findings),
        }
        match &self.above_grade {
            Ok((value, basis)) => {
                let definition = &facts::EGRESS_SILL_ABOVE_GRADE;
                findings.fact_at(subject, definition, Length::from_si(*value), basis.clone(), at("sill"));
            }
            Err(lack) => lack.write(subject, &[&facts::EGRESS_SILL_ABOVE_GRADE], findings),
        }
    }
}

/// Whether it is a sleeping room: by its use, or because somebody is said to sleep there.
fn is_slept_in(space: &Space) -> bool {
    space.used_as == SpaceUse::Bedroom || space.sleepers().is_some_and(|count| count > 0)
}

/// Sill above grade: of an opening in the foundation its sill less the depth of the floor; of one in a box the
/// box's underside above grade, its floor's thickness and the sill.
fn above_grade(
    request: &Request<'_>,
    boxes: &Boxes,
    (id, opening): (&Id, &Opening),
    sill: f64,
) -> Result<(f64, Basis), Lack> {
    let home = request.home;
    let foundation = home.foundation.as_ref().ok_or_else(|| Lack::at("the home has no foundation", "foundation"))?;
    let depth = || depth_below_grade(foundation);
    let (sill, sill_path) = (Length::from_si(sill), format!("openings.{id}.sill"));
    if &*opening.module == "foundation" {
        let depth = depth()?;
        let (value, step) = FoundationSill { s: sill, d: Length::from_si(depth) }.step();
        let step = step.given(FoundationSill::s, sill_path);
        let step = step.given(FoundationSill::d, "foundation.depth_below_grade");
        return Ok((value.si(), Basis::new("sill less depth of the floor", "geometry").step(step)));
    }
    let placed =
        boxes.find(&opening.module).ok_or_else(|| Lack::at("the opening is in no box", format!("openings.{id}")))?;
    let height = foundation.height.ok_or_else(|| lack::foundation("height"))?;
    let depth = depth()?;
    let lack = || Lack::at("the home has no enclosure: the floor's thickness is not known", "enclosure");
    let floors = &home.enclosure.as_ref().ok_or_else(lack)?.floors;
    let subject = Subject::element("assemblies", floors);
    let thick =
        request.number(&subject, "envelope.thickness").ok_or_else(|| lack::fact(&subject, "envelope.thickness"))?;
    let stack = metres(placed.spans[2].lo - boxes.base());
    let sill = BoxSill {
        h: height,
        d: Length::from_si(depth),
        z_b: Length::from_si(stack),
        t_fl: Length::from_si(thick),
        s: sill,
    };
    let (value, step) = sill.step();
    let step = step
        .given(BoxSill::h, "foundation.height")
        .given(BoxSill::d, "foundation.depth_below_grade")
        .given(BoxSill::z_b, "modules")
        .fact(BoxSill::t_fl, &subject, "envelope.thickness")
        .given(BoxSill::s, sill_path);
    let basis = Basis::new("height of the floor above grade, and the sill", "geometry").step(step);
    Ok((value.si(), basis.assuming("grade is level around the home")))
}

fn depth_below_grade(foundation: &Foundation) -> Result<f64, Lack> {
    match (foundation.depth_below_grade, foundation.kind) {
        (Some(depth), _) => Ok(depth.si()),
        (None, FoundationKind::Slab | FoundationKind::Piers) => Ok(0.0),
        (None, _) => Err(lack::foundation("depth_below_grade")),
    }
}

/// Whether people live in rooms of the foundation, and the largest opening out of it.
fn basement(request: &Request<'_>, clear: &[(&Id, &Opening, Clear)], findings: &mut Findings) {
    let (home, subject) = (request.home, Subject::home());
    let rooms = home
        .spaces
        .iter()
        .filter(|(_, space)| space.used_as.is_habitable() && space.within.iter().any(|within| within == "foundation"));
    let terms: Vec<Term> =
        rooms.map(|(id, _)| plain("n", id.to_string(), 1.0, 0).given(format!("spaces.{id}.use"))).collect();
    let count = terms.len();
    let step = crate::terms::sum(plain("n", "rooms of the foundation that people live in", count as f64, 0), terms);
    let basis = Basis::new("rooms of the foundation by their use", "the home").step(step);
    findings.flag(&subject, &facts::BASEMENT_HABITABLE, count > 0, basis);
    basement_kind(home, findings);
    let room = Room {
        subject,
        path: "foundation".to_owned(),
        unserved: "the foundation has no opening".to_owned(),
        serves: Box::new(|opening| &*opening.module == "foundation"),
    };
    room.report(request, clear, findings);
}

/// How large the basement is, and whether it holds nothing but mechanical rooms.
fn basement_kind(home: &Home, findings: &mut Findings) {
    let subject = Subject::home();
    let Some(foundation) = &home.foundation else {
        let both = [&facts::BASEMENT_AREA, &facts::BASEMENT_MECHANICAL_ONLY];
        return Lack::at("the home has no foundation", "foundation").write(&subject, &both, findings);
    };
    let stands = |id: &Id| foundation.exception(id).map_or(foundation.kind, |(_, except)| except.kind);
    let mut total = 0.0;
    let lowest = home.modules.iter().filter(|(id, module)| module.level == 1 && stands(id) == FoundationKind::Basement);
    let terms = lowest.map(|(id, module)| {
        let plan = module.size.x.si() * module.size.y.si();
        total += plan;
        Term::new("A", format!("plan of {id}"), Area::from_si(plan), Units::AREA).given(format!("modules.{id}.size"))
    });
    let terms: Vec<Term> = terms.collect();
    let step = crate::terms::sum(Term::new("A", "basement", Area::from_si(total), Units::AREA), terms);
    let basis = Basis::new("plan of the boxes that stand on a basement", "geometry").step(step);
    findings.fact(&subject, &facts::BASEMENT_AREA, Area::from_si(total), basis);
    let mut rooms = home.spaces.iter().filter(|(_, space)| space.within.iter().any(|within| within == "foundation"));
    let others = rooms.clone().filter(|(_, space)| space.used_as != SpaceUse::Mechanical);
    let terms: Vec<Term> =
        others.map(|(id, _)| plain("n", id.to_string(), 1.0, 0).given(format!("spaces.{id}.use"))).collect();
    let only = terms.is_empty() && rooms.next().is_some();
    let step = crate::terms::sum(plain("n", "rooms of the foundation for anything else", terms.len() as f64, 0), terms);
    let basis = Basis::new("rooms of the foundation by their use", "the home").step(step);
    findings.flag(&subject, &facts::BASEMENT_MECHANICAL_ONLY, only, basis);
}

/// A room, or the basement as a whole, out of which people have to get.
struct Room<'a> {
    subject: Subject,
    path: String,
    /// What is said where no opening serves it.
    unserved: String,
    serves: Box<dyn Fn(&Opening) -> bool + 'a>,
}

impl Room<'_> {
    /// The largest opening.
    fn report(&self, request: &Request<'_>, clear: &[(&Id, &Opening, Clear)], findings: &mut Findings) {
        let (subject, path) = (&self.subject, &self.path);
        let sizes: [&QuantityDef; 7] = [
            &facts::HAS_EGRESS,
            &facts::EGRESS_OPENING,
            &facts::EGRESS_AREA,
            &facts::EGRESS_WIDTH,
            &facts::EGRESS_HEIGHT,
            &facts::EGRESS_SILL,
            &facts::EGRESS_SILL_ABOVE_GRADE,
        ];
        let serving = || request.home.openings.iter().filter(|(_, opening)| (self.serves)(opening));
        if serving().next().is_none() {
            return Lack::at(self.unserved.clone(), path.clone()).write(subject, &sizes, findings);
        }
        let own = clear.iter().filter(|(_, opening, _)| (self.serves)(opening));
        let best = own.fold(None, |best: Option<&(&Id, &Opening, Clear)>, next| match best {
            Some(best) if best.2.area() >= next.2.area() => Some(best),
            _ => Some(next),
        });
        let Some((opening, _, size)) = best else {
            if let Some((other, _)) = serving().find(|(id, opening)| no_way_out(request, id, opening).is_none()) {
                let lack = Lack::at(
                    format!("openings.{other} has no clear_width and clear_height"),
                    format!("openings.{other}"),
                );
                return lack.write(subject, &sizes, findings);
            }
            let basis = Basis::new("openings that serve the room and open", "the home")
                .step(Step::new("n = 0").result(plain("n", "openings to escape through", 0.0, 0)))
                .assuming(
                    "fixed windows, skylights, hatches and what leads to a garage or other space are not counted on",
                );
            findings.flag(subject, &facts::HAS_EGRESS, false, basis);
            let lack = Lack::at("no opening here opens to escape through".to_owned(), path.clone());
            return lack.write(subject, &sizes[1..], findings);
        };
        let from = Subject::element("openings", *opening);
        let basis = |definition: &QuantityDef, value: f64| {
            let quantity = Quantity::new(value, definition.dimension());
            let term = Term::new("x", definition.label(), quantity, definition.units.clone());
            let step = Step::new("x = x").term(term.clone().fact(&from, definition.name.clone())).result(term);
            Basis::new("the opening with the largest clear area", "the home").step(step)
        };
        let largest = || basis(&facts::EGRESS_AREA, size.area());
        findings.flag(subject, &facts::HAS_EGRESS, true, largest());
        findings.text(subject, &facts::EGRESS_OPENING, opening.to_string(), largest());
        let at = Pointer::new(format!("openings.{opening}"));
        let write = |definition: &QuantityDef, found: Result<f64, Lack>, findings: &mut Findings| match found {
            Ok(value) => {
                let quantity = Quantity::new(value, definition.dimension());
                findings.fact_at(subject, definition, quantity, basis(definition, value), at.clone());
            }
            Err(lack) => lack.write(subject, &[definition], findings),
        };
        write(&facts::EGRESS_AREA, Ok(size.area()), findings);
        write(&facts::EGRESS_WIDTH, Ok(size.width), findings);
        write(&facts::EGRESS_HEIGHT, Ok(size.height), findings);
        write(&facts::EGRESS_SILL, size.sill.clone(), findings);
        let above = size.above_grade.as_ref().map(|found| found.0).map_err(Clone::clone);
        write(&facts::EGRESS_SILL_ABOVE_GRADE, above, findings);
    }
}

/// Whether an escape opening needs a well, and the well's size.
fn wells(home: &Home, clear: &[(&Id, &Opening, Clear)], findings: &mut Findings) {
    let subject = Subject::home();
    let mut needed = Some(false);
    for (_, _, size) in clear.iter().filter(|(_, opening, _)| &*opening.module == "foundation") {
        match &size.above_grade {
            Ok((sill, _)) if *sill < 0.0 => needed = Some(true),
            Err(_) if needed == Some(false) => needed = None,
            _ => {}
        }
    }
    match needed {
        Some(needed) => {
            let basis = Basis::new("an escape opening of the foundation has its sill below grade", "geometry");
            let terms = clear
                .iter()
                .filter(|(_, opening, _)| &*opening.module == "foundation")
                .filter_map(|(id, _, size)| {
                    let sill = size.above_grade.as_ref().ok()?.0;
                    let term = length("z", format!("sill of {id} above grade"), sill);
                    Some(crate::terms::own(term, &Subject::element("openings", *id), &facts::EGRESS_SILL_ABOVE_GRADE))
                })
                .fold(Step::procedure("z < 0"), Step::term);
            findings.flag(&subject, &facts::WELL_NEEDED, needed, basis.step(terms));
        }
        None => {
            let lack = Lack::at("the sill of an opening in the foundation is not known above grade", "openings");
            lack.write(&subject, &[&facts::WELL_NEEDED], findings);
        }
    }
    let Some(well) = home.foundation.as_ref().and_then(|foundation| foundation.window_well.as_ref()) else {
        return lack::foundation("window_well").write(&subject, &[&facts::WELL_AREA], findings);
    };
    let (value, step) = WellArea { b: well.width, p: well.projection }.step();
    let step = step.given(WellArea::b, "foundation.window_well.width");
    let step = step.given(WellArea::p, "foundation.window_well.projection");
    let basis = Basis::new("width times projection", "geometry").step(step);
    findings.fact_at(&subject, &facts::WELL_AREA, value, basis, Pointer::new("foundation.window_well"));
}

//! The envelope in the budget: its surfaces, and the lines where its planes meet.

use crate::item::{Action, Item, Kind, Part, Place, known};
use crate::openings::has_air_barrier;
use mateline_model::home::{AssemblyKind, Foundation, Id, Party};
use mateline_model::quantity::Units;
use mateline_model::{Pointer, Subject, Term};
use mateline_sdk::{Lack, Request};

/// One surface that the take-off found.
pub(crate) fn surface(request: &Request<'_>, subject: &Subject) -> Result<Item, Lack> {
    let name = request.text(subject, "takeoff.assembly");
    let name = name.ok_or_else(|| Lack::new(format!("takeoff.assembly of {subject} is not known")))?;
    let path = format!("assemblies.{name}");
    let is_tight = request.home.assemblies.get(name).is_some_and(has_air_barrier);
    let kind = request.text(subject, "takeoff.kind").unwrap_or_default();
    let (component, tight) = match kind {
        "wall" | "mass-wall" | "interior" => ("wall-plain", "wall-barrier"),
        "ceiling" | "roof" => ("ceiling-plain", "ceiling-barrier"),
        "floor" | "exposed-floor" => ("floor-plain", "floor-barrier"),
        "basement-wall" | "crawl-wall" | "slab" => ("concrete", "concrete"),
        other => return Err(Lack::at(format!("the table of leakage areas has no surface of kind '{other}'"), path)),
    };
    let area = known(request, subject, "takeoff.net_area", "S", "area without openings", Units::AREA)?;
    let is_foundation = component == "concrete";
    let action = if is_tight || is_foundation {
        None
    } else {
        let what = format!("carry an air barrier through {name}");
        Some(Action { what, parts: vec![Part::of(tight, vec![area.clone()])?] })
    };
    let barrier = if is_tight { "names" } else { "names no" };
    Ok(Item {
        subject: subject.clone(),
        name: format!("surface {}", subject.id()),
        kind: Kind::Surface,
        party: if is_foundation { Party::Site } else { Party::Factory },
        place: if is_foundation { Place::Foundation } else { Place::Envelope },
        trade: None,
        parts: vec![Part::of(if is_tight { tight } else { component }, vec![area])?],
        open: None,
        action,
        assumptions: if is_foundation { Vec::new() } else { vec![format!("{path} {barrier} air barrier")] },
        at: Some(Pointer::new(path)),
    })
}

/// A line of the envelope, by the id under which its facts stand.
type Line = (Subject, Result<Item, Lack>);

/// Sill, rims, and the line between wall and ceiling.
pub(crate) fn lines(request: &Request<'_>) -> Vec<Line> {
    let mut lines = vec![sill(request), ceiling_line(request)];
    let is_framed = |subject: &&Subject| {
        let assembly = request.home.assemblies.get(subject.id());
        assembly.is_some_and(|one| matches!(one.kind, AssemblyKind::Wall | AssemblyKind::MassWall))
            && request.number(subject, "takeoff.run_length").is_some()
    };
    let walls = request.subjects("assemblies").filter(is_framed);
    lines.extend(walls.map(|wall| rim(request, wall)));
    lines
}

/// The line between the lowest boxes and what carries them.
fn sill(request: &Request<'_>) -> Line {
    let subject = Subject::element("leaks", "sill");
    let below = request.home.foundation.as_ref().is_some_and(Foundation::is_conditioned);
    let item = perimeter(request).and_then(|length| {
        let is_tight = enclosing(request, |enclosure| &enclosure.walls)?;
        let (what, place, party) = if below {
            ("sill of the boxes on the foundation", Place::Foundation, Party::Site)
        } else {
            ("line between wall and lowest floor", Place::Envelope, Party::Factory)
        };
        line(&subject, what, ["sill-sealed", "sill-open"], is_tight, length, (party, place))
    });
    (subject, item)
}

/// The line where walls end at the ceiling.
fn ceiling_line(request: &Request<'_>) -> Line {
    let subject = Subject::element("leaks", "ceiling-line");
    let item = perimeter(request).and_then(|length| {
        let is_tight = enclosing(request, |one| &one.walls)? && enclosing(request, |one| &one.ceilings)?;
        let names = ["ceiling-line-sealed", "ceiling-line-open"];
        let whose = (Party::Factory, Place::Envelope);
        let mut item = line(&subject, "line between wall and ceiling", names, is_tight, length, whose)?;
        item.assumptions
            .push("taken as long as the outline of the lowest boxes; steps of the roof are left out".to_owned());
        Ok(item)
    });
    (subject, item)
}

/// The rims of the floors behind one wall assembly, all levels together.
fn rim(request: &Request<'_>, wall: &Subject) -> Line {
    let subject = Subject::element("leaks", format!("rim-{}", wall.id()));
    let length = known(request, wall, "takeoff.run_length", "L", "length of wall in plan, all levels", Units::LENGTH);
    let item = length.and_then(|length| {
        let what = format!("rims of the floors at {}", wall.id());
        let whose = (Party::Factory, Place::Envelope);
        let mut item = line(&subject, &what, ["rim", "rim"], true, length, whose)?;
        item.assumptions.clear();
        Ok(item)
    });
    (subject, item)
}

fn line(
    subject: &Subject,
    what: &str,
    [sealed, open]: [&str; 2],
    is_tight: bool,
    length: Term,
    (party, place): (Party, Place),
) -> Result<Item, Lack> {
    let along = |component: &str| Part::of(component, vec![length.clone()]);
    let action = if is_tight {
        None
    } else {
        let what = "carry the air barrier across the line, and seal it".to_owned();
        Some(Action { what, parts: vec![along(sealed)?] })
    };
    let barrier =
        if is_tight { "sealed, as the assemblies name" } else { "not sealed, as the assemblies do not all name" };
    Ok(Item {
        subject: subject.clone(),
        name: what.to_owned(),
        kind: Kind::Line,
        party,
        place,
        trade: None,
        parts: vec![along(if is_tight { sealed } else { open })?],
        open: None,
        action,
        assumptions: vec![format!("taken as {barrier} an air barrier")],
        at: Some(Pointer::new("enclosure")),
    })
}

fn perimeter(request: &Request<'_>) -> Result<Term, Lack> {
    let home = Subject::home();
    known(request, &home, "takeoff.foundation_perimeter", "L", "outline of the lowest boxes", Units::LENGTH)
}

/// Whether the assembly that the enclosure names has an air barrier.
fn enclosing(request: &Request<'_>, of: impl Fn(&mateline_model::home::Enclosure) -> &Id) -> Result<bool, Lack> {
    let enclosure = request.home.enclosure.as_ref();
    let enclosure = enclosure.ok_or_else(|| Lack::at("the home has no enclosure", "enclosure"))?;
    let id = of(enclosure);
    let assembly = request.home.assemblies.get(id);
    assembly.map(has_air_barrier).ok_or_else(|| Lack::at(format!("assembly {id} is not described"), "enclosure"))
}

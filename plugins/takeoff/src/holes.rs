//! Holes through the air barrier whose place a home gives: how far they lie from the nearest mate line.
//!
//! The way is the shortest one to the contact of two boxes, from the edge of a round hole. A home that gives the place of
//! none of its holes is told nothing of any.

use crate::basis::geometry;
use crate::facts;
use crate::places::left_is_low;
use crate::seams::Seam;
use mateline_boxes::coordinate::{Nm, metres, nanometres};
use mateline_boxes::placed::{Placed, direction, side_of};
use mateline_equation::equation;
use mateline_model::home::{Home, Id, Penetration};
use mateline_model::quantity::{Length, Units};
use mateline_model::{Basis, Pointer, Subject};
use mateline_sdk::{Findings, Lack};

equation! {
    /// Distance from the edge of a round hole to a mate line. Source: Euclidean geometry.
    pub(crate) FromMateLine = "d = √(x² + y² + z²) − D/2" {
        d: Length "distance from the edge of the hole" [Units::LENGTH],
        x: Length "way from west to east" [Units::LENGTH],
        y: Length "way from south to north" [Units::LENGTH],
        z: Length "way upwards" [Units::LENGTH],
        D: Length "diameter of the hole" [Units::LENGTH],
    }
}

/// The distance of every hole, or why it is not known.
pub fn write(home: &Home, boxes: &[Placed], seams: &[Seam], findings: &mut Findings) {
    if home.penetrations.values().all(|hole| hole.face.is_none()) {
        return;
    }
    for (id, hole) in &home.penetrations {
        let subject = Subject::element("penetrations", id);
        match distance((id, hole), boxes, seams) {
            Ok((value, basis)) => {
                let at = Pointer::new(format!("{subject}.from_left"));
                findings.fact_at(&subject, &facts::FROM_MATE_LINE, value, basis, at);
            }
            Err(lack) => lack.write(&subject, &[&facts::FROM_MATE_LINE], findings),
        }
    }
}

fn distance((id, hole): (&Id, &Penetration), boxes: &[Placed], seams: &[Seam]) -> Result<(Length, Basis), Lack> {
    let path = |field: &str| format!("penetrations.{id}.{field}");
    let given = |value: Option<Length>, field: &str| {
        value.ok_or_else(|| Lack::at(format!("{} is not given", path(field)), path(field)))
    };
    if hole.count != 1 {
        let message = format!("a place is that of one hole, and {} is {}", path("count"), hole.count);
        return Err(Lack::at(message, path("count")));
    }
    let diameter = given(hole.diameter, "diameter")?;
    let point = middle((id, hole), boxes)?;
    let all = seams.iter().filter_map(|seam| {
        let ways = ways(point, seam, boxes)?;
        Some((ways.iter().map(|way| way * way).sum::<f64>(), ways, seam))
    });
    let nearest = all.min_by(|one, other| one.0.total_cmp(&other.0));
    let (_, [x, y, z], seam) = nearest.ok_or_else(|| Lack::new("the home has no mate line"))?;
    let [x, y, z] = [x, y, z].map(Length::from_si);
    let (value, step) = FromMateLine { x, y, z, D: diameter }.step();
    let step = step.given(FromMateLine::D, path("diameter"));
    let which = format!("the nearest mate line is {}", seam.subject());
    Ok((value, geometry("the shortest way to the nearest mate line").assuming(which).step(step)))
}

/// The middle of a hole.
fn middle((id, hole): (&Id, &Penetration), boxes: &[Placed]) -> Result<[Nm; 3], Lack> {
    let path = |field: &str| format!("penetrations.{id}.{field}");
    let lacking = |field: &str| Lack::at(format!("{} is not given", path(field)), path(field));
    let face = hole.face.ok_or_else(|| lacking("face"))?;
    let left = hole.from_left.ok_or_else(|| lacking("from_left"))?.si();
    let height = hole.above_underside.ok_or_else(|| lacking("above_underside"))?.si();
    let placed = boxes.iter().find(|placed| placed.id == hole.module);
    let placed = placed.ok_or_else(|| Lack::at("a hole in the foundation lies in no box", path("module")))?;
    if side_of(face).is_none() {
        return Err(Lack::at("the place of a hole is known in the sides of a box alone", path("face")));
    }
    let (across, high) = direction(face);
    let along = 1 - across;
    let mut point = [0; 3];
    for (axis, (value, span)) in point.iter_mut().zip(placed.spans).enumerate() {
        *value = match axis {
            2 => span.lo + nanometres(height),
            _ if axis == along && left_is_low(face) => span.lo + nanometres(left),
            _ if axis == along => span.hi - nanometres(left),
            _ if high => span.hi,
            _ => span.lo,
        };
        if *value < span.lo || *value > span.hi {
            let field = if axis == 2 { "above_underside" } else { "from_left" };
            return Err(Lack::at(format!("{} leads beyond the box", path(field)), path(field)));
        }
    }
    Ok(point)
}

/// How far it is along each axis from a point to the contact of two boxes (m).
fn ways(point: [Nm; 3], seam: &Seam, boxes: &[Placed]) -> Option<[f64; 3]> {
    let contact = &seam.contact;
    let end = |number: usize, high: bool| {
        let span = boxes.get(number)?.spans.get(contact.axis)?;
        Some(if high { span.hi } else { span.lo })
    };
    let (one, other) = (end(contact.low, true)?, end(contact.high, false)?);
    let mut across = [contact.rect.u, contact.rect.v].into_iter();
    let mut ways = [0.0; 3];
    for (axis, (way, value)) in ways.iter_mut().zip(point).enumerate() {
        let (low, high) = match axis == contact.axis {
            true => (one.min(other), one.max(other)),
            false => across.next().map(|span| (span.lo, span.hi))?,
        };
        *way = metres((low - value).max(value - high).max(0));
    }
    Some(ways)
}

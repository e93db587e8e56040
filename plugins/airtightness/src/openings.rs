//! Windows, doors, skylights and hatches in the budget: the product, and the joint between its frame and the envelope.

use crate::facts;
use crate::item::{Action, Item, Kind, Part, Place, count, known};
use crate::power_law::{PRODUCT_PRESSURE, USUAL_EXPONENT, area_of_product};
use mateline_model::home::{Assembly, Id, Opening, OpeningKind, Operation, Party, Role};
use mateline_model::quantity::{Area, Length, Units};
use mateline_model::{Pointer, Subject, Term};
use mateline_sdk::{Lack, Request};

/// One entry of `openings`.
pub(crate) fn item(request: &Request<'_>, id: &Id, opening: &Opening) -> Result<Item, Lack> {
    let subject = Subject::element("openings", id);
    let path = format!("openings.{id}");
    let mut assumptions = Vec::new();
    let product = product(&path, opening, &mut assumptions)?;
    let area = known(request, &subject, "takeoff.area", "S", "area of the opening", Units::AREA)?;
    let assembly = request.text(&subject, "takeoff.assembly").and_then(|name| request.home.assemblies.get(name));
    let is_sealed = assembly.is_some_and(has_air_barrier);
    let joint = |component: &str| Part::of(component, vec![area.clone()]);
    assumptions.push(if is_sealed {
        "the frame is joined to the air barrier of its assembly".to_owned()
    } else {
        "the assembly names no air barrier for the frame to be joined to".to_owned()
    });
    let action = action(&path, opening, &product, is_sealed, &joint)?;
    let in_foundation = opening.module == "foundation";
    Ok(Item {
        subject,
        name: format!("opening {id}"),
        kind: Kind::Opening,
        party: if in_foundation { Party::Site } else { Party::Factory },
        place: if in_foundation { Place::Foundation } else { Place::Boxes(vec![opening.module.clone()]) },
        trade: None,
        open: Some(vec![product.clone(), joint("frame-open")?]),
        parts: vec![product, joint(if is_sealed { "frame-sealed" } else { "frame-open" })?],
        action,
        assumptions,
        at: Some(Pointer::new(path)),
    })
}

/// Whether a layer of an assembly is there to stop air.
pub(crate) fn has_air_barrier(assembly: &Assembly) -> bool {
    let stops = |role: &Role| matches!(role, Role::AirBarrier | Role::AirControl);
    assembly.layers.iter().any(|layer| layer.role.iter().any(stops))
}

/// Leakage through the product itself: as tested, or by what it is.
fn product(path: &str, opening: &Opening, assumptions: &mut Vec<String>) -> Result<Part, Lack> {
    let number = count(opening.count, format!("{path}.count"));
    let size = opening.width * opening.height;
    if let Some(tested) = opening.air_leakage {
        let each = area_of_product(tested * Area::from_si(1.0)).si();
        let rate = Term::new("a", "leakage area of 1 m² of the product", Area::from_si(each), facts::SMALL_AREA);
        let area = Term::new("S1", "area of one", size, Units::AREA).given(format!("{path}.width"));
        let shown = facts::FLOW_PER_AREA.show(tested.into(), mateline_model::quantity::UnitSystem::Ip);
        assumptions.push(format!(
            "air_leakage of {shown} is read as a test at {} Pa, and brought to 4 Pa with n = {USUAL_EXPONENT}",
            PRODUCT_PRESSURE.si()
        ));
        return Part::given("product-tested", rate.given(format!("{path}.air_leakage")), vec![area, number]);
    }
    let crack = |extra: f64| {
        let length = Length::from_si(2.0 * (opening.width.si() + opening.height.si()) + extra);
        Term::new("L1", "crack of one", length, Units::LENGTH).given(format!("{path}.width"))
    };
    match (opening.kind, opening.operation) {
        (OpeningKind::Window | OpeningKind::Skylight | OpeningKind::GlazedDoor, Some(operation)) => match operation {
            Operation::Fixed => Part::of("window-fixed", vec![crack(0.0), number]),
            Operation::Casement | Operation::Awning | Operation::TiltTurn => {
                Part::of("window-hinged", vec![crack(0.0), number])
            }
            Operation::DoubleHung => Part::of("window-sliding", vec![crack(opening.width.si()), number]),
            Operation::Slider => Part::of("window-sliding", vec![crack(opening.height.si()), number]),
        },
        (OpeningKind::OpaqueDoor, _) => Part::of("door-hinged", vec![number]),
        (OpeningKind::Hatch, _) => Err(Lack::at(format!("{path} has no air_leakage"), path)),
        (_, None) => Err(Lack::at(format!("{path} has neither air_leakage nor operation"), path)),
    }
}

/// What makes an opening tighter: a gasketed sash instead of a sliding one, or a sealed frame.
fn action(
    path: &str,
    opening: &Opening,
    product: &Part,
    is_sealed: bool,
    joint: &dyn Fn(&str) -> Result<Part, Lack>,
) -> Result<Option<Action>, Lack> {
    if product.component == "window-sliding" {
        let crack = Length::from_si(2.0 * (opening.width.si() + opening.height.si()));
        let crack = Term::new("L1", "crack of one", crack, Units::LENGTH).given(format!("{path}.width"));
        let hinged = Part::of("window-hinged", vec![crack, count(opening.count, format!("{path}.count"))])?;
        let frame = joint(if is_sealed { "frame-sealed" } else { "frame-open" })?;
        let what = "choose a sash that closes against a gasket instead of one that slides".to_owned();
        return Ok(Some(Action { what, parts: vec![hinged, frame] }));
    }
    if is_sealed {
        return Ok(None);
    }
    let what = "seal the joint between frame and wall to an air barrier".to_owned();
    Ok(Some(Action { what, parts: vec![product.clone(), joint("frame-sealed")?] }))
}

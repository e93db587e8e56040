//! The temperature field of a solved junction, as it is drawn.

use crate::draw::GASKET;
use crate::plan::{Planned, word};
use crate::psi::SolvedJunction;
use crate::solved::Surfaces;
use mateline_model::quantity::{Temperature, number};
use mateline_model::{Drawing, FieldOutline, FieldPoint, Figure, Subject};
use mateline_sdk::Request;

/// Temperatures at the design temperatures, with the surface resistances that mould is judged by.
pub(crate) fn field(
    request: &Request<'_>,
    subject: &Subject,
    planned: &Planned<'_>,
    solved: &SolvedJunction,
    surfaces: &Surfaces,
) -> Figure {
    let site = &request.home.site;
    let indoors = site.indoor_heating.map_or(20.0, Temperature::si);
    let outdoors = site.design_heating.map_or(0.0, Temperature::si);
    let (lowest, field) = (surfaces.lowest, &surfaces.field);
    let degrees = |factor: f64| outdoors + factor * (indoors - outdoors);
    let temperatures = field.factors.iter().map(|factor| factor.map_or(f64::NAN, degrees)).collect();
    let shown = |lines: &[f64]| (lines.first().copied().unwrap_or(0.0), lines.last().copied().unwrap_or(0.0));
    let ((left, right), (low, high)) = (shown(&field.x), shown(&field.y));
    let gasket =
        if planned.seams.is_empty() { GASKET.to_owned() } else { format!("{GASKET} of {}", planned.seams.join(", ")) };
    let outlines = solved
        .drawn
        .section
        .parts
        .iter()
        .map(|part| FieldOutline {
            label: if part.name == GASKET { gasket.clone() } else { part.name.clone() },
            edges: [
                part.rect.left.max(left),
                part.rect.low.max(low),
                part.rect.right.min(right),
                part.rect.high.min(high),
            ],
        })
        .filter(|outline| outline.edges[0] < outline.edges[2] && outline.edges[1] < outline.edges[3])
        .collect();
    let coldest = degrees(lowest.factor);
    let kind = word(planned.kind);
    let place = if planned.id == kind { kind.to_owned() } else { format!("{}, {kind}", planned.id) };
    let design = if site.design_heating.is_some() { "" } else { ", which the site does not give" };
    Figure {
        subject: subject.clone(),
        key: "junctions.temperatures".into(),
        title: format!("Temperatures at {place}: fRsi {:.3}", lowest.factor),
        alternative: format!(
            "Section with {} °C inside and {} °C outside{design}. The coldest inner surface has {} °C, at x = {} m and \
             y = {} m.",
            number(indoors, 1),
            number(outdoors, 1),
            number(coldest, 1),
            number(lowest.x, 2),
            number(lowest.y, 2)
        ),
        drawing: Drawing::Field {
            x_edges: field.x.clone(),
            y_edges: field.y.clone(),
            temperatures,
            outlines,
            step: 2.0,
            lowest: Some(FieldPoint { x: lowest.x, y: lowest.y, temperature: coldest }),
        },
    }
}

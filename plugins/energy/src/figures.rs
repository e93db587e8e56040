//! Figures: where heat goes, and what each month needs.

use crate::air::AIR;
use crate::facts::HEAT;
use crate::gathered::Balance;
use crate::months::MONTHS;
use crate::surfaces::{Surface, loss};
use mateline_model::quantity::{Conductance, Energy, Quantity, UnitSystem, Units};
use mateline_model::{Bar, Drawing, Figure, Subject};
use mateline_sdk::{Lack, Request};
use std::collections::BTreeMap;

/// A junction that loses less, or gains less back, has no row of its own (W/K).
const LITTLE: f64 = 0.05;

/// Where heat goes for each degree, the largest part first.
pub(crate) fn ways(request: &Request<'_>, balance: &Balance<'_>, surfaces: &[Surface<'_>]) -> Result<Figure, Lack> {
    let shell = &balance.shell;
    let mut parts: BTreeMap<String, f64> = BTreeMap::new();
    for surface in surfaces.iter().filter(|surface| !shell.stands_in(surface)) {
        let lost = shell.factor(surface.boundary) * loss(request, surface.subject)?.si();
        *parts.entry(format!("assemblies.{}", surface.assembly)).or_default() += lost;
    }
    for id in request.home.openings.keys() {
        let subject = Subject::element("openings", id);
        let boundary = request.text(&subject, "takeoff.boundary").unwrap_or("outdoor");
        if boundary != "outside-envelope" {
            let lost = shell.factor(boundary) * loss(request, &subject)?.si();
            *parts.entry("windows and doors".to_owned()).or_default() += lost;
        }
    }
    let leaks = AIR * balance.air.infiltration.0.si();
    let mut others = shell.bridges(request, surfaces)?.si();
    for subject in request.subjects("junctions") {
        if let Some(lost) = request.number(subject, "junctions.loss").filter(|lost| lost.abs() > LITTLE) {
            parts.insert(subject.to_string(), lost);
            others -= lost;
        }
    }
    if others.abs() > LITTLE {
        parts.insert("junctions, all others".to_owned(), others);
    }
    parts.insert("leaks".to_owned(), leaks);
    parts.insert("fans, less what is recovered".to_owned(), balance.air.loss.0.si() - leaks);
    if shell.ground.si() > 0.0 {
        let below = if shell.is_over_space() { "floor and what lies below it" } else { "ground" };
        parts.insert(format!("{below}, in the mean of the year"), shell.ground.si());
    }
    let mut rows: Vec<Bar> = parts.into_iter().map(|(label, value)| bar(label, value, "")).collect();
    rows.sort_by(|a, b| b.value.total_cmp(&a.value));
    let all: f64 = rows.iter().map(|row| row.value).sum();
    let words = told(&rows, |value| Conductance::from_si(value).into(), &Units::CONDUCTANCE, request.home.units);
    Ok(Figure {
        subject: Subject::home(),
        key: "energy.ways".into(),
        title: "Where heat goes, for each degree between indoors and outdoors".to_owned(),
        alternative: format!("Bars, the largest first: {words}."),
        drawing: Drawing::Bars {
            units: Units::CONDUCTANCE,
            rows,
            targets: Vec::new(),
            total: Some(bar("together".to_owned(), all, "")),
        },
    })
}

/// What each month needs for heating and for cooling, months without either left out.
pub(crate) fn months(months: &[[Energy; 2]], units: UnitSystem) -> Figure {
    let mut rows = Vec::new();
    for ((_, name, _), [heat, cool]) in MONTHS.iter().zip(months) {
        for (need, group) in [(heat, "heating"), (cool, "cooling")] {
            if need.si() > 0.0 {
                rows.push(bar(format!("{name}, {group}"), need.si(), group));
            }
        }
    }
    let words = told(&rows, |value| Energy::from_si(value).into(), &HEAT, units);
    Figure {
        subject: Subject::home(),
        key: "energy.months".into(),
        title: "Heat to bring in and to take out, month by month".to_owned(),
        alternative: format!("Bars in the order of the year: {words}."),
        drawing: Drawing::Bars { units: HEAT, rows, targets: Vec::new(), total: None },
    }
}

fn bar(label: String, value: f64, group: &str) -> Bar {
    Bar { label, low: None, value, high: None, group: group.to_owned() }
}

/// Bars in words.
fn told(rows: &[Bar], quantity: impl Fn(f64) -> Quantity, shown: &Units, units: UnitSystem) -> String {
    let one = |row: &Bar| format!("{} {}", row.label, shown.show(quantity(row.value), units));
    rows.iter().map(one).collect::<Vec<_>>().join("; ")
}

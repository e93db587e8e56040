//! A blower-door test's readings with their fitted line, straight on logarithmic axes.

use super::shown;
use crate::blower_door::{BlowerDoor, Set};
use crate::conditions::Direction;
use crate::tests_made::Tested;
use mateline_model::quantity::{Flow, Pressure, UnitSystem, Units, number};
use mateline_model::{Axis, Drawing, Figure, Mark, Series};

/// Pressures along the axis.
const PASCAL: Units = Units::new("Pa", 0, "Pa", 0);
/// Lowest pressure to which the line is drawn (Pa).
const LOWEST: f64 = 5.0;

/// A test's readings and curve in one direction.
#[derive(Clone, Debug, PartialEq)]
pub struct FittedLine {
    /// Which way the air was moved.
    pub direction: Direction,
    /// Pressure difference and flow through the envelope.
    pub points: Vec<(Pressure, Flow)>,
    /// The fitted line from 4 to 75 Pa, in steps even on a logarithmic scale.
    pub line: Vec<(Pressure, Flow)>,
}

/// The points and lines of a test.
pub fn fitted_lines(test: &BlowerDoor) -> Vec<FittedLine> {
    test.sets.iter().map(fitted_line).collect()
}

fn fitted_line(set: &Set) -> FittedLine {
    let points: Vec<(Pressure, Flow)> = set.points.iter().map(|point| (point.pressure, point.envelope)).collect();
    let curve = match (&set.fit, set.points.first()) {
        (Some(fit), _) => fit.curve(),
        (None, Some(point)) => crate::power_law::PowerLaw::through(point.envelope, point.pressure, set.iso.n),
        (None, None) => set.iso,
    };
    let at = |step: i32| Pressure::from_si(4.0 * mateline_model::portable::pow(75.0 / 4.0, f64::from(step) / 24.0));
    let line = (0..=24).map(|step| (at(step), curve.flow(at(step)))).collect();
    FittedLine { direction: set.direction, points, line }
}

/// A test that gives a number, drawn.
pub(super) fn figure(test: &Tested<'_>, units: UnitSystem) -> Option<Figure> {
    let outcome = test.outcome.as_ref().ok()?;
    let lines = fitted_lines(outcome);
    let mut series = Vec::new();
    for (line, set) in lines.iter().zip(&outcome.sets) {
        let direction = line.direction.name();
        let how = if set.fit.is_some() { "fitted line" } else { "assumed line" };
        series.push(Series {
            label: format!("{direction}, {how}, n = {}", number(set.iso.n, 3)),
            points: pairs(&line.line).into_iter().filter(|(pressure, _)| *pressure >= LOWEST).collect(),
            marks: false,
        });
        series.push(Series { label: format!("{direction}, readings"), points: pairs(&line.points), marks: true });
    }
    Some(Figure {
        subject: test.subject.clone(),
        key: "airtightness.test-curve".into(),
        title: format!("Blower-door test {}: readings and fitted line", test.subject.id()),
        alternative: in_words(test, outcome, &lines, units),
        drawing: Drawing::Chart {
            x: Axis { label: "pressure difference".to_owned(), units: PASCAL, logarithmic: true },
            y: Axis { label: "flow through the envelope".to_owned(), units: Units::HOURLY_FLOW, logarithmic: true },
            series,
            levels: vec![Mark { label: "mean at 50 Pa".to_owned(), value: outcome.q50().value }],
        },
    })
}

fn pairs(points: &[(Pressure, Flow)]) -> Vec<(f64, f64)> {
    points.iter().map(|(pressure, flow)| (pressure.si(), flow.si())).collect()
}

fn in_words(test: &Tested<'_>, outcome: &BlowerDoor, lines: &[FittedLine], units: UnitSystem) -> String {
    let mut text = String::new();
    for (line, set) in lines.iter().zip(&outcome.sets) {
        let ends = |of: fn(&(Pressure, Flow)) -> f64| {
            let values = line.points.iter().map(of);
            (values.clone().fold(f64::INFINITY, f64::min), values.fold(f64::NEG_INFINITY, f64::max))
        };
        let ((low, high), (least, most)) = (ends(|point| point.0.si()), ends(|point| point.1.si()));
        let (n, name) = (number(set.iso.n, 3), capital(line.direction));
        let fit = match set.fit {
            Some(fit) => format!("exponent {n}, r² {}", number(fit.r2, 4)),
            None => format!("exponent {n}, assumed"),
        };
        text.push_str(&format!(
            "{name}: {} between {} and {} Pa, flows from {} to {}, {fit}. ",
            if line.points.len() == 1 { "1 reading".to_owned() } else { format!("{} readings", line.points.len()) },
            number(low, 1),
            number(high, 1),
            shown(least, units),
            shown(most, units),
        ));
    }
    let q50 = outcome.q50();
    let [value, low, high] = [q50.value, q50.low, q50.high].map(|flow| shown(flow, units));
    text.push_str(&format!("At 50 Pa {value}, 95 % interval {low} to {high}."));
    if !test.objections.is_empty() {
        text.push_str(&format!(" The test does not keep to its standard: {}.", test.objections.join("; ")));
    }
    text
}

fn capital(direction: Direction) -> &'static str {
    match direction {
        Direction::Depressurised => "Depressurisation",
        Direction::Pressurised => "Pressurisation",
    }
}

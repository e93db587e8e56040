//! Marks on plans and elevations: where a requirement is open, its number in the list of what is open.

use super::Rect;
use super::shapes::Text;
use mateline_model::{Outcome, Report};
use serde::Serialize;
use std::collections::BTreeMap;

/// Half the height of a mark.
const HALF: f64 = 9.0;

/// The open requirements of each subject: number and whether it is short.
pub(super) struct Open(BTreeMap<String, Vec<(usize, bool)>>);

/// A mark with its number.
#[derive(Serialize)]
pub(super) struct Mark {
    /// Filled where the requirement is short, open where it is unproven.
    is_short: bool,
    text: Text,
}

impl Open {
    pub(super) fn of(report: &Report) -> Open {
        let mut open: BTreeMap<String, Vec<(usize, bool)>> = BTreeMap::new();
        for (index, point) in report.open_requirements().iter().enumerate() {
            let is_short = point.verdict.outcome == Outcome::Short;
            open.entry(point.verdict.subject.to_string()).or_default().push((index + 1, is_short));
        }
        Open(open)
    }

    /// The marks of a subject, side by side to the right of a point, each where it covers nothing if it can.
    pub(super) fn at(&self, subject: &str, (x, y): (f64, f64), taken: &mut Vec<Rect>) -> Vec<Mark> {
        let mut marks = Vec::new();
        for (number, is_short) in self.0.get(subject).into_iter().flatten() {
            let spot = |step: usize| Rect::centred(x + 20.0 * step as f64, y, 2.0 * HALF, 2.0 * HALF);
            let free = |rect: &Rect| taken.iter().all(|other| !rect.overlaps(other));
            let rect = (0..6).map(spot).find(free).unwrap_or_else(|| spot(0));
            taken.push(rect);
            let text = Text::at(rect.x + HALF, rect.y + HALF, number.to_string());
            marks.push(Mark { is_short: *is_short, text });
        }
        marks
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::fixture;

    #[test]
    fn a_mark_has_the_number_of_its_point_and_covers_no_other() {
        let report = fixture::report();
        let open = Open::of(&report);
        assert!(!open.0.is_empty(), "something is open in the fixture");
        for (index, point) in report.open_requirements().iter().enumerate() {
            let mut taken = Vec::new();
            let marks = open.at(point.verdict.subject.as_str(), (100.0, 50.0), &mut taken);
            assert!(marks.iter().any(|mark| mark.text.text == (index + 1).to_string()));
            let is_short = point.verdict.outcome == Outcome::Short;
            assert!(marks.iter().any(|mark| mark.is_short == is_short));
            for (one, rect) in taken.iter().enumerate() {
                assert!(taken.iter().skip(one + 1).all(|other| !rect.overlaps(other)));
            }
        }
        assert!(open.at("modules.nobody", (0.0, 0.0), &mut Vec::new()).is_empty());
    }
}

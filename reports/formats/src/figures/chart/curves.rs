//! The curves of a chart: where they are broken, how few points show them, and what they cross.

use super::super::{Rect, px};
use super::Plot;
use mateline_model::Series;

/// Most points of a curve; of a longer one each stretch keeps its ends, its lowest and its highest point.
const MOST_POINTS: usize = 1_200;
/// Different dashes, and different marks, in the template.
const LOOKS: usize = 8;

/// A curve's points on the sheet, in one run for each stretch without a gap.
pub(super) fn runs(curve: &Series, plot: &Plot<'_>) -> Vec<Vec<(f64, f64)>> {
    let mut runs: Vec<Vec<(f64, f64)>> = vec![Vec::new()];
    for point in &curve.points {
        match (plot.at(*point), runs.last_mut()) {
            (Some(at), Some(run)) => run.push(at),
            (None, Some(run)) if !run.is_empty() => runs.push(Vec::new()),
            _ => {}
        }
    }
    let count: usize = runs.iter().map(Vec::len).sum();
    runs.retain(|run| !run.is_empty());
    match count > MOST_POINTS {
        true if runs.len() <= MOST_POINTS / 8 => runs.iter().map(|run| thinned(run, count)).collect(),
        true => vec![thinned(&runs.concat(), count)],
        false => runs,
    }
}

/// Fewer points of about the same look.
fn thinned(run: &[(f64, f64)], count: usize) -> Vec<(f64, f64)> {
    let stretch = (4 * count).div_ceil(MOST_POINTS).max(1);
    let mut kept: Vec<(f64, f64)> = Vec::new();
    for part in run.chunks(stretch) {
        let by_height = |a: &&(f64, f64), b: &&(f64, f64)| a.1.total_cmp(&b.1);
        let (low, high) = (part.iter().min_by(by_height), part.iter().max_by(by_height));
        let extreme = |point: &&(f64, f64)| low == Some(*point) || high == Some(*point);
        let inner = part.iter().filter(extreme).take(2);
        for point in part.first().into_iter().chain(inner).chain(part.last()) {
            if kept.last() != Some(point) {
                kept.push(*point);
            }
        }
    }
    kept
}

/// The runs as one path.
pub(super) fn path(runs: &[Vec<(f64, f64)>]) -> String {
    let mut path = String::new();
    for run in runs {
        for (index, (x, y)) in run.iter().enumerate() {
            path.push(if index == 0 { 'M' } else { 'L' });
            path.push_str(&format!("{} {}", px(*x), px(*y)));
        }
        if run.len() == 1 {
            path.push_str("h0");
        }
    }
    path
}

/// Which dashes or marks a curve gets: the next among those of its own sort.
pub(super) fn look(all: &[Series], index: usize) -> usize {
    let is_marks = all.get(index).is_some_and(|curve| curve.marks);
    all.iter().take(index).filter(|curve| curve.marks == is_marks).count() % LOOKS
}

/// How many pieces of a run touch a rectangle.
pub(super) fn crossings(run: &[(f64, f64)], rect: &Rect) -> usize {
    let inside = |(x, y): (f64, f64)| x >= rect.x && x <= rect.x + rect.w && y >= rect.y && y <= rect.y + rect.h;
    let touches = |a: (f64, f64), b: (f64, f64)| {
        let spans = a.0.max(b.0) >= rect.x
            && a.0.min(b.0) <= rect.x + rect.w
            && a.1.max(b.1) >= rect.y
            && a.1.min(b.1) <= rect.y + rect.h;
        let steps = if spans { 24 } else { 0 };
        (0..=steps).any(|step| {
            let share = f64::from(step) / f64::from(steps.max(1));
            inside((a.0 + (b.0 - a.0) * share, a.1 + (b.1 - a.1) * share))
        })
    };
    let pieces = run.iter().zip(run.iter().skip(1)).filter(|(a, b)| touches(**a, **b)).count();
    pieces + usize::from(run.len() == 1 && run.iter().any(|point| inside(*point)))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_long_curve_keeps_its_ends_and_its_peaks() {
        let peak = |x: i32| if x == 31_415 { -500.0 } else { f64::from(x % 7) };
        let run: Vec<(f64, f64)> = (0..100_000).map(|x| (f64::from(x), peak(x))).collect();
        let kept = thinned(&run, run.len());
        assert!(kept.len() <= MOST_POINTS + 4, "{}", kept.len());
        assert_eq!((kept.first(), kept.last()), (run.first(), run.last()));
        assert!(kept.contains(&(31_415.0, -500.0)));
    }

    #[test]
    fn a_gap_breaks_the_path() {
        let runs = [vec![(0.0, 0.0), (1.0, 1.0)], vec![(3.0, 3.0)]];
        assert_eq!(path(&runs), "M0 0L1 1M3 3h0");
    }

    #[test]
    fn a_curve_that_passes_through_a_rectangle_is_found() {
        let rect = Rect { x: 4.0, y: 4.0, w: 2.0, h: 2.0 };
        assert_eq!(crossings(&[(0.0, 0.0), (10.0, 10.0)], &rect), 1);
        assert_eq!(crossings(&[(0.0, 3.0), (10.0, 3.0)], &rect), 0);
    }
}

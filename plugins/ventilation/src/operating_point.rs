//! Where a fan curve and a duct system meet.

use mateline_model::quantity::{Flow, Pressure};

/// How a fan curve and the pressure its ducts take stand to each other.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Meeting {
    /// They meet at this flow and pressure.
    At(Flow, Pressure),
    /// At the curve's smallest flow (first) the ducts already take more (third) than the fan gives (second).
    NeverReached(Flow, Pressure, Pressure),
    /// At the curve's largest flow (first) the fan still gives more (second) than the ducts take (third).
    BeyondTheCurve(Flow, Pressure, Pressure),
}

/// The flow at which the fan gives as much pressure as the ducts take, by bisection.
///
/// The curve is joined by straight lines and must be sorted by flow with at least two points; `system` must not fall with
/// flow. `None` for a shorter curve.
pub fn meet(curve: &[(Flow, Pressure)], system: impl Fn(Flow) -> Pressure) -> Option<Meeting> {
    let (first, last) = (curve.first()?, curve.last()?);
    if curve.len() < 2 {
        return None;
    }
    let at_first = system(first.0);
    if at_first > first.1 {
        return Some(Meeting::NeverReached(first.0, first.1, at_first));
    }
    let at_last = system(last.0);
    if at_last < last.1 {
        return Some(Meeting::BeyondTheCurve(last.0, last.1, at_last));
    }
    let (mut low, mut high) = (first.0.si(), last.0.si());
    for _ in 0..200 {
        let middle = 0.5 * (low + high);
        let flow = Flow::from_si(middle);
        if system(flow) < on_curve(curve, flow)? {
            low = middle
        } else {
            high = middle
        }
        if high - low <= 1e-12 * high {
            break;
        }
    }
    let flow = Flow::from_si(0.5 * (low + high));
    Some(Meeting::At(flow, on_curve(curve, flow)?))
}

/// Pressure on the curve at a flow within it.
fn on_curve(curve: &[(Flow, Pressure)], flow: Flow) -> Option<Pressure> {
    curve.windows(2).find_map(|pair| match pair {
        [(a, pa), (b, pb)] if *a <= flow && flow <= *b => {
            Some(Pressure::from_si(pa.si() + (pb.si() - pa.si()) * ((flow - *a) / (*b - *a))))
        }
        _ => None,
    })
}

#[cfg(test)]
mod tests {
    #![allow(clippy::panic, reason = "a test may stop here")]
    use super::*;

    fn point(flow: f64, pressure: f64) -> (Flow, Pressure) {
        (Flow::from_si(flow), Pressure::from_si(pressure))
    }

    /// `200 − 1000 q = 40 000 q²` has the root `q = (−1000 + √(10⁶ + 3.2·10⁷))/80 000`: closed form.
    #[test]
    fn a_line_and_a_parabola() {
        let curve = [point(0.0, 200.0), point(0.1, 100.0), point(0.2, 0.0)];
        let met = meet(&curve, |q| Pressure::from_si(40_000.0 * q.si() * q.si()));
        let exact = (-1000.0 + (1e6 + 3.2e7_f64).sqrt()) / 80_000.0;
        let Some(Meeting::At(flow, pressure)) = met else { panic!("{met:?}") };
        assert!((flow.si() - exact).abs() < 1e-12, "{flow}");
        assert!((pressure.si() - 40_000.0 * exact * exact).abs() < 1e-7);
    }

    #[test]
    fn curves_that_do_not_meet() {
        let curve = [point(0.05, 50.0), point(0.1, 20.0)];
        let stiff = meet(&curve, |q| Pressure::from_si(1e6 * q.si() * q.si()));
        assert!(matches!(stiff, Some(Meeting::NeverReached(..))), "{stiff:?}");
        let open = meet(&curve, |q| Pressure::from_si(q.si() * q.si()));
        assert!(matches!(open, Some(Meeting::BeyondTheCurve(..))), "{open:?}");
        assert_eq!(meet(&[point(0.1, 10.0)], |_| Pressure::from_si(0.0)), None);
    }
}

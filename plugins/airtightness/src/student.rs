//! Student's t distribution, for confidence intervals of a fit.

use mateline_model::portable;

/// The value that `|t|` stays below with 95 % probability.
///
/// Solves `A(t|ν) = 0.95` by bisection, with `A` the central probability. Meaningless for no degrees of freedom: not a
/// number.
pub fn t_95(degrees: usize) -> f64 {
    if degrees == 0 {
        return f64::NAN;
    }
    let (mut low, mut high) = (1.0, 16.0);
    for _ in 0..60 {
        let middle = f64::midpoint(low, high);
        if central(middle, degrees) < 0.95 { low = middle } else { high = middle }
    }
    f64::midpoint(low, high)
}

/// Probability `A(t|ν)` that `|t|` is not exceeded, for `ν` whole degrees of freedom.
///
/// With `θ = arctan(t/√ν)`: for even ν, `A = sin θ (1 + 1/2 cos²θ + 1·3/(2·4) cos⁴θ + …)`, ν/2 terms; for odd ν,
/// `A = 2/π (θ + sin θ (cos θ + 2/3 cos³θ + 2·4/(3·5) cos⁵θ + …))`, (ν − 1)/2 terms.
///
/// Source: the finite series of the handbooks of mathematical functions (from memory).
fn central(t: f64, degrees: usize) -> f64 {
    let theta = portable::atan(t / (degrees as f64).sqrt());
    let (sine, cosine) = (portable::sin(theta), portable::cos(theta));
    let odd = degrees % 2 == 1;
    let mut term = if odd { cosine } else { 1.0 };
    let mut sum = 0.0;
    for index in 1..=degrees / 2 {
        sum += term;
        let k = 2.0 * index as f64;
        term *= cosine * cosine * if odd { k / (k + 1.0) } else { (k - 1.0) / k };
    }
    if odd { std::f64::consts::FRAC_2_PI * (theta + sine * sum) } else { sine * sum }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// The 95 % two-sided column of the t table printed in statistics textbooks (from memory; half of the last digit).
    #[test]
    fn the_printed_table() {
        for (degrees, expected) in [
            (1, 12.706),
            (2, 4.303),
            (3, 3.182),
            (4, 2.776),
            (5, 2.571),
            (6, 2.447),
            (7, 2.365),
            (8, 2.306),
            (9, 2.262),
            (10, 2.228),
            (15, 2.131),
            (20, 2.086),
            (30, 2.042),
            (60, 2.000),
            (120, 1.980),
        ] {
            let t = t_95(degrees);
            assert!((t - expected).abs() <= 0.000_5 + 1e-9, "{degrees}: {t} against {expected}");
        }
    }

    /// With many degrees of freedom it becomes the normal distribution's 1.960.
    #[test]
    fn many_degrees_of_freedom() {
        assert!((t_95(4000) - 1.960).abs() < 0.001);
        assert!(t_95(0).is_nan());
    }
}

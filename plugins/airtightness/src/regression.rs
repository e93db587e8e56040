//! A power law fitted to pressures and flows by least squares of their logarithms, with confidence intervals.

use crate::power_law::PowerLaw;
use crate::student::t_95;
use mateline_model::portable::{exp, ln};
use mateline_model::quantity::{Flow, Pressure};
use std::fmt;

/// A fitted line `ln q = ln C + n ln Δp`.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Fit {
    /// Number of points `N`.
    pub count: usize,
    /// Slope: the exponent `n` (-).
    pub n: f64,
    /// Intercept: the logarithm of the coefficient `C` in m³/(s·Paⁿ).
    pub ln_c: f64,
    /// Standard error of `n`.
    pub s_n: f64,
    /// Standard error of `ln C`.
    pub s_ln_c: f64,
    /// Square of the correlation coefficient of `ln Δp` and `ln q`.
    pub r2: f64,
    /// Student's t for 95 %, two-sided, with `N − 2` degrees of freedom.
    pub t: f64,
    mean_x: f64,
    sxx: f64,
}

/// Why no line can be fitted.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum FitError {
    /// Fewer than three points.
    TooFew(usize),
    /// A pressure or flow whose logarithm does not exist.
    NotPositive(usize),
    /// All points have one pressure, or all have one flow.
    OnePressure,
}

impl fmt::Display for FitError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            FitError::TooFew(count) => write!(f, "{count} points are too few to fit a line with an interval"),
            FitError::NotPositive(index) => {
                write!(f, "point {} has a pressure or flow that is not above zero", index + 1)
            }
            FitError::OnePressure => f.write_str("the points do not differ enough in pressure and flow to fit a line"),
        }
    }
}

impl std::error::Error for FitError {}

/// Fits the line to points of pressure difference and flow, both above zero.
///
/// With `x = ln Δp`, `y = ln q`, and `Sxx`, `Syy`, `Sxy` the sample variances and covariance (divisor `N − 1`):
/// `n = Sxy/Sxx`, `ln C = ȳ − n x̄`, `s_n = √((Syy − n Sxy)/(N − 2))/√Sxx`, `s_lnC = s_n √(Σx²/N)`.
///
/// Source: ISO 9972:2015, annex C; ASTM E779-19, annex A1 (from memory).
///
/// # Errors
/// [`FitError`], when there is no such line.
pub fn fit(points: &[(Pressure, Flow)]) -> Result<Fit, FitError> {
    let count = points.len();
    if count < 3 {
        return Err(FitError::TooFew(count));
    }
    let mut logs = Vec::with_capacity(count);
    for (index, (pressure, flow)) in points.iter().enumerate() {
        let (x, y) = (ln(pressure.si()), ln(flow.si()));
        if !(x.is_finite() && y.is_finite()) {
            return Err(FitError::NotPositive(index));
        }
        logs.push((x, y));
    }
    let size = count as f64;
    let mean_x = logs.iter().map(|(x, _)| x).sum::<f64>() / size;
    let mean_y = logs.iter().map(|(_, y)| y).sum::<f64>() / size;
    let sample =
        |of: &dyn Fn(f64, f64) -> f64| logs.iter().map(|(x, y)| of(x - mean_x, y - mean_y)).sum::<f64>() / (size - 1.0);
    let (sxx, syy, sxy) = (sample(&|x, _| x * x), sample(&|_, y| y * y), sample(&|x, y| x * y));
    if sxx < 1e-9 || syy < 1e-12 {
        return Err(FitError::OnePressure);
    }
    let n = sxy / sxx;
    // Rounding may leave a perfect fit a residual a hair below zero.
    let residual = (syy - n * sxy).max(0.0);
    let s_n = (residual / (size - 2.0)).sqrt() / sxx.sqrt();
    let s_ln_c = s_n * (logs.iter().map(|(x, _)| x * x).sum::<f64>() / size).sqrt();
    let r2 = sxy * sxy / (sxx * syy);
    Ok(Fit { count, n, ln_c: mean_y - n * mean_x, s_n, s_ln_c, r2, t: t_95(count - 2), mean_x, sxx })
}

impl Fit {
    /// The fitted curve.
    pub fn curve(&self) -> PowerLaw {
        PowerLaw { c: exp(self.ln_c), n: self.n }
    }

    /// Half the width of the 95 % interval of `n`: `s_n t`.
    pub fn half_width_n(&self) -> f64 {
        self.s_n * self.t
    }

    /// The factor `e^(s_lnC t)` by which the 95 % interval of `C` reaches up and down.
    pub fn factor_c(&self) -> f64 {
        exp(self.s_ln_c * self.t)
    }

    /// The factor `e^(s_y t)` by which the 95 % interval of the flow at `Δp` reaches up and down.
    ///
    /// `s_y = s_n √((N − 1)/N Sxx + (ln Δp − x̄)²)`.
    pub fn factor_at(&self, pressure: Pressure) -> f64 {
        let size = self.count as f64;
        let from_mean = ln(pressure.si()) - self.mean_x;
        exp(self.s_n * ((size - 1.0) / size * self.sxx + from_mean * from_mean).sqrt() * self.t)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn points(of: impl Fn(f64) -> f64) -> Vec<(Pressure, Flow)> {
        (1..=8).map(|k| f64::from(k) * 7.5).map(|p| (Pressure::from_si(p), Flow::from_si(of(p)))).collect()
    }

    proptest! {
        /// An exact power law gives itself back, with intervals of no width.
        #[test]
        fn an_exact_power_law_has_no_interval(c in 1e-4..1.0f64, n in 0.5..1.0f64) {
            let fit = fit(&points(|p| c * p.powf(n)))?;
            prop_assert!((fit.n - n).abs() < 1e-9);
            prop_assert!((fit.curve().c / c - 1.0).abs() < 1e-9);
            prop_assert!(fit.half_width_n() < 1e-6 && fit.factor_c() - 1.0 < 1e-5);
            prop_assert!(fit.factor_at(Pressure::from_si(50.0)) - 1.0 < 1e-5);
            prop_assert!((fit.r2 - 1.0).abs() < 1e-9);
        }

        /// Multiplying all flows by one number leaves the exponent and its interval as they are.
        #[test]
        fn the_exponent_does_not_know_the_unit(factor in 1e-3..1e3f64, bend in 0.0..0.05f64) {
            let one = fit(&points(|p| 0.01 * p.powf(0.65) * (1.0 + bend * p.sin())))?;
            let other = fit(&points(|p| factor * 0.01 * p.powf(0.65) * (1.0 + bend * p.sin())))?;
            prop_assert!((one.n - other.n).abs() < 1e-9);
            prop_assert!((one.s_n - other.s_n).abs() < 1e-7);
            prop_assert!((other.curve().c / one.curve().c / factor - 1.0).abs() < 1e-9);
        }
    }

    #[test]
    fn what_cannot_be_fitted_is_said() {
        let at = |p: f64, q: f64| (Pressure::from_si(p), Flow::from_si(q));
        assert_eq!(fit(&[at(50.0, 0.1), at(25.0, 0.06)]), Err(FitError::TooFew(2)));
        assert_eq!(fit(&[at(50.0, 0.1), at(0.0, 0.06), at(10.0, 0.02)]), Err(FitError::NotPositive(1)));
        assert_eq!(fit(&[at(50.0, 0.1), at(40.0, -0.06), at(10.0, 0.02)]), Err(FitError::NotPositive(1)));
        assert_eq!(fit(&[at(50.0, 0.1), at(50.0, 0.11), at(50.0, 0.09)]), Err(FitError::OnePressure));
    }
}

//! Functions whose results are the same bits on every processor and system.
//!
//! The standard library takes these from the system, and they differ in the last digit between systems and processors.
//! Square roots, sums, products and quotients are exact by IEEE 754 and need nothing here.

pub use mateline_units::powi;

/// `eˣ`.
pub fn exp(x: f64) -> f64 {
    libm::exp(x)
}

/// `eˣ − 1`, also for a small `x`.
pub fn exp_m1(x: f64) -> f64 {
    libm::expm1(x)
}

/// The natural logarithm.
pub fn ln(x: f64) -> f64 {
    libm::log(x)
}

/// The logarithm to base ten.
pub fn log10(x: f64) -> f64 {
    libm::log10(x)
}

/// `xʸ`.
pub fn pow(x: f64, y: f64) -> f64 {
    libm::pow(x, y)
}

/// The sine of an angle in radians.
pub fn sin(x: f64) -> f64 {
    libm::sin(x)
}

/// The cosine of an angle in radians.
pub fn cos(x: f64) -> f64 {
    libm::cos(x)
}

/// The tangent of an angle in radians.
pub fn tan(x: f64) -> f64 {
    libm::tan(x)
}

/// The angle (rad) whose tangent is `x`.
pub fn atan(x: f64) -> f64 {
    libm::atan(x)
}

/// The angle (rad), from 0 to π, whose cosine is `x`.
pub fn acos(x: f64) -> f64 {
    libm::acos(x)
}

/// `√(x² + y²)`.
pub fn hypot(x: f64, y: f64) -> f64 {
    libm::hypot(x, y)
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Correctly rounded values to 17 digits (Python's mpmath at 50 digits): libm states an error below one unit in the
    /// last place.
    #[test]
    fn functions_are_within_a_unit_in_the_last_place() {
        let close = |value: f64, exact: f64| {
            assert!((value - exact).abs() <= exact.abs() * f64::EPSILON, "{value:e} against {exact:e}");
        };
        close(exp(1.0), std::f64::consts::E);
        close(ln(10.0), std::f64::consts::LN_10);
        close(log10(2.0), std::f64::consts::LOG10_2);
        close(pow(2.0, 0.5), std::f64::consts::SQRT_2);
        close(sin(std::f64::consts::FRAC_PI_6), 0.5);
        close(cos(std::f64::consts::FRAC_PI_3), 0.5);
        close(tan(std::f64::consts::FRAC_PI_4), 1.0);
        close(atan(1.0), std::f64::consts::FRAC_PI_4);
        close(acos(0.5), std::f64::consts::FRAC_PI_3);
        close(hypot(3.0, 4.0), 5.0);
        close(exp_m1(1e-10), 1.000_000_000_05e-10);
    }

    #[test]
    fn whole_powers_multiply() {
        for (x, n, power) in [(3.0, 0, 1.0), (3.0, 1, 3.0), (3.0, 5, 243.0), (2.0, -3, 0.125), (-2.0, 3, -8.0)] {
            assert_eq!(powi(x, n), power);
        }
        assert_eq!(powi(10.0, 22), 1e22);
    }
}

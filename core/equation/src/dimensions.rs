//! Whether the parts of an equation fit: only like is added, both sides measure the same, lists stand in sums.

use crate::declaration::Declaration;
use crate::formula::{Formula, Function, Node, Operator, What};
use crate::token::Fault;
use mateline_units::Dimension;

/// Exponents of the base dimensions; an exponent in an equation may be a fraction (`^0.625`). Angles are plain numbers.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Measure {
    exponents: [f64; 8],
    /// A temperature on a scale.
    point: bool,
}

/// What a part measures: `None` for zero, which fits everything.
type Fits = Option<Measure>;

const PLAIN: Measure = Measure { exponents: [0.0; 8], point: false };

/// Checks both sides of an equation and each against the other.
pub fn check(declared: &Declaration, formula: &Formula) -> Result<(), Fault> {
    let checker = Checker { declared };
    let both = || {
        let (left, right) = (checker.measure(&formula.left, false)?, checker.measure(&formula.right, false)?);
        match (left, right) {
            (Some(left), Some(right)) if left != right => {
                Err(format!("the left side is {}, the right side {}", left.with_article(), right.with_article()))
            }
            _ => Ok(()),
        }
    };
    both().map_err(|message| Fault::new(declared.place, message))
}

struct Checker<'a> {
    declared: &'a Declaration,
}

impl Checker<'_> {
    fn words(&self, node: &Node) -> String {
        format!("`{}`", self.declared.text.get(node.at.clone()).unwrap_or_default())
    }

    fn measure(&self, node: &Node, listed: bool) -> Result<Fits, String> {
        match &node.what {
            What::Number(number, None) if *number == 0.0 => Ok(None),
            What::Number(_, None) => Ok(Some(PLAIN)),
            What::Number(_, Some(unit)) => Ok(Some(Measure::of(unit.dimension))),
            What::Symbol(index) => {
                let Some(symbol) = self.declared.symbols.get(*index) else { return Ok(None) };
                if symbol.list && !listed {
                    return Err(format!("`{}` is a list and stands outside a sum", symbol.printed));
                }
                Ok(Some(Measure::of(symbol.dimension)))
            }
            What::Negative(inner) => {
                let inner_measure = self.measure(inner, listed)?;
                self.no_scale(inner, inner_measure)
            }
            What::Over(function, inner) => {
                let over = |symbol: &usize| self.declared.symbols.get(*symbol).is_some_and(|symbol| symbol.list);
                if !inner.symbols().iter().any(over) {
                    return Err(format!("{} has no list to go over", self.words(node)));
                }
                let measure = self.measure(inner, true)?;
                if *function == Function::Sum { self.no_scale(inner, measure) } else { Ok(measure) }
            }
            What::Two(operator, a, b) => {
                let (left, right) = (self.measure(a, listed)?, self.measure(b, listed)?);
                self.two(*operator, (a, left), (b, right))
            }
            What::Call(function, arguments) => self.call(*function, arguments, listed),
        }
    }

    /// A temperature on a scale is no quantity to multiply.
    fn no_scale(&self, node: &Node, fits: Fits) -> Result<Fits, String> {
        match fits {
            Some(measure) if measure.point => {
                Err(format!("{} is a temperature on a scale, of which only differences are taken", self.words(node)))
            }
            _ => Ok(fits),
        }
    }

    fn two(&self, operator: Operator, (a, left): (&Node, Fits), (b, right): (&Node, Fits)) -> Result<Fits, String> {
        let apart = || {
            let what = |fits: Fits| fits.map_or_else(|| "zero".to_owned(), |measure| measure.with_article());
            format!("{} and {} do not fit: {} and {}", self.words(a), self.words(b), what(left), what(right))
        };
        match operator {
            Operator::Add | Operator::Subtract => {
                let (Some(x), Some(y)) = (left, right) else { return Ok(left.or(right)) };
                if x.exponents != y.exponents {
                    return Err(apart());
                }
                match (operator, x.point, y.point) {
                    (Operator::Subtract, true, true) => Ok(Some(Measure { point: false, ..x })),
                    (_, true, true) | (Operator::Subtract, false, true) => Err(apart()),
                    (_, x_point, y_point) => Ok(Some(Measure { point: x_point || y_point, ..x })),
                }
            }
            Operator::Multiply | Operator::Divide => {
                let (left, right) = (self.no_scale(a, left)?, self.no_scale(b, right)?);
                let (Some(x), Some(y)) = (left, right) else { return Ok(None) };
                let sign = if operator == Operator::Multiply { 1.0 } else { -1.0 };
                let exponents = std::array::from_fn(|i| {
                    let (x, y) = (x.exponents.get(i), y.exponents.get(i));
                    rounded(x.copied().unwrap_or_default() + sign * y.copied().unwrap_or_default())
                });
                Ok(Some(Measure { exponents, point: false }))
            }
            Operator::Power => {
                let base = self.no_scale(a, left)?.unwrap_or(PLAIN);
                if right.is_some_and(|measure| measure != PLAIN) {
                    return Err(format!("the exponent {} is no plain number", self.words(b)));
                }
                match b.constant() {
                    Some(exponent) => Ok(Some(base.power(exponent))),
                    None if base == PLAIN => Ok(Some(PLAIN)),
                    None => Err(format!("{} has a unit and an exponent that is no number", self.words(a))),
                }
            }
        }
    }

    fn call(&self, function: Function, arguments: &[Node], listed: bool) -> Result<Fits, String> {
        let mut first: Option<(&Node, Measure)> = None;
        for argument in arguments {
            let Some(measure) = self.measure(argument, listed)? else { continue };
            match first {
                None => first = Some((argument, measure)),
                Some((known, other)) if other != measure => {
                    let (a, b) = (self.words(known), self.words(argument));
                    let (x, y) = (other.with_article(), measure.with_article());
                    return Err(format!("{a} and {b} do not fit: {x} and {y}"));
                }
                Some(_) => {}
            }
        }
        let Some((argument, measure)) = first else { return Ok(None) };
        match function {
            Function::Min | Function::Max | Function::Sum => Ok(Some(measure)),
            Function::Absolute => self.no_scale(argument, Some(measure)),
            Function::Root => Ok(self.no_scale(argument, Some(measure))?.map(|measure| measure.power(0.5))),
            _ if measure == PLAIN => Ok(Some(PLAIN)),
            _ => Err(format!("{} is {}, and a plain number is needed", self.words(argument), measure.with_article())),
        }
    }
}

/// Halves and eighths of exponents are exact; thirds come back to whole numbers.
fn rounded(exponent: f64) -> f64 {
    (exponent * 1e6).round() / 1e6
}

impl Measure {
    fn of(dimension: Dimension) -> Measure {
        let d = dimension;
        let exponents =
            [d.length, d.mass, d.time, d.temperature, d.current, d.money, d.loudness, d.sound_level].map(f64::from);
        Measure { exponents, point: d.point }
    }

    fn power(self, exponent: f64) -> Measure {
        Measure { exponents: self.exponents.map(|e| rounded(e * exponent)), point: false }
    }

    /// Its name with the article, `a length`; its base units where an exponent is a fraction.
    fn with_article(self) -> String {
        let whole = self.exponents.map(|e| (e.fract() == 0.0).then_some(e as i8));
        if let [
            Some(length),
            Some(mass),
            Some(time),
            Some(temperature),
            Some(current),
            Some(money),
            Some(loudness),
            Some(sound_level),
        ] = whole
        {
            let point = self.point;
            let all =
                Dimension { length, mass, time, temperature, current, money, angle: 0, loudness, sound_level, point };
            return all.with_article();
        }
        let bases = ["m", "kg", "s", "K", "A", "$", "sone", "dB(A)"].iter().zip(self.exponents);
        let parts: Vec<String> = bases.filter(|(_, e)| *e != 0.0).map(|(base, e)| format!("{base}^{e}")).collect();
        parts.join("·")
    }
}

//! A year of condensation and drying: the monthly method with any number of planes.
//!
//! Source: ISO 13788:2012, 6.4 and 6.5 (from memory).

use crate::conditions::{Conditions, seconds};
use crate::diagram::{Diagram, Profile};
use crate::facts::{VAPOUR_FLOW, WATER};
use mateline_equation::equation;
use mateline_model::quantity::{Duration, EmissionRate, SurfaceMass, Units};

equation! {
    /// Water on a plane at the end of a month. Source: ISO 13788:2012, 6.5 (from memory).
    pub(crate) Held = "Ma = max(0, Mb + g t)" {
        Ma: SurfaceMass "water on the plane at the end of the month" [WATER],
        Mb: SurfaceMass "water on the plane before" [WATER],
        g: EmissionRate "settling there, or drying" [VAPOUR_FLOW],
        t: Duration "the month" [Units::new("d", 0, "d", 0)],
    }
}

/// Years are repeated at most so often; they settle sooner.
const MOST_YEARS: usize = 100;
/// Water that counts as none, where the end of a year is compared with its beginning (kg/m²).
const NONE: f64 = 1e-12;

/// Water on every plane at the end of each month: of a year that ends as it began, where there is one; else, where each year
/// adds to the one before, of the first.
#[derive(Clone, Debug, PartialEq)]
pub struct Year {
    /// The twelve months in the order of the calculation.
    pub months: Vec<MonthOfYear>,
    /// The plane that holds most water of all planes and months; `None` where none condenses.
    pub wettest: Option<usize>,
    /// Whether it ends as it began, so that every later year is the same.
    pub is_periodic: bool,
    /// How many years it took to see that.
    pub years: usize,
}

/// One month of a [`Year`].
#[derive(Clone, Debug, PartialEq)]
pub struct MonthOfYear {
    /// Counted from January, 0.
    pub month: usize,
    /// Temperatures, pressures and gains on every plane.
    pub profile: Profile,
    /// What the month brought to each plane (kg/m²), below zero where it dried.
    pub change: Vec<f64>,
    /// Water on each plane as the month begins (kg/m²).
    pub before: Vec<f64>,
    /// Water on each plane at the month's end, `Ma` (kg/m²).
    pub water: Vec<f64>,
}

/// A month on a plane that holds so much water.
pub(crate) fn held_after(before: f64, gain: f64, month: usize) -> Held {
    Held { Mb: SurfaceMass::from_si(before), g: EmissionRate::from_si(gain), t: Duration::from_si(seconds(month)) }
}

impl MonthOfYear {
    /// Water on all planes at the month's end (kg/m²).
    pub fn total(&self) -> f64 {
        self.water.iter().sum()
    }

    /// Whether water settles anywhere in this month.
    pub fn condenses(&self) -> bool {
        self.change.iter().any(|change| *change > 0.0)
    }
}

impl Year {
    /// Years from a dry beginning, in the first month in which water condenses after one in which none does; where every
    /// month condenses, in January. Each begins with what the one before left, until one ends as it began. A plane that
    /// gives off more than it holds ends the month dry.
    ///
    /// Source: ISO 13788:2012, 6.5, the calculation is repeated until the year closes (from memory).
    pub fn of(diagram: &Diagram, conditions: &[Conditions; 12]) -> Year {
        let dry = vec![false; diagram.planes()];
        let condensing: Vec<bool> =
            conditions.iter().map(|month| diagram.month(month, &dry).gain.iter().any(|gain| *gain > 0.0)).collect();
        let before = |month: usize| condensing.get((month + 11) % 12).copied().unwrap_or(false);
        let starts: Vec<usize> =
            (0..12).filter(|month| condensing.get(*month).copied().unwrap_or(false) && !before(*month)).collect();
        let years = starts.iter().map(|start| Year::settled(diagram, conditions, *start));
        // From whichever damp season it begins, a year that closes is the same; of years that do not, the start that
        // leaves most water, and of equals the wetter year, counts.
        let worst = years.fold(None, |worst: Option<Year>, year| match worst {
            Some(known) if (known.residual(), known.peak()) >= (year.residual(), year.peak()) => Some(known),
            _ => Some(year),
        });
        worst.unwrap_or_else(|| Year::settled(diagram, conditions, 0))
    }

    /// The year that ends as it began, from a dry beginning in this month; the first where none does.
    fn settled(diagram: &Diagram, conditions: &[Conditions; 12], start: usize) -> Year {
        let first = Year::from(diagram, conditions, start, vec![0.0; diagram.planes()]);
        let (mut year, mut rise_before) = (first.clone(), f64::INFINITY);
        for years in 1..=MOST_YEARS {
            let (begun, ended) = year.ends();
            let most = begun.iter().zip(&ended).map(|(begun, ended)| (ended - begun).abs()).fold(0.0, f64::max);
            if most <= NONE {
                return Year { years, is_periodic: true, ..year.beginning_dry() };
            }
            let rise = ended.iter().sum::<f64>() - begun.iter().sum::<f64>();
            // The same rise again: planes that stay wet all year gain as much each year.
            if years > 2 && rise > NONE && (rise - rise_before).abs() <= NONE {
                break;
            }
            rise_before = rise;
            year = Year::from(diagram, conditions, start, ended);
        }
        first
    }

    /// Water on each plane as the year begins, and as it ends.
    fn ends(&self) -> (Vec<f64>, Vec<f64>) {
        let begun = self.months.first().map(|month| month.before.clone()).unwrap_or_default();
        (begun, self.months.last().map(|month| month.water.clone()).unwrap_or_default())
    }

    /// A year that closes, with its months from one on that finds everything dry, where there is one.
    fn beginning_dry(mut self) -> Year {
        if self.months.last().is_some_and(|month| month.total() > 0.0)
            && let Some(dry) = self.months.iter().rposition(|month| month.total() <= 0.0)
        {
            self.months.rotate_left(dry + 1);
        }
        self
    }

    fn from(diagram: &Diagram, conditions: &[Conditions; 12], start: usize, mut water: Vec<f64>) -> Year {
        let mut months = Vec::with_capacity(12);
        for (month, conditions) in conditions.iter().enumerate().cycle().skip(start).take(12) {
            let wet: Vec<bool> = water.iter().map(|held| *held > 0.0).collect();
            let profile = diagram.month(conditions, &wet);
            let before = water.clone();
            let (mut change, mut water_after) = (Vec::with_capacity(before.len()), Vec::with_capacity(before.len()));
            for (gain, held) in profile.gain.iter().zip(&before) {
                let after = held_after(*held, *gain, month).value().si();
                change.push((gain * seconds(month)).max(-held));
                water_after.push(after);
            }
            water.clone_from(&water_after);
            months.push(MonthOfYear { month, profile, change, before, water: water_after });
        }
        let all = months.iter().flat_map(|month| month.water.iter().copied().enumerate());
        let wettest = all.fold(
            (None, 0.0),
            |(place, most), (plane, held)| {
                if held > most { (Some(plane), held) } else { (place, most) }
            },
        );
        Year { months, wettest: wettest.0, is_periodic: false, years: 1 }
    }

    /// The most water at the end of any month (kg/m²).
    pub fn peak(&self) -> f64 {
        self.months.iter().map(MonthOfYear::total).fold(0.0, f64::max)
    }

    /// The month that ends with the most water.
    pub fn peak_month(&self) -> Option<&MonthOfYear> {
        self.months.iter().fold(None, |most: Option<&MonthOfYear>, month| match most {
            Some(known) if known.total() >= month.total() => most,
            _ => Some(month),
        })
    }

    /// Water left after twelve months (kg/m²): in a year that closes, what each plane never loses.
    pub fn residual(&self) -> f64 {
        if !self.is_periodic {
            return self.months.last().map_or(0.0, MonthOfYear::total);
        }
        let planes = self.months.first().map_or(0, |month| month.water.len());
        let least = |plane: usize| {
            self.months.iter().filter_map(|month| month.water.get(plane).copied()).fold(f64::INFINITY, f64::min)
        };
        (0..planes).map(least).sum()
    }

    /// How many months end with water in the assembly.
    pub fn wet_months(&self) -> usize {
        self.months.iter().filter(|month| month.total() > 0.0).count()
    }
}

//! The vapour diagram of an assembly: saturation pressure over the diffusion-equivalent thickness, and under it the string
//! from the vapour pressure inside to that outside.
//!
//! Source: ISO 13788:2012, clause 6 (from memory).

use crate::conditions::Conditions;
use crate::facts::{VAPOUR, VAPOUR_FLOW};
use mateline_equation::equation;
use mateline_layers::vapour::{AIR_PERMEABILITY, SD};
use mateline_model::quantity::{Length, Pressure, Temperature, ThermalResistance, Units};
use mateline_psychrometrics::saturation::saturation_pressure;

/// The greatest resistance of a slice (m²·K/W): thicker layers are split. ISO 13788:2012, 6.4 (from memory).
pub const SLICE: f64 = 0.25;
/// More slices than this in a whole assembly belong to no construction.
pub const MOST_SLICES: usize = 2_000;

equation! {
    /// Temperature on a plane. Source: ISO 13788:2012, 6.3 (from memory).
    pub(crate) OnPlane = "θ = θi − (θi − θe) R/R_T" {
        θ: Temperature "on the plane" [Units::TEMPERATURE],
        θi: Temperature "indoors" [Units::TEMPERATURE],
        θe: Temperature "outside" [Units::TEMPERATURE],
        R: ThermalResistance "from indoor air to the plane" [Units::RESISTANCE],
        R_T: ThermalResistance "from air to air" [Units::RESISTANCE],
    }

    /// Water that settles on a plane, or dries from it where below zero: what flows to it less what flows on.
    /// Source: ISO 13788:2012, 6.4 and 6.5 (from memory).
    pub(crate) Settling = "g = δ0 ((p1 − p)/s1 − (p − p2)/s2)" {
        g: EmissionRate "settling there, or drying" [VAPOUR_FLOW],
        δ0: "kg/(m·s·Pa)" "vapour permeability of air" [Units::new("ng/(m·s·Pa)", 0, "ng/(m·s·Pa)", 0)],
        p1: Pressure "where the string is held next inside" [VAPOUR],
        p: Pressure "on the plane, saturated" [VAPOUR],
        s1: Length "s_d from there to the plane" [SD],
        p2: Pressure "where the string is held next outside" [VAPOUR],
        s2: Length "s_d from the plane to there" [SD],
    }
}

/// A layer as the diagram sees it.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Sheet {
    /// R (m²·K/W).
    pub resistance: f64,
    /// s_d (m).
    pub sd: f64,
}

/// A slice of a layer.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Slice {
    sheet: Sheet,
    /// The layer it belongs to, counted from inside.
    layer: usize,
}

/// Slices from inside to outside between two surface resistances. Planes are counted from the inner surface, 0, to the
/// outer one.
#[derive(Clone, Debug, PartialEq)]
pub struct Diagram {
    inner: f64,
    outer: f64,
    slices: Vec<Slice>,
}

/// Temperatures and pressures on the planes in one month.
#[derive(Clone, Debug, PartialEq)]
pub struct Profile {
    /// θ (°C).
    pub temperatures: Vec<f64>,
    /// p_sat (Pa).
    pub saturation: Vec<f64>,
    /// p (Pa).
    pub vapour: Vec<f64>,
    /// The planes that hold the string: both surfaces, and every plane where it touches saturation or water lies.
    pub held: Vec<usize>,
    /// What settles on a plane, or dries from it where below zero (kg/(m²·s)).
    pub gain: Vec<f64>,
}

impl Profile {
    /// The planes next to one that hold the string, inside and outside of it.
    pub fn neighbours(&self, plane: usize) -> Option<(usize, usize)> {
        let place = self.held.iter().position(|held| *held == plane)?;
        Some((*self.held.get(place.checked_sub(1)?)?, *self.held.get(place + 1)?))
    }
}

impl Diagram {
    /// Layers, each split into the fewest equal slices of at most [`SLICE`].
    pub fn split(inner: f64, layers: &[Sheet], outer: f64) -> Diagram {
        let slices = layers.iter().enumerate().flat_map(|(layer, sheet)| {
            // A hair's breadth, so that a layer of exactly 0.5 is two slices.
            let count = ((sheet.resistance / SLICE - 1e-9).ceil().max(1.0) as usize).min(MOST_SLICES);
            let part = Sheet { resistance: sheet.resistance / count as f64, sd: sheet.sd / count as f64 };
            std::iter::repeat_n(Slice { sheet: part, layer }, count)
        });
        Diagram { inner, outer, slices: slices.collect() }
    }

    /// Layers as they are, so that water can settle between them only.
    pub fn whole_layers(inner: f64, layers: &[Sheet], outer: f64) -> Diagram {
        let slices = layers.iter().enumerate().map(|(layer, sheet)| Slice { sheet: *sheet, layer });
        Diagram { inner, outer, slices: slices.collect() }
    }

    /// How many planes there are, surfaces included.
    pub fn planes(&self) -> usize {
        self.slices.len() + 1
    }

    /// The layers that meet at a plane, inner and outer; the same one twice within a layer.
    pub fn layers_at(&self, plane: usize) -> Option<(usize, usize)> {
        let inner = self.slices.get(plane.checked_sub(1)?)?;
        Some((inner.layer, self.slices.get(plane)?.layer))
    }

    /// Sum of s_d up to each plane, from the inner surface (m).
    pub fn depths(&self) -> Vec<f64> {
        self.sums(0.0, |sheet| sheet.sd)
    }

    /// Resistance from indoor air to each plane (m²·K/W).
    pub fn resistances(&self) -> Vec<f64> {
        self.sums(self.inner, |sheet| sheet.resistance)
    }

    /// Resistance from air to air (m²·K/W).
    pub fn total_resistance(&self) -> f64 {
        self.resistances().last().copied().unwrap_or(self.inner) + self.outer
    }

    fn sums(&self, start: f64, of: impl Fn(Sheet) -> f64) -> Vec<f64> {
        let mut sum = start;
        std::iter::once(start)
            .chain(self.slices.iter().map(|slice| {
                sum += of(slice.sheet);
                sum
            }))
            .collect()
    }

    /// One month: temperatures by resistance, then the string under the saturation pressure, held on it where a plane is
    /// wet, and what that brings to or takes from every plane.
    pub fn month(&self, conditions: &Conditions, wet: &[bool]) -> Profile {
        let (inside, outside) = (conditions.inside, conditions.outside);
        let total = self.total_resistance();
        let on_plane = |inward: &f64| OnPlane {
            θi: inside.temperature,
            θe: outside.temperature,
            R: ThermalResistance::from_si(*inward),
            R_T: ThermalResistance::from_si(total),
        };
        let temperatures: Vec<f64> = self.resistances().iter().map(|inward| on_plane(inward).value().si()).collect();
        let saturation: Vec<f64> =
            temperatures.iter().map(|t| saturation_pressure(Temperature::from_si(*t)).si()).collect();
        let depths = self.depths();
        let last = depths.len().saturating_sub(1);
        let points: Vec<Point> = depths
            .iter()
            .zip(&saturation)
            .enumerate()
            .map(|(plane, (x, most))| Point {
                plane,
                x: *x,
                p: match plane {
                    0 => inside.vapour.si().min(*most),
                    _ if plane == last => outside.vapour.si().min(*most),
                    _ => *most,
                },
            })
            .collect();
        let string = string(&points, wet);
        let mut vapour = vec![0.0; depths.len()];
        for pair in string.windows(2) {
            let [from, to] = pair else { continue };
            for (place, x) in vapour.iter_mut().zip(&depths).take(to.plane + 1).skip(from.plane) {
                let along = if to.x > from.x { (x - from.x) / (to.x - from.x) } else { 1.0 };
                *place = from.p + along * (to.p - from.p);
            }
        }
        let mut gain = vec![0.0; depths.len()];
        for three in string.windows(3) {
            let [before, here, after] = three else { continue };
            if let Some(place) = gain.get_mut(here.plane) {
                *place = settling(before, here, after).value().si();
            }
        }
        let held = string.iter().map(|point| point.plane).collect();
        Profile { temperatures, saturation, vapour, held, gain }
    }
}

/// A plane in the diagram.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Point {
    plane: usize,
    /// s_d from inside (m).
    x: f64,
    /// The highest pressure it can have (Pa); at the ends, and where it is wet, the pressure it has.
    p: f64,
}

/// The points that hold the string: both ends, every wet plane, and every plane it is pressed against. Between two wet planes
/// that is the lower edge of the convex hull.
fn string(points: &[Point], wet: &[bool]) -> Vec<Point> {
    let mut held: Vec<Point> = Vec::new();
    // The string is tied at this point of `held`, and may be lifted off any later one.
    let mut tied = 0;
    for point in points {
        while held.len() > tied + 1
            && let [.., before, here] = held.as_slice()
            && (here.p - before.p) * (point.x - before.x) >= (point.p - before.p) * (here.x - before.x)
        {
            held.pop();
        }
        held.push(*point);
        if wet.get(point.plane).copied().unwrap_or(false) {
            tied = held.len() - 1;
        }
    }
    held
}

/// What settles on a point of the string. Where two points lie in one place, nothing flows between them.
fn settling(before: &Point, here: &Point, after: &Point) -> Settling {
    let side = |there: &Point| {
        let apart = (there.x - here.x).abs();
        let (p, apart) = if apart > 0.0 { (there.p, apart) } else { (here.p, 1.0) };
        (Pressure::from_si(p), Length::from_si(apart))
    };
    let ((p1, s1), (p2, s2)) = (side(before), side(after));
    Settling { δ0: AIR_PERMEABILITY, p1, p: Pressure::from_si(here.p), s1, p2, s2 }
}

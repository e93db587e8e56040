//! A section to be solved: rectangles of material, the surfaces that touch air or are held at a temperature, and the
//! environments behind them. Lengths in metres, x to the right, y upwards; results are per metre along the junction.

use sha2::{Digest, Sha256};

/// An upright rectangle (m). A line where two of its edges coincide.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Rect {
    /// Left edge.
    pub left: f64,
    /// Lower edge.
    pub low: f64,
    /// Right edge.
    pub right: f64,
    /// Upper edge.
    pub high: f64,
}

impl Rect {
    /// From its left lower to its right upper corner.
    pub const fn new(left: f64, low: f64, right: f64, high: f64) -> Rect {
        Rect { left, low, right, high }
    }

    /// Size from left to right (m).
    pub fn width(&self) -> f64 {
        self.right - self.left
    }

    /// Size from below to above (m).
    pub fn height(&self) -> f64 {
        self.high - self.low
    }

    /// The same rectangle with x and y exchanged.
    #[must_use]
    pub fn transposed(self) -> Rect {
        Rect::new(self.low, self.left, self.high, self.right)
    }
}

/// A rectangle of one material.
#[derive(Clone, Debug, PartialEq)]
pub struct Part {
    /// Where it is.
    pub rect: Rect,
    /// Thermal conductivity λ (W/(m·K)); of an air cavity the equivalent one.
    pub conductivity: f64,
    /// What it is.
    pub name: String,
}

/// Part of the outline that touches an environment. All open edges inside `rect`, its own edges included, belong to it
/// unless an earlier surface has them. Open edges of no surface are adiabatic: planes of symmetry, and cuts.
#[derive(Clone, Debug, PartialEq)]
pub struct Surface {
    /// Where it is; usually a line.
    pub rect: Rect,
    /// The environment, by its place in [`Section::environments`].
    pub environment: usize,
    /// Surface resistance (m²·K/W); nothing for a surface held at the environment's temperature.
    pub resistance: f64,
    /// Whether its temperature is looked at when the lowest one is sought.
    pub watched: bool,
}

/// Air, soil or anything else of one temperature.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Environment {
    /// What it is.
    pub name: String,
    /// Whether it is inside the thermal envelope.
    pub is_inside: bool,
}

/// A section.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Section {
    /// What it is made of. Parts neither overlap nor leave gaps.
    pub parts: Vec<Part>,
    /// What its open edges touch.
    pub surfaces: Vec<Surface>,
    /// What lies behind the surfaces.
    pub environments: Vec<Environment>,
}

impl Section {
    /// The same section with one surface resistance on every inner surface, as surface temperatures are judged.
    #[must_use]
    pub fn with_inner_resistance(&self, resistance: f64) -> Section {
        let mut section = self.clone();
        for surface in &mut section.surfaces {
            if self.environments.get(surface.environment).is_some_and(|environment| environment.is_inside) {
                surface.resistance = resistance;
            }
        }
        section
    }

    /// Smallest rectangle around all parts.
    pub fn bounds(&self) -> Option<Rect> {
        self.parts.iter().map(|part| part.rect).reduce(|a, b| Rect {
            left: a.left.min(b.left),
            low: a.low.min(b.low),
            right: a.right.max(b.right),
            high: a.high.max(b.high),
        })
    }
}

/// A name for everything that a solution depends on: SHA-256 over the numbers of the section, in hexadecimal. Names of
/// parts and environments are not in it, since no result depends on them.
pub fn content_hash(section: &Section) -> String {
    let mut hash = Sha256::new();
    let mut put = |numbers: &[f64]| {
        for number in numbers {
            hash.update((number + 0.0).to_bits().to_le_bytes());
        }
    };
    let corners = |rect: &Rect| [rect.left, rect.low, rect.right, rect.high];
    put(&[section.parts.len() as f64, section.surfaces.len() as f64, section.environments.len() as f64]);
    for part in &section.parts {
        put(&corners(&part.rect));
        put(&[part.conductivity]);
    }
    for surface in &section.surfaces {
        put(&corners(&surface.rect));
        put(&[surface.environment as f64, surface.resistance, f64::from(u8::from(surface.watched))]);
    }
    for environment in &section.environments {
        put(&[f64::from(u8::from(environment.is_inside))]);
    }
    hash.finalize().iter().map(|byte| format!("{byte:02x}")).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn section() -> Section {
        let part = Part { rect: Rect::new(0.0, 0.0, 1.0, 0.2), conductivity: 0.04, name: "wool".to_owned() };
        let surface = Surface { rect: Rect::new(0.0, 0.2, 1.0, 0.2), environment: 0, resistance: 0.13, watched: true };
        let inside = Environment { name: "inside".to_owned(), is_inside: true };
        Section { parts: vec![part], surfaces: vec![surface], environments: vec![inside] }
    }

    #[test]
    fn the_hash_follows_the_numbers_and_not_the_names() {
        let first = content_hash(&section());
        assert_eq!(first.len(), 64);
        let mut renamed = section();
        renamed.parts.iter_mut().for_each(|part| part.name = "other wool".to_owned());
        assert_eq!(content_hash(&renamed), first);
        let mut changed = section();
        changed.parts.iter_mut().for_each(|part| part.conductivity = 0.041);
        assert_ne!(content_hash(&changed), first);
        assert_ne!(content_hash(&section().with_inner_resistance(0.25)), first);
    }
}

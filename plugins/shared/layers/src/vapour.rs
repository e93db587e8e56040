//! Resistance to vapour.

use crate::{Lack, Matter};
use mateline_model::quantity::Permeance;

/// Vapour permeability of air δ0 (kg/(m·s·Pa)): ISO 13788:2012, 6.1 (from memory).
pub const AIR_PERMEABILITY: f64 = 2e-10;
/// Diffusion-equivalent thickness of an air layer of any depth (m): ISO 13788:2012, 6.1 (from memory).
const AIR_SPACE: f64 = 0.01;

/// How a layer resists vapour.
#[derive(Clone, Debug, PartialEq)]
pub struct Vapour {
    /// Diffusion-equivalent air layer thickness s_d (m).
    pub sd: f64,
    /// Where `s_d` comes from, in words.
    pub from: String,
    /// Whether `s_d` grows with the thickness; that of a facing does not.
    pub by_thickness: bool,
    /// Permeance (kg/(Pa·s·m²)), by the dry cup.
    pub permeance: f64,
    /// Permeance by the wet cup, where it is known.
    pub wet_permeance: Option<f64>,
}

impl Vapour {
    /// `s_d = δ0/W` of a material of permeance `W`, else `s_d = µ d`; of an air layer 0.01 m.
    ///
    /// Source: ISO 13788:2012, 6.1 (from memory).
    ///
    /// # Errors
    /// [`Lack`] where the material gives neither permeance nor µ, or comes to nothing finite above zero.
    pub fn of(matter: &Matter<'_>) -> Result<Vapour, Lack> {
        let Some(material) = matter.material else {
            let from = "an air layer of any depth".to_owned();
            return Ok(Vapour::new(AIR_SPACE, from, false, None, None));
        };
        let (id, path) = (matter.id, &matter.path);
        let (sd, from) = match (material.permeance, material.vapour_resistance) {
            (Some(permeance), _) => (AIR_PERMEABILITY / permeance.si(), "δ0 over its permeance".to_owned()),
            (None, Some(mu)) => {
                (mu.si() * matter.thickness(matter.depth)?.si(), format!("µ {} times its thickness", mu.si()))
            }
            (None, None) => {
                let because = format!("{id} has neither vapour_resistance nor permeance, in {path}");
                return Err(Lack::new(because, format!("{path}.material")));
            }
        };
        if !(sd > 0.0 && sd.is_finite()) {
            return Err(Lack::new(format!("{path} leads to no finite resistance to vapour"), path.as_str()));
        }
        Ok(Vapour::new(sd, from, material.permeance.is_none(), material.permeance, material.wet_cup_permeance))
    }

    fn new(sd: f64, from: String, by_thickness: bool, dry: Option<Permeance>, wet: Option<Permeance>) -> Vapour {
        let permeance = dry.map_or(AIR_PERMEABILITY / sd, Permeance::si);
        Vapour { sd, from, by_thickness, permeance, wet_permeance: wet.map(Permeance::si) }
    }
}

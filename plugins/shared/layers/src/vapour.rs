//! Resistance to vapour.

use crate::Matter;
use mateline_equation::equation;
use mateline_model::home::Material;
use mateline_model::quantity::{Length, Permeance, Units};
use mateline_model::{Step, Term};
use mateline_sdk::Lack;

/// Vapour permeability of air δ0 (kg/(m·s·Pa)): ISO 13788:2012, 6.1 (from memory).
pub const AIR_PERMEABILITY: f64 = 2e-10;
/// Diffusion-equivalent thickness of an air layer of any depth (m): ISO 13788:2012, 6.1 (from memory).
const AIR_SPACE: f64 = 0.01;

/// Diffusion-equivalent thickness.
pub const SD: Units = Units::new("m", 3, "m", 3);

equation! {
    /// Diffusion-equivalent thickness of a layer of known permeance. Source: ISO 13788:2012, 6.1 (from memory).
    pub ByPermeance = "s_d = δ0/W" {
        s_d: Length "diffusion-equivalent thickness" [SD],
        δ0: "kg/(m·s·Pa)" "vapour permeability of air" [Units::new("ng/(m·s·Pa)", 0, "ng/(m·s·Pa)", 0)],
        W: Permeance "permeance" [Units::PERMEANCE],
    }

    /// Diffusion-equivalent thickness of a layer of known µ. Source: ISO 13788:2012, 6.1 (from memory).
    pub ByThickness = "s_d = µ d" {
        s_d: Length "diffusion-equivalent thickness" [SD],
        µ: f64 "resistance to vapour, times that of air" [Units::plain(1)],
        d: Length "thickness" [Units::THICKNESS],
    }
}

/// How a layer resists vapour.
#[derive(Clone, Debug, PartialEq)]
pub struct Vapour {
    /// Diffusion-equivalent air layer thickness s_d (m).
    pub sd: f64,
    /// Where `s_d` comes from, in words.
    pub from: String,
    /// How it follows.
    pub step: Step,
    /// Whether `s_d` grows with the thickness; that of a facing does not.
    pub by_thickness: bool,
    /// Permeance (kg/(Pa·s·m²)), by the dry cup.
    pub permeance: f64,
    /// Permeance by the wet cup, where it is known.
    pub wet_permeance: Option<f64>,
}

impl Vapour {
    /// By the permeance of the material, else by its µ and thickness; of an air layer 0.01 m, whatever its depth.
    ///
    /// Source: ISO 13788:2012, 6.1 (from memory).
    ///
    /// # Errors
    /// [`Lack`] where the material gives neither permeance nor µ, or comes to nothing finite above zero.
    pub fn of(matter: &Matter<'_>) -> Result<Vapour, Lack> {
        let (sd, step, from) = match matter.material {
            None => {
                let from = "an air layer of any depth".to_owned();
                let sd = Length::from_si(AIR_SPACE);
                (sd, Step::procedure("s_d").result(Term::new("s_d", from.clone(), sd, SD)), from)
            }
            Some(Material { permeance: Some(permeance), .. }) => {
                let (sd, step) = ByPermeance { δ0: AIR_PERMEABILITY, W: *permeance }.step();
                (sd, step, "δ0 over its permeance".to_owned())
            }
            Some(Material { vapour_resistance: Some(mu), .. }) => {
                let (sd, step) = ByThickness { µ: mu.si(), d: matter.thickness(matter.depth)? }.step();
                (sd, step, format!("µ {} times its thickness", mu.si()))
            }
            Some(_) => {
                let (id, path) = (matter.id, &matter.path);
                let because = format!("{id} has neither vapour_resistance nor permeance, in {path}");
                return Err(Lack::at(because, format!("{path}.material")));
            }
        };
        let sd = sd.si();
        if !(sd > 0.0 && sd.is_finite()) {
            let path = &matter.path;
            return Err(Lack::at(format!("{path} leads to no finite resistance to vapour"), path.as_str()));
        }
        let (dry, wet) = matter.material.map_or((None, None), |known| (known.permeance, known.wet_cup_permeance));
        Ok(Vapour {
            sd,
            from,
            step,
            by_thickness: matter.material.is_some() && dry.is_none(),
            permeance: dry.map_or(AIR_PERMEABILITY / sd, Permeance::si),
            wet_permeance: wet.map(Permeance::si),
        })
    }
}

//! Everything that the balance and the loads need of the home, gathered once.

use crate::air::Air;
use crate::ground::Shell;
use crate::months::Climate;
use crate::sun::Collectors;
use mateline_model::Step;
use mateline_model::quantity::{Area, HeatFlux, Ratio, Temperature};
use std::collections::BTreeMap;

/// Everything that the balance needs.
pub(crate) struct Balance<'a> {
    pub climate: &'a Climate,
    pub winter: Temperature,
    pub summer: Temperature,
    /// For each treated area, and whether the home gives it.
    pub internal: (HeatFlux, bool),
    pub treated: Area,
    pub shell: Shell,
    pub air: Air,
    pub collectors: Collectors,
    /// Stored for each degree (J/K), and the area that stores (m²).
    pub capacity: f64,
    pub mass_area: f64,
    /// Stored by each assembly, for each degree and area (J/(m²·K)).
    pub stores: BTreeMap<String, f64>,
    /// Conditioned floor area.
    pub floor: Area,
    /// Floors of all heated rooms (m²).
    pub rooms_floor: f64,
    /// The monthly method's exponent, and how it follows.
    pub exponent: (Ratio, Vec<Step>),
}

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

/// What the hours take of a home beside its elements.
#[derive(Clone, Copy)]
pub(crate) struct Conditions<'a> {
    pub climate: &'a Climate,
    pub shell: &'a Shell,
    /// Held in winter.
    pub winter: Temperature,
    /// From people, lights and appliances (W).
    pub internal: f64,
}

impl Balance<'_> {
    /// Its conditions as the home gives them.
    pub(crate) fn conditions(&self) -> Conditions<'_> {
        Conditions {
            climate: self.climate,
            shell: &self.shell,
            winter: self.winter,
            internal: self.internal.0.si() * self.treated.si(),
        }
    }
}

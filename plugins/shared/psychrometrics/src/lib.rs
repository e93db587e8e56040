//! Moist air: the formulas that plugins for ventilation and moisture share. A library, no plugin: it knows no home.
//!
//! Two traditions stand side by side and are never mixed within one calculation: the handbook's moist air ([`moist_air`],
//! ASHRAE Fundamentals, ch. 1) and the shorter saturation formulas that the moisture standard prescribes
//! ([`saturation`], ISO 13788:2012, annex E). They agree within 0.3 % between −10 and 30 °C.

pub mod moist_air;
pub mod saturation;

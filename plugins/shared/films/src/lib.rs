//! Surface resistances and closed air layers: what plugins for the envelope, its junctions and moisture share. A library,
//! no plugin: of a home it knows the kinds of assemblies and what they adjoin.
//!
//! Two traditions of surface resistances stand side by side ([`surface`]): ISO 6946, and the handbook's air films, which a
//! home is computed with. Air layers are those of ISO 6946 ([`air_layer`]).

pub mod air_layer;
pub mod surface;

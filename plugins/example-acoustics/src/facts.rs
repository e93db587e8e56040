//! Every quantity of this plugin, with its unit and meaning.

use mateline_model::QuantityDef;
use mateline_model::quantity::Units;

/// Decibels.
pub const DECIBEL: Units = Units::new("dB", 0, "dB", 0);
/// Decibels to one decimal.
pub const TENTHS: Units = Units::new("dB", 1, "dB", 1);

/// Sound reduction at 500 Hz.
pub const REDUCTION_500: QuantityDef =
    QuantityDef::number("acoustics.reduction_500", TENTHS, "Sound reduction index at 500 Hz, by the mass law.");
/// The single number.
pub const WEIGHTED_REDUCTION: QuantityDef = QuantityDef::number(
    "acoustics.weighted_reduction",
    DECIBEL,
    "Weighted sound reduction index: one number for airborne sound, by the mass law.",
);

/// Every quantity.
pub fn quantities() -> Vec<QuantityDef> {
    vec![REDUCTION_500, WEIGHTED_REDUCTION]
}

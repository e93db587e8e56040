//! Ages at which the air of rooms is looked at.

use mateline_model::quantity::{Duration, UnitSystem, Units};

/// The year after move-in.
pub(crate) const YEAR: Duration = Duration::from_si(365.0 * 86_400.0);

/// Age at move-in, where no pack gives one: four weeks from factory to family. Common practice, no source.
const USUAL_MOVE_IN: Duration = Duration::from_si(28.0 * 86_400.0);

/// Ages that a pack may set.
#[derive(Clone, Debug)]
pub(crate) struct Ages {
    /// Age of the finishes at move-in.
    pub move_in: Duration,
    /// Where that comes from.
    pub move_in_from: String,
}

impl Ages {
    /// The age at move-in, as the first pack that says so gives it; else 28 days.
    ///
    /// # Errors
    /// When a pack gives no age.
    pub(crate) fn of(settings: &[(String, serde_json::Value)]) -> Result<Ages, String> {
        for (pack, setting) in settings {
            let Some(given) = setting.get("move_in") else { continue };
            let text = given.as_str().unwrap_or_default();
            let age: Duration = text.parse().map_err(|error| format!("{pack}: move_in: {error}"))?;
            if age.si() <= 0.0 {
                return Err(format!("{pack}: move_in is {text}; it must be above zero"));
            }
            let shown = Units::DAYS.show(age.into(), UnitSystem::Si);
            return Ok(Ages { move_in: age, move_in_from: format!("{shown} of age, as the pack {pack} says") });
        }
        Ok(Ages { move_in: USUAL_MOVE_IN, move_in_from: "28 d of age, since no pack says otherwise".to_owned() })
    }
}

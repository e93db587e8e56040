//! What the packs that judge a home hand over, under `uses: {moisture: …}`: from which permeances on a layer counts, and
//! which humidity at a surface lets mould grow.

use mateline_model::quantity::{Permeance, Ratio};
use mateline_sdk::{Lack, Request};
use std::str::FromStr;

/// A value that a pack hands over, and the pack's name.
fn setting<'a, T: FromStr>(request: &'a Request<'_>, name: &str) -> Option<(&'a str, T)> {
    request.settings.iter().find_map(|(pack, settings)| {
        let text = settings.get(name)?.as_str()?;
        Some((pack.as_str(), text.parse().ok()?))
    })
}

/// A permeance, and the pack that says so.
pub(crate) fn permeance<'a>(request: &'a Request<'_>, name: &str) -> Option<(&'a str, Permeance)> {
    setting(request, name)
}

/// A relative humidity that a surface has to stay below.
#[derive(Clone, Debug)]
pub(crate) struct Critical {
    pub humidity: f64,
    /// Who says so; none for saturation, which needs nobody's word.
    pub source: Option<String>,
}

impl Critical {
    /// Water condenses at saturation.
    pub(crate) const fn condensation() -> Critical {
        Critical { humidity: crate::surface::CONDENSATION, source: None }
    }

    /// Mould grows as humid as a pack says.
    pub(crate) fn mould(request: &Request<'_>) -> Result<Critical, Lack> {
        let (pack, humidity) = setting::<Ratio>(request, "mould").ok_or_else(|| {
            Lack::new("no pack that judges the home says how humid a surface may be before mould grows")
        })?;
        Ok(Critical { humidity: humidity.si(), source: Some(format!("setting of {pack}")) })
    }
}

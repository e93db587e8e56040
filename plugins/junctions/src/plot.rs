//! The ground a home stands on: its floor's characteristic dimension, and the conductivity of its soil.

use crate::lack::Lack;
use mateline_model::Subject;
use mateline_model::home::{Home, Soil};
use mateline_model::quantity::{Area, Conductivity, Length};
use mateline_sdk::Request;

/// Floor and soil.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Plot {
    pub area: Area,
    pub perimeter: Length,
    /// Half of the characteristic dimension (m): how much of the floor a section shows.
    pub half: f64,
    /// Conductivity (W/(m·K)) and where it comes from.
    pub soil: (f64, &'static str),
    /// How deep the seasons reach (m).
    pub reach: f64,
}

impl Plot {
    pub(crate) fn of(request: &Request<'_>) -> Result<Plot, Lack> {
        let home = Subject::home();
        let need = |quantity: &str| {
            let found = request.number(&home, quantity).filter(|number| *number > 0.0);
            found.ok_or_else(|| Lack::new(format!("{quantity} of the home is not known")))
        };
        let (area, perimeter) = (need("takeoff.footprint_area")?, need("takeoff.foundation_perimeter")?);
        Ok(Plot {
            area: Area::from_si(area),
            perimeter: Length::from_si(perimeter),
            half: area / perimeter,
            soil: soil(request.home),
            reach: reach(request.home),
        })
    }

    pub(crate) fn conductivity(&self) -> Conductivity {
        Conductivity::from_si(self.soil.0)
    }
}

/// Depth to which the seasons reach: clay or silt 2.2, sand or gravel 3.2, rock 4.2 m; sand's where it is not known.
///
/// Source: ISO 13370:2017, periodic penetration depth (from memory).
fn reach(home: &Home) -> f64 {
    match home.site.soil {
        Some(Soil::Clay | Soil::Silt) => 2.2,
        Some(Soil::Sand | Soil::Gravel | Soil::Loam) | None => 3.2,
        Some(Soil::Rock) => 4.2,
    }
}

/// Conductivity of the ground: clay or silt 1.5, sand or gravel 2.0, rock 3.5 W/(m·K); sand's where it is not known.
///
/// Source: ISO 13370:2017, thermal properties of the ground (from memory).
fn soil(home: &Home) -> (f64, &'static str) {
    match home.site.soil {
        Some(Soil::Clay | Soil::Silt) => (1.5, "clay or silt of ISO 13370 (from memory)"),
        Some(Soil::Sand | Soil::Gravel) => (2.0, "sand or gravel of ISO 13370 (from memory)"),
        Some(Soil::Rock) => (3.5, "rock of ISO 13370 (from memory)"),
        Some(Soil::Loam) => (2.0, "loam, taken as the unknown ground of ISO 13370 (from memory)"),
        None => (2.0, "the unknown ground of ISO 13370 (from memory), since site.soil is not given"),
    }
}

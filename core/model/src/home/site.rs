//! Where the home stands.

use super::{AdoptedCodes, ClimateZone, Name, TermiteRisk};
use crate::quantity::{
    Angle, DegreeDays, HeatFlux, Length, MassPerEnergy, Pressure, Ratio, Temperature, TemperatureDifference,
};
use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Climate, ground and the design values the authority gives.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Site {
    /// Town and state or province.
    pub place: Name,
    /// Climate zone of the energy code.
    pub climate_zone: ClimateZone,
    /// Latitude, north of the equator positive.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-below-zero" = true))]
    pub latitude: Option<Angle>,
    /// Outdoor temperature the heating is designed for (99 %).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub design_heating: Option<Temperature>,
    /// Outdoor temperature the cooling is designed for (1 %).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub design_cooling: Option<Temperature>,
    /// From the highest to the lowest temperature of the day that cooling is designed for; 20 Δ°F where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "20 Δ°F"))]
    pub daily_range: Option<TemperatureDifference>,
    /// Indoor temperature in winter; 20 °C where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "20 °C"))]
    pub indoor_heating: Option<Temperature>,
    /// Highest indoor temperature in summer, at which rooms are cooled; 25 °C where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "25 °C"))]
    pub indoor_cooling: Option<Temperature>,
    /// Humidity class of the rooms, ISO 13788: 1 (storage) to 4 (kitchens, sports halls); 2 is a dwelling of ordinary use
    /// with ventilation. Where not given, indoor humidity follows from `systems.indoor_moisture`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "indoor humidity follows from what people and `systems.indoor_moisture` give off"))]
    pub humidity_class: Option<u8>,
    /// Carbon dioxide that goes with the grid's electricity, as the authority or the supplier states it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub grid_carbon: Option<MassPerEnergy>,
    /// Heating degree-days, base 65 °F (18.3 °C).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heating_degree_days: Option<DegreeDays>,
    /// Height above the sea.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-below-zero" = true))]
    pub elevation: Option<Length>,
    /// Depth that footings must reach because of frost, as the authority gives it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub frost_depth: Option<Length>,
    /// Radon zone of the EPA county map: 1 (highest), 2 or 3.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub radon_zone: Option<u8>,
    /// Soil at the footing.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub soil: Option<Soil>,
    /// Presumptive bearing value of the soil, where the authority or a report gives one.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "the code's presumptive value for the soil"))]
    pub soil_bearing: Option<Pressure>,
    /// Depth of the water table below grade.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub water_table: Option<Length>,
    /// Ground snow load.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ground_snow: Option<Pressure>,
    /// How exposed the site is to wind.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub shielding: Option<Shielding>,
    /// Factor of the site's weather station for the annual infiltration of ASHRAE 62.2.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-above-one" = true))]
    pub weather_shielding_factor: Option<Ratio>,
    /// Whether the site is in a region of wind-borne debris where openings have to be protected.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub wind_borne_debris: Option<bool>,
    /// Whether the county is on the warm-humid list of the energy code.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub warm_humid: Option<bool>,
    /// How likely termites are, by the map of the residential code.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub termites: Option<TermiteRisk>,
    /// Whether the home is attached to other dwellings, beside or above it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub attached: Option<bool>,
    /// The seismic design category of the residential code.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seismic_category: Option<SeismicCategory>,
    /// Codes in force at the place, as the authority says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub codes: Option<AdoptedCodes>,
    /// Monthly climate: `jan` to `dec`.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub months: IndexMap<Month, MonthlyClimate>,
}

impl Site {
    /// A site of which only this much is known.
    pub(super) fn at(place: Name, climate_zone: ClimateZone) -> Site {
        Site {
            place,
            climate_zone,
            latitude: None,
            design_heating: None,
            design_cooling: None,
            daily_range: None,
            indoor_heating: None,
            indoor_cooling: None,
            humidity_class: None,
            grid_carbon: None,
            heating_degree_days: None,
            elevation: None,
            frost_depth: None,
            radon_zone: None,
            soil: None,
            soil_bearing: None,
            water_table: None,
            ground_snow: None,
            shielding: None,
            weather_shielding_factor: None,
            wind_borne_debris: None,
            warm_humid: None,
            termites: None,
            attached: None,
            seismic_category: None,
            codes: None,
            months: IndexMap::new(),
        }
    }
}

/// A seismic design category of the residential code.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
pub enum SeismicCategory {
    /// Very low.
    A,
    /// Low.
    B,
    /// Moderate.
    C,
    /// High, first of three.
    D0,
    /// High, second of three.
    D1,
    /// High, third of three.
    D2,
    /// Very high, near great faults.
    E,
}

/// Soil classes used for bearing, drainage and earthwork.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Soil {
    /// Sand.
    Sand,
    /// Gravel, or sand and gravel.
    Gravel,
    /// Silt.
    Silt,
    /// Loam, common earth.
    Loam,
    /// Clay.
    Clay,
    /// Rock.
    Rock,
}

/// Shelter from wind.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Shielding {
    /// Surrounded by buildings or trees of its own height.
    Sheltered,
    /// Some buildings or trees around.
    Average,
    /// Open country, a hilltop or a shore.
    Exposed,
}

/// A month of the year.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs, reason = "the names of the months say it")]
pub enum Month {
    Jan,
    Feb,
    Mar,
    Apr,
    May,
    Jun,
    Jul,
    Aug,
    Sep,
    Oct,
    Nov,
    Dec,
}

/// Mean outdoor conditions of a month.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct MonthlyClimate {
    /// Mean outdoor temperature.
    pub temperature: Temperature,
    /// Mean outdoor relative humidity.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub humidity: Option<Ratio>,
    /// Sun and sky on a level surface, mean over the days and nights of the month: `3.2 kWh/(m²·d)`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub radiation: Option<HeatFlux>,
}

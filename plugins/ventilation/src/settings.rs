//! What the packs that judge a home hand over: the rates of the ventilation standard and of the residential code, a level
//! of carbon dioxide, and the velocity from which a duct's air is heard.

use mateline_model::home::SpaceUse;
use mateline_model::quantity::{Dimension, Flow, FlowPerArea, Rate, Ratio, parse};
use mateline_sdk::Lack;
use serde::Deserialize;

/// What one pack asks of this plugin, under `uses: {ventilation: …}`.
#[derive(Clone, Debug, Default, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Settings {
    /// The level of carbon dioxide whose hours are counted, such as `1200 ppm`.
    #[serde(default)]
    co2_level: Option<String>,
    /// The velocity from which the air of a duct is heard.
    #[serde(default)]
    pub heard_from: Option<FlowPerArea>,
    /// The rates of the ventilation standard.
    #[serde(default)]
    pub standard: Option<Standard>,
    /// The rates of the residential code.
    #[serde(default)]
    pub code: Option<Code>,
}

/// Rates of the ventilation standard.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Standard {
    /// The clause of the whole-dwelling rate.
    pub source: String,
    /// How sure its numbers are.
    pub provenance: String,
    /// Flow for each floor area.
    pub per_floor_area: FlowPerArea,
    /// Flow for each bedroom and for one more.
    pub per_bedroom: Flow,
    /// Flow for each sleeper beyond one more than the bedrooms.
    pub per_further_sleeper: Flow,
    /// The greatest share of the rate that infiltration may be credited for.
    pub greatest_credit: Ratio,
    /// Supply and exhaust of a balanced system differ by no more than this share of the larger.
    pub balanced_within: Ratio,
    /// Exhaust of single rooms.
    pub local_exhaust: LocalExhaust,
}

/// Rates of the residential code.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Code {
    /// The clause of the whole-house rate.
    pub source: String,
    /// How sure its numbers are.
    pub provenance: String,
    /// Flow for each floor area.
    pub per_floor_area: FlowPerArea,
    /// Flow for each bedroom and for one more.
    pub per_bedroom: Flow,
    /// The share of the rate that is left where the system is balanced and supplies every bedroom and one more of living,
    /// dining and kitchen.
    pub reduced_to: Ratio,
    /// Supply and exhaust of a balanced system differ by no more than this share of the larger.
    pub balanced_within: Ratio,
    /// Factors for fans that do not run all the time.
    pub run_time: RunTime,
    /// Exhaust of single rooms.
    pub local_exhaust: LocalExhaust,
}

/// Run share of every four hours, and the factor by which a fan that runs so must be larger.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct RunTime {
    /// The table.
    pub source: String,
    /// How sure its numbers are.
    pub provenance: String,
    /// Pairs of share and factor, by rising share.
    pub factors: Vec<(Ratio, f64)>,
}

/// Exhaust that is asked of kitchens, baths and toilet rooms.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct LocalExhaust {
    /// The clause.
    pub source: String,
    /// Of a kitchen.
    #[serde(default)]
    pub kitchen: Ways,
    /// Of a room with bath or shower.
    #[serde(default)]
    pub bathroom: Ways,
    /// Of a room with neither; nothing is asked of it where not given.
    #[serde(default, rename = "half-bath")]
    pub half_bath: Ways,
}

impl LocalExhaust {
    /// The ways of a kind of room, any of which will do; `None` for a room that neither of the two codes speaks of.
    pub fn of(&self, used_as: SpaceUse) -> Option<&Ways> {
        match used_as {
            SpaceUse::Kitchen => Some(&self.kitchen),
            SpaceUse::Bathroom => Some(&self.bathroom),
            SpaceUse::HalfBath => Some(&self.half_bath),
            _ => None,
        }
    }
}

/// Ways to exhaust a room.
#[derive(Clone, Debug, Default, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Ways {
    /// By a vented hood. Where no rate is given, a hood counts with what runs on demand.
    #[serde(default)]
    pub hood: Option<Asked<Flow>>,
    /// By what runs all the time.
    #[serde(default)]
    pub continuous: Option<Asked<Flow>>,
    /// By what can be switched on.
    #[serde(default)]
    pub on_demand: Option<Asked<Flow>>,
    /// Of an enclosed room, by what runs all the time: changes of its air.
    #[serde(default)]
    pub air_changes: Option<Asked<Rate>>,
    /// Of an enclosed room, by what can be switched on: changes of its air.
    #[serde(default)]
    pub air_changes_on_demand: Option<Asked<Rate>>,
}

/// A rate, and how sure it is.
#[derive(Clone, Debug, PartialEq, Deserialize)]
#[serde(deny_unknown_fields)]
pub struct Asked<T> {
    /// The rate.
    pub rate: T,
    /// How sure it is.
    pub provenance: String,
}

impl Settings {
    /// A pack's settings.
    pub(crate) fn read(pack: &str, value: &serde_json::Value) -> Result<Settings, Lack> {
        Settings::deserialize(value).map_err(|error| unreadable(pack, &error.to_string()))
    }

    /// The level of carbon dioxide, as a share of the air.
    pub(crate) fn level(&self, pack: &str) -> Result<Option<f64>, Lack> {
        let Some(text) = &self.co2_level else { return Ok(None) };
        let level = parse(text).map_err(|error| unreadable(pack, &error.to_string()))?;
        if level.dimension == Dimension::PLAIN && level.si > 0.0 && level.si < 1.0 {
            Ok(Some(level.si))
        } else {
            Err(unreadable(pack, &format!("co2_level '{text}' is not a level such as 1200 ppm")))
        }
    }
}

fn unreadable(pack: &str, error: &str) -> Lack {
    Lack::new(format!("the settings of {pack} for ventilation cannot be read: {error}"))
}

/// The level of carbon dioxide that each pack sets, if it does.
pub(crate) type Levels<'a> = Vec<(&'a str, Result<Option<f64>, Lack>)>;

/// The levels of all packs.
pub(crate) fn levels(settings: &[(String, serde_json::Value)]) -> Levels<'_> {
    let level = |pack: &str, value| Settings::read(pack, value)?.level(pack);
    settings.iter().map(|(pack, value)| (pack.as_str(), level(pack, value))).collect()
}

/// The velocity from which the air of a duct is heard.
pub(crate) fn heard_from(settings: &[(String, serde_json::Value)]) -> Result<FlowPerArea, Lack> {
    only(settings, "velocities from which air is heard", |settings| settings.heard_from)
}

/// The rates by which a home is judged.
pub(crate) struct Rates {
    pub(crate) standard: Result<Standard, Lack>,
    pub(crate) code: Result<Code, Lack>,
}

impl Rates {
    pub(crate) fn of(settings: &[(String, serde_json::Value)]) -> Rates {
        Rates {
            standard: only(settings, "rates of the ventilation standard", |settings| settings.standard),
            code: only(settings, "rates of the residential code", |settings| settings.code),
        }
    }
}

/// What the packs agree on. Two packs with different rates would leave one of them judged by the other's.
fn only<T: PartialEq>(
    settings: &[(String, serde_json::Value)],
    what: &str,
    pick: impl Fn(Settings) -> Option<T>,
) -> Result<T, Lack> {
    let mut found: Option<(&str, T)> = None;
    for (pack, value) in settings {
        let Some(rates) = pick(Settings::read(pack, value)?) else { continue };
        match &found {
            Some((other, before)) if *before != rates => {
                return Err(Lack::new(format!("the packs {other} and {pack} set different {what}")));
            }
            Some(_) => {}
            None => found = Some((pack, rates)),
        }
    }
    let none = || Lack::new(format!("no pack that judges the home sets the {what}"));
    found.map(|(_, rates)| rates).ok_or_else(none)
}

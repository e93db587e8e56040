//! Ventilation, heating, hot water, kitchen hood and clothes dryer.

use super::{Elements, Id, Name, Own};
use crate::quantity::{
    Angle, Area, Current, FanEfficacy, Flow, HeatFlux, Length, Loudness, MassFlow, Power, Pressure, Ratio, Temperature,
    ThermalResistance, Volume,
};
use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// The home's systems.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Systems {
    /// Ventilation units and fans, by id.
    #[serde(default)]
    pub ventilation: Elements<VentilationUnit>,
    /// Space heating.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heating: Option<HeatSystem>,
    /// Cooling.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub cooling: Option<CoolSystem>,
    /// Air ducts of heating and cooling.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub air_ducts: Option<AirDucts>,
    /// Outdoor air that comes in by opened windows or a fan while rooms are above 22 °C and outdoors lies between 12 °C and 2 K
    /// below them, as on summer nights.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "windows stay shut"))]
    pub night_air: Option<Flow>,
    /// Hot water.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub hot_water: Option<HotWater>,
    /// Kitchen hood.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub kitchen_hood: Option<KitchenHood>,
    /// Clothes dryer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub clothes_dryer: Option<ClothesDryer>,
    /// Whether all fixed lights have efficient sources.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub efficient_lights: Option<bool>,
    /// Water that people and what they do give off to the air, where it is known better than by the usual values.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub indoor_moisture: Option<IndoorMoisture>,
    /// Appliances and lights with what they use, by id; the dryer and the ventilation apart.
    #[serde(default, skip_serializing_if = "Elements::is_empty")]
    pub appliances: Elements<Appliance>,
    /// Solar arrays, by id.
    #[serde(default, skip_serializing_if = "Elements::is_empty")]
    pub solar: Elements<SolarArray>,
    /// Heat that people, lights and appliances give off to the rooms, for each floor area, mean over days and nights; the
    /// usual 2.1 W/m² where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "the usual 2.1 W/m²"))]
    pub internal_gains: Option<HeatFlux>,
    /// Electrical and other readiness for later equipment.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub readiness: Option<Readiness>,
}

/// A solar array of one slope and direction.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SolarArray {
    /// Rated power of its modules at standard conditions.
    pub power: Power,
    /// Slope: 0° lies flat, 90° stands upright.
    pub tilt: Angle,
    /// Where it looks: degrees from north by east, so that 180° is south.
    pub faces: Angle,
    /// All that is lost on the way: heat, dirt, wires, inverter, standstill; 20 % where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "20 %, or by the hour where a weather file tells the wind"))]
    pub losses: Option<Ratio>,
    /// Area of its modules.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area: Option<Area>,
}

/// An appliance, or the lights.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Appliance {
    /// Electricity that it uses, mean over the year: `450 kWh/yr`.
    pub power: Power,
}

/// A point at which a machine was rated.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct RatedPoint {
    /// Outdoor air.
    pub outdoor: Temperature,
    /// Heat that it brings in or takes out.
    pub capacity: Power,
    /// That over the electricity that it uses, fans included.
    #[schemars(extend("x-above-one" = true))]
    pub cop: Ratio,
    /// Whether its outdoor coil frosts there and is thawed in between, as in the test at 35 °F: the point then counts from the next
    /// colder one to 45 °F.
    #[serde(default)]
    #[schemars(extend("x-absent" = "it is a point without frost"))]
    pub frosting: bool,
}

/// Cooling.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct CoolSystem {
    /// What cools.
    pub kind: CoolingKind,
    /// Points at which it was rated, two at least.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rated: Vec<RatedPoint>,
    /// How much less well it works at part of its capacity: the degradation coefficient of its test.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "25 %, as the test takes it"))]
    pub part_load: Option<Ratio>,
}

/// What cools the rooms.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum CoolingKind {
    /// The heat pump that heats, turned around.
    HeatPump,
    /// A machine that only cools.
    AirConditioner,
    /// Nothing.
    None,
}

/// A ventilation unit or fan.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct VentilationUnit {
    /// What it is.
    pub kind: VentilationKind,
    /// Where it sits.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub mounted: Option<Mounting>,
    /// Supply air flow in ordinary operation.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub supply: Option<Flow>,
    /// Exhaust air flow in ordinary operation.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub exhaust: Option<Flow>,
    /// Highest air flow.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub boost: Option<Flow>,
    /// Rooms it supplies, with the flow to each.
    #[serde(default)]
    #[schemars(extend("x-keys" = "spaces"))]
    pub supplies: Elements<Flow>,
    /// Rooms it exhausts, with the flow from each.
    #[serde(default)]
    #[schemars(extend("x-keys" = "spaces"))]
    pub exhausts: Elements<Flow>,
    /// Share of each hour it runs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "it runs all the time"))]
    pub run_time: Option<Ratio>,
    /// Sensible recovery efficiency.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sensible_recovery: Option<Ratio>,
    /// Latent recovery, for units that return moisture.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub latent_recovery: Option<Ratio>,
    /// What outdoor air is warmed to by electricity before its recovery, so that nothing freezes there.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "nothing warms it, and what else keeps frost away is not counted"))]
    pub preheat_to: Option<Temperature>,
    /// Electrical power in ordinary operation.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub power: Option<Power>,
    /// Rated air flow per power.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub efficacy: Option<FanEfficacy>,
    /// Rated loudness.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sound: Option<Loudness>,
    /// Whether its supply air passes a part that heats, cools or dries it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub conditions_air: Option<bool>,
    /// Distance from its outdoor intake to the nearest vent, exhaust, flue or place that gives off fumes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub intake_from_sources: Option<Length>,
    /// Distance from the end of its exhaust to the nearest opening of the building or lot line.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub exhaust_from_openings: Option<Length>,
    /// Filter class on the supply side (MERV).
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub filter_merv: Option<u32>,
    /// Pressure drop of the filter in ordinary operation, where the fan curve does not include it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub filter_drop: Option<Pressure>,
    /// Points of the fan curve.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub fan_curve: Vec<FanPoint>,
    /// Ducts.
    #[serde(default)]
    pub ducts: Elements<Duct>,
    /// Records that back the values.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(extend("x-names" = "evidence"))]
    pub evidence: Vec<Id>,
    /// The product's name, as its records give it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub product: Option<Name>,
    /// Who makes it, as its records give it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub maker: Option<Name>,
    /// The model or article number, as its records give it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub model: Option<Name>,
    /// Issue of the maker's data sheet that its values are from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub data_sheet: Option<Name>,
    /// Fields of the firm's own, as `own.yaml` of its folder declares them.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub own: Own,
}

/// What a ventilation unit is.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum VentilationKind {
    /// A balanced unit with ducts that recovers heat.
    HeatRecovery,
    /// A balanced unit with ducts that recovers heat and moisture.
    EnergyRecovery,
    /// A unit in one wall that serves one or two rooms and recovers heat.
    SpotRecovery,
    /// A fan that only exhausts.
    ExhaustFan,
    /// A fan that only supplies.
    SupplyFan,
}

impl VentilationUnit {
    /// That a unit which returns moisture does not say how much.
    pub fn lacks_latent_recovery(&self, id: &Id) -> Option<String> {
        let lacks = self.kind == VentilationKind::EnergyRecovery && self.latent_recovery.is_none();
        lacks.then(|| format!("systems.ventilation.{id} has no latent_recovery"))
    }
}

impl VentilationKind {
    /// Whether such a unit recovers heat.
    pub fn recovers_heat(self) -> bool {
        matches!(self, VentilationKind::HeatRecovery | VentilationKind::EnergyRecovery | VentilationKind::SpotRecovery)
    }
}

/// Where a ventilation unit or fan sits.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Mounting {
    /// In a wall, a window or the ceiling of the room that it serves.
    InRoom,
    /// In line with its ducts, away from the rooms that it serves.
    InLine,
    /// In the air handler that heats or cools the rooms.
    AirHandler,
}

/// A point of a fan curve.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct FanPoint {
    /// Air flow.
    pub flow: Flow,
    /// Static pressure at that flow.
    pub pressure: Pressure,
}

/// A run of duct.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Duct {
    /// The room it serves.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-names" = "spaces"))]
    pub to: Option<Id>,
    /// Length.
    pub length: Length,
    /// Inside diameter.
    pub diameter: Length,
    /// Air flow.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flow: Option<Flow>,
    /// Roughness of the inside; smooth metal where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub roughness: Option<Length>,
    /// Sum of the loss coefficients of its fittings.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-above-one" = true))]
    pub fittings: Option<Ratio>,
    /// Whether it crosses a mate line, and so is joined on site.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub crosses_mate_line: Option<bool>,
    /// The duct of the same unit that it branches from, on the unit's side. A duct to no room that nothing branches
    /// from counts in every run.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub after: Option<Id>,
    /// Which air it carries; follows from the room where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub side: Option<DuctSide>,
    /// Fields of the firm's own, as `own.yaml` of its folder declares them.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub own: Own,
}

/// Which air a duct carries.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum DuctSide {
    /// Outdoor air on its way to the rooms.
    Supply,
    /// Room air on its way out.
    Exhaust,
}

/// Space heating.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HeatSystem {
    /// What it is, in words.
    pub kind: Name,
    /// Where the heat comes from.
    pub fuel: Fuel,
    /// How its combustion is vented.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub venting: Option<Venting>,
    /// Heating output at design temperature.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub output: Option<Power>,
    /// Points at which a heat pump was rated, two at least.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub rated: Vec<RatedPoint>,
    /// How much less well a heat pump works at part of its capacity: the degradation coefficient of its test.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "25 %, as the test takes it"))]
    pub part_load: Option<Ratio>,
    /// Outdoor temperature below which a heat pump stands still.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "it runs in any cold"))]
    pub stops_below: Option<Temperature>,
    /// Electric heat that helps where a heat pump falls short.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub backup: Option<Power>,
    /// Share of a fuel's heat that reaches the rooms.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub efficiency: Option<Ratio>,
    /// Power of pumps and fans while it heats or cools, beyond what its rated points hold.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "its rated points hold it"))]
    pub pump: Option<Power>,
    /// Whether all its ducts lie inside the thermal envelope.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ducts_inside: Option<bool>,
    /// Whether air ducts carry its heat or cooling.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ducted: Option<bool>,
    /// Whether an appliance that burns with room air stands outside the thermal envelope or in a room sealed from it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub apart: Option<bool>,
}

/// Air ducts of heating and cooling.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct AirDucts {
    /// Least insulation of ducts of 3 in and more outside the thermal envelope.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub insulation: Option<ThermalResistance>,
    /// Total leakage at 25 Pa, as tested, or as specified until then.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub leakage: Option<Flow>,
    /// Whether that leakage is tested.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub tested: Option<bool>,
    /// Whether spaces between framing members serve as ducts or plenums.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub in_framing: Option<bool>,
}

/// Where heat comes from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs, reason = "names of fuels")]
pub enum Fuel {
    HeatPump,
    Electricity,
    Gas,
    Propane,
    Oil,
    Wood,
}

/// How combustion is vented.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Venting {
    /// Air from and exhaust to outdoors in sealed pipes.
    Direct,
    /// Exhaust driven by a fan.
    Power,
    /// Exhaust driven by its own buoyancy, with room air.
    Natural,
    /// Into the room.
    Unvented,
}

/// Hot water.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct HotWater {
    /// What it is, in words.
    pub kind: Name,
    /// Where the heat comes from.
    pub fuel: Fuel,
    /// How its combustion is vented.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub venting: Option<Venting>,
    /// Water stored in the pipe between the source and the farthest fixture.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub stored_volume: Option<Volume>,
    /// Whether an appliance that burns with room air stands outside the thermal envelope or in a room sealed from it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub apart: Option<bool>,
    /// Hot water drawn, mean over the year: `50 gal/d`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub draw: Option<Flow>,
    /// Temperature at which it leaves the source.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub delivered_at: Option<Temperature>,
    /// Share of its heat that is lost in the pipes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pipe_loss: Option<Ratio>,
    /// Uniform energy factor of the source.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-above-one" = true))]
    pub uef: Option<Ratio>,
    /// Where a heat pump takes its heat from.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heat_from: Option<HeatFrom>,
    /// Insulation of the hot-water pipes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub pipe_insulation: Option<ThermalResistance>,
}

/// Where a heat pump for hot water takes its heat from.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum HeatFrom {
    /// The heated rooms.
    Rooms,
    /// Outdoors, or a room that is not heated.
    Outdoors,
}

/// A kitchen hood.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct KitchenHood {
    /// Whether it exhausts outdoors.
    pub vented: bool,
    /// Air flow.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flow: Option<Flow>,
    /// Make-up air brought in while it runs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub make_up_air: Option<Flow>,
    /// Rated loudness.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sound: Option<Loudness>,
}

/// A clothes dryer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct ClothesDryer {
    /// How it gets rid of the moisture.
    pub kind: DryerKind,
    /// Electricity that it uses, mean over the year: `300 kWh/yr`.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub power: Option<Power>,
    /// Share of the year that a vented dryer runs.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub run_time: Option<Ratio>,
    /// Exhaust flow of a vented dryer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub flow: Option<Flow>,
    /// Duct of a vented dryer.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub duct: Option<DryerDuct>,
}

/// The exhaust duct of a clothes dryer.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct DryerDuct {
    /// Length along its run, elbows aside.
    pub length: Length,
    /// Nominal diameter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub diameter: Option<Length>,
    /// Mitred elbows of 45° and 4 in radius.
    #[serde(default)]
    pub mitred_elbows_45: u32,
    /// Mitred elbows of 90° and 4 in radius.
    #[serde(default)]
    pub mitred_elbows_90: u32,
    /// Smooth elbows of 45° and 6 in radius.
    #[serde(default)]
    pub smooth_elbows_45: u32,
    /// Smooth elbows of 90° and 6 in radius.
    #[serde(default)]
    pub smooth_elbows_90: u32,
    /// Smooth elbows of 45° and 8 in radius.
    #[serde(default)]
    pub wide_elbows_45: u32,
    /// Smooth elbows of 90° and 8 in radius.
    #[serde(default)]
    pub wide_elbows_90: u32,
    /// Smooth elbows of 45° and 10 in radius.
    #[serde(default)]
    pub widest_elbows_45: u32,
    /// Smooth elbows of 90° and 10 in radius.
    #[serde(default)]
    pub widest_elbows_90: u32,
    /// Greatest length along its run that the dryer's maker allows with these elbows.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub maker_length: Option<Length>,
    /// Whether it is smooth metal inside, without screws that reach in.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub smooth_metal: Option<bool>,
    /// Whether a damper at its end keeps outdoor air out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub backdraft_damper: Option<bool>,
    /// Whether a screen covers its end, where lint would catch.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub screen: Option<bool>,
    /// Distance from its end to the nearest opening of the building.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_openings: Option<Length>,
    /// Whether it ends where the dryer's maker says.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub ends_as_maker_says: Option<bool>,
}

/// How a dryer gets rid of moisture.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum DryerKind {
    /// Air blown outdoors.
    Vented,
    /// Water drained; no hole in the wall.
    Condensing,
    /// Water drained by a heat pump; no hole in the wall.
    HeatPump,
    /// None in the home.
    None,
}

/// Water given off to the indoor air, averaged over the day.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct IndoorMoisture {
    /// How many people live here; those that the rooms sleep where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub people: Option<u32>,
    /// What each of them gives off.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub per_person: Option<MassFlow>,
    /// What cooking, washing, drying and plants give off together.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub activities: Option<MassFlow>,
}

/// Provisions for equipment that comes later.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Readiness {
    /// Circuit for a vehicle at the parking space.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vehicle_circuit: Option<Current>,
    /// Circuit near the water heater.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub water_heater_circuit: Option<Current>,
    /// Circuit near the heating unit, for a later heat pump.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub heating_circuit: Option<Current>,
    /// Conduit from the roof to the panel: inside diameter.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub solar_conduit: Option<Length>,
}

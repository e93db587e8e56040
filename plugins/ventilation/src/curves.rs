//! Data for figures: carbon dioxide over the night, and the flows from room to room.

use crate::Plan;
use crate::air::Air;
use crate::dwelling::Dwelling;
use crate::night::{NIGHT, Nights, STEP, sleepers};
use crate::service::Mode;
use mateline_mixing::linear::at;
use mateline_sdk::Request;

/// Where air comes from and goes to in the end.
pub const OUTDOORS: &str = "outdoors";

/// Carbon dioxide of one bedroom over a night.
#[derive(Clone, Debug, PartialEq)]
pub struct Co2Curve {
    /// The room's id.
    pub space: String,
    /// Whether the main unit is off.
    pub unit_off: bool,
    /// Hours since going to bed, and concentration (ppm).
    pub points: Vec<(f64, f64)>,
}

/// Air that passes from one place to another.
#[derive(Clone, Debug, PartialEq)]
pub struct AirPath {
    /// Where from: a room, rooms that share one air joined by ` + `, [`OUTDOORS`], or a unit's id.
    pub from: String,
    /// Where to.
    pub to: String,
    /// How: `supply`, `exhaust`, `transfer` or `leakage`.
    pub how: &'static str,
    /// Flow (m³/s).
    pub flow: f64,
    /// Pressure from one side to the other (Pa); none for fans.
    pub pressure: Option<f64>,
}

/// A curve for every room that someone sleeps in, every ten minutes: an ordinary night and one with the main unit off.
/// Rooms that cannot be computed have none.
pub fn co2_curves(request: &Request<'_>) -> Vec<Co2Curve> {
    let plan = Plan::of(request);
    night_curves(request, &plan, &plan.nights(Vec::new()))
}

pub(crate) fn night_curves(request: &Request<'_>, plan: &Plan<'_>, nights: &Nights<'_, '_>) -> Vec<Co2Curve> {
    let mut curves = Vec::new();
    for (id, _) in request.home.spaces.iter().filter(|(_, space)| sleepers(space) > 0) {
        let Some((zone, _)) = plan.dwelling.zone(id) else { continue };
        for (unit_off, night) in [(false, &nights.ordinary), (true, &nights.off)] {
            let Ok((air, night)) = night else { continue };
            let Some(series) = night.series.get(zone).filter(|_| air.trouble(&plan.dwelling, zone).is_none()) else {
                continue;
            };
            let steps = (NIGHT / STEP) as usize;
            let points = (0..=steps).step_by(10).map(|k| (k as f64 * STEP / 3600.0, at(series, k) * 1e6)).collect();
            curves.push(Co2Curve { space: id.to_string(), unit_off, points });
        }
    }
    curves
}

/// Every flow of the home in a mode, fans first. Empty where the network has no solution.
pub fn air_paths(request: &Request<'_>, mode: Mode) -> Vec<AirPath> {
    let plan = Plan::of(request);
    plan.air(mode).map(|air| paths(&plan.dwelling, &air)).unwrap_or_default()
}

pub(crate) fn paths(dwelling: &Dwelling<'_>, air: &Air<'_>) -> Vec<AirPath> {
    let name = |zone: usize| dwelling.name(zone);
    let mut paths = Vec::new();
    for (room, fans) in &air.fans {
        for (unit, flow) in &fans.supply {
            let (from, to) = (unit.to_string(), room.to_string());
            paths.push(AirPath { from, to, how: "supply", flow: *flow, pressure: None });
        }
        for (unit, flow) in &fans.exhaust {
            let (from, to) = (room.to_string(), unit.to_string());
            paths.push(AirPath { from, to, how: "exhaust", flow: *flow, pressure: None });
        }
    }
    for (from, to, flow) in &air.mixing.transfers {
        let pressure = Some(at(&air.field.pressures, *from) - at(&air.field.pressures, *to));
        paths.push(AirPath { from: name(*from), to: name(*to), how: "transfer", flow: *flow, pressure });
    }
    for zone in 0..dwelling.zones.len() {
        let pressure = at(&air.field.pressures, zone);
        let mut leak = |from: String, to: String, flow: f64, pressure: f64| {
            if flow > mateline_mixing::NO_FLOW {
                paths.push(AirPath { from, to, how: "leakage", flow, pressure: Some(pressure) });
            }
        };
        leak(OUTDOORS.to_owned(), name(zone), air.leaked(dwelling, zone), -pressure);
        leak(name(zone), OUTDOORS.to_owned(), air.leaked_out(dwelling, zone), pressure);
    }
    paths
}

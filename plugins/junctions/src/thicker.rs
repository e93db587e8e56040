//! How thick the insulation at a junction has to be for the surface factor that a pack asks for.
//!
//! Only where the junction is short of it: the layer is made thicker, the section drawn and solved again, until the
//! factor is reached within a millimetre.

use crate::draw::Scene;
use crate::lack::Lack;
use crate::plan::Planned;
use crate::solved;
use crate::solving::{Outcome, drawing, each, wanted};
use crate::store::Store;
use mateline_layers::Body;
use mateline_model::home::{Home, Id, JunctionKind};
use mateline_model::quantity::Length;
use mateline_sdk::Request;
use serde::Deserialize;

/// Most that is added to a layer in search of the thickness (m).
const MOST: f64 = 0.3;
/// How near the thickness is found (m).
const NEAR: f64 = 1e-3;
/// Trials at most; halving alone would need nine.
const TRIALS: u32 = 16;

/// What a pack asks of this plugin.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields)]
struct Settings {
    /// The least surface factor; none where the pack asks for none in this climate.
    surface_factor: Option<f64>,
}

/// What would bring a junction to the factor asked for.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Needed {
    /// The factor, and the pack that asks for it.
    pub factor: f64,
    pub pack: String,
    /// The thickness found, or why there is none.
    pub found: Result<Thicker, Lack>,
}

/// A layer and the thickness it needs.
#[derive(Clone, Debug, PartialEq)]
pub(crate) struct Thicker {
    /// `assemblies.wall.layers.4`.
    pub place: String,
    pub material: String,
    pub now: Length,
    pub needed: Length,
    /// The factor with that thickness.
    pub reached: f64,
}

/// For each junction what it needs; nothing where it is not short of anything that was asked for.
pub(crate) fn needed(
    request: &Request<'_>,
    planned: &[Planned<'_>],
    outcomes: &[Outcome],
    store: &dyn Store,
) -> Vec<Option<Needed>> {
    let Some((pack, factor)) = asked(request) else { return vec![None; planned.len()] };
    let pairs: Vec<(&Planned<'_>, &Outcome)> = planned.iter().zip(outcomes).collect();
    each(store, &pairs, |(planned, outcome)| {
        let Outcome::Solved(solved) = outcome else { return None };
        let now = solved.surfaces.as_ref().ok()?.lowest.factor;
        let given = planned.junction.is_some_and(|junction| junction.surface_factor.is_some());
        if given || now >= factor {
            return None;
        }
        Some(Needed { factor, pack: pack.clone(), found: search(request, planned, factor, now, store) })
    })
}

/// The greatest factor that any pack asks for.
fn asked(request: &Request<'_>) -> Option<(String, f64)> {
    let read = |(pack, value): &(String, serde_json::Value)| {
        let settings = serde_json::from_value::<Settings>(value.clone()).ok()?;
        Some((pack.clone(), settings.surface_factor.filter(|factor| factor.is_finite())?))
    };
    request.settings.iter().filter_map(read).reduce(|a, b| if b.1 > a.1 { b } else { a })
}

/// Why settings cannot be read, where they cannot.
pub(crate) fn unreadable(request: &Request<'_>) -> Option<String> {
    request.settings.iter().find_map(|(pack, value)| {
        let error = serde_json::from_value::<Settings>(value.clone()).err()?;
        Some(format!("the settings of {pack} for junctions cannot be read: {error}"))
    })
}

fn search(
    request: &Request<'_>,
    planned: &Planned<'_>,
    factor: f64,
    now: f64,
    store: &dyn Store,
) -> Result<Thicker, Lack> {
    let layer = layer(request, planned)?;
    let trial = |thickness: f64| -> Result<f64, Lack> {
        let home = with(request.home, &layer, thickness);
        let request = Request { home: &home, ..*request };
        let drawn = drawing(&request, planned)
            .ok_or_else(|| Lack::new("nothing is drawn for this junction"))
            .and_then(|drawn| drawn)?;
        solved::lowest_factor(&drawn.section, store).map_err(|error| Lack::at(error.to_string(), layer.place()))
    };
    let (mut low, mut low_factor) = (layer.thickness, now);
    let mut high = layer.thickness + MOST;
    let mut high_factor = trial(high)?;
    if high_factor < factor {
        let because = format!(
            "{} with {:.0} mm more brings the surface factor to {high_factor:.3}, short of the {factor} that is asked for",
            layer.place(),
            MOST * 1e3
        );
        return Err(Lack::at(because, layer.place()));
    }
    for round in 0..TRIALS {
        if high - low <= NEAR {
            break;
        }
        let straight = low + (high - low) * (factor - low_factor) / (high_factor - low_factor).max(1e-9);
        // A little to either side in turn, so that both ends close in.
        let aside = if round % 2 == 0 { NEAR / 2.0 } else { -NEAR / 2.0 };
        let middle = if round < 8 { straight + aside } else { (low + high) / 2.0 };
        let middle = middle.clamp(low + NEAR / 4.0, high - NEAR / 4.0);
        let found = trial(middle)?;
        if found >= factor { (high, high_factor) = (middle, found) } else { (low, low_factor) = (middle, found) }
    }
    Ok(Thicker {
        place: layer.place(),
        material: layer.material.clone(),
        now: Length::from_si(layer.thickness),
        needed: Length::from_si(high),
        reached: high_factor,
    })
}

/// A layer of insulation that can be thickened.
struct Thickened {
    assembly: Id,
    number: usize,
    thickness: f64,
    material: String,
}

impl Thickened {
    fn place(&self) -> String {
        format!("assemblies.{}.layers.{}", self.assembly, self.number)
    }
}

/// The outermost layer of insulation of the assembly that a junction is mostly about.
fn layer(request: &Request<'_>, planned: &Planned<'_>) -> Result<Thickened, Lack> {
    let home = request.home;
    if planned.junction.is_some_and(|junction| !junction.rectangles.is_empty()) {
        return Err(Lack::new("the section is given as rectangles, of which none is known to be the insulation"));
    }
    let scene = Scene { request, home, wanted: wanted(home, planned) };
    let id = match planned.kind {
        JunctionKind::MateRoof => scene.ceiling()?.id,
        JunctionKind::MateFloor => scene.floor()?.id,
        JunctionKind::FoundationTop | JunctionKind::Footing => home
            .foundation
            .as_ref()
            .and_then(|foundation| foundation.wall.as_ref())
            .ok_or_else(|| Lack::at("foundation.wall is not given", "foundation"))?,
        JunctionKind::SlabEdge => {
            return Err(Lack::new(
                "insulation at a slab's edge is given by the junction's section, not by an assembly",
            ));
        }
        _ => scene.wall()?.id,
    };
    let path = format!("assemblies.{id}");
    let assembly =
        home.assemblies.get(id).ok_or_else(|| Lack::at(format!("there is no assembly {id}"), "assemblies"))?;
    let layers = mateline_layers::Layers::of(home, id, assembly)?;
    let found = layers.closed().iter().rev().filter(|layer| layer.insulates()).find_map(|layer| match &layer.body {
        Body::Plain(matter) if !matter.is_air() => {
            let (thickness, material) = (matter.depth?.si(), matter.id.to_owned());
            Some(Thickened { assembly: id.clone(), number: layer.index, thickness, material })
        }
        _ => None,
    });
    found.ok_or_else(|| Lack::at(format!("{path} has no layer of insulation to thicken"), path))
}

fn with(home: &Home, layer: &Thickened, thickness: f64) -> Home {
    let mut home = home.clone();
    let place = home.assemblies.get_mut(&layer.assembly).and_then(|assembly| assembly.layers.get_mut(layer.number));
    if let Some(place) = place {
        place.thickness = Some(Length::from_si(thickness));
    }
    home
}

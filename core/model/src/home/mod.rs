//! The home as its file describes it: one struct per section, every field with its meaning and unit.
//!
//! These types only hold and check the shape of the file. What follows from it is computed by plugins.

mod assembly;
mod codes;
mod finishes;
mod foundation;
mod id;
mod leakage;
mod levers;
mod measurements;
mod modules;
mod openings;
mod parameters;
mod rates;
mod safety;
mod seams;
mod sections;
mod site;
mod systems;
mod waivers;
mod weather;

pub use assembly::*;
pub use codes::*;
pub use finishes::*;
pub use foundation::*;
pub use id::*;
pub use leakage::*;
pub use levers::*;
pub use measurements::*;
pub use modules::*;
pub use openings::*;
pub use parameters::*;
pub use rates::*;
pub use safety::*;
pub use seams::*;
pub use sections::*;
pub use site::*;
pub use systems::*;
pub use waivers::*;
pub use weather::*;

use crate::Misread;
use crate::quantity::UnitSystem;
use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// Elements of one section, by id, in the order of the file.
pub type Elements<T> = IndexMap<Id, T>;

/// Fields that a firm declares for all its homes, by name.
pub type Own = IndexMap<Id, Scalar>;

/// A factory-built home, described for verification.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Home {
    /// The project's name, as it appears on every report.
    pub home: Name,
    /// Other files of the project folder whose sections are merged into this one.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub include: Vec<String>,
    /// The units reports are written in. Values in this file may use either.
    #[serde(default)]
    pub units: UnitSystem,
    /// The revision this file describes.
    pub revision: Revision,
    /// The issues of the design in their order, those to come among them: `[A, B, C, D]`. What holds until an issue is
    /// measured by this list.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub issues: Vec<Name>,
    /// The firm's folder, inside the project folder: its packs, materials, leakages, unit rates and letterhead. One that
    /// is given to the run takes its place.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub firm: Option<Name>,
    /// Fields of the firm's own for the home as a whole, as `own.yaml` of its folder declares them.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub own: Own,
    /// The rule packs that judge this home: names of the firm's packs or of packs that come with mateline, or paths of
    /// pack files beside the home.
    #[serde(default)]
    pub judge_by: Vec<Name>,
    /// Values of what a pack leaves open, by pack and parameter.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub parameters: IndexMap<Id, IndexMap<Id, Scalar>>,
    /// Plugins beside those that come with mateline: paths of libraries inside the project folder. Each is loaded only
    /// when `mateline plugins approve` has recorded it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub plugins: Vec<Name>,
    /// Where the home stands: climate, ground and design values.
    pub site: Site,
    /// An hourly year of weather, by which heat is balanced hour by hour; where none is named, mean days of the site's
    /// months stand for it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "mean days of the site's months stand for the year"))]
    pub weather: Option<Weather>,
    /// The factory boxes. Everything geometric follows from these.
    pub modules: Elements<Module>,
    /// What covers the uppermost boxes.
    #[serde(default)]
    pub roof: Roof,
    /// Rooms.
    #[serde(default)]
    pub spaces: Elements<Space>,
    /// Materials of the project's own, beside those that come with mateline.
    #[serde(default)]
    pub materials: Elements<Material>,
    /// Layered constructions.
    #[serde(default)]
    #[schemars(extend("x-one" = "assembly"))]
    pub assemblies: Elements<Assembly>,
    /// Which assembly stands on which faces of the boxes.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub enclosure: Option<Enclosure>,
    /// Windows, doors and skylights.
    #[serde(default)]
    pub openings: Elements<Opening>,
    /// Linear thermal bridges, given or to be solved from a section.
    #[serde(default)]
    pub junctions: Elements<Junction>,
    /// What the boxes stand on.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub foundation: Option<Foundation>,
    /// How the mate lines are sealed. The seams themselves are found from the modules; `default` applies to all.
    #[serde(default)]
    pub seams: Elements<Seam>,
    /// Holes through the air barrier.
    #[serde(default)]
    pub penetrations: Elements<Penetration>,
    /// Ventilation, heating, hot water, hood and dryer.
    #[serde(default)]
    #[schemars(extend("x-apart" = true))]
    pub systems: Systems,
    /// Fire, alarms and ways out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-apart" = true))]
    pub safety: Option<Safety>,
    /// Approvals, and the choices that go with them.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-apart" = true))]
    pub approvals: Option<Approvals>,
    /// Finishes, boards, adhesives, sealants and coatings.
    #[serde(default)]
    pub finishes: Elements<Finish>,
    /// Compounds with levels of the project's own, beside the list that comes with mateline.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub compounds: Elements<OwnCompound>,
    /// Test results.
    #[serde(default)]
    pub measurements: Elements<Measurement>,
    /// Certificates, test reports and photographs that back a statement.
    #[serde(default)]
    pub evidence: Elements<Evidence>,
    /// Agreed exceptions from rules.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(extend("x-absent" = "no rule is waived"))]
    pub waivers: Vec<Waiver>,
    /// Unit rates, from which the foundations are priced.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub rates: Option<Rates>,
    /// What may be changed to meet a requirement, at what price, beside the levers that come with mateline.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub levers: Elements<Lever>,
}

// Reading and writing a home take much code, which is compiled here and nowhere else.
impl Home {
    /// Reads a home as `home.schema.json` describes it.
    ///
    /// # Errors
    /// The first thing that cannot be read.
    pub fn read(json: &serde_json::Value) -> Result<Home, Misread> {
        crate::read(json)
    }

    /// The home in canonical form, as `home.schema.json` describes it.
    ///
    /// # Errors
    /// A home that cannot be written, which does not happen.
    pub fn to_json(&self) -> serde_json::Result<serde_json::Value> {
        serde_json::to_value(self)
    }

    /// What no single field can say is wrong: where it stands, and why.
    pub fn contradictions(&self) -> Vec<(String, String)> {
        let layers = self.assemblies.iter().flat_map(|(id, assembly)| {
            let places = assembly.layers.iter().enumerate();
            places.filter_map(move |(index, layer)| {
                Some((format!("assemblies.{id}.layers.{index}"), layer.kind().err()?))
            })
        });
        layers.collect()
    }
}

/// The sections whose entries are elements with an id, in the order of [`Home`].
pub const SECTIONS: &[&str] = &[
    "modules",
    "spaces",
    "materials",
    "assemblies",
    "openings",
    "junctions",
    "seams",
    "penetrations",
    "finishes",
    "compounds",
    "measurements",
    "evidence",
];

/// One revision of the design.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Revision {
    /// The revision's letter or number.
    pub id: Name,
    /// Its date. Certificates are judged on this day.
    pub date: Date,
    /// What changed, in a few words.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
}

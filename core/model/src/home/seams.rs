//! How mate lines are sealed, and the holes through the air barrier.

use super::{Face, Home, Id, Name, OneOrMany, Own};
use crate::quantity::{Area, Flow, Length};
use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// How a mate line is sealed. Seams are found from the boxes; an entry `A-B` describes the one between A and B, and
/// `default` every other.
#[derive(Clone, Debug, Default, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Seam {
    /// What seals it.
    #[serde(default, skip_serializing_if = "OneOrMany::is_empty")]
    pub sealed_by: OneOrMany<SeamSeal>,
    /// Whether the seal is inspected before it is covered.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub inspected: Option<bool>,
    /// Number or name of the drawing that shows the detail.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub detail: Option<Name>,
    /// Who closes the seam.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<Party>,
    /// Effective leakage area at 4 Pa of one metre of the seam, where it was measured; used instead of the table's value.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub leakage: Option<Area>,
    /// Records that back it.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    #[schemars(extend("x-names" = "evidence"))]
    pub evidence: Vec<Id>,
    /// The product that seals it, as its records give it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub product: Option<Name>,
    /// Number or name of the drawing that shows it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drawing: Option<Name>,
    /// Fields of the firm's own, as `own.yaml` of its folder declares them.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub own: Own,
}

impl Home {
    /// The entry that describes a mate line: its own, by either order of its boxes, else the one for every other.
    pub fn seam(&self, name: &str) -> Option<(&Id, &Seam)> {
        let own = self.seams.get_key_value(name);
        let either = || self.seams.iter().find(|(id, _)| are_one_seam(id.as_ref(), name));
        own.or_else(either).or_else(|| self.seams.get_key_value("default"))
    }
}

/// Whether two names are of one mate line: the ids of its boxes in either order, `A-B` and `B-A`.
pub fn are_one_seam(one: &str, other: &str) -> bool {
    let is_reversed = |(at, _)| {
        let (first, second) = (one.get(..at), one.get(at + 1..));
        first.zip(second).is_some_and(|(first, second)| {
            other.strip_prefix(second).and_then(|rest| rest.strip_prefix('-')) == Some(first)
        })
    };
    one == other || one.match_indices('-').any(is_reversed)
}

/// What closes a mate line.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum SeamSeal {
    /// A compressible gasket fixed in the factory.
    FactoryGasket,
    /// A gasket laid on site.
    SiteGasket,
    /// Tape over the joint.
    SiteTape,
    /// Sealant in the joint.
    SiteSealant,
    /// Spray foam in the gap.
    SiteFoam,
    /// A membrane lapped from box to box.
    Membrane,
}

/// Who does a piece of work.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum Party {
    /// The plant that builds the boxes.
    Factory,
    /// The crew that sets and finishes them.
    Site,
}

/// Holes through the air barrier that are alike.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Penetration {
    /// What goes through.
    pub kind: PenetrationKind,
    /// How many of them.
    #[serde(default = "one")]
    #[schemars(extend("x-absent" = "one"))]
    pub count: u32,
    /// Diameter of a round hole.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "a hole of usual size for its kind"))]
    pub diameter: Option<Length>,
    /// Size of the hole, where it is not round.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub area: Option<Area>,
    /// Where it goes through: a box, or `foundation`.
    #[schemars(extend("x-names" = "modules", "x-or" = "foundation"))]
    pub module: Id,
    /// How it is sealed.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub seal: Option<PenetrationSeal>,
    /// Who seals it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub by: Option<Party>,
    /// The trade that makes it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub trade: Option<Trade>,
    /// Effective leakage area at 4 Pa of each of them, where it was measured; used instead of the table's value.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub leakage: Option<Area>,
    /// Tested air leakage of a recessed light at 75 Pa.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub air_leakage: Option<Flow>,
    /// The side of the box that it goes through, where its place is given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub face: Option<Face>,
    /// Distance of its middle from the left end of that face, seen from outside.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub from_left: Option<Length>,
    /// Height of its middle above the underside of the box.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub above_underside: Option<Length>,
    /// The product that seals it, as its records give it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub product: Option<Name>,
    /// Number or name of the detail it is built by.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub detail: Option<Name>,
    /// Number or name of the drawing that shows it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drawing: Option<Name>,
    /// Fields of the firm's own, as `own.yaml` of its folder declares them.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub own: Own,
}

fn one() -> u32 {
    1
}

/// What goes through the air barrier.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs, reason = "names of services")]
pub enum PenetrationKind {
    Pipe,
    Duct,
    Cable,
    Conduit,
    Flue,
    RecessedLight,
    OutletBox,
    Hatch,
    ExhaustDamper,
    DryerVent,
    VentStack,
}

/// How a hole is closed around what goes through it.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum PenetrationSeal {
    /// Nothing.
    None,
    /// Caulk or sealant.
    Sealant,
    /// Spray foam.
    Foam,
    /// A moulded grommet or gasket.
    Grommet,
    /// Tape.
    Tape,
    /// A gasketed box or weather-stripped lid.
    Gasketed,
}

/// Trades.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs, reason = "names of trades")]
pub enum Trade {
    Framing,
    Plumbing,
    Electrical,
    Ventilation,
    Heating,
    Data,
    Gas,
    Other,
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_seam_goes_by_either_order_of_its_boxes() {
        for (one, other, is_one) in [
            ("A-B", "A-B", true),
            ("A-B", "B-A", true),
            ("A-B", "A-C", false),
            ("north-A-B", "B-north-A", true),
            ("north-A-B", "A-B-north", true),
            ("north-A-B", "A-north-B", false),
            ("A", "A", true),
            ("A-", "-A", true),
            ("A-B", "B", false),
        ] {
            assert_eq!((are_one_seam(one, other), are_one_seam(other, one)), (is_one, is_one), "{one} {other}");
        }
    }
}

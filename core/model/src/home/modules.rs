//! The factory boxes, what covers them, and the rooms inside.

use super::{Id, Name, Own, Slope};
use crate::quantity::{Area, Length, Mass, Ratio, Volume};
use crate::wanted;
use indexmap::IndexMap;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// One factory-built box, measured over the outside of its framing and sheathing.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Module {
    /// The storey it belongs to, counted from 1 at the lowest set of boxes.
    pub level: u32,
    /// Where its south-west lower corner stands.
    pub at: Position,
    /// Its outer size.
    pub size: Size,
    /// A ceiling that rises from one side to the other. Without it the top is flat.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub sloped_ceiling: Option<SlopedCeiling>,
    /// The box's weight as the factory gives it; otherwise it follows from the layers.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub weight: Option<Mass>,
    /// Anything the plan should say about this box.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub note: Option<String>,
    /// Number or name of the drawing that shows it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub drawing: Option<Name>,
    /// Fields of the firm's own, as `own.yaml` of its folder declares them.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub own: Own,
}

/// The place of a box's south-west lower corner: x to the east, y to the north, z up.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Position {
    /// East of the origin.
    #[schemars(extend("x-below-zero" = true))]
    pub x: Length,
    /// North of the origin.
    #[schemars(extend("x-below-zero" = true))]
    pub y: Length,
    /// Above the underside of the lowest boxes. Where not given, a box stands on the tallest box of the level below.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-below-zero" = true))]
    pub z: Option<Length>,
}

/// The outer size of a box.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Size {
    /// From west to east.
    pub x: Length,
    /// From south to north.
    pub y: Length,
    /// From the underside of the floor to the top of the ceiling framing, at the low side of a sloped ceiling.
    pub z: Length,
}

/// A ceiling that rises across the box.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct SlopedCeiling {
    /// Rise over run.
    pub slope: Slope,
    /// The side it rises towards.
    pub rises_to: Side,
}

/// A side of a box in plan.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs, reason = "the four winds")]
pub enum Side {
    North,
    East,
    South,
    West,
}

/// A face of a box.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Hash, PartialOrd, Ord, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "lowercase")]
#[allow(missing_docs, reason = "four winds and up and down")]
pub enum Face {
    North,
    East,
    South,
    West,
    Top,
    Bottom,
}

impl From<Side> for Face {
    fn from(side: Side) -> Face {
        match side {
            Side::North => Face::North,
            Side::East => Face::East,
            Side::South => Face::South,
            Side::West => Face::West,
        }
    }
}

impl std::fmt::Display for Face {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(match self {
            Face::North => "north",
            Face::East => "east",
            Face::South => "south",
            Face::West => "west",
            Face::Top => "top",
            Face::Bottom => "bottom",
        })
    }
}

/// What covers the uppermost boxes.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Roof {
    /// How the roof is built.
    pub kind: RoofKind,
    /// Its pitch.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub slope: Option<Slope>,
    /// How far the eaves stand out, measured level.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub overhang: Option<Length>,
    /// Net free vent area of a vented attic.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub vent_area: Option<Area>,
    /// Share of the vent area that lies in the upper part of the attic, within 3 ft of the ridge.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub upper_vent_share: Option<Ratio>,
    /// Clear height above the insulation at the eave.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub eave_clearance: Option<Length>,
    /// What keeps the rain out.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub covering: Option<RoofCovering>,
    /// Open area of the ports near the ridge that let vapour out of an unvented roof and no air.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub diffusion_port_area: Option<Area>,
    /// Whether the ceiling insulation keeps its full height, not compressed, over the wall plates at the eaves.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub full_height_at_eaves: Option<bool>,
}

impl Default for Roof {
    fn default() -> Roof {
        Roof {
            kind: RoofKind::VentedAttic,
            slope: None,
            overhang: None,
            vent_area: None,
            upper_vent_share: None,
            eave_clearance: None,
            covering: None,
            diffusion_port_area: None,
            full_height_at_eaves: None,
        }
    }
}

/// What keeps the rain out of a roof.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs, reason = "names of roof coverings")]
pub enum RoofCovering {
    AsphaltShingles,
    Metal,
    Tile,
    Slate,
    WoodShingles,
    Membrane,
}

/// How a roof is built.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
pub enum RoofKind {
    /// A cold attic with outside air above the insulated ceiling.
    VentedAttic,
    /// Insulation between or on the rafters; the ceiling is the roof.
    Compact,
}

/// A room.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Space {
    /// What it is used for.
    #[serde(rename = "use")]
    pub used_as: SpaceUse,
    /// The box or boxes it lies in, or `foundation`.
    #[serde(rename = "in")]
    #[schemars(extend("x-names" = "modules", "x-or" = "foundation"))]
    pub within: OneOrMany<Id>,
    /// Floor area between finished walls.
    pub floor_area: Area,
    /// Height from floor to finished ceiling.
    pub height: Length,
    /// Volume, where it is not floor area times height.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub volume: Option<Volume>,
    /// How many people sleep here.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "people are counted by bedrooms, as the standard has it"))]
    pub sleeps: Option<u32>,
    /// Ages of those who sleep here, in years; adults where not given.
    #[serde(default, skip_serializing_if = "Vec::is_empty")]
    pub sleeper_ages: Vec<u32>,
    /// Gap under the room's door.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "no air passes under the door"))]
    pub door_undercut: Option<Length>,
    /// Width of the room's door, for the gap under it.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-absent" = "30 in"))]
    pub door_width: Option<Length>,
    /// Free area of transfer grilles or jump ducts to the rest of the home.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub transfer_area: Option<Area>,
    /// The space its door opens to; the circulation of the home where not given.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    #[schemars(extend("x-names" = "spaces", "x-absent" = "the circulation of the home"))]
    pub opens_to: Option<Id>,
    /// Least horizontal dimension between finished walls.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub least_width: Option<Length>,
    /// Whether artificial light serves the whole room, so that it needs no daylight.
    #[serde(default, skip_serializing_if = "Option::is_none")]
    pub artificial_light: Option<bool>,
    /// Fields of the firm's own, as `own.yaml` of its folder declares them.
    #[serde(default, skip_serializing_if = "IndexMap::is_empty")]
    pub own: Own,
}

impl Space {
    /// How many people sleep here: as said, or as many as have an age.
    pub fn sleepers(&self) -> Option<u32> {
        self.sleeps.or_else(|| u32::try_from(self.sleeper_ages.len()).ok().filter(|ages| *ages > 0))
    }
}

/// What a room is used for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize, JsonSchema)]
#[serde(rename_all = "kebab-case")]
#[allow(missing_docs, reason = "room names")]
pub enum SpaceUse {
    Bedroom,
    Living,
    Dining,
    Kitchen,
    Bathroom,
    HalfBath,
    Laundry,
    Office,
    /// A room for music, crafts or play, used for hours at a time.
    Hobby,
    Hall,
    Entry,
    Stair,
    Closet,
    Storage,
    Mechanical,
    Garage,
}

impl SpaceUse {
    /// Whether people stay in such a room: habitable space of the residential code (from memory), an office and a room
    /// for hobbies with it.
    pub fn is_habitable(self) -> bool {
        use SpaceUse::{Bedroom, Dining, Hobby, Kitchen, Living, Office};
        matches!(self, Bedroom | Living | Dining | Kitchen | Office | Hobby)
    }
}

/// One value, or a list of them.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct OneOrMany<T>(pub Vec<T>);

impl<T> Default for OneOrMany<T> {
    fn default() -> OneOrMany<T> {
        OneOrMany(Vec::new())
    }
}

impl<T> OneOrMany<T> {
    /// The values.
    pub fn iter(&self) -> std::slice::Iter<'_, T> {
        self.0.iter()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.0.is_empty()
    }
}

impl<T: Serialize> Serialize for OneOrMany<T> {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        match self.0.as_slice() {
            [one] => one.serialize(serializer),
            many => many.serialize(serializer),
        }
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for OneOrMany<T> {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<OneOrMany<T>, D::Error> {
        struct Either<T>(std::marker::PhantomData<T>);
        impl<'de, T: Deserialize<'de>> serde::de::Visitor<'de> for Either<T> {
            type Value = OneOrMany<T>;
            fn expecting(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                write!(f, "{}; or a list of them", wanted::by::<T>())
            }
            fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<OneOrMany<T>, E> {
                T::deserialize(serde::de::value::StrDeserializer::new(text)).map(|one| OneOrMany(vec![one]))
            }
            fn visit_u64<E: serde::de::Error>(self, number: u64) -> Result<OneOrMany<T>, E> {
                self.visit_str(&number.to_string())
            }
            fn visit_seq<A: serde::de::SeqAccess<'de>>(self, mut list: A) -> Result<OneOrMany<T>, A::Error> {
                let mut many = Vec::new();
                while let Some(one) = list.next_element()? {
                    many.push(one);
                }
                Ok(OneOrMany(many))
            }
        }
        deserializer.deserialize_any(Either(std::marker::PhantomData))
    }
}

impl<T: JsonSchema> JsonSchema for OneOrMany<T> {
    fn schema_name() -> std::borrow::Cow<'static, str> {
        format!("OneOrMany{}", T::schema_name()).into()
    }

    fn json_schema(generator: &mut schemars::SchemaGenerator) -> schemars::Schema {
        let one = generator.subschema_for::<T>();
        schemars::json_schema!({ "anyOf": [one, { "type": "array", "items": one }] })
    }
}

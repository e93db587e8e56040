//! What a layer is made of, with the properties that follow from material and depth.

use crate::pressed;
use mateline_equation::equation;
use mateline_films::air_layer;
use mateline_films::surface::Direction;
use mateline_model::home::{Home, Material, MaterialKind};
use mateline_model::quantity::{Conductivity, Density, Length, ThermalResistance, Units};
use mateline_sdk::Lack;

/// A resistance in a calculation, with a digit more than in a result.
pub const RESISTANCE: Units = Units::new("m²·K/W", 4, "h·ft²·°F/Btu", 3);

equation! {
    /// Resistance of a plane homogeneous layer. Source: ISO 6946:2017, 6.7.1.1 (from memory).
    pub Plane = "R = d/λ" {
        R: ThermalResistance "resistance of the layer" [RESISTANCE],
        d: Length "depth of the layer" [Units::THICKNESS],
        λ: Conductivity "conductivity" [Units::CONDUCTIVITY],
    }
}

/// A material of no stated kind counts as insulation up to this conductivity (W/(m·K)). Common practice, no source.
const INSULATING: f64 = 0.065;

/// A conductivity of four digits gives the label back within this factor.
const ROUNDED: f64 = 1.001;

/// A material in its place, or air.
#[derive(Clone, Debug, PartialEq)]
pub struct Matter<'a> {
    /// The material's id; `air` for air.
    pub id: &'a str,
    /// The material; `None` for air.
    pub material: Option<&'a Material>,
    /// How deep it lies in the direction of heat flow, where that is given.
    pub depth: Option<Length>,
    /// The most that it resists here, of a batt between members: what its label says.
    pub at_most: Option<ThermalResistance>,
    /// What it resists here, of a batt that is pressed between members and has a chart.
    pub pressed: Option<ThermalResistance>,
    /// Whether it lies inside of any ventilated cavity.
    pub(crate) counts: bool,
    pub(crate) path: String,
    pub(crate) flow: Direction,
}

/// A thermal resistance and how it follows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thermal {
    /// R.
    pub resistance: ThermalResistance,
    /// From what.
    pub how: How,
}

/// How a resistance follows.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum How {
    /// By [`Plane`].
    Conductivity(Conductivity),
    /// The resistance of a layer of fixed thickness.
    Fixed,
    /// The resistance on the label of a batt, which is thinner than the members are deep.
    Labelled,
    /// The chart of a batt that is pressed into the depth of the members.
    Pressed,
    /// The table of air layers.
    AirLayer,
    /// A membrane or coating has none.
    Nothing,
    /// It lies outside a ventilated cavity.
    Outside,
}

impl<'a> Matter<'a> {
    /// A material of the home by its id, this deep, for a place in the home; `air` is air unless a material has that name.
    ///
    /// # Errors
    /// [`Lack`] where the home knows no such material.
    pub fn find(
        home: &'a Home,
        id: &'a str,
        depth: Option<Length>,
        flow: Direction,
        path: &str,
    ) -> Result<Matter<'a>, Lack> {
        match (home.materials.get(id), depth) {
            (Some(material), _) => {
                let (at_most, pressed, path) = (None, None, path.to_owned());
                Ok(Matter { id, material: Some(material), depth, at_most, pressed, counts: true, path, flow })
            }
            (None, Some(depth)) if id == "air" => Ok(Matter::air(depth, flow, path)),
            (None, _) => Err(Lack::at(format!("{path} names {id}, which is no known material"), path)),
        }
    }

    pub(crate) fn air(depth: Length, flow: Direction, path: &str) -> Matter<'a> {
        let (at_most, pressed, path) = (None, None, path.to_owned());
        Matter { id: "air", material: None, depth: Some(depth), at_most, pressed, counts: true, path, flow }
    }

    /// The same between members, where a batt is one course: it has no more than its label says, and pressed into less depth
    /// what its chart says.
    pub fn between_members(mut self) -> Matter<'a> {
        self.at_most = self.material.and_then(|material| material.labelled_resistance);
        self.pressed = self.material.zip(self.depth).and_then(|(material, depth)| pressed::into(material, depth));
        self
    }

    /// Name on schedules.
    pub fn name(&self) -> &'a str {
        self.material.and_then(|material| material.name.as_ref()).map_or(self.id, |name| name.as_ref())
    }

    /// What it is; none for air and where the material does not say.
    pub fn kind(&self) -> Option<MaterialKind> {
        self.material.and_then(|material| material.kind)
    }

    /// Whether it is air.
    pub fn is_air(&self) -> bool {
        self.material.is_none()
    }

    /// Whether it is a membrane or coating, which has no depth and no resistance to speak of.
    pub fn is_sheet(&self) -> bool {
        matches!(self.kind(), Some(MaterialKind::Membrane | MaterialKind::Finish))
    }

    /// Whether it is insulation: by its kind, or where the material does not say, by its conductivity.
    pub fn insulates(&self) -> bool {
        match (self.kind(), self.thermal()) {
            (Some(MaterialKind::FoamInsulation | MaterialKind::FibreInsulation), _) => true,
            (None, Ok(Thermal { how: How::Conductivity(conductivity), .. })) => conductivity.si() <= INSULATING,
            _ => false,
        }
    }

    /// Its resistance: as the material fixes it, else `R = d/λ`, of a batt between members no more than its label says, and
    /// by its chart where it is pressed; of a closed air layer, that of the table. What lies outside a ventilated cavity has
    /// none.
    ///
    /// Source: ISO 6946:2017, 6.7.1 and air layers (from memory).
    ///
    /// # Errors
    /// [`Lack`] where thickness or conductivity is not given.
    pub fn thermal(&self) -> Result<Thermal, Lack> {
        let none = ThermalResistance::default();
        let (resistance, how) = match (self.material, self.depth) {
            _ if !self.counts => (none, How::Outside),
            (None, depth) => (air_layer::unventilated(depth.unwrap_or_default(), self.flow), How::AirLayer),
            (Some(Material { resistance: Some(resistance), .. }), _) => (*resistance, How::Fixed),
            (Some(_), _) if self.pressed.is_some() => (self.pressed.unwrap_or_default(), How::Pressed),
            (Some(Material { conductivity: Some(conductivity), .. }), depth) => {
                let resistance = plane(self.thickness(depth)?, *conductivity);
                match self.bound(resistance) {
                    Some(most) => (most, How::Labelled),
                    None => (resistance, How::Conductivity(*conductivity)),
                }
            }
            (Some(_), _) if self.is_sheet() => (none, How::Nothing),
            (Some(_), _) => return Err(self.unresisting()),
        };
        Ok(Thermal { resistance, how })
    }

    /// The conductivity that stands for a material drawn this deep: `λ = d/R` where the material fixes its resistance,
    /// or its label bounds it; else as given. None for air, which has a resistance by its depth and no conductivity.
    ///
    /// # Errors
    /// [`Lack`] where the material gives neither.
    pub fn conductivity(&self, deep: Length) -> Result<Option<Conductivity>, Lack> {
        let Some(material) = self.material else { return Ok(None) };
        match (material.resistance, material.conductivity) {
            (Some(resistance), _) if resistance.si() > 0.0 => Ok(Some(deep / resistance)),
            (_, Some(conductivity)) => {
                let bound = self.pressed.or_else(|| self.bound(plane(deep, conductivity)));
                Ok(Some(bound.map_or(conductivity, |most| deep / most)))
            }
            _ => Err(self.unresisting()),
        }
    }

    /// What its label says, where that is less than its depth would make of it.
    fn bound(&self, resistance: ThermalResistance) -> Option<ThermalResistance> {
        self.at_most.filter(|most| most.si() > 0.0 && most.si() * ROUNDED < resistance.si())
    }

    /// Its density; air weighs nothing.
    ///
    /// # Errors
    /// [`Lack`] where the material has none.
    pub fn density(&self) -> Result<Density, Lack> {
        let Some(material) = self.material else { return Ok(Density::default()) };
        let path = format!("materials.{}", self.id);
        material.density.ok_or_else(|| Lack::at(format!("{path} has no density"), path))
    }

    pub(crate) fn thickness(&self, depth: Option<Length>) -> Result<Length, Lack> {
        depth.ok_or_else(|| Lack::at(format!("{} has no thickness for {}", self.path, self.id), self.path.as_str()))
    }

    fn unresisting(&self) -> Lack {
        let because = format!("materials.{} has neither conductivity nor resistance", self.id);
        Lack::at(because, format!("{}.material", self.path))
    }
}

/// Resistance of a plane homogeneous layer, by [`Plane`].
pub fn plane(thickness: Length, conductivity: Conductivity) -> ThermalResistance {
    Plane { d: thickness, λ: conductivity }.value()
}

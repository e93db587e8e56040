//! One layer: its place, its depth and what it is made of.

use crate::Matter;
use mateline_equation::equation;
use mateline_films::surface::Direction;
use mateline_model::home::{self, Framing, Home, LayerKind, Role};
use mateline_model::quantity::{Density, Length, Ratio, Units};
use mateline_sdk::Lack;

equation! {
    /// Mean density of a framed layer. Source: common practice, no source.
    pub MeanDensity = "ρ = f ρm + (1 − f) ρc" {
        ρ: Density "mean density of the layer" [Units::DENSITY],
        f: Ratio "share of framing" [crate::framing::SHARE],
        ρm: Density "density of the members" [Units::DENSITY],
        ρc: Density "density of what lies between them" [Units::DENSITY],
    }
}

/// A layer in its place.
#[derive(Clone, Debug, PartialEq)]
pub struct Layer<'a> {
    /// Place in the assembly's list.
    pub index: usize,
    /// Path in the home: `assemblies.wall.layers.2`.
    pub path: String,
    /// As the home gives it.
    pub given: &'a home::Layer,
    /// What it is made of.
    pub body: Body<'a>,
    /// Whether it lies inside of any ventilated cavity, and so resists.
    pub counts: bool,
}

/// What a layer is made of.
#[derive(Clone, Debug, PartialEq)]
pub enum Body<'a> {
    /// One material, or a closed air space.
    Plain(Matter<'a>),
    /// Members with something between them.
    Framed {
        /// As the home gives it.
        framing: &'a Framing,
        /// What lies between the members.
        fill: Matter<'a>,
        /// The members.
        member: Matter<'a>,
    },
    /// A cavity ventilated with outdoor air, this deep.
    Vented(Length),
}

impl<'a> Layer<'a> {
    pub(crate) fn of(
        home: &'a Home,
        given: &'a home::Layer,
        index: usize,
        path: String,
        flow: Direction,
        counts: bool,
    ) -> Result<Layer<'a>, Lack> {
        let matter =
            |id: &'a str, depth| Matter::find(home, id, depth, flow, &path).map(|found| Matter { counts, ..found });
        let body = match given.kind().map_err(|because| Lack::at(format!("{path}: {because}"), path.as_str()))? {
            LayerKind::Material(name, depth) => Body::Plain(matter(name, depth)?),
            LayerKind::AirSpace(depth) => Body::Plain(Matter { counts, ..Matter::air(depth, flow, &path) }),
            LayerKind::VentedCavity(depth) => Body::Vented(depth),
            LayerKind::Framed(framing) => {
                let depth = Some(framing.size.depth);
                let fill = matter(&framing.fill, depth)?.between_members();
                Body::Framed { framing, fill, member: matter(&framing.member, depth)? }
            }
        };
        Ok(Layer { index, path, given, body, counts })
    }

    /// Its depth; none where a material is given without.
    pub fn depth(&self) -> Option<Length> {
        match &self.body {
            Body::Plain(matter) | Body::Framed { fill: matter, .. } => matter.depth,
            Body::Vented(depth) => Some(*depth),
        }
    }

    /// Its depth; none for a coating or membrane that is given without, which has none to speak of.
    ///
    /// # Errors
    /// [`Lack`] where anything else is given without a depth.
    pub fn extent(&self) -> Result<Option<Length>, Lack> {
        match (self.depth(), self.clear()) {
            (None, Some(matter)) if !matter.is_sheet() => {
                Err(Lack::at(format!("{} ({}) has no thickness", self.path, matter.id), self.path.as_str()))
            }
            (depth, _) => Ok(depth),
        }
    }

    /// The place in the home where its depth is given.
    pub fn depth_path(&self) -> String {
        let field = match &self.body {
            Body::Framed { .. } => "framed.size",
            Body::Vented(_) => "vented-cavity",
            Body::Plain(_) if self.given.air_space.is_some() => "air-space",
            Body::Plain(_) => "thickness",
        };
        format!("{}.{field}", self.path)
    }

    /// What it is made of away from any member; none in a ventilated cavity.
    pub fn clear(&self) -> Option<&Matter<'a>> {
        match &self.body {
            Body::Plain(matter) | Body::Framed { fill: matter, .. } => Some(matter),
            Body::Vented(_) => None,
        }
    }

    /// Its framing.
    pub fn framing(&self) -> Option<&'a Framing> {
        match &self.body {
            Body::Framed { framing, .. } => Some(framing),
            Body::Plain(_) | Body::Vented(_) => None,
        }
    }

    /// Whether the home gives it a role.
    pub fn has(&self, role: Role) -> bool {
        self.given.role.iter().any(|one| *one == role)
    }

    /// Whether it is insulation, or framing with insulation between the members.
    pub fn insulates(&self) -> bool {
        self.has(Role::ContinuousInsulation) || self.clear().is_some_and(Matter::insulates)
    }

    /// Mean density, with this share of its face framing, by [`MeanDensity`]. Air weighs nothing.
    ///
    /// # Errors
    /// [`Lack`] where a material has no density.
    pub fn density(&self, share: Ratio) -> Result<Density, Lack> {
        match &self.body {
            Body::Plain(matter) => matter.density(),
            Body::Framed { fill, member, .. } => {
                Ok(MeanDensity { f: share, ρm: member.density()?, ρc: fill.density()? }.value())
            }
            Body::Vented(_) => Ok(Density::default()),
        }
    }
}

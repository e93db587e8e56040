//! A framed wall in plan, from the middle of a member to the middle of a cavity: for framing that no hand method treats,
//! such as metal, and to see how near the hand methods are.

use mateline_conduction::section::{Environment, Part, Rect, Section, Surface};
use mateline_model::quantity::{Conductivity, Length, ThermalResistance};

/// A layer of the wall.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct PlanLayer {
    /// How thick it is.
    pub thickness: Length,
    /// Conductivity, between members where there are any.
    pub conductivity: Conductivity,
    /// Conductivity of members through the whole depth of the layer.
    pub member: Option<Conductivity>,
}

/// Half of one spacing of a wall, cut at the planes of symmetry. The U-factor is `L2D` over half the spacing.
///
/// `layers` from inside to outside; `films` inner and outer; `width` of a member's face and `spacing` from centre to
/// centre.
pub fn framed_wall(
    layers: &[PlanLayer],
    films: (ThermalResistance, ThermalResistance),
    width: Length,
    spacing: Length,
) -> Section {
    let (member_edge, right) = (width.si() / 2.0, spacing.si() / 2.0);
    let mut section = Section {
        environments: vec![
            Environment { name: "inside".to_owned(), is_inside: true },
            Environment { name: "outside".to_owned(), is_inside: false },
        ],
        ..Section::default()
    };
    let mut high = 0.0;
    let surface = |y: f64, environment: usize, resistance: ThermalResistance| Surface {
        rect: Rect::new(0.0, y, right, y),
        environment,
        resistance: resistance.si(),
        watched: true,
    };
    section.surfaces.push(surface(high, 0, films.0));
    for layer in layers {
        let low = high - layer.thickness.si();
        let mut put = |left: f64, right: f64, conductivity: Conductivity, name: &str| {
            let rect = Rect::new(left, low, right, high);
            section.parts.push(Part { rect, conductivity: conductivity.si(), name: name.to_owned() });
        };
        match layer.member {
            Some(member) => {
                put(0.0, member_edge, member, "member");
                put(member_edge, right, layer.conductivity, "between members");
            }
            None => put(0.0, right, layer.conductivity, "layer"),
        }
        high = low;
    }
    section.surfaces.push(surface(high, 1, films.1));
    section
}

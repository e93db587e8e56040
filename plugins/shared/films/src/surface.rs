//! Surface resistances of the two traditions: ISO 6946 and the handbook's air films.

use mateline_model::home::{AssemblyKind, Boundary};
use mateline_model::quantity::ThermalResistance;

/// Which way heat flows through a component in winter.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Direction {
    /// Through ceilings and roofs.
    Up,
    /// Through walls, and anything within 30 degrees of it.
    Level,
    /// Through floors.
    Down,
}

impl Direction {
    /// The direction that an assembly's kind implies.
    pub fn of(kind: AssemblyKind) -> Direction {
        match kind {
            AssemblyKind::Ceiling | AssemblyKind::Roof => Direction::Up,
            AssemblyKind::Floor | AssemblyKind::ExposedFloor | AssemblyKind::Slab => Direction::Down,
            AssemblyKind::Wall
            | AssemblyKind::MassWall
            | AssemblyKind::BasementWall
            | AssemblyKind::CrawlWall
            | AssemblyKind::Interior => Direction::Level,
        }
    }

    /// In a sentence.
    pub fn words(self) -> &'static str {
        match self {
            Direction::Up => "heat flowing up",
            Direction::Level => "heat flowing level",
            Direction::Down => "heat flowing down",
        }
    }
}

/// What touches the outer face of a component.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum OuterSide {
    /// Outdoor air in winter.
    Wind,
    /// Air out of the wind: an attic, a crawl space, a garage, a ventilated cavity, or a room.
    StillAir,
    /// Soil.
    Ground,
}

impl OuterSide {
    /// What a boundary puts against the outer face.
    pub fn of(boundary: Boundary) -> OuterSide {
        match boundary {
            Boundary::Outdoor => OuterSide::Wind,
            Boundary::Ground => OuterSide::Ground,
            Boundary::Attic
            | Boundary::CrawlSpace
            | Boundary::UnheatedBasement
            | Boundary::Garage
            | Boundary::Unheated
            | Boundary::Conditioned => OuterSide::StillAir,
        }
    }

    /// What touches the outermost layer that resists: the air of a cavity ventilated with outdoor air is out of the wind.
    ///
    /// Source: ISO 6946:2017, well-ventilated air layers (from memory).
    pub fn beyond(is_ventilated: bool, boundary: Boundary) -> OuterSide {
        if is_ventilated { OuterSide::StillAir } else { OuterSide::of(boundary) }
    }

    /// In a sentence.
    pub fn words(self) -> &'static str {
        match self {
            OuterSide::Wind => "winter wind outside",
            OuterSide::StillAir => "still air outside",
            OuterSide::Ground => "soil outside, with no film",
        }
    }
}

/// The inner and outer surface resistance of a component.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Films {
    /// `Rsi` (m²·K/W).
    pub inner: ThermalResistance,
    /// `Rse` (m²·K/W).
    pub outer: ThermalResistance,
}

/// m²·K/W in one h·ft²·°F/Btu, from the foot and the international table Btu.
const INCH_POUND: f64 = 0.3048 * 0.3048 * 3_600.0 * (5.0 / 9.0) / 1_055.055_852_62;

/// Surface resistances: `Rsi` 0.10, 0.13 and 0.17 m²·K/W for heat flowing up, level and down; `Rse` 0.04 m²·K/W towards
/// outdoors. Still air on the outer side, as in a well-ventilated layer, has the resistance of the inner side; soil none.
///
/// Source: ISO 6946:2017, table 7 and well-ventilated air layers (from memory, high).
pub const fn iso_6946(direction: Direction, outer: OuterSide) -> Films {
    let still = ThermalResistance::from_si(match direction {
        Direction::Up => 0.10,
        Direction::Level => 0.13,
        Direction::Down => 0.17,
    });
    let outer = match outer {
        OuterSide::Wind => ThermalResistance::from_si(0.04),
        OuterSide::StillAir => still,
        OuterSide::Ground => ThermalResistance::from_si(0.0),
    };
    Films { inner: still, outer }
}

/// Air films: inside, still air, 0.61, 0.68 and 0.92 h·ft²·°F/Btu for heat flowing up, level and down; outside, winter
/// wind of 15 mph, 0.17 h·ft²·°F/Btu. Still air on the outer side has the film of the inner side; soil has none.
///
/// Source: ASHRAE Fundamentals, ch. 26, surface films: 0.68 and 0.17 looked up, 0.61 and 0.92 from memory, high.
pub const fn handbook(direction: Direction, outer: OuterSide) -> Films {
    let still = ThermalResistance::from_si(INCH_POUND * still_air(direction));
    let outer = match outer {
        OuterSide::Wind => ThermalResistance::from_si(INCH_POUND * 0.17),
        OuterSide::StillAir => still,
        OuterSide::Ground => ThermalResistance::from_si(0.0),
    };
    Films { inner: still, outer }
}

/// Where the films of [`handbook`] come from, and whether they were looked up: the inner one, then the outer one.
pub const fn handbook_marks(direction: Direction, outer: OuterSide) -> [&'static str; 2] {
    let still = match direction {
        Direction::Level => LOOKED_UP,
        Direction::Up | Direction::Down => RECALLED,
    };
    match outer {
        OuterSide::Wind => [still, LOOKED_UP],
        OuterSide::StillAir => [still, still],
        OuterSide::Ground => [still, "soil touches the outer face"],
    }
}

/// The mark of films that were looked up.
pub const LOOKED_UP: &str = "ASHRAE Fundamentals, ch. 26, surface films (looked up)";
/// The mark of films that were recalled.
pub const RECALLED: &str = "ASHRAE Fundamentals, ch. 26, surface films (from memory, high)";

const fn still_air(direction: Direction) -> f64 {
    match direction {
        Direction::Up => 0.61,
        Direction::Level => 0.68,
        Direction::Down => 0.92,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// ISO 6946:2017, table 7 (from memory; Rsi 0.10 to 0.17 and Rse 0.04 looked up in an excerpt).
    #[test]
    fn iso_values() {
        for (direction, inner) in [(Direction::Up, 0.10), (Direction::Level, 0.13), (Direction::Down, 0.17)] {
            let films = |outer| iso_6946(direction, outer);
            assert_eq!(films(OuterSide::Wind).inner.si(), inner);
            assert_eq!(films(OuterSide::Wind).outer.si(), 0.04);
            assert_eq!(films(OuterSide::StillAir).outer.si(), inner);
            assert_eq!(films(OuterSide::Ground).outer.si(), 0.0);
        }
    }

    /// Handbook films in SI as converted tables print them, to half of the last digit: 0.1198, 0.107, 0.162, 0.0299.
    #[test]
    fn handbook_values() {
        let still = |direction| handbook(direction, OuterSide::StillAir).inner.si();
        assert!((still(Direction::Level) - 0.1198).abs() < 0.000_05);
        assert!((still(Direction::Up) - 0.107).abs() < 0.000_5);
        assert!((still(Direction::Down) - 0.162).abs() < 0.000_5);
        assert!((handbook(Direction::Up, OuterSide::Wind).outer.si() - 0.0299).abs() < 0.000_05);
        assert_eq!(handbook(Direction::Down, OuterSide::Ground).outer.si(), 0.0);
    }
}

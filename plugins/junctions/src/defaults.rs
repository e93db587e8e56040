//! Values that stand in for a junction whose construction the home does not describe.

use mateline_model::home::JunctionKind;

/// The mark of every one of them.
pub(crate) const MARK: &str = "default (common practice, no source)";

/// ψ for exterior dimensions (W/(m·K)), on the unfavourable side of what such junctions have in wood-framed homes.
///
/// Source: common practice, no source.
pub(crate) fn psi(kind: JunctionKind) -> f64 {
    match kind {
        JunctionKind::OutsideCorner => 0.02,
        JunctionKind::InsideCorner => 0.10,
        JunctionKind::MateWall | JunctionKind::MateFloor | JunctionKind::MateRoof => 0.06,
        JunctionKind::FloorRim => 0.15,
        JunctionKind::StackedRim => 0.10,
        JunctionKind::WallToAttic => 0.10,
        JunctionKind::WindowJamb | JunctionKind::DoorJamb => 0.10,
        JunctionKind::FoundationTop => 0.20,
        JunctionKind::Footing => 0.30,
        JunctionKind::SlabEdge => 0.50,
    }
}

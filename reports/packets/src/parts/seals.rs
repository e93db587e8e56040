//! What a hand and an eye look for at a seal, and how. Common practice, no source.

use mateline_model::home::{PenetrationSeal, SeamSeal};

/// What is right at a seal of a mate line.
pub(crate) fn of_seam(seal: SeamSeal) -> &'static str {
    match seal {
        SeamSeal::FactoryGasket => "unbroken around the face, ends butted, springs back when pressed",
        SeamSeal::SiteGasket => "laid without a break before the set, pressed on both sides",
        SeamSeal::SiteTape => "stuck flat on both boxes, no fold, pressed down, corners without a hole",
        SeamSeal::SiteSealant => "bead unbroken from end to end, holds on both boxes",
        SeamSeal::SiteFoam => "fills the gap to its depth, no hollow behind, trimmed flush",
        SeamSeal::Membrane => {
            "fixed along its whole edge, loose end unharmed; after the set lapped and sealed on the other box"
        }
    }
}

/// The same at a hole.
pub(crate) fn of_hole(seal: PenetrationSeal) -> &'static str {
    match seal {
        PenetrationSeal::None => "not sealed",
        PenetrationSeal::Sealant => "bead unbroken all round, holds on both sides",
        PenetrationSeal::Foam => "fills the gap all round, trimmed flush, no hollow",
        PenetrationSeal::Grommet => "seated all round, lip flat, tight on what passes through",
        PenetrationSeal::Tape => "stuck flat on both sides, no fold, pressed down",
        PenetrationSeal::Gasketed => "closes on its gasket all round, no paper slides through",
    }
}

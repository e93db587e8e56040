//! The share of a framed layer's face that is framing: one idea of it for heat and for weight.

mod count;
pub mod deck;
mod share;
pub mod wall;

pub use count::{Count, Framed, Part, SHARE};
pub use share::{Known, Share, lies_flat};

use mateline_model::Equation;

/// Every equation of a count.
pub(crate) fn equations() -> [Equation; 20] {
    [
        wall::Clear::EQUATION,
        wall::ClearWithoutRims::EQUATION,
        wall::RegularStuds::EQUATION,
        wall::Rims::EQUATION,
        wall::Plates::EQUATION,
        wall::CutPlates::EQUATION,
        wall::Studs::EQUATION,
        wall::Displaced::EQUATION,
        wall::DisplacedStuds::EQUATION,
        wall::FullHeight::EQUATION,
        wall::Jacks::EQUATION,
        wall::Headers::EQUATION,
        wall::Sills::EQUATION,
        wall::CornerStuds::EQUATION,
        wall::MateStuds::EQUATION,
        wall::Blocking::EQUATION,
        Framed::EQUATION,
        deck::DeckMembers::EQUATION,
        deck::DeckRims::EQUATION,
        deck::DeckBlocking::EQUATION,
    ]
}

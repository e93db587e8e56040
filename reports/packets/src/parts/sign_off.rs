//! Lines for names, signatures and days.

use crate::Audience;
use crate::packet::{Block, Section};

pub(crate) fn section(audience: Audience) -> Section {
    let parties: &[&str] = match audience {
        Audience::Factory => &["Designer", "Plant quality", "Inspection body", "Site contractor"],
        Audience::Owner => &["Designer", "Owner"],
        Audience::PlanReview => &["Design professional in responsible charge", "Plan reviewer"],
        Audience::Verifier | Audience::Record => {
            &["Designer", "Plant quality", "Inspection body", "Site contractor", "Verifier"]
        }
    };
    let blocks = vec![
        Block::paragraph(
            "A signature says that the signer has read this revision and takes on the part named. It makes this packet \
             no certificate, permit or approval.",
        ),
        Block::SignOff { parties: parties.iter().map(|party| (*party).to_owned()).collect() },
    ];
    Section { id: "sign-off", title: "Sign-off", blocks }
}

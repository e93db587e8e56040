//! What a packet does not do, and what can hurt people.

use crate::Audience;
use crate::packet::{Block, Section};

pub(crate) fn section(audience: Audience) -> Section {
    let items: &[&str] = match audience {
        Audience::Owner => &[
            "This is a designer's check of drawings and declared values. It is no certificate, rating, permit or approval.",
            "The code where the home stands and the authority that applies it decide.",
            "Structure, foundations, lifting and anchoring are designed by a licensed engineer; electrical work, fuel and \
             plumbing belong to licensed trades.",
            "Anything that burns fuel in a tight home needs air of its own and alarms for carbon monoxide.",
            "Radon, moulds and chemicals in the air are known only by measuring them in the finished home.",
            "Ventilation works only while it runs and its filters are clean.",
        ],
        Audience::Factory | Audience::Verifier | Audience::PlanReview | Audience::Record => &[
            "This packet is a designer's check. It is no certificate, rating, permit or approval.",
            "The code as adopted and amended where the home stands decides, and so does the authority having jurisdiction. \
             A limit marked from memory has to be read up in its source before anyone relies on it; common practice has no \
             source at all.",
            "Structure, bearing, lifting, transport and anchoring were not designed here. A licensed engineer designs \
             them, and what stands in this packet about them only helps to find gaps early.",
            "Electrical work, fuel, flues and plumbing belong to licensed trades and their inspectors.",
            "Values of the home file were taken as they stand. Tests, certificates and the work have to bear them out.",
            "Only what is listed was computed; what appears nowhere was not checked.",
        ],
    };
    let items = items.iter().map(|item| (*item).to_owned()).collect();
    Section { id: "cautions", title: "Cautions", blocks: vec![Block::List { items }] }
}

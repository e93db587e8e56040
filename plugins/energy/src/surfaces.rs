//! The parts of the envelope as other plugins found them: what stands there, what lies behind, what it loses.

use mateline_model::Subject;
use mateline_model::quantity::{Area, Conductance};
use mateline_sdk::{Lack, Request};

/// A surface of the envelope.
pub(crate) struct Surface<'a> {
    pub subject: &'a Subject,
    /// The assembly that stands there.
    pub assembly: &'a str,
    /// What lies behind, in the take-off's words.
    pub boundary: &'a str,
    /// Where it looks, in the take-off's words.
    pub orientation: &'a str,
    pub area: Area,
}

/// A fact that has to be there.
pub(crate) fn known(request: &Request<'_>, subject: &Subject, quantity: &str) -> Result<f64, Lack> {
    let unknown = || Lack::new(format!("{quantity} of {subject} is not known"));
    request.number(subject, quantity).ok_or_else(unknown)
}

/// Every surface towards anything but heated space.
pub(crate) fn surfaces<'a>(request: &Request<'a>) -> Result<Vec<Surface<'a>>, Lack> {
    let mut all = Vec::new();
    let facts = request.facts;
    for subject in facts.subjects().filter(|subject| subject.section() == "surfaces") {
        let text = |quantity: &str| {
            let found = facts.get(subject, quantity).and_then(|fact| fact.value.text());
            found.ok_or_else(|| Lack::new(format!("{quantity} of {subject} is not known")))
        };
        let boundary = text("takeoff.boundary")?;
        if boundary == "conditioned" {
            continue;
        }
        all.push(Surface {
            subject,
            assembly: text("takeoff.assembly")?,
            boundary,
            orientation: text("takeoff.orientation")?,
            area: Area::from_si(known(request, subject, "takeoff.net_area")?),
        });
    }
    Ok(all)
}

/// Heat loss coefficient of a surface or an opening by itself.
pub(crate) fn loss(request: &Request<'_>, subject: &Subject) -> Result<Conductance, Lack> {
    known(request, subject, "envelope.heat_loss").map(Conductance::from_si)
}

//! What the foundation's facts often want for.

use mateline_model::Subject;
use mateline_sdk::Lack;

/// The foundation does not say something.
pub fn foundation(field: &str) -> Lack {
    Lack::at(format!("the foundation has no {field}"), "foundation")
}

/// The site does not say something.
pub fn site(field: &str) -> Lack {
    Lack::at(format!("the site has no {field}"), "site")
}

/// A fact of another plugin is missing.
pub fn fact(subject: &Subject, quantity: &str) -> Lack {
    Lack::at(format!("{subject} has no {quantity}"), "modules")
}

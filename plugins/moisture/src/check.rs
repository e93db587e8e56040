//! Values of climate, humidity and vapour data that cannot be.

use mateline_model::home::Home;
use mateline_model::{Pointer, Problem};

/// Every problem of the sections this plugin reads.
pub(crate) fn problems(home: &Home) -> Vec<Problem> {
    let mut found = Vec::new();
    if let Some(class) = home.site.humidity_class.filter(|class| !(1..=4).contains(class)) {
        let message = format!("site.humidity_class is {class}; the classes are 1 to 4");
        found.push(problem(
            "site",
            "humidity_class",
            message,
            "give 2 for a dwelling of ordinary use, 3 where its use is not known",
        ));
    }
    for (id, material) in &home.materials {
        let path = format!("materials.{id}");
        if let Some(mu) = material.vapour_resistance.filter(|mu| mu.si() < 1.0) {
            let message =
                format!("{path}.vapour_resistance is {mu}; nothing lets more vapour through than air, which is 1");
            found.push(problem(&path, "vapour_resistance", message, "give µ, the ratio to air of the same thickness"));
        }
        if let Some(permeance) = material.permeance.filter(|permeance| permeance.si() <= 0.0) {
            let message = format!("{path}.permeance is {permeance}; it must be above zero");
            found.push(problem(&path, "permeance", message, "give a small permeance for a layer that is tight"));
        }
    }
    found
}

fn problem(path: &str, field: &str, message: String, help: &str) -> Problem {
    Problem { at: Pointer::new(format!("{path}.{field}")), also: Vec::new(), message, help: Some(help.to_owned()) }
}

//! Values of climate, humidity and vapour data that cannot be.

use mateline_model::home::{Home, Material};
use mateline_model::quantity::Units;
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
        found.extend(cups(home, &path, material));
    }
    found
}

/// What the two cups of a material cannot say together: humid air lets more vapour through a layer, never less.
fn cups(home: &Home, path: &str, material: &Material) -> Option<Problem> {
    let wet = material.wet_cup_permeance?;
    let Some(dry) = material.permeance else {
        let message = format!("{path} has a wet_cup_permeance and no permeance by the dry cup");
        return Some(problem(
            path,
            "wet_cup_permeance",
            message,
            "give both: the class of a retarder is by the dry cup",
        ));
    };
    if wet.si() >= dry.si() {
        return None;
    }
    let (wet, dry) = Units::PERMEANCE.show_pair(wet.into(), dry.into(), home.units);
    let message = format!("{path}.wet_cup_permeance is {wet}, below the {dry} of its dry cup");
    let help = "give procedure A of ASTM E96 as permeance and procedure B as wet_cup_permeance";
    let also = vec![Pointer::new(format!("{path}.permeance"))];
    Some(Problem { also, ..problem(path, "wet_cup_permeance", message, help) })
}

fn problem(path: &str, field: &str, message: String, help: &str) -> Problem {
    Problem { at: Pointer::new(format!("{path}.{field}")), also: Vec::new(), message, help: Some(help.to_owned()) }
}

//! One share of framing: what a box weighs and what its walls lose rest on the same count of members.

use mateline_model::{Report, Subject};
use mateline_tests::{check_file, example};

/// The mass per area of each assembly that a weight of the take-off was worked out with, all its layers counted.
fn weighed(report: &Report) -> Vec<(String, f64)> {
    let mut found = Vec::new();
    for subject in report.facts.subjects().filter(|subject| subject.section() == "modules") {
        let Some(weight) = report.facts.get(subject, "takeoff.weight") else { continue };
        for result in weight.basis.steps.iter().filter_map(|step| step.result.as_ref()) {
            let id =
                result.meaning.strip_prefix("mass per area of ").and_then(|rest| rest.strip_suffix(", all layers"));
            found.extend(id.and_then(|id| Some((id.to_owned(), result.value.number()?.si))));
        }
    }
    found
}

/// Two plugins, one mass: no outside source is needed for their agreement.
#[test]
fn an_assembly_weighs_the_same_for_transport_and_for_heat() {
    for name in ["starter", "heron-lane", "willow-pair"] {
        let report = check_file(&example(name)).unwrap();
        let weighed = weighed(&report);
        assert!(weighed.len() >= 4, "{name}: {weighed:?}");
        for (id, mass) in weighed {
            let subject = Subject::element("assemblies", &id);
            let fact = report.facts.get(&subject, "envelope.surface_mass");
            let other = fact.unwrap_or_else(|| panic!("{name}: {id} has no mass")).value.number().unwrap().si;
            assert!((mass - other).abs() < 1e-9 * other, "{name}, {id}: {mass} and {other} kg/m²");
        }
    }
}

//! The two examples for plugin authors, as their READMEs build and use them.

use crate::libraries::{ACOUSTICS, build, compile, has_compiler, root};
use crate::project::{Project, failure};

/// The example in Rust, with the pack it brings.
#[test]
fn the_example_in_rust_is_approved_and_judged() {
    let project = Project::naming(&["acoustics.so"], &["acoustics.yaml"]);
    project.add(&build(ACOUSTICS), "acoustics.so");
    std::fs::copy(root().join("plugins/example-acoustics/pack.yaml"), project.path().join("acoustics.yaml")).unwrap();
    let approved = project.mateline(&["plugins", "approve", "acoustics.so"]);
    let said = String::from_utf8(approved.stdout).unwrap();
    assert!(said.contains("approved acoustics ") && said.contains("its pack is acoustics.yaml"), "{said}");
    let tested = project.mateline(&["rules", "test", "acoustics.yaml"]);
    let said = String::from_utf8([tested.stdout, tested.stderr].concat()).unwrap();
    assert_eq!(said, "5 examples came out as expected, 0 did not\n");
    let (code, report) = project.check(&[]);
    assert!(code <= 1, "{report:#}");
    assert_eq!(failure(&report, "acoustics"), "none");
    let facts = &report["facts"]["assemblies.wall"];
    let (mass, reduction) = (&facts["envelope.surface_mass"]["value"], &facts["acoustics.reduction_500"]["value"]);
    let by_hand = 20.0 * mateline_model::portable::log10(mass.as_f64().unwrap() * 500.0) - 47.0;
    assert!((reduction.as_f64().unwrap() - by_hand).abs() < 1e-9, "{reduction} against {by_hand}");
    let explained = project.mateline(&["explain", "home.yaml", "assemblies.wall", "acoustics.weighted_reduction"]);
    let explained = String::from_utf8(explained.stdout).unwrap();
    assert!(explained.contains("ISO 717-1") && explained.contains("envelope.surface_mass of assemblies.wall"));
}

/// A pack that judge_by does not name is pointed out; it does not judge by itself.
#[test]
fn a_pack_that_is_not_named_is_pointed_out() {
    if !has_compiler() {
        return;
    }
    let project = Project::naming(&["compactness.so"], &[]);
    compile(&root().join("examples/plugin-c/plugin.c"), &project.path().join("compactness.so"));
    std::fs::write(project.path().join("compactness.yaml"), "pack: own\n").unwrap();
    project.mateline(&["plugins", "approve", "compactness.so"]);
    let (code, report) = project.check(&[]);
    assert!(code <= 1);
    let remarks = report["remarks"].as_array().unwrap();
    let pointed_out = "the plugin 'compactness.so' brings the pack 'compactness.yaml', which 'judge_by' does not name";
    assert!(remarks.iter().any(|remark| remark["message"] == pointed_out && remark["at"]["file"] == "home.yaml"));
}

/// The example in C, held against the facts it reads.
#[test]
fn the_example_in_c_computes_what_it_says() {
    if !has_compiler() {
        return;
    }
    let project = Project::naming(&["compactness.so"], &[]);
    compile(&root().join("examples/plugin-c/plugin.c"), &project.path().join("compactness.so"));
    project.mateline(&["plugins", "approve", "compactness.so"]);
    let (code, report) = project.check(&[]);
    assert!(code <= 1, "{}", failure(&report, "compactness"));
    let home = &report["facts"]["home"];
    let value = |quantity: &str| home[quantity]["value"].as_f64().unwrap();
    let ratio = value("takeoff.interior_envelope_area") / value("takeoff.volume");
    assert!((value("compactness.ratio") - ratio).abs() < 1e-12);
    let explained = project.mateline(&["explain", "home.yaml", "home", "compactness.ratio"]);
    let explained = String::from_utf8(explained.stdout).unwrap();
    assert!(explained.contains("ratio = A / V") && explained.contains("takeoff.volume of home"), "{explained}");
}

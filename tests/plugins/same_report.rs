//! Built-in plugins, loaded as libraries, give the report they give when they are linked in, byte for byte.

use crate::libraries::{build, root};
use mateline_engine::host::{Host, Limits, Start};
use mateline_engine::{Engine, Options};
use mateline_model::Report;
use mateline_reports::text::{Extent, Style};
use mateline_reports::{VERSION, html, json, text};
use std::path::Path;

fn host(firm: &Path, in_process: bool) -> Host {
    Host {
        start: Start { program: env!("CARGO_BIN_EXE_mateline").into(), command: "plugin-child".into() },
        limits: Limits::default(),
        firm: Some(firm.to_owned()),
        strict: false,
        approved: Vec::new(),
        in_process,
    }
}

fn engine(linked_in: bool) -> Engine {
    let plugins: Vec<Box<dyn mateline_sdk::Plugin>> = vec![
        Box::new(mateline_takeoff::Takeoff),
        Box::new(mateline_envelope::Envelope),
        Box::new(mateline_junctions::Junctions),
    ];
    let plugins = if linked_in { plugins } else { Vec::new() };
    Engine::new(plugins, &[], mateline_plugins::materials().clone()).unwrap()
}

/// Every format a report is written in.
fn formats(report: &Report) -> [String; 3] {
    [
        text::check(report, Style::PLAIN, Extent::All),
        serde_json::to_string_pretty(&json::report(report, VERSION)).unwrap(),
        html::report(report).unwrap(),
    ]
}

/// A copy of an example with a few rules of its own.
fn copy(example: &str) -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    copy_into(&root().join("examples").join(example), folder.path());
    std::fs::write(folder.path().join("a-few.yaml"), RULES).unwrap();
    folder
}

/// Checks the copy by those rules, with these libraries.
fn check(engine: &Engine, folder: &Path, libraries: &[&str]) -> Report {
    let mut loaded = engine.load(&folder.join("home.yaml")).unwrap_or_else(|bad| panic!("{bad}"));
    let names = |names: &[&str]| names.iter().map(|name| name.parse().unwrap()).collect();
    loaded.home.judge_by = names(&["a-few.yaml"]);
    loaded.home.plugins = names(libraries);
    loaded.home.waivers.clear();
    engine.check_loaded(loaded, &Options::default()).unwrap_or_else(|bad| panic!("{bad}")).report
}

fn copy_into(from: &Path, to: &Path) {
    for entry in std::fs::read_dir(from).unwrap() {
        let path = entry.unwrap().path();
        let target = to.join(path.file_name().unwrap());
        if path.is_dir() {
            std::fs::create_dir(&target).unwrap();
            copy_into(&path, &target);
        } else {
            std::fs::copy(&path, target).unwrap();
        }
    }
}

const RULES: &str = "\
pack: a-few
title: A few rules
source: Invented
rules:
  wall:
    title: Wall, greatest U-factor
    for_each: assemblies
    value: envelope.u_factor
    at_most: 0.3 W/(m²·K)
    source: Invented
    provenance: common practice, no source
    if_short: Thicken the insulation.
  volume:
    title: Volume, least
    value: takeoff.volume
    at_least: 500 m³
    source: Invented
    provenance: common practice, no source
    if_short: Enlarge the home.
";

#[test]
fn built_in_plugins_loaded_as_libraries_give_the_same_bytes() {
    let libraries = ["takeoff", "envelope", "junctions"].map(|name| build(&format!("examples/{name}_library")));
    let names = ["takeoff.so", "envelope.so", "junctions.so"];
    for example in ["heron-lane", "willow-pair", "starter"] {
        let folder = copy(example);
        let linked_in = check(&engine(true), folder.path(), &[]);
        assert!(linked_in.facts.len() > 50 && !linked_in.figures.is_empty(), "{example}");
        let expected = formats(&linked_in);
        for (library, name) in libraries.iter().zip(names) {
            std::fs::copy(library, folder.path().join(name)).unwrap();
        }
        for in_process in [true, false] {
            let host = host(folder.path(), in_process);
            for name in names {
                host.approve(
                    &folder.path().join(name),
                    &[],
                    folder.path(),
                    &[],
                    mateline_engine::host::Given::default(),
                )
                .unwrap_or_else(|why| panic!("{name}: {why}"));
            }
            let mut loaded = check(&engine(false).hosting(host), folder.path(), &names);
            let failures: Vec<_> = loaded.plugins.iter().filter_map(|plugin| plugin.failure.clone()).collect();
            assert!(failures.is_empty(), "{example}: {failures:?}");
            // On a system that cannot confine a child this is said; it is no part of what was computed.
            loaded.remarks.clear();
            for (found, expected) in formats(&loaded).iter().zip(&expected) {
                assert!(found == expected, "{example} differs, in process: {in_process}");
            }
        }
    }
}

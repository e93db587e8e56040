//! Plugins that each behave and cannot stand in one home: the home is refused at the lines that name them.

use crate::libraries::{compile, has_compiler, root};
use crate::project::Project;

/// Compiles guests into a project under names of their own, approves them and checks the home: exit code and messages.
fn refused(guests: &[(&str, &str)]) -> (Option<i32>, String) {
    let names: Vec<&str> = guests.iter().map(|(_, library)| *library).collect();
    let project = Project::naming(&names, &[]);
    for (source, library) in guests {
        compile(&root().join("tests/misbehaving").join(source), &project.path().join(library));
        let approved = project.mateline(&["plugins", "approve", library]);
        assert!(approved.status.success(), "{}", String::from_utf8_lossy(&approved.stderr));
    }
    let output = project.mateline(&["check", "home.yaml"]);
    assert!(output.stdout.is_empty(), "a home that is refused has no report");
    (output.status.code(), String::from_utf8(output.stderr).unwrap())
}

#[test]
fn a_plugin_of_a_taken_namespace_is_refused_at_its_approval() {
    if !has_compiler() {
        return;
    }
    let project = Project::naming(&["two.so"], &[]);
    compile(&root().join("tests/misbehaving/named-like-another.c"), &project.path().join("two.so"));
    let approved = project.mateline(&["plugins", "approve", "two.so"]);
    let said = String::from_utf8(approved.stderr).unwrap();
    assert_eq!(approved.status.code(), Some(2), "{said}");
    assert!(said.contains("it calls itself 'takeoff', which is the name of something else"), "{said}");
    assert!(!project.path().join("plugins.lock.yaml").exists());
}

#[test]
fn plugins_that_read_in_a_circle_are_each_refused() {
    if !has_compiler() {
        return;
    }
    let (code, said) = refused(&[("reads-the-second.c", "first.so"), ("reads-the-first.c", "second.so")]);
    assert_eq!(code, Some(2), "{said}");
    for way in ["first reads second reads first", "second reads first reads second"] {
        assert!(said.contains(&format!("what it reads leads back to itself: {way}")), "{said}");
    }
    assert_eq!(said.matches("error:").count(), 2, "{said}");
}

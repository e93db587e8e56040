//! Which libraries may be loaded: approved ones, unchanged, that not everybody may write.

use crate::libraries::{compile, has_compiler, root};
use crate::project::{Project, failure};
use std::path::Path;
use std::process::Output;

fn said(output: &Output) -> (i32, String) {
    let text = [output.stdout.as_slice(), output.stderr.as_slice()].concat();
    (output.status.code().unwrap(), String::from_utf8(text).unwrap())
}

/// A project with the guest that behaves, not approved yet.
fn project() -> Project {
    let project = Project::naming(&["plugins/guest.so"], &["guest-rules.yaml"]);
    std::fs::create_dir(project.path().join("plugins")).unwrap();
    compile_to("behaves", &project.path().join("plugins/guest.so"));
    project
}

fn compile_to(name: &str, library: &Path) {
    compile(&root().join("tests/misbehaving").join(name).with_extension("c"), library);
}

#[test]
fn nothing_is_loaded_before_it_is_approved() {
    if !has_compiler() {
        return;
    }
    let project = project();
    // Its rules have no meaning yet: the plugin is named first, then what cannot be read without it.
    let (code, text) = said(&project.mateline(&["check", "home.yaml"]));
    assert_eq!(code, 2, "{text}");
    assert!(
        text.contains("the plugin 'plugins/guest.so' cannot be used: nobody has approved it: its SHA-256 is "),
        "{text}"
    );
    assert!(text.contains("unknown name 'guest.level'"), "{text}");
    let (code, text) = said(&project.mateline(&["plugins", "approve", "plugins/guest.so"]));
    assert_eq!(code, 0, "{text}");
    assert!(text.starts_with("approved guest 1.0.0 in ./plugins.lock.yaml\n  plugins/guest.so\n"), "{text}");
    let (code, report) = project.check(&[]);
    assert!(code <= 1 && failure(&report, "guest") == "none", "{code}");
    let (code, text) = said(&project.mateline(&["plugins"]));
    assert!(code == 0 && text.contains("guest 1.0.0: A guest.\n"), "{text}");
    assert!(text.contains("plugins/guest.so (unchanged)"), "{text}");
}

/// One approval holds a library for each system, and a home that names another system's loads its own.
#[test]
fn one_approval_serves_every_system() {
    if !has_compiler() {
        return;
    }
    let own = std::env::consts::DLL_SUFFIX;
    let project = Project::naming(&["plugins/guest.dylib"], &["guest-rules.yaml"]);
    std::fs::create_dir(project.path().join("plugins")).unwrap();
    let library = format!("plugins/guest{own}");
    compile_to("behaves", &project.path().join(&library));
    std::fs::write(project.path().join("plugins/guest.dylib"), "a library of another system").unwrap();
    let (code, text) = said(&project.mateline(&["plugins", "approve", &library, &library]));
    assert!(code == 2 && text.contains("is no library for another system"), "{code} {text}");
    let (code, text) = said(&project.mateline(&["plugins", "approve", &library, "plugins/guest.dylib"]));
    assert!(code == 0 && text.contains("\n  plugins/guest.dylib\n  SHA-256 "), "{code} {text}");
    let (code, report) = project.check(&[]);
    assert!(code <= 1 && failure(&report, "guest") == "none", "{code} {}", failure(&report, "guest"));
    let (_, text) = said(&project.mateline(&["plugins", "list", "--project", "."]));
    assert_eq!(text.matches("(unchanged)").count(), 2, "{text}");
    std::fs::remove_file(project.path().join(&library)).unwrap();
    let (_, report) = project.check(&[]);
    let why = failure(&report, "guest");
    assert!(why.contains(&format!("cannot read '{library}': there is no such file")), "{why}");
}

/// Without rules that need it, an unknown library fails alone.
#[test]
fn an_unknown_library_fails_alone() {
    if !has_compiler() {
        return;
    }
    let project = Project::naming(&["guest.so"], &[]);
    compile_to("behaves", &project.path().join("guest.so"));
    let (code, report) = project.check(&[]);
    assert_eq!(code, 3);
    assert!(failure(&report, "guest.so").contains("run `mateline plugins approve guest.so`"));
    assert!(report["summary"]["met"].as_u64().unwrap() > 10);
}

/// A project that brings a library and its approval together has approved itself.
#[test]
fn a_strict_run_asks_for_approval_from_outside() {
    if !has_compiler() {
        return;
    }
    let project = project();
    said(&project.mateline(&["plugins", "approve", "plugins/guest.so"]));
    let digest = mateline_engine::host::sha256(&std::fs::read(project.path().join("plugins/guest.so")).unwrap());
    let (code, report) = project.check(&["--strict"]);
    let why = failure(&report, "guest");
    assert!(code == 3 && why.contains("only its own project has approved it, and --strict asks for"), "{code} {why}");
    assert!(why.contains(&digest), "{why}");
    let (code, report) = project.check(&["--strict", "--approve-plugin", &digest.to_uppercase()]);
    assert!(code <= 1 && failure(&report, "guest") == "none", "{code}");
    let (code, report) = project.check(&["--strict", "--approve-plugin", &"0".repeat(64)]);
    assert!(code == 3 && failure(&report, "guest") == why, "{code}");
    let firm = tempfile::tempdir().unwrap();
    let folder = firm.path().to_str().unwrap();
    said(&project.mateline(&["plugins", "approve", "plugins/guest.so", "--firm", folder]));
    let (code, report) = project.check(&["--strict", "--firm", folder]);
    assert!(code <= 1 && failure(&report, "guest") == "none", "{code}");
    // A digest alone is enough, and needs no record.
    std::fs::remove_file(project.path().join("plugins.lock.yaml")).unwrap();
    let (code, report) = project.check(&["--strict", "--approve-plugin", &digest]);
    assert!(code <= 1 && failure(&report, "guest") == "none", "{code}");
}

#[test]
fn a_name_that_means_something_else_is_not_approved() {
    if !has_compiler() {
        return;
    }
    for name in ["takeoff", "modules", "home"] {
        let project = Project::naming(&[], &[]);
        let source = project.path().join("guest.c");
        let guest = root().join("tests/misbehaving/guest.h");
        std::fs::write(&source, format!("#define GUEST_NAME \"{name}\"\n#include \"{}\"\n", guest.display())).unwrap();
        compile(&source, &project.path().join("guest.so"));
        let (code, text) = said(&project.mateline(&["plugins", "approve", "guest.so"]));
        assert!(
            code == 2 && text.contains(&format!("it calls itself '{name}', which is the name of")),
            "{code} {text}"
        );
    }
}

#[test]
fn a_changed_library_is_refused_with_both_digests() {
    if !has_compiler() {
        return;
    }
    let project = project();
    said(&project.mateline(&["plugins", "approve", "plugins/guest.so"]));
    let library = project.path().join("plugins/guest.so");
    let mut bytes = std::fs::read(&library).unwrap();
    let approved = mateline_engine::host::sha256(&bytes);
    bytes.push(0);
    std::fs::write(&library, &bytes).unwrap();
    let (code, report) = project.check(&[]);
    assert_eq!(code, 3);
    let why = failure(&report, "guest");
    let now = mateline_engine::host::sha256(&bytes);
    assert!(why.contains(&format!("its SHA-256 is {now}, and {approved} was approved")), "{why}");
    let (_, text) = said(&project.mateline(&["plugins", "list", "--project", "."]));
    assert!(text.contains("(changed since, refused)"), "{text}");
    // The library goes: what it owed is still known by name.
    std::fs::remove_file(&library).unwrap();
    let (code, report) = project.check(&[]);
    assert_eq!(code, 3);
    assert_eq!(failure(&report, "guest"), "cannot read 'plugins/guest.so': there is no such file");
}

#[cfg(unix)]
#[test]
fn what_everybody_may_write_is_refused() {
    use std::os::unix::fs::PermissionsExt;
    if !has_compiler() {
        return;
    }
    let project = project();
    said(&project.mateline(&["plugins", "approve", "plugins/guest.so"]));
    let set = |name: &str, mode| {
        std::fs::set_permissions(project.path().join(name), std::fs::Permissions::from_mode(mode)).unwrap();
    };
    set("plugins/guest.so", 0o777);
    let (code, report) = project.check(&[]);
    assert_eq!((code, failure(&report, "guest").contains("everybody on this computer may write it")), (3, true));
    let (code, text) = said(&project.mateline(&["plugins", "approve", "plugins/guest.so"]));
    assert!(code == 2 && text.contains("is not approved: everybody on this computer may write it"), "{text}");
    set("plugins/guest.so", 0o755);
    set("plugins.lock.yaml", 0o666);
    let output = project.mateline(&["check", "home.yaml"]);
    assert!(said(&output).1.contains("everybody on this computer may write plugins.lock.yaml"), "{}", said(&output).1);
}

/// A path that leads out of the project is refused, approved or not.
#[test]
fn a_library_outside_the_project_is_refused() {
    let project = Project::naming(&["../guest.so"], &[]);
    let (code, report) = project.check(&[]);
    assert_eq!(code, 3);
    assert_eq!(failure(&report, "../guest.so"), "'../guest.so' is not a path inside the project folder");
}

#[test]
fn what_cannot_shake_hands_cannot_be_approved() {
    if !has_compiler() {
        return;
    }
    let project = Project::naming(&[], &[]);
    let library = project.path().join("guest.so");
    for (name, why) in [
        ("wrong-abi", "it was built for plugin ABI 3; this mateline speaks 1 to 2"),
        ("missing-function", "it does not export mateline_plugin_free"),
    ] {
        compile_to(name, &library);
        let (code, text) = said(&project.mateline(&["plugins", "approve", "guest.so"]));
        assert_eq!(code, 2, "{text}");
        assert!(text.contains(why), "{text}");
    }
    std::fs::write(&library, "not a library").unwrap();
    let (code, text) = said(&project.mateline(&["plugins", "approve", "guest.so"]));
    assert!(code == 2 && text.contains("it cannot be loaded: "), "{text}");
    assert!(!project.path().join("plugins.lock.yaml").exists());
}

/// The firm's record holds for every project, and only what stands there may run in mateline's own process.
#[test]
fn a_firm_approves_for_every_project() {
    if !has_compiler() {
        return;
    }
    let (firm, project) = (tempfile::tempdir().unwrap(), project());
    let folder = firm.path().to_str().unwrap();
    let (code, text) = said(&project.mateline(&["plugins", "approve", "plugins/guest.so", "--firm", folder]));
    assert_eq!(code, 0, "{text}");
    assert!(!project.path().join("plugins.lock.yaml").exists());
    let (code, text) = said(&project.mateline(&["check", "home.yaml"]));
    assert!(code == 2 && text.contains("nobody has approved it"), "{text}");
    for arguments in [&["--firm", folder][..], &["--firm", folder, "--in-process"]] {
        let (code, report) = project.check(arguments);
        assert!(code <= 1 && failure(&report, "guest") == "none", "{arguments:?}");
    }
    let (code, text) = said(&project.mateline(&["check", "home.yaml", "--in-process"]));
    assert!(code == 2 && text.contains("--firm"), "{text}");
}

/// The library itself may lie in the firm's folder, so that no home needs a copy; the record says who approved it and when.
#[test]
fn a_firm_keeps_a_library_for_every_project() {
    if !has_compiler() {
        return;
    }
    let (firm, project) = (tempfile::tempdir().unwrap(), project());
    let folder = firm.path().to_str().unwrap();
    std::fs::create_dir(firm.path().join("plugins")).unwrap();
    let kept = firm.path().join("plugins/guest.so");
    std::fs::rename(project.path().join("plugins/guest.so"), &kept).unwrap();
    let approve =
        ["plugins", "approve", kept.to_str().unwrap(), "--firm", folder, "--by", "R. Alder", "--on", "2026-11-02"];
    let (code, text) = said(&project.mateline(&approve));
    assert_eq!(code, 0, "{text}");
    let record = std::fs::read_to_string(firm.path().join("plugins.lock.yaml")).unwrap();
    assert!(record.contains("    by: \"R. Alder\"\n    on: 2026-11-02\n"), "{record}");
    let (_, listed) = said(&project.mateline(&["plugins", "list", "--firm", folder]));
    assert!(listed.contains("approved by R. Alder on 2026-11-02"), "{listed}");
    let (code, report) = project.check(&["--strict", "--firm", folder]);
    assert!(code <= 1 && failure(&report, "guest") == "none");
    let (code, text) = said(&project.mateline(&["check", "home.yaml"]));
    assert!(code == 2 && text.contains("there is no such file"), "without the firm: {text}");
}

/// A project's own record does not bring a library into mateline's process, where it would not be confined.
#[cfg(target_os = "linux")]
#[test]
fn a_project_cannot_bring_a_library_into_the_process() {
    if !has_compiler() {
        return;
    }
    let (firm, project) = (tempfile::tempdir().unwrap(), project());
    compile_to("opens-socket", &project.path().join("plugins/guest.so"));
    said(&project.mateline(&["plugins", "approve", "plugins/guest.so"]));
    let (code, report) = project.check(&["--firm", firm.path().to_str().unwrap(), "--in-process"]);
    assert_eq!(code, 3);
    assert!(failure(&report, "guest").contains("it made a system call that is not a plugin's"));
}

//! Making plugin libraries: C files by the system's compiler, crates by cargo.

use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::Once;

/// The folder of the project.
pub fn root() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../..").canonicalize().unwrap()
}

/// Whether there is a C compiler; a test that needs one is left out where there is none.
pub fn has_compiler() -> bool {
    let found = Command::new("cc").arg("--version").output().is_ok_and(|output| output.status.success());
    if !found {
        println!("left out: plugins in C, for there is no C compiler (cc)");
    }
    found
}

/// Compiles a C file into a library.
pub fn compile(source: &Path, library: &Path) {
    let output = Command::new("cc")
        .args(["-std=gnu99", "-Wall", "-Wextra", "-Wno-infinite-recursion", "-shared", "-fPIC", "-pthread", "-I"])
        .arg(root().join("core/sdk/include"))
        .arg("-o")
        .args([library, source])
        .output()
        .unwrap();
    let said = String::from_utf8_lossy(&output.stderr);
    assert!(output.status.success() && said.is_empty(), "{}: {said}", source.display());
}

/// The library of an example for plugin authors.
pub const ACOUSTICS: &str = "mateline_example_acoustics";

/// The library that cargo makes of a plugin: `examples/takeoff_library`. The whole project is built the way its tests
/// are, in the same target folder, so that nothing is compiled for this that is there already.
pub fn build(library: &str) -> PathBuf {
    static BUILT: Once = Once::new();
    BUILT.call_once(|| cargo_build(&["--workspace", "--lib", "--examples"]));
    built("debug", library)
}

fn target() -> &'static Path {
    Path::new(env!("CARGO_TARGET_TMPDIR")).parent().unwrap()
}

/// Builds with cargo into the target folder of this test.
pub fn cargo_build(what: &[&str]) {
    let mut cargo = Command::new(env!("CARGO"));
    cargo.current_dir(root()).args(["build", "--quiet", "--offline"]).args(what).arg("--target-dir").arg(target());
    let output = cargo.output().unwrap();
    assert!(output.status.success(), "{what:?}: {}", String::from_utf8_lossy(&output.stderr));
}

/// Where cargo leaves a library.
pub fn built(profile: &str, library: &str) -> PathBuf {
    let (folder, name) = library.rsplit_once('/').unwrap_or(("", library));
    let file = format!("{}{name}{}", std::env::consts::DLL_PREFIX, std::env::consts::DLL_SUFFIX);
    target().join(profile).join(folder).join(file)
}

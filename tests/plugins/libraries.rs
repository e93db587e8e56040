//! Making plugin libraries: C files by the system's compiler, crates by cargo.

use std::path::{Path, PathBuf};
use std::process::Command;

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

/// Builds crates as libraries, in a target folder of their own, since the one of this test may be in use. A crate that
/// is linked in elsewhere exports its plugin behind the feature `plugin-library`.
pub fn build(package: &str, release: bool) -> PathBuf {
    let target = Path::new(env!("CARGO_TARGET_TMPDIR")).join("plugin-libraries");
    let mut cargo = Command::new(env!("CARGO"));
    cargo.current_dir(root()).args(["rustc", "--quiet", "--offline", "--lib", "--crate-type", "cdylib", "-p", package]);
    if std::fs::read_to_string(manifest(package)).unwrap().contains("\nplugin-library = ") {
        cargo.args(["--features", "plugin-library"]);
    }
    if release {
        cargo.arg("--release");
    }
    let output = cargo.arg("--target-dir").arg(&target).env_remove("RUSTFLAGS").output().unwrap();
    assert!(output.status.success(), "{package}: {}", String::from_utf8_lossy(&output.stderr));
    let file = format!("{}{}{}", std::env::consts::DLL_PREFIX, package.replace('-', "_"), std::env::consts::DLL_SUFFIX);
    target.join(if release { "release" } else { "debug" }).join(file)
}

fn manifest(package: &str) -> PathBuf {
    let name = package.strip_prefix("mateline-").unwrap();
    let folders = ["plugins", "tests/misbehaving"].map(|folder| root().join(folder).join(name).join("Cargo.toml"));
    folders.into_iter().find(|path| path.exists()).unwrap()
}

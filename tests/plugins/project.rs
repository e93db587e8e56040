//! A small project that names plugins, and mateline run on it.

use crate::libraries::root;
use mateline_engine::host::{Approval, Given, Listed, Lock, sha256};
use mateline_sdk::message::Handshake;
use serde_json::Value;
use std::path::{Path, PathBuf};
use std::process::{Command, Output};

/// The rules that need a guest's facts.
const GUEST_PACK: &str = "\
pack: guest-rules
title: Rules on a guest's facts
source: Invented
rules:
  level:
    title: Level of the guest
    value: guest.level
    at_least: '5'
    source: Invented
    provenance: common practice, no source
    if_short: Raise the level.
";

/// A project folder with a home.
pub struct Project {
    folder: tempfile::TempDir,
}

impl Project {
    /// The starter example, which also names these plugins and is also judged by these packs.
    pub fn naming(plugins: &[&str], packs: &[&str]) -> Project {
        let folder = tempfile::tempdir().unwrap();
        let home = std::fs::read_to_string(root().join("examples/starter/home.yaml")).unwrap();
        let (before, after) = home.split_once("judge_by: [").expect("the starter names its packs on one line");
        let packs: String = packs.iter().map(|pack| format!("{pack}, ")).collect();
        let home = format!("{before}judge_by: [{packs}{after}\nplugins: [{}]\n", plugins.join(", "));
        std::fs::write(folder.path().join("home.yaml"), home).unwrap();
        std::fs::write(folder.path().join("guest-rules.yaml"), GUEST_PACK).unwrap();
        Project { folder }
    }

    /// The folder.
    pub fn path(&self) -> &Path {
        self.folder.path()
    }

    /// Puts a library into the folder.
    pub fn add(&self, library: &Path, name: &str) -> PathBuf {
        let path = self.path().join(name);
        std::fs::copy(library, &path).unwrap();
        path
    }

    /// Records a library as approved with this word of it, as if somebody had.
    pub fn record(&self, name: &str, handshake: &Handshake) {
        let bytes = std::fs::read(self.path().join(name)).unwrap();
        let mut lock = Lock::of(self.path()).unwrap();
        let libraries = vec![Listed { file: name.to_owned(), sha256: sha256(&bytes) }];
        lock.approve(Approval { libraries, given: Given::default(), handshake: handshake.clone() });
        lock.write(self.path()).unwrap();
    }

    /// Runs mateline in the folder.
    pub fn mateline(&self, arguments: &[&str]) -> Output {
        let cache = Path::new(env!("CARGO_TARGET_TMPDIR")).join("sections");
        let mut command = Command::new(env!("CARGO_BIN_EXE_mateline"));
        command.args(arguments).env("MATELINE_CACHE", cache).current_dir(self.path()).output().unwrap()
    }

    /// Checks the home: exit code and JSON report.
    pub fn check(&self, arguments: &[&str]) -> (i32, Value) {
        let output = self.mateline(&[&["check", "home.yaml", "--format", "json"], arguments].concat());
        let report = serde_json::from_slice(&output.stdout);
        let report = report.unwrap_or_else(|error| panic!("{error}: {}", String::from_utf8_lossy(&output.stderr)));
        (output.status.code().unwrap(), report)
    }
}

/// What a report says of a plugin's failure.
pub fn failure(report: &Value, plugin: &str) -> String {
    let plugins = report["plugins"].as_array().unwrap();
    let found = plugins.iter().find(|found| found["name"] == plugin);
    let found = found.unwrap_or_else(|| panic!("{plugin} is not named in the result: {plugins:#?}"));
    found["message"].as_str().unwrap_or("none").to_owned()
}

/// The verdicts of all packs but one, and the facts of all plugins but one.
pub fn apart_from(report: &Value, pack: &str, namespace: &str) -> (Vec<Value>, Vec<String>) {
    let verdicts = report["verdicts"].as_array().unwrap();
    let verdicts = verdicts.iter().filter(|verdict| verdict["pack"] != pack).cloned().collect();
    let mut facts = Vec::new();
    for (subject, quantities) in report["facts"].as_object().unwrap() {
        for (quantity, fact) in quantities.as_object().unwrap() {
            if !quantity.starts_with(namespace) {
                facts.push(format!("{subject} {quantity} {fact}"));
            }
        }
    }
    (verdicts, facts)
}

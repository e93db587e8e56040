//! Plugins that misbehave: each is named in the result with what it did, ends the run with 3, and leaves everything
//! else as it is.

use crate::libraries::{build, compile, has_compiler, root};
use crate::project::{Project, apart_from, failure};
use mateline_sdk::message::{Handshake, QuantityDef, Units, ValueKind};
use rayon::prelude::*;
use serde_json::Value;

/// What every guest says of itself.
fn word() -> Handshake {
    let quantity = |name: &str, units: Units, meaning: &str| QuantityDef {
        name: name.into(),
        kind: ValueKind::Number,
        units,
        meaning: meaning.into(),
        words: Vec::new(),
    };
    let metres = Units { si: "m".into(), si_digits: 2, ip: "ft".into(), ip_digits: 2 };
    Handshake {
        abi: 2,
        name: "guest".into(),
        version: "1.0.0".into(),
        about: "A guest.".into(),
        reads: Vec::new(),
        sections: Some(vec!["modules".into()]),
        writes: vec![
            quantity("guest.level", Units::default(), "A level."),
            quantity("guest.length", metres, "A length."),
        ],
    }
}

/// Runs a guest that was compiled from a file of `tests/misbehaving/`.
fn run(name: &str, arguments: &[&str]) -> (i32, Value) {
    run_as(name, &word(), arguments)
}

/// The same, on record with a word of its own.
fn run_as(name: &str, word: &Handshake, arguments: &[&str]) -> (i32, Value) {
    let project = Project::naming(&["guest.so"], &["guest-rules.yaml"]);
    compile(&root().join("tests/misbehaving").join(name).with_extension("c"), &project.path().join("guest.so"));
    project.record("guest.so", word);
    project.check(arguments)
}

/// A run without any guest.
fn alone() -> (Vec<Value>, Vec<String>) {
    let (code, report) = Project::naming(&[], &[]).check(&[]);
    assert!(code <= 1, "the starter runs by itself");
    apart_from(&report, "guest-rules", "guest.")
}

/// Whether the guest failed as it should, and everything else stands.
fn named(
    name: &str,
    (code, report): &(i32, Value),
    why: &str,
    others: &(Vec<Value>, Vec<String>),
) -> Result<(), String> {
    let verdict =
        report["verdicts"].as_array().unwrap().iter().find(|verdict| verdict["pack"] == "guest-rules").unwrap();
    let said = failure(report, "guest");
    if !said.contains(why) {
        Err(format!("{name}: {said}"))
    } else if *code != 3 {
        Err(format!("{name} ends with {code}"))
    } else if apart_from(report, "guest-rules", "guest.") != *others {
        Err(format!("{name} disturbs what does not need it"))
    } else if verdict["verdict"] != "unproven" || !verdict["message"].to_string().contains("plugin guest failed: ") {
        Err(format!("{name}: {verdict}"))
    } else {
        Ok(())
    }
}

/// Name of the file, and what is said of it.
const GUESTS: &[(&str, &str)] = &[
    ("wrong-abi", "it was built for plugin ABI 3; this mateline speaks 1 to 2"),
    ("missing-function", "it does not export mateline_plugin_free"),
    ("aborts", "it aborted (a plugin may use 256 MiB of memory)"),
    ("crashes", "it crashed on memory that is not its own"),
    ("exits", "it ended its process with code 0"),
    ("endless-recursion", "has overflowed its stack"),
    ("memory-flood", "(a plugin may use 256 MiB of memory)"),
    ("huge-answer", "it answered with 1099511627776 bytes; 67108864 are the most"),
    ("no-answer", "it answered with 12 bytes at no address"),
    ("odd-status", "it returned the status 42, which has no meaning"),
    ("gives-up", "it has [31mno table for this climate"),
    ("no-utf8", "it handed back bytes that are not UTF-8 from byte 16 on"),
    ("no-json", "it handed back JSON of another shape: expected value at line 1 column 1"),
    ("other-json", "unknown field `kwantity`"),
    ("foreign-fact", "it states takeoff.volume of home, which it did not declare"),
    ("wrong-unit", "it states guest.length of home, a mass where it declared a length"),
    ("unknown-unit", "it gives a number in 'cubit', which is no unit"),
    ("no-number", "it states guest.level of home, which is not a finite number"),
    ("many-values", "it answered with more than 1000000 values"),
    ("many-facts", "it answered with more than 20000 facts"),
    ("no-basis", "it states a fact whose basis has no method or no source"),
];

/// The same where Linux confines the child.
const CONFINED: &[(&str, &str)] = &[
    ("opens-file", "it made a system call that is not a plugin's"),
    ("opens-file-early", "it could not read the file"),
    ("opens-socket", "it made a system call that is not a plugin's"),
    ("starts-program", "it made a system call that is not a plugin's"),
    ("starts-thread", "it made a system call that is not a plugin's"),
    ("looks-around", "it finds 0 variables and "),
    ("signals-the-host", "it was allowed 0 of them"),
    ("asks-about-files", "it learnt 0 things of files"),
    #[cfg(target_arch = "x86_64")]
    ("calls-by-other-numbers", "it made a system call that is not a plugin's"),
    #[cfg(target_arch = "x86_64")]
    ("calls-as-another-machine", "it made a system call that is not a plugin's"),
    ("spoils-the-pipe", "it spoilt the pipe of answers: what came is no frame"),
];

#[test]
fn a_guest_that_behaves_is_judged() {
    if !has_compiler() {
        return;
    }
    let (code, report) = run("behaves", &[]);
    assert_eq!(failure(&report, "guest"), "none");
    assert!(code <= 1, "{code}");
    assert_eq!(report["facts"]["home"]["guest.level"]["value"], 7.0);
    let verdict =
        report["verdicts"].as_array().unwrap().iter().find(|verdict| verdict["pack"] == "guest-rules").unwrap();
    assert_eq!(verdict["verdict"], "met");
    assert_eq!(apart_from(&report, "guest-rules", "guest."), alone());
}

/// A guest sees the sections it declares; one that was built before these were declared sees the whole home.
#[test]
fn a_guest_is_given_what_it_declares() {
    if !has_compiler() {
        return;
    }
    let (_, report) = run("says-what-it-is-given", &[]);
    assert_eq!(failure(&report, "guest"), "it is given some modules, no assemblies and no packs");
    let older = Handshake { abi: 1, sections: None, ..word() };
    let (_, report) = run_as("older-abi", &older, &[]);
    assert_eq!(failure(&report, "guest"), "it is given some modules, some assemblies and some packs");
    // What it was approved as is compared with all it says now, the number of the boundary included.
    let (_, report) = run("older-abi", &[]);
    assert!(failure(&report, "guest").contains("was approved as guest 1.0.0"), "{report:#}");
}

#[test]
fn every_mischief_is_named_and_disturbs_nothing_else() {
    if !has_compiler() {
        return;
    }
    let others = alone();
    let confined = if cfg!(target_os = "linux") { CONFINED } else { &[] };
    let guests: Vec<&(&str, &str)> = GUESTS.iter().chain(confined).collect();
    let wrong: Vec<String> = guests
        .par_iter()
        .filter_map(|(name, why)| named(name, &run(name, &["--plugin-memory", "256"]), why, &others).err())
        .collect();
    assert!(wrong.is_empty(), "{wrong:#?}");
}

#[test]
fn a_guest_that_never_ends_is_stopped() {
    if !has_compiler() {
        return;
    }
    let others = alone();
    let found = run("endless-loop", &["--plugin-time", "1"]);
    assert_eq!(named("endless-loop", &found, "it had not answered after 1 second and was stopped", &others), Ok(()));
    let found = run("endless-output", &[]);
    let why = "it wrote more than 1 MiB on its error stream and was stopped";
    assert_eq!(named("endless-output", &found, why, &others), Ok(()));
}

/// The longest answer that is taken, of as many values as are taken, keeps mateline within bounds of its own.
#[cfg(target_os = "linux")]
#[test]
fn the_longest_answer_takes_so_much_memory_and_no_more() {
    if !has_compiler() {
        return;
    }
    let project = Project::naming(&["guest.so"], &[]);
    compile(&root().join("tests/misbehaving/as-much-as-may-be.c"), &project.path().join("guest.so"));
    project.record("guest.so", &word());
    let out = project.path().join("report.json");
    let mut running = std::process::Command::new(env!("CARGO_BIN_EXE_mateline"))
        .args(["check", "home.yaml", "--no-cache", "--format", "json", "--out"])
        .arg(&out)
        .current_dir(project.path())
        .stderr(std::process::Stdio::null())
        .spawn()
        .unwrap();
    let mut peak = 0;
    while running.try_wait().unwrap().is_none() {
        // Kilobytes, `VmHWM: 123456 kB`; gone with the process.
        let status = std::fs::read_to_string(format!("/proc/{}/status", running.id())).unwrap_or_default();
        let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
        let now = line.and_then(|line| line.trim().trim_end_matches(" kB").parse().ok()).unwrap_or(0_u64);
        peak = peak.max(now);
        std::thread::sleep(std::time::Duration::from_millis(5));
    }
    let report: Value = serde_json::from_str(&std::fs::read_to_string(&out).unwrap()).unwrap();
    println!("{} MiB at most; {}", peak / 1024, failure(&report, "guest"));
    assert!(peak > 64 * 1024 && peak < 1_500 * 1024, "{peak} kB");
}

/// A plugin in Rust that panics says what the panic says, and its process lives to say it.
#[test]
fn a_panic_is_told_in_its_own_words() {
    let project = Project::naming(&["guest.so"], &["guest-rules.yaml"]);
    project.add(&build("examples/panics_library"), "guest.so");
    project.record("guest.so", &word());
    let found = named("panics", &project.check(&[]), "it panicked: 2 modules are too many", &alone());
    assert_eq!(found, Ok(()));
}

/// What the child is left with is the same for any caller: a handle the caller left open does not reach it.
#[cfg(target_os = "linux")]
#[test]
fn no_handle_and_no_variable_reaches_a_plugin() {
    if !has_compiler() {
        return;
    }
    let project = Project::naming(&["guest.so"], &["guest-rules.yaml"]);
    compile(&root().join("tests/misbehaving/looks-around.c"), &project.path().join("guest.so"));
    project.record("guest.so", &word());
    let finds = |shell: &str| {
        let output = std::process::Command::new("sh")
            .args(["-c", shell, "sh", env!("CARGO_BIN_EXE_mateline")])
            .env("SECRET", "a token")
            .current_dir(project.path())
            .output()
            .unwrap();
        failure(&serde_json::from_slice(&output.stdout).unwrap(), "guest")
    };
    let check = "\"$1\" check home.yaml --format json";
    let left_open = finds(&format!("exec 5</etc/passwd 7</etc/passwd; {check}"));
    // The two pipes, and the library itself.
    assert_eq!(left_open, "it finds 0 variables and 3 handles");
    assert_eq!(finds(check), left_open);
}

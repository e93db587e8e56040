//! Any bytes as a packet's manifest and its signature: refused, or compared with the folder; nothing outside is named
//! as being whole, and nothing is signed by a key that signed nothing.

#![no_main]

use libfuzzer_sys::fuzz_target;
use mateline_packets::{manifest, signature, verify};
use std::path::PathBuf;
use std::sync::LazyLock;

/// A folder of this process.
static FOLDER: LazyLock<PathBuf> = LazyLock::new(|| {
    let folder = std::env::temp_dir().join(format!("mateline-fuzz-manifest-{}", std::process::id()));
    std::fs::create_dir_all(folder.join("schedules")).expect("a folder for the packet");
    std::fs::write(folder.join("packet.html"), "abc").expect("the folder is writable");
    std::fs::write(folder.join("schedules/one.csv"), "a,b\n").expect("the folder is writable");
    folder
});

/// A public key that nobody has made.
const KEY: &str = "RWQBAgMEBQYHCAkKCwwNDg8QERITFBUWFxgZGhscHR4fICEiIyQlJico";

fuzz_target!(|bytes: &[u8]| {
    std::fs::write(FOLDER.join(manifest::NAME), bytes).expect("the folder is writable");
    if let Ok(found) = verify::folder(&FOLDER) {
        assert_eq!(found.sha256, manifest::sha256(bytes));
        if found.is_whole() {
            let names: Vec<&str> = found.manifest.files.keys().map(String::as_str).collect();
            assert_eq!(names, ["packet.html", "schedules/one.csv"]);
        }
    }
    if let Ok(text) = std::str::from_utf8(bytes) {
        assert!(signature::check(KEY, text, b"abc").is_err());
        let _ = signature::public(text);
        assert!(signature::check(text, text, b"abc").is_err());
    }
});

//! `packet`: writing, refusing, verifying, and the exit codes.

use super::{HERON, code, mateline, stderr, stdout};
use std::collections::BTreeMap;
use std::fs;
use std::path::Path;

/// A home with something open. Invented.
const OPEN: &str = "home: Gap House\nrevision: {id: A, date: 2026-10-05}\njudge_by: [modular-practice]\n\
                    site: {place: Nowhere, climate_zone: 6A}\n\
                    modules:\n  A: {level: 1, at: {x: 0 ft, y: 0 ft}, size: {x: 60 ft, y: 18 ft, z: 16 ft}}\n";

#[test]
fn a_packet_is_written_and_verified() {
    let place = tempfile::tempdir().unwrap();
    for reader in ["factory", "verifier", "owner", "plan-review", "record"] {
        let folder = place.path().join("deep").join(reader);
        let folder = folder.to_str().unwrap();
        let written = mateline(&["packet", HERON, "--for", reader, "--out", folder, "--final"]);
        assert_eq!((code(&written), stderr(&written).as_str()), (0, ""), "{reader}");
        assert!(stdout(&written).starts_with("wrote "), "{}", stdout(&written));
        assert_eq!(stdout(&written).contains("--features pdf"), !cfg!(feature = "pdf"));
        let verified = mateline(&["packet", "verify", folder]);
        assert_eq!(code(&verified), 0, "{}", stdout(&verified));
        let digest = |text: String| text.lines().last().unwrap_or_default().to_owned();
        assert_eq!(digest(stdout(&verified)), digest(stdout(&written)));
    }
}

#[test]
fn an_altered_packet_ends_with_one() {
    let place = tempfile::tempdir().unwrap();
    let folder = place.path().join("packet");
    let path = folder.to_str().unwrap();
    assert_eq!(code(&mateline(&["packet", HERON, "--for", "owner", "--out", path])), 0);
    fs::write(folder.join("packet.html"), "x").unwrap();
    let verified = mateline(&["packet", "verify", path]);
    assert_eq!(code(&verified), 1);
    assert!(stdout(&verified).contains("altered: packet.html\n"), "{}", stdout(&verified));
    fs::remove_file(folder.join("manifest.json")).unwrap();
    assert_eq!(code(&mateline(&["packet", "verify", path])), 2);
}

/// A signature notices what a manifest that is changed along with its files does not.
#[test]
fn a_signed_packet_is_known_by_its_key() {
    let place = tempfile::tempdir().unwrap();
    let path = |name: &str| place.path().join(name).to_str().unwrap().to_owned();
    for key in ["key", "other"] {
        let pair = minisign::KeyPair::generate_unencrypted_keypair().unwrap();
        fs::write(path(&format!("{key}.secret")), pair.sk.to_box(None).unwrap().into_string()).unwrap();
        fs::write(path(&format!("{key}.pub")), pair.pk.to_box().unwrap().into_string()).unwrap();
    }
    let packet = path("packet");
    let arguments = ["packet", HERON, "--for", "owner", "--out", &packet, "--sign", &path("key.secret")];
    let written = mateline(&arguments);
    assert_eq!(code(&written), 0, "{}", stderr(&written));
    let verify = |key: &str| mateline(&["packet", "verify", &packet, "--by", &path(key)]);
    let good = verify("key.pub");
    assert_eq!(code(&good), 0, "{}{}", stdout(&good), stderr(&good));
    assert!(
        stdout(&good).contains("key.pub': owner packet of Heron Lane, revision C of 2026-10-05\n"),
        "{}",
        stdout(&good)
    );
    assert_eq!(code(&verify("other.pub")), 1);
    assert!(stdout(&verify("other.pub")).contains("manifest.json is not signed by"));
    assert_eq!(code(&verify("key.secret")), 2, "a secret key is no public one");
    assert!(stdout(&mateline(&["packet", "verify", &packet])).contains("it is signed, which was not checked"));

    // A file and its entry in the manifest, changed together.
    let (page, manifest) = (fs::read(path("packet/packet.html")).unwrap(), path("packet/manifest.json"));
    let digest = mateline_packets::manifest::sha256;
    let bent = [page.as_slice(), b" "].concat();
    let text = fs::read_to_string(&manifest).unwrap();
    let text = text.replace(&digest(&page), &digest(&bent));
    let text = text.replace(&format!("\"bytes\": {}", page.len()), &format!("\"bytes\": {}", bent.len()));
    fs::write(path("packet/packet.html"), bent).unwrap();
    fs::write(&manifest, text).unwrap();
    let unsigned = mateline(&["packet", "verify", &packet]);
    assert_eq!(code(&unsigned), 0, "the files agree with the manifest: {}", stdout(&unsigned));
    let found = verify("key.pub");
    assert_eq!(code(&found), 1);
    assert!(stdout(&found).contains("manifest.json is not signed by"), "{}", stdout(&found));
    fs::remove_file(path("packet/manifest.json.minisig")).unwrap();
    assert!(stdout(&verify("key.pub")).contains("it is not signed\n"));
    assert!(stdout(&mateline(&["packet", "verify", &packet])).contains("shows when its SHA-256 is held against"));
}

#[cfg(unix)]
#[test]
fn what_waits_or_never_ends_is_not_read() {
    let place = tempfile::tempdir().unwrap();
    let packet = place.path().join("packet");
    let path = packet.to_str().unwrap();
    assert_eq!(code(&mateline(&["packet", HERON, "--for", "owner", "--out", path])), 0);
    let pipe = |file: &Path| assert!(std::process::Command::new("mkfifo").arg(file).status().unwrap().success());
    fs::remove_file(packet.join("packet.html")).unwrap();
    pipe(&packet.join("packet.html"));
    let verified = mateline(&["packet", "verify", path]);
    assert!(code(&verified) == 1 && stdout(&verified).contains("altered: packet.html\n"), "{}", stdout(&verified));
    fs::remove_file(packet.join("manifest.json")).unwrap();
    pipe(&packet.join("manifest.json"));
    let verified = mateline(&["packet", "verify", path]);
    assert!(code(&verified) == 2 && stderr(&verified).contains("it is not a file"), "{}", stderr(&verified));
    let home = place.path().join("home.yaml");
    pipe(&home);
    let checked = mateline(&["check", home.to_str().unwrap()]);
    assert!(code(&checked) == 2 && stderr(&checked).contains("'home.yaml' is not a file"), "{}", stderr(&checked));
}

/// A file of 256 MiB is read a piece at a time: less memory than half of it will do. The digest is that of `sha256sum`.
#[cfg(target_os = "linux")]
#[test]
fn a_large_file_is_verified_in_little_memory() {
    const LENGTH: u64 = 256 << 20;
    const ZEROS: &str = "a6d72ac7690f53be6ae46ba88506bd97302a093f7108472bd9efc3cefda06484";
    let place = tempfile::tempdir().unwrap();
    let (home, packet) = (place.path().join("home.yaml"), place.path().join("packet"));
    fs::write(&home, OPEN).unwrap();
    let path = packet.to_str().unwrap();
    assert_eq!(code(&mateline(&["packet", home.to_str().unwrap(), "--for", "owner", "--out", path])), 0);
    fs::File::create(packet.join("packet.html")).unwrap().set_len(LENGTH).unwrap();
    let manifest = packet.join("manifest.json");
    let mut said: serde_json::Value = serde_json::from_slice(&fs::read(&manifest).unwrap()).unwrap();
    said["files"]["packet.html"] = serde_json::json!({"bytes": LENGTH, "sha256": ZEROS});
    fs::write(&manifest, said.to_string()).unwrap();
    let verify = |kilobytes: u64| {
        let script = format!("ulimit -v {kilobytes}; exec \"$0\" packet verify \"$1\"");
        let mut shell = std::process::Command::new("sh");
        shell.args(["-c", &script, env!("CARGO_BIN_EXE_mateline"), path]).output().unwrap()
    };
    let verified = verify(120_000);
    assert!(verified.status.success(), "{}{}", stdout(&verified), stderr(&verified));
    assert!(!verify(10_000).status.success(), "the limit is one");
}

#[test]
fn what_is_there_is_never_overwritten() {
    let place = tempfile::tempdir().unwrap();
    let file = place.path().join("file");
    fs::write(&file, "mine").unwrap();
    let in_use = place.path().to_str().unwrap();
    let refused = mateline(&["packet", HERON, "--for", "owner", "--out", in_use]);
    assert_eq!((code(&refused), stdout(&refused).as_str()), (2, ""));
    assert!(stderr(&refused).contains("is not empty; name a new folder"), "{}", stderr(&refused));
    let refused = mateline(&["packet", HERON, "--for", "owner", "--out", file.to_str().unwrap()]);
    assert_eq!(code(&refused), 2);
    let below = file.join("packet");
    let refused = mateline(&["packet", HERON, "--for", "owner", "--out", below.to_str().unwrap()]);
    assert!(code(&refused) >= 2 && stderr(&refused).starts_with("error: "), "{}", stderr(&refused));
    assert_eq!(fs::read_to_string(&file).unwrap(), "mine");
    assert_eq!(fs::read_dir(place.path()).unwrap().count(), 1);
}

#[test]
fn a_packet_with_open_requirements_is_no_final_one() {
    let place = tempfile::tempdir().unwrap();
    let home = place.path().join("home.yaml");
    fs::write(&home, OPEN).unwrap();
    let (home, out) = (home.to_str().unwrap(), place.path().join("packet"));
    let path = out.to_str().unwrap();
    let refused = mateline(&["packet", home, "--for", "factory", "--out", path, "--final"]);
    assert_eq!((code(&refused), stdout(&refused).as_str()), (1, ""), "{}", stderr(&refused));
    assert!(!out.exists());
    let written = mateline(&["packet", home, "--for", "factory", "--out", path, "--paper", "a4"]);
    assert_eq!(code(&written), 0, "{}", stderr(&written));
    assert!(stdout(&written).contains("not final: requirements are open"));
    assert!(fs::read_to_string(out.join("packet.html")).unwrap().contains("size: a4"));
}

#[test]
fn a_home_that_cannot_be_used_leaves_nothing() {
    let place = tempfile::tempdir().unwrap();
    let home = place.path().join("home.yaml");
    fs::write(&home, "home: [").unwrap();
    let out = place.path().join("packet");
    let refused = mateline(&["packet", home.to_str().unwrap(), "--for", "owner", "--out", out.to_str().unwrap()]);
    assert_eq!(code(&refused), 2);
    assert!(!out.exists());
    assert_eq!(code(&mateline(&["packet"])), 2);
    assert_eq!(code(&mateline(&["packet", HERON, "--for", "nobody", "--out", "x"])), 2);
}

/// Every file below a folder with its bytes.
fn all_files(folder: &Path) -> BTreeMap<String, Vec<u8>> {
    let mut found = BTreeMap::new();
    let mut next = vec![folder.to_owned()];
    while let Some(here) = next.pop() {
        for entry in fs::read_dir(here).unwrap() {
            let path = entry.unwrap().path();
            if path.is_dir() {
                next.push(path);
            } else {
                let name = path.strip_prefix(folder).unwrap().to_str().unwrap().to_owned();
                found.insert(name, fs::read(&path).unwrap());
            }
        }
    }
    found
}

#[test]
fn a_record_gives_itself_again_to_the_byte() {
    let place = tempfile::tempdir().unwrap();
    let firm = place.path().join("firm");
    assert_eq!(code(&mateline(&["new", "--firm", firm.to_str().unwrap()])), 0);
    let (first, again) = (place.path().join("first"), place.path().join("again"));
    let record = |home: &str, firm: &Path, out: &Path| {
        let (firm, out) = (firm.to_str().unwrap(), out.to_str().unwrap());
        let written = mateline(&["packet", home, "--for", "record", "--out", out, "--firm", firm, "--final"]);
        assert_eq!((code(&written), stderr(&written).as_str()), (0, ""));
    };
    record(HERON, &firm, &first);
    assert!(first.join("inputs/records/window-report.txt").is_file());
    let inputs = first.join("inputs");
    record(inputs.join("home.yaml").to_str().unwrap(), &inputs.join("folder-of-the-firm"), &again);
    let (first, again) = (all_files(&first), all_files(&again));
    assert!(first.len() > 30, "{}", first.len());
    assert_eq!(first.keys().collect::<Vec<_>>(), again.keys().collect::<Vec<_>>());
    let other: Vec<&String> =
        first.iter().filter(|(name, bytes)| again.get(*name) != Some(bytes)).map(|(n, _)| n).collect();
    assert!(other.is_empty(), "{other:?}");
}

#[test]
fn a_record_whose_file_is_missing_is_told_and_keeps_a_packet_from_being_final() {
    let place = tempfile::tempdir().unwrap();
    let home = place.path().join("home.yaml");
    let text = "home: Gap House\nrevision: {id: A, date: 2026-10-05}\nsite: {place: Nowhere, climate_zone: 6A}\n\
                modules:\n  A: {level: 1, at: {x: 0 ft, y: 0 ft}, size: {x: 40 ft, y: 13 ft, z: 9 ft}}\n\
                evidence:\n  there: {kind: photograph, file: there.txt}\n  gone: {kind: photograph, file: gone.txt}\n  \
                out: {kind: photograph, file: ../out.txt}\n";
    fs::write(&home, text).unwrap();
    fs::write(place.path().join("there.txt"), "abc").unwrap();
    let (home, out) = (home.to_str().unwrap(), place.path().join("packet"));
    let path = out.to_str().unwrap();
    let refused = mateline(&["packet", home, "--for", "verifier", "--out", path, "--final"]);
    assert_eq!(code(&refused), 1, "{}", stderr(&refused));
    assert!(stderr(&refused).contains("2 files that records name cannot be read"), "{}", stderr(&refused));
    assert!(!out.exists());
    let written = mateline(&["packet", home, "--for", "verifier", "--out", path]);
    assert_eq!(code(&written), 0, "{}", stderr(&written));
    assert!(stdout(&written).contains("not final: files are missing"), "{}", stdout(&written));
    let csv = fs::read_to_string(out.join("schedules/record-files.csv")).unwrap();
    // FIPS 180-4, example "abc" (from memory, high).
    assert!(
        csv.contains("there.txt,there,3,ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad"),
        "{csv}"
    );
    assert!(csv.contains("gone.txt,gone,missing,cannot read 'gone.txt': there is no such file"), "{csv}");
    assert!(csv.contains("'../out.txt' is not a path inside the project folder"), "{csv}");
    assert!(fs::read_to_string(out.join("packet.html")).unwrap().contains("Not final: files are missing"));
}

#[cfg(target_os = "linux")]
#[test]
fn a_folder_that_cannot_be_written_leaves_nothing() {
    // A device that takes no file, whoever asks.
    let refused = mateline(&["packet", HERON, "--for", "owner", "--out", "/proc/packet"]);
    assert_eq!((code(&refused), stdout(&refused).as_str()), (3, ""));
    assert!(stderr(&refused).starts_with("error: cannot write '/proc/packet': "), "{}", stderr(&refused));
}

/// A limit on the length of a file stands in for a disk that is full: the system refuses to write on.
#[cfg(target_os = "linux")]
#[test]
fn a_full_disk_leaves_nothing() {
    let place = tempfile::tempdir().unwrap();
    let script = "trap '' XFSZ; ulimit -f 32; exec \"$0\" packet \"$1\" --for factory --out \"$2\"";
    let out = place.path().join("packet");
    let output = std::process::Command::new("sh")
        .args(["-c", script, env!("CARGO_BIN_EXE_mateline"), HERON])
        .arg(&out)
        .current_dir(super::root())
        .output()
        .unwrap();
    assert_eq!((code(&output), stdout(&output).as_str()), (3, ""));
    assert!(stderr(&output).contains("cannot write '"), "{}", stderr(&output));
    assert_eq!(fs::read_dir(place.path()).unwrap().count(), 0, "neither a packet nor a part of one");
}

/// The owner's paper tells what would meet what is open, with prices, when it is asked to; the others hold what is decided.
#[test]
fn the_owner_is_told_choices_and_their_prices() {
    let folder = tempfile::tempdir().unwrap();
    let home = folder.path().join("home.yaml");
    let text = fs::read_to_string(crate::root().join("examples/starter/home.yaml")).unwrap();
    let text = text.replacen(
        "thickness: 2 in, role: continuous-insulation",
        "thickness: 1/2 in, role: continuous-insulation",
        1,
    );
    let text = text.replacen("codes: {energy: 2021}", "codes: {energy: 2021, energy_path: by-component}", 1);
    let levers = "\nlevers:\n  outside-insulation:\n    per: takeoff.net_area\n    prices: {1/2 in: 1 $/ft², 1 in: 2 $/ft², 2 in: 3 $/ft²}\n";
    fs::write(&home, text + levers).unwrap();
    let path = home.to_str().unwrap();
    let out = folder.path().join("owner");
    let made = mateline(&["packet", path, "--for", "owner", "--choices", "--out", out.to_str().unwrap()]);
    assert_eq!(code(&made), 0, "{}", stderr(&made));
    let page = fs::read_to_string(out.join("packet.html")).unwrap();
    for part in ["Choices that are still open", "What would meet it", "+$", "instead of 1/2 in"] {
        assert!(page.contains(part), "{part}");
    }
    let factory = folder.path().join("factory");
    let refused = mateline(&["packet", path, "--for", "factory", "--choices", "--out", factory.to_str().unwrap()]);
    assert_eq!((code(&refused), factory.exists()), (2, false), "{}", stderr(&refused));
}

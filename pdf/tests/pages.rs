//! The PDF of each packet: that there is one, what it says of itself, and that hostile text changes nothing.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic, reason = "a test may stop here")]

use mateline_engine::{Engine, Options};
use mateline_packets::{Attached, Audience, Packet, Paper, build};
use std::path::{Path, PathBuf};

fn packet(home: &Path, audience: Audience) -> Packet {
    let engine =
        Engine::new(mateline_plugins::built_in(), mateline_rules::PACKS, mateline_plugins::materials().clone())
            .unwrap();
    let report = engine.check(home, &Options::default()).unwrap_or_else(|bad| panic!("{bad}"));
    let folder = home.parent().unwrap();
    let attached = Attached::read(&report, |name| std::fs::read(folder.join(name)).map_err(|error| error.to_string()));
    build(&report, &attached, audience).unwrap()
}

fn example(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../examples").join(name).join("home.yaml")
}

fn set(packet: &Packet, paper: Paper) -> Vec<u8> {
    mateline_pdf::pdf(packet, paper).unwrap_or_else(|error| panic!("{error}"))
}

fn holds(bytes: &[u8], part: &str) -> bool {
    bytes.windows(part.len()).any(|window| window == part.as_bytes())
}

#[test]
fn a_packet_is_an_archived_and_accessible_pdf_with_no_date_but_the_revisions() {
    let packet = packet(&example("starter"), Audience::Factory);
    let letter = set(&packet, Paper::Letter);
    assert!(letter.starts_with(b"%PDF-1.7"));
    for part in ["pdfaid:part>2<", "pdfaid:conformance>A<", "pdfuaid:part>1<", "/MarkInfo", "/Lang"] {
        assert!(holds(&letter, part), "{part}");
    }
    let date = packet.date.replace('-', "");
    assert!(holds(&letter, &format!("D:{date}")), "the revision's date");
    assert_eq!(letter, set(&packet, Paper::Letter), "the same bytes twice");
    let a4 = set(&packet, Paper::A4);
    assert!(holds(&letter, "/MediaBox[0 0 612 792]") && !holds(&a4, "/MediaBox[0 0 612 792]"));
}

#[test]
fn hostile_text_stays_text() {
    for evil in [
        "#panic(\\\"boom\\\") $x$ <tag> @ref */ // `raw` \\\\",
        "\\\"); #import \\\"packet.json\\\"; (\\\"",
        "</text></svg><script>alert(1)</script>",
        "🏠👩‍🔧 שלום مرحبا \\u202e\\u0007\\u0000",
    ] {
        let place = tempfile::tempdir().unwrap();
        let home = place.path().join("home.yaml");
        let text = format!(
            "home: \"{evil}\"\nrevision: {{id: \"{evil}\", date: 2026-10-05, note: \"{evil}\"}}\n\
             judge_by: [modular-practice]\nsite: {{place: \"{evil}\", climate_zone: 6A}}\n\
             modules:\n  A: {{level: 1, at: {{x: 0 ft, y: 0 ft}}, size: {{x: 44 ft, y: 13 ft, z: 9 ft}}, note: \"{evil}\"}}\n\
             evidence: {{e: {{kind: photograph, product: \"{evil}\"}}}}\n"
        );
        std::fs::write(&home, text).unwrap();
        for audience in [Audience::Factory, Audience::Owner] {
            assert!(set(&packet(&home, audience), Paper::A4).starts_with(b"%PDF-"));
        }
    }
}

#[test]
#[ignore = "writes the four packets of Heron Lane for a look: MATELINE_LOOK=FOLDER [MATELINE_FOR=owner] cargo test look -- --ignored"]
fn look() {
    let folder = PathBuf::from(std::env::var("MATELINE_LOOK").expect("a folder is given"));
    std::fs::create_dir_all(&folder).unwrap();
    let wanted = std::env::var("MATELINE_FOR").ok();
    for audience in Audience::ALL.into_iter().filter(|a| wanted.as_deref().is_none_or(|word| word == a.word())) {
        let packet = packet(&example("heron-lane"), audience);
        std::fs::write(folder.join(format!("{}.pdf", audience.word())), set(&packet, Paper::Letter)).unwrap();
    }
}

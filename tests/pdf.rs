//! The PDF of each packet: that there is one, what it says of itself, and that hostile text changes nothing.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test may stop here"
)]

#[path = "pdf/pages.rs"]
mod pages;

use mateline_engine::{Engine, Options};
use mateline_model::Report;
use mateline_packets::{Attached, Audience, Block, Packet, Paper, Table, build};
use std::path::{Path, PathBuf};
use std::process::Command;
use std::time::{Duration, Instant};

fn engine() -> Engine {
    Engine::new(mateline_plugins::built_in(), mateline_rules::PACKS, mateline_plugins::materials().clone()).unwrap()
}

fn packet(home: &Path, audience: Audience) -> Packet {
    let report = engine().check(home, &Options::default()).unwrap_or_else(|bad| panic!("{bad}"));
    packet_of(&report, home, audience)
}

fn packet_of(report: &Report, home: &Path, audience: Audience) -> Packet {
    let folder = home.parent().unwrap();
    let attached = Attached::read(report, |name| std::fs::read(folder.join(name)).map_err(|error| error.to_string()));
    build(report, &attached, audience).unwrap()
}

fn example(name: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name).join("home.yaml")
}

fn set(packet: &Packet, paper: Paper) -> Vec<u8> {
    mateline_pdf::pdf(packet, paper, None).unwrap_or_else(|error| panic!("{error}"))
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
fn a_firm_has_a_style_of_its_own() {
    let packet = packet(&example("starter"), Audience::Owner);
    let style = "#let size = 12pt\n#let below-head = [Questions go to the office of invention.]\n";
    let styled = mateline_pdf::pdf(&packet, Paper::Letter, Some(style)).unwrap_or_else(|error| panic!("{error}"));
    let place = tempfile::tempdir().unwrap();
    let path = place.path().join("owner.pdf");
    std::fs::write(&path, styled).unwrap();
    if let Some(text) = told("pdftotext", &[path.to_str().unwrap(), "-"]) {
        assert!(bare(&text).contains("Questionsgototheofficeofinvention."));
    }
    for (style, place, words) in [
        ("#let ink = black\n#let size = (\n", "firm.typ:2: ", "unclosed delimiter"),
        ("\n\n#let size = lenght\n", "firm.typ:3: ", "unknown variable: lenght"),
        ("#let x = read(\"/etc/hostname\")\n", "firm.typ:1: ", "access denied"),
        ("#let size = [large]\n", "firm.typ: ", "expected length"),
    ] {
        let error = mateline_pdf::pdf(&packet, Paper::Letter, Some(style)).unwrap_err();
        let told = error.to_string();
        assert!(error.is_of_firm() && told.starts_with(&format!("the firm's reports/{place}")), "{told}");
        assert!(told.contains(words), "{told}");
    }
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

/// What a program says of a PDF; none where the program is not installed.
fn told(program: &str, arguments: &[&str]) -> Option<String> {
    let output = match Command::new(program).args(arguments).output() {
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => {
            println!("left out: {program} on the packets (it is not installed)");
            return None;
        }
        output => output.unwrap(),
    };
    let told = String::from_utf8_lossy(&output.stdout).into_owned();
    assert!(output.status.success(), "{program} {arguments:?}: {told}{}", String::from_utf8_lossy(&output.stderr));
    Some(told)
}

/// Letters, digits and signs without the space between them, which every reader sets in its own way.
fn bare(text: &str) -> String {
    text.chars().filter(|c| !c.is_whitespace() && !matches!(c, '\u{200b}' | '\u{ad}' | '\u{fffd}')).collect()
}

/// Every text that the packet has: of tables, sheets, lists and paragraphs.
fn texts(packet: &Packet) -> Vec<String> {
    let mut texts: Vec<String> = packet.standing.sentences.clone();
    texts.extend(packet.standing.lines.iter().map(|line| line.text.clone()));
    let of_table = |table: &Table| -> Vec<String> {
        let heads = table.columns.iter().map(|column| column.full_head());
        heads.chain(table.rows.iter().flatten().map(|cell| cell.printed().to_owned())).collect()
    };
    for section in &packet.sections {
        texts.push(section.title.to_owned());
        for block in &section.blocks {
            match block {
                Block::Paragraph { text } => texts.push(text.clone()),
                Block::Page { title } => texts.push(title.clone()),
                Block::List { items } => texts.extend(items.iter().cloned()),
                Block::Pairs { pairs } => texts.extend(pairs.iter().map(|pair| pair.value.text.clone())),
                Block::Table(table) => texts.extend(of_table(table)),
                Block::Sheet { sheet, all } => {
                    texts.push(sheet.value.clone());
                    let terms = sheet.steps.iter().flat_map(|step| step.terms.iter().chain(&step.result));
                    texts.extend(terms.map(|term| term.value.clone()));
                    texts.extend(all.iter().flat_map(of_table));
                }
                Block::Figure(figure) => texts.push(figure.title.clone()),
                Block::Form(form) => texts.extend(form.rows.iter().flatten().cloned()),
                Block::SignOff { parties } => texts.extend(parties.iter().cloned()),
            }
        }
    }
    texts
}

/// Two programs that have nothing to do with the typesetter, poppler and MuPDF, read from each PDF every text that the
/// packet has, and with it each number of it; a third, qpdf, finds nothing wrong with the file. Nothing is set smaller than it
/// can be read on paper, no head stands alone at the end of a page, and no page begins or ends with one row of a table.
#[test]
fn independent_readers_find_every_text_of_a_packet() {
    let place = tempfile::tempdir().unwrap();
    for (audience, paper, size, most) in [
        (Audience::Verifier, Paper::Letter, "(letter)", 25),
        (Audience::Factory, Paper::A4, "(A4)", 60),
        (Audience::Owner, Paper::Letter, "(letter)", 6),
        (Audience::PlanReview, Paper::Letter, "(letter)", 8),
    ] {
        let packet = packet(&example("heron-lane"), audience);
        let path = place.path().join(format!("{}.pdf", audience.word()));
        std::fs::write(&path, set(&packet, paper)).unwrap();
        let path = path.to_str().unwrap();
        if let Some(told) = told("qpdf", &["--check", path]) {
            assert!(told.contains("No syntax or stream encoding errors found"), "{told}");
        }
        if let Some(told) = told("pdfinfo", &[path]) {
            let line = |name: &str| {
                let found = told.lines().find_map(|line| line.strip_prefix(name));
                found.unwrap_or_else(|| panic!("no {name} in {told}")).trim().to_owned()
            };
            assert_eq!(line("Tagged:"), "yes");
            assert!(line("Page size:").ends_with(size), "{told}");
            assert!(line("Title:").contains(&packet.project) && line("JavaScript:") == "no");
            let pages: usize = line("Pages:").parse().unwrap();
            assert!(pages <= most, "{audience:?}: {pages} pages");
            let least = if audience == Audience::PlanReview { 4 } else { 1 };
            assert!(pages >= least, "{audience:?}: {pages} pages");
        }
        let faults = pages::faults(&packet, path);
        assert!(faults.is_empty(), "{}", faults.join("\n"));
        let wanted: Vec<String> = texts(&packet).iter().map(|text| bare(text)).collect();
        assert!(wanted.len() > 50);
        for (program, arguments) in
            [("pdftotext", &["-raw", path, "-"][..]), ("mutool", &["draw", "-q", "-F", "txt", "-o", "-", path])]
        {
            let Some(told) = told(program, arguments) else { continue };
            let told = bare(&told);
            let lost: Vec<&String> = wanted.iter().filter(|text| !told.contains(text.as_str())).collect();
            assert!(
                lost.is_empty(),
                "{program} does not find {} of {} texts in {audience:?}: {:?}",
                lost.len(),
                wanted.len(),
                &lost[..lost.len().min(12)]
            );
        }
    }
}

/// How long a packet takes: cargo test --release -p mateline-pdf --features typeset times -- --ignored --nocapture
#[test]
#[ignore = "takes times, which no test asserts"]
fn times() {
    fn time<T>(action: impl Fn() -> T) -> (T, Duration) {
        let start = Instant::now();
        let made = action();
        (made, start.elapsed())
    }
    let home = example("heron-lane");
    let engine = engine();
    let check = || engine.check(&home, &Options::default()).unwrap();
    check();
    let (report, base) = time(check);
    let row = |name: &str, time: Duration, pages: &str| {
        let (ms, ratio) = (time.as_secs_f64() * 1e3, time.as_secs_f64() / base.as_secs_f64());
        println!("{name:<28} {ms:>9.1} ms {ratio:>8.2}  {:>9} peak  {pages}", peak_memory());
    };
    row("check", base, "");
    row("check and HTML", base + time(|| mateline_reports::html::report(&report).unwrap()).1, "");
    for audience in [Audience::Owner, Audience::Factory, Audience::Verifier, Audience::Record] {
        let (packet, built) = time(|| packet_of(&report, &home, audience));
        let (bytes, set_in) = time(|| set(&packet, Paper::Letter));
        row(
            &format!("check and {} packet", audience.word()),
            base + built + set_in,
            &format!("{} kB", bytes.len() / 1000),
        );
        let again = time(|| set(&packet, Paper::Letter));
        row("  the PDF once more", again.1, "");
    }
}

/// The most memory that this process has had, as the system tells it.
fn peak_memory() -> String {
    let status = std::fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = status.lines().find_map(|line| line.strip_prefix("VmHWM:"));
    line.map_or_else(|| "unknown".to_owned(), |line| line.trim().to_owned())
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

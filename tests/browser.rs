//! The HTML report and the packets as a browser shows them, and what axe-core finds in them. Without Chromium, or without
//! axe-core (`npm ci --prefix tests/axe`), that part passes and says that it was left out.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test may stop here; without a harness it prints its own line"
)]

use mateline_packets::{Attached, Audience, Inputs, Paper};
use mateline_tests::{check_file, example, root};
use std::path::{Path, PathBuf};
use std::process::{Command, Stdio};

fn chromium() -> Option<String> {
    let names = ["chromium", "chromium-browser", "google-chrome", "chrome"];
    let found = names.iter().find(|name| {
        let version = Command::new(name).arg("--version").stdout(Stdio::null()).stderr(Stdio::null()).status();
        version.is_ok_and(|status| status.success())
    });
    found.map(|name| (*name).to_owned())
}

fn main() {
    let Some(browser) = chromium() else {
        println!("left out: the HTML report in a browser (Chromium is not installed)");
        return;
    };
    let folder = tempfile::tempdir().unwrap();
    for (name, words) in [
        ("heron-lane", ["Heron Lane", "energy-code-2021", "assemblies.wall"]),
        ("willow-pair", ["Willow", "modular-practice", "assemblies.wall"]),
    ] {
        let report = check_file(&example(name)).unwrap_or_else(|bad| panic!("{bad}"));
        let page = folder.path().join(format!("{name}.html"));
        std::fs::write(&page, mateline_reports::html::report(&report).unwrap()).unwrap();
        let shown = run(&browser, &page, &["--dump-dom"]);
        for word in words {
            assert!(shown.contains(word), "{name}: the page does not show '{word}'");
        }
        for verdict in report.verdicts.iter().filter(|v| v.outcome == mateline_model::Outcome::Short) {
            assert!(shown.contains(&verdict.full_name()), "{name}: {} is not on the page", verdict.full_name());
        }
        assert!(shown.contains("<svg"), "{name}: there is no figure");
        // The script has run under the page's own policy: it tells how many verdicts are shown.
        assert!(shown.contains(" verdicts shown</output>"), "{name}: the filter does not work");
        picture(&browser, &page, folder.path());
        let (first, whole) = (height(&browser, &page, "contents-head"), height(&browser, &page, "cautions-head"));
        println!("{name}: the contents begin at {first} px, the cautions at {whole} px");
        assert!(first < 2_400, "{name}: what is open and the plans are {first} px high");
        assert!(whole < 6_000, "{name}: with every part folded the page is {whole} px high");
    }
    println!("test result: ok. the HTML report in a browser");
    accessible(&browser, folder.path());
}

/// No serious finding in a report and in packets, and a filter that the keyboard works. The report and two of the packets
/// are of a small home: the time that axe-core takes grows with the square of the page.
fn accessible(browser: &str, folder: &Path) {
    let script = root().join("tests/axe/check.mjs");
    if !root().join("tests/axe/node_modules/axe-core").is_dir() {
        println!("left out: axe-core on the pages (npm ci --prefix tests/axe)");
        return;
    }
    let report = check_file(&example("starter")).unwrap_or_else(|bad| panic!("{bad}"));
    let mut pages: Vec<PathBuf> = vec![folder.join("starter.html")];
    std::fs::write(&pages[0], mateline_reports::html::report(&report).unwrap()).unwrap();
    let large = check_file(&example("heron-lane")).unwrap_or_else(|bad| panic!("{bad}"));
    let of_small = Audience::ALL.into_iter().map(|audience| (&report, "starter", audience));
    let of_large = [Audience::Owner, Audience::Factory].map(|audience| (&large, "heron-lane", audience));
    for (report, name, audience) in of_small.chain(of_large) {
        let attached = Attached::default();
        let inputs = Inputs { library: mateline_rules::PACKS, attached: &attached };
        let packet = mateline_packets::build(report, &attached, audience).unwrap();
        let files = mateline_packets::files(&packet, report, Paper::Letter, inputs).unwrap();
        let page = folder.join(format!("{name}-{}.html", audience.word()));
        std::fs::write(&page, &files[0].bytes).unwrap();
        pages.push(page);
    }
    let output = Command::new("node").arg(&script).arg(path_of(browser)).args(&pages).output().unwrap();
    let told = String::from_utf8_lossy(&output.stdout);
    assert!(output.status.success(), "{told}{}", String::from_utf8_lossy(&output.stderr));
    println!("test result: ok. {}", told.lines().last().unwrap_or_default());
}

/// Where a program is.
fn path_of(program: &str) -> PathBuf {
    let path = std::env::var_os("PATH").unwrap_or_default();
    let found = std::env::split_paths(&path).map(|folder| folder.join(program)).find(|file| file.is_file());
    found.unwrap_or_else(|| PathBuf::from(program))
}

fn run(browser: &str, page: &Path, arguments: &[&str]) -> String {
    let output = Command::new(browser)
        .args(["--headless", "--no-sandbox", "--disable-gpu", "--disable-dev-shm-usage"])
        .args(arguments)
        .arg(format!("file://{}", page.display()))
        .output()
        .unwrap();
    assert!(output.status.success(), "{}", String::from_utf8_lossy(&output.stderr));
    String::from_utf8_lossy(&output.stdout).into_owned()
}

/// How far below the top of the page an element stands, in a window of 1300 px. A copy of the page tells it by a script.
fn height(browser: &str, page: &Path, id: &str) -> u32 {
    let told =
        format!("document.title = 'at ' + Math.round(document.getElementById('{id}').getBoundingClientRect().top)");
    let text = std::fs::read_to_string(page).unwrap();
    let (policy, script) = ("script-src 'sha256-", format!("<script>{told}</script></body>"));
    assert!(text.contains(policy), "the page has a policy");
    let copy = page.with_extension("measured.html");
    let text =
        text.replacen("script-src 'sha256-", "script-src 'unsafe-inline' 'none-", 1).replacen("</body>", &script, 1);
    std::fs::write(&copy, text).unwrap();
    let shown = run(browser, &copy, &["--window-size=1300,900", "--dump-dom"]);
    let title = shown.split("<title>at ").nth(1).and_then(|rest| rest.split('<').next());
    title.and_then(|title| title.parse().ok()).unwrap_or_else(|| panic!("the page was not measured"))
}

/// A screenshot and a print of the page come out, neither of them empty.
fn picture(browser: &str, page: &Path, folder: &Path) {
    let (shot, print) = (folder.join("page.png"), folder.join("page.pdf"));
    run(browser, page, &["--window-size=1100,2400", &format!("--screenshot={}", shot.display())]);
    run(browser, page, &["--no-pdf-header-footer", &format!("--print-to-pdf={}", print.display())]);
    // A blank page of this size compresses to a few kilobytes.
    assert!(std::fs::metadata(&shot).unwrap().len() > 30_000, "the screenshot is blank");
    assert!(std::fs::metadata(&print).unwrap().len() > 30_000, "the print is blank");
}

//! The HTML report as a browser shows it. Without Chromium this test passes and says that it was left out.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test may stop here; without a harness it prints its own line"
)]

use mateline_tests::{check_file, example};
use std::path::Path;
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
        picture(&browser, &page, folder.path());
    }
    println!("test result: ok. the HTML report in a browser");
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

/// A screenshot and a print of the page come out, neither of them empty.
fn picture(browser: &str, page: &Path, folder: &Path) {
    let (shot, print) = (folder.join("page.png"), folder.join("page.pdf"));
    run(browser, page, &["--window-size=1100,2400", &format!("--screenshot={}", shot.display())]);
    run(browser, page, &["--no-pdf-header-footer", &format!("--print-to-pdf={}", print.display())]);
    // A blank page of this size compresses to a few kilobytes.
    assert!(std::fs::metadata(&shot).unwrap().len() > 30_000, "the screenshot is blank");
    assert!(std::fs::metadata(&print).unwrap().len() > 30_000, "the print is blank");
}

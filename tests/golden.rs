//! What the examples print, kept byte for byte. It shows change, not truth: after a change that is meant, write it anew
//! with `MATELINE_BLESS=1 cargo test` and read the diff.

use mateline_reports::text::{self, Style};
use mateline_tests::{check_file, example, root};

fn kept(example: &str, name: &str, text: &str) {
    let folder = root().join("tests/golden").join(example);
    let path = folder.join(name);
    if std::env::var_os("MATELINE_BLESS").is_some() {
        std::fs::create_dir_all(&folder).unwrap();
        std::fs::write(&path, text).unwrap();
    }
    let before = std::fs::read_to_string(&path).unwrap_or_default();
    if before == text {
        return;
    }
    let at = before
        .lines()
        .zip(text.lines())
        .position(|(a, b)| a != b)
        .unwrap_or(before.lines().count().min(text.lines().count()));
    panic!(
        "{} differs from line {}:\n- {}\n+ {}\nif that is meant, MATELINE_BLESS=1 cargo test",
        path.display(),
        at + 1,
        before.lines().nth(at).unwrap_or("(end)"),
        text.lines().nth(at).unwrap_or("(end)")
    );
}

#[test]
fn what_the_examples_print_is_as_it_was() {
    for name in ["heron-lane", "willow-pair", "starter"] {
        let report = check_file(&example(name)).unwrap_or_else(|bad| panic!("{bad}"));
        kept(name, "check.txt", &text::check(&report, Style::PLAIN));
        kept(name, "facts.txt", &text::facts(&report, None));
    }
}

#[test]
fn the_worked_calculation_of_heron_lanes_wall_is_as_it_was() {
    let report = check_file(&example("heron-lane")).unwrap_or_else(|bad| panic!("{bad}"));
    let explained = text::explain(&report, "assemblies.wall", Some("envelope.u_factor")).unwrap();
    kept("heron-lane", "wall-u-factor.txt", &explained);
}

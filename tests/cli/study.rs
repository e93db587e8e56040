//! Studies, as a person runs them, interrupts them, spreads them over machines and takes a variant of them.

use crate::{code, mateline, stderr, stdout};
use std::path::Path;

/// The example of a study with its home beside it.
fn laid_out() -> tempfile::TempDir {
    let folder = tempfile::tempdir().unwrap();
    for name in ["study/study.yaml", "study/here.yaml", "study/colder.yaml", "starter/home.yaml"] {
        let to = folder.path().join(name);
        std::fs::create_dir_all(to.parent().unwrap()).unwrap();
        std::fs::copy(crate::root().join("examples").join(name), to).unwrap();
    }
    let file = folder.path().join("study/study.yaml");
    let text = std::fs::read_to_string(&file).unwrap().replace("sample: grid", "sample: one-at-a-time");
    std::fs::write(&file, text).unwrap();
    folder
}

fn read(path: &Path) -> String {
    std::fs::read_to_string(path).unwrap_or_else(|error| panic!("{}: {error}", path.display()))
}

#[test]
fn a_study_is_run_gone_on_with_and_put_together() {
    let folder = laid_out();
    let at = |name: &str| folder.path().join(name);
    let (study, whole) = (at("study/study.yaml"), at("whole"));
    let run = |more: &[&str]| {
        let all: Vec<&str> = ["study", study.to_str().unwrap()].into_iter().chain(more.iter().copied()).collect();
        mateline(&all)
    };
    let out = run(&["--out", whole.to_str().unwrap()]);
    assert_eq!(code(&out), 0, "{}", stderr(&out));
    assert!(stdout(&out).starts_with("Wall and windows of the first pair: 22 variants, "), "{}", stdout(&out));
    let rows = read(&whole.join("variants.jsonl"));
    assert_eq!(rows.lines().count(), 23);
    let table = read(&whole.join("variants.csv"));
    assert_eq!(table.lines().count(), 23);
    assert!(table.starts_with("variant,home,climate,foam,windows,recovery,cost [$],wall [Btu/(h·ft²·°F)],"), "{table}");
    let page = read(&whole.join("study.html"));
    assert!(page.contains("href=\"#variant-") && page.contains("What each step does"), "the page links its points");

    // Interrupted within a line: it goes on, and nothing is run twice.
    let cut = rows.len() * 2 / 3;
    std::fs::write(whole.join("variants.jsonl"), &rows[..cut]).unwrap();
    assert_eq!(code(&run(&["--out", whole.to_str().unwrap()])), 0);
    assert_eq!(read(&whole.join("variants.jsonl")), rows);

    let parts: Vec<String> = (1..=2)
        .map(|number| {
            let out = run(&["--out", at("parts").to_str().unwrap(), "--shard", &format!("{number}/2")]);
            assert_eq!(code(&out), 0, "{}", stderr(&out));
            at(&format!("parts/part-{number}-of-2.jsonl")).to_str().unwrap().to_owned()
        })
        .collect();
    let put = at("put");
    let merge = |parts: &[&str]| {
        let all: Vec<&str> =
            ["study", "merge", "--out", put.to_str().unwrap()].into_iter().chain(parts.iter().copied()).collect();
        mateline(&all)
    };
    let lacking = merge(&[&parts[0]]);
    assert_eq!(
        (code(&lacking), stderr(&lacking).contains("part 2 of 2 is not there")),
        (2, true),
        "{}",
        stderr(&lacking)
    );
    assert_eq!(code(&merge(&[&parts[1], &parts[0]])), 0);
    for name in ["variants.jsonl", "variants.csv", "study.html"] {
        assert!(read(&put.join(name)) == read(&whole.join(name)), "{name} of the parts is that of the whole");
    }

    // What another study wrote is left as it is.
    let text = read(&study);
    std::fs::write(&study, text.replace("88 %]", "90 %]").replace("88 %: 2300 $", "90 %: 2500 $")).unwrap();
    let other = run(&["--out", whole.to_str().unwrap()]);
    assert!(code(&other) != 0 && stderr(&other).contains("rows of another study"), "{}", stderr(&other));
    assert_eq!(read(&whole.join("variants.jsonl")), rows);

    let home = at("starter/home.yaml");
    let before = read(&home);
    let taken = run(&["--take", "1"]);
    assert_eq!(code(&taken), 0, "{}", stderr(&taken));
    let changed: Vec<(String, String)> = std::iter::zip(before.lines(), read(&home).lines())
        .filter(|(old, new)| old != new)
        .map(|(old, new)| (old.trim().to_owned(), new.trim().to_owned()))
        .collect();
    assert!(!changed.is_empty() && changed.iter().all(|(_, new)| new.contains("thickness: 1 in")), "{changed:?}");
    let beyond = run(&["--take", "99"]);
    assert!(stderr(&beyond).contains("there is no variant 99; they go from 0 to 21"), "{}", stderr(&beyond));
}

#[test]
fn a_study_that_is_too_large_asks_first() {
    let folder = laid_out();
    let file = folder.path().join("study/study.yaml");
    let text = read(&file).replace("sample: one-at-a-time", "sample: 20000");
    std::fs::write(&file, text).unwrap();
    let out = mateline(&["study", file.to_str().unwrap(), "--out", folder.path().join("out").to_str().unwrap()]);
    assert_eq!(code(&out), 2);
    assert!(stderr(&out).contains("40000 variants; give --yes"), "{}", stderr(&out));
    assert!(!folder.path().join("out").exists(), "nothing is written");
    let shard = mateline(&["study", file.to_str().unwrap(), "--shard", "3/2"]);
    assert!(stderr(&shard).contains("a part is K/N with K from 1 to N"), "{}", stderr(&shard));
}

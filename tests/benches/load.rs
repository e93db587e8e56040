//! What loading a file costs, for every shape of file from 1 kB to 10 MB, with all that is said about it.
//!
//! The last column is the time for 4 MB over that for 400 kB: ten where time grows with the file. What is above the
//! bound on a project's size is refused without being read. Nothing here fails.
//! `cargo bench --bench load`, with a word of a shape's name for those shapes alone
#![allow(clippy::unwrap_used, clippy::print_stdout, reason = "a benchmark may stop, and prints its table")]

use mateline_engine::BadInput;
use mateline_reports::text::{InputProblem, Style, problems};
use mateline_tests::engine;
use mateline_tests::shapes::SHAPES;
use std::hint::black_box;
use std::path::Path;
use std::time::{Duration, Instant};

const SIZES: [usize; 5] = [1_000, 40_000, 400_000, 4_000_000, 10_000_000];

fn main() {
    let word = std::env::args().skip(1).find(|argument| !argument.starts_with('-'));
    let folder = tempfile::tempdir().unwrap();
    println!("{:<36} {:>9} {:>9} {:>9} {:>9} {:>9} {:>6}", "ms", "1 kB", "40 kB", "400 kB", "4 MB", "10 MB", "growth");
    for (name, text) in SHAPES.iter().filter(|(name, _)| word.as_ref().is_none_or(|word| name.contains(word.as_str())))
    {
        let times = SIZES.map(|size| load(folder.path(), &[("home.yaml", text(size))]));
        row(name, &times);
    }
    if word.is_none_or(|word| "one section in two files".contains(&word)) {
        let part = |letter: char, size: usize| {
            let elements: String = (0..size / 40).map(|n| format!("  {letter}{n}: {{levle: 1}}\n")).collect();
            format!("modules:\n{elements}")
        };
        let times = SIZES.map(|size| {
            let home = format!("include: [part.yaml]\n{}", part('a', size));
            load(folder.path(), &[("home.yaml", home), ("part.yaml", part('b', size))])
        });
        row("one section in two files", &times);
    }
}

/// Writes files and loads the first, up to the text about what is wrong with it.
fn load(folder: &Path, files: &[(&str, String)]) -> Duration {
    for (name, text) in files {
        std::fs::write(folder.join(name), text).unwrap();
    }
    let start = Instant::now();
    match engine().load(&folder.join("home.yaml")) {
        Ok(loaded) => drop(black_box(loaded)),
        Err(bad) => drop(black_box(told(&bad))),
    }
    start.elapsed()
}

/// The text about a refused input, as the program writes it.
fn told(bad: &BadInput) -> String {
    let sources = bad.files.iter().map(|file| (file.name.clone(), file.text.clone())).collect();
    let shown = bad.problems.iter().map(|problem| InputProblem {
        at: bad.place(problem.at),
        message: problem.message.clone(),
        notes: problem.notes.iter().map(|(at, text)| (bad.place(*at), text.clone())).collect(),
        help: problem.help.clone(),
    });
    problems(&shown.collect::<Vec<_>>(), &sources, Style::PLAIN)
}

fn row(name: &str, times: &[Duration; 5]) {
    let ms = times.map(|time| format!("{:>9.1}", time.as_secs_f64() * 1e3));
    println!("{name:<36} {} {:>6.1}", ms.join(" "), times[3].as_secs_f64() / times[2].as_secs_f64());
}

//! `mateline study`

use crate::arguments::{Merge, Study, StudyCommand, When};
use crate::exit::Exit;
use crate::{edits, output};
use mateline_engine::Engine;
use mateline_engine::study::{Kept, Plan, Shard, head, merged};
use mateline_model::StudyRow;
use mateline_reports::{VERSION, study as paper};
use std::fs::{File, OpenOptions};
use std::io::Write;
use std::path::Path;

/// Variants that are run without being asked for by `--yes`.
const MOST: u128 = 10_000;

/// Runs a study, or goes on with one, or puts its parts together.
pub fn run(engine: &Engine, study: &Study, colour: When) -> Exit {
    if let Some(StudyCommand::Merge(merge)) = &study.command {
        return put_together(merge);
    }
    let Some(file) = &study.file else { return output::refuse("name a study file, or merge with its parts") };
    let reading = output::doing(&format!("reading {}", file.display()));
    let options = super::options(&study.judging);
    // The packs of a study need not be those that its homes name.
    let engine = &mateline_engine::study::judging(engine, file);
    let plan = Plan::read(engine, file, options);
    drop(reading);
    let plan = match plan {
        Ok(plan) => plan,
        Err(bad) => return output::bad_input(&bad, colour),
    };
    if let Some(number) = study.take {
        return take(engine, &plan, number);
    }
    if plan.count() > MOST && !study.yes {
        let count = plan.count();
        return output::refuse(&format!("the study has {count} variants; give --yes to run more than {MOST}"));
    }
    let shard = study.shard.unwrap_or(Shard { number: 1, of: 1 });
    match rows(&plan, shard, &study.out) {
        Ok(()) if shard.of > 1 => Exit::Done,
        Ok(()) => papers(&study.out, &std::fs::read_to_string(study.out.join(WHOLE)).unwrap_or_default()),
        Err(why) => output::error(&why),
    }
}

/// The file of all rows.
const WHOLE: &str = "variants.jsonl";

fn name(shard: Shard) -> String {
    if shard.of == 1 { WHOLE.to_owned() } else { format!("part-{}-of-{}.jsonl", shard.number, shard.of) }
}

/// Writes the rows of a shard, after those that are there already.
fn rows(plan: &Plan<'_>, shard: Shard, out: &Path) -> Result<(), String> {
    let said = |what: &Path, error: &std::io::Error| format!("cannot write '{}': {error}", what.display());
    std::fs::create_dir_all(out).map_err(|error| said(out, &error))?;
    let path = out.join(name(shard));
    let head = head(plan, shard, VERSION);
    let there = match std::fs::read_to_string(&path) {
        Ok(text) => text,
        Err(error) if error.kind() == std::io::ErrorKind::NotFound => String::new(),
        Err(error) => return Err(format!("cannot read '{}': {error}", path.display())),
    };
    let kept = Kept::of(&there, &head).map_err(|fault| format!("'{}': {}", path.display(), fault.0))?;
    let open = || -> std::io::Result<File> {
        let mut file = OpenOptions::new().create(true).write(true).truncate(false).open(&path)?;
        file.set_len(kept.bytes as u64)?;
        std::io::Seek::seek(&mut file, std::io::SeekFrom::End(0))?;
        if kept.bytes == 0 {
            file.write_all(head.line().as_bytes())?;
        }
        Ok(file)
    };
    let mut file = open().map_err(|error| said(&path, &error))?;
    let numbers: Vec<u64> = plan.numbers(shard).skip(kept.rows).collect();
    let (of, mut done) = (numbers.len(), 0);
    plan.run(numbers.into_iter(), |row: StudyRow| {
        file.write_all(row.line().as_bytes())?;
        done += 1;
        output::progress(&format!("{done} of {of} variants"));
        Ok::<(), std::io::Error>(())
    })
    .inspect(|()| output::progress(""))
    .map_err(|error| format!("{}; what is there stays, and the same command goes on with it", said(&path, &error)))
}

/// Writes the table and the page of a whole study.
fn papers(out: &Path, text: &str) -> Exit {
    let whole = match merged(&[(WHOLE.to_owned(), text.to_owned())]) {
        Ok(whole) => whole,
        Err(fault) => return output::error(&fault.0),
    };
    let papers = match paper::papers(&whole.head, &whole.rows) {
        Ok(papers) => papers,
        Err(error) => return output::error(&error.to_string()),
    };
    for (file, text) in [("variants.csv", papers.table), ("study.html", papers.page)] {
        let exit = output::write_file(&out.join(file), &text);
        if exit != Exit::Done {
            return exit;
        }
    }
    output::print(&papers.told)
}

fn put_together(merge: &Merge) -> Exit {
    let mut parts = Vec::new();
    for path in &merge.parts {
        match std::fs::read_to_string(path) {
            Ok(text) => parts.push((path.display().to_string(), text)),
            Err(error) => return output::refuse(&format!("cannot read '{}': {error}", path.display())),
        }
    }
    let whole = match merged(&parts) {
        Ok(whole) => whole,
        Err(fault) => return output::refuse(&fault.0),
    };
    let text: String = std::iter::once(whole.head.line()).chain(whole.rows.iter().map(StudyRow::line)).collect();
    if let Err(error) = std::fs::create_dir_all(&merge.out) {
        return output::error(&format!("cannot write '{}': {error}", merge.out.display()));
    }
    match output::write_file(&merge.out.join(WHOLE), &text) {
        Exit::Done => papers(&merge.out, &text),
        exit => exit,
    }
}

/// Writes the values of a variant into its home.
fn take(engine: &Engine, plan: &Plan<'_>, number: u64) -> Exit {
    if u128::from(number) >= plan.count() {
        return output::refuse(&format!(
            "there is no variant {number}; they go from 0 to {}",
            plan.count().saturating_sub(1)
        ));
    }
    let Some((home, edits)) = plan.edits(u128::from(number)) else { return output::refuse("it has no home") };
    let loaded = match engine.load(home) {
        Ok(loaded) => loaded,
        Err(bad) => return output::bad_input(&bad, When::Never),
    };
    if let Err(exit) = edits::write(&loaded, &edits) {
        return exit;
    }
    output::print(&format!("wrote the values of variant {number} into {}\n", home.display()))
}

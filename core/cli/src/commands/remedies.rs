//! `mateline remedies`

use crate::arguments::{Remedies, When};
use crate::exit::Exit;
use crate::output;
use mateline_engine::Engine;
use mateline_engine::load::written;
use mateline_engine::remedies::{Levers, Remedy, Search, Turned};
use mateline_model::{OpenPoint, Outcome, Report, Severity};
use mateline_reports::{acts, shown};

/// Prints the single changes that turn what is short, and who owes what is unproven; with `--apply` writes one.
pub fn run(engine: &Engine, remedies: &Remedies, colour: When) -> Exit {
    let levers = match Levers::read("<mateline>/levers.yaml", mateline_rules::LEVERS) {
        Ok(levers) => levers,
        Err(bad) => return output::bad_input(&bad, colour),
    };
    let home = &remedies.common.home;
    let checking = output::doing(&format!("checking {}", home.display()));
    let search = Search::new(engine, home, super::options(&remedies.common.judging));
    drop(checking);
    let search = match search {
        Ok(search) => search,
        Err(bad) => return output::bad_input(&bad, colour),
    };
    let points = wanted(search.base(), remedies);
    if points.is_empty() {
        return output::refuse(&nothing(search.base(), remedies));
    }
    let mut text = String::new();
    let mut all: Vec<Remedy> = Vec::new();
    for point in &points {
        let verdict = point.verdict;
        text.push_str(&format!(
            "{}: {}  {} [{}]\n",
            verdict.outcome,
            verdict.subject,
            verdict.message,
            verdict.full_name()
        ));
        if verdict.outcome == Outcome::Unproven {
            let owed: Vec<String> = verdict.owed.iter().map(|owed| format!("{} ({})", owed.what, owed.at)).collect();
            let act = acts::of(search.base(), verdict).told();
            let owed = if owed.is_empty() { String::new() } else { format!(": {}", owed.join("; ")) };
            text.push_str(&format!("     owed by the {act}{owed}\n\n"));
            continue;
        }
        let trying = output::doing(&format!("trying changes for {} of {}", verdict.full_name(), verdict.subject));
        let found = search.single(&levers, verdict);
        drop(trying);
        if found.is_empty() {
            text.push_str("     no single change that mateline knows turns it\n");
        }
        for remedy in found {
            all.push(remedy.clone());
            text.push_str(&told(all.len(), &remedy));
        }
        text.push('\n');
    }
    match remedies.apply {
        None => output::print(&format!("{}\n", text.trim_end())),
        Some(number) => match number.checked_sub(1).and_then(|index| all.get(index)) {
            Some(remedy) => apply(&search, remedy),
            None => output::refuse(&format!("there is no change {number}; {} were found", all.len())),
        },
    }
}

/// The open points that are asked about.
fn wanted<'a>(report: &'a Report, remedies: &Remedies) -> Vec<OpenPoint<'a>> {
    let mut points = report.open_points();
    points.sort_by_key(OpenPoint::gravity);
    points.retain(|OpenPoint { verdict, .. }| {
        let is_named = remedies.rule.as_ref().is_none_or(|rule| verdict.full_name() == *rule);
        let is_subject = remedies.subject.as_ref().is_none_or(|subject| verdict.subject.as_str() == subject);
        let is_asked = verdict.severity == Severity::Required || remedies.advice || remedies.rule.is_some();
        is_named && is_subject && is_asked
    });
    points
}

/// Why there is nothing to be turned.
fn nothing(report: &Report, remedies: &Remedies) -> String {
    let Some(rule) = &remedies.rule else { return "no requirement is open; --advice asks about advice too".to_owned() };
    let of_rule: Vec<_> = report.verdicts.iter().filter(|verdict| verdict.full_name() == *rule).collect();
    if of_rule.is_empty() {
        return format!("no verdict by {rule} on this home");
    }
    let Some(subject) = &remedies.subject else { return format!("{rule} is open nowhere") };
    match of_rule.iter().find(|verdict| verdict.subject.as_str() == subject) {
        Some(verdict) => format!("{rule} of {subject} is {}", verdict.outcome),
        None => format!("{rule} does not judge {subject}"),
    }
}

fn told(number: usize, remedy: &Remedy) -> String {
    let limit = remedy.limit.as_ref().map_or_else(String::new, |limit| format!(", from {limit} on"));
    let mut text = format!("{number:>3}  {}: {} instead of {}{limit}\n", remedy.title, remedy.edit.text, remedy.now);
    text.push_str(&format!("     {} at {}\n", remedy.edit.path.join("."), shown::place(&remedy.at)));
    for (words, turned) in [("met with it", others(remedy)), ("MET NO MORE", remedy.worse.iter().collect())] {
        if !turned.is_empty() {
            let turned: Vec<String> = turned.iter().map(|turned| name(turned)).collect();
            text.push_str(&format!("     {words}: {}\n", turned.join("; ")));
        }
    }
    if remedy.worse.is_empty() && others(remedy).is_empty() {
        text.push_str("     nothing else turns\n");
    }
    if let Some(caution) = &remedy.caution {
        text.push_str(&format!("     {caution}\n"));
    }
    text
}

/// What is met with it beside the verdict itself, which comes first.
fn others(remedy: &Remedy) -> Vec<&Turned> {
    remedy.better.iter().filter(|turned| **turned != remedy.of).collect()
}

fn name(turned: &Turned) -> String {
    format!("{} of {}{}", turned.rule, turned.subject, if turned.is_advice { " (advice)" } else { "" })
}

/// Writes a change into the file where its value stands, if nobody has changed that meanwhile.
fn apply(search: &Search<'_>, remedy: &Remedy) -> Exit {
    let loaded = search.loaded();
    let (file, text) = match written(&loaded.tree, loaded.project.files(), &remedy.edit) {
        Ok(written) => written,
        Err(why) => return output::refuse(&why),
    };
    let Some(source) = loaded.project.files().get(file) else { return output::refuse("the file is not known") };
    let path = match loaded.project.locate(&source.name) {
        Ok(path) => path,
        Err(why) => return output::refuse(&format!("{} is not of this project: {why}", source.name)),
    };
    match std::fs::read_to_string(&path) {
        Ok(now) if now == source.text => {}
        Ok(_) => return output::refuse(&format!("'{}' has changed meanwhile; run it again", source.name)),
        Err(error) => return output::refuse(&format!("cannot read '{}': {error}", source.name)),
    }
    let exit = output::write_file(&path, &text);
    if exit != Exit::Done {
        return exit;
    }
    output::print(&format!("wrote {} instead of {} at {}\n", remedy.edit.text, remedy.now, shown::place(&remedy.at)))
}

//! `mateline remedies`

use crate::arguments::{Remedies, When};
use crate::exit::Exit;
use crate::{edits, output};
use mateline_engine::load::Edit;
use mateline_engine::remedies::{Bought, Change, Reached, Remedy, Search, Target, Turned, Way};
use mateline_engine::{Engine, Options};
use mateline_model::quantity::{Dimension, Quantity, UnitSystem, Units, parse};
use mateline_model::{Drawing, Figure, OpenPoint, Outcome, Report, Severity, Subject, Verdict};
use mateline_reports::{acts, shown};
use serde::Serialize;
use std::path::Path;

/// What is told of one open point.
#[derive(Serialize)]
struct Told {
    #[serde(flatten)]
    of: Turned,
    outcome: Outcome,
    message: String,
    /// Who acts on it.
    by: String,
    /// What it waits for.
    owed: Vec<mateline_model::Owed>,
    /// What turns it, numbered as `--apply` takes them.
    remedies: Vec<Remedy>,
}

/// All that is told, as JSON.
#[derive(Serialize)]
struct All<'a> {
    schema: u32,
    home: &'a str,
    open: &'a [Told],
}

/// Prints what turns what is short, and who owes what is unproven, or what meets a pack; with `--apply` writes it.
pub fn run(engine: &Engine, remedies: &Remedies, colour: When) -> Exit {
    let home = &remedies.common.home;
    // The pack to come to need not be one that the home is judged by already.
    let pack = remedies.towards.as_ref().and_then(|pack| pack.parse().ok());
    let judging_by = pack.map(|pack| engine.clone().judging_by(pack));
    let engine = judging_by.as_ref().unwrap_or(engine);
    let checking = output::doing(&format!("checking {}", home.display()));
    let search = Search::new(engine, home, super::options(&remedies.common.judging));
    drop(checking);
    let search = match search {
        Ok(search) => search,
        Err(bad) => return output::bad_input(&bad, colour),
    };
    match &remedies.towards {
        Some(pack) => towards(&search, remedies, pack),
        None => open(&search, remedies),
    }
}

/// Changes that are told in the help of one verdict.
const ADVISED: usize = 3;

/// Adds to the help of each requirement that is short which changes would meet it. What cannot be searched stays as it is:
/// that has been told already.
pub(super) fn advise(engine: &Engine, home: &Path, options: Options, report: &mut Report) {
    let short = |verdict: &Verdict| verdict.outcome == Outcome::Short && verdict.severity == Severity::Required;
    if !report.verdicts.iter().any(short) {
        return;
    }
    let trying = output::doing("trying what would meet what is short");
    if let Ok(search) = Search::new(engine, home, options) {
        let units = report.units;
        for verdict in report.verdicts.iter_mut().filter(|verdict| short(verdict)) {
            let found = search.remedies(verdict);
            let told = found.iter().take(ADVISED).map(|remedy| in_short(remedy, units));
            let told: Vec<String> = verdict.help.take().into_iter().chain(told).collect();
            verdict.help = Some(told.join("; or ")).filter(|help| !help.is_empty());
        }
    }
    drop(trying);
}

/// What would meet what is short, as a table in plain words: the best priced change for each; none where none has a price.
pub(super) fn choices(engine: &Engine, home: &Path, options: Options) -> Option<Figure> {
    let trying = output::doing("trying what would meet what is short");
    let search = Search::new(engine, home, options).ok()?;
    let mut rows: Vec<Vec<String>> = Vec::new();
    for OpenPoint { verdict, .. } in search.base().open_points() {
        if verdict.outcome != Outcome::Short {
            continue;
        }
        let found = search.remedies(verdict);
        let Some((best, price)) = found.iter().find_map(|remedy| Some((remedy, remedy.price()?))) else { continue };
        let plain = |text: &str| text.replace(['-', '_'], " ");
        let of = if verdict.subject.section() == "home" { "the home".to_owned() } else { plain(verdict.subject.id()) };
        let change = best.changes.iter().map(|c| format!("{}: {} instead of {}", c.title, c.edit.text, c.now));
        let kind = if verdict.severity == Severity::Required { "required" } else { "advice" };
        rows.push(vec![
            format!("{} ({of}, {kind})", verdict.title),
            change.collect::<Vec<_>>().join(", and "),
            money(price),
        ]);
    }
    drop(trying);
    (!rows.is_empty()).then(|| Figure {
        subject: Subject::home(),
        key: "choices.prices".into(),
        title: "Choices that are still open".to_owned(),
        alternative: "a table of what is not met, what would meet it, and what that costs".to_owned(),
        drawing: Drawing::Table {
            columns: ["What is not met yet", "What would meet it", "Price"].map(str::to_owned).to_vec(),
            rows,
            note: "Each choice is by itself; prices are by the list of the firm or the home and no offer of anyone. Structure, \
                   machines and electrical work belong to licensed people."
                .to_owned(),
        },
    })
}

/// A remedy in one sentence.
fn in_short(remedy: &Remedy, units: UnitSystem) -> String {
    let changes =
        remedy.changes.iter().map(|change| format!("{} ({})", of_change(change, units), change.edit.path.join(".")));
    let worse = match remedy.worse.len() {
        0 => String::new(),
        1 => ", which leaves another rule unmet".to_owned(),
        many => format!(", which leaves {many} other rules unmet"),
    };
    format!("{}{worse}", changes.collect::<Vec<_>>().join(" and "))
}

fn open(search: &Search<'_>, remedies: &Remedies) -> Exit {
    let points = wanted(search.base(), remedies);
    if points.is_empty() {
        return match nothing(search.base(), remedies) {
            Ok(_) if remedies.json => {
                output::hand_over(output::json(&All { schema: 1, home: &search.base().file, open: &[] }), None)
            }
            Ok(closed) if remedies.apply.is_none() => output::print(&format!("{closed}\n")),
            Ok(told) | Err(told) => output::refuse(&told),
        };
    }
    let verdicts: Vec<&Verdict> = points.iter().map(|point| point.verdict).collect();
    let order = search.order(&verdicts).into_iter();
    let mut told: Vec<(usize, Told)> =
        order.filter_map(|number| Some((number, tell(search, points.get(number)?)))).collect();
    told.sort_by_key(|(number, _)| *number);
    let told: Vec<Told> = told.into_iter().map(|(_, told)| told).collect();
    if remedies.json {
        let all = All { schema: 1, home: &search.base().file, open: &told };
        return output::hand_over(output::json(&all), None);
    }
    let Some(number) = remedies.apply else { return output::print(&text(search, &told)) };
    let mut all = told.iter().flat_map(|told| &told.remedies);
    match number.checked_sub(1).and_then(|index| all.nth(index)) {
        Some(remedy) => apply(search, &remedy.changes, remedies.shared),
        None => {
            let found: usize = told.iter().map(|told| told.remedies.len()).sum();
            output::refuse(&format!("there is no change {number}; {found} were found"))
        }
    }
}

fn tell(search: &Search<'_>, point: &OpenPoint<'_>) -> Told {
    let verdict = point.verdict;
    let is_unproven = verdict.outcome == Outcome::Unproven;
    let trying = output::doing(&format!("trying changes for {} of {}", verdict.full_name(), verdict.subject));
    let found = if is_unproven { Vec::new() } else { search.remedies(verdict) };
    drop(trying);
    Told {
        of: Turned::of(verdict),
        outcome: verdict.outcome,
        message: verdict.message.clone(),
        by: acts::of(search.base(), verdict).told().to_string(),
        owed: verdict.owed.clone(),
        remedies: found,
    }
}

fn text(search: &Search<'_>, all: &[Told]) -> String {
    let mut text = String::new();
    let mut number = 0;
    for told in all {
        text.push_str(&format!("{}: {}  {} [{}]\n", told.outcome, told.of.subject, told.message, told.of.rule));
        if told.outcome == Outcome::Unproven {
            let owed: Vec<String> = told.owed.iter().map(|owed| format!("{} ({})", owed.what, owed.at)).collect();
            let owed = if owed.is_empty() { String::new() } else { format!(": {}", owed.join("; ")) };
            text.push_str(&format!("     owed by the {}{owed}\n\n", told.by));
            continue;
        }
        if told.remedies.is_empty() {
            text.push_str("     no change of one value or two that mateline knows turns it\n");
        }
        for remedy in &told.remedies {
            number += 1;
            text.push_str(&of_remedy(number, remedy, search.base().units));
        }
        text.push('\n');
    }
    text.push_str(&of_forbidden(search));
    format!("{}\n", text.trim_end())
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

/// Why there is nothing to be turned: what is asked about is closed, or an error where this home has no such verdict.
fn nothing(report: &Report, remedies: &Remedies) -> Result<String, String> {
    let Some(rule) = &remedies.rule else {
        let more = if remedies.advice { "" } else { "; --advice asks about advice too" };
        let what = if remedies.advice { "no requirement and no advice is open" } else { "no requirement is open" };
        return Ok(format!("{what}{more}"));
    };
    let of_rule: Vec<_> = report.verdicts.iter().filter(|verdict| verdict.full_name() == *rule).collect();
    if of_rule.is_empty() {
        return Err(format!("no verdict by {rule} on this home"));
    }
    let Some(subject) = &remedies.subject else { return Ok(format!("{rule} is open nowhere")) };
    match of_rule.iter().find(|verdict| verdict.subject.as_str() == subject) {
        Some(verdict) => Ok(format!("{rule} of {subject} is {}", verdict.outcome)),
        None => Err(format!("{rule} does not judge {subject}")),
    }
}

/// An amount of money with its sign.
fn money(amount: f64) -> String {
    let shown = Units::MONEY.show(Quantity::new(amount, Dimension::MONEY), UnitSystem::Ip);
    if amount < 0.0 { shown } else { format!("+{shown}") }
}

fn of_change(change: &Change, system: UnitSystem) -> String {
    let limit = change.limit.as_ref().map_or_else(String::new, |limit| format!(", from {} on", in_both(limit, system)));
    let price = change.price.map_or_else(String::new, |price| {
        format!(", {}{}", if price.is_near { "about " } else { "" }, money(price.money))
    });
    format!("{}: {} instead of {}{limit}{price}", change.title, in_both(&change.edit.text, system), change.now)
}

/// Sizes are written as they are sold; a report in the other system of units adds what that is there.
fn in_both(text: &str, system: UnitSystem) -> String {
    let Ok(quantity) = parse(text) else { return text.to_owned() };
    let is_layer = quantity.dimension == Dimension::LENGTH && quantity.si.abs() < 1.0;
    let units = if is_layer { Units::THICKNESS } else { Units::usual(quantity.dimension) };
    let other = if system == UnitSystem::Si { UnitSystem::Ip } else { UnitSystem::Si };
    let ((here, _), (there, _)) = (units.of(system), units.of(other));
    match here != there && text.ends_with(there) && !text.ends_with(&format!("·{there}")) {
        true => format!("{text} ({})", units.show(quantity, system)),
        false => text.to_owned(),
    }
}

fn of_shared(change: &Change) -> String {
    change.shared.iter().map(|path| path.join(".")).collect::<Vec<_>>().join(", ")
}

/// What changes with a value, by its name within the same element where it is there.
fn of_along(change: &Change) -> String {
    let element = change.edit.path.split_last().map_or_else(String::new, |(_, element)| element.join(".") + ".");
    let one = |edit: &Edit| {
        let path = edit.path.join(".");
        format!("{} to {}", path.strip_prefix(&element).unwrap_or(&path), edit.text)
    };
    change.along.iter().map(one).collect::<Vec<_>>().join(", ")
}

fn of_place(change: &Change) -> String {
    let caution = change.caution.as_ref().map_or_else(String::new, |caution| format!("     {caution}\n"));
    let shared = match change.shared.len() {
        0 => String::new(),
        _ => format!("     one value with {}: all of them change\n", of_shared(change)),
    };
    let along = match change.along.is_empty() {
        true => String::new(),
        false => format!("     with it {}\n", of_along(change)),
    };
    format!("     {} at {}\n{shared}{along}{caution}", change.edit.path.join("."), shown::place(&change.at))
}

fn of_remedy(number: usize, remedy: &Remedy, units: UnitSystem) -> String {
    let mut text = String::new();
    for (place, change) in remedy.changes.iter().enumerate() {
        let start = if place == 0 { format!("{number:>3}  ") } else { "     and ".to_owned() };
        text.push_str(&format!("{start}{}\n{}", of_change(change, units), of_place(change)));
    }
    if let (Some(price), true) = (remedy.price(), remedy.changes.len() > 1) {
        text.push_str(&format!("     together {}\n", money(price)));
    }
    let others: Vec<&Turned> = remedy.better.iter().filter(|turned| **turned != remedy.of).collect();
    text.push_str(&of_turned(&others, &remedy.worse.iter().collect::<Vec<_>>()));
    text
}

fn of_turned(better: &[&Turned], worse: &[&Turned]) -> String {
    let names = |turned: &[&Turned]| turned.iter().map(|turned| name(turned)).collect::<Vec<_>>().join("; ");
    let mut text = String::new();
    for (words, turned) in [("met with it", better), ("MET NO MORE", worse)] {
        if !turned.is_empty() {
            text.push_str(&format!("     {words}: {}\n", names(turned)));
        }
    }
    if text.is_empty() { "     nothing else turns\n".to_owned() } else { text }
}

fn name(turned: &Turned) -> String {
    format!("{} of {}{}", turned.rule, turned.subject, if turned.is_advice { " (advice)" } else { "" })
}

fn of_forbidden(search: &Search<'_>) -> String {
    search.levers().forbidden().map(|(name, why)| format!("not tried: {name}, {why}\n")).collect()
}

/// The way to a whole pack.
fn towards(search: &Search<'_>, remedies: &Remedies, pack: &str) -> Exit {
    if !search.base().packs.iter().any(|known| known.id == pack) {
        let known: Vec<&str> = search.base().packs.iter().map(|pack| pack.id.as_str()).collect();
        return output::refuse(&format!(
            "the home is not judged by {pack}; name it in judge_by. It is judged by {}",
            known.join(", ")
        ));
    }
    let trying = output::doing(&format!("trying combinations towards {pack}"));
    let way = search.towards(Target { pack, required_only: remedies.required, most: remedies.most });
    drop(trying);
    if remedies.json {
        return output::hand_over(output::json(&way), None);
    }
    if remedies.apply.is_some() {
        let changes: Vec<Change> = way.bought.into_iter().map(|bought| bought.change).collect();
        return if changes.is_empty() {
            output::refuse("there is nothing to change")
        } else {
            apply(search, &changes, remedies.shared)
        };
    }
    output::print(&of_way(search, pack, &way))
}

fn of_way(search: &Search<'_>, pack: &str, way: &Way) -> String {
    let what = if way.is_priced { "cost" } else { "change" };
    let mut text = match way.reached {
        _ if way.bought.is_empty() && way.conflict.is_empty() => format!("nothing to change for {pack}\n"),
        Reached::Cheapest { tried, of } => {
            format!("{pack}: the least {what} of {of} combinations, {tried} of them tried; the others cannot be less\n")
        }
        Reached::Best { tried } => format!("{pack}: the best that was found in {tried} combinations; less may do\n"),
        Reached::Nearest { tried } => {
            format!("{pack}: no combination meets all; this comes nearest of {tried} tried\n")
        }
    };
    for Bought { change, cost, open } in &way.bought {
        let cost = if way.is_priced { money(*cost) } else { format!("{:.0} %", cost * 100.0) };
        let open = match open {
            0 => "nothing left that levers reach".to_owned(),
            1 => "1 left".to_owned(),
            many => format!("{many} left"),
        };
        text.push_str(&format!("  {cost:>9}  {}; {open}\n", of_change(change, search.base().units)));
        text.push_str(&of_place(change).replace("     ", "             "));
    }
    if !way.is_priced && !way.bought.is_empty() {
        text.push_str("  not every lever has a price: the share by which values change was kept least\n");
    }
    let lists = [
        ("no lever reaches", &way.beyond),
        ("owed, not a matter of the design", &way.owed),
        (
            if way.is_proven {
                "cannot all be met with these levers"
            } else {
                "perhaps cannot all be met with these levers"
            },
            &way.conflict,
        ),
        ("met with it elsewhere", &way.better),
        ("MET NO MORE", &way.worse),
    ];
    for (words, turned) in lists.into_iter().filter(|(_, turned)| !turned.is_empty()) {
        text.push_str(&format!("{words}:\n"));
        turned.iter().for_each(|turned| text.push_str(&format!("     {}\n", name(turned))));
    }
    text.push_str(&of_forbidden(search));
    text
}

/// Writes changes into the files where their values stand.
fn apply(search: &Search<'_>, changes: &[Change], shared_too: bool) -> Exit {
    if let Some(change) = changes.iter().find(|change| !change.shared.is_empty() && !shared_too) {
        return output::refuse(&format!(
            "{} is one value with {}; give --shared to change all of them",
            change.edit.path.join("."),
            of_shared(change)
        ));
    }
    let edits: Vec<_> = changes.iter().flat_map(Change::edits).collect();
    if let Err(exit) = edits::write(search.loaded(), &edits) {
        return exit;
    }
    let told = changes.iter().map(|change| {
        format!("wrote {} instead of {} at {}\n", change.edit.text, change.now, shown::place(&change.at))
    });
    output::print(&told.collect::<String>())
}

//! `mateline rules list`, `show`, `test`, `language` and `catalogue`

use crate::arguments::{Rules, When};
use crate::exit::Exit;
use crate::output;
use mateline_engine::judge::{run_examples, untested_rows};
use mateline_engine::pack::{Pack, catalogue, language, opposed, words_of_rules};
use mateline_engine::{BadInput, Engine};
use std::fmt::Write;
use std::path::Path;

/// Lists, shows and tests rules.
pub fn run(engine: &Engine, rules: &Rules, colour: When) -> Exit {
    let file = match rules {
        Rules::List { pack } | Rules::Test { pack } => pack.as_deref(),
        Rules::Show { rule } => rule.rsplit_once('/').map(|(pack, _)| pack),
        Rules::Catalogue | Rules::Language { .. } => None,
    };
    // The rules of a pack file may name what the plugins approved for its folder compute.
    let folder = file.map(Path::new).and_then(Path::parent).filter(|folder| folder.is_dir());
    let engine = &match engine.knowing(folder.unwrap_or(Path::new("."))) {
        Ok(engine) => engine,
        Err(why) => return output::refuse(&why),
    };
    match rules {
        Rules::List { pack } => with_packs(engine, pack.as_deref(), colour, |packs| output::print(&list(packs))),
        Rules::Show { rule } => show(engine, rule, colour),
        Rules::Test { pack } => with_packs(engine, pack.as_deref(), colour, |packs| test(engine, packs)),
        Rules::Language { word: None } => output::print(&language(&engine.vocabulary())),
        Rules::Language { word: Some(word) } => match words_of_rules(&engine.vocabulary(), word) {
            Ok(found) => output::print(&found),
            Err(none) => output::refuse(&none),
        },
        Rules::Catalogue => {
            let packs: Result<Vec<Pack>, BadInput> = engine.packs().map(|id| engine.pack(id)).collect();
            match packs {
                Ok(packs) => output::print(&catalogue(&packs)),
                Err(bad) => output::bad_input(&bad, colour),
            }
        }
    }
}

/// One pack, or the firm's and all that come with mateline.
fn with_packs(engine: &Engine, name: Option<&str>, colour: When, go_on: impl FnOnce(&[Pack]) -> Exit) -> Exit {
    let names: Vec<String> = match name {
        Some(name) => vec![name.to_owned()],
        None => match engine.firm_packs() {
            Ok(firm) => firm.into_iter().chain(engine.library().iter().map(|(id, _)| (*id).to_owned())).collect(),
            Err(bad) => return output::bad_input(&bad, colour),
        },
    };
    let mut packs = Vec::new();
    for name in names {
        match engine.pack(&name) {
            Ok(pack) => packs.push(pack),
            Err(bad) => return output::bad_input(&bad, colour),
        }
    }
    go_on(&packs)
}

fn list(packs: &[Pack]) -> String {
    let mut text = String::new();
    for pack in packs {
        let version = pack.version.map(|version| format!("@{version}")).unwrap_or_default();
        let _ = writeln!(text, "{}{version}: {} ({})", pack.id, pack.title, pack.source);
        let width = pack.rules.iter().map(|rule| rule.id.chars().count()).max().unwrap_or(0);
        for rule in pack.rules.iter() {
            let advice = if rule.severity == mateline_model::Severity::Advice { " [advice]" } else { "" };
            let _ = writeln!(text, "  {:width$}  {}{advice}", rule.id, rule.title);
        }
        text.push('\n');
    }
    text
}

fn show(engine: &Engine, full_name: &str, colour: When) -> Exit {
    let Some((pack_name, rule_id)) = full_name.rsplit_once('/') else {
        return output::refuse(&format!("'{full_name}' is not PACK/RULE, such as energy-code-2021/wall-u-factor"));
    };
    let pack = match engine.pack(pack_name) {
        Ok(pack) => pack,
        Err(bad) => return output::bad_input(&bad, colour),
    };
    let Some(rule) = pack.rules.iter().find(|rule| rule.id == rule_id) else {
        let near = mateline_engine::load::did_you_mean(rule_id, pack.rules.iter().map(|rule| rule.id.as_str()));
        return output::refuse(&format!("the pack {} has no rule '{rule_id}'{near}", pack.id));
    };
    output::print(&mateline_engine::pack::describe(&pack, rule))
}

fn test(engine: &Engine, packs: &[Pack]) -> Exit {
    let mut text = String::new();
    let (mut passed, mut failed) = (0, 0);
    for pack in packs {
        for result in run_examples(pack, &engine.vocabulary()) {
            if result.holds() {
                passed += 1;
                continue;
            }
            failed += 1;
            let _ = writeln!(
                text,
                "{}/{} example {}: expected {}, came out {}: {}",
                pack.id, result.rule, result.number, result.expected, result.found, result.message
            );
        }
        for rule in pack.rules.iter().filter(|rule| rule.examples.is_empty()) {
            let _ = writeln!(text, "note: {}/{} has no examples", pack.id, rule.id);
        }
        for row in untested_rows(pack, &engine.vocabulary()) {
            let _ = writeln!(text, "note: {}/{row}", pack.id);
        }
    }
    for clash in opposed(packs) {
        let _ = writeln!(text, "note: {clash}");
    }
    let _ = writeln!(text, "{passed} examples came out as expected, {failed} did not");
    let exit = output::print(&text);
    if exit == Exit::Done && failed > 0 { Exit::Short } else { exit }
}

//! What plugins are handed beside the home: by its firm, its packs, and the project's files.

use crate::load::{Firm, Project, evidence_files};
use crate::pack::{Measure, Pack, Probe, Row, Table};
use crate::schedule::{Schedule, Settings};
use mateline_model::home::Home;
use serde_json::{Value, json};
use std::sync::Arc;

/// All of it, by plugin. What comes from the project's files goes to the plugins that declare the section it belongs to.
pub fn all_settings(
    schedule: &Schedule,
    packs: &[Arc<Pack>],
    (home, json): (&Home, &Value),
    firm: &Firm,
    project: &mut Project,
) -> Settings {
    let mut settings = settings(packs, json);
    let mut hand = |plugin: &str, by: &str, setting: Value| {
        settings.entry(plugin.to_owned()).or_default().insert(0, (by.to_owned(), setting));
    };
    for (plugin, setting) in firm.settings() {
        hand(plugin, "firm", setting);
    }
    let mut of_project = Vec::new();
    if !home.evidence.is_empty() {
        of_project.push(("evidence", evidence_files::found(home, project)));
    }
    if let Some(weather) = &home.weather {
        // The file is kept with the project's others, so that a record holds its hash.
        let read = match project.read(weather.file.as_ref()) {
            Ok(file) => json!({ "text": project.files().get(file).map(|file| &file.text) }),
            Err(why) => json!({ "lacks": why }),
        };
        of_project.push(("weather", json!({ "weather_file": read })));
    }
    for (section, read) in of_project {
        for plugin in schedule.declarations().filter(|plugin| plugin.names_section(section)) {
            hand(&plugin.name, "project", read.clone());
        }
    }
    settings
}

/// The packs' settings by plugin, with tables resolved for this home.
fn settings(packs: &[Arc<Pack>], home: &Value) -> Settings {
    let mut settings = Settings::new();
    for pack in packs {
        for (plugin, uses) in &pack.uses {
            settings.entry(plugin.clone()).or_default().push((pack.id.clone(), resolved(uses, home)));
        }
    }
    settings
}

/// A setting with every `{by: …}` replaced by the row that fits; a row that says `none`, or none at all, becomes null.
fn resolved(value: &Value, home: &Value) -> Value {
    match value {
        Value::Object(map) => {
            let Some(by) = map.get("by").and_then(Value::as_str) else {
                return map
                    .iter()
                    .map(|(key, value)| (key.clone(), resolved(value, home)))
                    .collect::<serde_json::Map<_, _>>()
                    .into();
            };
            let rows = map.iter().filter(|(key, _)| *key != "by");
            let rows = rows.map(|(key, value)| (key.clone(), Some(value.clone()).filter(|value| value != "none")));
            let here = by.split('.').try_fold(home, |here, step| here.get(step)).and_then(Value::as_str);
            let table = Table::new(by, Measure::Words, rows.collect());
            match (&table, here) {
                (Ok(table), Some(here)) => match table.row(&Probe::Word(here.to_owned())) {
                    Row::Found(_, value) => value.clone(),
                    _ => Value::Null,
                },
                _ => Value::Null,
            }
        }
        Value::Array(list) => list.iter().map(|value| resolved(value, home)).collect(),
        other => other.clone(),
    }
}

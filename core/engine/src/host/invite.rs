//! The third-party plugins a home names, opened, and what is to be said about them.

use super::confine::HELD;
use super::{Guest, Host};
use crate::load::{Diagnosis, Placed, Project, Span, place, without_dots};
use crate::worker::Worker;
use mateline_model::home::Home;
use mateline_model::{PluginStatus, Remark};
use rayon::prelude::*;
use std::path::Path;
use std::sync::Arc;

/// What came of the plugins a home names.
#[derive(Default)]
pub struct Invited {
    /// Those of which something is known, for the schedule.
    pub workers: Vec<Arc<dyn Worker>>,
    /// Where each of them is named.
    pub named: Vec<Span>,
    /// Those of which nothing is known: they failed, and what they owe has no name.
    pub unknown: Vec<PluginStatus>,
    /// The same as problems of the input, for when a pack cannot be read without them.
    pub problems: Vec<Diagnosis>,
    /// What to say about the others.
    pub remarks: Vec<Remark>,
}

/// Opens every plugin a home names, in its order.
pub fn invite(host: Option<&Host>, home: &Home, tree: &Placed, project: &Project) -> Invited {
    let mut invited = Invited::default();
    let guests: Vec<Guest> = match host {
        Some(host) => home.plugins.par_iter().map(|name| host.open(project, name)).collect(),
        None => home.plugins.iter().map(|_| Guest::nowhere()).collect(),
    };
    for (index, (name, guest)) in home.plugins.iter().zip(guests).enumerate() {
        let at = tree.span_at(&["plugins".to_owned(), index.to_string()]);
        let file = without_dots(name);
        if let Some(why) = guest.refused.filter(|_| guest.worker.is_none()) {
            invited.problems.push(Diagnosis::new(at, format!("the plugin '{file}' cannot be used: {why}")));
            invited.unknown.push(PluginStatus {
                name: file,
                version: String::new(),
                about: String::new(),
                failure: Some(why),
                reads: Vec::new(),
                writes: Vec::new(),
            });
            continue;
        }
        let mut remark = |message: String| {
            invited.remarks.push(Remark::note(message, Some(place(project.files(), at))));
        };
        if let Some(lacking) = guest.lacking {
            remark(format!(
                "the plugin '{file}' was not confined as it should be, for this system has no {lacking}; {HELD}"
            ));
        }
        let pack = Path::new(&file).with_extension("yaml").to_string_lossy().into_owned();
        if project.locate(&pack).is_ok() && !home.judge_by.iter().any(|named| without_dots(named) == pack) {
            remark(format!("the plugin '{file}' brings the pack '{pack}', which 'judge_by' does not name"));
        }
        if let Some(worker) = guest.worker {
            invited.workers.push(worker);
            invited.named.push(at);
        }
    }
    invited
}

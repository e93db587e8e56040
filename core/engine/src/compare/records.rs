//! Records that ended between two dates, and what rests on them.

use crate::load::{Node, Placed};
use mateline_model::Ended;
use mateline_model::home::{Date, Home};

/// Records of the later revision that held on the earlier date and no longer hold on the later one. A record holds on
/// its last day.
pub(super) fn ended(earlier: Date, home: &Home, tree: &Placed) -> Vec<Ended> {
    let later = home.revision.date;
    let ends = home.evidence.iter().filter_map(|(id, record)| {
        let expired = record.expires.filter(|expires| *expires >= earlier && *expires < later)?;
        let mut backs = Vec::new();
        backed(tree, id, &mut Vec::new(), &mut backs);
        Some(Ended { record: id.to_string(), expired, backs })
    });
    ends.collect()
}

/// The elements anywhere in the tree that name the record under `evidence`.
fn backed<'a>(here: &'a Placed, id: &str, path: &mut Vec<&'a str>, found: &mut Vec<String>) {
    let Node::Map(entries) = &here.node else { return };
    for entry in entries {
        // The section of that name holds the records themselves.
        if entry.key == "evidence" && !path.is_empty() {
            if names(&entry.value, id) {
                found.push(path.join("."));
            }
            continue;
        }
        path.push(&entry.key);
        backed(&entry.value, id, path, found);
        path.pop();
    }
}

/// Whether a value is a list with the id.
fn names(value: &Placed, id: &str) -> bool {
    let Node::Seq(items) = &value.node else { return false };
    items.iter().any(|item| match &item.node {
        Node::Str(text) => text == id,
        Node::Int(number) => number.to_string() == id,
        _ => false,
    })
}

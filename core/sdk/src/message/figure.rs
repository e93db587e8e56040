//! Figures: a title, words for a reader who cannot see it, and what is drawn.

use super::cross::{Cross, part};
use super::{Drawing, Refused};
use mateline_model as model;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

part! {
    /// A figure of a report.
    Figure {
        /// What it belongs to.
        subject: String,
        /// Which figure of its plugin it is: `takeoff.plan`.
        #[serde(default, skip_serializing_if = "String::is_empty")]
        key: String,
        /// Title above it.
        title: String,
        /// What it shows, in words.
        alternative: String,
        /// What is drawn.
        drawing: Drawing,
    }
}

impl Figure {
    /// Refuses a flow between nodes that are not drawn.
    pub(super) fn check(&self) -> Result<(), Refused> {
        if let Drawing::Paths { nodes, links, .. } = &self.drawing
            && let Some(stray) = links.iter().find(|link| link.from.max(link.to) >= nodes.len())
        {
            let (from, to) = (stray.from, stray.to);
            return Err(format!("draws a flow from node {from} to node {to} among {} nodes", nodes.len()));
        }
        Ok(())
    }
}

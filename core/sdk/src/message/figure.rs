//! Figures: a title, words for a reader who cannot see it, and what is drawn.

use super::cross::Cross;
use super::{Drawing, Refused, fact::subject};
use mateline_model as model;
use schemars::JsonSchema;
use serde::{Deserialize, Serialize};

/// A figure of a report.
#[derive(Clone, Debug, PartialEq, Serialize, Deserialize, JsonSchema)]
#[serde(deny_unknown_fields)]
pub struct Figure {
    /// What it belongs to.
    pub subject: String,
    /// Title above it.
    pub title: String,
    /// What it shows, in words.
    pub alternative: String,
    /// What is drawn.
    pub drawing: Drawing,
}

impl Figure {
    /// A figure of the model.
    pub(super) fn of(figure: &model::Figure) -> Result<Figure, Refused> {
        Ok(Figure {
            subject: figure.subject.to_string(),
            title: figure.title.clone(),
            alternative: figure.alternative.clone(),
            drawing: figure.drawing.clone().cross()?,
        })
    }
}

impl TryFrom<Figure> for model::Figure {
    type Error = Refused;

    fn try_from(figure: Figure) -> Result<model::Figure, Refused> {
        if let Drawing::Paths { nodes, links, .. } = &figure.drawing
            && let Some(stray) = links.iter().find(|link| link.from.max(link.to) >= nodes.len())
        {
            let (from, to) = (stray.from, stray.to);
            return Err(format!("draws a flow from node {from} to node {to} among {} nodes", nodes.len()));
        }
        Ok(model::Figure {
            subject: subject(&figure.subject)?,
            title: figure.title,
            alternative: figure.alternative,
            drawing: figure.drawing.cross()?,
        })
    }
}

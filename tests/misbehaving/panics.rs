//! A plugin that panics.
#![allow(clippy::panic, reason = "that is what it is for")]

use mateline_model::QuantityDef;
use mateline_model::quantity::Units;
use mateline_sdk::{Declaration, Findings, Plugin, PluginError, Request};

struct Panics;

mateline_sdk::export_plugin!(Panics);

impl Plugin for Panics {
    fn declaration(&self) -> Declaration {
        Declaration {
            name: "guest",
            version: "1.0.0",
            about: "A guest.",
            reads: &[],
            sections: &["modules"],
            quantities: vec![
                QuantityDef::number("guest.level", Units::plain(0), "A level."),
                QuantityDef::number("guest.length", Units::LENGTH, "A length."),
            ],
        }
    }

    fn run(&self, request: &Request<'_>) -> Result<Findings, PluginError> {
        panic!("{} modules are too many", request.home.modules.len());
    }
}

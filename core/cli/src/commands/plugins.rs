//! `mateline plugins`

use crate::exit::Exit;
use crate::output;
use mateline_engine::Engine;
use std::fmt::Write;

/// Lists the plugins, what they read and what they compute.
pub fn run(engine: &Engine) -> Exit {
    let mut text = String::new();
    for plugin in engine.schedule().declarations() {
        let reads = if plugin.reads.is_empty() { "the home".to_owned() } else { plugin.reads.join(", ") };
        let _ = writeln!(text, "{} {}: {}\n  reads {reads}", plugin.name, plugin.version, plugin.about);
        let width = plugin.quantities.iter().map(|quantity| quantity.name.chars().count()).max().unwrap_or(0);
        for quantity in &plugin.quantities {
            let unit = if quantity.units.si.is_empty() { String::new() } else { format!(" ({})", quantity.units.si) };
            let _ = writeln!(text, "  {:width$}  {}{unit}", quantity.name, quantity.meaning);
        }
        text.push('\n');
    }
    output::print(&text)
}

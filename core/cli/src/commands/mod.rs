//! One file per command.

mod alternatives;
mod check;
mod compare;
mod explain;
mod facts;
mod manual;
mod new;
mod packet;
mod plugin_child;
mod plugins;
mod rules;
mod schema;
mod watch;

use crate::arguments::{Arguments, Command, Common, Judging, When};
use crate::cache::Cache;
use crate::exit::Exit;
use crate::{machine, output};
use clap::CommandFactory;
use mateline_engine::host::Host;
use mateline_engine::{Engine, Options};
use mateline_model::Report;
use std::sync::Arc;

/// Runs what was typed.
pub fn run(arguments: &Arguments) -> Exit {
    // The child holds a plugin and nothing else.
    if let Command::PluginChild(limits) = &arguments.command {
        return plugin_child::run(limits);
    }
    // What is laid out anew is not used yet.
    if let Command::New(new) = &arguments.command {
        return new::run(new, arguments.hosting.firm.as_deref());
    }
    let cache = Cache::of(&arguments.keeping).map(Arc::new);
    let made = machine::engine(&arguments.hosting, cache.clone());
    let made = made.and_then(|engine| Ok((engine, machine::host(&arguments.hosting)?)));
    let (engine, host) = match made {
        Ok((engine, host)) => (engine.hosting(host.clone()), host),
        Err(error) => return output::error(&error),
    };
    let exit = with_engine(arguments, &engine, &host);
    if let Some(cache) = cache {
        cache.close();
    }
    exit
}

fn with_engine(arguments: &Arguments, engine: &Engine, host: &Host) -> Exit {
    let colour = arguments.color;
    match &arguments.command {
        Command::Check(check) => check::run(engine, check, colour),
        Command::Watch(watch) => watch::run(engine, watch, colour),
        Command::Alternatives(alternatives) => alternatives::run(engine, alternatives, colour),
        Command::Facts(facts) => facts::run(engine, facts, colour),
        Command::Explain(explain) => explain::run(engine, explain, colour),
        Command::Compare(compare) => compare::run(engine, compare, colour),
        Command::Packet(packet) => packet::run(engine, packet, colour),
        Command::Rules(rules) => rules::run(engine, rules, colour),
        Command::Plugins(plugins) => plugins::run(engine, host, plugins),
        Command::PluginChild(limits) => plugin_child::run(limits),
        Command::Schema(schema) => schema::run(schema),
        Command::New(new) => new::run(new, arguments.hosting.firm.as_deref()),
        Command::Completions(completions) => {
            let mut script = Vec::new();
            clap_complete::generate(completions.shell, &mut Arguments::command(), "mateline", &mut script);
            output::print(&String::from_utf8_lossy(&script))
        }
        Command::Manual(manual) => manual::run(manual),
    }
}

/// Checks the home a command names; shows what is wrong with it when it cannot be used.
fn report(engine: &Engine, common: &Common, colour: When) -> Result<Report, Exit> {
    engine.check(&common.home, &options(&common.judging)).map_err(|bad| output::bad_input(&bad, colour))
}

/// What a caller may ask of the engine.
fn options(judging: &Judging) -> Options {
    Options { units: judging.units.map(Into::into), on: judging.on }
}

//! One file per command.

mod alternatives;
mod check;
mod climate;
mod compare;
mod compare_homes;
mod explain;
mod facts;
mod fields;
mod manual;
mod materials;
mod new;
mod packet;
mod plugin_child;
mod plugins;
mod remedies;
mod rules;
mod schema;
mod since;
mod study;
mod watch;

use crate::arguments::{Arguments, Command, Common, Judging, When};
use crate::cache::{Beside, Cache};
use crate::exit::Exit;
use crate::{machine, output};
use clap::CommandFactory;
use mateline_engine::host::Host;
use mateline_engine::{Engine, Options};
use mateline_model::Report;
use mateline_plugins::Store;
use std::sync::Arc;

/// Runs what was typed.
pub fn run(arguments: &Arguments) -> Exit {
    let colour = arguments.color;
    if arguments.quiet {
        output::be_quiet();
    }
    let with = |work: &dyn Fn(&Engine, &Host) -> Exit| with_engine(arguments, work);
    match &arguments.command {
        Command::Check(check) => with(&|engine, _| check::run(engine, check, colour)),
        Command::Watch(watch) => with(&|engine, host| watch::run(engine, watch, host.firm.as_deref(), colour)),
        Command::Alternatives(alternatives) => with(&|engine, _| alternatives::run(engine, alternatives, colour)),
        Command::Facts(facts) => with(&|engine, _| facts::run(engine, facts, colour)),
        Command::Remedies(remedies) => with(&|engine, _| remedies::run(engine, remedies, colour)),
        Command::Study(study) => with(&|engine, _| study::run(engine, study, colour)),
        Command::Explain(explain) => with(&|engine, _| explain::run(engine, explain, colour)),
        Command::Compare(compare) => with(&|engine, host| compare::run(engine, host, compare, colour)),
        Command::Packet(packet) => with(&|engine, _| packet::run(engine, packet, colour)),
        Command::Materials(materials) => with(&|engine, _| materials::run(engine, materials, colour)),
        Command::Rules(rules) => with(&|engine, _| rules::run(engine, rules, colour)),
        Command::Plugins(plugins) => with(&|engine, host| plugins::run(engine, host, plugins)),
        // The child holds a plugin and nothing else.
        Command::PluginChild(limits) => plugin_child::run(limits),
        Command::Climate(wanted) => climate::run(wanted),
        Command::Fields(wanted) => fields::run(wanted),
        Command::Schema(schema) => schema::run(schema),
        // A firm's folder that is laid out anew is not used yet.
        Command::New(new) => new::run(new, arguments.hosting.firm.as_deref()),
        Command::Completions(completions) => {
            let mut script = Vec::new();
            clap_complete::generate(completions.shell, &mut Arguments::command(), "mateline", &mut script);
            output::print(&String::from_utf8_lossy(&script))
        }
        Command::Manual(manual) => manual::run(manual),
    }
}

/// Does what needs the engine, and says at the end what the cache did.
fn with_engine(arguments: &Arguments, work: &dyn Fn(&Engine, &Host) -> Exit) -> Exit {
    let cache = Cache::of(&arguments.keeping, arguments.hosting.strict).map(Arc::new);
    // Only a home that is checked again and again asks again for what has been solved.
    let watches = matches!(arguments.command, Command::Watch(_) | Command::Remedies(_) | Command::Study(_));
    let store = |cache: &Arc<Cache>| Arc::clone(cache) as Arc<dyn Store>;
    let store = match watches {
        true => Some(Arc::new(Beside::of(cache.clone())) as Arc<dyn Store>),
        false => cache.as_ref().map(store),
    };
    let made = machine::engine(&arguments.hosting, store);
    let made = made.and_then(|engine| Ok((engine, machine::host(&arguments.hosting)?)));
    let (engine, host) = match made {
        Ok((engine, host)) => (engine.hosting(host.clone()), host),
        Err(error) => return output::error(&error),
    };
    let exit = work(&engine, &host);
    if let Some(cache) = cache {
        cache.close();
    }
    exit
}

/// Checks the home a command names; shows what is wrong with it when it cannot be used.
fn report(engine: &Engine, common: &Common, colour: When) -> Result<Report, Exit> {
    let checking = output::doing(&format!("checking {}", common.home.display()));
    let checked = engine.check(&common.home, &options(&common.judging));
    drop(checking);
    checked.map_err(|bad| output::bad_input(&bad, colour))
}

/// What a caller may ask of the engine.
fn options(judging: &Judging) -> Options {
    Options { units: judging.units.map(Into::into), on: judging.on }
}

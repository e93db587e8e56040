//! One file per command.

mod check;
mod explain;
mod facts;
mod new;
mod plugins;
mod rules;
mod schema;

use crate::arguments::{Arguments, Command, Common, When};
use crate::exit::Exit;
use crate::{machine, output};
use clap::CommandFactory;
use mateline_engine::{Engine, Options};
use mateline_model::Report;

/// Runs what was typed.
pub fn run(arguments: &Arguments) -> Exit {
    let engine = match machine::engine() {
        Ok(engine) => engine,
        Err(error) => return output::error(&error),
    };
    let colour = arguments.color;
    match &arguments.command {
        Command::Check(check) => check::run(&engine, check, colour),
        Command::Facts(facts) => facts::run(&engine, facts, colour),
        Command::Explain(explain) => explain::run(&engine, explain, colour),
        Command::Rules(rules) => rules::run(&engine, rules, colour),
        Command::Plugins => plugins::run(&engine),
        Command::Schema(schema) => schema::run(schema),
        Command::New(new) => new::run(new),
        Command::Completions(completions) => {
            let mut script = Vec::new();
            clap_complete::generate(completions.shell, &mut Arguments::command(), "mateline", &mut script);
            output::print(&String::from_utf8_lossy(&script))
        }
    }
}

/// Checks the home a command names; shows what is wrong with it when it cannot be used.
fn report(engine: &Engine, common: &Common, colour: When) -> Result<Report, Exit> {
    let options = Options { units: common.units.map(Into::into), on: common.on };
    engine.check(&common.home, &options).map_err(|bad| output::bad_input(&bad, colour))
}

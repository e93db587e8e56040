//! What may be typed.

use clap::{Args, Parser, Subcommand, ValueEnum};
use mateline_model::home::Date;
use mateline_model::quantity::UnitSystem;
use std::path::PathBuf;

/// Checks the description of a factory-built home against rule packs: what is met, what is short, what is unproven, at
/// the line of the file and with the arithmetic.
///
/// Ends with 0 when everything required is met, 1 when something is short or unproven, 2 when the input cannot be
/// used, 3 when a plugin or mateline itself failed.
#[derive(Debug, Parser)]
#[command(name = "mateline", version, propagate_version = true, max_term_width = 100, arg_required_else_help = true)]
pub struct Arguments {
    /// When to use colour; NO_COLOR in the environment turns it off.
    #[arg(long, global = true, value_enum, default_value = "auto", value_name = "WHEN")]
    pub color: When,
    #[command(subcommand)]
    pub command: Command,
}

/// When to use colour.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum When {
    /// On a terminal.
    Auto,
    /// Always.
    Always,
    /// Never.
    Never,
}

/// The commands.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Check a home and list what is short or unproven.
    Check(Check),
    /// List what the plugins computed.
    Facts(Facts),
    /// Show the worked calculation of a fact: equation, symbols, values, sources and lines.
    Explain(Explain),
    /// List, show and test rules.
    #[command(subcommand)]
    Rules(Rules),
    /// List the plugins, what they read and what they compute.
    Plugins,
    /// Print the JSON Schema of a kind of file.
    Schema(Schema),
    /// Lay out a new project with a small home to start from.
    New(New),
    /// Print a completion script for a shell.
    Completions(Completions),
}

/// What a check is told beside the home.
#[derive(Debug, Args)]
pub struct Common {
    /// The home file.
    #[arg(value_name = "HOME.yaml")]
    pub home: PathBuf,
    /// Units of the report; those of the home file where not given.
    #[arg(long, value_enum)]
    pub units: Option<Units>,
    /// The day on which certificates and waivers are judged; the revision's date where not given.
    #[arg(long, value_name = "DATE")]
    pub on: Option<Date>,
}

/// Units of a report.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Units {
    /// Inch-pound units.
    Ip,
    /// International System.
    Si,
}

impl From<Units> for UnitSystem {
    fn from(units: Units) -> UnitSystem {
        match units {
            Units::Ip => UnitSystem::Ip,
            Units::Si => UnitSystem::Si,
        }
    }
}

/// Check a home.
#[derive(Debug, Args)]
pub struct Check {
    #[command(flatten)]
    pub common: Common,
    /// What to write.
    #[arg(long, value_enum, default_value = "text")]
    pub format: Format,
    /// Write to this file instead of the terminal.
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

/// What a check writes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Format {
    /// A listing for people at a terminal.
    Text,
    /// Everything, for other programs.
    Json,
    /// A report in one file, for people with a browser or a printer.
    Html,
}

/// List facts.
#[derive(Debug, Args)]
pub struct Facts {
    #[command(flatten)]
    pub common: Common,
    /// Only this subject (assemblies.wall) or section (seams).
    pub subject: Option<String>,
    /// What to write.
    #[arg(long, value_enum, default_value = "text")]
    pub format: FactsFormat,
}

/// What `facts` writes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum FactsFormat {
    /// A table.
    Text,
    /// The facts of the JSON report.
    Json,
}

/// Show a worked calculation.
#[derive(Debug, Args)]
pub struct Explain {
    #[command(flatten)]
    pub common: Common,
    /// The subject: home, assemblies.wall, seams.A-B …
    pub subject: String,
    /// The quantity: envelope.u_factor …; all of the subject's where not given.
    pub quantity: Option<String>,
}

/// Work with rules.
#[derive(Debug, Subcommand)]
pub enum Rules {
    /// List the rules of a pack, or of all that come with mateline.
    List {
        /// A pack's name or the path of its file.
        pack: Option<String>,
    },
    /// Show one rule as a person reads it.
    Show {
        /// Its full name, PACK/RULE; PACK may be the path of a file.
        rule: String,
    },
    /// Run the examples of a pack, or of all that come with mateline.
    Test {
        /// A pack's name or the path of its file.
        pack: Option<String>,
    },
}

/// Print a schema.
#[derive(Debug, Args)]
pub struct Schema {
    /// Of what.
    #[arg(value_enum, default_value = "home")]
    pub of: SchemaOf,
}

/// What a schema describes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum SchemaOf {
    /// The home file.
    Home,
    /// A rule pack.
    Pack,
    /// The JSON report.
    Report,
}

/// Lay out a project.
#[derive(Debug, Args)]
pub struct New {
    /// The folder to make.
    pub folder: PathBuf,
}

/// Print completions.
#[derive(Debug, Args)]
pub struct Completions {
    /// The shell.
    #[arg(value_enum)]
    pub shell: clap_complete::Shell,
}

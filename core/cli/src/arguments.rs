//! What may be typed.

mod checking;
mod packets;

pub use checking::{Before, Check, Format, Manual, Watch};
pub use packets::{Packet, PacketCommand, PacketToWrite, Reader};

use clap::{Args, Parser, Subcommand, ValueEnum};
use mateline_engine::study::Shard;
use mateline_model::home::Date;
use mateline_model::quantity::{Dimension, UnitSystem, parse};
use std::path::PathBuf;

/// Checks the description of a factory-built home against rule packs: what is met, what is short, what is unproven, at
/// the line of the file and with the arithmetic.
///
/// Ends with 0 when everything required is met, 1 when something is short or unproven, 2 when the input cannot be
/// used, 3 when a plugin or mateline itself failed.
///
/// 'mateline --version --verbose' also tells every pack and table that comes with it, with version and SHA-256.
#[derive(Debug, Parser)]
#[command(name = "mateline", version, propagate_version = true, max_term_width = 100, arg_required_else_help = true)]
pub struct Arguments {
    /// When to use colour; NO_COLOR in the environment turns it off.
    #[arg(long, global = true, value_enum, default_value = "auto", value_name = "WHEN")]
    pub color: When,
    /// Show nothing of how far a long run is; only a terminal shows it.
    #[arg(long, global = true)]
    pub quiet: bool,
    #[command(flatten)]
    pub hosting: Hosting,
    #[command(flatten)]
    pub keeping: Keeping,
    #[command(subcommand)]
    pub command: Command,
}

/// How plugins that do not come with mateline are run.
#[derive(Debug, Args)]
#[command(next_help_heading = "Third-party plugins")]
pub struct Hosting {
    /// The firm's folder, whose rule packs, materials, leakages, unit rates, letterhead and plugin approvals hold for
    /// every project; the environment variable MATELINE_FIRM where not given. With 'new': the folder to lay out.
    #[arg(long, global = true, value_name = "DIR", help_heading = "Options")]
    pub firm: Option<PathBuf>,
    /// Seconds a plugin may take for its handshake, and again for its run.
    #[arg(long, global = true, value_name = "SECONDS", default_value = "60", value_parser = clap::value_parser!(u64).range(1..=86_400))]
    pub plugin_time: u64,
    /// Memory a plugin may use, in MiB.
    #[arg(long, global = true, value_name = "MIB", default_value = "1024", value_parser = clap::value_parser!(u64).range(32..=1_048_576))]
    pub plugin_memory: u64,
    /// Take nothing on the project's own word: a plugin needs approval from outside the project (--firm or
    /// --approve-plugin), and neither the environment's firm nor its cache is used. For CI, where a change brings its
    /// own files.
    #[arg(long, global = true)]
    pub strict: bool,
    /// Approve the plugin whose library has this SHA-256, for this run; may be given several times.
    #[arg(long, global = true, value_name = "SHA256", value_parser = digest)]
    pub approve_plugin: Vec<String>,
    /// Run plugins that the firm has approved (--firm) in mateline's own process: faster, with no limit, not confined,
    /// and a crash of theirs is a crash of mateline.
    #[arg(long, global = true, requires = "firm")]
    pub in_process: bool,
}

/// A SHA-256 as it is typed.
fn digest(text: &str) -> Result<String, String> {
    let is_one = text.len() == 64 && text.bytes().all(|byte| byte.is_ascii_hexdigit());
    if is_one { Ok(text.to_ascii_lowercase()) } else { Err("a SHA-256 has 64 hexadecimal digits".to_owned()) }
}

/// Where solved sections are kept from run to run.
#[derive(Debug, Args)]
pub struct Keeping {
    /// Keep solved sections of junctions in this folder, so that the next run solves only what changed; that of the
    /// environment variable MATELINE_CACHE where not given, else the user's own cache folder. Whoever may write to the
    /// folder is trusted: damage and exchanged entries are noticed, an entry made up with care is not.
    #[arg(long, global = true, value_name = "DIR")]
    pub cache: Option<PathBuf>,
    /// Keep nothing, and solve every section again.
    #[arg(long, global = true, conflicts_with = "cache")]
    pub no_cache: bool,
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
    /// Check homes and list what is short or unproven.
    ///
    /// With several homes, or a folder, a table at the end has one row a home, and the exit code is the worst.
    Check(Check),
    /// Check a home again whenever a YAML file of its folder is saved, until it is interrupted.
    Watch(Watch),
    /// List what the plugins computed.
    Facts(Facts),
    /// Print the foundations that the same boxes could stand on, side by side.
    Alternatives(Alternatives),
    /// Say what single changes would meet a requirement: the limit, the next size sold, and what else turns.
    Remedies(Remedies),
    /// Check many variants of homes, as a study file says, and print what came of each; put the parts of several machines
    /// together.
    Study(Study),
    /// Show the worked calculation of a fact: equation, symbols, values, sources and lines.
    Explain(Explain),
    /// Compare two revisions: what was edited, which facts moved, which verdicts turned.
    Compare(Compare),
    /// Write the papers for the factory, the verifier, the owner, plan review or the record, or verify such a folder.
    Packet(Packet),
    /// List the materials that a home may name, and the categories of finishes with their limits, or find them by a word.
    Materials(Materials),
    /// List the keys of a home with meaning, units, range and an example, or find them by a word.
    Fields(FieldsOf),
    /// Print the climate of a site from a weather file, to paste into a home.
    Climate(Climate),
    /// List, show and test rules.
    #[command(subcommand)]
    Rules(Rules),
    /// List the plugins, or approve one that does not come with mateline.
    Plugins(Plugins),
    /// Print the JSON Schema of a kind of file.
    Schema(Schema),
    /// Lay out a new project with a small home to start from, or with --firm DIR a firm's folder.
    New(New),
    /// Print a completion script for a shell.
    Completions(Completions),
    /// Print a manual page.
    Manual(Manual),
    /// Hold one plugin, in a child process that mateline starts itself.
    #[command(hide = true)]
    PluginChild(PluginChild),
}

/// What a check is told beside the home.
#[derive(Debug, Args)]
pub struct Common {
    /// The home file.
    #[arg(value_name = "HOME.yaml")]
    pub home: PathBuf,
    #[command(flatten)]
    pub judging: Judging,
}

/// How a home is judged and shown.
#[derive(Debug, Args)]
pub struct Judging {
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

/// Print the alternatives.
#[derive(Debug, Args)]
pub struct Alternatives {
    #[command(flatten)]
    pub common: Common,
}

/// Find the changes that turn an open verdict, or meet a whole pack, each checked on the whole home.
///
/// What may be changed, in which steps and at what price, levers say: those that come with mateline, with what the firm's
/// levers.yaml and the home's `levers` alter, add, price and forbid.
#[derive(Debug, Args)]
pub struct Remedies {
    #[command(flatten)]
    pub common: Common,
    /// The rule, PACK/RULE; every requirement that is short where not given.
    pub rule: Option<String>,
    /// The subject: assemblies.wall, openings.w1 …; every one of the rule where not given.
    pub subject: Option<String>,
    /// Advice that is short too.
    #[arg(long)]
    pub advice: bool,
    /// The cheapest changes that meet all rules of this pack, its advice among them, whether or not the home names it; by
    /// how much is changed where not all have a price.
    #[arg(long, value_name = "PACK", conflicts_with_all = ["rule", "advice"])]
    pub towards: Option<String>,
    /// With --towards: the pack's requirements alone.
    #[arg(long, requires = "towards")]
    pub required: bool,
    /// With --towards: combinations that are tried at most.
    #[arg(long, value_name = "N", default_value_t = 2_000, requires = "towards")]
    pub most: usize,
    /// Print what was found as JSON.
    #[arg(long, conflicts_with = "apply")]
    pub json: bool,
    /// Write the change of this number into the home, where its value stands; the revision's id and date stay yours.
    #[arg(long, value_name = "K")]
    pub apply: Option<usize>,
    /// With --apply: also where other values of the home are one with it, by an anchor, and change too.
    #[arg(long, requires = "apply")]
    pub shared: bool,
}

/// Check many variants of homes.
///
/// Writes variants.jsonl, variants.csv and study.html into a folder. A run that was interrupted goes on where it stopped.
#[derive(Debug, Args)]
#[command(args_conflicts_with_subcommands = true)]
pub struct Study {
    #[command(subcommand)]
    pub command: Option<StudyCommand>,
    /// The study file.
    #[arg(value_name = "STUDY.yaml")]
    pub file: Option<PathBuf>,
    #[command(flatten)]
    pub judging: Judging,
    /// The folder that is written to.
    #[arg(long, value_name = "DIR", default_value = "study")]
    pub out: PathBuf,
    /// Run the K-th of N parts, K/N: every N-th variant, into part-K-of-N.jsonl.
    #[arg(long, value_name = "K/N", value_parser = shard)]
    pub shard: Option<Shard>,
    /// Run more than 10,000 variants.
    #[arg(long)]
    pub yes: bool,
    /// Write the values of this variant into its home, where they stand, and run nothing.
    #[arg(long, value_name = "VARIANT")]
    pub take: Option<u64>,
}

/// What is done with a study beside running it.
#[derive(Debug, Subcommand)]
pub enum StudyCommand {
    /// Put the parts of a study together; refuses what lacks, is there twice, or is of other inputs or another version.
    Merge(Merge),
}

/// The parts of a study.
#[derive(Debug, Args)]
pub struct Merge {
    /// The files of all parts.
    #[arg(required = true, value_name = "PART.jsonl")]
    pub parts: Vec<PathBuf>,
    /// The folder that is written to.
    #[arg(long, value_name = "DIR", default_value = "study")]
    pub out: PathBuf,
}

/// A part of a study as it is typed.
fn shard(text: &str) -> Result<Shard, String> {
    let parts = text.split_once('/').and_then(|(number, of)| Some((number.parse().ok()?, of.parse().ok()?)));
    match parts {
        Some((number, of)) if (1..=of).contains(&number) => Ok(Shard { number, of }),
        _ => Err("a part is K/N with K from 1 to N, such as 2/8".to_owned()),
    }
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

/// Compare two revisions.
///
/// Ends with 1 when something required turned to short or unproven, or is so in NEW; see --only-new.
#[derive(Debug, Args)]
pub struct Compare {
    /// The earlier revision: a home file, a folder with a home.yaml, a folder of such folders, or REVISION:path of the git repository around the
    /// current folder (v1:homes/heron-lane; the path is from the top of the repository, ./ from here). A file that ends
    /// with .json is a report that was kept (check --format json): told is what turned since, and why.
    #[arg(value_name = "OLD")]
    pub old: PathBuf,
    /// The later revision, in the same forms. With --program the home of OLD where not given.
    #[arg(value_name = "NEW", required_unless_present = "program")]
    pub new: Option<PathBuf>,
    /// Let this other mateline check OLD, and tell what turns from it to this one, and why: before an upgrade. What is
    /// named here is run.
    #[arg(long, value_name = "OTHER")]
    pub program: Option<PathBuf>,
    /// Margins that shrank below this share of the limit are listed.
    #[arg(long, value_name = "SHARE", default_value = "5%", value_parser = share)]
    pub margin: f64,
    /// The firm's folder as it was for OLD: a folder, or REVISION:path of the git repository around the current folder.
    /// That of NEW (--firm) where not given.
    #[arg(long, value_name = "FOLDER")]
    pub firm_was: Option<PathBuf>,
    /// End with 1 only for what turned to short or unproven, or was short and is further from its limit, not for what
    /// was so before.
    #[arg(long)]
    pub only_new: bool,
    /// Units of the comparison; those of NEW where not given.
    #[arg(long, value_enum)]
    pub units: Option<Units>,
    /// What to write.
    #[arg(long, value_enum, default_value = "text")]
    pub format: CompareFormat,
    /// Write to this file instead of the terminal.
    #[arg(long, value_name = "FILE")]
    pub out: Option<PathBuf>,
}

/// What `compare` writes.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum CompareFormat {
    /// One page for people at a terminal.
    Text,
    /// Everything, for other programs.
    Json,
    /// A comment for a review, of at most 60 kB.
    Markdown,
    /// A page in one file, for people with a browser or a printer.
    Html,
}

/// A share of one, `5%` or `0.05`.
fn share(text: &str) -> Result<f64, String> {
    match parse(text) {
        Ok(share) if share.dimension == Dimension::PLAIN && (0.0..=1.0).contains(&share.si) => Ok(share.si),
        _ => Err(format!("'{text}' is not a share between 0 % and 100 %, such as 5%")),
    }
}

/// List materials.
#[derive(Debug, Args)]
pub struct Materials {
    /// A word of the name; all are listed where it is not given.
    pub word: Option<String>,
    /// Units of the values; inch-pound where not given.
    #[arg(long, value_enum)]
    pub units: Option<Units>,
}

/// List the keys of a home.
#[derive(Debug, Args)]
pub struct FieldsOf {
    /// A part of a home, such as openings, or a word of a key's name or meaning; all are listed where it is not given.
    pub word: Option<String>,
}

/// Print the climate of a site.
///
/// Reads a TMY3 file as its makers publish it, or a plain CSV: lines '# latitude: 36.1', longitude, zone (hours ahead of
/// universal time), elevation (m) and 'stamps: start', middle or end of the hour, then columns time, temperature [C],
/// humidity [%], ghi [W/m2], dni [W/m2] and dhi [W/m2]. What cannot be is named with row and column, and nothing is printed.
#[derive(Debug, Args)]
pub struct Climate {
    /// The weather file.
    #[arg(value_name = "FILE.csv")]
    pub file: PathBuf,
    /// Units of what is printed; inch-pound where not given.
    #[arg(long, value_enum)]
    pub units: Option<Units>,
}

/// Work with rules.
#[derive(Debug, Subcommand)]
pub enum Rules {
    /// List the rules of a pack, or of the firm's packs and all that come with mateline.
    List {
        /// A pack's name or the path of its file.
        pack: Option<String>,
    },
    /// Show one rule as a person reads it.
    Show {
        /// Its full name, PACK/RULE; PACK may be the path of a file.
        rule: String,
    },
    /// Run the examples of a pack, or of the firm's packs and all that come with mateline, and say which rows of tables
    /// none of them reaches.
    Test {
        /// A pack's name or the path of its file.
        pack: Option<String>,
    },
    /// Print the words that rules are made of, as Markdown: functions, figures, sections, fields and facts.
    Language {
        /// A word: prints what has it in its name or meaning, fields of the home among it.
        word: Option<String>,
    },
    /// Print the catalogue of the rules that come with mateline, as Markdown.
    Catalogue,
}

/// Work with plugins.
#[derive(Debug, Args)]
pub struct Plugins {
    /// What to do; they are listed where nothing is said.
    #[command(subcommand)]
    pub command: Option<PluginsCommand>,
}

/// What to do with plugins.
#[derive(Debug, Subcommand)]
pub enum PluginsCommand {
    /// List the plugins, what they read and what they compute; then those approved in a folder.
    List {
        /// The project's folder; the current folder where neither it nor --firm is given.
        #[arg(long, value_name = "DIR")]
        project: Option<PathBuf>,
    },
    /// Record a library as approved: its name, version and SHA-256, in plugins.lock.yaml of the project's folder or,
    /// with --firm, of the firm's. To learn its name, mateline loads it in a confined process.
    Approve {
        /// The library.
        library: PathBuf,
        /// The same plugin for other systems, each beside it under the same name and with that system's ending (.so,
        /// .dll, .dylib): recorded by their SHA-256 alone, they have to say the same of themselves once they are loaded.
        others: Vec<PathBuf>,
        /// Who approves it; it stands in the record as it is given.
        #[arg(long, value_name = "NAME")]
        by: Option<String>,
        /// The day on which it is approved; mateline reads no clock.
        #[arg(long, value_name = "DATE")]
        on: Option<Date>,
        /// The project's folder; the current folder where neither it nor --firm is given.
        #[arg(long, value_name = "DIR", conflicts_with = "firm")]
        project: Option<PathBuf>,
    },
}

/// The limits of a plugin's process.
#[derive(Debug, Args)]
pub struct PluginChild {
    pub seconds: u64,
    pub memory: u64,
    pub answer: u64,
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
    /// A file that a home includes.
    HomePart,
    /// A rule pack.
    Pack,
    /// The JSON report.
    Report,
    /// The JSON reports of several homes.
    Homes,
    /// The JSON comparison of two revisions.
    Comparison,
    /// The JSON comparison of the homes of a folder.
    Comparisons,
    /// The JSON comparison with a report that was kept, or of another program.
    Since,
    /// What a plugin says of itself.
    PluginHandshake,
    /// What a plugin is given.
    PluginRequest,
    /// What a plugin hands back.
    PluginResponse,
}

/// Lay out a project.
#[derive(Debug, Args)]
pub struct New {
    /// The folder to make; with --firm none, and the firm's folder is made instead.
    pub folder: Option<PathBuf>,
}

/// Print completions.
#[derive(Debug, Args)]
pub struct Completions {
    /// The shell.
    #[arg(value_enum)]
    pub shell: clap_complete::Shell,
}

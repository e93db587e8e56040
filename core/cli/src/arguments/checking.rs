//! What may be typed after `check` and `watch`.

use super::{Common, Judging};
use clap::{Args, ValueEnum};
use mateline_reports::text::Extent;
use std::path::PathBuf;

/// Check homes.
#[derive(Debug, Args)]
pub struct Check {
    /// The home file; several, or a folder in which every home.yaml is checked.
    #[arg(value_name = "HOME.yaml", required = true)]
    pub homes: Vec<PathBuf>,
    #[command(flatten)]
    pub judging: Judging,
    #[command(flatten)]
    pub before: Before,
    /// What to write; may be given several times, with --out for all but one of them.
    #[arg(long, value_enum)]
    pub format: Vec<Format>,
    /// Write to this file instead of the terminal. FORMAT=FILE writes one format to one file, and may be given several
    /// times: --out sarif=mateline.sarif --out junit=mateline.xml.
    #[arg(long, value_name = "[FORMAT=]FILE")]
    pub out: Vec<PathBuf>,
    #[command(flatten)]
    pub told: Told,
    /// Say of each requirement that is short which changes would meet it, in the help of every format.
    #[arg(long)]
    pub remedies: bool,
}

/// What was before.
#[derive(Debug, Args)]
pub struct Before {
    /// What was before, for rules that ask it: a home file, a folder with a home.yaml, or REVISION:path of the git
    /// repository around the current folder, as for 'compare'. With a folder of homes, a folder in which the same homes
    /// lie at the same places; for one that is not there nothing was before.
    #[arg(long, value_name = "OLD")]
    pub former: Option<PathBuf>,
    /// The firm's folder as it was for OLD, as for 'compare'.
    #[arg(long, value_name = "FOLDER", requires = "former")]
    pub firm_was: Option<PathBuf>,
}

/// How much the listing of one home tells.
#[derive(Clone, Copy, Debug, Args)]
#[group(multiple = false)]
pub struct Told {
    /// Tell only where the home stands, in one line.
    #[arg(long)]
    pub brief: bool,
    /// Tell advice like requirements, with places and help, not in a line for each rule.
    #[arg(long)]
    pub advice: bool,
    /// Tell every open verdict by itself, those that are counted under others too.
    #[arg(long)]
    pub all: bool,
}

impl Told {
    /// How much that is.
    pub fn extent(self) -> Extent {
        match self {
            Told { brief: true, .. } => Extent::Brief,
            Told { advice: true, .. } => Extent::Advice,
            Told { all: true, .. } => Extent::All,
            _ => Extent::Usual,
        }
    }
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
    /// SARIF 2.1.0, for forges that show results beside the lines of a change.
    Sarif,
    /// JUnit XML, for CI systems that list tests.
    Junit,
    /// A comment for a review, of at most 60 kB.
    Markdown,
    /// Workflow commands for the log of a CI run: ::error file=…,line=…::message.
    Annotations,
    /// Plain lines for the log of a CI run and for editors: file:line:column: error: message.
    AnnotationsPlain,
    /// One line for a badge.
    Badge,
    /// The badge as a drawing.
    BadgeSvg,
}

impl Format {
    /// As it is typed.
    pub fn name(self) -> String {
        self.to_possible_value().map_or_else(String::new, |value| value.get_name().to_owned())
    }
}

/// Check a home again and again.
#[derive(Debug, Args)]
pub struct Watch {
    #[command(flatten)]
    pub common: Common,
    /// Show the report in a browser too, at http://127.0.0.1:PORT, where it is loaded anew after each check. Nobody else
    /// on the network reaches it.
    #[arg(long, value_name = "PORT", num_args = 0..=1, default_missing_value = "8117")]
    pub serve: Option<u16>,
}

/// Print a manual page.
#[derive(Debug, Args)]
pub struct Manual {
    /// The command; the page of mateline itself where none is given.
    pub command: Vec<String>,
}

//! What may be typed after `packet`.

use super::{Before, Judging};
use clap::{Args, Subcommand, ValueEnum};
use std::path::PathBuf;

/// Write a packet of papers to a new folder, or verify one.
///
/// The folder holds packet.html, a CSV of each schedule, packet.pdf where mateline was built with it, and manifest.json
/// with the SHA-256 of every file; for the record also the home files and the packs. It is written whole or not at all.
#[derive(Debug, Args)]
#[command(args_conflicts_with_subcommands = true, subcommand_negates_reqs = true)]
pub struct Packet {
    #[command(subcommand)]
    pub command: Option<PacketCommand>,
    #[command(flatten)]
    pub write: Option<PacketToWrite>,
    #[command(flatten)]
    pub judging: Judging,
    #[command(flatten)]
    pub before: Before,
}

/// What to do with a packet that was written.
#[derive(Debug, Subcommand)]
pub enum PacketCommand {
    /// Say whether a packet was altered since it was written: files changed, added or missing.
    ///
    /// Files are compared with manifest.json. Whoever alters that as well is found out by its SHA-256, held against the
    /// one that was told when the packet was written, or by a signature.
    Verify {
        /// The packet's folder.
        folder: PathBuf,
        /// The public key of whoever signed the packet; one that is not signed by it ends with 1.
        #[arg(long, value_name = "PUBLIC")]
        by: Option<PathBuf>,
    },
}

/// The packet to write.
#[derive(Debug, Args)]
pub struct PacketToWrite {
    /// The home file.
    #[arg(value_name = "HOME.yaml")]
    pub home: PathBuf,
    /// Who it is for.
    #[arg(long = "for", value_enum, value_name = "READER")]
    pub reader: Reader,
    /// The folder to make; an existing one is used only when it is empty.
    #[arg(long, value_name = "DIR")]
    pub out: PathBuf,
    /// Write it only when nothing required is short or unproven; else end with 1.
    #[arg(long = "final")]
    pub is_final: bool,
    /// With --for owner: a table of what would meet the open requirements and advice, with the prices that the firm's or the
    /// home's levers give. It takes a search.
    #[arg(long)]
    pub choices: bool,
    /// Sign the manifest with this secret key, a file of your own in the form of minisign; the signature stands beside
    /// it. A password is asked for on the terminal.
    #[arg(long, value_name = "KEYFILE")]
    pub sign: Option<PathBuf>,
    /// The paper it is printed on.
    #[arg(long, value_enum, default_value = "letter")]
    pub paper: PaperSize,
}

/// Who a packet is for.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Reader {
    /// The plant: boxes, assemblies, seals, schedules, hold points, who does what.
    Factory,
    /// The third party: requirements with sources, take-off, calculations, test plan, records.
    Verifier,
    /// The people who will live in the home: a few pages in plain words.
    Owner,
    /// The authority that reviews the plans: each code path with the values that carry it, areas, R-values and U-factors,
    /// air, and the energy certificate as a draft.
    PlanReview,
    /// The archive: everything, with the home files and the packs.
    Record,
}

impl From<Reader> for mateline_packets::Audience {
    fn from(reader: Reader) -> mateline_packets::Audience {
        match reader {
            Reader::Factory => mateline_packets::Audience::Factory,
            Reader::Verifier => mateline_packets::Audience::Verifier,
            Reader::Owner => mateline_packets::Audience::Owner,
            Reader::PlanReview => mateline_packets::Audience::PlanReview,
            Reader::Record => mateline_packets::Audience::Record,
        }
    }
}

/// A paper size.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum PaperSize {
    /// 8 1/2 in by 11 in.
    Letter,
    /// 210 mm by 297 mm.
    A4,
}

impl From<PaperSize> for mateline_packets::Paper {
    fn from(size: PaperSize) -> mateline_packets::Paper {
        match size {
            PaperSize::Letter => mateline_packets::Paper::Letter,
            PaperSize::A4 => mateline_packets::Paper::A4,
        }
    }
}

//! Who a packet is for.

use serde::Serialize;

/// The reader of a packet.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize)]
#[serde(rename_all = "kebab-case")]
pub enum Audience {
    /// The plant that builds the boxes.
    Factory,
    /// The party that checks the home.
    Verifier,
    /// The people who will live in it.
    Owner,
    /// The authority that reviews the plans.
    PlanReview,
    /// The archive: everything, with the files it came from.
    Record,
}

impl Audience {
    /// All of them.
    pub const ALL: [Audience; 5] =
        [Audience::Factory, Audience::Verifier, Audience::Owner, Audience::PlanReview, Audience::Record];

    /// In one word, as it is typed.
    pub fn word(self) -> &'static str {
        match self {
            Audience::Factory => "factory",
            Audience::Verifier => "verifier",
            Audience::Owner => "owner",
            Audience::PlanReview => "plan-review",
            Audience::Record => "record",
        }
    }

    /// The packet's title.
    pub fn title(self) -> &'static str {
        match self {
            Audience::Factory => "Factory packet",
            Audience::Verifier => "Verifier packet",
            Audience::Owner => "Owner packet",
            Audience::PlanReview => "Plan-review packet",
            Audience::Record => "Project record",
        }
    }
}

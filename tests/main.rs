//! The whole: everything below the command line, one file for each kind of test.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::print_stdout,
    reason = "a test may stop here, and says what it left out"
)]

mod acts;
mod bad;
mod below;
mod cases;
mod causes;
mod changes;
mod clashes;
mod compare;
mod declared;
mod documents;
mod doubts;
mod drawn;
mod equations;
mod examples;
mod expressions;
mod firm;
mod formats;
mod framing;
mod golden;
mod laws;
mod mutations;
mod names;
mod packets;
mod paths;
mod performance;
mod published;
mod readers;
mod remedies;
mod schemas;
mod session;
mod standards;
mod study;
mod tidy;
mod together;
mod touching;
mod unheated;
mod versions;
mod weather;
mod zones;

//! How much a plugin may use.

/// How much a plugin in a child process may use.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Seconds for the handshake, and again for the run.
    pub seconds: u64,
    /// Bytes of address space of the child process.
    pub memory: u64,
    /// Bytes of one answer.
    pub answer: u64,
    /// Bytes on the error stream.
    pub chatter: u64,
}

impl Limits {
    /// Seconds of processor time of the child. The host ends a child that takes too long; this ends one whose host has
    /// gone. Handshake and run each have their time, and a second is lost to rounding.
    pub fn processor_seconds(&self) -> u64 {
        self.seconds.saturating_mul(2).saturating_add(1)
    }
}

/// Values of JSON in one answer: numbers, texts, lists and mappings. What is kept of each takes up to a hundred times
/// its bytes in the answer.
pub const MOST_VALUES: usize = 1_000_000;

/// Facts, found or missing, in one answer. What a report makes of each takes some ten times its bytes; the largest built-in
/// plugin has fewer than 2,000 for the largest example.
pub const MOST_FACTS: usize = 20_000;

/// One mebibyte.
pub const MIB: u64 = 1024 * 1024;

impl Default for Limits {
    fn default() -> Limits {
        Limits { seconds: 60, memory: 1024 * MIB, answer: 64 * MIB, chatter: MIB }
    }
}

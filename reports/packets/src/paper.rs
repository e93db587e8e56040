//! The paper a packet is printed on.

use serde::Serialize;

/// A paper size.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq, Serialize)]
#[serde(rename_all = "lowercase")]
pub enum Paper {
    /// 8 1/2 in by 11 in.
    #[default]
    Letter,
    /// 210 mm by 297 mm.
    A4,
}

impl Paper {
    /// As style sheets name it.
    pub fn name(self) -> &'static str {
        match self {
            Paper::Letter => "letter",
            Paper::A4 => "a4",
        }
    }
}

//! Names of files that every operating system can have.
//!
//! A home's paths lead to the same file wherever it is checked, and a record made on one system is read on another. So a
//! name is held to what all of them take, on each of them.

use std::collections::BTreeSet;

/// Characters of a path that some system does not take in a name, or gives a meaning of their own.
const RESERVED: [char; 8] = ['<', '>', ':', '"', '|', '?', '*', '\\'];

/// Letters of a name that is made from an id, at most.
const LONGEST: usize = 60;

/// Why a path with `/` between its parts does not name one file on every system; `None` when it does.
///
/// Refused are the characters, the device names and the endings that Windows keeps for itself, and control characters.
/// Source: Windows' rules for names of files (from memory, high).
pub fn fault(path: &str) -> Option<String> {
    path.split('/').find_map(|part| {
        if let Some(letter) = part.chars().find(|letter| RESERVED.contains(letter)) {
            return Some(format!(
                "'{path}' has the character {letter}, which a file's name cannot hold on every system"
            ));
        }
        if part.chars().any(char::is_control) {
            return Some(format!("'{}' has a control character", path.escape_debug()));
        }
        if is_device(part) {
            return Some(format!("'{path}' holds '{part}', which names a device on some systems"));
        }
        let ends = part.ends_with(['.', ' ']) && !matches!(part, "." | "..");
        ends.then(|| format!("'{path}' holds '{part}', which ends with a full stop or a blank"))
    })
}

/// Whether a name stands for a device on Windows, with whatever ending.
fn is_device(part: &str) -> bool {
    let stem = part.split('.').next().unwrap_or_default().trim_end().to_lowercase();
    let numbered = |kind: &str| {
        let digit = stem.strip_prefix(kind).map(|rest| rest.chars().collect::<Vec<_>>());
        matches!(digit.as_deref(), Some(['0'..='9' | '¹' | '²' | '³']))
    };
    matches!(stem.as_str(), "con" | "prn" | "aux" | "nul" | "conin$" | "conout$") || numbered("com") || numbered("lpt")
}

/// Gives each of several ids a name of its own.
#[derive(Clone, Debug, Default)]
pub struct FileNames {
    taken: BTreeSet<String>,
}

impl FileNames {
    /// A name for one more id: its letters, digits and `_`, with `-` for anything else. Where another id has that name
    /// already, in whatever case, or a device has it, a number is added.
    pub fn take(&mut self, id: &str) -> String {
        let plain = |c: char| if c.is_alphanumeric() || c == '_' { c } else { '-' };
        let name: String = id.chars().map(plain).take(LONGEST).collect();
        let name = match name.trim_matches('-') {
            "" => "unnamed",
            name => name,
        };
        let is_free = |name: &String| !is_device(name) && !self.taken.contains(&name.to_lowercase());
        let numbered = (2_u64..).map(|number| format!("{name}-{number}"));
        let name = std::iter::once(name.to_owned()).chain(numbered).find(is_free).unwrap_or_default();
        self.taken.insert(name.to_lowercase());
        name
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "a test may stop here")]
    use super::*;
    use proptest::prelude::*;

    /// Windows' rules for names of files (from memory, high).
    #[test]
    fn names_that_lead_elsewhere_on_some_system_are_refused() {
        for path in [
            "C:/home.yaml",
            "C:home.yaml",
            "home.yaml:stream",
            "//server/share/home.yaml:x",
            r"\\?\C:\home.yaml",
            r"a\b",
            "a/what?.yaml",
            "a*b",
            "<firm>/a",
            "a|b",
            "say \"a\"",
            "con",
            "CON.yaml",
            "parts/Aux.yaml",
            "nul.tar.gz",
            "COM1",
            "lpt9.csv",
            "com¹.yaml",
            "conin$",
            "con .yaml",
            "a.",
            "a./b",
            "a ",
            "a /b",
            "a\u{7}b",
        ] {
            assert!(fault(path).is_some(), "{path}");
        }
        for path in
            ["home.yaml", "parts/a b.yaml", "./a/../b", "con-text.yaml", "comb.yaml", "com10", "Ä/é.pdf", ".hidden"]
        {
            assert_eq!(fault(path), None, "{path}");
        }
    }

    #[test]
    fn ids_that_look_alike_get_names_of_their_own() {
        let mut names = FileNames::default();
        let taken: Vec<String> =
            ["a b", "a-b", "A:B", "con", "", "§", "a-b-2"].iter().map(|id| names.take(id)).collect();
        assert_eq!(taken, ["a-b", "a-b-2", "A-B-3", "con-2", "unnamed", "unnamed-2", "a-b-2-2"]);
    }

    proptest! {
        #[test]
        fn names_of_ids_are_sound_and_differ(ids in prop::collection::vec(".{0,80}", 1..20)) {
            let mut names = FileNames::default();
            let mut seen = BTreeSet::new();
            for id in &ids {
                let name = names.take(id);
                prop_assert_eq!(fault(&name), None);
                prop_assert!(!name.contains('/'));
                prop_assert!(seen.insert(name.to_lowercase()));
            }
        }
    }
}

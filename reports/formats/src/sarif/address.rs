//! The address of a file.

use super::ArtifactLocation;

/// The name of the folder that relative addresses start from, as the usual forges expect it.
pub(super) const BASE: &str = "%SRCROOT%";

/// A file by its path, with `/` between folders: relative to the folder the run was started in, or from the root.
///
/// Source of the characters that stand for themselves: RFC 3986, 2.3 (from memory, high).
pub(super) fn of(path: &str) -> ArtifactLocation {
    let mut uri = String::new();
    let drive = path.get(1..3) == Some(":/");
    if path.starts_with('/') {
        uri.push_str("file://");
    } else if drive {
        uri.push_str("file:///");
    }
    for byte in path.bytes() {
        if byte.is_ascii_alphanumeric() || b"-._~/".contains(&byte) {
            uri.push(char::from(byte));
        } else {
            uri.push_str(&format!("%{byte:02X}"));
        }
    }
    let is_relative = !(drive || path.starts_with('/'));
    ArtifactLocation { uri, uri_base_id: is_relative.then(|| BASE.to_owned()) }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_path_becomes_an_address() {
        for (path, uri, is_relative) in [
            ("examples/heron-lane/home.yaml", "examples/heron-lane/home.yaml", true),
            ("my home/ü,100%.yaml", "my%20home/%C3%BC%2C100%25.yaml", true),
            ("../javascript:x", "../javascript%3Ax", true),
            ("/srv/a b.yaml", "file:///srv/a%20b.yaml", false),
            ("C:/homes/a.yaml", "file:///C%3A/homes/a.yaml", false),
            ("//host/x", "file:////host/x", false),
        ] {
            let address = of(path);
            assert_eq!((address.uri.as_str(), address.uri_base_id.is_some()), (uri, is_relative), "{path}");
        }
    }
}

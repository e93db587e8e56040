//! The C header says what the SDK does.

use crate::libraries::{has_compiler, root};
use mateline_sdk::abi::{DONE, FAILED, FREE, HANDSHAKE, RUN};
use mateline_sdk::message::ABI;
use std::process::Command;

fn header() -> String {
    std::fs::read_to_string(root().join("core/sdk/include/mateline_plugin.h")).unwrap()
}

/// Names and numbers are the SDK's.
#[test]
fn the_header_has_the_names_and_numbers_of_the_sdk() {
    let text = header().split_whitespace().collect::<Vec<_>>().join(" ");
    for expected in [
        format!("#define MATELINE_PLUGIN_ABI {ABI} "),
        format!("#define MATELINE_PLUGIN_DONE {DONE} "),
        format!("#define MATELINE_PLUGIN_FAILED {FAILED} "),
        format!("int32_t {HANDSHAKE}(uint8_t **answer, size_t *answer_length);"),
        format!(
            "int32_t {RUN}(const uint8_t *request, size_t request_length, uint8_t **answer, size_t *answer_length);"
        ),
        format!("void {FREE}(uint8_t *answer, size_t answer_length);"),
    ] {
        assert!(text.contains(&expected), "the header lacks: {expected}");
    }
    // The types of the SDK's functions carry their C form; it is the header's.
    let sdk = std::fs::read_to_string(root().join("core/sdk/src/abi.rs")).unwrap();
    for line in
        sdk.lines().filter_map(|line| line.strip_prefix("/// `")).filter(|line| line.contains("mateline_plugin_"))
    {
        let declared = line.trim_end_matches('`');
        assert!(text.contains(&format!("MATELINE_PLUGIN_EXPORT {declared};")), "{declared}");
    }
}

/// A compiler holds each declaration against one written from the SDK's own types, in C and in C++ alike.
#[test]
fn a_compiler_reads_the_header() {
    if !has_compiler() {
        return;
    }
    let folder = tempfile::tempdir().unwrap();
    let program = format!(
        "#include \"mateline_plugin.h\"\n\
         int32_t {HANDSHAKE}(uint8_t **, size_t *);\n\
         int32_t {RUN}(const uint8_t *, size_t, uint8_t **, size_t *);\n\
         void {FREE}(uint8_t *, size_t);\n\
         typedef char same_abi[MATELINE_PLUGIN_ABI == {ABI} ? 1 : -1];\n\
         typedef char same_done[MATELINE_PLUGIN_DONE == {DONE} ? 1 : -1];\n\
         typedef char same_failed[MATELINE_PLUGIN_FAILED == {FAILED} ? 1 : -1];\n"
    );
    let path = folder.path().join("program.c");
    std::fs::write(&path, program).unwrap();
    for standard in ["-std=c99", "-std=c11"] {
        let output = Command::new("cc")
            .args([standard, "-pedantic", "-Wall", "-Wextra", "-Werror", "-fsyntax-only", "-I"])
            .arg(root().join("core/sdk/include"))
            .arg(&path)
            .output()
            .unwrap();
        assert!(output.status.success(), "{standard}: {}", String::from_utf8_lossy(&output.stderr));
    }
}

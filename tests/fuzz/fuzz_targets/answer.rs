//! Any bytes as what a plugin answers: the handshake and the findings, refused or read, and always the same.

#![no_main]

use libfuzzer_sys::fuzz_target;
use mateline_sdk::message::{Handshake, RunResponse, read_response};

fuzz_target!(|bytes: &[u8]| {
    match Handshake::read(bytes) {
        Ok(handshake) => drop(handshake.quantities()),
        Err(why) => assert!(!why.is_empty()),
    }
    match read_response(bytes) {
        Ok(findings) => {
            let again = RunResponse::of(&findings).expect("what was read can be written");
            let again = serde_json::to_vec(&again).expect("it is JSON");
            assert_eq!(read_response(&again).expect("it is read again").facts.len(), findings.facts.len());
        }
        Err(why) => assert!(!why.is_empty()),
    }
});

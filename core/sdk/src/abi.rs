//! The C boundary, the plugin's side: what a library exports, and the macro that exports it.
//!
//! Three functions, described for every language in `include/mateline_plugin.h`. Across the line go integers and
//! buffers of UTF-8 JSON ([`crate::message`]). Whoever allocated a buffer frees it. No panic crosses.
//!
//! This is one of the two modules of mateline that may hold `unsafe` code; the other is the one that loads libraries.
#![allow(unsafe_code, reason = "a C boundary is made of raw pointers; each block says who upholds what")]

use crate::message::{Handshake, RunRequest, RunResponse};
use crate::{Plugin, PluginError};
use std::panic::{AssertUnwindSafe, catch_unwind};

/// The name of the function that answers the handshake.
pub const HANDSHAKE: &str = "mateline_plugin_handshake";
/// The name of the function that computes.
pub const RUN: &str = "mateline_plugin_run";
/// The name of the function that takes a buffer back.
pub const FREE: &str = "mateline_plugin_free";

/// The buffer holds the answer.
pub const DONE: i32 = 0;
/// The plugin could not do its work; the buffer holds UTF-8 text that says why.
pub const FAILED: i32 = 1;

/// `int32_t mateline_plugin_handshake(uint8_t **answer, size_t *answer_length)`
pub type HandshakeFunction = unsafe extern "C" fn(*mut *mut u8, *mut usize) -> i32;
/// `int32_t mateline_plugin_run(const uint8_t *request, size_t request_length, uint8_t **answer, size_t *answer_length)`
pub type RunFunction = unsafe extern "C" fn(*const u8, usize, *mut *mut u8, *mut usize) -> i32;
/// `void mateline_plugin_free(uint8_t *answer, size_t answer_length)`
pub type FreeFunction = unsafe extern "C" fn(*mut u8, usize);

/// Exports a plugin from a library: `export_plugin!(Acoustics);`, with a value that implements [`Plugin`].
///
/// Once in a library. A crate that is also linked into a program beside others exports behind a feature, since two
/// functions of one name cannot stand in one program.
#[macro_export]
macro_rules! export_plugin {
    ($plugin:expr) => {
        #[allow(unsafe_code, reason = "the exported functions are called through a C boundary")]
        const _: () = {
            #[unsafe(no_mangle)]
            unsafe extern "C" fn mateline_plugin_handshake(answer: *mut *mut u8, answer_length: *mut usize) -> i32 {
                // SAFETY: the caller upholds what the header asks: both pointers may be written through.
                unsafe { $crate::abi::handshake(&$plugin, answer, answer_length) }
            }

            #[unsafe(no_mangle)]
            unsafe extern "C" fn mateline_plugin_run(
                request: *const u8,
                request_length: usize,
                answer: *mut *mut u8,
                answer_length: *mut usize,
            ) -> i32 {
                // SAFETY: the caller upholds what the header asks: the request may be read over its length, and both
                // answer pointers may be written through.
                unsafe { $crate::abi::run(&$plugin, request, request_length, answer, answer_length) }
            }

            #[unsafe(no_mangle)]
            unsafe extern "C" fn mateline_plugin_free(answer: *mut u8, answer_length: usize) {
                // SAFETY: the caller upholds what the header asks: the buffer is one of this library's answers, handed
                // back once and with its length.
                unsafe { $crate::abi::free(answer, answer_length) }
            }
        };
    };
}

/// Answers the handshake for a plugin.
///
/// # Safety
/// `answer` and `answer_length` may be written through.
pub unsafe fn handshake(plugin: &dyn Plugin, answer: *mut *mut u8, answer_length: *mut usize) -> i32 {
    let said = contained(|| {
        let handshake = Handshake::of(&plugin.declaration());
        serde_json::to_vec(&handshake).map_err(|error| PluginError(error.to_string()))
    });
    // SAFETY: the caller upholds that both pointers may be written through.
    unsafe { hand_over(said, answer, answer_length) }
}

/// Runs a plugin.
///
/// Compiled where a plugin is exported and nowhere else: reading a home takes much code.
///
/// # Safety
/// `request` may be read over `request_length` bytes; `answer` and `answer_length` may be written through.
#[inline]
pub unsafe fn run(
    plugin: &dyn Plugin,
    request: *const u8,
    request_length: usize,
    answer: *mut *mut u8,
    answer_length: *mut usize,
) -> i32 {
    let found = contained(|| {
        let bytes = if request.is_null() || request_length == 0 {
            &[]
        } else {
            // SAFETY: the caller upholds that the request may be read over its length until this call returns.
            unsafe { std::slice::from_raw_parts(request, request_length) }
        };
        let request: RunRequest =
            serde_json::from_slice(bytes).map_err(|error| PluginError(format!("cannot read the request: {error}")))?;
        let opened = request.open().map_err(PluginError)?;
        let findings = plugin.run(&opened.request())?;
        let response = RunResponse::of(&findings).map_err(PluginError)?;
        serde_json::to_vec(&response).map_err(|error| PluginError(error.to_string()))
    });
    // SAFETY: the caller upholds that both pointers may be written through.
    unsafe { hand_over(found, answer, answer_length) }
}

/// Takes a buffer back.
///
/// # Safety
/// The buffer came from [`handshake`] or [`run`] of the same library, with this length, and is handed back once.
pub unsafe fn free(answer: *mut u8, answer_length: usize) {
    if !answer.is_null() {
        // SAFETY: `hand_over` made the buffer as a boxed slice of this length, and the caller hands it back once.
        drop(unsafe { Box::from_raw(std::ptr::slice_from_raw_parts_mut(answer, answer_length)) });
    }
}

/// Runs a piece of plugin code; a panic becomes words. The panic says nothing on the error stream: the words tell it.
fn contained(work: impl FnOnce() -> Result<Vec<u8>, PluginError>) -> Result<Vec<u8>, PluginError> {
    static QUIET: std::sync::Once = std::sync::Once::new();
    QUIET.call_once(|| std::panic::set_hook(Box::new(|_| {})));
    catch_unwind(AssertUnwindSafe(work))
        .unwrap_or_else(|panic| Err(PluginError(format!("it panicked: {}", words(&*panic)))))
}

/// What a panic says.
pub fn words(panic: &(dyn std::any::Any + Send)) -> &str {
    let text = panic.downcast_ref::<String>().map(String::as_str);
    text.or_else(|| panic.downcast_ref::<&str>().copied()).unwrap_or("no message")
}

/// Makes a buffer the caller's until it is handed back.
///
/// # Safety
/// `answer` and `answer_length` may be written through.
unsafe fn hand_over(said: Result<Vec<u8>, PluginError>, answer: *mut *mut u8, answer_length: *mut usize) -> i32 {
    let (status, bytes) = match said {
        Ok(bytes) => (DONE, bytes),
        Err(PluginError(why)) => (FAILED, why.into_bytes()),
    };
    let bytes = bytes.into_boxed_slice();
    let length = bytes.len();
    if answer.is_null() || answer_length.is_null() {
        return FAILED;
    }
    // SAFETY: neither is null, and the caller upholds that both may be written through.
    unsafe {
        answer.write(Box::into_raw(bytes).cast());
        answer_length.write(length);
    }
    status
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, clippy::panic, clippy::expect_used, reason = "a test may stop here")]
    use super::*;
    use crate::{Declaration, Findings, Request};
    use mateline_model::quantity::Units;
    use mateline_model::{Basis, QuantityDef, Subject};

    const LEVEL: QuantityDef = QuantityDef::number("sample.level", Units::plain(0), "A level.");

    struct Sample {
        panics: bool,
    }

    impl Plugin for Sample {
        fn declaration(&self) -> Declaration {
            let quantities = vec![LEVEL];
            let (reads, sections) = (&["takeoff"], &["modules"]);
            Declaration { name: "sample", version: "1", about: "a sample", reads, sections, quantities }
        }

        fn run(&self, request: &Request<'_>) -> Result<Findings, PluginError> {
            assert!(!self.panics, "the sample was told to");
            let mut findings = Findings::default();
            findings.count(&Subject::home(), &LEVEL, request.home.modules.len(), Basis::new("counting", "sample"));
            Ok(findings)
        }
    }

    /// Calls as a host does: status and a copy of the answer, which is handed back.
    fn call(function: impl FnOnce(*mut *mut u8, *mut usize) -> i32) -> (i32, Vec<u8>) {
        let (mut answer, mut length) = (std::ptr::null_mut(), 0);
        let status = function(&raw mut answer, &raw mut length);
        // SAFETY: the functions of this module made the buffer, and it is handed back once, after it was copied.
        let copy = unsafe {
            let copy = std::slice::from_raw_parts(answer, length).to_vec();
            free(answer, length);
            copy
        };
        (status, copy)
    }

    fn run_with(panics: bool, request: &[u8]) -> (i32, Vec<u8>) {
        // SAFETY: the request is a slice, and `call` gives pointers that may be written through.
        call(|answer, length| unsafe { run(&Sample { panics }, request.as_ptr(), request.len(), answer, length) })
    }

    const REQUEST: &str = r#"{"home": {"home": "H", "revision": {"id": "A", "date": "2026-10-05"},
        "site": {"place": "P", "climate_zone": "6A"},
        "modules": {"A": {"level": 1, "at": {"x": "0 m", "y": "0 m"}, "size": {"x": "9 m", "y": "4 m", "z": "3 m"}}}}}"#;

    #[test]
    fn a_plugin_says_who_it_is_and_computes() {
        // SAFETY: `call` gives pointers that may be written through.
        let (status, said) = call(|answer, length| unsafe { handshake(&Sample { panics: false }, answer, length) });
        assert_eq!(status, DONE);
        let handshake = Handshake::read(&said).unwrap();
        assert_eq!((handshake.name.as_str(), handshake.reads), ("sample", vec!["takeoff".to_owned()]));
        let (status, found) = run_with(false, REQUEST.as_bytes());
        assert_eq!(status, DONE);
        let findings = crate::message::read_response(&found).unwrap();
        assert_eq!(findings.facts[0].value.number().unwrap().si, 1.0);
    }

    #[test]
    fn a_panic_and_a_request_that_is_none_become_words() {
        assert_eq!(run_with(true, REQUEST.as_bytes()), (FAILED, b"it panicked: the sample was told to".to_vec()));
        let (status, why) = run_with(false, b"{");
        assert_eq!(status, FAILED);
        assert!(String::from_utf8(why).unwrap().starts_with("cannot read the request: "));
        assert_eq!(run_with(false, b"").0, FAILED);
    }

    #[test]
    fn a_caller_without_room_for_the_answer_gets_none() {
        // SAFETY: null pointers are never written through.
        let status = unsafe { handshake(&Sample { panics: false }, std::ptr::null_mut(), std::ptr::null_mut()) };
        assert_eq!(status, FAILED);
        // SAFETY: no buffer is handed back.
        unsafe { free(std::ptr::null_mut(), 0) };
    }
}

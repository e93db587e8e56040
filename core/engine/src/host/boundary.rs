//! The boundary as the engine sees it: two calls, wherever the library lives.

use super::count::bounded;
use super::limits::MOST_FACTS;
use super::lock::Approval;
use crate::worker::{Declared, Worker};
use mateline_sdk::message::{Handshake, RunRequest, read_response};
use mateline_sdk::{Findings, PluginError, Request};
use std::sync::{Mutex, PoisonError};

/// A loaded library. An error is a sentence that follows "it".
pub trait Boundary: Send {
    /// The bytes of its handshake.
    ///
    /// # Errors
    /// What it did instead.
    fn handshake(&mut self) -> Result<Vec<u8>, String>;

    /// Its answer to a request.
    ///
    /// # Errors
    /// What it did instead.
    fn run(&mut self, request: &[u8]) -> Result<Vec<u8>, String>;
}

/// A plugin behind a boundary.
pub struct Foreign {
    declared: Declared,
    /// SHA-256 of the library.
    sha256: String,
    boundary: Mutex<Box<dyn Boundary>>,
}

impl Foreign {
    /// Shakes hands with a library of this SHA-256.
    ///
    /// # Errors
    /// What is wrong with the answer.
    pub fn greet(mut boundary: Box<dyn Boundary>, sha256: &str) -> Result<(Handshake, Foreign), String> {
        let answer = boundary.handshake()?;
        bounded(&answer).map_err(|why| format!("it {why}"))?;
        let handshake = Handshake::read(&answer).map_err(|why| format!("it {why}"))?;
        let declared = declared(&handshake)?;
        Ok((handshake, Foreign { declared, sha256: sha256.to_owned(), boundary: Mutex::new(boundary) }))
    }
}

/// What a handshake says.
///
/// # Errors
/// A name or unit that breaks the rules.
pub fn declared(handshake: &Handshake) -> Result<Declared, String> {
    Ok(Declared {
        quantities: handshake.quantities().map_err(|why| format!("it {why}"))?,
        name: handshake.name.clone(),
        version: handshake.version.clone(),
        about: handshake.about.clone(),
        reads: handshake.reads.clone(),
        sections: handshake.sections.clone(),
    })
}

/// Whether a library says of itself what it said when it was approved.
///
/// # Errors
/// What differs.
pub fn keeps_to(approval: &Approval, handshake: &Handshake) -> Result<(), String> {
    if approval.handshake == *handshake {
        return Ok(());
    }
    let (then, now) = (&approval.handshake, handshake);
    Err(format!(
        "it calls itself {} {} and was approved as {} {}, or declares other quantities than then",
        now.name, now.version, then.name, then.version
    ))
}

impl Worker for Foreign {
    fn declared(&self) -> &Declared {
        &self.declared
    }

    fn content(&self) -> &str {
        &self.sha256
    }

    fn run(&self, request: &Request<'_>) -> Result<Findings, PluginError> {
        let it = |why: String| PluginError(format!("it {why}"));
        let request = RunRequest::of(request).map_err(it)?;
        let bytes = serde_json::to_vec(&request).map_err(|error| PluginError(error.to_string()))?;
        let mut boundary = self.boundary.lock().unwrap_or_else(PoisonError::into_inner);
        let answer = boundary.run(&bytes).map_err(PluginError)?;
        bounded(&answer).map_err(it)?;
        let findings = read_response(&answer).map_err(it)?;
        if findings.facts.len() + findings.missing.len() > MOST_FACTS {
            return Err(PluginError(format!("it answered with more than {MOST_FACTS} facts")));
        }
        let owns = |name: &str| self.declared.quantities.iter().any(|quantity| quantity.name == name);
        if let Some(stray) = findings.missing.iter().find(|missing| !owns(&missing.quantity)) {
            let (quantity, subject) = (&stray.quantity, &stray.subject);
            return Err(PluginError(format!("it misses {quantity} of {subject}, which it did not declare")));
        }
        Ok(findings)
    }
}

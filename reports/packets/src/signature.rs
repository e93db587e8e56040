//! A signature over a packet's manifest, in a file beside it: who holds the public key notices any change.
//!
//! The form is that of minisign (Ed25519 over BLAKE2b-512), which other programs write and check too. Keys are files of
//! the user's own, made by a tool of the user's own; nothing here makes or keeps one.

use crate::manifest::{self, Manifest};
use minisign::{PublicKey, PublicKeyBox, SecretKey, SecretKeyBox, SignatureBox};
use std::io::Cursor;

/// The signature's name in a packet's folder.
pub const NAME: &str = "manifest.json.minisig";

/// The signature over a manifest's bytes by the secret key that a text holds.
///
/// # Errors
/// Why there is none. A key under a password is asked for on the terminal.
pub fn sign(key: &str, manifest: &Manifest, bytes: &[u8]) -> Result<String, String> {
    let key = secret(key)?;
    let words = format!(
        "{} packet of {}, revision {} of {}",
        manifest.packet, manifest.home, manifest.revision.id, manifest.revision.date
    );
    let line: String = words.chars().map(|c| if c.is_control() { ' ' } else { c }).take(200).collect();
    let signed = minisign::sign(None, &key, Cursor::new(bytes), Some(&line), Some("signature of manifest.json"));
    signed.map(SignatureBox::into_string).map_err(|error| error.to_string())
}

/// A secret key, whether or not it stands under a password.
fn secret(text: &str) -> Result<SecretKey, String> {
    let boxed = || SecretKeyBox::from_string(text).map_err(|error| format!("it is no secret key: {error}"));
    if let Ok(key) = boxed()?.into_unencrypted_secret_key() {
        return Ok(key);
    }
    boxed()?.into_secret_key(None).map_err(|error| format!("it cannot be used: {error}"))
}

/// What a signature says of a manifest's bytes, by the public key that a text holds. The words that were signed with it.
///
/// # Errors
/// Why it is not a signature of these bytes by this key.
pub fn check(key: &str, signature: &str, bytes: &[u8]) -> Result<String, String> {
    let key = public(key)?;
    let signature = SignatureBox::from_string(signature).map_err(|error| format!("it is no signature: {error}"))?;
    minisign::verify(&key, &signature, Cursor::new(bytes), true, false, false).map_err(|error| error.to_string())?;
    signature.trusted_comment().map_err(|error| error.to_string())
}

/// A public key: the file that the user's tool wrote, or its second line alone.
///
/// # Errors
/// Why it is none.
pub fn public(text: &str) -> Result<PublicKey, String> {
    let boxed = PublicKeyBox::from_string(text).and_then(PublicKeyBox::into_public_key);
    boxed.or_else(|_| PublicKey::from_base64(text.trim())).map_err(|error| format!("it is no public key: {error}"))
}

/// The file of a signature beside its manifest.
pub fn file(signature: String) -> crate::OutFile {
    crate::OutFile { path: NAME.to_owned(), bytes: signature.into_bytes() }
}

/// Whether a file of a packet's folder vouches for the others and is not vouched for by the manifest.
pub(crate) fn vouches(path: &str) -> bool {
    path == manifest::NAME || path == NAME
}

//! Hashes of texts.

use std::fmt::Write;

use sha2::{Digest, Sha256};

/// SHA-256 of a text, as hexadecimal digits.
pub(crate) fn of(text: &str) -> String {
    let mut out = String::with_capacity(64);
    for byte in Sha256::digest(text.as_bytes()) {
        // Writing to a string cannot fail.
        let _ = write!(out, "{byte:02x}");
    }
    out
}

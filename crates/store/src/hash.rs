//! Hashes of texts.

use std::fmt::Write;

use sha2::{Digest, Sha256};

/// SHA-256 of a text, as hexadecimal digits.
pub(crate) fn of(text: &str) -> String {
    hex(&Sha256::digest(text.as_bytes()))
}

/// Bytes as hexadecimal digits.
pub(crate) fn hex(bytes: &[u8]) -> String {
    let mut out = String::with_capacity(2 * bytes.len());
    for byte in bytes {
        // Writing to a string cannot fail.
        let _ = write!(out, "{byte:02x}");
    }
    out
}

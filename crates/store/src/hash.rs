//! Hashes of texts.

use sha2::{Digest, Sha256};

/// SHA-256 of a text, as hexadecimal digits.
pub(crate) fn of(text: &str) -> String {
    Sha256::digest(text.as_bytes()).iter().map(|byte| format!("{byte:02x}")).collect()
}

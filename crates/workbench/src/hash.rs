//! Names for texts: what has the same one is the same.

/// SHA-256 over the lengths and texts, as hexadecimal digits.
pub(crate) fn hash_of<'a>(texts: impl Iterator<Item = &'a str>) -> String {
    use sha2::{Digest, Sha256};
    let mut hash = Sha256::new();
    for text in texts {
        hash.update(u64::try_from(text.len()).unwrap_or(u64::MAX).to_be_bytes());
        hash.update(text.as_bytes());
    }
    hash.finalize().iter().fold(String::new(), |out, byte| out + &format!("{byte:02x}"))
}

//! The door of a workbench that wants a token: who shows it gets a cookie, and never has it in an address.

use std::hint::black_box;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use axum::http::{HeaderMap, header};
use sha2::{Digest, Sha256};

/// How long an address that opens without the token may be used, once.
const LINK_HOLDS: Duration = Duration::from_mins(15);

/// Bytes of chance in such an address: as many as nobody guesses.
const LINK_BYTES: usize = 16;

/// Who comes in.
pub(crate) struct Door {
    token: String,
    /// The name of the cookie: two workbenches on one machine share their cookies, each has its own.
    name: String,
    /// Its value, which follows from the token, so that a visitor stays known when the workbench is started again.
    value: String,
    /// Addresses that open once, and until when.
    links: Mutex<Vec<(String, Instant)>>,
}

fn hex(bytes: &[u8]) -> String {
    bytes.iter().fold(String::new(), |out, byte| out + &format!("{byte:02x}"))
}

/// A name for what follows from a token, from which the token does not follow.
fn derived(what: &str, token: &str) -> String {
    let mut sum = Sha256::new();
    for part in ["boardwright workbench", what, token] {
        sum.update(u64::try_from(part.len()).unwrap_or(u64::MAX).to_be_bytes());
        sum.update(part.as_bytes());
    }
    hex(&sum.finalize())
}

/// Whether two texts are the same, in a time that depends on neither: their hashes are compared, to the last byte.
fn same(a: &str, b: &str) -> bool {
    let (a, b) = (Sha256::digest(a.as_bytes()), Sha256::digest(b.as_bytes()));
    black_box(a.iter().zip(b.iter()).fold(0_u8, |sum, (x, y)| black_box(sum | (x ^ y)))) == 0
}

impl Door {
    pub(crate) fn new(token: &str) -> Self {
        let name = format!("bench-{}", &derived("name", token)[..8]);
        Self { token: token.to_owned(), name, value: derived("visitor", token), links: Mutex::default() }
    }

    /// Whether a request shows the cookie.
    pub(crate) fn knows(&self, headers: &HeaderMap) -> bool {
        crate::cookies::cookies(headers, &self.name).any(|shown| same(shown, &self.value))
    }

    /// Whether this is the token.
    pub(crate) fn opens(&self, token: &str) -> bool {
        same(token, &self.token)
    }

    /// The cookie for who was let in.
    pub(crate) fn cookie(&self) -> (header::HeaderName, String) {
        (header::SET_COOKIE, format!("{}={}; HttpOnly; SameSite=Strict; Path=/", self.name, self.value))
    }

    /// A path that lets one visitor in without the token, once and soon; `None` where the system has no chance to give.
    pub(crate) fn link(&self, now: Instant) -> Option<String> {
        let mut bytes = [0; LINK_BYTES];
        getrandom::fill(&mut bytes).ok()?;
        let code = hex(&bytes);
        self.links().push((code.clone(), now + LINK_HOLDS));
        Some(format!("/enter/{code}"))
    }

    /// Uses a link up; whether it opened.
    pub(crate) fn take(&self, code: &str, now: Instant) -> bool {
        let mut links = self.links();
        links.retain(|(_, until)| now < *until);
        let found = links.iter().position(|(known, _)| same(known, code));
        found.map(|at| links.swap_remove(at)).is_some()
    }

    fn links(&self) -> std::sync::MutexGuard<'_, Vec<(String, Instant)>> {
        // The list is whole after every statement.
        self.links.lock().unwrap_or_else(PoisonError::into_inner)
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::access::now;

    const TOKEN: &str = "abcdefghijklmnop";

    #[test]
    fn a_link_opens_once_and_not_late() {
        let door = Door::new(TOKEN);
        let start = now();
        let code = |link: Option<String>| link.expect("chance").trim_start_matches("/enter/").to_owned();
        let (one, two) = (code(door.link(start)), code(door.link(start)));
        assert_ne!(one, two);
        assert_eq!(one.len(), 2 * LINK_BYTES);
        for (code, after, opens) in [
            ("", 0, false),
            (TOKEN, 0, false),
            (&one[1..], 0, false),
            (one.as_str(), 60, true),
            (one.as_str(), 60, false),
            (two.as_str(), 15 * 60, false),
        ] {
            assert_eq!(door.take(code, start + Duration::from_secs(after)), opens, "{code} after {after} s");
        }
    }

    #[test]
    fn the_cookie_is_not_the_token_and_stays_the_same_after_a_restart() {
        let (one, again, other) = (Door::new(TOKEN), Door::new(TOKEN), Door::new("abcdefghijklmnoq"));
        assert_eq!(one.cookie(), again.cookie());
        assert_ne!(one.cookie().1, other.cookie().1);
        assert_ne!(one.name, other.name);
        assert!(!one.cookie().1.contains(TOKEN));
    }

    #[test]
    fn only_the_very_token_opens() {
        let door = Door::new(TOKEN);
        assert!(door.opens(TOKEN));
        for wrong in ["", "abcdefghijklmno", "abcdefghijklmnopq", "abcdefghijklmnoP", " abcdefghijklmnop"] {
            assert!(!door.opens(wrong), "{wrong:?}");
        }
    }
}

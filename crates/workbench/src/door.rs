//! The door of a workbench that wants a token: who shows it gets a cookie, and never has it in an address.

use std::hint::black_box;
use std::sync::{Mutex, PoisonError};
use std::time::{Duration, Instant};

use axum::http::{HeaderMap, header};
use sha2::{Digest, Sha256};

use crate::access::May;

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
    /// Its value for who may look alone. The other does not follow from it.
    looking: String,
    /// Addresses that open once, until when, and what for.
    links: Mutex<Vec<(String, Instant, May)>>,
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
        Self {
            token: token.to_owned(),
            name,
            value: derived("visitor", token),
            looking: derived("onlooker", token),
            links: Mutex::default(),
        }
    }

    /// What a request may do by the cookie that it shows; `None` where it shows none.
    pub(crate) fn knows(&self, headers: &HeaderMap) -> Option<May> {
        let shows =
            |value: &str| crate::cookies::cookies(headers, &self.name).any(|shown| same(shown, value));
        let change = shows(&self.value).then_some(May::Change);
        change.or_else(|| shows(&self.looking).then_some(May::Look))
    }

    /// Whether this is the token.
    pub(crate) fn opens(&self, token: &str) -> bool {
        same(token, &self.token)
    }

    /// The cookie for who was let in.
    pub(crate) fn cookie(&self, may: May) -> (header::HeaderName, String) {
        let value = match may {
            May::Change => &self.value,
            May::Look => &self.looking,
        };
        (header::SET_COOKIE, format!("{}={value}; HttpOnly; SameSite=Strict; Path=/", self.name))
    }

    /// A path that lets one visitor in without the token, once and soon; `None` where the system has no chance to give.
    pub(crate) fn link(&self, now: Instant, may: May) -> Option<String> {
        let mut bytes = [0; LINK_BYTES];
        getrandom::fill(&mut bytes).ok()?;
        let code = hex(&bytes);
        self.links().push((code.clone(), now + LINK_HOLDS, may));
        Some(format!("/enter/{code}"))
    }

    /// Uses a link up; what it lets do, if it opened.
    pub(crate) fn take(&self, code: &str, now: Instant) -> Option<May> {
        let mut links = self.links();
        links.retain(|(_, until, _)| now < *until);
        let found = links.iter().position(|(known, ..)| same(known, code))?;
        let (.., may) = links.swap_remove(found);
        Some(may)
    }

    fn links(&self) -> std::sync::MutexGuard<'_, Vec<(String, Instant, May)>> {
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
        let (one, two) = (code(door.link(start, May::Look)), code(door.link(start, May::Change)));
        assert_ne!(one, two);
        assert_eq!(one.len(), 2 * LINK_BYTES);
        for (code, after, opens) in [
            ("", 0, None),
            (TOKEN, 0, None),
            (&one[1..], 0, None),
            (one.as_str(), 60, Some(May::Look)),
            (one.as_str(), 60, None),
            (two.as_str(), 15 * 60, None),
        ] {
            assert_eq!(door.take(code, start + Duration::from_secs(after)), opens, "{code} after {after} s");
        }
    }

    #[test]
    fn the_cookie_is_not_the_token_and_stays_the_same_after_a_restart() {
        let (one, again, other) = (Door::new(TOKEN), Door::new(TOKEN), Door::new("abcdefghijklmnoq"));
        for may in [May::Change, May::Look] {
            assert_eq!(one.cookie(may), again.cookie(may));
            assert_ne!(one.cookie(may).1, other.cookie(may).1);
        }
        assert_ne!(one.cookie(May::Change).1, one.cookie(May::Look).1);
        assert_ne!(one.name, other.name);
        assert!(!one.cookie(May::Change).1.contains(TOKEN));
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

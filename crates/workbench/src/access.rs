//! Who may ask, and how often.

use std::time::Instant;

/// Who may ask.
#[derive(Debug, Clone, Default)]
pub struct Access {
    /// The host names, with port, by which this server may be addressed. Empty: any, which needs a token.
    pub hosts: Vec<String>,
    /// The token every visitor must show. A server that listens beyond this machine has one.
    pub token: Option<String>,
    /// The addresses by which a phone reaches this server, as `http://192.0.2.7:4680`; none where it listens on this machine
    /// alone.
    pub phones: Vec<String>,
}

/// What a visitor may do.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum May {
    /// Whatever the owner can.
    Change,
    /// Look at everything and change nothing.
    Look,
}

impl Access {
    /// For a server on the loopback address alone.
    pub fn loopback(port: u16) -> Self {
        let hosts = ["127.0.0.1", "localhost", "[::1]"].map(|host| format!("{host}:{port}"));
        Self { hosts: hosts.to_vec(), ..Self::default() }
    }

    pub(crate) fn knows(&self, host: &str) -> bool {
        (self.hosts.is_empty() && self.token.is_some()) || self.hosts.iter().any(|known| known == host)
    }
}

/// Requests in a second that are served for ever, and how many may come at once.
const PER_SECOND: f64 = 400.0;
const AT_ONCE: f64 = 1200.0;

#[expect(
    clippy::disallowed_methods,
    reason = "the pace of requests is a matter of the clock and of nothing else"
)]
pub(crate) fn now() -> Instant {
    Instant::now()
}

/// A bucket of requests that fills with time.
#[derive(Debug)]
pub(crate) struct Pace {
    left: f64,
    at: Instant,
}

impl Pace {
    pub(crate) fn new() -> Self {
        Self { left: AT_ONCE, at: now() }
    }

    /// Whether one more request may pass at this moment.
    pub(crate) fn pass(&mut self, now: Instant) -> bool {
        let since = now.saturating_duration_since(self.at).as_secs_f64();
        self.left = (self.left + since * PER_SECOND).min(AT_ONCE);
        self.at = now;
        if self.left < 1.0 {
            return false;
        }
        self.left -= 1.0;
        true
    }
}

#[cfg(test)]
mod tests {
    use std::time::Duration;

    use super::*;

    #[test]
    fn a_flood_is_stopped_and_forgiven() {
        let mut pace = Pace::new();
        let now = now();
        let passed = (0..2000).filter(|_| pace.pass(now)).count();
        assert_eq!(passed, 1200);
        assert!(pace.pass(now + Duration::from_secs(1)));
    }
}

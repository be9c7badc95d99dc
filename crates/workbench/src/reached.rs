//! The addresses by which other machines reach this one.

use std::net::IpAddr;

/// The addresses of this machine on the networks it is in, those of the fourth version first; without its own loopback
/// and without addresses that hold on one link only.
pub fn addresses() -> Vec<IpAddr> {
    let mut all: Vec<IpAddr> = if_addrs::get_if_addrs()
        .unwrap_or_default()
        .into_iter()
        .filter(|interface| !interface.is_loopback() && !interface.is_link_local())
        .map(|interface| interface.ip())
        .collect();
    all.sort();
    all.dedup();
    all
}

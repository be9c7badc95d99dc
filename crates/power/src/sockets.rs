//! Sockets of the strips that are free.

use crate::input::Input;

/// The sockets that nobody sits in, strip and name.
pub(crate) fn empty_sockets(input: &Input) -> Vec<(usize, String)> {
    let taken: Vec<&(usize, String)> =
        input.needs.iter().filter_map(|need| need.adaptor.as_ref()?.socket.as_ref()).collect();
    let all = input
        .strips
        .iter()
        .enumerate()
        .flat_map(|(at, strip)| strip.free.iter().map(move |name| (at, name.clone())));
    all.filter(|socket| !taken.contains(&socket)).collect()
}

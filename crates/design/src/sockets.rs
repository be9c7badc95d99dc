//! The sockets of the strips, as papers and screens show them.

use rig::geometry::{Cover, Socket, SocketState, sockets};

use crate::Design;

impl Design {
    /// The sockets of every strip on the board: pitch, pattern, and whether each is free, used or covered.
    pub fn sockets(&self) -> Vec<Socket> {
        sockets(&self.rig, &self.limits, &self.solids.boxes)
    }
}

/// What is the matter with a socket, in words: `free`, `used by A1`, `covered by the adaptor of A1 in STRIP.S1`.
pub fn socket_words(state: &SocketState) -> String {
    match state {
        SocketState::Free | SocketState::Unknown => state.word().to_owned(),
        SocketState::Used(by) => format!("used by {}", by.join(" and ")),
        SocketState::Covered(by) => {
            let by: Vec<String> = by.iter().map(Cover::to_string).collect();
            format!("covered by {}", by.join(" and "))
        }
    }
}

/// The sockets that stay empty because something covers them, those with one cause together: sockets and cause.
pub fn kept_free(design: &Design) -> Vec<(Vec<Socket>, Vec<Cover>)> {
    let mut out: Vec<(Vec<Socket>, Vec<Cover>)> = Vec::new();
    for socket in design.sockets() {
        let SocketState::Covered(by) = &socket.state else { continue };
        match out.iter_mut().find(|(_, cause)| cause == by) {
            Some((together, _)) => together.push(socket.clone()),
            None => out.push((vec![socket.clone()], by.clone())),
        }
    }
    out
}

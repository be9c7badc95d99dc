//! The socket of a strip that a supply brick takes.

use crate::inlet::Inlet;
use crate::input::{Brick, Input};
use crate::sockets::empty_sockets;

/// Gives a brick that comes a socket: the first that is empty, where strips are known at all.
pub(crate) fn plug_in(input: &mut Input, brick: usize) {
    if !input.bricks[brick].inlet.takes_socket() || input.strips.is_empty() {
        return;
    }
    let socket = empty_sockets(input).into_iter().next();
    if let Some((strip, name)) = &socket {
        input.strips[*strip].free.retain(|free| free != name);
    }
    input.bricks[brick].unplugged = socket.is_none();
    input.bricks[brick].socket = socket;
}

/// The same for one that comes in the place of another, which leaves its socket.
pub(crate) fn plug_instead(input: &mut Input, brick: usize, old: &Brick) {
    if let Some((strip, name)) = &old.socket {
        input.strips[*strip].free.insert(0, name.clone());
    }
    let is_lead = matches!(input.bricks[brick].inlet, Inlet::Mains(_));
    let is_unsaid =
        old.run.is_none() && old.socket.is_none() && !matches!(old.inlet, Inlet::Fed | Inlet::Itself);
    // The mains lead of the old one stays, wherever it comes from; of mains that nobody wrote down nothing is said anew either.
    if is_unsaid || is_lead && old.run.is_some() && old.socket.is_none() {
        return;
    }
    if let (true, Some((strip, name))) = (input.bricks[brick].inlet.takes_socket(), &old.socket) {
        input.strips[*strip].free.retain(|free| free != name);
        input.bricks[brick].socket.clone_from(&old.socket);
        return;
    }
    plug_in(input, brick);
}

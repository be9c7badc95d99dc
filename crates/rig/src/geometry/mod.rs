//! The boxes of every thing on the board, and when two of them conflict.
//!
//! Frame: the board's, in integer nanometres: origin at the front left corner of the board as the
//! player sees it, x to the right, y to the back, z up from the main deck's surface. Every thing is a
//! union of open axis-aligned boxes with a class and an owner, made by [`solids`] and nowhere else. How a plug sits in
//! its port is said by [`plug_pose`], and what stands behind a panel's jack by [`tag_pose`]; whoever needs a plug takes
//! it from there.
//! Touching is legal. Corner radius is drawn, never computed with.

mod clearance;
mod clock;
mod conflict;
mod frame;
mod lead_end;
mod pose;
mod sockets;
mod solid;
mod solids;
mod wished;

pub use clearance::{Clearance, clearance};
pub use clock::{PlugTurn, clocked};
pub use conflict::{Conflict, conflicts, conflicts_between, separation};
pub use frame::{Standing, port_direction, port_point, standing, switch_point};
pub use lead_end::{EndKind, LeadEnd, ends_of, lead_ends};
pub use pose::{Bounds, Heading, Lack, PlugPose, TagPose, exits, plug_pose, tag_pose};
pub use sockets::{
    Cover, Socket, SocketState, are_neighbours, clashes, sits_in, socket_ports, sockets, sockets_for,
};
pub use solid::{BoxClass, Owner, Solid};
pub use solids::{Missing, Solids, adaptor_exit, adaptor_reach, solids, solids_of, solids_with};
pub use wished::{Bulk, RowEdge, free_place, further_out, is_covered, shared, tape};

//! Sizes of a device from pictures of it on a sheet of paper, each with its uncertainty.
//!
//! Pixels come in, millimetres go out; nothing here reads a file. [`find_sheet`] finds the sheet and with it the camera,
//! [`find_outline`] proposes the top edge in the picture from above, [`find_side`] the face and the jacks in a picture of a
//! side; whoever looks may drag any of these points. [`measure()`] makes lengths of them. [`propose()`] does all of it for the
//! pictures of one device.

mod block;
mod camera;
mod edge;
mod measure;
mod numbers;
mod outline;
mod picture;
mod propose;
mod sheet;
mod side;
mod squared;

pub use camera::{Camera, homography};
pub use measure::{Above, Before, Face, Jack, Length, Measures, measure};
pub use outline::{Known, find_outline};
pub use picture::Picture;
pub use propose::{Found, MOST_APART, Proposal, Refused, Shot, contradiction, find_device, propose};
pub use sheet::{Paper, Quad, Refusal, Sheet, View, find_sheet};
pub use side::{Side, find_side};
pub use squared::{portrait, squared};

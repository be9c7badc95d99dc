//! To-scale drawings of a design, for pages, papers and files alike.
//!
//! [`plan`] and [`side`] draw a [`Design`](design::Design) into a [`Drawing`]: plain shapes in sheet
//! millimetres, each with the role it plays ([`Style`]). [`svg`] writes a drawing as text; other writers can
//! take the same drawing. [`gaps`] numbers the tightest places, and the drawings carry the same numbers.
//! Texts are measured with the real font ([`text`]), so that they never run out of their place.

mod gap;
mod marks;
mod model;
mod plan;
mod side;
mod sketch;
mod style;
mod svg;
pub mod text;
mod way;
mod words;

pub use gap::{Gap, GapKind, gaps};
pub use marks::{check_bar, legend, severity_mark};
pub use model::{Anchor, Area, Drawing, Group, Item, Point, Scale, Text, Weight};
pub use plan::plan;
pub use side::side;
pub use style::Style;
pub use svg::{Theme, svg};

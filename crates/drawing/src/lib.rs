//! To-scale drawings of a design, for pages, papers and files alike.
//!
//! [`plan`] and [`side`] draw a [`Design`](design::Design) into a [`Drawing`]: plain shapes in sheet
//! millimetres, each with the role it plays ([`Style`]). [`svg`] writes a drawing as text; other writers can
//! take the same drawing. [`gaps`] numbers the tightest places, and the drawings carry the same numbers.
//! Texts are measured with the real font ([`text`]), so that they never run out of their place.

mod axis;
mod band;
mod book;
mod dxf;
mod engrave;
mod gap;
mod joint;
mod label;
mod loom;
mod making;
mod marks;
mod measuring;
mod model;
mod panel;
mod path;
mod plan;
mod plot;
mod power;
mod side;
mod sketch;
mod style;
mod svg;
mod template;
pub mod text;
mod way;
mod words;

pub use band::{BandCurves, ShownState, band, band_showing};
pub use book::{Dial, StartAct, channels, dials, faces, front, start};
pub use dxf::dxf;
pub use gap::{Gap, GapKind, gaps};
pub use joint::joint;
pub use label::{Media, label_pages};
pub use loom::loom;
pub use making::making;
pub use marks::{check_bar, check_bar_upright, clock_mark, legend, severity_mark};
pub use measuring::measuring;
pub use model::{Anchor, Drawing, Group, Item, Point, Scale, SheetRect, Text, Weight};
pub use panel::{PlateSide, panel, plate_file};
pub use path::{path, path_rows};
pub use plan::compared::compared;
pub use plan::{plan, portrait};
pub use plot::{Beside, HumLine, PlotBand, ResponsePlot, SilencePlot, response_plot, silence_plot};
pub use power::{power, power_parts};
pub use side::side;
pub use style::Style;
pub use svg::{Theme, layered, svg};
pub use template::{Tiling, overview, printed, template, tile, tile_map};

pub(crate) use plan::figure as plan_figure;

//! What the finished board really does: test signals to play through it, and what a recording of them says.
//!
//! [`signals`] makes what is played. [`wav`] reads a recording, [`hear`] finds the signals in it and measures each channel, and
//! [`compare`] holds the board against the straight lead: response, polarity, latency, distortion by order, noise. What
//! the rig's circuit makes one expect comes from crate `signal` ([`Question::expected`]); [`bands`] judges, and [`suspects`]
//! names what explains a difference.
//!
//! ```
//! use takes::signals::{Side, played};
//! use takes::wav::{Depth, read, write};
//! use takes::{compare, hear};
//!
//! // A board that takes half, and a straight lead that takes nothing.
//! let straight = played(44_100, Side::Left);
//! let board: Vec<f64> = straight.iter().map(|value| value * 0.5).collect();
//! let [board, straight] = [board, straight].map(|samples| {
//!     let mut file = std::io::Cursor::new(Vec::new());
//!     write(&mut file, 44_100, Depth::Pcm24, &[&samples]).expect("it is written");
//!     hear(&read(file.get_ref()).expect("a WAV file")).expect("a recording of the signals")
//! });
//! let takes = compare(&board, &straight).expect("two recordings");
//! assert!(takes[0].change_db.iter().all(|db| (db + 6.0206).abs() < 0.01));
//! assert_eq!(takes[0].inverts, Some(false));
//! ```
//!
//! Everything is a pure function of its input. What a recording cannot answer is a [`Refusal`] that says what was found and
//! what to do.

mod compare;
mod deconvolve;
mod expected;
mod fault;
mod find;
mod heard;
mod hum;
mod hush;
mod json;
mod level;
mod number;
mod refusal;
mod rows;
pub mod signals;
pub mod spectrum;
mod states;
mod suspects;
mod verdict;
pub mod wav;
pub mod wire;
pub mod words;

pub use compare::{DISTORTION_HZ, Latency, Order, Take, compare};
pub use expected::{Expected, Question};
pub use fault::Fault;
pub use find::Found;
pub use heard::{Channel, Has, Heard, hear};
pub use hum::{Hum, Kind, Line, Source, hum};
pub use hush::{BAND_HZ, Noise, noise};
pub use json::{Judged, json, output as output_json, over_reference, suspects as suspects_json};
pub use level::Level;
pub use refusal::Refusal;
pub use rows::{RowsOf, rows};
pub use states::{JudgedTake, Matched, MatchedBy, Named, ways};
pub use suspects::{Evidence, Next, Suspect, Suspects, suspects};
pub use verdict::{ALLOWED_DB, ALLOWED_NARROW_DB, Band, EDGES_HZ, Narrow, bands, not_mixed_up};

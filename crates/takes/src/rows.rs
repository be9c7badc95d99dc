//! What a recording says at the rows of the test sheet.

use crate::heard::Heard;
use crate::json::{Judged, over_reference};
use crate::states::JudgedTake;
use crate::words::{about, hertz, signed};

/// The test signals are played so that their tone has 100 mV at the board's input: so many dBu.
const TONE_DBU: f64 = -17.78;

/// How much louder a line must be than by the straight lead to be the board's, in dB. Common practice, no source.
const THE_BOARDS: f64 = 3.0;

/// What one output says.
#[derive(Debug, Clone, PartialEq)]
pub struct RowsOf {
    /// The amp or desk that it goes to.
    pub sink: String,
    /// The band, or the third of an octave, that is furthest from what is expected, with how far it may be.
    pub response: String,
    /// Whether it inverts as expected; `None` where that does not show.
    pub polarity: Option<bool>,
    /// A-weighted noise over the straight lead's.
    pub noise: String,
    /// The loudest line that the straight lead has not as loud.
    pub hum: String,
}

/// What each output of a recording says at the rows of the test sheet; nothing of one that nothing is expected of.
pub fn rows(board: &Heard, reference: &Heard, one: &JudgedTake) -> Vec<RowsOf> {
    one.outputs.iter().filter_map(|judged| of_output(board, reference, judged)).collect()
}

fn of_output(board: &Heard, reference: &Heard, judged: &Judged) -> Option<RowsOf> {
    let sink = judged.sink.clone()?;
    let expected = judged.expected.as_ref()?;
    let channel = board.channels.get(judged.take.channel)?;
    let wide = judged.bands.iter().map(|band| {
        let place = format!("{} to {}", hertz(band.from_hz), hertz(band.to_hz));
        (band.off_db(), band.allowed_db, place)
    });
    let narrow = judged.bands.iter().filter_map(|band| band.narrow);
    let narrow = narrow.map(|one| (one.off_db, one.allowed_db, about(one.hertz)));
    let over = |one: &(f64, f64, String)| one.0.abs() - one.1;
    let worst = wide.chain(narrow).max_by(|a, b| over(a).total_cmp(&over(b)))?;
    let response = format!("{} dB at {}, ± {:.1} dB", shown(worst.0, worst.1), worst.2, worst.1);
    let tone = reference.channels.first().map_or(0.0, |one| one.tone_db);
    let loud = channel
        .hum
        .sources
        .iter()
        .filter(|source| over_reference(source, reference).is_none_or(|over| THE_BOARDS <= over));
    let lines = loud.flat_map(|source| source.lines.iter().map(|line| (source.kind.word(), line)));
    let hum = lines.max_by(|a, b| a.1.level_db.total_cmp(&b.1.level_db)).map_or_else(
        || "none".to_owned(),
        |(kind, line)| {
            let dbu = line.level_db - tone + TONE_DBU;
            format!("{} dBu at {:.0} Hz, {kind}", signed(dbu, 1), line.hertz)
        },
    );
    Some(RowsOf {
        sink,
        response,
        polarity: judged.take.inverts.map(|inverts| inverts == expected.inverts),
        noise: format!("{} dB", signed(judged.take.noise_over_db.1, 1)),
        hum,
    })
}

/// How far something is off, rounded so that it passes or fails at the limit beside it as it does unrounded.
fn shown(off: f64, allowed: f64) -> String {
    let tenth = |value: f64| (value * 10.0).round() / 10.0;
    let passes = off.abs() <= allowed;
    let digits = if (tenth(off.abs()) <= tenth(allowed)) == passes { 1 } else { 3 };
    signed(off, digits)
}

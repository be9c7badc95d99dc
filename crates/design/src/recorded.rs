//! Rows of the test sheet that recordings of the finished board fill: each state at each amp or desk.

use rig::{Bypass, State};

use crate::trial::{Expected, TestLine, TestPart};
use crate::{Design, recorded_states};

/// How much louder than by the straight lead the board may be with nothing on that has a gain, A-weighted, in dB. *Common
/// practice, no source.*
pub(crate) const NOISE_OVER_DB: f64 = 6.0;

/// The loudest line of hum that nobody minds with nothing on that has a gain, in dBu. *Common practice, no source.*
pub(crate) const HUM_DBU: f64 = -90.0;

/// A gain that is stated within this of nothing is no knob that makes noise loud, in dB. *Common practice, no source.*
const NO_GAIN_DB: f64 = 0.5;

/// What a recording says of a state at an amp or desk.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum RecordedOf {
    /// Its response, by the band that is furthest from what is expected.
    Response,
    /// Whether it inverts as expected.
    Polarity,
    /// Its noise.
    Noise,
    /// Its loudest line of hum.
    Hum,
}

impl RecordedOf {
    /// All of them, in the order of the sheet.
    pub const ALL: [Self; 4] = [Self::Response, Self::Polarity, Self::Noise, Self::Hum];

    /// How the id of its row begins.
    pub fn key(self) -> &'static str {
        match self {
            Self::Response => "recorded-response",
            Self::Polarity => "recorded-polarity",
            Self::Noise => "recorded-noise",
            Self::Hum => "recorded-hum",
        }
    }
}

/// The id of the row that a recording fills: a state without a name is known by what is on in it.
pub fn recorded_row(of: RecordedOf, state: &State, sink: &str) -> String {
    let is_added = state.name.starts_with(crate::exercise::ADDED);
    let name = if is_added { state.engaged.join("+") } else { state.name.clone() };
    format!("{}:{sink}:{name}", of.key())
}

/// Every row that a recording may fill, for each state that may be recorded at each amp or desk that has a way from a source.
pub(crate) fn lines(design: &Design) -> Vec<TestLine> {
    let rig = &design.rig;
    let ways = rig::way::ways(rig);
    let is_always = has_gain_always(design);
    let mut out = Vec::new();
    for state in recorded_states(design) {
        let is_active = |tag: &String| rig.device(tag).is_none_or(|device| !device.signal.passive);
        let has_gain = is_always || state.engaged.iter().any(is_active);
        for sink in rig.sinks.iter().filter(|sink| ways.iter().any(|way| way.end() == sink.id)) {
            let name = if sink.title.is_empty() { &sink.id } else { &sink.title };
            for of in RecordedOf::ALL {
                let (what, expected, passes) = words(of, has_gain);
                out.push(TestLine {
                    id: recorded_row(of, &state, &sink.id),
                    part: TestPart::Recordings,
                    subject: signal::state_word(&state.name).to_owned(),
                    what: format!("{what}, {name}"),
                    expected: Expected::Words(expected.to_owned()),
                    passes,
                });
            }
        }
    }
    out
}

fn words(of: RecordedOf, has_gain: bool) -> (&'static str, &'static str, String) {
    match of {
        RecordedOf::Response => {
            ("response, furthest from the circuit’s", "0 dB", "± what parts allow".to_owned())
        }
        RecordedOf::Polarity => ("polarity", "as the circuit’s", String::new()),
        RecordedOf::Noise if has_gain => ("noise over a straight lead, A-weighted", GAINED, String::new()),
        RecordedOf::Noise => {
            ("noise over a straight lead, A-weighted", "as quiet", format!("≤ {NOISE_OVER_DB:.0} dB"))
        }
        RecordedOf::Hum if has_gain => ("loudest line of hum", GAINED, String::new()),
        RecordedOf::Hum => ("loudest line of hum", "none", format!("≤ {} dBu", minus(HUM_DBU))),
    }
}

/// What is said where a gain that is set by ear makes what is quiet loud.
const GAINED: &str = "write it down";

fn minus(value: f64) -> String {
    format!("{value:.0}").replace('-', "−")
}

/// Whether something with a gain of its own is always on.
fn has_gain_always(design: &Design) -> bool {
    let looped = crate::carried::looped(design);
    design.rig.devices.iter().any(|device| {
        device.signal.bypass.value == Some(Bypass::AlwaysOn)
            && !device.signal.passive
            && device.signal.gain.value.is_some_and(|gain| NO_GAIN_DB < gain.get().abs())
            && !looped.contains(device.tag.as_str())
    })
}

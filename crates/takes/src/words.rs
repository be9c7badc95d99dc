//! What was found, in words for the bench.

use crate::wire::{Fault, Hum, Output, Suspect};

/// A number with its sign, of nothing without one.
pub fn signed(value: f64, digits: usize) -> String {
    let text = format!("{:.digits$}", value.abs());
    let is_zero = text.chars().all(|digit| matches!(digit, '0' | '.'));
    match (is_zero, value < 0.0) {
        (true, _) => text,
        (false, true) => format!("−{text}"),
        (false, false) => format!("+{text}"),
    }
}

/// A frequency as a person says it.
pub fn hertz(value: f64) -> String {
    if value < 1_000.0 { format!("{value:.0} Hz") } else { format!("{:.0} kHz", value / 1_000.0) }
}

/// A frequency to two digits.
pub fn about(value: f64) -> String {
    if value < 1_000.0 {
        format!("{:.0} Hz", (value / 10.0).round() * 10.0)
    } else if value < 10_000.0 {
        format!("{:.1} kHz", value / 1_000.0)
    } else {
        format!("{:.0} kHz", value / 1_000.0)
    }
}

/// How much louder a line must be than by the straight lead to be the board's, in dB. Common practice, no source.
const THE_BOARDS: f64 = 3.0;

/// Below this a recording holds no noise at all, in dBFS: no converter is as quiet. Common practice, no source.
const NOTHING: f64 = -170.0;

/// A-weighted noise in dBFS and over the straight lead, in words.
pub fn noise(weighted_db: f64, over_db: f64) -> String {
    if weighted_db < NOTHING {
        return "the silence holds nothing at all: a gate is on, or the gain is too low for its noise to show".to_owned();
    }
    let level = signed(weighted_db, 1);
    if 100.0 < over_db.abs() {
        return format!(
            "noise {level} dBFS A-weighted; the straight lead’s silence holds nothing to compare with"
        );
    }
    format!("noise {level} dBFS A-weighted, {} dB over the straight lead", signed(over_db, 1))
}

/// Whose hum it is, against the straight lead's.
pub fn over(hum: &Hum) -> String {
    match hum.over_reference_db {
        None => "the straight lead has none of it".to_owned(),
        Some(db) => format!("{} dB over the straight lead", signed(db, 0)),
    }
}

/// What to do about a kind of hum.
pub fn what_to_do(hum: &Hum) -> &'static str {
    if hum.over_reference_db.is_some_and(|db| db < THE_BOARDS) {
        return "as loud by the straight lead: it is not the board's, but the room's, the box's or the interface's";
    }
    match hum.kind {
        "magnetic" => {
            "a transformer's field in a coil or a lead: move the supply or the wah apart, turn one of them a quarter"
        }
        "rectifier" => {
            "ripple of a supply: feed the devices one after the other from a battery, and see with which it goes"
        }
        "loop" => {
            "screens earthed twice: lift one of the two ways to earth at a signal screen or use a transformer; never lift protective earth"
        }
        _ => {
            "a clock or switching supply: unplug digital devices one after the other, or give them an outlet of their own"
        }
    }
}

/// `L07 (D6.OUT > D7.IN)`.
pub fn place(fault: &Fault) -> String {
    match &fault.lead {
        Some(number) if fault.what != "buffer-elsewhere" => format!("{number} ({})", fault.at),
        _ => fault.at.clone(),
    }
}

/// The place of a fault that is named beside another one of its kind.
pub fn also(fault: &Fault) -> String {
    match fault.what {
        "buffer-elsewhere" => fault.lead.clone().unwrap_or_else(|| "another lead".to_owned()),
        "level" => what(fault),
        _ => place(fault),
    }
}

/// What to record next, and what it shows; `None` where no recording tells more.
pub fn record(suspect: &Suspect) -> Option<String> {
    let on = suspect.record_with.as_ref()?;
    let state = match on.as_slice() {
        [] => "everything bypassed".to_owned(),
        some => format!("{} engaged", some.join(" and ")),
    };
    let shows = match suspect.record_apart_db {
        Some(db) => format!("the likeliest two then differ by {db:.0} dB"),
        None => "of the likeliest two one then inverts, and the other does not".to_owned(),
    };
    Some(format!("record again with {state}: {shows}"))
}

/// An order of distortion that stands as high against its tone is heard to be there, in dB. Common practice, no source.
const DISTORTS_DB: f64 = -34.0;

/// That something clips or drives, where it does: the response then is not that of a circuit.
pub fn distorts(output: &Output) -> Option<String> {
    let loudest = output
        .distortion
        .iter()
        .flat_map(|tone| tone.orders.iter().map(|order| (tone.hz, order)))
        .filter(|(_, order)| DISTORTS_DB < order.board_db && order.reference_db + 10.0 < order.board_db)
        .max_by(|a, b| a.1.board_db.total_cmp(&b.1.board_db));
    let (hz, order) = loudest?;
    Some(format!(
        "something clips or drives at this level: order {} of {hz} Hz stands at {} dB; set what is on to its cleanest, or turn the output of the interface down for board and straight lead alike, and record both again: until then the response tells little",
        order.order,
        signed(order.board_db, 0)
    ))
}

/// What is said of channels without signals, from 1, where the board has an output for them.
pub fn silent(channels: &[usize], sinks: &[String]) -> Option<String> {
    let of = |channel: &usize| Some((*channel, sinks.get(channel.checked_sub(1)?)?));
    let (channel, sink) = channels.iter().find_map(of).filter(|_| 1 < sinks.len())?;
    Some(format!(
        "channel {channel}, which {sink} would have, holds none of the test signals: nothing was plugged into that input, or that output of the board is dead; nothing is judged of it"
    ))
}

/// Two digits, as a meter shows them.
fn picofarads(farads: f64) -> String {
    let value = (farads * 1e12).abs();
    let step = if value < 100.0 { 5.0 } else { 10.0 };
    format!("{:.0} pF", (value / step).round() * step)
}

fn ohms(value: f64) -> String {
    if value < 1e6 { format!("{:.0} kΩ", value / 1e3) } else { format!("{:.1} MΩ", value / 1e6) }
}

/// What would be wrong.
pub fn what(fault: &Fault) -> String {
    let at = place(fault);
    let farads = fault.farads.unwrap_or(0.0);
    match fault.what {
        "capacitance" => {
            let (word, why) = if 0.0 < farads {
                ("too much", "another cable, or too long")
            } else {
                ("too little", "another cable, or too short")
            };
            format!("{at} has about {} {word}: {why}", picofarads(farads))
        }
        "input-capacitance" => format!("about {} too much across {at}", picofarads(farads)),
        "broken" => format!("the tip of {at} is not connected"),
        "no-buffer" => format!("{at} passes the signal without its buffer"),
        "buffer-elsewhere" => {
            let lead = fault.lead.as_deref().unwrap_or("another lead");
            format!("the buffer of {at} sits elsewhere: at the beginning of {lead}")
        }
        "inverts" => format!("{at} inverts where it should not, or does not where it should"),
        "stays-in" => format!("{at} stays in"),
        "stays-out" => format!("{at} stays out"),
        "level" => {
            let db = fault.db.unwrap_or(0.0);
            let word = if db < 0.0 { "quieter" } else { "louder" };
            format!(
                "everything is {:.1} dB {word} at all frequencies alike: a gain or output was turned between the two recordings, or a volume stands elsewhere",
                db.abs()
            )
        }
        _ => format!("something of about {} hangs on {at}", ohms(fault.ohms.unwrap_or(0.0))),
    }
}

/// A meter reading that decides it.
pub fn meter(fault: &Fault) -> String {
    let at = fault.lead.clone().unwrap_or_else(|| fault.at.clone());
    let planned = fault.planned_farads.unwrap_or(0.0);
    match fault.what {
        "capacitance" => format!(
            "unplug {at} at both ends and measure from tip to sleeve: about {} and it is this lead, about {} and it is not",
            picofarads(planned + fault.farads.unwrap_or(0.0)),
            picofarads(planned)
        ),
        "input-capacitance" => format!(
            "unplug what is at {} and measure from tip to sleeve of the jack: about {} and it is this",
            fault.at,
            picofarads(fault.farads.unwrap_or(0.0))
        ),
        "broken" => format!("unplug {at} and measure from tip to tip: below 1 Ω and it is not this"),
        "no-buffer" | "buffer-elsewhere" => format!(
            "unplug {}, bypass it, and measure from the tip of its input to the tip of its output: below 1 Ω and there is no buffer in it",
            fault.at
        ),
        "inverts" => format!("play pulse.wav through {} alone: upwards first is not inverted", fault.at),
        "level" => {
            "look whether gain and output of the interface stood alike and every volume on the board is up, and record both again"
                .to_owned()
        }
        "stays-in" | "stays-out" => {
            format!("press the switch of {}, look at its light, and record again", fault.at)
        }
        _ => format!(
            "unplug the leads at {} and measure from tip to sleeve of the jack: about {} and it is this; look for a second lead, a tuner, a meter",
            fault.at,
            ohms(fault.ohms.unwrap_or(0.0))
        ),
    }
}

//! What a recording says, in words for the bench.

use takes::wire::{Fault, File, Hum, Output, Read, Suspect};

/// The whole answer.
pub(crate) fn told(read: &Read) -> String {
    let mut out = String::new();
    out += &format!("Board:         {}\n", file(&read.board));
    out += &format!("Straight lead: {}\n", file(&read.reference));
    if let Some(way) = &read.way {
        out += &format!("Expected: {} to {}, {}\n", way.source, way.sink, way.state);
        if !way.level_counts {
            out += "A device with a gain of its own is engaged: 150 to 300 Hz is taken as right, and level is not judged.\n";
        }
    }
    for output in &read.outputs {
        if 1 < read.outputs.len() {
            out += &format!("\nChannel {}\n", output.channel);
        }
        out += &response(read, output);
        out += &passing(output);
        out += &quiet(output);
        out += &suspects(output);
    }
    if read.way.is_none() {
        out += "\nNo rig is named, so nothing is expected: --rig compares with what the circuit should do, and names what differs.\n";
    }
    out
}

fn file(file: &File) -> String {
    format!(
        "{} Hz, {} bit, {:.1} s; signals begin at {:.2} s, tone at {} dBFS, recorder's clock {} ppm against the player's{}",
        file.rate_hz,
        file.bits,
        file.seconds,
        file.begins_s,
        signed(file.tone_dbfs, 1),
        signed(file.clock_ppm, 0),
        if 0.5 <= file.clock_ppm.abs() { " (corrected)" } else { "" }
    )
}

/// A number with its sign, of nothing without one.
fn signed(value: f64, digits: usize) -> String {
    let text = format!("{:.digits$}", value.abs());
    let is_zero = text.chars().all(|digit| matches!(digit, '0' | '.'));
    match (is_zero, value < 0.0) {
        (true, _) => text,
        (false, true) => format!("−{text}"),
        (false, false) => format!("+{text}"),
    }
}

fn hertz(value: f64) -> String {
    if value < 1_000.0 { format!("{value:.0} Hz") } else { format!("{:.0} kHz", value / 1_000.0) }
}

/// Response band by band, or at a few frequencies where nothing is expected.
fn response(read: &Read, output: &Output) -> String {
    let mut out = String::from("\nResponse, board against straight lead\n");
    if output.bands.is_empty() {
        for wanted in [50.0, 100.0, 200.0, 500.0, 1_000.0, 2_000.0, 4_000.0, 8_000.0, 16_000.0] {
            let near = |value: &f64| (value / wanted).max(wanted / value);
            let at = output.frequencies_hz.iter().enumerate().min_by(|a, b| near(a.1).total_cmp(&near(b.1)));
            let Some((at, _)) = at else { continue };
            out += &format!("  {:>7}  {:>6} dB\n", hertz(wanted), signed(output.change_db[at], 1));
        }
        return out;
    }
    out += "       band         measured  expected     apart   allowed\n";
    for band in &output.bands {
        out += &format!(
            "  {:>6} to {:>6}  {:>6} dB {:>6} dB {:>6} dB  ± {:.1} dB  {}\n",
            hertz(band.from_hz),
            hertz(band.to_hz),
            signed(band.measured_db, 1),
            signed(band.expected_db, 1),
            signed(band.measured_db - band.expected_db, 1),
            band.allowed_db,
            if band.passes { "pass" } else { "LOOK" }
        );
    }
    if read.way.as_ref().is_some_and(|way| !way.level_counts) {
        out += "  (measured is shifted so that 150 to 300 Hz agrees)\n";
    }
    out
}

/// Polarity, latency, distortion.
fn passing(output: &Output) -> String {
    let polarity = match (output.inverts, output.inverts_expected) {
        (None, _) => "does not show in this recording".to_owned(),
        (Some(true), Some(true)) => "inverts, as expected".to_owned(),
        (Some(false), Some(false)) => "the same as the straight lead, as expected".to_owned(),
        (Some(true), Some(false)) => "LOOK: inverts, and should not".to_owned(),
        (Some(false), Some(true)) => "LOOK: the same as the straight lead, and should invert".to_owned(),
        (Some(true), None) => "inverts".to_owned(),
        (Some(false), None) => "the same as the straight lead".to_owned(),
    };
    let latency = match output.latency_ms {
        None => "not known: record the interface's right output on the second input, or start player and recorder together".to_owned(),
        Some(ms) if output.latency_is_sure => format!("{} ms", signed(ms, 2)),
        Some(ms) => format!("{} ms, if player and recorder were started together", signed(ms, 2)),
    };
    let mut out = format!("\nPolarity: {polarity}\nLatency:  {latency}\n");
    for at in &output.distortion {
        let orders: Vec<String> = at
            .orders
            .iter()
            .map(|one| {
                format!(
                    "{} {} ({})",
                    ordinal(one.order),
                    signed(one.board_db, 0),
                    signed(one.reference_db, 0)
                )
            })
            .collect();
        out +=
            &format!("Distortion at {} Hz in dB, straight lead in brackets: {}\n", at.hz, orders.join(", "));
    }
    out
}

fn ordinal(order: usize) -> String {
    match order {
        2 => "2nd".to_owned(),
        3 => "3rd".to_owned(),
        other => format!("{other}th"),
    }
}

/// Noise and hum.
fn quiet(output: &Output) -> String {
    let mut out = format!(
        "\nNoise: {} dBFS A-weighted, {} dB over the straight lead; not weighted {} dBFS, {} dB over it\n",
        signed(output.noise_a_dbfs, 1),
        signed(output.noise_a_over_db, 1),
        signed(output.noise_dbfs, 1),
        signed(output.noise_over_db, 1),
    );
    match output.mains_hz {
        _ if output.hum.is_empty() => out += "Hum: none stands out of the noise\n",
        Some(mains) => out += &format!("Hum: mains found at {mains:.2} Hz\n"),
        None => out += "Hum: no line is a multiple of the mains\n",
    }
    for hum in &output.hum {
        let lines: Vec<String> = hum.lines.iter().take(6).map(|line| format!("{:.0}", line.hz)).collect();
        let more = if 6 < hum.lines.len() { " and more" } else { "" };
        out += &format!(
            "  {:<9} {} dBFS at {}{more} Hz, {}\n            {}\n",
            hum.kind,
            signed(hum.level_dbfs, 1),
            lines.join(", "),
            over(hum),
            what_to_do(hum)
        );
    }
    out
}

/// How much louder a line must be than by the straight lead to be the board's, in dB. Common practice, no source.
const THE_BOARDS: f64 = 3.0;

fn over(hum: &Hum) -> String {
    match hum.over_reference_db {
        None => "the straight lead has none of it".to_owned(),
        Some(db) => format!("{} dB over the straight lead", signed(db, 0)),
    }
}

fn what_to_do(hum: &Hum) -> &'static str {
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

fn suspects(output: &Output) -> String {
    let Some(suspects) = &output.suspects else { return String::new() };
    let mut out = String::from("\nWhat would explain it, likeliest first\n");
    for suspect in suspects.list.iter().filter(|one| 0.01 <= one.share) {
        out += &explained(suspect);
    }
    if 0.01 <= suspects.something_else {
        out += &format!("  {:>3.0} %  something else\n", 100.0 * suspects.something_else);
    }
    out
}

fn explained(suspect: &Suspect) -> String {
    let mut out = format!("  {:>3.0} %  {}\n", 100.0 * suspect.share, what(&suspect.fault));
    if !suspect.or.is_empty() {
        let is_same = |other: &&Fault| other.what == suspect.fault.what;
        let places: Vec<String> = suspect.or.iter().filter(is_same).take(6).map(place).collect();
        let others: Vec<String> =
            suspect.or.iter().filter(|other| !is_same(other)).take(3).map(what).collect();
        let more = if 6 < suspect.or.len() { " or further on" } else { "" };
        if !places.is_empty() {
            out += &format!(
                "         or the same at {}{more}: this state cannot tell them apart\n",
                places.join(", ")
            );
        }
        for other in others {
            out += &format!("         or as well: {other}\n");
        }
    }
    out += &format!("         Next: {}\n", meter(&suspect.fault));
    if let (Some(on), Some(db)) = (&suspect.record_with, suspect.record_apart_db) {
        let state = if on.is_empty() {
            "everything bypassed".to_owned()
        } else {
            format!("{} engaged", on.join(" and "))
        };
        out +=
            &format!("         Or record again with {state}: the likeliest two then differ by {db:.0} dB\n");
    }
    out
}

/// `L07 (D6.OUT > D7.IN)`.
fn place(fault: &Fault) -> String {
    match &fault.lead {
        Some(number) if fault.what != "buffer-elsewhere" => format!("{number} ({})", fault.at),
        _ => fault.at.clone(),
    }
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

fn what(fault: &Fault) -> String {
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
        _ => format!("something of about {} hangs on {at}", ohms(fault.ohms.unwrap_or(0.0))),
    }
}

/// A meter reading that decides it.
fn meter(fault: &Fault) -> String {
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

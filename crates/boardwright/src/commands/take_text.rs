//! What a recording says, in words for the bench.

use takes::wire::{Fault, File, Output, Read, Several, Suspect, Suspects};
use takes::words::{also, distorts, hertz, meter, noise, over, record, signed, silent, what, what_to_do};

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
            let to = output.sink.as_ref().map(|sink| format!(", to {sink}")).unwrap_or_default();
            out += &format!("\nChannel {}{to}\n", output.channel);
        }
        out += &response(read, output);
        out += &passing(output);
        if let Some(words) = distorts(output) {
            out += &format!("LOOK: {words}\n");
        }
        out += &quiet(output);
        out += &suspects(output.suspects.as_ref());
    }
    let sinks = read.way.as_ref().map_or(&[][..], |way| &way.sinks);
    if let Some(words) = silent(&read.board.silent_channels, sinks) {
        out += &format!("\nLOOK: {words}\n");
    }
    if read.way.is_none() {
        out += "\nNo rig is named, so nothing is expected: --rig compares with what the circuit should do, and names what differs.\n";
    }
    out
}

/// Several recordings, and what explains all of them.
pub(crate) fn told_several(several: &Several) -> String {
    let mut out = String::new();
    for one in &several.takes {
        let state = one.read.way.as_ref().map_or("", |way| way.state.as_str());
        let by = match one.off_db {
            Some(off) => format!("nearest to this state, {off:.1} dB rms apart"),
            None => "named after this state".to_owned(),
        };
        let or = if one.or_state.is_empty() {
            String::new()
        } else {
            format!("; fits {} as well: name the file after the right one", one.or_state.join(", "))
        };
        out += &format!("== {}: {state} ({by}{or})\n{}\n", one.file, told(&one.read));
    }
    match &several.suspects {
        Some(found) => {
            out += "== All recordings together\n";
            out += &suspects(Some(found));
        }
        None => out += "== All recordings are as expected\n",
    }
    out
}

fn file(file: &File) -> String {
    format!(
        "{} Hz, {} bit, {:.1} s; signals begin at {:.2} s, tone at {} dBFS, recorder's clock {} ppm against the player's{}",
        file.rate_hz,
        file.bits,
        file.seconds,
        // No sign before what is rounded to nothing.
        (file.begins_s * 100.0).round() / 100.0 + 0.0,
        signed(file.tone_dbfs, 1),
        signed(file.clock_ppm, 0),
        if 0.5 <= file.clock_ppm.abs() { " (corrected)" } else { "" }
    )
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
        if let (Some(hz), Some(off)) = (band.narrow_hz, band.narrow_off_db) {
            out += &format!("           at {} it is {} dB apart\n", takes::words::about(hz), signed(off, 1));
        }
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

/// A line that begins with a capital letter.
fn sentence(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map(|first| first.to_uppercase().chain(letters).collect()).unwrap_or_default()
}

/// Noise and hum.
fn quiet(output: &Output) -> String {
    let mut out = format!("\n{}\n", sentence(&noise(output.noise_a_dbfs, output.noise_a_over_db)));
    if output.noise_over_db.abs() <= 100.0 {
        out += &format!(
            "Not weighted {} dBFS, {} dB over it\n",
            signed(output.noise_dbfs, 1),
            signed(output.noise_over_db, 1)
        );
    }
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

fn suspects(suspects: Option<&Suspects>) -> String {
    let Some(suspects) = suspects else { return String::new() };
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
        let places: Vec<String> = suspect.or.iter().filter(is_same).take(6).map(also).collect();
        let others: Vec<String> =
            suspect.or.iter().filter(|other| !is_same(other)).take(3).map(what).collect();
        let more = if 6 < suspect.or.len() { " or further on" } else { "" };
        if !places.is_empty() {
            out += &format!(
                "         or the same at {}{more}: what was recorded cannot tell them apart\n",
                places.join(", ")
            );
        }
        for other in others {
            out += &format!("         or as well: {other}\n");
        }
    }
    out += &format!("         Next: {}\n", meter(&suspect.fault));
    if let Some(words) = record(suspect) {
        out += &format!("         Or {words}\n");
    }
    out
}

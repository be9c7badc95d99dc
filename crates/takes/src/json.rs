//! What was read, as it is printed.

use signal::grid::frequencies;

use crate::compare::{DISTORTION_HZ, Take};
use crate::expected::Expected;
use crate::fault::Fault;
use crate::heard::Heard;
use crate::hum::{Kind, Source};
use crate::suspects::Suspects;
use crate::verdict::Band;
use crate::wire;

/// One output with what is expected of it, and what explains the difference.
#[derive(Debug, Clone, PartialEq)]
pub struct Judged {
    /// What was measured.
    pub take: Take,
    /// The amp or desk that the output goes to.
    pub sink: Option<String>,
    /// What is expected.
    pub expected: Option<Expected>,
    /// The two band by band.
    pub bands: Vec<Band>,
    /// What explains a difference.
    pub suspects: Option<Suspects>,
}

impl Kind {
    /// `magnetic`, `rectifier`, `loop` or `clock`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Magnetic => "magnetic",
            Self::Rectifier => "rectifier",
            Self::Loop => "loop",
            Self::Clock => "clock",
        }
    }
}

/// How much louder lines are than those at the same places in a reference, in dB; `None` where it has none of them.
pub fn over_reference(source: &Source, reference: &Heard) -> Option<f64> {
    let own = |hertz: f64| {
        let lines = reference.channels.first()?.hum.lines();
        lines.filter(|line| (line.hertz - hertz).abs() < 0.3).map(|line| line.level_db).reduce(f64::max)
    };
    let power = |db: f64| libm::pow(10.0, db / 10.0);
    let there: Vec<f64> = source.lines.iter().filter_map(|line| own(line.hertz)).map(power).collect();
    (!there.is_empty()).then(|| source.level_db - 10.0 * libm::log10(there.iter().sum()))
}

/// The answer; `number` gives the number of a lead by its two jacks.
pub fn json(
    board: &Heard,
    reference: &Heard,
    way: Option<wire::Way>,
    judged: &[Judged],
    number: &dyn Fn(&str) -> Option<String>,
) -> wire::Read {
    wire::Read {
        schema: wire::SCHEMA,
        board: file(board),
        reference: file(reference),
        way,
        outputs: judged.iter().map(|one| output(board, reference, one, number)).collect(),
    }
}

fn file(heard: &Heard) -> wire::File {
    wire::File {
        rate_hz: heard.rate,
        bits: heard.bits,
        seconds: heard.seconds,
        begins_s: heard.found.start / f64::from(heard.rate),
        clock_ppm: heard.found.drift * 1e6,
        tone_dbfs: heard.channels.first().map_or(f64::NEG_INFINITY, |channel| channel.tone_db),
        silent_channels: heard.silent.iter().map(|at| at + 1).collect(),
    }
}

/// One output as it is printed; `number` gives the number of a lead by its two jacks.
pub fn output(
    board: &Heard,
    reference: &Heard,
    judged: &Judged,
    number: &dyn Fn(&str) -> Option<String>,
) -> wire::Output {
    let take = &judged.take;
    let channel = &board.channels[take.channel];
    let distortion = DISTORTION_HZ.iter().zip(&take.distortion).map(|(hz, orders)| wire::Distortion {
        hz: *hz,
        orders: orders
            .iter()
            .map(|one| wire::Order {
                order: one.order,
                board_db: one.board_db,
                reference_db: one.reference_db,
            })
            .collect(),
    });
    let hum = channel.hum.sources.iter().map(|source| wire::Hum {
        kind: source.kind.word(),
        level_dbfs: source.level_db,
        over_reference_db: over_reference(source, reference),
        lines: source
            .lines
            .iter()
            .map(|line| wire::Line { hz: line.hertz, level_dbfs: line.level_db, harmonic: line.harmonic })
            .collect(),
    });
    wire::Output {
        channel: channel.number + 1,
        sink: judged.sink.clone(),
        frequencies_hz: frequencies(),
        change_db: take.change_db.clone(),
        expected_db: judged.expected.as_ref().map(|one| one.change_db.clone()),
        tolerance_db: judged.expected.as_ref().map(|one| one.band_db.clone()),
        bands: judged.bands.iter().map(band).collect(),
        inverts: take.inverts,
        inverts_expected: judged.expected.as_ref().map(|one| one.inverts),
        latency_ms: take.latency.map(|latency| latency.seconds * 1e3),
        latency_is_sure: take.latency.is_some_and(|latency| latency.is_sure),
        noise_dbfs: channel.noise.flat_db,
        noise_a_dbfs: channel.noise.weighted_db,
        noise_over_db: take.noise_over_db.0,
        noise_a_over_db: take.noise_over_db.1,
        rest_db: channel.rest_db,
        mains_hz: channel.hum.mains_hz,
        hum: hum.collect(),
        distortion: distortion.collect(),
        suspects: judged.suspects.as_ref().map(|found| suspects(found, number)),
    }
}

/// What explains a difference; `number` gives the number of a lead by its two jacks.
pub fn suspects(suspects: &Suspects, number: &dyn Fn(&str) -> Option<String>) -> wire::Suspects {
    wire::Suspects {
        off_db: suspects.off_db,
        something_else: suspects.something_else,
        list: suspects
            .list
            .iter()
            .map(|one| wire::Suspect {
                fault: fault(&one.fault, number),
                or: one.or.iter().map(|other| fault(other, number)).collect(),
                share: one.share,
                leaves_db: one.leaves_db,
                record_with: one.next.as_ref().map(|next| next.engaged.clone()),
                record_apart_db: one.next.as_ref().and_then(|next| next.apart_db),
            })
            .collect(),
    }
}

fn band(band: &Band) -> wire::Band {
    wire::Band {
        from_hz: band.from_hz,
        to_hz: band.to_hz,
        measured_db: band.measured_db,
        expected_db: band.expected_db,
        allowed_db: band.allowed_db,
        narrow_hz: band.narrow.map(|one| one.hertz),
        narrow_off_db: band.narrow.map(|one| one.off_db),
        passes: band.passes(),
    }
}

fn fault(fault: &Fault, number: &dyn Fn(&str) -> Option<String>) -> wire::Fault {
    let plain = |what, at: &str| wire::Fault {
        what,
        at: at.to_owned(),
        lead: None,
        farads: None,
        planned_farads: None,
        ohms: None,
        db: None,
    };
    match fault {
        Fault::Capacitance { lead, farads, planned } => wire::Fault {
            lead: number(lead),
            farads: Some(*farads),
            planned_farads: Some(*planned),
            ..plain("capacitance", lead)
        },
        Fault::Input { port, farads } => {
            wire::Fault { farads: Some(*farads), ..plain("input-capacitance", port) }
        }
        Fault::Broken { lead } => wire::Fault { lead: number(lead), ..plain("broken", lead) },
        Fault::NoBuffer { device } => plain("no-buffer", device),
        Fault::BufferElsewhere { device, lead } => {
            wire::Fault { lead: number(lead), ..plain("buffer-elsewhere", device) }
        }
        Fault::Inverts { device } => plain("inverts", device),
        Fault::Stays { name, is_in } => plain(if *is_in { "stays-in" } else { "stays-out" }, name),
        Fault::Level { db } => wire::Fault { db: Some(*db), ..plain("level", "") },
        Fault::Load { port, ohms } => wire::Fault { ohms: Some(*ohms), ..plain("load", port) },
    }
}

//! WAV files: written with a library, read here from bytes, since what comes out of recorders is seldom quite as the
//! format has it and a reader must say what is wrong with it.
//!
//! Kinds: PCM of 8 bit unsigned and 16, 24 or 32 bit signed, also 24 in 32 as extensible; float of 32 and 64 bit. Chunks that are not
//! known are passed over, odd ones are padded, a length of zero or beyond the end of the file means *to the end*, as
//! streamed and RF64 files have it. `[src:RIFF-WAVE]`

use std::io::{Seek, Write};

use hound::{SampleFormat, WavSpec, WavWriter};

use crate::number::float;
use crate::refusal::Refusal;

/// The longest recording that is read, in seconds. Common practice, no source: eight times the signals.
const LONGEST: f64 = 180.0;

/// The largest file that is read, in bytes: as long at the highest rate, two channels of 64 bit.
pub const LARGEST: u64 = 560_000_000;

/// Rates in hertz that are read.
const RATES: (u32, u32) = (44_100, 192_000);

/// A recording as numbers, full scale 1.
#[derive(Debug, Clone, PartialEq)]
pub struct Recording {
    /// Samples in a second.
    pub rate: u32,
    /// One or two channels, all of one length.
    pub channels: Vec<Vec<f64>>,
    /// Bits of a sample.
    pub bits: u16,
    /// Whether samples are floating-point numbers, which may pass full scale unharmed.
    pub is_float: bool,
}

impl Recording {
    /// How long it is.
    pub(crate) fn seconds(&self) -> f64 {
        self.channels.first().map_or(0.0, |channel| float(channel.len()) / f64::from(self.rate))
    }
}

/// How samples are written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Depth {
    /// 16 bit.
    Pcm16,
    /// 24 bit.
    Pcm24,
    /// 32 bit.
    Pcm32,
    /// Floating point of 32 bit.
    Float32,
}

/// Writes channels of one length as WAV; values beyond full scale are held at it.
///
/// # Errors
/// What the writer meets.
pub fn write(
    to: impl Write + Seek,
    rate: u32,
    depth: Depth,
    channels: &[&[f64]],
) -> Result<(), hound::Error> {
    let (bits, format) = match depth {
        Depth::Pcm16 => (16, SampleFormat::Int),
        Depth::Pcm24 => (24, SampleFormat::Int),
        Depth::Pcm32 => (32, SampleFormat::Int),
        Depth::Float32 => (32, SampleFormat::Float),
    };
    let count = u16::try_from(channels.len()).unwrap_or(u16::MAX);
    let spec = WavSpec { channels: count, sample_rate: rate, bits_per_sample: bits, sample_format: format };
    let mut writer = WavWriter::new(to, spec)?;
    let full = libm::ldexp(1.0, i32::from(bits) - 1);
    for at in 0..channels.first().map_or(0, |first| first.len()) {
        for channel in channels {
            match depth {
                Depth::Float32 => writer.write_sample(narrow(channel[at]))?,
                _ => writer.write_sample(step(channel[at], full))?,
            }
        }
    }
    writer.finalize()
}

#[expect(clippy::cast_possible_truncation, reason = "float of 32 bit is what the file holds")]
fn narrow(value: f64) -> f32 {
    value as f32
}

#[expect(clippy::cast_possible_truncation, reason = "held within the steps of the depth first")]
fn step(value: f64, full: f64) -> i32 {
    (value * full).round().clamp(-full, full - 1.0) as i32
}

/// What the format chunk says.
struct Form {
    is_float: bool,
    channels: usize,
    rate: u32,
    bits: u16,
    bytes: usize,
}

fn u16_at(bytes: &[u8], at: usize) -> Option<u16> {
    Some(u16::from_le_bytes(bytes.get(at..at + 2)?.try_into().ok()?))
}

fn u32_at(bytes: &[u8], at: usize) -> Option<u32> {
    Some(u32::from_le_bytes(bytes.get(at..at + 4)?.try_into().ok()?))
}

/// Reads a WAV file from its bytes.
///
/// # Errors
/// When it is no WAV file, or of a kind that is not read.
pub fn read(bytes: &[u8]) -> Result<Recording, Refusal> {
    if !matches!(bytes.get(..4), Some(b"RIFF" | b"RF64")) {
        return Err(Refusal::NotWav("it does not begin with RIFF"));
    }
    if bytes.get(8..12) != Some(b"WAVE") {
        return Err(Refusal::NotWav("it is RIFF, but not WAVE"));
    }
    let mut form = None;
    let mut at = 12;
    while let (Some(name), Some(size)) = (bytes.get(at..at + 4), u32_at(bytes, at + 4)) {
        let from = at + 8;
        let stated = usize::try_from(size).unwrap_or(usize::MAX);
        let left = bytes.len() - from;
        match name {
            b"fmt " => form = Some(read_form(bytes.get(from..from + stated.min(left)).unwrap_or_default())?),
            b"data" => {
                let form = form.ok_or(Refusal::NotWav("its samples come before their description"))?;
                let long = if stated == 0 { left } else { stated.min(left) };
                return samples(&form, &bytes[from..from + long]);
            }
            _ => {}
        }
        at = from.saturating_add(stated).saturating_add(stated % 2);
        if bytes.len() < at {
            break;
        }
    }
    Err(Refusal::NotWav(if form.is_some() {
        "it has no samples"
    } else {
        "it does not say how its samples are written"
    }))
}

fn read_form(chunk: &[u8]) -> Result<Form, Refusal> {
    let cut = || Refusal::NotWav("the description of its samples is cut short");
    let mut code = u16_at(chunk, 0).ok_or_else(cut)?;
    let channels = usize::from(u16_at(chunk, 2).ok_or_else(cut)?);
    let rate = u32_at(chunk, 4).ok_or_else(cut)?;
    let block = usize::from(u16_at(chunk, 12).ok_or_else(cut)?);
    let bits = u16_at(chunk, 14).ok_or_else(cut)?;
    if code == 0xFFFE {
        // Extensible: the kind stands at the head of a longer name.
        code = u16_at(chunk, 24).ok_or_else(cut)?;
    }
    let kind = |found: String| Err(Refusal::Kind { found });
    let is_float = match code {
        1 => false,
        3 => true,
        other => return kind(format!("its samples are packed in a way that is not read (code {other})")),
    };
    if channels == 0 || 2 < channels {
        return kind(format!("it has {channels} channels"));
    }
    if rate < RATES.0 || RATES.1 < rate {
        return kind(format!("its rate is {rate} Hz"));
    }
    let bytes = block / channels;
    let fits = if is_float {
        matches!((bits, bytes), (32, 4) | (64, 8))
    } else {
        matches!((bits, bytes), (8, 1) | (9..=16, 2) | (17..=24, 3) | (17..=32, 4))
    };
    if !fits || block % channels != 0 {
        let word = if is_float { "float" } else { "PCM" };
        return kind(format!("its samples are {word} of {bits} bit in blocks of {block} bytes"));
    }
    Ok(Form { is_float, channels, rate, bits, bytes })
}

fn samples(form: &Form, data: &[u8]) -> Result<Recording, Refusal> {
    let block = form.bytes * form.channels;
    let frames = data.len() / block;
    let seconds = float(frames) / f64::from(form.rate);
    if LONGEST < seconds {
        return Err(Refusal::Long { seconds, most: LONGEST });
    }
    let mut channels = vec![Vec::with_capacity(frames); form.channels];
    for frame in data.chunks_exact(block) {
        for (channel, sample) in channels.iter_mut().zip(frame.chunks_exact(form.bytes)) {
            channel.push(one(form.is_float, sample));
        }
    }
    Ok(Recording { rate: form.rate, channels, bits: form.bits, is_float: form.is_float })
}

/// One sample of full scale 1; what is no number is nothing.
fn one(is_float: bool, bytes: &[u8]) -> f64 {
    let value = match (is_float, bytes) {
        (false, [a]) => (f64::from(*a) - 128.0) / 128.0,
        (false, [a, b]) => f64::from(i16::from_le_bytes([*a, *b])) / 32_768.0,
        (false, [a, b, c]) => f64::from(i32::from_le_bytes([0, *a, *b, *c])) / 2_147_483_648.0,
        (false, [a, b, c, d]) => f64::from(i32::from_le_bytes([*a, *b, *c, *d])) / 2_147_483_648.0,
        (true, [a, b, c, d]) => f64::from(f32::from_le_bytes([*a, *b, *c, *d])),
        (true, [a, b, c, d, e, f, g, h]) => f64::from_le_bytes([*a, *b, *c, *d, *e, *f, *g, *h]),
        _ => 0.0,
    };
    // A float beyond any recorder's reach would make every sum infinite.
    if value.is_finite() { value.clamp(-1e4, 1e4) } else { 0.0 }
}

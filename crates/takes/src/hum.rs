//! Hum: the lines that stand out of the noise, the mains frequency that explains most of them, and what kind of hum they are.

use std::collections::BTreeMap;

use crate::number::{db, float, median, top, whole};
use crate::spectrum::{BLACKMAN_HARRIS, forward};

/// How far a line must stand over the noise beside it, in dB. In a spectrum of noise alone of 80 000 bins the highest stands
/// 10.5 dB over the mean.
const OVER_NOISE: f64 = 15.0;

/// Multiples of the mains frequency that are looked for.
const HARMONICS: usize = 40;

/// Mains frequencies that are tried, in hertz: 50 and 60 with what an island's net or a generator strays.
const MAINS_HZ: [(f64, f64); 2] = [(49.0, 51.0), (59.0, 61.0)];

/// Bins to either side of a line that belong to it, of the window of Blackman and Harris. `[src:HARRIS-1978]`
const SKIRT: usize = 5;

/// How many lines are told.
const MOST: usize = 60;

/// A line in the spectrum of a silence.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Where it stands.
    pub hertz: f64,
    /// Its level in dBFS: a sine of full scale is 0 dB. `[src:AES-17]`
    pub level_db: f64,
    /// Which multiple of the mains frequency it is, if it is one.
    pub harmonic: Option<usize>,
}

/// Where hum comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// A transformer's field in a coil or a loop: the mains frequency itself, hardly any multiples.
    Magnetic,
    /// Ripple of a supply: twice the mains frequency and its multiples.
    Rectifier,
    /// Current in screens that are earthed twice: the mains frequency with strong odd multiples.
    Loop,
    /// A clock, a switching supply or the difference of two: tones that are no multiples of the mains.
    Clock,
}

/// The lines of one kind.
#[derive(Debug, Clone, PartialEq)]
pub struct Source {
    /// What they are.
    pub kind: Kind,
    /// All of them together, in dBFS.
    pub level_db: f64,
    /// The lines, by frequency.
    pub lines: Vec<Line>,
}

/// What hums in a silence.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Hum {
    /// The mains frequency in hertz, where lines show one.
    pub mains_hz: Option<f64>,
    /// What hums, loudest first.
    pub sources: Vec<Source>,
}

impl Hum {
    /// All lines.
    pub fn lines(&self) -> impl Iterator<Item = &Line> {
        self.sources.iter().flat_map(|source| &source.lines)
    }
}

/// What hums in a silence of at least two seconds.
pub fn hum(silence: &[f64], rate: u32) -> Hum {
    let mut lines = lines(silence, rate);
    let mains = mains(&lines);
    if let Some(hertz) = mains {
        for line in &mut lines {
            line.harmonic = multiple(line.hertz, hertz);
        }
    }
    Hum { mains_hz: mains, sources: sources(lines) }
}

/// The lines that stand out, by frequency.
fn lines(silence: &[f64], rate: u32) -> Vec<Line> {
    let length = silence.len() & !1;
    if length < 1000 {
        return Vec::new();
    }
    let window = BLACKMAN_HARRIS.values(length);
    let squares: f64 = window.iter().map(|value| value * value).sum();
    let piece: Vec<f64> = silence.iter().zip(&window).map(|(value, weight)| value * weight).collect();
    // Power of a line is the sum over its bins.
    let scale = 2.0 / (float(length) * squares);
    let bins: Vec<f64> = forward(&piece, length).iter().map(|bin| scale * bin.norm_sqr()).collect();
    let wide = f64::from(rate) / float(length);
    // What stands beside a line, by stretches of 16 Hz. The median of noise is ln 2 of its mean.
    let stretch = whole(16.0 / wide).max(2 * SKIRT);
    let over_median = 1.0 / std::f64::consts::LN_2;
    let floors: Vec<f64> =
        bins.chunks(stretch).map(|part| median(part).unwrap_or(0.0) * over_median).collect();
    let floor = |at: usize| {
        let own = at / stretch;
        let beside = floors[own.saturating_sub(1)..(own + 2).min(floors.len())].iter();
        beside.copied().fold(f64::INFINITY, f64::min).max(1e-20)
    };
    let least = libm::pow(10.0, OVER_NOISE / 10.0);
    let (from, to) =
        (whole(20.0 / wide).max(SKIRT), whole(20_000.0 / wide).min(bins.len().saturating_sub(SKIRT + 1)));
    let mut out = Vec::new();
    for at in from..to {
        let is_top = (at - SKIRT..=at + SKIRT).all(|other| bins[other] <= bins[at]);
        if !is_top || bins[at] < least * floor(at) {
            continue;
        }
        let log = |n: usize| db(bins[n]);
        let hertz = (float(at) + top(log(at - 1), log(at), log(at + 1))) * wide;
        let own: f64 = bins[at - SKIRT..=at + SKIRT].iter().sum::<f64>() - float(2 * SKIRT + 1) * floor(at);
        out.push(Line { hertz, level_db: db(2.0 * own.max(bins[at])), harmonic: None });
    }
    if MOST < out.len() {
        out.sort_by(|a, b| b.level_db.total_cmp(&a.level_db));
        out.truncate(MOST);
        out.sort_by(|a, b| a.hertz.total_cmp(&b.hertz));
    }
    out
}

/// How far a line may stand from a multiple, in hertz: what a line's place is found to, and the net's wander in a silence.
fn allowed(harmonic: usize) -> f64 {
    0.12 + 0.004 * float(harmonic)
}

/// Which multiple of the mains a frequency is.
fn multiple(hertz: f64, mains: f64) -> Option<usize> {
    let harmonic = whole(hertz / mains);
    let is_near = (hertz - float(harmonic) * mains).abs() <= allowed(harmonic);
    (is_near && (1..=HARMONICS).contains(&harmonic)).then_some(harmonic)
}

/// The mains frequency that explains the lines best; `None` where none of the first eight multiples is there.
fn mains(lines: &[Line]) -> Option<f64> {
    let quietest = lines.iter().map(|line| line.level_db).fold(f64::INFINITY, f64::min);
    // A low multiple says more than a high one, which a stray tone meets sooner.
    let score = |mains: f64| -> (f64, bool) {
        let mut sum = 0.0;
        let mut is_low = false;
        for line in lines {
            if let Some(harmonic) = multiple(line.hertz, mains) {
                let near = 1.0 - (line.hertz - float(harmonic) * mains).abs() / (2.0 * allowed(harmonic));
                sum += near * (3.0 + line.level_db - quietest) / float(harmonic + 1).sqrt();
                is_low |= harmonic <= 8;
            }
        }
        (sum, is_low)
    };
    let mut best: Option<(f64, f64)> = None;
    for (from, to) in MAINS_HZ {
        for step in 0..=whole((to - from) / 0.01) {
            let mains = from + 0.01 * float(step);
            let (sum, is_low) = score(mains);
            if is_low && best.is_none_or(|(most, _)| most < sum) {
                best = Some((sum, mains));
            }
        }
    }
    let (_, near) = best?;
    // By least squares over its multiples, louder ones first.
    let (mut over, mut under) = (0.0, 0.0);
    for line in lines {
        if let Some(harmonic) = multiple(line.hertz, near) {
            let weight = 3.0 + line.level_db - quietest;
            over += weight * float(harmonic) * line.hertz;
            under += weight * float(harmonic) * float(harmonic);
        }
    }
    Some(over / under)
}

/// Puts lines together by what makes them.
///
/// The thresholds are common practice, no source: even multiples 6 dB over the odd ones are a rectifier's; odd ones from the third
/// to the ninth within 20 dB of the first are a loop's, otherwise the field of a transformer.
fn sources(lines: Vec<Line>) -> Vec<Source> {
    let power = |line: &Line| libm::pow(10.0, line.level_db / 10.0);
    let sum = |which: &dyn Fn(usize) -> bool| -> f64 {
        lines.iter().filter(|line| line.harmonic.is_some_and(which)).map(power).sum()
    };
    let first = sum(&|harmonic| harmonic == 1);
    let odd = sum(&|harmonic| harmonic % 2 == 1);
    let even = sum(&|harmonic| harmonic % 2 == 0);
    let over = lines.iter().filter(|line| line.harmonic.is_some_and(|n| n % 2 == 1 && (3..=9).contains(&n)));
    let strongest = over.map(power).fold(0.0, f64::max);
    let odd_kind = if 0.01 * first < strongest { Kind::Loop } else { Kind::Magnetic };
    // A little of the second belongs to what makes the first.
    let parted = match odd_kind {
        Kind::Loop => odd < 4.0 * even,
        _ => 0.01 * odd < even,
    };
    let mut groups: BTreeMap<Kind, Vec<Line>> = BTreeMap::new();
    for line in lines {
        let kind = match line.harmonic {
            None => Kind::Clock,
            Some(n) if n % 2 == 0 && parted => Kind::Rectifier,
            Some(_) => odd_kind,
        };
        groups.entry(kind).or_default().push(line);
    }
    let mut out: Vec<Source> = groups
        .into_iter()
        .map(|(kind, lines)| Source { kind, level_db: db(lines.iter().map(power).sum()), lines })
        .collect();
    out.sort_by(|a, b| b.level_db.total_cmp(&a.level_db).then(a.kind.cmp(&b.kind)));
    out
}

//! Recordings made from a circuit's response: what an interface would write.

use realfft::RealFftPlanner;
use realfft::num_complex::Complex64;
use takes::signals::{Side, played};
use takes::wav::{Depth, read, write};
use takes::{Heard, Refusal, hear};

/// Numbers by lot, the same for the same seed (Vigna's splitmix64).
pub(crate) struct Lot(pub(crate) u64);

impl Lot {
    pub(crate) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Below a count.
    pub(crate) fn below(&mut self, count: usize) -> usize {
        usize::try_from(self.next() % u64::try_from(count).expect("a count")).expect("small")
    }

    /// From 0 to 1.
    pub(crate) fn share(&mut self) -> f64 {
        f64::from(u32::try_from(self.next() >> 32).expect("32 bits")) / 4_294_967_296.0
    }

    pub(crate) fn between(&mut self, from: f64, to: f64) -> f64 {
        from + (to - from) * self.share()
    }

    /// Normal with deviation 1.
    pub(crate) fn normal(&mut self) -> f64 {
        let (a, b) = (self.share().max(1e-12), self.share());
        (-2.0 * libm::log(a)).sqrt() * libm::cos(std::f64::consts::TAU * b)
    }
}

/// A signal through a response given as a function of frequency, by one long transform.
pub(crate) fn through(signal: &[f64], rate: u32, response: impl Fn(f64) -> Complex64) -> Vec<f64> {
    let length = (signal.len() + usize::try_from(rate).expect("a rate")).next_power_of_two();
    let mut planner = RealFftPlanner::<f64>::new();
    let (there, back) = (planner.plan_fft_forward(length), planner.plan_fft_inverse(length));
    let mut input = there.make_input_vec();
    input[..signal.len()].copy_from_slice(signal);
    let mut bins = there.make_output_vec();
    there.process(&mut input, &mut bins).expect("its own lengths");
    let over = 1.0 / f64::from(u32::try_from(length).expect("a length"));
    let wide = f64::from(rate) * over;
    for (k, bin) in (0_u32..).zip(&mut bins) {
        *bin *= response(f64::from(k) * wide);
    }
    bins[0].im = 0.0;
    bins[length / 2].im = 0.0;
    let mut out = back.make_output_vec();
    back.process(&mut bins, &mut out).expect("its own lengths");
    out.truncate(signal.len());
    for value in &mut out {
        *value *= over;
    }
    out
}

/// A response on a grid of frequencies, between them straight along the logarithm.
pub(crate) fn curve(hertz: Vec<f64>, values: Vec<signal::Complex>) -> impl Fn(f64) -> Complex64 {
    move |f: f64| {
        let f = f.clamp(hertz[0], hertz[hertz.len() - 1]);
        let at = hertz.partition_point(|other| *other <= f).clamp(1, hertz.len() - 1);
        let share = libm::log(f / hertz[at - 1]) / libm::log(hertz[at] / hertz[at - 1]);
        let (a, b) = (values[at - 1], values[at]);
        Complex64::new(a.re + share * (b.re - a.re), a.im + share * (b.im - a.im))
    }
}

/// Adds white noise of an rms value.
pub(crate) fn with_noise(mut signal: Vec<f64>, rms: f64, lot: &mut Lot) -> Vec<f64> {
    for value in &mut signal {
        *value += rms * lot.normal();
    }
    signal
}

/// Silence before, as a recorder has it that was started first.
pub(crate) fn after(seconds: f64, rate: u32, signal: &[f64]) -> Vec<f64> {
    let before = (0_u32..).take_while(|n| f64::from(*n) < seconds * f64::from(rate));
    let mut out: Vec<f64> = before.map(|_| 0.0).collect();
    out.extend_from_slice(signal);
    out
}

/// The bytes of a WAV file.
pub(crate) fn file(rate: u32, depth: Depth, channels: &[&[f64]]) -> Vec<u8> {
    let mut out = std::io::Cursor::new(Vec::new());
    write(&mut out, rate, depth, channels).expect("it is written");
    out.into_inner()
}

pub(crate) fn heard(rate: u32, channels: &[&[f64]]) -> Result<Heard, Refusal> {
    hear(&read(&file(rate, Depth::Pcm24, channels)).expect("a WAV file"))
}

/// The straight lead: what is played, a little noise.
pub(crate) fn straight(rate: u32, lot: &mut Lot) -> Vec<f64> {
    with_noise(played(rate, Side::Left), 1e-5, lot)
}

//! Two-port products over all frequencies at once: what a walk along a ladder carries with it.

use std::f64::consts::PI;

use crate::complex::Complex;
use crate::model::Part;

/// Frequencies as the solvers use them.
#[derive(Debug, Clone)]
pub struct Sweep {
    /// In hertz.
    pub hertz: Vec<f64>,
    /// 2πf.
    w: Vec<f64>,
    /// 1/2πf.
    over_w: Vec<f64>,
}

impl Sweep {
    /// From frequencies in hertz.
    pub fn new(hertz: Vec<f64>) -> Self {
        let w: Vec<f64> = hertz.iter().map(|f| 2.0 * PI * f).collect();
        let over_w = w.iter().map(|w| 1.0 / w).collect();
        Self { hertz, w, over_w }
    }

    /// How many.
    pub fn len(&self) -> usize {
        self.hertz.len()
    }

    /// Whether there are none.
    pub fn is_empty(&self) -> bool {
        self.hertz.is_empty()
    }
}

/// One step along a ladder.
#[derive(Debug, Clone, Copy)]
pub(crate) enum Rung {
    /// A series element.
    Series(Part),
    /// Elements to earth.
    Shunt(Shunt),
}

/// Elements to earth at one node, added up by kind.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Shunt {
    /// Sum of conductances.
    g: f64,
    /// Sum of capacitances.
    c: f64,
    /// Sum of 1/L.
    l: f64,
}

impl Shunt {
    pub(crate) fn add(&mut self, part: Part) {
        match part {
            Part::Resistor(ohms) => self.g += 1.0 / ohms,
            Part::Capacitor(farads) => self.c += farads,
            Part::Inductor(henries) => self.l += 1.0 / henries,
            Part::Lossy { henries, ohms } => {
                self.l += 1.0 / henries;
                self.g += 1.0 / ohms;
            }
        }
    }

    fn is_only_capacitance(self) -> bool {
        self.g <= 0.0 && self.l <= 0.0
    }
}

/// The upper row of the chain matrix from an ideal EMF to here: EMF = a·V + b·I, for every frequency.
///
/// A series impedance Z makes b larger by a·Z, a shunt admittance Y makes a larger by b·Y. The open-circuit
/// voltage is then 1/a, the impedance seen looking back b/a. Two-port theory; any textbook of networks.
///
/// Each part is a list of its own, and a few frequencies are taken along all rungs before the next few, so that they stay in
/// registers.
#[derive(Debug, Clone, Default)]
pub(crate) struct Row {
    a_re: Vec<f64>,
    a_im: Vec<f64>,
    b_re: Vec<f64>,
    b_im: Vec<f64>,
}

/// An admittance for every frequency.
#[derive(Debug, Clone)]
pub(crate) struct Admittance {
    re: Vec<f64>,
    im: Vec<f64>,
}

impl Row {
    /// At the EMF itself.
    pub(crate) fn start(sweep: &Sweep) -> Self {
        let of = |value: f64| vec![value; sweep.len()];
        Self { a_re: of(1.0), a_im: of(0.0), b_re: of(0.0), b_im: of(0.0) }
    }

    /// Along some rungs.
    pub(crate) fn along(&mut self, rungs: &[Rung], sweep: &Sweep) {
        let mut at = 0;
        while at < self.a_re.len() {
            let (mut lanes, of) = (self.lanes(at), sweep.lanes(at));
            lanes.along(rungs, &of);
            self.put(at, &lanes);
            at += LANES;
        }
    }

    /// The row after some more rungs, written over another one.
    pub(crate) fn after(&self, rungs: &[Rung], sweep: &Sweep, out: &mut Self) {
        for (own, out) in self.parts().into_iter().zip(out.parts_mut()) {
            out.clear();
            out.reserve(own.len());
        }
        let mut at = 0;
        while at < self.a_re.len() {
            let (mut lanes, of) = (self.lanes(at), sweep.lanes(at));
            lanes.along(rungs, &of);
            let many = LANES.min(self.a_re.len() - at);
            for (out, lanes) in out.parts_mut().into_iter().zip(lanes.parts()) {
                out.extend_from_slice(&lanes[..many]);
            }
            at += LANES;
        }
    }

    /// |a|² after some more rungs, the last of them to earth: how much smaller the power is there than that of the EMF.
    pub(crate) fn loss_after(&self, rungs: &[Rung], last: Shunt, sweep: &Sweep) -> Vec<f64> {
        let mut out = Vec::with_capacity(self.a_re.len());
        let mut at = 0;
        while at < self.a_re.len() {
            let (mut lanes, of) = (self.lanes(at), sweep.lanes(at));
            lanes.along(rungs, &of);
            lanes.step(Rung::Shunt(last), &of);
            let many = LANES.min(self.a_re.len() - at);
            out.extend_from_slice(&lanes.loss()[..many]);
            at += LANES;
        }
        out
    }

    fn parts(&self) -> [&Vec<f64>; 4] {
        [&self.a_re, &self.a_im, &self.b_re, &self.b_im]
    }

    fn parts_mut(&mut self) -> [&mut Vec<f64>; 4] {
        [&mut self.a_re, &mut self.a_im, &mut self.b_re, &mut self.b_im]
    }

    /// A few frequencies of it, from one on; what is beyond its end is zero.
    #[inline]
    fn lanes(&self, at: usize) -> Lanes {
        let [a_re, a_im, b_re, b_im] = self.parts().map(|part| lanes_of(part, at));
        Lanes { a_re, a_im, b_re, b_im }
    }

    #[inline]
    fn put(&mut self, at: usize, lanes: &Lanes) {
        for (own, lanes) in self.parts_mut().into_iter().zip(lanes.parts()) {
            let there = own[at..].iter_mut().zip(lanes);
            there.for_each(|(own, lane)| *own = *lane);
        }
    }

    /// |a|² here.
    pub(crate) fn loss(&self) -> Vec<f64> {
        self.a_re.iter().zip(&self.a_im).map(|(re, im)| re * re + im * im).collect()
    }

    /// Past a side branch.
    pub(crate) fn branch(&mut self, y: &Admittance) {
        let a = self.a_re.iter_mut().zip(&mut self.a_im);
        let b = self.b_re.iter().zip(&self.b_im);
        for (((a_re, a_im), (b_re, b_im)), (re, im)) in a.zip(b).zip(y.re.iter().zip(&y.im)) {
            *a_re += b_re * re - b_im * im;
            *a_im += b_re * im + b_im * re;
        }
    }

    /// The voltage here for 1 V of EMF, 1/a, at every frequency.
    pub(crate) fn voltages(&self) -> Vec<Complex> {
        let voltage = |(re, im): (&f64, &f64)| {
            let over = 1.0 / (re * re + im * im);
            Complex::new(re * over, -im * over)
        };
        self.a_re.iter().zip(&self.a_im).map(voltage).collect()
    }

    /// The impedance between here and earth with the EMF at nought, everything applied so far included.
    pub(crate) fn impedance(&self, k: usize) -> Complex {
        Complex::new(self.b_re[k], self.b_im[k]) / Complex::new(self.a_re[k], self.a_im[k])
    }
}

/// So many frequencies are taken along all rungs at once: as many as their four numbers stay in registers.
const LANES: usize = 4;

/// A row at a few frequencies.
struct Lanes {
    a_re: [f64; LANES],
    a_im: [f64; LANES],
    b_re: [f64; LANES],
    b_im: [f64; LANES],
}

/// 2πf and its inverse at a few frequencies.
struct Few {
    w: [f64; LANES],
    over_w: [f64; LANES],
}

impl Sweep {
    #[inline]
    fn lanes(&self, at: usize) -> Few {
        Few { w: lanes_of(&self.w, at), over_w: lanes_of(&self.over_w, at) }
    }
}

#[inline]
fn lanes_of(values: &[f64], at: usize) -> [f64; LANES] {
    match values.get(at..at + LANES).and_then(|values| values.first_chunk()) {
        Some(lanes) => *lanes,
        None => {
            let mut out = [0.0; LANES];
            out.iter_mut().zip(&values[at..]).for_each(|(out, value)| *out = *value);
            out
        }
    }
}

impl Lanes {
    #[inline]
    fn along(&mut self, rungs: &[Rung], of: &Few) {
        for rung in rungs {
            self.step(*rung, of);
        }
    }

    #[inline]
    fn step(&mut self, rung: Rung, of: &Few) {
        match rung {
            Rung::Series(Part::Resistor(ohms)) => {
                for k in 0..LANES {
                    self.b_re[k] += self.a_re[k] * ohms;
                    self.b_im[k] += self.a_im[k] * ohms;
                }
            }
            Rung::Series(part) => {
                for k in 0..LANES {
                    let z = impedance(part, of.w[k], of.over_w[k]);
                    self.b_re[k] += self.a_re[k] * z.re - self.a_im[k] * z.im;
                    self.b_im[k] += self.a_re[k] * z.im + self.a_im[k] * z.re;
                }
            }
            Rung::Shunt(shunt) if shunt.is_only_capacitance() => {
                for k in 0..LANES {
                    let x = of.w[k] * shunt.c;
                    self.a_re[k] -= self.b_im[k] * x;
                    self.a_im[k] += self.b_re[k] * x;
                }
            }
            Rung::Shunt(shunt) => {
                for k in 0..LANES {
                    let x = of.w[k] * shunt.c - of.over_w[k] * shunt.l;
                    self.a_re[k] += self.b_re[k] * shunt.g - self.b_im[k] * x;
                    self.a_im[k] += self.b_re[k] * x + self.b_im[k] * shunt.g;
                }
            }
        }
    }

    #[inline]
    fn loss(&self) -> [f64; LANES] {
        std::array::from_fn(|k| self.a_re[k] * self.a_re[k] + self.a_im[k] * self.a_im[k])
    }

    #[inline]
    fn parts(&self) -> [&[f64; LANES]; 4] {
        [&self.a_re, &self.a_im, &self.b_re, &self.b_im]
    }
}

/// Impedance of a part at an angular frequency and its inverse.
fn impedance(part: Part, w: f64, over_w: f64) -> Complex {
    match part {
        Part::Resistor(ohms) => Complex::new(ohms, 0.0),
        Part::Inductor(henries) => Complex::new(0.0, w * henries),
        Part::Capacitor(farads) => Complex::new(0.0, -over_w / farads),
        Part::Lossy { henries, ohms } => {
            let x = Complex::new(0.0, w * henries);
            x.times(ohms) / (x + Complex::new(ohms, 0.0))
        }
    }
}

impl Admittance {
    /// Of elements to earth.
    pub(crate) fn of(shunt: Shunt, sweep: &Sweep) -> Self {
        let x = |(w, over_w): (&f64, &f64)| w * shunt.c - over_w * shunt.l;
        Self { re: vec![shunt.g; sweep.len()], im: sweep.w.iter().zip(&sweep.over_w).map(x).collect() }
    }

    /// Another one beside it.
    pub(crate) fn beside(&mut self, other: &Self) {
        let own = self.re.iter_mut().zip(&mut self.im);
        for ((re, im), (other_re, other_im)) in own.zip(other.re.iter().zip(&other.im)) {
            *re += other_re;
            *im += other_im;
        }
    }

    /// Seen through a series element: Y/(1+Z·Y).
    pub(crate) fn through(&mut self, part: Part, sweep: &Sweep) {
        let own = self.re.iter_mut().zip(&mut self.im);
        for ((re, im), (w, over_w)) in own.zip(sweep.w.iter().zip(&sweep.over_w)) {
            let y = Complex::new(*re, *im);
            let seen = y / (Complex::ONE + impedance(part, *w, *over_w) * y);
            (*re, *im) = (seen.re, seen.im);
        }
    }
}

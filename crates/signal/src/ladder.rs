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
    pub(crate) w: Vec<f64>,
    /// 1/2πf.
    pub(crate) over_w: Vec<f64>,
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

/// The upper row of the chain matrix from an ideal EMF to here: EMF = a·V + b·I, for every frequency.
///
/// A series impedance Z makes b larger by a·Z, a shunt admittance Y makes a larger by b·Y. The open-circuit
/// voltage is then 1/a, the impedance seen looking back b/a.
#[derive(Debug, Clone)]
pub(crate) struct Row {
    pub(crate) a_re: Vec<f64>,
    pub(crate) a_im: Vec<f64>,
    pub(crate) b_re: Vec<f64>,
    pub(crate) b_im: Vec<f64>,
}

/// An admittance for every frequency.
#[derive(Debug, Clone)]
pub(crate) struct Admittance {
    pub(crate) re: Vec<f64>,
    pub(crate) im: Vec<f64>,
}

/// Elements to earth at one node, added up by kind.
#[derive(Debug, Clone, Copy, Default)]
pub(crate) struct Shunt {
    /// Sum of conductances.
    pub(crate) g: f64,
    /// Sum of capacitances.
    pub(crate) c: f64,
    /// Sum of 1/L.
    pub(crate) l: f64,
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
}

impl Row {
    /// At the EMF itself.
    pub(crate) fn start(size: usize) -> Self {
        Self { a_re: vec![1.0; size], a_im: vec![0.0; size], b_re: vec![0.0; size], b_im: vec![0.0; size] }
    }

    /// Through a series element.
    pub(crate) fn series(&mut self, part: Part, sweep: &Sweep) {
        match part {
            Part::Resistor(ohms) => {
                for (b, a) in self.b_re.iter_mut().zip(&self.a_re) {
                    *b += a * ohms;
                }
                for (b, a) in self.b_im.iter_mut().zip(&self.a_im) {
                    *b += a * ohms;
                }
            }
            Part::Inductor(henries) => self.across(&sweep.w, henries),
            Part::Capacitor(farads) => self.across(&sweep.over_w, -1.0 / farads),
            Part::Lossy { .. } => {
                for k in 0..self.a_re.len() {
                    let z = impedance(part, sweep, k);
                    self.b_re[k] += self.a_re[k] * z.re - self.a_im[k] * z.im;
                    self.b_im[k] += self.a_re[k] * z.im + self.a_im[k] * z.re;
                }
            }
        }
    }

    /// Through jX with X = x·factor.
    fn across(&mut self, x: &[f64], factor: f64) {
        for ((b, a), x) in self.b_re.iter_mut().zip(&self.a_im).zip(x) {
            *b -= a * (x * factor);
        }
        for ((b, a), x) in self.b_im.iter_mut().zip(&self.a_re).zip(x) {
            *b += a * (x * factor);
        }
    }

    /// Past elements to earth.
    pub(crate) fn shunt(&mut self, shunt: Shunt, sweep: &Sweep) {
        if shunt.g > 0.0 {
            for (a, b) in self.a_re.iter_mut().zip(&self.b_re) {
                *a += b * shunt.g;
            }
            for (a, b) in self.a_im.iter_mut().zip(&self.b_im) {
                *a += b * shunt.g;
            }
        }
        if shunt.c > 0.0 {
            self.beside(&sweep.w, shunt.c);
        }
        if shunt.l > 0.0 {
            self.beside(&sweep.over_w, -shunt.l);
        }
    }

    /// Past jB with B = x·factor.
    fn beside(&mut self, x: &[f64], factor: f64) {
        for ((a, b), x) in self.a_re.iter_mut().zip(&self.b_im).zip(x) {
            *a -= b * (x * factor);
        }
        for ((a, b), x) in self.a_im.iter_mut().zip(&self.b_re).zip(x) {
            *a += b * (x * factor);
        }
    }

    /// Past a side branch.
    pub(crate) fn branch(&mut self, y: &Admittance) {
        for k in 0..y.re.len() {
            self.a_re[k] += self.b_re[k] * y.re[k] - self.b_im[k] * y.im[k];
            self.a_im[k] += self.b_re[k] * y.im[k] + self.b_im[k] * y.re[k];
        }
    }

    /// |a|²: how much smaller the power here is than that of the EMF.
    pub(crate) fn loss(&self) -> Vec<f64> {
        self.a_re.iter().zip(&self.a_im).map(|(re, im)| re * re + im * im).collect()
    }

    /// The voltage here for 1 V of EMF.
    pub(crate) fn voltage(&self, k: usize) -> Complex {
        Complex::new(self.a_re[k], self.a_im[k]).inverse()
    }

    /// The impedance between here and earth with the EMF at nought, everything applied so far included.
    pub(crate) fn impedance(&self, k: usize) -> Complex {
        Complex::new(self.b_re[k], self.b_im[k]) / Complex::new(self.a_re[k], self.a_im[k])
    }
}

/// Impedance of a part at a place in the sweep.
fn impedance(part: Part, sweep: &Sweep, k: usize) -> Complex {
    match part {
        Part::Resistor(ohms) => Complex::new(ohms, 0.0),
        Part::Inductor(henries) => Complex::new(0.0, sweep.w[k] * henries),
        Part::Capacitor(farads) => Complex::new(0.0, -sweep.over_w[k] / farads),
        Part::Lossy { henries, ohms } => {
            let x = Complex::new(0.0, sweep.w[k] * henries);
            x.times(ohms) / (x + Complex::new(ohms, 0.0))
        }
    }
}

impl Admittance {
    /// Of elements to earth.
    pub(crate) fn of(shunt: Shunt, sweep: &Sweep) -> Self {
        let im = sweep.w.iter().zip(&sweep.over_w).map(|(w, over)| w * shunt.c - over * shunt.l).collect();
        Self { re: vec![shunt.g; sweep.len()], im }
    }

    /// Another one beside it.
    pub(crate) fn beside(&mut self, other: &Self) {
        for (own, other) in self.re.iter_mut().zip(&other.re) {
            *own += other;
        }
        for (own, other) in self.im.iter_mut().zip(&other.im) {
            *own += other;
        }
    }

    /// Seen through a series element: Y/(1+Z·Y).
    pub(crate) fn through(&mut self, part: Part, sweep: &Sweep) {
        for k in 0..self.re.len() {
            let y = Complex::new(self.re[k], self.im[k]);
            let seen = y / (Complex::ONE + impedance(part, sweep, k) * y);
            (self.re[k], self.im[k]) = (seen.re, seen.im);
        }
    }
}

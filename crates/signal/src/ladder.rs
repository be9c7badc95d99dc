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
            // Its far end is earth, or driven by something that stands at nought.
            Part::Transformer { turns, ohms } => self.g += 1.0 / (turns * turns * ohms),
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
/// Each part is a list of its own, so that one rung is one plain loop over all frequencies.
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
        for rung in rungs {
            self.step(*rung, sweep);
        }
    }

    fn step(&mut self, rung: Rung, sweep: &Sweep) {
        let a = self.a_re.iter_mut().zip(&mut self.a_im);
        let b = self.b_re.iter_mut().zip(&mut self.b_im);
        match rung {
            Rung::Series(Part::Resistor(ohms)) => {
                for ((a_re, a_im), (b_re, b_im)) in a.zip(b) {
                    *b_re += *a_re * ohms;
                    *b_im += *a_im * ohms;
                }
            }
            Rung::Series(Part::Transformer { turns, ohms }) => {
                // By the turns, a grows as the voltage falls and b falls as the current grows; then the winding.
                for ((a_re, a_im), (b_re, b_im)) in a.zip(b) {
                    *a_re *= turns;
                    *a_im *= turns;
                    *b_re = *b_re / turns + *a_re * ohms;
                    *b_im = *b_im / turns + *a_im * ohms;
                }
            }
            Rung::Series(part) => {
                for (((a_re, a_im), (b_re, b_im)), (w, over_w)) in
                    a.zip(b).zip(sweep.w.iter().zip(&sweep.over_w))
                {
                    let z = impedance(part, *w, *over_w);
                    *b_re += *a_re * z.re - *a_im * z.im;
                    *b_im += *a_re * z.im + *a_im * z.re;
                }
            }
            Rung::Shunt(shunt) if shunt.is_only_capacitance() => {
                for (((a_re, a_im), (b_re, b_im)), w) in a.zip(b).zip(&sweep.w) {
                    let x = w * shunt.c;
                    *a_re -= *b_im * x;
                    *a_im += *b_re * x;
                }
            }
            Rung::Shunt(shunt) => {
                for (((a_re, a_im), (b_re, b_im)), (w, over_w)) in
                    a.zip(b).zip(sweep.w.iter().zip(&sweep.over_w))
                {
                    let x = w * shunt.c - over_w * shunt.l;
                    *a_re += *b_re * shunt.g - *b_im * x;
                    *a_im += *b_re * x + *b_im * shunt.g;
                }
            }
        }
    }

    /// The row after some more rungs, written over another one.
    pub(crate) fn after(&self, rungs: &[Rung], sweep: &Sweep, out: &mut Self) {
        out.clone_from(self);
        out.along(rungs, sweep);
    }

    /// |a|² after some more rungs, the last of them to earth: how much smaller the power is there than that of the EMF.
    pub(crate) fn loss_after(
        &self,
        rungs: &[Rung],
        last: Shunt,
        sweep: &Sweep,
        spare: &mut Self,
    ) -> Vec<f64> {
        if rungs.is_empty() {
            return self.loss_behind(last, sweep);
        }
        self.after(rungs, sweep, spare);
        spare.loss_behind(last, sweep)
    }

    fn loss_behind(&self, shunt: Shunt, sweep: &Sweep) -> Vec<f64> {
        let mut out = vec![0.0; self.a_re.len()];
        let a = self.a_re.iter().zip(&self.a_im);
        let b = self.b_re.iter().zip(&self.b_im);
        let w = sweep.w.iter().zip(&sweep.over_w);
        for (out, (((a_re, a_im), (b_re, b_im)), (w, over_w))) in out.iter_mut().zip(a.zip(b).zip(w)) {
            let x = w * shunt.c - over_w * shunt.l;
            let re = a_re + (b_re * shunt.g - b_im * x);
            let im = a_im + (b_re * x + b_im * shunt.g);
            *out = re * re + im * im;
        }
        out
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

/// Impedance of a part at an angular frequency and its inverse.
fn impedance(part: Part, w: f64, over_w: f64) -> Complex {
    match part {
        // Of a transformer its winding alone; whoever passes it counts the turns.
        Part::Resistor(ohms) | Part::Transformer { ohms, .. } => Complex::new(ohms, 0.0),
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

    /// Seen through a series element: Y/(1+Z·Y), by a transformer over the square of its turns.
    pub(crate) fn through(&mut self, part: Part, sweep: &Sweep) {
        let own = self.re.iter_mut().zip(&mut self.im);
        let by = if let Part::Transformer { turns, .. } = part { 1.0 / (turns * turns) } else { 1.0 };
        for ((re, im), (w, over_w)) in own.zip(sweep.w.iter().zip(&sweep.over_w)) {
            let y = Complex::new(*re, *im);
            let seen = (y / (Complex::ONE + impedance(part, *w, *over_w) * y)).times(by);
            (*re, *im) = (seen.re, seen.im);
        }
    }
}

//! Two-port products over all frequencies at once: what a walk along a ladder carries with it.

use std::f64::consts::PI;

use crate::complex::Complex;
use crate::model::Part;

/// Frequencies are worked on in groups of this many, so that a group stays in registers while elements go by.
const LANES: usize = 8;

type Group = [f64; LANES];

/// Frequencies as the solvers use them.
#[derive(Debug, Clone)]
pub struct Sweep {
    /// In hertz.
    pub hertz: Vec<f64>,
    /// 2πf in groups, the last one filled up with 1.
    w: Vec<Group>,
    /// 1/2πf likewise.
    over_w: Vec<Group>,
}

impl Sweep {
    /// From frequencies in hertz.
    pub fn new(hertz: Vec<f64>) -> Self {
        let grouped = |value: &dyn Fn(f64) -> f64| -> Vec<Group> {
            hertz
                .chunks(LANES)
                .map(|chunk| {
                    let mut group = [1.0; LANES];
                    for (lane, f) in group.iter_mut().zip(chunk) {
                        *lane = value(2.0 * PI * f);
                    }
                    group
                })
                .collect()
        };
        let (w, over_w) = (grouped(&|w| w), grouped(&|w| 1.0 / w));
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
#[derive(Debug, Clone)]
pub(crate) struct Row(Vec<RowGroup>);

#[derive(Debug, Clone, Copy)]
struct RowGroup {
    a_re: Group,
    a_im: Group,
    b_re: Group,
    b_im: Group,
}

/// An admittance for every frequency.
#[derive(Debug, Clone)]
pub(crate) struct Admittance(Vec<(Group, Group)>);

impl RowGroup {
    #[inline(always)]
    #[expect(clippy::inline_always, reason = "a rung is a handful of operations; a call costs more than it")]
    fn step(&mut self, rung: Rung, w: &Group, over_w: &Group) {
        match rung {
            Rung::Series(Part::Resistor(ohms)) => {
                for i in 0..LANES {
                    self.b_re[i] += self.a_re[i] * ohms;
                    self.b_im[i] += self.a_im[i] * ohms;
                }
            }
            Rung::Series(part) => {
                for (i, (w, over_w)) in w.iter().zip(over_w).enumerate() {
                    let z = impedance(part, *w, *over_w);
                    self.b_re[i] += self.a_re[i] * z.re - self.a_im[i] * z.im;
                    self.b_im[i] += self.a_re[i] * z.im + self.a_im[i] * z.re;
                }
            }
            Rung::Shunt(shunt) if shunt.is_only_capacitance() => {
                for (i, w) in w.iter().enumerate() {
                    let x = w * shunt.c;
                    self.a_re[i] -= self.b_im[i] * x;
                    self.a_im[i] += self.b_re[i] * x;
                }
            }
            Rung::Shunt(shunt) => {
                for i in 0..LANES {
                    let x = w[i] * shunt.c - over_w[i] * shunt.l;
                    self.a_re[i] += self.b_re[i] * shunt.g - self.b_im[i] * x;
                    self.a_im[i] += self.b_re[i] * x + self.b_im[i] * shunt.g;
                }
            }
        }
    }
}

impl Row {
    /// At the EMF itself.
    pub(crate) fn start(sweep: &Sweep) -> Self {
        let nought = [0.0; LANES];
        let first = RowGroup { a_re: [1.0; LANES], a_im: nought, b_re: nought, b_im: nought };
        Self(vec![first; sweep.w.len()])
    }

    /// Along some rungs.
    pub(crate) fn along(&mut self, rungs: &[Rung], sweep: &Sweep) {
        for ((group, w), over_w) in self.0.iter_mut().zip(&sweep.w).zip(&sweep.over_w) {
            let mut here = *group;
            for rung in rungs {
                here.step(*rung, w, over_w);
            }
            *group = here;
        }
    }

    /// |a|² after some more rungs: how much smaller the power is there than that of the EMF.
    pub(crate) fn loss_after(&self, rungs: &[Rung], sweep: &Sweep) -> Vec<f64> {
        let mut out = Vec::with_capacity(self.0.len() * LANES);
        for ((group, w), over_w) in self.0.iter().zip(&sweep.w).zip(&sweep.over_w) {
            let mut here = *group;
            for rung in rungs {
                here.step(*rung, w, over_w);
            }
            let mut loss = [0.0; LANES];
            for (loss, (re, im)) in loss.iter_mut().zip(here.a_re.iter().zip(&here.a_im)) {
                *loss = re * re + im * im;
            }
            out.extend_from_slice(&loss);
        }
        out.truncate(sweep.len());
        out
    }

    /// Past a side branch.
    pub(crate) fn branch(&mut self, y: &Admittance) {
        for (group, (re, im)) in self.0.iter_mut().zip(&y.0) {
            for i in 0..LANES {
                group.a_re[i] += group.b_re[i] * re[i] - group.b_im[i] * im[i];
                group.a_im[i] += group.b_re[i] * im[i] + group.b_im[i] * re[i];
            }
        }
    }

    /// a and b at a place in the sweep.
    fn at(&self, k: usize) -> (Complex, Complex) {
        let (group, i) = (&self.0[k / LANES], k % LANES);
        (Complex::new(group.a_re[i], group.a_im[i]), Complex::new(group.b_re[i], group.b_im[i]))
    }

    /// The voltage here for 1 V of EMF, 1/a, at every frequency.
    pub(crate) fn voltages(&self, sweep: &Sweep) -> Vec<Complex> {
        let mut out = Vec::with_capacity(self.0.len() * LANES);
        for group in &self.0 {
            for (re, im) in group.a_re.iter().zip(&group.a_im) {
                let over = 1.0 / (re * re + im * im);
                out.push(Complex::new(re * over, -im * over));
            }
        }
        out.truncate(sweep.len());
        out
    }

    /// The impedance between here and earth with the EMF at nought, everything applied so far included.
    pub(crate) fn impedance(&self, k: usize) -> Complex {
        let (a, b) = self.at(k);
        b / a
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
        let groups = sweep.w.iter().zip(&sweep.over_w).map(|(w, over_w)| {
            let mut im = [0.0; LANES];
            for i in 0..LANES {
                im[i] = w[i] * shunt.c - over_w[i] * shunt.l;
            }
            ([shunt.g; LANES], im)
        });
        Self(groups.collect())
    }

    /// Another one beside it.
    pub(crate) fn beside(&mut self, other: &Self) {
        for ((re, im), (other_re, other_im)) in self.0.iter_mut().zip(&other.0) {
            for i in 0..LANES {
                re[i] += other_re[i];
                im[i] += other_im[i];
            }
        }
    }

    /// Seen through a series element: Y/(1+Z·Y).
    pub(crate) fn through(&mut self, part: Part, sweep: &Sweep) {
        for (((re, im), w), over_w) in self.0.iter_mut().zip(&sweep.w).zip(&sweep.over_w) {
            for i in 0..LANES {
                let y = Complex::new(re[i], im[i]);
                let seen = y / (Complex::ONE + impedance(part, w[i], over_w[i]) * y);
                (re[i], im[i]) = (seen.re, seen.im);
            }
        }
    }
}

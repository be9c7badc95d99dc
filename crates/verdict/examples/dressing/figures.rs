//! What is measured of laid leads, on the rounded curve.

use leads::{Input, Laid, Outcome, Point, Wanted, chords};
use rig::LeadClass;

/// A piece within two degrees of an axis is along it: the cosine.
const ALONG: f64 = 0.999_39;
/// A lead is a detour from so many times the shortest way along the axes between its stubs, obstacles left out.
const DETOUR: f64 = 1.6;

/// The figures of a board, or of several together.
#[derive(Debug, Default)]
pub(crate) struct Figures {
    laid: usize,
    failed: usize,
    outside: usize,
    along_mm: f64,
    along_flat_mm: f64,
    long_mm: f64,
    cable_mm: f64,
    shortest_mm: f64,
    sharp: usize,
    detours: usize,
    near: usize,
    near_mm: f64,
    crossings: usize,
    skew: usize,
    flattest_deg: f64,
    all_crossings: usize,
    ms: f64,
    pub(crate) worst: Vec<String>,
}

impl Figures {
    pub(crate) const HEAD: &'static str = "board                                laid fail outs axis3 axis2 length  shortest ratio sharp detour near  near_mm cross skew flattest all_cross ms";

    pub(crate) fn of(input: &Input, outcome: &Outcome, ms: f64) -> Self {
        let mut out = Self {
            laid: outcome.leads.len(),
            failed: outcome.failed.len(),
            near: outcome.near.len(),
            near_mm: outcome.near.iter().map(|near| near.parallel_mm).sum(),
            crossings: outcome.crossings.len(),
            skew: outcome.crossings.iter().filter(|crossing| crossing.angle_deg < 75.0).count(),
            flattest_deg: outcome.crossings.iter().map(|crossing| crossing.angle_deg).fold(90.0, f64::min),
            ms,
            ..Self::default()
        };
        let lines: Vec<Vec<Point>> =
            outcome.leads.iter().map(|laid| chords(&laid.path, &laid.radii)).collect();
        for (laid, line) in outcome.leads.iter().zip(&lines) {
            out.lead(input, laid, line);
        }
        for (index, one) in lines.iter().enumerate() {
            out.all_crossings += lines[index + 1..].iter().map(|other| meetings(one, other)).sum::<usize>();
        }
        out
    }

    fn lead(&mut self, input: &Input, laid: &Laid, line: &[Point]) {
        let wanted = &input.leads[laid.lead];
        for leg in laid.path.windows(2) {
            let way = [0, 1, 2].map(|axis| leg[1][axis] - leg[0][axis]);
            let flat = hypot(way[0], way[1]);
            let long = hypot(flat, way[2]);
            let most = way.iter().map(|part| part.abs()).fold(0.0, f64::max);
            let along = ALONG * long <= most;
            let along_flat = flat < 0.1 * long || ALONG * flat <= way[0].abs().max(way[1].abs());
            self.long_mm += long;
            self.along_mm += if along { long } else { 0.0 };
            self.along_flat_mm += if along_flat { long } else { 0.0 };
        }
        let far = line.iter().map(|at| beyond(input, wanted, *at)).fold(0.0, f64::max);
        if 0.5 < far {
            self.outside += 1;
            self.worst.push(format!("{} {:?} {far:.0} mm outside", laid.id, wanted.class));
        }
        if laid.tightest_mm < wanted.radius_mm * 0.999 {
            self.sharp += 1;
            self.worst.push(format!(
                "{} {:?} bent to {:.1} of {:.1}, {:.0} mm",
                laid.id, wanted.class, laid.tightest_mm, wanted.radius_mm, laid.route_mm
            ));
        }
        self.cable_mm += laid.route_mm;
        let shortest = shortest(wanted);
        self.shortest_mm += shortest;
        if DETOUR * shortest < laid.route_mm {
            self.detours += 1;
            self.worst
                .push(format!("{} {:?} {:.0} mm for {:.0}", laid.id, wanted.class, laid.route_mm, shortest));
        }
    }

    pub(crate) fn add(&mut self, other: &Self) {
        self.flattest_deg =
            if self.laid == 0 { other.flattest_deg } else { self.flattest_deg.min(other.flattest_deg) };
        self.laid += other.laid;
        self.failed += other.failed;
        self.outside += other.outside;
        self.along_mm += other.along_mm;
        self.along_flat_mm += other.along_flat_mm;
        self.long_mm += other.long_mm;
        self.cable_mm += other.cable_mm;
        self.shortest_mm += other.shortest_mm;
        self.sharp += other.sharp;
        self.detours += other.detours;
        self.near += other.near;
        self.near_mm += other.near_mm;
        self.crossings += other.crossings;
        self.skew += other.skew;
        self.all_crossings += other.all_crossings;
        self.ms += other.ms;
    }

    pub(crate) fn line(&self, name: &str) -> String {
        let share = |part: f64| 100.0 * part / self.long_mm.max(1.0);
        format!(
            "{name:36} {:4} {:4} {:4} {:5.1} {:5.1} {:7.1} {:7.1} {:5.3} {:5} {:6} {:4} {:8.0} {:5} {:4} {:8.1} {:6} {:7.1}",
            self.laid,
            self.failed,
            self.outside,
            share(self.along_mm),
            share(self.along_flat_mm),
            self.cable_mm / 1000.0,
            self.shortest_mm / 1000.0,
            self.cable_mm / self.shortest_mm.max(1.0),
            self.sharp,
            self.detours,
            self.near,
            self.near_mm,
            self.crossings,
            self.skew,
            self.flattest_deg,
            self.all_crossings,
            self.ms
        )
    }
}

/// How far a place lies outside all decks, or outside the rectangle around them where there are several.
fn beyond(input: &Input, wanted: &Wanted, at: Point) -> f64 {
    let around = input
        .decks
        .iter()
        .copied()
        .reduce(|a, b| [a[0].min(b[0]), a[1].min(b[1]), a[2].max(b[2]), a[3].max(b[3])])
        .unwrap_or([0.0; 4]);
    let far = |axis: usize, value: f64| (around[axis] - value).max(value - around[axis + 2]).max(0.0);
    // Where a plug itself stands outside, its cable cannot but begin there.
    let own = |axis: usize| far(axis, wanted.from.at[axis]).max(far(axis, wanted.to.at[axis]));
    hypot((far(0, at[0]) - own(0)).max(0.0), (far(1, at[1]) - own(1)).max(0.0))
}

fn hypot(a: f64, b: f64) -> f64 {
    (a * a + b * b).sqrt()
}

/// Along the axes from stub to stub, each stub as long as its bend takes.
fn shortest(wanted: &Wanted) -> f64 {
    let stub = |end: &leads::End| end.straight_mm + wanted.radius_mm;
    let tip = |end: &leads::End| [0, 1, 2].map(|axis| end.at[axis] + end.out[axis] * stub(end));
    let apart = |a: Point, b: Point| (0..3).map(|axis| (a[axis] - b[axis]).abs()).sum::<f64>();
    let straight = apart(wanted.from.at, wanted.to.at);
    (stub(&wanted.from) + stub(&wanted.to) + apart(tip(&wanted.from), tip(&wanted.to))).max(straight)
}

/// How often two lines cross, seen from above.
fn meetings(one: &[Point], other: &[Point]) -> usize {
    let turn = |a: Point, b: Point, c: Point| (b[0] - a[0]) * (c[1] - a[1]) - (b[1] - a[1]) * (c[0] - a[0]);
    let mut count = 0;
    for a in one.windows(2) {
        for b in other.windows(2) {
            let own = turn(a[0], a[1], b[0]) * turn(a[0], a[1], b[1]) < 0.0;
            count += usize::from(own && turn(b[0], b[1], a[0]) * turn(b[0], b[1], a[1]) < 0.0);
        }
    }
    count
}

/// The colour of a class in pictures.
pub(crate) fn colour(class: LeadClass) -> &'static str {
    match class {
        LeadClass::Signal => "#1f5fa8",
        LeadClass::Control => "#2a9d6f",
        LeadClass::Dc => "#c8691c",
        LeadClass::Ac => "#a03070",
        LeadClass::Mains => "#d0208f",
    }
}

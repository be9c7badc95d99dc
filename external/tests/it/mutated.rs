//! Examples with the stops of their runs moved, doubled, dropped and swapped: whatever comes of it, the engine answers
//! within its budget of work.

use rig::{PortRef, Rig, Run, Stop};
use signal::{BUDGET, BufferSearch, Config, Input, LeadLength, solve_with};

/// Rigs in the ordinary test; `BOARDWRIGHT_SOAK` asks for 10 000.
const RIGS: u64 = 240;

/// CPU that an answer may take in the long run, in seconds.
const MOST_SECONDS: f64 = 1.0;

/// Numbers by lot, the same ones each time: a linear congruential generator after Knuth (MMIX).
struct Lot(u64);

impl Lot {
    fn below(&mut self, bound: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).expect("31 bits") % bound.max(1)
    }
}

/// One change to the runs of a rig.
fn change(rig: &mut Rig, lot: &mut Lot) {
    let signal: Vec<usize> =
        (0..rig.runs.len()).filter(|at| rig.runs[*at].carries == rig::Carries::Signal).collect();
    let (run, other) = (signal[lot.below(signal.len())], signal[lot.below(signal.len())]);
    let (kind, length) = (lot.below(8), rig.runs[run].stops.len());
    let (a, b) = (lot.below(length), lot.below(length));
    match kind {
        0 => {
            let stop = rig.runs[run].stops.remove(a);
            rig.runs[run].stops.insert(b.min(length - 1), stop);
        }
        1 => {
            let stop = rig.runs[run].stops[a].clone();
            rig.runs[run].stops.insert(b, stop);
        }
        2 if 2 < length => {
            rig.runs[run].stops.remove(a);
        }
        3 => rig.runs[run].stops.swap(a, b),
        4 => {
            // A run listed twice.
            let mut again = rig.runs[run].clone();
            again.name = format!("{} again {}", again.name, rig.runs.len());
            rig.runs.push(again);
        }
        5 => rig.runs[run].stops.reverse(),
        6 => {
            // A stop of another run, so that runs meet where they did not.
            let from = &rig.runs[other].stops;
            let stop = from[lot.below(from.len())].clone();
            rig.runs[run].stops.insert(a, stop);
        }
        _ => {
            // A stop that comes and goes by the jacks of another one.
            let from = &rig.runs[other].stops;
            let jacks = from[lot.below(from.len())].clone();
            let stop = &mut rig.runs[run].stops[a];
            (stop.arrives, stop.leaves) = (jacks.leaves, jacks.arrives);
        }
    }
    straighten(&mut rig.runs[run]);
}

/// A run begins without arriving and ends without leaving; in between a stop has both sides.
fn straighten(run: &mut Run) {
    let last = run.stops.len() - 1;
    for (index, stop) in run.stops.iter_mut().enumerate() {
        let Stop { arrives, leaves, .. } = stop;
        let any: Option<PortRef> = arrives.clone().or_else(|| leaves.clone());
        *arrives = if index == 0 { None } else { arrives.clone().or_else(|| any.clone()) };
        *leaves = if index == last && last != 0 { None } else { leaves.clone().or(any) };
    }
}

pub(crate) fn drawn(examples: &[Rig], seed: u64) -> Rig {
    let mut lot = Lot(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) ^ 0x77);
    let mut rig = examples[lot.below(examples.len())].clone();
    for _ in 0..=lot.below(6) {
        change(&mut rig, &mut lot);
    }
    rig
}

/// What a mutated rig is answered with; panics where it is none.
pub(crate) fn answered(rig: &Rig, seed: u64, search: BufferSearch) -> (u64, bool) {
    let leads = rig::leads(rig)
        .iter()
        .flat_map(|lead| lead.flows.clone())
        .map(|(from, to)| LeadLength { from, to, length: rig::Known::default() })
        .collect();
    let input = Input::new(rig, leads);
    let outcome = solve_with(&input, &Config::default(), search);
    // Bands and named states have a budget each, inputs that something meets a quarter of one; hardly anything may be asked
    // for beyond them.
    let most = 2 * BUDGET + BUDGET / 4 + BUDGET / 5;
    assert!(outcome.work.steps <= most, "rig {seed}: {} steps of {most}", outcome.work.steps);
    let mut exact = true;
    for way in &outcome.ways {
        exact &= way.band.exact;
        assert_eq!(way.band.upper_db.len(), outcome.frequencies.len(), "rig {seed}");
        let pairs = way.band.upper_db.iter().zip(&way.band.lower_db);
        assert!(
            pairs.clone().all(|(upper, lower)| lower <= upper),
            "rig {seed}: {} to {}",
            way.source,
            way.sink
        );
        for state in way.states.iter().filter(|state| !state.response.is_empty()) {
            let inside = state.level_db().into_iter().zip(pairs.clone()).all(|(level, (upper, lower))| {
                lower - 1e-6 <= level && level <= upper + 1e-6 || level < -200.0
            });
            assert!(inside, "rig {seed}: state {} is outside its band", state.name);
        }
    }
    let told = outcome.notes.iter().any(|note| note.contains("bounds"));
    assert_eq!(told, !exact, "rig {seed}: {:?}", outcome.notes);
    (outcome.work.steps, exact)
}

/// What this thread has had of a processor, where the system tells it.
fn cpu_seconds() -> Option<f64> {
    let told = std::fs::read_to_string("/proc/thread-self/schedstat").ok()?;
    Some(told.split_whitespace().next()?.parse::<f64>().ok()? * 1e-9)
}

#[test]
fn whatever_the_stops_say_there_is_an_answer_within_the_budget() {
    let number = |name: &str| std::env::var(name).ok().and_then(|text| text.parse::<u64>().ok());
    let count = number("BOARDWRIGHT_SOAK").unwrap_or(RIGS);
    let first = number("BOARDWRIGHT_SEED").unwrap_or(0);
    let examples: Vec<Rig> = external::examples()
        .iter()
        .map(|path| document::read(path, None).unwrap_or_else(|error| panic!("{error:?}")).rig)
        .collect();
    // Seconds count only in the long run: an ordinary one must not hang on how busy a machine is.
    let is_timed = number("BOARDWRIGHT_SOAK").is_some();
    let (mut most, mut bounds, mut slowest) = (0, 0, (0.0_f64, 0));
    for seed in first..first + count {
        let search = if seed % 8 == 0 { BufferSearch::Run } else { BufferSearch::Skip };
        let (rig, before) = (drawn(&examples, seed), cpu_seconds());
        let (steps, exact) = answered(&rig, seed, search);
        if let (true, Some(before), Some(after)) = (is_timed, before, cpu_seconds()) {
            let took = after - before;
            assert!(took <= MOST_SECONDS, "rig {seed}: {took:.2} s of CPU, {steps} steps");
            slowest = if slowest.0 < took { (took, seed) } else { slowest };
        }
        most = most.max(steps);
        bounds += u64::from(!exact);
    }
    let timed = match slowest {
        (seconds, seed) if 0.0 < seconds => format!(", the slowest {seconds:.2} s of CPU (seed {seed})"),
        _ => String::new(),
    };
    println!("soak: {count} rigs, at most {most} steps of work each, {bounds} answered with bounds{timed}");
}

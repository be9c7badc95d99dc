//! Every fault of the examples is found by whoever follows the walk, for every symptom that it can show.

use std::collections::BTreeMap;
use std::path::Path;

use design::Design;
use faults::{Answer, CURED, Complaint, Config, Given, Input, Symptom, Walk};

pub(crate) fn example(name: &str) -> Design {
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name);
    let job = document::read(&root, None).expect("an example reads");
    design::derive(job.rig, job.limits)
}

/// All suspects alike, no wrong answers, all trials at the same cost.
fn plain() -> Config {
    Config { lie: 0.0, found: 1.0 - 1e-9, by_odds: false, by_minutes: false, ..Config::default() }
}

#[derive(Default, Debug)]
struct Sum {
    walks: f64,
    trials: f64,
}

/// Who says what is tried next.
#[derive(Clone, Copy)]
enum Guide {
    /// The engine.
    Engine,
    /// Somebody who halves: whatever parts those that are left most evenly and leaves none on both sides.
    Halving,
}

/// The trial that the guide names; nothing when it is found or nothing tells more.
fn tried(walk: &Walk, guide: Guide) -> Option<String> {
    let next = walk.next()?.trial.id.clone();
    if matches!(guide, Guide::Engine) {
        return Some(next);
    }
    let left = |walk: &Walk| walk.suspects().iter().filter(|one| 0.0 < one.share).count();
    let all = left(walk);
    let mut best: Option<(usize, &str)> = None;
    for trial in walk.trials() {
        let [yes, no] = [Answer::Yes, Answer::No].map(|answer| left(&answered(walk, &trial.id, answer)));
        if yes == 0 || no == 0 || yes + no != all {
            continue;
        }
        let uneven = yes.abs_diff(no);
        if best.is_none_or(|(least, _)| uneven < least) {
            best = Some((uneven, &trial.id));
        }
    }
    Some(best.map_or(next, |(_, id)| id.to_owned()))
}

fn answered(walk: &Walk, trial: &str, answer: Answer) -> Walk {
    let mut walk = walk.clone();
    walk.answer(&Given { trial: trial.to_owned(), answer });
    walk
}

/// Follows the walk with each of these parts at fault at once, and parts where their answers part.
fn follow(input: &Input, walk: &Walk, parts: &[(usize, f64)], guide: Guide, depth: u32, sum: &mut Sum) {
    let Some(trial) = tried(walk, guide) else {
        let found: Vec<usize> = walk.found().iter().map(|one| one.part).collect();
        let (named, others): (Vec<_>, Vec<(usize, f64)>) =
            parts.iter().copied().partition(|(part, _)| found.contains(part));
        for (_, weight) in named {
            sum.walks += weight;
            sum.trials += weight * f64::from(depth);
        }
        // Plugs that do not crackle when they are moved mislead: what is changed first does not help, and the walk goes on.
        if !others.is_empty() {
            let first = *found.first().expect("something is named as long as anything is left");
            let walk = answered(walk, &format!("{CURED}{}", input.parts[first].id), Answer::No);
            follow(input, &walk, &others, guide, depth + 1, sum);
        }
        return;
    };
    assert!(depth < 60, "it ends");
    let shares = |walk: &Walk| -> BTreeMap<usize, f64> {
        walk.suspects().iter().map(|one| (one.part, one.share)).collect()
    };
    let before = shares(walk);
    let both = [Answer::Yes, Answer::No].map(|answer| answered(walk, &trial, answer));
    // How often each part answers yes (Bayes): what a yes leaves of its share, against what a no does.
    let after = [shares(&both[0]), shares(&both[1])];
    let yes = yes_of(&before, &after);
    for (side, walk) in both.iter().enumerate() {
        let answer = if side == 0 { yes } else { 1.0 - yes };
        // Who can answer either way is followed both ways, each as often as this part answers so.
        let here: Vec<(usize, f64)> = parts
            .iter()
            .filter(|(part, _)| 0.0 < after[side][part])
            .map(|(part, weight)| (*part, weight * (after[side][part] * answer / before[part]).min(1.0)))
            .collect();
        if !here.is_empty() {
            follow(input, walk, &here, guide, depth + 1, sum);
        }
    }
}

/// How likely a yes is: the share before is that after a yes so often, and that after a no as often as not.
fn yes_of(before: &BTreeMap<usize, f64>, after: &[BTreeMap<usize, f64>; 2]) -> f64 {
    let apart = before.keys().max_by(|a, b| {
        let by = |part: &usize| (after[0][part] - after[1][part]).abs();
        by(a).total_cmp(&by(b))
    });
    let part = apart.expect("something is suspected");
    (before[part] - after[1][part]) / (after[0][part] - after[1][part])
}

fn complaints(design: &Design, input: &Input) -> Vec<Complaint> {
    let mut out = Vec::new();
    for (symptom, ..) in Symptom::ALL {
        if symptom == Symptom::NoPower {
            for powered in &input.powered {
                let device = Some(powered.device.clone());
                out.push(Complaint { device, ..Complaint::new(symptom, 0) });
            }
            continue;
        }
        for sink in design::heard_sinks(input, &design.rig) {
            for source in 0..input.sources.len() {
                out.push(Complaint { source, ..Complaint::new(symptom, sink) });
            }
        }
    }
    out
}

/// For each complaint: the symptom, by how many trials the mean is above the entropy bound, above what halving takes there,
/// and above ⌈log₂ n⌉ of n that can be told apart, which no walk reaches where nothing parts them in halves; and how many faults were looked for.
fn every(name: &str) -> Vec<(Symptom, [f64; 3], f64)> {
    let design = example(name);
    let mut out = Vec::new();
    let first = design.fault_input(None, None);
    for complaint in complaints(&design, &first) {
        let sink = first.sinks[complaint.sink].id.clone();
        let input = design.fault_input(None, Some(&sink));
        let walk = Walk::new(&input, &complaint, &plain(), &[]);
        let suspects: Vec<(usize, f64)> = walk.suspects().iter().map(|one| (one.part, 1.0)).collect();
        if suspects.is_empty() {
            continue;
        }
        let bound = walk.bits_left();
        let mut sum = Sum::default();
        follow(&input, &walk, &suspects, Guide::Engine, 0, &mut sum);
        let mut halved = Sum::default();
        follow(&input, &walk, &suspects, Guide::Halving, 0, &mut halved);
        let [mean, halving] = [&sum, &halved].map(|sum| sum.trials / sum.walks);
        let classes = walk.suspects().iter().map(|one| one.class).max().map_or(0, |most| most + 1);
        let even = libm::ceil(libm::log2(f64::from(u32::try_from(classes).expect("few"))));
        let above = [bound, halving, even].map(|least| mean - least);
        out.push((complaint.symptom, above, sum.walks));
    }
    out
}

/// Jobs that the ordinary run walks over; the long run walks over all.
const FEW: [&str; 3] = ["church-bass-corrected", "two-voice-acoustic-corrected", "wet-dry-touring-corrected"];

fn jobs() -> Vec<String> {
    if std::env::var_os("BOARDWRIGHT_SOAK").is_none() {
        return FEW.map(str::to_owned).to_vec();
    }
    let root = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples");
    let mut names: Vec<String> = std::fs::read_dir(root)
        .expect("the examples")
        .map(|entry| entry.expect("an entry").file_name().to_string_lossy().into_owned())
        .collect();
    names.sort();
    names
}

#[test]
fn whoever_follows_the_walk_finds_every_fault() {
    let mut worst: BTreeMap<&str, [f64; 3]> = BTreeMap::new();
    let mut walks = 0.0;
    for name in jobs() {
        for (symptom, above, count) in every(&name) {
            let most = worst.entry(symptom.word()).or_insert([f64::NEG_INFINITY; 3]);
            *most = std::array::from_fn(|at| most[at].max(above[at]));
            walks += count;
        }
    }
    for (symptom, [bound, halving, _]) in &worst {
        assert!(*bound < 1.0, "{symptom}: {bound} above the entropy bound");
        assert!(*halving < 1e-9, "{symptom}: {halving} more trials than halving");
    }
    println!("{walks} walks; trials above the entropy bound, halving and halves, at most: {worst:.2?}");
    assert!(700.0 < walks, "{walks} walks");
}

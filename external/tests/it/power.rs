//! The power allocation against HiGHS, on a model that Python makes from the exported JSON alone; the search core against
//! published assignment problems; the edit against the document it is made for.

use external::examples;
use power::{Config, Input, Outcome, Status, solve, verify::verify};
use rig::{Limits, Rig};
use serde_json::json;

#[path = "../../../crates/power/tests/it/rigs.rs"]
pub(crate) mod rigs;

/// Rigs of each kind that are compared in the ordinary test, each solved five times by the peer; `BOARDWRIGHT_SOAK` asks for as
/// many as it names.
const RIGS: u64 = 320;

/// The numbers of the rigs to compare: the same ones every time, or those of a long run.
fn seeds(first: u64) -> std::ops::Range<u64> {
    let number = |name: &str| std::env::var(name).ok()?.parse::<u64>().ok();
    let first = first + number("BOARDWRIGHT_SEED").unwrap_or(0).wrapping_mul(1 << 32);
    first..first + number("BOARDWRIGHT_SOAK").unwrap_or(RIGS)
}

/// What a long run says.
#[expect(clippy::print_stdout, reason = "the soak reads what its runs have done")]
fn soaked(what: &str, compared: u64, impossible: u64) {
    if std::env::var_os("BOARDWRIGHT_SOAK").is_some() {
        println!("soak: {compared} {what} served no better by HiGHS, {impossible} of them impossible");
    }
}

/// What HiGHS is asked to agree with.
fn case(name: &str, rig: &Rig, outcome: &Outcome) -> String {
    let design = design::derive(rig.clone(), Limits::default());
    let resolved = design::resolved(&design, "test", "");
    let told = power::json(outcome);
    let unserved = outcome.unserved.iter().filter(|device| device.lacks.is_empty()).count();
    let cable = rig.cables.get(&rig::LeadClass::Dc).and_then(|cable| cable.resistance_per_metre.value);
    json!({
        "name": name, "rig": resolved, "dc_ohm_per_m": cable.map(quantity::Ohms::get),
        "unserved": unserved, "objective": told.objective,
    })
    .to_string()
}

fn peer(cases: &[String], arguments: &[&str]) -> (bool, String) {
    external::peer("power/peer.py", arguments, &cases.join("\n"))
}

fn solved(rig: &Rig) -> (Input, Outcome) {
    let input = Input::from_rig(rig, &Limits::default());
    let outcome = solve(&input, &Config::standard());
    assert_eq!(verify(&input, &outcome.allocation).breaches, []);
    (input, outcome)
}

#[test]
fn highs_finds_nothing_better_on_random_rigs() {
    let (seeds, mut impossible) = (seeds(1_000_000), 0);
    let count = seeds.end - seeds.start;
    let cases: Vec<String> = seeds
        .map(|seed| {
            let rig = rigs::small(seed, 7, 2);
            let (_, outcome) = solved(&rig);
            assert_eq!(outcome.objective, outcome.bound, "rig {seed} is proven to the end");
            impossible += u64::from(outcome.status == Status::Impossible);
            case(&format!("rig {seed}"), &rig, &outcome)
        })
        .collect();
    assert!(count / 10 < impossible && impossible < count * 9 / 10, "{impossible} of {count} are impossible");
    let (same, text) = peer(&cases, &[]);
    assert!(same, "{text}");
    soaked("rigs", count, impossible);
}

#[test]
fn highs_finds_nothing_better_where_locks_converters_and_looks_are_crowded() {
    let (seeds, mut looks, mut impossible) = (seeds(2_000_000), 0, 0);
    let count = seeds.end - seeds.start;
    let cases: Vec<String> = seeds
        .map(|seed| {
            let rig = rigs::crowded(seed);
            let (_, outcome) = solved(&rig);
            assert_eq!(outcome.objective, outcome.bound, "crowded rig {seed} is proven to the end");
            impossible += u64::from(outcome.status == Status::Impossible);
            looks += u64::from(outcome.looks.iter().any(|look| look.what == power::LookKind::SharedGain));
            case(&format!("crowded rig {seed}"), &rig, &outcome)
        })
        .collect();
    assert!(count / 10 < looks, "{looks} of {count} share at the price of a look");
    let (same, text) = peer(&cases, &[]);
    assert!(same, "{text}");
    soaked("crowded rigs", count, impossible);
}

#[test]
fn highs_notices_a_wrong_objective() {
    let rig = rigs::small(1_000_000, 4, 1);
    let (_, mut outcome) = solved(&rig);
    outcome.objective.margin_permille += 1;
    let (same, text) = peer(&[case("wrong", &rig, &outcome)], &[]);
    assert!(!same && text.contains("wrong: unserved"), "{text}");
}

#[test]
fn the_examples_are_served_as_highs_serves_them() {
    let mut cases = Vec::new();
    for folder in examples() {
        let job =
            document::read(&folder, None).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
        let input = Input::from_rig(&job.rig, &job.limits);
        let outcome = solve(&input, &Config::standard());
        assert_eq!(verify(&input, &outcome.allocation).breaches, [], "{}", folder.display());
        if job.limits == Limits::default() && input.lacks.iter().all(|lack| !lack.unserved) {
            cases.push(case(&folder.display().to_string(), &job.rig, &outcome));
        }
    }
    assert!(!cases.is_empty());
    let (same, text) = peer(&cases, &[]);
    assert!(same, "{text}");
}

#[test]
fn the_edit_writes_what_was_found_and_then_nothing_is_left_to_do() {
    for folder in examples() {
        let job =
            document::read(&folder, None).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
        let input = Input::from_rig(&job.rig, &job.limits);
        let outcome = solve(&input, &Config::standard());
        let text = std::fs::read_to_string(folder.join("rig.toml")).expect("the document");
        let edited = document::edit::apply(&text, &power::edits(&outcome))
            .unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
        let scratch = tempfile::tempdir().expect("a folder");
        for entry in std::fs::read_dir(&folder).expect("the folder").filter_map(Result::ok) {
            if entry.path().is_file() {
                std::fs::copy(entry.path(), scratch.path().join(entry.file_name())).expect("copied");
            }
        }
        std::fs::write(scratch.path().join("rig.toml"), edited).expect("written");
        let again = document::read(scratch.path(), None)
            .unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
        let input = Input::from_rig(&again.rig, &again.limits);
        for feed in &outcome.allocation {
            let present = input.needs[feed.need].present.as_ref().expect("it has a feed now");
            assert_eq!((present.kind, present.crossing), (feed.kind, feed.crossing), "{}", folder.display());
            assert_eq!(present.outlets, feed.outlets, "{}", folder.display());
            for &outlet in &feed.outlets {
                assert_eq!(input.outlets[outlet].set_mv, Some(feed.setting_mv), "{}", folder.display());
            }
        }
        let outcome = solve(&input, &Config::standard());
        assert_eq!(outcome.edit.changes, [], "{}: once is enough", folder.display());
    }
}

/// Source: OR-Library (J. E. Beasley), `external/power/gap/README.md`.
#[test]
fn published_assignment_problems_are_solved_and_proven() {
    use power::assignment::{Column, Effort, Problem, SearchEnd, Unwatched, solve};
    let folder = std::path::PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("power/gap");
    let optima = std::fs::read_to_string(folder.join("optima.tsv")).expect("the optima");
    let mut compared = 0;
    for number in 1..=8 {
        let text = std::fs::read_to_string(folder.join(format!("gap{number}.txt"))).expect("the problems");
        let mut numbers = text.split_whitespace().map(|word| word.parse::<i64>().expect("a whole number"));
        let mut next = || numbers.next().expect("the file is whole");
        for problem in 1..=next() {
            let (agents, jobs) = (usize::try_from(next()).unwrap(), usize::try_from(next()).unwrap());
            let profits: Vec<i64> = (0..agents * jobs).map(|_| next()).collect();
            let resources: Vec<i64> = (0..agents * jobs).map(|_| next()).collect();
            let capacity: Vec<i64> = (0..agents).map(|_| next()).collect();
            let dearest = profits.iter().copied().max().unwrap_or(0);
            let columns = (0..agents * jobs)
                .map(|place| Column {
                    items: vec![place % jobs],
                    cost: dearest - profits[place],
                    uses: vec![(place / jobs, resources[place])],
                    home: Some(place / jobs),
                })
                .collect();
            let most = dearest * i64::try_from(jobs).unwrap();
            let effort = Effort { nodes: 100_000, work: u64::MAX, below: most + 1, enough: i64::MIN };
            let answer = solve(&Problem { items: jobs, capacity, columns }, &effort, None, &Unwatched);
            let wanted: i64 = optima
                .lines()
                .map(|line| line.split('\t').collect::<Vec<_>>())
                .find(|cells| cells[0] == format!("gap{number}") && cells[1] == problem.to_string())
                .and_then(|cells| cells[3].parse().ok())
                .expect("an optimum");
            assert_eq!(
                answer.best.map(|choice| most - choice.cost),
                Some(wanted),
                "gap{number}, problem {problem}"
            );
            assert_eq!(answer.end, SearchEnd::Complete, "gap{number}, problem {problem}");
            compared += 1;
        }
    }
    assert_eq!(compared, 40);
}

/// The board that HiGHS solves too: one that it does in seconds, where others take it a minute.
const PEER_BOARD: u64 = 3;

/// Both on boards of thirty devices and thirty-two outlets, in one run; the times are printed, and only the answers are
/// compared.
#[test]
#[expect(clippy::disallowed_methods, reason = "times are told side by side; nothing is decided by them")]
fn boards_of_thirty_devices_side_by_side() {
    let mut times = [Vec::new(), Vec::new()];
    let mut cases = Vec::new();
    for seed in 0..60 {
        let rig = rigs::board(seed);
        let input = Input::from_rig(&rig, &Limits::default());
        let start = std::time::Instant::now();
        solve(&input, &Config { nodes_length: 0, ..Config::standard() });
        times[0].push(start.elapsed());
        let start = std::time::Instant::now();
        let (_, outcome) = solved(&rig);
        times[1].push(start.elapsed());
        assert_eq!(outcome.objective, outcome.bound, "board {seed} is proven to the end");
        if seed == PEER_BOARD {
            assert_eq!(outcome.status, Status::Proven);
            cases.push(case(&format!("board {seed}"), &rig, &outcome));
        }
    }
    for (what, times) in ["first three objectives", "all four objectives"].iter().zip(&mut times) {
        times.sort();
        let ms = |place: usize| times[place].as_secs_f64() * 1e3;
        println!(
            "program, {what} proven: median {:.1} ms, p95 {:.1} ms, worst {:.1} ms",
            ms(30),
            ms(57),
            ms(59)
        );
    }
    let (same, text) = peer(&cases, &["--times"]);
    println!("HiGHS: {text}");
    assert!(same, "{text}");
}

//! `cargo xtask floorplan-table`: `docs/floorplan.md`, published instances beside the bars and a general solver.

use std::path::{Path, PathBuf};
use std::process::Command;

use anyhow::{Context as _, Result, bail};
use serde_json::Value;

use crate::needs::{self, Install};
use crate::{console, process};

const PAGE: &str = "docs/floorplan.md";
const FOLDER: &str = "external/floorplan";
/// The general solver, where it can be had.
const PEER: &str = "external/floorplan/requirements.txt";
const PEER_VENV: &str = "target/venv-floorplan";
/// Seeds of the medians, and of the count of legal answers.
const SEEDS: u64 = 5;
const LEGAL_SEEDS: u64 = 20;
/// The peer gets at least ten times as long as the longest of our runs.
const PEER_TIMES: f64 = 10.0;

/// An instance with its conventions.
struct Case {
    name: &'static str,
    pads: &'static str,
    whitespace: &'static str,
    /// Moves that take about a second and about five on two cores of a small server.
    short: u64,
    long: u64,
    /// The length to stay below.
    bar: f64,
    /// What the bar is.
    from: &'static str,
}

const MARK: &str = "set by this project";

const CASES: &[Case] = &[
    Case {
        name: "n10",
        pads: "file",
        whitespace: "0.15",
        short: 1_000_000,
        long: 5_000_000,
        bar: 51_700.0,
        from: MARK,
    },
    Case {
        name: "n10",
        pads: "scaled",
        whitespace: "0.15",
        short: 1_000_000,
        long: 5_000_000,
        bar: 35_954.5,
        from: MARK,
    },
    Case {
        name: "ami33",
        pads: "file",
        whitespace: "0.15",
        short: 800_000,
        long: 4_000_000,
        bar: 66_500.0,
        from: MARK,
    },
    Case {
        name: "ami33",
        pads: "scaled",
        whitespace: "0.15",
        short: 800_000,
        long: 4_000_000,
        bar: 51_500.0,
        from: MARK,
    },
    Case {
        name: "n30",
        pads: "file",
        whitespace: "0.15",
        short: 800_000,
        long: 4_000_000,
        bar: 153_000.0,
        from: MARK,
    },
    Case {
        name: "n30",
        pads: "scaled",
        whitespace: "0.15",
        short: 800_000,
        long: 4_000_000,
        bar: 101_000.0,
        from: MARK,
    },
    Case {
        name: "n100",
        pads: "scaled",
        whitespace: "0.10",
        short: 400_000,
        long: 4_000_000,
        bar: 199_515.0,
        from: "best of a course contest 2018, 80 s",
    },
];

/// Runs every case and writes the page.
pub fn run(root: &Path, install: Install) -> Result<()> {
    let python = peer(root, install);
    let mut lines = Vec::new();
    for case in CASES {
        console::say(&format!("floorplan-table: {}, pads {}", case.name, case.pads));
        let (short, long) = (median(root, case, case.short)?, median(root, case, case.long)?);
        let mut legal = 0;
        for seed in 1..=LEGAL_SEEDS {
            legal += u64::from(is_legal(&ours(root, case, case.short, seed)?));
        }
        let peer = match &python {
            Some(python) => beside(root, python, case, (PEER_TIMES * long.1).ceil())?,
            None => "–".to_owned(),
        };
        let percent: f64 = case.whitespace.parse::<f64>().context("a share")? * 100.0;
        lines.push(format!(
            "| {} | {} | {percent:.0} % | {} | {} in {:.1} s | {} in {:.1} s | {:+.1} % | {legal} of {LEGAL_SEEDS} | {peer} |",
            case.name,
            case.pads,
            told(case.bar),
            told(short.0),
            short.1,
            told(long.0),
            long.1,
            (long.0 / case.bar - 1.0) * 100.0
        ));
    }
    let sources: Vec<String> = CASES
        .iter()
        .filter(|case| case.from != MARK)
        .map(|case| format!("{}: {}", case.name, case.from))
        .collect();
    let page = format!(
        "# Published floorplanning instances\n\n\
         Written by `cargo xtask floorplan-table`. `layout::search`, the core that `arrange` runs, over sequence pairs that \
         `crates/layout/examples/floorplan` gives it; two threads, quarter turns; wire length is half the perimeter around \
         each net, every pin in the middle of its block; medians of seeds 1 to {SEEDS}, wall clock of the machine it ran on. \
         Instances and conventions: `{FOLDER}/README.md`.\n\n\
         Marks are {MARK}, except {}. The last column is CP-SAT (a general solver of constraint programs) on the same \
         instance with quarter turns, two threads, and ten times as long as our longer run.\n\n\
         | instance | pads | room | mark | short run | longer run | longer run to mark | legal | CP-SAT |\n\
         |---|---|---|---|---|---|---|---|---|\n{}\n",
        sources.join("; "),
        lines.join("\n")
    );
    std::fs::write(root.join(PAGE), page).with_context(|| format!("{PAGE} cannot be written"))
}

fn files(case: &Case) -> [PathBuf; 3] {
    ["blocks", "nets", "pl"].map(|end| Path::new(FOLDER).join(format!("{}.{end}", case.name)))
}

/// One answer of ours, as JSON.
fn ours(root: &Path, case: &Case, moves: u64, seed: u64) -> Result<Value> {
    let example = ["run", "--quiet", "--release", "--package", "layout", "--example", "floorplan", "--"];
    let mut command = process::cargo(root, &example);
    command.args(files(case)).args(["--rotate", "--pads", case.pads, "--whitespace", case.whitespace]);
    command.args(["--moves", &moves.to_string(), "--seed", &seed.to_string(), "--threads", "2"]);
    serde_json::from_slice(&process::stdout(&mut command)?).context("the answer is no JSON")
}

fn is_legal(answer: &Value) -> bool {
    answer["fits"] == true && answer["overlap"] == 0 && answer["outside"] == 0
}

/// The median length and seconds over the seeds.
fn median(root: &Path, case: &Case, moves: u64) -> Result<(f64, f64)> {
    let (mut lengths, mut seconds) = (Vec::new(), Vec::new());
    for seed in 1..=SEEDS {
        let answer = ours(root, case, moves, seed)?;
        lengths.push(answer["hpwl"].as_f64().unwrap_or(f64::INFINITY));
        seconds.push(answer["wall_s"].as_f64().context("`wall_s` is no number")?);
    }
    Ok((middle(&mut lengths), middle(&mut seconds)))
}

fn middle(values: &mut [f64]) -> f64 {
    values.sort_by(f64::total_cmp);
    values[values.len() / 2]
}

/// The peer's Python, where it can be had; without it the column stays empty and says so.
fn peer(root: &Path, install: Install) -> Option<PathBuf> {
    let found = needs::packages(root, PEER, PEER_VENV, install);
    if let Err(error) = &found {
        console::say(&format!("floorplan-table: without the general solver: {error:#}"));
    }
    found.ok()
}

fn beside(root: &Path, python: &Path, case: &Case, seconds: f64) -> Result<String> {
    let mut command = Command::new(python);
    command.current_dir(root).arg(Path::new(FOLDER).join("peer.py")).args(files(case));
    command.args([case.pads, case.whitespace, &seconds.to_string(), "2"]);
    let answer: Value =
        serde_json::from_slice(&process::stdout(&mut command)?).context("the peer's answer is no JSON")?;
    if answer["wall_s"].as_f64().is_none() {
        bail!("the peer does not say how long it took");
    }
    Ok(match answer["hpwl"].as_f64() {
        Some(length) => format!("{} in {seconds:.0} s", told(length)),
        None => format!("none in {seconds:.0} s"),
    })
}

/// A length with thin spaces between thousands; no answer is a dash.
fn told(length: f64) -> String {
    if !length.is_finite() {
        return "none".to_owned();
    }
    let plain = format!("{length:.1}");
    let (whole, part) = plain.split_once('.').unwrap_or((&plain, "0"));
    let mut out = String::new();
    for (place, digit) in whole.chars().enumerate() {
        if 0 < place && (whole.len() - place).is_multiple_of(3) {
            out.push('\u{202f}');
        }
        out.push(digit);
    }
    if part != "0" {
        out.push('.');
        out.push_str(part);
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn lengths_are_told_by_thousands() {
        assert_eq!(told(51_700.0), "51\u{202f}700");
        assert_eq!(told(999.5), "999.5");
        assert_eq!(told(f64::INFINITY), "none");
    }

    #[test]
    fn the_median_is_the_middle_one() {
        assert!((middle(&mut [9.0, 1.0, 5.0]) - 5.0).abs() < 1e-12);
    }

    #[test]
    fn only_a_whole_answer_is_legal() {
        let answer = |text: &str| serde_json::from_str::<Value>(text).unwrap();
        assert!(is_legal(&answer(r#"{"fits":true,"overlap":0,"outside":0}"#)));
        assert!(!is_legal(&answer(r#"{"fits":true,"overlap":1,"outside":0}"#)));
        assert!(!is_legal(&answer(r#"{"fits":false,"overlap":0,"outside":0}"#)));
    }
}

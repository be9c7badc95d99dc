//! Published floorplanning instances through the search of `layout`: what `cargo xtask floorplan` runs.
//!
//! Wire length is half the perimeter around each net's pins, every pin in the middle of its block.

mod instance;
mod relations;

use std::path::PathBuf;
use std::process::ExitCode;
use std::time::{Duration, Instant};

use anyhow::{Context as _, Result};
use instance::{Instance, Outline};
use layout::{Cancel, Progress, Report};
use relations::{Effort, faults, solve, wire_length_doubled};
use serde_json::json;

/// More blocks than this are searched by two workers that go far; fewer by four, of which the best counts.
const MANY: usize = 60;

#[expect(clippy::print_stdout, clippy::print_stderr, reason = "a program of its own")]
fn main() -> ExitCode {
    let words: Vec<String> = std::env::args().skip(1).collect();
    let words: Vec<&str> = words.iter().map(String::as_str).collect();
    let Some(asked) = Asked::parse(&words) else {
        eprintln!("{USAGE}");
        return ExitCode::from(2);
    };
    match run(&asked) {
        Ok(found) => {
            println!("{found}");
            ExitCode::SUCCESS
        }
        Err(error) => {
            eprintln!("floorplan: {error:#}");
            ExitCode::FAILURE
        }
    }
}

const USAGE: &str = "usage: floorplan BLOCKS NETS PL [--outline W,H | --whitespace 0.15] [--pads file|scaled] [--rotate] \
--moves N --seed S [--threads T] [--cancel-after SECONDS] [--until MOVES]";

/// What the command line asks for.
#[derive(Debug, Clone, PartialEq)]
struct Asked {
    files: [PathBuf; 3],
    outline: Outline,
    scaled: bool,
    rotate: bool,
    moves: u64,
    until: Option<u64>,
    seed: u64,
    threads: usize,
    cancel_after: Option<f64>,
}

impl Asked {
    /// Reads the words after the command; nothing when they make no sense.
    fn parse(words: &[&str]) -> Option<Self> {
        let mut files = Vec::new();
        let mut asked = Self {
            files: Default::default(),
            outline: Outline::Whitespace(0.15),
            scaled: false,
            rotate: false,
            moves: 0,
            until: None,
            seed: 1,
            threads: 2,
            cancel_after: None,
        };
        let mut words = words.iter();
        while let Some(word) = words.next() {
            match *word {
                "--rotate" => asked.rotate = true,
                "--outline" => {
                    let (width, height) = words.next()?.split_once(',')?;
                    asked.outline = Outline::Given([width.trim().parse().ok()?, height.trim().parse().ok()?]);
                }
                "--whitespace" => {
                    asked.outline = Outline::Whitespace(words.next()?.parse().ok().filter(|g| 0.0 <= *g)?);
                }
                "--pads" => {
                    asked.scaled = match *words.next()? {
                        "file" => false,
                        "scaled" => true,
                        _ => return None,
                    }
                }
                "--moves" => asked.moves = words.next()?.parse().ok()?,
                "--until" => asked.until = Some(words.next()?.parse().ok()?),
                "--seed" => asked.seed = words.next()?.parse().ok()?,
                "--threads" => asked.threads = words.next()?.parse().ok()?,
                "--cancel-after" => {
                    asked.cancel_after = Some(words.next()?.parse().ok().filter(|s| 0.0 <= *s)?);
                }
                word if word.starts_with("--") => return None,
                file => files.push(PathBuf::from(file)),
            }
        }
        asked.files = files.try_into().ok()?;
        (0 < asked.moves).then_some(asked)
    }
}

/// Ends the search when the time is over; it decides nothing else.
struct Deadline(Option<Instant>);

impl Cancel for Deadline {
    #[expect(clippy::disallowed_methods, reason = "a clock may cancel, at the edge")]
    fn is_cancelled(&self) -> bool {
        self.0.is_some_and(|end| end <= Instant::now())
    }
}

struct NoProgress;

impl Progress for NoProgress {
    fn round(&self, _: &Report) {}
}

/// Solves one instance; hands back what came of it as JSON.
#[expect(
    clippy::disallowed_methods,
    reason = "the wall clock is reported and may cancel; nothing else is decided by it"
)]
fn run(asked: &Asked) -> Result<serde_json::Value> {
    let text = |file: &PathBuf| {
        std::fs::read_to_string(file).with_context(|| format!("{} cannot be read", file.display()))
    };
    let [blocks, nets, places] = &asked.files;
    let instance = Instance::read(&text(blocks)?, &text(nets)?, &text(places)?)?;
    let problem = instance.problem(asked.outline, asked.scaled, asked.rotate)?;
    let workers = if MANY < problem.blocks.len() { 2 } else { 4 };
    let (seed, moves, until, threads) = (asked.seed, asked.moves, asked.until, asked.threads);
    let start = Instant::now();
    let deadline =
        Deadline(asked.cancel_after.map(|seconds| start + Duration::from_secs_f64(seconds.min(1e9))));
    let found = solve(&problem, &Effort { seed, moves, until, workers, threads }, &NoProgress, &deadline);
    let wall_s = start.elapsed().as_secs_f64();
    let (overlap, outside) = faults(&problem, &found.laid);
    let fits = !found.laid.is_empty();
    #[expect(clippy::cast_precision_loss, reason = "wire lengths are far below 2^53")]
    let hpwl = fits.then(|| wire_length_doubled(&problem, &found.laid) as f64 / 2.0);
    let placements: Vec<_> = instance
        .names
        .iter()
        .zip(&found.laid)
        .map(|(block, at)| json!({ "block": block, "x": at.x, "y": at.y, "width": at.width, "height": at.height }))
        .collect();
    Ok(json!({
            "outline": problem.outline,
            "placements": placements,
            "hpwl": hpwl,
            "fits": fits,
            "overlap": overlap,
            "outside": outside,
            "moves": found.moves,
            "planned": moves,
            "seed": seed,
            "workers": workers,
            "threads": threads,
            "wall_s": wall_s,
            "cancelled": found.cancelled,
    }))
}

#[cfg(test)]
mod tests {
    use crate::relations::Net;

    use super::*;

    const BLOCKS: &str = "UCSC blocks 1.0\nNumTerminals : 1\n\na hardrectilinear 4 (0, 0) (0, 3) (5, 3) (5, 0)\nb hardrectilinear 4 (0, 0) (0, 2) (2, 2) (2, 0)\np terminal\nq terminal\n";
    const NETS: &str = "UCLA nets 1.0\n# remark\nNumNets : 2\nNetDegree : 2\na B : %0.0 %50.0\np B\nNetDegree : 3\na B\nb B\nq B\n";
    const PLACES: &str = "UCLA pl 1.0\na 0 0\nb 0 0\np 2 4\nq 12 24\n";

    fn asked(line: &str) -> Option<Asked> {
        Asked::parse(&line.split_whitespace().collect::<Vec<_>>())
    }

    #[test]
    fn the_layout_is_read() {
        let instance = Instance::read(BLOCKS, NETS, PLACES).unwrap();
        assert_eq!(instance.blocks, [[5, 3], [2, 2]]);
        let problem = instance.problem(Outline::Given([10, 20]), true, false).unwrap();
        assert_eq!(problem.nets[0], Net { blocks: vec![0], pads: vec![[0, 0]] });
        assert_eq!(problem.nets[1], Net { blocks: vec![0, 1], pads: vec![[10, 20]] });
        let problem = instance.problem(Outline::Whitespace(0.15), false, false).unwrap();
        assert_eq!((problem.outline, problem.nets[0].pads[0]), ([4, 4], [2, 4]));
    }

    #[test]
    fn what_is_no_instance_is_refused() {
        let refused =
            |blocks: &str, nets: &str| format!("{:#}", Instance::read(blocks, nets, PLACES).unwrap_err());
        assert!(refused("a softrectangular 12 0.5 2", NETS).contains("only hard rectangles"));
        assert!(refused("a hardrectilinear 6 (0, 0)", NETS).contains("other than four corners"));
        assert!(refused(BLOCKS, "NetDegree : 1\nz B").contains("no placed terminal"));
        assert!(refused(BLOCKS, "a B").contains("before the first net"));
    }

    #[test]
    fn words_are_read_or_refused() {
        let found =
            asked("a b c --whitespace 0.1 --pads scaled --rotate --moves 100 --seed 7 --cancel-after 2")
                .unwrap();
        assert_eq!((found.outline, found.scaled, found.rotate), (Outline::Whitespace(0.1), true, true));
        assert_eq!((found.moves, found.seed, found.cancel_after), (100, 7, Some(2.0)));
        assert_eq!(asked("a b c --outline 30,40 --moves 1").unwrap().outline, Outline::Given([30, 40]));
        for line in [
            "a b --moves 1",
            "a b c",
            "a b c --moves 1 --pads here",
            "a b c --moves 1 --frob",
            "a b c --outline 3 --moves 1",
        ] {
            assert_eq!(asked(line), None, "{line}");
        }
    }
}

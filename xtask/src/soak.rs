//! `cargo xtask soak`: the long runs of the tests, recorded in `docs/soak.md`.
//!
//! A long run is an ordinary test with a larger budget, given by the environment; here are the budgets.

use std::path::Path;
use std::process::Command;

use anyhow::{Context as _, Result, bail};

use crate::{console, process};

/// A test with its large budget.
struct Run {
    /// What it is called in the record.
    name: &'static str,
    /// The test, as `cargo test` is asked for it.
    filter: &'static str,
    /// The budget's variables.
    budget: &'static [(&'static str, &'static str)],
}

const RUNS: &[Run] = &[
    Run {
        name: "bills and quotes against a second count",
        filter: "random_jobs_are_counted_and_priced_alike",
        budget: &[("BOARDWRIGHT_JOBS", "1000")],
    },
    Run {
        name: "changes of random revisions",
        filter: "random_revisions_become_each_other",
        budget: &[("BOARDWRIGHT_REVISIONS", "500")],
    },
    Run {
        name: "mutilated files of a shop",
        filter: "mutilated_files_of_a_shop",
        budget: &[("BOARDWRIGHT_SOAK", "20000")],
    },
    Run { name: "mutated documents", filter: "soak::", budget: &[("BOARDWRIGHT_SOAK", "100000")] },
    Run {
        name: "feeds against brute force",
        filter: "nothing_is_better_than_what_is_proven",
        budget: &[("BOARDWRIGHT_SOAK", "30000")],
    },
    Run {
        name: "feeds against HiGHS",
        filter: "highs_finds_nothing_better",
        budget: &[("BOARDWRIGHT_SOAK", "1000")],
    },
    Run {
        name: "cures against every purchase of one or two things",
        filter: "a_cure_is_found_wherever_two_purchases_help",
        budget: &[("BOARDWRIGHT_SOAK", "2000")],
    },
    Run {
        name: "bands against enumeration",
        filter: "graph_and_enumeration_agree_on_larger_rigs",
        budget: &[("BOARDWRIGHT_SOAK", "1")],
    },
    Run {
        name: "circuits from contacts against enumeration in Python",
        filter: "every_state_of_rigs_by_lot_solved_from_their_contacts",
        budget: &[("BOARDWRIGHT_SOAK", "2000")],
    },
    Run {
        name: "buffers on branches, loops and panels against every set",
        filter: "on_branches_loops_and_panels_fewer_buffers_never_do",
        budget: &[("BOARDWRIGHT_SOAK", "1")],
    },
    Run {
        name: "examples with their stops moved",
        filter: "whatever_the_stops_say_there_is_an_answer_within_the_budget",
        budget: &[("BOARDWRIGHT_SOAK", "10000")],
    },
    Run {
        name: "boards with a planted fault, and the culprit that is named",
        filter: "the_culprit_is_named_first",
        budget: &[("BOARDWRIGHT_SOAK", "1000")],
    },
    Run {
        name: "every fault of every example, for every symptom it can show",
        filter: "whoever_follows_the_walk_finds_every_fault",
        budget: &[("BOARDWRIGHT_SOAK", "1")],
    },
    Run {
        name: "killed in the middle of edits",
        filter: "killed_in_the_middle_of_edits_nothing_is_lost",
        budget: &[("BOARDWRIGHT_KILLS", "200")],
    },
    Run {
        name: "killed while two clients edit and another program saves",
        filter: "killed_while_two_clients_edit_and_another_program_saves_nothing_is_lost",
        budget: &[("BOARDWRIGHT_KILLS", "1000")],
    },
    Run {
        name: "two clients and an editor on disk",
        filter: "two_clients_and_an_editor_lose_nothing_and_memory_stays",
        budget: &[("BOARDWRIGHT_EDITS", "40000")],
    },
    Run {
        name: "hostile requests",
        filter: "hostile_requests_change_nothing_and_keep_nobody_out",
        budget: &[("BOARDWRIGHT_REQUESTS", "10000")],
    },
    Run {
        name: "issued numbers",
        filter: "issued_numbers_never_move",
        budget: &[("BOARDWRIGHT_SOAK", "3000")],
    },
    Run {
        name: "one value forgotten",
        filter: "forgetting_one_value_never_hides_a_stop",
        budget: &[("BOARDWRIGHT_SOAK", "1")],
    },
    Run {
        name: "random boards arranged",
        filter: "no_random_placement_fails_the_verifier",
        budget: &[("BOARDWRIGHT_SOAK", "10000")],
    },
    Run {
        name: "hidden layouts",
        filter: "what_was_cut_from_a_board_is_placed_on_it",
        budget: &[("BOARDWRIGHT_SOAK", "200")],
    },
    Run {
        name: "boards of 8 to 40 devices",
        filter: "boards_of_every_size_stand_by_what_is_said_of_them",
        budget: &[("BOARDWRIGHT_SOAK", "300")],
    },
    Run {
        name: "examples that a builder would sign",
        filter: "arranged_examples_are_boards_that_a_builder_would_sign",
        budget: &[("BOARDWRIGHT_SOAK", "1")],
    },
    Run {
        name: "values that decide against brute force",
        filter: "what_decides_is_what_brute_force_finds",
        budget: &[("BOARDWRIGHT_SOAK", "1")],
    },
    Run {
        name: "sizes from pictures",
        filter: "lengths_of_random_scenes_are_within_what_is_said",
        budget: &[("BOARDWRIGHT_SOAK", "500")],
    },
    Run {
        name: "damaged and hostile picture files",
        filter: "damaged_and_hostile_files_never_panic",
        budget: &[("BOARDWRIGHT_SOAK", "10000")],
    },
    Run {
        name: "random boards put together act by act",
        filter: "random_boards_go_together_in_their_order",
        budget: &[("BOARDWRIGHT_SOAK", "2000")],
    },
    Run {
        name: "routes on random boards",
        filter: "random_boards_keep_the_rules_of_routing",
        budget: &[("BOARDWRIGHT_SOAK", "2000")],
    },
];

const RECORD: &str = "docs/soak.md";

/// Runs those with `only` in their name from `seed` on, and writes what they came to; what stands of the others stays.
pub fn run(root: &Path, seed: u64, only: &str) -> Result<()> {
    let known = std::fs::read_to_string(root.join(RECORD)).unwrap_or_default();
    if !RUNS.iter().any(|run| run.name.contains(only)) {
        bail!("no run has `{only}` in its name");
    }
    let date = process::stdout(Command::new("date").args(["-u", "+%Y-%m-%d"]))?;
    let date = String::from_utf8_lossy(&date).trim().to_owned();
    let mut lines = Vec::new();
    for run in RUNS {
        if !run.name.contains(only) {
            let is_of = |line: &&str| line.split(" | ").nth(1) == Some(run.name);
            lines.extend(known.lines().filter(is_of).map(str::to_owned));
            continue;
        }
        console::say(&format!("soak: {}", run.name));
        // The whole workspace, so that nothing is compiled anew with other features; the filter picks the test.
        let mut command = process::cargo(root, &["test", "--workspace", "--test", "it", run.filter]);
        command.args(["--", "--nocapture"]).env("BOARDWRIGHT_SEED", seed.to_string());
        command.envs(run.budget.iter().copied());
        let printed = process::stdout(&mut command).with_context(|| format!("{} failed", run.name))?;
        let printed = String::from_utf8_lossy(&printed);
        let told: Vec<&str> =
            printed.lines().filter_map(|line| line.split_once("soak: ").map(|(_, said)| said)).collect();
        if told.is_empty() {
            bail!("{} says nothing of what it did", run.name);
        }
        for said in told {
            console::say(said);
            lines.push(format!("| {date} | {} | {seed} | {said} |", run.name));
        }
    }
    let record = format!(
        "# The last long runs\n\nWritten by `cargo xtask soak [SEED [RUN]]`.\n\n| date | run | seed | result |\n|---|---|---|---|\n{}\n",
        lines.join("\n")
    );
    std::fs::write(root.join(RECORD), record).with_context(|| format!("{RECORD} cannot be written"))
}

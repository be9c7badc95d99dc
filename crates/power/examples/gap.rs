//! Generalised assignment problems through the search core: prints what came of each and how long it took.
//!
//! The file is laid out as the OR-Library has it (J. E. Beasley, Journal of the Operational Research Society 41,
//! 1990): the number of problems, then for each the agents `m` and jobs `n`, the profits `m × n`, the resources
//! `m × n` and the capacities `m`. The profit is made as large as possible.

use std::process::ExitCode;

use power::assignment::{Column, Effort, Problem, SearchEnd, Unwatched, solve};
use serde_json::{Value, json};

/// Nodes that a problem may take; the published ones of the first eight files take a few hundred at most.
const NODES: u64 = 5_000_000;

/// One problem of the file.
#[derive(Debug, Clone, PartialEq, Eq)]
struct Instance {
    /// Profit of each agent for each job.
    profits: Vec<Vec<i64>>,
    /// What each agent needs for each job.
    resources: Vec<Vec<i64>>,
    /// What each agent has.
    capacities: Vec<i64>,
}

/// The largest profit found, and whether it is proven.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Solved {
    /// The profit, if any assignment was found.
    value: Option<i64>,
    /// Whether none is larger.
    proven: bool,
    /// The nodes it took.
    nodes: u64,
}

fn main() -> ExitCode {
    let Some(file) = std::env::args_os().nth(1) else { return refuse("usage: gap FILE") };
    let text = match std::fs::read_to_string(&file) {
        Ok(text) => text,
        Err(error) => return refuse(&format!("{}: {error}", file.display())),
    };
    match read(&text) {
        Ok(instances) => print(&instances),
        Err(error) => refuse(&format!("{}: {error}", file.display())),
    }
}

#[expect(clippy::print_stderr, reason = "an example speaks to the terminal")]
fn refuse(why: &str) -> ExitCode {
    eprintln!("{why}");
    ExitCode::from(2)
}

#[expect(clippy::print_stdout, reason = "the answer is data on stdout")]
fn print(instances: &[Instance]) -> ExitCode {
    let problems: Vec<Value> = instances
        .iter()
        .map(|instance| {
            let (solved, wall_ms) = timed(|| best(instance));
            json!({ "value": solved.value, "proven": solved.proven, "wall_ms": wall_ms, "nodes": solved.nodes })
        })
        .collect();
    println!("{}", json!({ "problems": problems }));
    ExitCode::SUCCESS
}

/// What a piece of work gave, and the milliseconds it took.
#[expect(clippy::disallowed_methods, reason = "the time is what is reported; nothing is decided by it")]
fn timed<T>(work: impl FnOnce() -> T) -> (T, f64) {
    let start = std::time::Instant::now();
    let done = work();
    (done, start.elapsed().as_secs_f64() * 1e3)
}

/// Reads the problems of a file.
fn read(text: &str) -> Result<Vec<Instance>, String> {
    let mut numbers = Numbers(text.split_whitespace());
    let count = numbers.count()?;
    let mut instances = Vec::new();
    for _ in 0..count {
        let (agents, jobs) = (numbers.count()?, numbers.count()?);
        let profits = numbers.table(agents, jobs)?;
        let resources = numbers.table(agents, jobs)?;
        let capacities = numbers.row(agents)?;
        instances.push(Instance { profits, resources, capacities });
    }
    Ok(instances)
}

/// The largest profit.
fn best(instance: &Instance) -> Solved {
    let dearest = instance.profits.iter().flatten().copied().max().unwrap_or(0);
    let jobs = instance.profits.first().map_or(0, Vec::len);
    let mut columns = Vec::new();
    for (agent, (profits, resources)) in instance.profits.iter().zip(&instance.resources).enumerate() {
        for (job, (&profit, &resource)) in profits.iter().zip(resources).enumerate() {
            let (items, uses, home) = (vec![job], vec![(agent, resource)], Some(agent));
            columns.push(Column { items, cost: dearest - profit, uses, home });
        }
    }
    let problem = Problem { items: jobs, capacity: instance.capacities.clone(), columns };
    let most = i64::try_from(jobs).unwrap_or(i64::MAX).saturating_mul(dearest);
    let effort = Effort { nodes: NODES, work: u64::MAX, below: most.saturating_add(1), enough: i64::MIN };
    let answer = solve(&problem, &effort, None, &Unwatched);
    Solved {
        value: answer.best.map(|choice| most - choice.cost),
        proven: answer.end == SearchEnd::Complete,
        nodes: answer.nodes,
    }
}

/// The whole numbers of the text, in order.
struct Numbers<'a>(std::str::SplitWhitespace<'a>);

impl Numbers<'_> {
    fn next(&mut self) -> Result<i64, String> {
        let word = self.0.next().ok_or("the file ends too early")?;
        let number: i64 = word.parse().map_err(|_| format!("`{word}` is no whole number"))?;
        if number < 0 {
            return Err(format!("`{word}` is below zero"));
        }
        Ok(number)
    }

    fn count(&mut self) -> Result<usize, String> {
        usize::try_from(self.next()?).map_err(|error| error.to_string())
    }

    fn row(&mut self, length: usize) -> Result<Vec<i64>, String> {
        (0..length).map(|_| self.next()).collect()
    }

    fn table(&mut self, rows: usize, length: usize) -> Result<Vec<Vec<i64>>, String> {
        (0..rows).map(|_| self.row(length)).collect()
    }
}

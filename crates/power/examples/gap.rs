//! Generalised assignment problems through the search core: prints what came of each and how long it took.
//!
//! `gap FILE [SECONDS]`: a problem that takes longer than so many seconds is stopped, and so is all when the program is
//! interrupted or terminated; the best that was found by then is printed, not proven.
//!
//! The file is laid out as the OR-Library has it (J. E. Beasley, Journal of the Operational Research Society 41,
//! 1990): the number of problems, then for each the agents `m` and jobs `n`, the profits `m × n`, the resources
//! `m × n` and the capacities `m`. The profit is made as large as possible.

use std::process::ExitCode;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use power::assignment::{Column, Effort, Problem, SearchEnd, Watch, solve};
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

/// Whether somebody has said stop.
#[derive(Debug, Clone, Default)]
struct Stop(Arc<AtomicBool>);

impl Watch for Stop {
    fn stop(&self, _nodes: u64) -> bool {
        self.0.load(Ordering::Relaxed)
    }
}

impl Stop {
    /// Listens for an interrupt or a request to terminate.
    fn on_signal() -> std::io::Result<Self> {
        let stop = Self::default();
        let heard = stop.clone();
        let runtime = tokio::runtime::Builder::new_current_thread().enable_all().build()?;
        std::thread::spawn(move || {
            runtime.block_on(async {
                use tokio::signal::unix::{SignalKind, signal};
                let (Ok(mut interrupt), Ok(mut terminate)) =
                    (signal(SignalKind::interrupt()), signal(SignalKind::terminate()))
                else {
                    return;
                };
                tokio::select! { _ = interrupt.recv() => {}, _ = terminate.recv() => {} }
                heard.0.store(true, Ordering::Relaxed);
            });
        });
        Ok(stop)
    }

    /// The same for one problem, which is stopped after some time too.
    #[expect(clippy::disallowed_methods, reason = "whoever asks for seconds wants the clock to decide")]
    fn within(&self, seconds: Option<f64>) -> Limited {
        let until = seconds.map(|seconds| std::time::Instant::now() + Duration::from_secs_f64(seconds));
        Limited { stop: self.clone(), until }
    }
}

/// Stops when told, or at a time.
struct Limited {
    stop: Stop,
    until: Option<std::time::Instant>,
}

impl Watch for Limited {
    #[expect(clippy::disallowed_methods, reason = "whoever asks for seconds wants the clock to decide")]
    fn stop(&self, nodes: u64) -> bool {
        self.stop.stop(nodes) || self.until.is_some_and(|until| until <= std::time::Instant::now())
    }
}

fn main() -> ExitCode {
    let Some(file) = std::env::args_os().nth(1) else { return refuse("usage: gap FILE [SECONDS]") };
    let seconds = match std::env::args().nth(2).map(|word| word.parse::<f64>()) {
        None => None,
        Some(Ok(seconds)) if 0.0 <= seconds && seconds.is_finite() => Some(seconds),
        Some(_) => return refuse("usage: gap FILE [SECONDS]"),
    };
    let stop = match Stop::on_signal() {
        Ok(stop) => stop,
        Err(error) => return refuse(&error.to_string()),
    };
    let text = match std::fs::read_to_string(&file) {
        Ok(text) => text,
        Err(error) => return refuse(&format!("{}: {error}", file.display())),
    };
    match read(&text) {
        Ok(instances) => print(&instances, seconds, &stop),
        Err(error) => refuse(&format!("{}: {error}", file.display())),
    }
}

#[expect(clippy::print_stderr, reason = "an example speaks to the terminal")]
fn refuse(why: &str) -> ExitCode {
    eprintln!("{why}");
    ExitCode::from(2)
}

#[expect(clippy::print_stdout, reason = "the answer is data on stdout")]
fn print(instances: &[Instance], seconds: Option<f64>, stop: &Stop) -> ExitCode {
    let problems: Vec<Value> = instances
        .iter()
        .map(|instance| {
            let (solved, wall_ms) = timed(|| best(instance, &stop.within(seconds)));
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
fn best(instance: &Instance, watch: &dyn Watch) -> Solved {
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
    let answer = solve(&problem, &effort, None, watch);
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

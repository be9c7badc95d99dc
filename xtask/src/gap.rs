//! `cargo xtask gap FILE`: generalised assignment problems through the search core of the power allocation.
//!
//! The file is laid out as the OR-Library has it (J. E. Beasley, Journal of the Operational Research Society 41,
//! 1990): the number of problems, then for each the agents `m` and jobs `n`, the profits `m × n`, the resources
//! `m × n` and the capacities `m`. The profit is made as large as possible.

use std::path::Path;

use anyhow::{Context as _, Result, bail};
use power::assignment::{Column, Effort, End, Problem, Unwatched, solve};
use serde_json::{Value, json};

use crate::console;

/// Nodes that a problem may take; the published ones of the first eight files take a few hundred at most.
const NODES: u64 = 5_000_000;

/// One problem of the file.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Instance {
    /// Profit of each agent for each job.
    pub profits: Vec<Vec<i64>>,
    /// What each agent needs for each job.
    pub resources: Vec<Vec<i64>>,
    /// What each agent has.
    pub capacities: Vec<i64>,
}

/// The largest profit found, and whether it is proven.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Solved {
    /// The profit, if any assignment was found.
    pub value: Option<i64>,
    /// Whether none is larger.
    pub proven: bool,
    /// The nodes it took.
    pub nodes: u64,
}

/// Solves every problem of the file and prints what came of them.
pub fn run(file: &Path) -> Result<()> {
    let text = std::fs::read_to_string(file).with_context(|| format!("{} cannot be read", file.display()))?;
    let problems: Vec<Value> = read(&text)?
        .iter()
        .map(|instance| {
            let (solved, wall_ms) = timed(|| best(instance));
            json!({ "value": solved.value, "proven": solved.proven, "wall_ms": wall_ms, "nodes": solved.nodes })
        })
        .collect();
    console::print(&json!({ "problems": problems }).to_string());
    Ok(())
}

/// What a piece of work gave, and the milliseconds it took.
#[expect(
    clippy::disallowed_methods,
    reason = "the wall clock is what this chore reports; nothing is decided by it"
)]
fn timed<T>(work: impl FnOnce() -> T) -> (T, f64) {
    let start = std::time::Instant::now();
    let done = work();
    (done, start.elapsed().as_secs_f64() * 1e3)
}

/// Reads the problems of a file.
pub fn read(text: &str) -> Result<Vec<Instance>> {
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
pub fn best(instance: &Instance) -> Solved {
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
    let effort = Effort { nodes: NODES, below: most.saturating_add(1), enough: i64::MIN };
    let answer = solve(&problem, &effort, None, &Unwatched);
    Solved {
        value: answer.best.map(|choice| most - choice.cost),
        proven: answer.end == End::Complete,
        nodes: answer.nodes,
    }
}

/// The whole numbers of the text, in order.
struct Numbers<'a>(std::str::SplitWhitespace<'a>);

impl Numbers<'_> {
    fn next(&mut self) -> Result<i64> {
        let Some(word) = self.0.next() else { bail!("the file ends too early") };
        let number: i64 = word.parse().with_context(|| format!("`{word}` is no whole number"))?;
        if number < 0 {
            bail!("`{word}` is below nought");
        }
        Ok(number)
    }

    fn count(&mut self) -> Result<usize> {
        Ok(usize::try_from(self.next()?)?)
    }

    fn row(&mut self, length: usize) -> Result<Vec<i64>> {
        (0..length).map(|_| self.next()).collect()
    }

    fn table(&mut self, rows: usize, length: usize) -> Result<Vec<Vec<i64>>> {
        (0..rows).map(|_| self.row(length)).collect()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_layout_is_read() {
        let read = read("1\n2 3\n1 2 3\n4 5 6\n1 1 1\n1 1 1\n2 1\n").unwrap();
        assert_eq!(read.len(), 1);
        assert_eq!(read[0].capacities, [2, 1]);
        // The second agent takes one job at a gain of three over the first, whichever it is.
        assert_eq!(
            best(&read[0]),
            Solved { value: Some(1 + 2 + 6), proven: true, nodes: best(&read[0]).nodes }
        );
    }

    #[test]
    fn what_is_cut_off_or_no_number_is_refused() {
        assert!(read("1 2 3 1 2").unwrap_err().to_string().contains("ends too early"));
        assert!(read("1 x").unwrap_err().to_string().contains("`x` is no whole number"));
    }

    #[test]
    fn what_cannot_be_has_no_value_and_says_so() {
        let none = Instance { profits: vec![vec![1, 1]], resources: vec![vec![2, 2]], capacities: vec![3] };
        let solved = best(&none);
        assert_eq!((solved.value, solved.proven), (None, true));
    }
}

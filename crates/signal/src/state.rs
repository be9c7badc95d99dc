//! One switching state: every section solved by the walk, rings by nodal analysis, and put together in order.

use std::collections::{BTreeMap, BTreeSet};
use std::f64::consts::TAU;
use std::rc::Rc;

use crate::budget::{Budget, WHOLE};
use crate::complex::Complex;
use crate::ladder::{Row, Sweep};
use crate::model::{Circuit, EARTH, Model, Node, Stage, SwitchChoice, Terminal};
use crate::nodal::Ordered;
use crate::section::{Driver, Edge, Leaf, StageRef, Walker};

/// From a driver to a node where something listens, in one state.
#[derive(Debug, Clone)]
pub(crate) struct Link {
    pub(crate) leaf: Leaf,
    pub(crate) node: Node,
    /// Voltage at the node for 1 V at the driver.
    pub(crate) transfer: Vec<Complex>,
    /// Impedance from the node to earth with all drivers at nought.
    pub(crate) impedance: Impedance,
}

/// An impedance at every frequency, not worked out before it is asked for.
#[derive(Debug, Clone)]
pub(crate) enum Impedance {
    /// From the row of a walk.
    Row(Row),
    /// At a node of a circuit of its own, for nodal analysis.
    Probed(Rc<Circuit>, Node),
}

impl Impedance {
    /// Its real part at every frequency, what makes noise.
    pub(crate) fn real(&self, sweep: &Sweep) -> Vec<f64> {
        match self {
            Self::Row(row) => (0..sweep.len()).map(|k| row.impedance(k).re).collect(),
            Self::Probed(circuit, node) => {
                let found = probed(circuit, *node, &[*node], sweep, None);
                found.and_then(|mut all| all.pop()).unwrap_or_else(|| vec![0.0; sweep.len()])
            }
        }
    }
}

/// What a known resistance is in ohms through which a node is driven.
const PROBE: f64 = 100e3;

/// The real parts of the impedances from a node of a passive circuit to some nodes, with its source at zero; those to the node
/// itself too. `None` where there is no answer, or none within a budget.
fn probed(
    circuit: &Circuit,
    node: Node,
    nodes: &[Node],
    sweep: &Sweep,
    budget: Option<&Budget>,
) -> Option<Vec<Vec<f64>>> {
    let mut probe = circuit.clone();
    probe.sources.push(Terminal { id: String::new(), node: probe.nodes.len() });
    probe.nodes.push(String::new());
    probe.elements.push(crate::model::Element {
        name: String::new(),
        a: probe.nodes.len() - 1,
        b: node,
        part: crate::model::Part::Resistor(PROBE),
    });
    let asked: Vec<Node> = std::iter::once(node).chain(nodes.iter().copied()).collect();
    let ordered = match budget {
        Some(budget) => affordable(&probe, sweep, budget)?,
        None => Ordered::new(&probe),
    };
    let values = ordered.sweep(1, &sweep.hertz, &asked)?;
    let (own, others) = values.split_first()?;
    // The current that comes in is what the resistance lets through.
    let at = |(value, own): (&Complex, &Complex)| (*value / (Complex::ONE - *own)).times(PROBE).re;
    Some(others.iter().map(|values| values.iter().zip(own).map(at).collect()).collect())
}

/// The real parts of the impedances between some nodes of the section behind a driven node, in a state: of each to each.
pub(crate) fn mutual(
    model: &Model,
    state: &[u8],
    driver: Node,
    nodes: &[Node],
    sweep: &Sweep,
    budget: &Budget,
) -> Option<Vec<Vec<Vec<f64>>>> {
    if !budget.spend(crate::budget::passes(model, 20)) {
        return None;
    }
    let (part, number) = section_alone(&model.circuit(state), driver);
    let inner: Vec<Node> = nodes.iter().map(|node| number.get(node).copied()).collect::<Option<_>>()?;
    inner.iter().map(|node| probed(&part, *node, &inner, sweep, Some(budget))).collect()
}

/// What one state does to the EMF of one source.
#[derive(Debug, Clone)]
pub(crate) struct Answer {
    /// Voltages of the nodes where something listens, for 1 V of EMF.
    pub(crate) voltages: BTreeMap<Node, Vec<Complex>>,
    /// The sections, in the order signal passes them, where there is one; none where the whole was solved at once.
    pub(crate) sections: Vec<(Driver, Rc<[Link]>)>,
    /// Whether stages feed back, so that the sections have no order.
    pub(crate) feeds_back: bool,
}

impl Answer {
    /// The voltage at a sink; `None` when nothing gets there.
    pub(crate) fn sink(&self, model: &Model, sink: usize) -> Option<&Vec<Complex>> {
        self.voltages.get(&model.sinks[sink].node)
    }

    /// The same where anything is heard of it.
    pub(crate) fn heard(&self, model: &Model, sink: usize) -> Option<&Vec<Complex>> {
        self.sink(model, sink).filter(|values| is_heard(values))
    }
}

/// Voltages below this share of the EMF are silence: what a volt leaves of itself, a microvolt, drowns in the noise of any
/// pickup, and what rounding leaves where branches cancel lies far below.
pub(crate) const SILENT: f64 = 1e-6;

/// Whether anything is heard at any frequency.
pub(crate) fn is_heard(values: &[Complex]) -> bool {
    values.iter().any(|value| SILENT * SILENT < value.square())
}

/// The same by losses of power.
pub(crate) fn is_lost(losses: &[f64]) -> bool {
    losses.iter().all(|loss| 1.0 / (SILENT * SILENT) <= *loss)
}

/// The voltages that a source makes in a state; `None` when the network has no unique answer, or none within the budget.
pub(crate) fn solve(
    model: &Model,
    state: &[u8],
    source: usize,
    sweep: &Sweep,
    budget: &Budget,
) -> Option<Answer> {
    // One state keeps nothing for another.
    Solver { keeps: false, ..Solver::new(model, sweep, budget) }.solve(state, source)
}

/// What lies behind a driver, for the positions of the switches that it depends on, as [`Behind::code`] writes them.
pub(crate) type Known = BTreeMap<(Driver, u64), Rc<[Link]>>;

/// Links that are kept at most; what comes after them is worked out anew each time. One takes about 10 kB.
const MOST_KEPT: usize = 4096;

/// The switches that what lies behind a driver depends on.
#[derive(Debug, Clone)]
pub(crate) struct Behind {
    pub(crate) switches: Vec<usize>,
    /// How many positions each of them has.
    sizes: Vec<u64>,
}

impl Behind {
    pub(crate) fn new(walker: &Walker<'_>, driver: Driver) -> Self {
        let switches: Vec<usize> = walker.behind(driver).0.into_iter().collect();
        let count = |switch: &usize| walker.model.switches[*switch].positions.len().max(1);
        let sizes = switches.iter().map(|switch| u64::try_from(count(switch)).unwrap_or(u64::MAX)).collect();
        Self { switches, sizes }
    }

    /// Their positions in a state as one number; `None` where there are too many for one.
    pub(crate) fn code(&self, state: &[u8]) -> Option<u64> {
        let positions = self.switches.iter().map(|switch| u64::from(state[*switch]));
        positions
            .zip(&self.sizes)
            .try_fold(0u64, |code, (position, size)| code.checked_mul(*size)?.checked_add(position))
    }
}

/// Solves states of one model at one sweep. What lies behind a driver is worked out once for each position of the switches
/// there, so that many states cost little more than putting it together.
pub(crate) struct Solver<'a> {
    walker: Walker<'a>,
    sweep: &'a Sweep,
    budget: &'a Budget,
    behind: BTreeMap<Driver, Behind>,
    known: Known,
    /// Whether what was worked out is kept for the next state.
    keeps: bool,
    kept: usize,
    put_together: u64,
}

/// A driver that a state reaches, and what lies behind it.
struct Met {
    driver: Driver,
    links: Rc<[Link]>,
}

impl<'a> Solver<'a> {
    pub(crate) fn new(model: &'a Model, sweep: &'a Sweep, budget: &'a Budget) -> Self {
        Self {
            walker: Walker::keeping_rows(model).within(budget),
            sweep,
            budget,
            behind: BTreeMap::new(),
            known: Known::new(),
            keeps: true,
            kept: 0,
            put_together: 0,
        }
    }

    /// The same, knowing some of it already.
    #[must_use]
    pub(crate) fn knowing(self, known: Known) -> Self {
        let kept = known.values().map(|links| links.len()).sum();
        Self { known, kept, ..self }
    }

    pub(crate) fn sweep(&self) -> &'a Sweep {
        self.sweep
    }

    pub(crate) fn budget(&self) -> &'a Budget {
        self.budget
    }

    /// Steps that the last state took to be put together from what lies behind its drivers.
    pub(crate) fn least_cost(&self) -> u64 {
        self.put_together
    }

    /// The stage that a driver or leaf names.
    pub(crate) fn stage(&self, stage: StageRef) -> &'a Stage {
        self.walker.stage(stage)
    }

    /// The voltages that the EMF of a source makes in a state.
    pub(crate) fn solve(&mut self, state: &[u8], source: usize) -> Option<Answer> {
        self.between(state, Driver::Source(source), None)
    }

    /// The voltages that 1 V of one driver makes in a state, as far as the stage where it ends.
    ///
    /// `None` when the network has no unique answer, or the budget is spent.
    pub(crate) fn between(&mut self, state: &[u8], start: Driver, stop: Option<StageRef>) -> Option<Answer> {
        let mut met: Vec<Met> = Vec::new();
        let mut open = vec![start];
        while let Some(driver) = open.pop() {
            if met.iter().any(|other| other.driver == driver) {
                continue;
            }
            let links = match self.links(state, driver) {
                Found::Links(links) => links,
                Found::TooMany => return whole(self.walker.model, state, start, self.sweep, self.budget),
                Found::None => return None,
            };
            open.extend(links.iter().filter_map(|link| match link.leaf {
                Leaf::Stage(stage) if stop != Some(stage) => Some(Driver::Stage(stage)),
                _ => None,
            }));
            met.push(Met { driver, links });
        }
        // Looking each of them up costs as much as two links do.
        let links = met.iter().map(|met| met.links.len() + 2).sum();
        self.put_together = crate::budget::steps(links, self.sweep.len());
        if !self.budget.spend(self.put_together) {
            return None;
        }
        match in_order(&met) {
            Some(order) => Some(self.along(&met, &order)),
            None => self.around(&met),
        }
    }

    /// What lies behind a driver in a state.
    fn links(&mut self, state: &[u8], driver: Driver) -> Found {
        let key = if self.keeps {
            let behind = self.behind.entry(driver).or_insert_with(|| Behind::new(&self.walker, driver));
            behind.code(state).map(|code| (driver, code))
        } else {
            None
        };
        if let Some(links) = key.and_then(|key| self.known.get(&key)) {
            return Found::Links(Rc::clone(links));
        }
        let section = self.walker.section(driver, &SwitchChoice::all_of(state), self.sweep);
        if section.cut_short {
            return if self.budget.is_spent() { Found::None } else { Found::TooMany };
        }
        let model = self.walker.model;
        let links: Rc<[Link]> = if section.ring {
            let node = self.walker.node_of(driver);
            let Some(links) = ring(model, state, node, self.sweep, self.budget) else { return Found::None };
            links
        } else {
            let link = |edge: Edge| {
                let row = edge.row?;
                let transfer = row.voltages();
                Some(Link { leaf: edge.leaf, node: edge.node, transfer, impedance: Impedance::Row(row) })
            };
            section.edges.into_iter().filter_map(link).collect()
        };
        if let Some(key) = key.filter(|_| self.kept + links.len() <= MOST_KEPT) {
            self.kept += links.len();
            self.known.insert(key, Rc::clone(&links));
        }
        Found::Links(links)
    }

    /// Every section in its turn, where none feeds one before it.
    fn along(&self, met: &[Met], order: &[usize]) -> Answer {
        let size = self.sweep.len();
        let mut voltages: BTreeMap<Node, Vec<Complex>> = BTreeMap::new();
        let mut sections = Vec::with_capacity(met.len());
        for at in order {
            let Met { driver, links } = &met[*at];
            // The first that was met is what drives it all.
            let drive: Vec<Complex> = match driver {
                Driver::Stage(stage) if *at != 0 => {
                    let stage = self.stage(*stage);
                    let mut sum = vec![Complex::ZERO; size];
                    for input in stage.inputs.iter().filter_map(|input| voltages.get(input)) {
                        for (sum, value) in sum.iter_mut().zip(input) {
                            *sum = *sum + *value;
                        }
                    }
                    for (sum, hertz) in sum.iter_mut().zip(&self.sweep.hertz) {
                        *sum = *sum * stage.transfer(TAU * hertz);
                    }
                    sum
                }
                _ => vec![Complex::ONE; size],
            };
            for link in distinct(links) {
                let at = voltages.entry(link.node).or_insert_with(|| vec![Complex::ZERO; size]);
                for ((at, drive), transfer) in at.iter_mut().zip(&drive).zip(&link.transfer) {
                    *at = *at + *drive * *transfer;
                }
            }
            sections.push((*driver, Rc::clone(links)));
        }
        Answer { voltages, sections, feeds_back: false }
    }

    /// Where stages feed back: what drives each section is what arrives at its inputs, all of them at once, one linear
    /// equation for each.
    fn around(&self, met: &[Met]) -> Option<Answer> {
        let (count, size) = (met.len(), self.sweep.len());
        let cost = u64::try_from(count * count * (count + 6)).unwrap_or(u64::MAX) / 8;
        if !self.budget.spend(cost.saturating_mul(u64::try_from(size).unwrap_or(u64::MAX))) {
            return None;
        }
        let mut nodes: BTreeMap<Node, Vec<(usize, &[Complex])>> = BTreeMap::new();
        for (at, met) in met.iter().enumerate() {
            for link in distinct(&met.links) {
                nodes.entry(link.node).or_default().push((at, &link.transfer));
            }
        }
        // What arrives at each stage, by what it comes from.
        let mut arriving: Vec<(usize, &Stage, usize, &[Complex])> = Vec::new();
        for (at, met) in met.iter().enumerate().skip(1) {
            let Driver::Stage(stage) = met.driver else { continue };
            let stage = self.stage(stage);
            let inputs = stage.inputs.iter().filter_map(|node| nodes.get(node)).flatten();
            arriving.extend(inputs.map(|(from, values)| (at, stage, *from, *values)));
        }
        let mut voltages: BTreeMap<Node, Vec<Complex>> =
            nodes.keys().map(|node| (*node, Vec::with_capacity(size))).collect();
        let width = count + 1;
        let mut rows = vec![Complex::ZERO; count * width];
        for (k, hertz) in self.sweep.hertz.iter().enumerate() {
            rows.fill(Complex::ZERO);
            (0..count).for_each(|at| rows[at * width + at] = Complex::ONE);
            rows[count] = Complex::ONE;
            for (at, stage, from, values) in &arriving {
                let entry = &mut rows[at * width + from];
                *entry = *entry - stage.transfer(TAU * hertz) * values[k];
            }
            let drives = eliminate(&mut rows, count)?;
            for (values, from) in voltages.values_mut().zip(nodes.values()) {
                values.push(from.iter().fold(Complex::ZERO, |sum, (at, of)| sum + drives[*at] * of[k]));
            }
        }
        voltages.retain(|_, values| values.iter().any(|value| value.square() > 0.0));
        let sections = met.iter().map(|met| (met.driver, Rc::clone(&met.links))).collect();
        Some(Answer { voltages, sections, feeds_back: true })
    }
}

/// What stages do in a state that no source reaches: an answer for each group of them, for 1 V at one of its stages. `met` are
/// the drivers that are known already.
pub(crate) fn unreached(
    model: &Model,
    state: &[u8],
    mut met: BTreeSet<Driver>,
    sweep: &Sweep,
    budget: &Budget,
) -> Vec<Answer> {
    let mut solver = Solver::new(model, sweep, budget);
    let mut out = Vec::new();
    let stages = listeners(model, state).into_iter().filter_map(|(leaf, _)| match leaf {
        Leaf::Stage(stage) => Some(Driver::Stage(stage)),
        Leaf::Sink(_) => None,
    });
    for driver in stages {
        if met.contains(&driver) || budget.is_spent() {
            continue;
        }
        let Some(answer) = solver.between(state, driver, None) else { continue };
        met.extend(answer.sections.iter().map(|(driver, _)| *driver));
        out.push(answer);
    }
    out
}

/// What lies behind a driver in a state.
enum Found {
    Links(Rc<[Link]>),
    /// More than the walk can list.
    TooMany,
    /// No unique answer, or none within the budget.
    None,
}

/// One link for each node.
fn distinct(links: &[Link]) -> impl Iterator<Item = &Link> {
    links
        .iter()
        .enumerate()
        .filter(|(at, link)| links[..*at].iter().all(|before| before.node != link.node))
        .map(|(_, link)| link)
}

/// Solves equations, one row each with the right side last, by the largest pivot; `None` where there is no unique answer.
fn eliminate(rows: &mut [Complex], count: usize) -> Option<Vec<Complex>> {
    let width = count + 1;
    for at in 0..count {
        let size = |row: usize, rows: &[Complex]| rows[row * width + at].square();
        let best = (at..count).max_by(|a, b| size(*a, rows).total_cmp(&size(*b, rows)))?;
        if best != at {
            (0..width).for_each(|column| rows.swap(at * width + column, best * width + column));
        }
        if size(at, rows) <= 0.0 {
            return None;
        }
        let over = rows[at * width + at].inverse();
        for other in at + 1..count {
            if size(other, rows) <= 0.0 {
                continue;
            }
            let factor = rows[other * width + at] * over;
            for column in at + 1..width {
                rows[other * width + column] =
                    rows[other * width + column] - factor * rows[at * width + column];
            }
        }
    }
    let mut out = vec![Complex::ZERO; count];
    for at in (0..count).rev() {
        let known = (at + 1..count).map(|column| rows[at * width + column] * out[column]);
        out[at] = known.fold(rows[at * width + count], |sum, value| sum - value) / rows[at * width + at];
    }
    out.iter().all(|value| value.re.is_finite() && value.im.is_finite()).then_some(out)
}

/// Drivers so that each comes after all that feed it, the first one first; `None` where stages feed back.
fn in_order(met: &[Met]) -> Option<Vec<usize>> {
    let at = |leaf: Leaf| match leaf {
        Leaf::Stage(stage) => met.iter().position(|met| met.driver == Driver::Stage(stage)),
        Leaf::Sink(_) => None,
    };
    let after: Vec<Vec<usize>> =
        met.iter().map(|met| met.links.iter().filter_map(|link| at(link.leaf)).collect()).collect();
    let mut waits = vec![0usize; met.len()];
    after.iter().flatten().for_each(|next| waits[*next] += 1);
    if waits.first().copied() != Some(0) {
        return None;
    }
    let (mut ready, mut out) = (vec![0], Vec::with_capacity(met.len()));
    while let Some(driver) = ready.pop() {
        out.push(driver);
        for next in &after[driver] {
            waits[*next] -= 1;
            if waits[*next] == 0 {
                ready.push(*next);
            }
        }
    }
    (out.len() == met.len()).then_some(out)
}

/// What listens in a state: stages by their input nodes, and sinks.
fn listeners(model: &Model, state: &[u8]) -> Vec<(Leaf, Node)> {
    let mut out = Vec::new();
    for (index, stage) in model.fixed.stages.iter().enumerate() {
        let leaf = Leaf::Stage(StageRef { variant: None, index });
        out.extend(stage.inputs.iter().map(|input| (leaf, *input)));
    }
    for (block, one) in model.blocks.iter().enumerate() {
        let position = state[one.switch];
        let Some(variant) = one.variants.get(usize::from(position)) else { continue };
        for (index, stage) in variant.stages.iter().enumerate() {
            let leaf = Leaf::Stage(StageRef { variant: Some((block, position)), index });
            out.extend(stage.inputs.iter().map(|input| (leaf, *input)));
        }
    }
    out.extend(model.sinks.iter().enumerate().map(|(index, sink)| (Leaf::Sink(index), sink.node)));
    out
}

/// A section with a ring of passive elements: nodal analysis of that section alone.
pub(crate) fn ring(
    model: &Model,
    state: &[u8],
    driver: Node,
    sweep: &Sweep,
    budget: &Budget,
) -> Option<Rc<[Link]>> {
    let circuit = model.circuit(state);
    let (part, number) = section_alone(&circuit, driver);
    let here: Vec<(Leaf, Node)> =
        listeners(model, state).into_iter().filter(|(_, node)| number.contains_key(node)).collect();
    let nodes: Vec<Node> = here.iter().map(|(_, node)| number[node]).collect();
    let transfers = affordable(&part, sweep, budget)?.sweep(0, &sweep.hertz, &nodes)?;
    let part = Rc::new(part);
    let links = here
        .iter()
        .zip(transfers)
        .map(|((leaf, node), transfer)| Link {
            leaf: *leaf,
            node: *node,
            transfer,
            impedance: Impedance::Probed(Rc::clone(&part), number[node]),
        })
        .collect();
    Some(links)
}

/// The passive network behind a driven node, with what each node of the whole is called in it.
fn section_alone(circuit: &Circuit, driver: Node) -> (Circuit, BTreeMap<Node, Node>) {
    let mut driven: BTreeSet<Node> = circuit.sources.iter().map(|terminal| terminal.node).collect();
    driven.extend(circuit.stages.iter().map(|stage| stage.output));
    let mut at: BTreeMap<Node, Vec<usize>> = BTreeMap::new();
    for (index, element) in circuit.elements.iter().enumerate() {
        at.entry(element.a).or_default().push(index);
        at.entry(element.b).or_default().push(index);
    }
    let mut number: BTreeMap<Node, Node> = BTreeMap::from([(driver, 1)]);
    let mut open = vec![driver];
    while let Some(node) = open.pop() {
        for element in at.get(&node).into_iter().flatten().map(|index| &circuit.elements[*index]) {
            let there = if element.a == node { element.b } else { element.a };
            if there != EARTH && !driven.contains(&there) && !number.contains_key(&there) {
                number.insert(there, number.len() + 1);
                open.push(there);
            }
        }
    }
    let inner = |node: Node| number.get(&node).copied();
    let mut part = Circuit {
        nodes: vec![String::new(); number.len() + 1],
        elements: Vec::new(),
        stages: Vec::new(),
        sources: vec![Terminal { id: String::new(), node: 1 }],
        sinks: Vec::new(),
    };
    for element in &circuit.elements {
        let (a, b) = (inner(element.a), inner(element.b));
        if a.is_some() || b.is_some() {
            // What is not of this section is earth or another driven node, and that is earth here.
            part.elements.push(crate::model::Element {
                a: a.unwrap_or(EARTH),
                b: b.unwrap_or(EARTH),
                ..element.clone()
            });
        }
    }
    (part, number)
}

/// A circuit in its order of elimination, where the budget allows its sweep.
fn affordable<'a>(circuit: &'a Circuit, sweep: &Sweep, budget: &Budget) -> Option<Ordered<'a>> {
    let size = u64::try_from(circuit.nodes.len()).unwrap_or(u64::MAX);
    // A list of every element, and for the order a few sets of each node's neighbours.
    if !budget.spend(size.saturating_mul(600)) {
        return None;
    }
    let ordered = Ordered::new(circuit);
    budget.spend(ordered.work_of(sweep.len())).then_some(ordered)
}

/// A network beyond the walk: nodal analysis of the whole.
fn whole(model: &Model, state: &[u8], start: Driver, sweep: &Sweep, budget: &Budget) -> Option<Answer> {
    let Driver::Source(source) = start else { return None };
    let circuit = model.circuit(state);
    let nodes: BTreeSet<Node> = listeners(model, state).into_iter().map(|(_, node)| node).collect();
    let nodes: Vec<Node> = nodes.into_iter().collect();
    let values = affordable(&circuit, sweep, budget)?.sweep(source, &sweep.hertz, &nodes)?;
    let voltages = nodes
        .into_iter()
        .zip(values)
        .filter(|(_, values)| values.iter().any(|value| value.square() > 0.0))
        .collect();
    Some(Answer { voltages, sections: Vec::new(), feeds_back: false })
}

/// The response from a source to a sink of a model in one state, by number; `None` when nothing arrives.
pub fn respond(
    model: &Model,
    state: &[u8],
    source: usize,
    sink: usize,
    sweep: &Sweep,
) -> Option<Vec<Complex>> {
    solve(model, state, source, sweep, &Budget::new(WHOLE))?
        .sink(model, sink)
        .filter(|values| values.iter().any(|value| value.square() > 0.0))
        .cloned()
}

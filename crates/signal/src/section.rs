//! Sections: everything passive between one driven node and the places that listen, in all switch positions.
//!
//! From a driven node (an EMF or the output of a stage) the walk goes along elements. Where it meets a block whose
//! switch is still open it tries each position in turn. Stage inputs and sinks are leaves: each one reached under
//! one set of choices is an [`Edge`] with its own response. What branches off on the way is a side branch and
//! counts as an admittance, in each of its own positions. The walk carries the row of the chain matrix, so that
//! all edges of a string of n devices cost n steps for each of its n drivers.

use std::collections::BTreeSet;

use smallvec::{SmallVec, smallvec};

use crate::budget::{Budget, steps as cost};
use crate::ladder::{Admittance, Row, Rung, Shunt, Sweep};
use crate::model::{EARTH, Element, Model, Node, Part, SwitchChoice, Variant};

/// Where a stage is: the fixed variant (`None`) or a block's, and its place in the list.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) struct StageRef {
    pub(crate) variant: Option<(usize, u8)>,
    pub(crate) index: usize,
}

/// What drives a section.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) enum Driver {
    /// The EMF of a source, by its number.
    Source(usize),
    /// A gain stage.
    Stage(StageRef),
}

/// What listens at the end of an edge.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub(crate) enum Leaf {
    /// An input of a stage.
    Stage(StageRef),
    /// A sink, by its number.
    Sink(usize),
}

/// The way from a driver to one leaf under one set of choices.
#[derive(Debug, Clone)]
pub(crate) struct Edge {
    pub(crate) leaf: Leaf,
    /// The node where the leaf listens.
    pub(crate) node: Node,
    /// The switches met in this section, in the order they were met.
    pub(crate) choices: Vec<SwitchChoice>,
    /// Other driven nodes that hang on this section, taken as earth.
    pub(crate) others: Vec<Node>,
    /// The turns of the transformers that it passes, primary over secondary; 1 where there is none.
    pub(crate) turns: f64,
    /// The row at the leaf with every load applied, where it was asked for: the voltage there is 1/a.
    pub(crate) row: Option<Row>,
    /// |a|² for every frequency, where the row was not asked for.
    pub(crate) loss: Vec<f64>,
}

/// All edges of one driver.
#[derive(Debug, Clone, Default)]
pub(crate) struct Section {
    pub(crate) edges: Vec<Edge>,
    /// Whether passive elements close a ring: the edges are then no answer.
    pub(crate) ring: bool,
    /// Whether the walk parted, so that two leaves may be reached at once.
    pub(crate) branched: bool,
    /// Whether there were too many to list.
    pub(crate) cut_short: bool,
}

/// No section lists more edges than this, nor more choices for its side branches: 2¹².
pub(crate) const MOST_COMBINATIONS: usize = 1 << 12;

/// What one side branch costs in one of its positions, in elements: a copy of its admittance, and a division.
const SIDE: usize = 12;

/// The walk gives up below this many turns; it stands for a few hundred devices in one string.
const DEEPEST: usize = 900;

/// Which element the walk came through: variant and place.
type ElementRef = (Option<(usize, u8)>, usize);

#[derive(Debug, Clone, Copy)]
struct Step {
    element: ElementRef,
    to: Node,
    part: Part,
}

/// The ways on from a node: mostly one, two where they part.
type Steps = SmallVec<[Step; 2]>;

/// What touches a node.
#[derive(Debug, Clone, Default)]
struct Touch {
    /// Elements of the fixed variant.
    elements: Vec<usize>,
    /// Stages of the fixed variant that listen here.
    stages: Vec<usize>,
    /// Blocks with anything here.
    blocks: Vec<usize>,
    sinks: Vec<usize>,
}

/// The walker: a model with an index of what touches each node.
pub(crate) struct Walker<'a> {
    pub(crate) model: &'a Model,
    touches: Vec<Touch>,
    /// Whether a node is driven: an EMF or the output of a stage.
    driven: Vec<bool>,
    /// Positions fixed for this walk.
    decided: Vec<Option<u8>>,
    chosen: Vec<SwitchChoice>,
    visited: Vec<bool>,
    others: Vec<Node>,
    /// The turns of the transformers passed so far.
    turns: f64,
    section: Section,
    depth: usize,
    /// Rows that are not in use, to be written over.
    spare: Vec<Row>,
    /// Whether edges keep their row.
    keep_rows: bool,
    /// What the walks may take; none where only names are looked up.
    budget: Option<&'a Budget>,
}

impl<'a> Walker<'a> {
    pub(crate) fn new(model: &'a Model) -> Self {
        let size = model.nodes.len();
        let mut touches = vec![Touch::default(); size];
        let mut driven = vec![false; size];
        for (index, element) in model.fixed.elements.iter().enumerate() {
            touches[element.a].elements.push(index);
            if element.b != element.a {
                touches[element.b].elements.push(index);
            }
        }
        for (index, stage) in model.fixed.stages.iter().enumerate() {
            driven[stage.output] = true;
            for input in &stage.inputs {
                touches[*input].stages.push(index);
            }
        }
        for (index, block) in model.blocks.iter().enumerate() {
            let mut nodes: Vec<Node> = Vec::new();
            for variant in &block.variants {
                nodes.extend(variant.elements.iter().flat_map(|element| [element.a, element.b]));
                for stage in &variant.stages {
                    driven[stage.output] = true;
                    nodes.extend(&stage.inputs);
                }
            }
            nodes.sort_unstable();
            nodes.dedup();
            for node in nodes {
                touches[node].blocks.push(index);
            }
        }
        for terminal in &model.sources {
            driven[terminal.node] = true;
        }
        for (index, terminal) in model.sinks.iter().enumerate() {
            touches[terminal.node].sinks.push(index);
        }
        Self {
            model,
            touches,
            driven,
            decided: vec![None; model.switches.len()],
            chosen: Vec::new(),
            visited: vec![false; size],
            others: Vec::new(),
            turns: 1.0,
            section: Section::default(),
            depth: 0,
            spare: Vec::new(),
            keep_rows: false,
            budget: None,
        }
    }

    /// The same within a budget: a walk that would go over it is cut short.
    #[must_use]
    pub(crate) fn within(self, budget: &'a Budget) -> Self {
        Self { budget: Some(budget), ..self }
    }

    /// Takes the work of so many elements; false, and the walk cut short, where it is not there.
    fn spend(&mut self, elements: usize, sweep: &Sweep) -> bool {
        let enough = self.budget.is_none_or(|budget| budget.spend(cost(elements, sweep.len())));
        self.section.cut_short |= !enough;
        enough
    }

    /// The same, with rows kept on every edge.
    pub(crate) fn keeping_rows(model: &'a Model) -> Self {
        Self { keep_rows: true, ..Self::new(model) }
    }

    /// The node of a driver.
    pub(crate) fn node_of(&self, driver: Driver) -> Node {
        match driver {
            Driver::Source(index) => self.model.sources[index].node,
            Driver::Stage(stage) => self.stage(stage).output,
        }
    }

    /// The switches that anything passive behind a driver may depend on, whatever their positions, and the other driven
    /// nodes that may hang there.
    pub(crate) fn behind(&self, driver: Driver) -> (BTreeSet<usize>, BTreeSet<Node>) {
        let start = self.node_of(driver);
        let mut seen = BTreeSet::from([start]);
        let (mut open, mut switches, mut others) = (vec![start], BTreeSet::new(), BTreeSet::new());
        while let Some(here) = open.pop() {
            let touch = &self.touches[here];
            let mut elements: Vec<&Element> =
                touch.elements.iter().map(|index| &self.model.fixed.elements[*index]).collect();
            for block in &touch.blocks {
                let block = &self.model.blocks[*block];
                switches.insert(block.switch);
                elements.extend(block.variants.iter().flat_map(|variant| &variant.elements));
            }
            for element in elements.iter().filter(|element| element.a == here || element.b == here) {
                let next = if element.a == here { element.b } else { element.a };
                if self.driven[next] && next != start {
                    others.insert(next);
                } else if next != EARTH && !self.driven[next] && seen.insert(next) {
                    open.push(next);
                }
            }
        }
        (switches, others)
    }

    /// A stage.
    pub(crate) fn stage(&self, stage: StageRef) -> &'a crate::model::Stage {
        &self.variant(stage.variant).stages[stage.index]
    }

    fn variant(&self, variant: Option<(usize, u8)>) -> &'a Variant {
        match variant {
            None => &self.model.fixed,
            Some((block, position)) => &self.model.blocks[block].variants[usize::from(position)],
        }
    }

    /// Every edge from a driver, with some switches held in a position beforehand.
    pub(crate) fn section(&mut self, driver: Driver, held: &[SwitchChoice], sweep: &Sweep) -> Section {
        self.section = Section::default();
        self.decided.iter_mut().for_each(|position| *position = None);
        self.visited.iter_mut().for_each(|seen| *seen = false);
        self.chosen.clear();
        self.others.clear();
        self.turns = 1.0;
        self.depth = 0;
        for SwitchChoice { switch, position } in held {
            self.decided[*switch] = Some(*position);
        }
        if let Driver::Stage(StageRef { variant: Some((block, position)), .. }) = driver {
            let switch = self.model.blocks[block].switch;
            self.decided[switch] = Some(position);
            // The section holds only in that position, whoever asks.
            self.chosen.push(SwitchChoice { switch, position });
        }
        let start = self.node_of(driver);
        self.trunk(start, None, &Row::start(sweep), sweep);
        std::mem::take(&mut self.section)
    }

    /// The first block at a node whose switch has no position yet.
    fn open_block(&self, node: Node) -> Option<usize> {
        self.touches[node]
            .blocks
            .iter()
            .copied()
            .find(|block| self.decided[self.model.blocks[*block].switch].is_none())
    }

    fn decide(&mut self, switch: usize, position: u8) {
        self.decided[switch] = Some(position);
        self.chosen.push(SwitchChoice { switch, position });
    }

    fn undo(&mut self, mark: usize) {
        while mark < self.chosen.len() {
            if let Some(SwitchChoice { switch, .. }) = self.chosen.pop() {
                self.decided[switch] = None;
            }
        }
    }

    fn positions(&self, block: usize) -> u8 {
        u8::try_from(self.model.blocks[block].variants.len()).unwrap_or(u8::MAX)
    }

    /// What hangs at a node with every switch there decided: loads to earth, and elements that lead on.
    fn around(&mut self, node: Node, came: Option<ElementRef>) -> (Shunt, Steps) {
        let mut shunt = Shunt::default();
        let mut steps = Steps::new();
        let model = self.model;
        for index in &self.touches[node].elements {
            sort(
                node,
                came,
                (None, *index),
                &model.fixed,
                &self.driven,
                &mut shunt,
                &mut steps,
                &mut self.others,
            );
        }
        for block in &self.touches[node].blocks {
            let Some(position) = self.decided[model.blocks[*block].switch] else { continue };
            let Some(variant) = model.blocks[*block].variants.get(usize::from(position)) else { continue };
            for index in 0..variant.elements.len() {
                let element = (Some((*block, position)), index);
                sort(node, came, element, variant, &self.driven, &mut shunt, &mut steps, &mut self.others);
            }
        }
        (shunt, steps)
    }

    /// What listens at a node with every switch there decided.
    fn leaves(&self, node: Node) -> SmallVec<[Leaf; 2]> {
        let touch = &self.touches[node];
        let mut out: SmallVec<[Leaf; 2]> = touch.sinks.iter().map(|sink| Leaf::Sink(*sink)).collect();
        out.extend(touch.stages.iter().map(|index| Leaf::Stage(StageRef { variant: None, index: *index })));
        for block in &touch.blocks {
            let Some(position) = self.decided[self.model.blocks[*block].switch] else { continue };
            let Some(variant) = self.model.blocks[*block].variants.get(usize::from(position)) else {
                continue;
            };
            for (index, stage) in variant.stages.iter().enumerate() {
                if stage.inputs.contains(&node) {
                    out.push(Leaf::Stage(StageRef { variant: Some((*block, position)), index }));
                }
            }
        }
        out
    }

    fn trunk(&mut self, node: Node, came: Option<ElementRef>, row: &Row, sweep: &Sweep) {
        self.depth += 1;
        if DEEPEST < self.depth || MOST_COMBINATIONS < self.section.edges.len() || !self.spend(1, sweep) {
            self.section.cut_short = true;
        } else if self.visited[node] {
            self.section.ring = true;
        } else {
            let (mut passed, others, turns) = (SmallVec::new(), self.others.len(), self.turns);
            self.trunk_on(node, came, row, sweep, &mut passed);
            for node in passed {
                self.visited[node] = false;
            }
            self.others.truncate(others);
            self.turns = turns;
        }
        self.depth -= 1;
    }

    /// Goes on along the trunk as long as there is one way, gathering rungs; parts where there are more.
    fn trunk_on(
        &mut self,
        mut node: Node,
        mut came: Option<ElementRef>,
        row: &Row,
        sweep: &Sweep,
        passed: &mut SmallVec<[Node; 8]>,
    ) {
        let mut rungs: SmallVec<[Rung; 12]> = smallvec![];
        loop {
            if let Some(block) = self.open_block(node) {
                let mut here = self.spare.pop().unwrap_or_default();
                row.after(&rungs, sweep, &mut here);
                let (switch, positions) = (self.model.blocks[block].switch, self.positions(block));
                for position in 0..positions {
                    let mark = self.chosen.len();
                    self.decide(switch, position);
                    self.trunk(node, came, &here, sweep);
                    self.undo(mark);
                }
                self.spare.push(here);
                return;
            }
            let (shunt, steps) = self.around(node, came);
            if !self.spend(2, sweep) {
                return;
            }
            let leaves = self.leaves(node);
            self.visited[node] = true;
            passed.push(node);
            match (leaves.as_slice(), steps.as_slice()) {
                ([], []) => return,
                ([], [only]) => {
                    rungs.extend([Rung::Shunt(shunt), Rung::Series(only.part)]);
                    if self.visited[only.to] {
                        self.section.ring = true;
                        return;
                    }
                    self.pass(only.part);
                    (node, came) = (only.to, Some(only.element));
                }
                ([only], []) if !self.keep_rows => {
                    let mut spare = self.spare.pop().unwrap_or_default();
                    let loss = row.loss_after(&rungs, shunt, sweep, &mut spare);
                    self.spare.push(spare);
                    self.emit(*only, node, None, loss);
                    return;
                }
                _ => {
                    rungs.push(Rung::Shunt(shunt));
                    let mut row = row.clone();
                    row.along(&rungs, sweep);
                    self.part(node, &leaves, &steps, &row, sweep);
                    return;
                }
            }
        }
    }

    /// Counts the turns of a part that is passed.
    fn pass(&mut self, part: Part) {
        if let Part::Transformer { turns, .. } = part {
            self.turns *= turns;
        }
    }

    fn emit(&mut self, leaf: Leaf, node: Node, row: Option<Row>, loss: Vec<f64>) {
        let (choices, others) = (self.chosen.clone(), self.others.clone());
        self.section.edges.push(Edge { leaf, node, choices, others, turns: self.turns, row, loss });
    }

    /// Where something listens or ways part: each leaf and each way on, with all the rest as side branches.
    fn part(&mut self, node: Node, leaves: &[Leaf], steps: &[Step], row: &Row, sweep: &Sweep) {
        let leading: Vec<bool> =
            steps.iter().map(|step| self.leads_somewhere(node, step.to, sweep)).collect();
        if 1 < leading.iter().filter(|leads| **leads).count() + leaves.len() {
            self.section.branched = true;
        }
        if !leaves.is_empty() {
            self.with_sides(steps, None, row.clone(), sweep, &mut |walker, row| {
                for leaf in leaves {
                    let loss = if walker.keep_rows { Vec::new() } else { row.loss() };
                    let kept = walker.keep_rows.then(|| row.clone());
                    walker.emit(*leaf, node, kept, loss);
                }
            });
        }
        for (index, step) in steps.iter().enumerate() {
            if !leading[index] {
                continue;
            }
            self.with_sides(steps, Some(index), row.clone(), sweep, &mut |walker, mut row| {
                row.along(&[Rung::Series(step.part)], sweep);
                let turns = walker.turns;
                walker.pass(step.part);
                walker.trunk(step.to, Some(step.element), &row, sweep);
                walker.turns = turns;
            });
        }
    }

    /// Whether anything but fixed elements to earth lies beyond `to`, coming from `node`: else it only loads.
    fn leads_somewhere(&mut self, node: Node, to: Node, sweep: &Sweep) -> bool {
        let mut seen = BTreeSet::from([node, to]);
        let mut open = vec![to];
        let mut found = false;
        while let Some(here) = open.pop() {
            let touch = &self.touches[here];
            if !(touch.stages.is_empty() && touch.blocks.is_empty() && touch.sinks.is_empty()) {
                found = true;
                break;
            }
            for index in &touch.elements {
                let element = &self.model.fixed.elements[*index];
                for next in [element.a, element.b] {
                    if next != EARTH && !self.driven[next] && seen.insert(next) {
                        open.push(next);
                    }
                }
            }
        }
        self.spend(seen.len() / 4, sweep);
        found
    }

    /// Goes on once for each combination of what the steps other than `onward` may be, with their load applied.
    fn with_sides(
        &mut self,
        steps: &[Step],
        onward: Option<usize>,
        row: Row,
        sweep: &Sweep,
        go_on: &mut dyn FnMut(&mut Self, Row),
    ) {
        let Some((first, rest)) = steps.split_first() else {
            go_on(self, row);
            return;
        };
        let next = onward.and_then(|index| index.checked_sub(1));
        if onward == Some(0) {
            // Steps after the onward one are sides too; nothing is onward among them.
            self.with_sides(rest, None, row, sweep, go_on);
            return;
        }
        for (mut y, choices, others) in self.side(first.to, first.element, sweep) {
            if !self.spend(SIDE + choices.len() / 4, sweep) {
                return;
            }
            let (mark, seen) = (self.chosen.len(), self.others.len());
            for SwitchChoice { switch, position } in choices {
                self.decide(switch, position);
            }
            self.others.extend(others);
            y.through(first.part, sweep);
            let mut row = row.clone();
            row.branch(&y);
            self.with_sides(rest, next, row, sweep, go_on);
            self.others.truncate(seen);
            self.undo(mark);
        }
    }

    /// What a side branch may be, seen from its near node, with the choices that make it so.
    fn side(&mut self, node: Node, came: ElementRef, sweep: &Sweep) -> Vec<Side> {
        self.depth += 1;
        let out = if DEEPEST < self.depth || !self.spend(2, sweep) {
            self.section.cut_short = true;
            Vec::new()
        } else if self.visited[node] {
            self.section.ring = true;
            Vec::new()
        } else {
            self.side_on(node, came, sweep)
        };
        self.depth -= 1;
        out
    }

    fn side_on(&mut self, node: Node, came: ElementRef, sweep: &Sweep) -> Vec<Side> {
        let mut out = Vec::new();
        if let Some(block) = self.open_block(node) {
            let (switch, positions) = (self.model.blocks[block].switch, self.positions(block));
            for position in 0..positions {
                let mark = self.chosen.len();
                self.decide(switch, position);
                for (y, choices, others) in self.side(node, came, sweep) {
                    if !self.spend(choices.len() / 8, sweep) {
                        break;
                    }
                    let mut all = vec![SwitchChoice { switch, position }];
                    all.extend(choices);
                    out.push((y, all, others));
                }
                self.undo(mark);
            }
        } else {
            let seen = self.others.len();
            let (shunt, steps) = self.around(node, Some(came));
            let others = self.others.split_off(seen);
            self.visited[node] = true;
            self.combine(&steps, (Admittance::of(shunt, sweep), Vec::new(), others), sweep, &mut out);
            self.visited[node] = false;
        }
        if MOST_COMBINATIONS < out.len() {
            self.section.cut_short = true;
            out.truncate(1);
        }
        out
    }

    fn combine(&mut self, steps: &[Step], so_far: Side, sweep: &Sweep, out: &mut Vec<Side>) {
        let Some((first, rest)) = steps.split_first() else {
            out.push(so_far);
            return;
        };
        for (mut y, choices, others) in self.side(first.to, first.element, sweep) {
            if !self.spend(SIDE + choices.len() / 4, sweep) {
                return;
            }
            let mark = self.chosen.len();
            for SwitchChoice { switch, position } in &choices {
                self.decide(*switch, *position);
            }
            y.through(first.part, sweep);
            let mut sum = so_far.clone();
            sum.0.beside(&y);
            sum.1.extend(choices);
            sum.2.extend(others);
            self.combine(rest, sum, sweep, out);
            self.undo(mark);
        }
    }
}

/// Load of a side branch, the choices that make it so, and driven nodes met on it.
type Side = (Admittance, Vec<SwitchChoice>, Vec<Node>);

/// Puts an element at a node where it belongs: a load to earth, or a way on.
#[expect(clippy::too_many_arguments, reason = "one step of a loop over borrowed parts of the walker")]
fn sort(
    node: Node,
    came: Option<ElementRef>,
    element: ElementRef,
    variant: &Variant,
    driven: &[bool],
    shunt: &mut Shunt,
    steps: &mut Steps,
    others: &mut Vec<Node>,
) {
    let found = &variant.elements[element.1];
    let (to, part) = if found.a == node {
        (found.b, found.part)
    } else if found.b == node {
        (found.a, found.part.turned())
    } else {
        return;
    };
    if came == Some(element) || to == node {
        return;
    }
    if to == EARTH || driven[to] {
        shunt.add(part);
        if to != EARTH {
            others.push(to);
        }
    } else {
        steps.push(Step { element, to, part });
    }
}

/// The driver behind a leaf.
pub(crate) fn next(leaf: Leaf) -> Option<Driver> {
    match leaf {
        Leaf::Stage(stage) => Some(Driver::Stage(stage)),
        Leaf::Sink(_) => None,
    }
}

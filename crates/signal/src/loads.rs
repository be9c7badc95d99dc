//! What hangs on a source at once, in the state where it is the heaviest: the resistance that its jack sees at 1 kHz,
//! pots, passive boxes, transformers and splits included, as the network has them.

use std::collections::BTreeSet;

use finding::Field;
use rig::PortRef;

use crate::budget::Budget;
use crate::build::Built;
use crate::hung::{Hung, Touched};
use crate::input::Input;
use crate::ladder::Sweep;
use crate::model::{Model, SwitchChoice};
use crate::outcome::Load;
use crate::section::{Driver, Walker};
use crate::solve::engaged;
use crate::sparing::sparing;

/// The heaviest load of each source, devices that want the bare pickup left off: they load it on purpose.
pub(crate) fn loads(input: &Input<'_>, built: &Built, named: &[Vec<u8>], budget: &Budget) -> Vec<Load> {
    let spared = sparing(input, built);
    let model = spared.as_ref().unwrap_or(&built.model);
    let sources = built.model.sources.iter().enumerate();
    sources
        .filter_map(|(source, terminal)| load(input, built, model, (source, &terminal.id), named, budget))
        .collect()
}

fn load(
    input: &Input<'_>,
    built: &Built,
    model: &Model,
    (source, id): (usize, &str),
    named: &[Vec<u8>],
    budget: &Budget,
) -> Option<Load> {
    let jack = *built.ports.get(&PortRef::new(id, ""))?;
    let mut worst: Option<Load> = None;
    let mut lacks: BTreeSet<Field> = BTreeSet::new();
    let outside = Foreign::new(input, id).alone(model);
    let touched = Touched::new(&outside);
    for (state, choices) in variants(model, source, named, budget) {
        budget.spend(crate::budget::passes(model, 20));
        let hung = Hung::new(&touched, &state, jack);
        for port in &hung.ports {
            if input.rig.port(port).is_some_and(|port| port.z.is_unknown()) {
                lacks.insert(Field::device(&port.device, "port").below(&port.port).below("z"));
            } else if input.rig.sink(&port.device).is_some_and(|sink| sink.z.is_unknown()) {
                lacks.insert(Field::of("sink", &port.device, "z"));
            }
        }
        let Some(ohms) = hung.resistance() else { continue };
        if worst.as_ref().is_none_or(|other| ohms < other.ohms) {
            let off = choices.iter().filter(|choice| choice.position == 0).map(|choice| choice.switch);
            let off: BTreeSet<usize> = off.collect();
            let names = built.switches.iter().filter(|(_, switch)| off.contains(switch));
            worst = Some(Load {
                source: id.to_owned(),
                ohms,
                at: hung.ports.into_iter().collect(),
                state: engaged(built, &state),
                off: names.map(|(name, _)| name.clone()).collect(),
                lacks: Vec::new(),
            });
        }
    }
    let mut worst = worst?;
    worst.lacks = lacks.into_iter().collect();
    Some(worst)
}

/// The states to look at: one for each thing that may come first, or those with a name where the section has rings.
fn variants(
    model: &Model,
    source: usize,
    named: &[Vec<u8>],
    budget: &Budget,
) -> Vec<(Vec<u8>, Vec<SwitchChoice>)> {
    let sweep = Sweep::new(vec![1000.0]);
    let section = Walker::new(model).within(budget).section(Driver::Source(source), &[], &sweep);
    if section.ring || section.cut_short {
        return named.iter().map(|state| (state.clone(), SwitchChoice::all_of(state))).collect();
    }
    let all: BTreeSet<Vec<SwitchChoice>> = section.edges.into_iter().map(|edge| edge.choices).collect();
    all.into_iter()
        .map(|choices| {
            let mut state = model.at_rest();
            for SwitchChoice { switch, position } in &choices {
                state[*switch] = *position;
            }
            (state, choices)
        })
        .filter(|(state, _)| model.allows(state))
        .collect()
}

/// Tells which elements hang on a source from outside: what is named after the source is its own, its lead apart; and inputs
/// that want the bare pickup do not count.
struct Foreign<'a> {
    own: String,
    lead: String,
    leg: String,
    /// Devices that want the bare pickup.
    bare: BTreeSet<&'a str>,
}

impl<'a> Foreign<'a> {
    fn new(input: &'a Input<'_>, id: &str) -> Self {
        let wants = |device: &&rig::Device| device.signal.bare_pickup.value == Some(true);
        Self {
            own: format!("{id} "),
            lead: format!("{id} > "),
            leg: format!("{id} leg "),
            bare: input.rig.devices.iter().filter(wants).map(|device| device.tag.as_str()).collect(),
        }
    }

    /// The network without any other element.
    fn alone(&self, model: &Model) -> Model {
        let mut model = model.clone();
        let blocks = model.blocks.iter_mut().flat_map(|block| &mut block.variants);
        for variant in std::iter::once(&mut model.fixed).chain(blocks) {
            variant.elements.retain(|element| self.is(&element.name));
        }
        model
    }

    fn is(&self, name: &str) -> bool {
        let is_own =
            name.starts_with(&self.own) && !name.starts_with(&self.lead) && !name.starts_with(&self.leg);
        let tag = || name.split(['.', ' ']).next().unwrap_or(name);
        !(is_own || name.ends_with(" input") && self.bare.contains(tag()))
    }
}

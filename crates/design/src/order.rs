//! The work order: single acts in stages, in an order in which nothing has to come off again.
//!
//! Here the acts are made, each with what it needs and gives; [`::build`] puts them into their order, from that and from
//! where everything stands. All minutes stand in [`rates`].

mod bench;
mod close;
mod decks;
mod figures;
mod panel;
mod power;
pub(crate) mod rates;
mod stage;
mod supply;
mod world;

use std::collections::{BTreeMap, BTreeSet};

use ::build::{Act, Fact, Plan, What, Why};

pub(crate) use bench::is_strung;
pub use stage::{AtHand, Deciding, Deed, Stage, Step};

use crate::{Design, Lead};

/// What no order allows: an end that cannot be plugged, or an act, and what is in its way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unreached {
    /// Lead and port, or the act, in words.
    pub end: String,
    /// What is in the way.
    pub things: Vec<String>,
}

/// The act of one person of two.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Hand {
    /// Who: 0 or 1.
    pub person: usize,
    /// The minute at which it begins.
    pub start: u32,
}

/// The work order with what follows from its order.
#[derive(Debug, Clone)]
pub struct Building {
    /// The stages, their acts in order.
    pub stages: Vec<Stage>,
    /// Minutes for one person.
    pub alone: u32,
    /// Minutes for two.
    pub two: u32,
    /// What no way of sharing goes below.
    pub bound: u32,
    /// How long each of two waits for the other.
    pub waits: [u32; 2],
    /// The longest row of acts that wait for one another: their places in the order.
    pub critical: Vec<usize>,
    /// The minutes of that row.
    pub critical_minutes: u32,
    /// Whose act each is when two share the work, by its place in the order.
    pub hands: Vec<Hand>,
    /// Ends that no order reaches.
    pub unreached: Vec<Unreached>,
    /// The acts as the engine took them, and the place of each in its answer.
    plan: Plan,
    places: Vec<usize>,
    /// What each act rests on, all the way back, by its place in the order.
    rests: Vec<Vec<usize>>,
}

/// An act that is done and stands in the way of another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Undo {
    /// The act, by its place in the order.
    pub at: usize,
    /// What comes off: the tag of a device, or a deck.
    pub thing: String,
}

impl Building {
    /// Every act, in order.
    pub fn steps(&self) -> impl Iterator<Item = &Step> {
        self.stages.iter().flat_map(|stage| &stage.steps)
    }

    /// The acts that one rests on, all the way back, by their places in the order.
    pub fn rests_on(&self, at: usize) -> &[usize] {
        self.rests.get(at).map_or(&[], Vec::as_slice)
    }

    /// What must come off again before an act can be done: what is done already and stands in its way.
    pub fn to_undo(&self, at: usize, is_done: impl Fn(usize) -> bool) -> Vec<Undo> {
        let Some(act) = self.plan.order.get(at) else { return Vec::new() };
        let steps: Vec<&Step> = self.steps().collect();
        let done = |act: usize| is_done(self.places[act]);
        let mut out: Vec<Undo> = self
            .plan
            .to_undo(*act, &done)
            .into_iter()
            .map(|link| {
                let at = self.places[link.after];
                let step = steps[at];
                let named = step.does.iter().find_map(|deed| match deed {
                    Deed::Stand(tag) => Some(tag.clone()),
                    Deed::Raise(deck) => Some(format!("deck {deck}")),
                    Deed::Plug(..) => None,
                });
                Undo { at, thing: named.unwrap_or_else(|| step.text.clone()) }
            })
            .collect();
        out.sort_by_key(|undo| undo.at);
        out.dedup_by_key(|undo| undo.at);
        out
    }

    /// Why an act stands before a later one that is about where things are, in words; nothing where it may stand anywhere.
    pub fn why(&self, at: usize) -> Option<String> {
        let act = self.plan.order.get(at)?;
        let of_act = |link: &&::build::Link| link.before == *act && link.why.of_place().is_some();
        let link = self.plan.links.iter().filter(of_act).min_by_key(|link| self.places[link.after])?;
        let after = self.steps().nth(self.places[link.after]);
        let raised = after.into_iter().flat_map(|step| &step.does).find_map(|deed| match deed {
            Deed::Raise(deck) => Some(format!("once deck {deck} is on")),
            Deed::Stand(_) | Deed::Plug(..) => None,
        });
        let when = raised.unwrap_or_else(|| "later".to_owned());
        Some(match &link.why {
            Why::Way { thing, hand: true, .. } => format!("no hand gets past {thing} {when}"),
            Why::InHand { thing, .. } | Why::Way { thing, .. } => format!("{thing} is in its way {when}"),
            Why::Under { thing, .. } => format!("{thing} will stand above the lead"),
            Why::Needs(_) | Why::Stands => return None,
        })
    }
}

/// The whole work order. Stages without acts are left out.
pub fn work_order(design: &Design) -> Vec<Stage> {
    building(design).stages
}

/// The whole work order, with what follows from it.
pub fn building(design: &Design) -> Building {
    building_after(design, None)
}

/// The same where somebody looked for what decides: only that is measured, in the time it takes.
pub fn building_after(design: &Design, deciding: Option<Deciding>) -> Building {
    let world = world::World::new(design);
    let mut stages = vec![
        bench::prepare(design, deciding),
        bench::leads(design, &world),
        panel::panel(design),
        power::mains(design),
        power::supplies(design, &world),
        power::ends(design, &world),
    ];
    let plugging = decks::Plugging::new(design, &world);
    plugging.early(&mut stages);
    stages.extend(plugging.decks());
    stages.push(plugging.rest());
    stages.push(power::late(design));
    stages.push(close::dress(design));
    stages.push(close::last(design));
    ordered(design, &stages, &world)
}

/// The stages in the order of the engine. A stage that has to be left and taken up again stands twice.
fn ordered(design: &Design, stages: &[Stage], world: &world::World) -> Building {
    let mut acts: Vec<Act> = Vec::new();
    let mut of: Vec<(usize, usize)> = Vec::new();
    let mut runs: BTreeMap<String, usize> = BTreeMap::new();
    for (at, stage) in stages.iter().enumerate() {
        for (index, step) in stage.steps.iter().enumerate() {
            let count = runs.len();
            let run = step.needs.run.clone().map(|run| *runs.entry(run).or_insert(count));
            let mut wants = step.needs.wants.clone();
            if 0 < at {
                wants.push(Fact::new(What::Approved, ""));
            }
            acts.push(Act {
                hold: step.hold,
                tool: step.needs.tool.to_owned(),
                place: step.needs.place.clone(),
                run,
                wants,
                gives: step.needs.gives.clone(),
                ..Act::new(&step.id, at, step.minutes)
            });
            of.push((at, index));
        }
    }
    let plan = ::build::plan(&acts, &world.input);
    let mut places = vec![0; acts.len()];
    for (place, act) in plan.order.iter().enumerate() {
        places[*act] = place;
    }
    let mut hands = vec![Hand { person: 0, start: 0 }; acts.len()];
    for turn in &plan.shared.turns {
        hands[places[turn.act]] = Hand { person: turn.person, start: turn.start };
    }
    let mut out: Vec<Stage> = Vec::new();
    let mut begun: BTreeSet<usize> = BTreeSet::new();
    let mut here = None;
    for act in &plan.order {
        let (stage, index) = of[*act];
        if here != Some(stage) {
            here = Some(stage);
            let own = &stages[stage];
            let (mut id, mut title) = (own.id.clone(), own.title.clone());
            if !begun.insert(stage) {
                id += &format!("+{}", out.len());
                title += ", continued";
            }
            out.push(Stage::new(id, title));
        }
        let mut step = stages[stage].steps[index].clone();
        step.figures = figures::figures(design, &step);
        if let Some(last) = out.last_mut() {
            last.steps.push(step);
        }
    }
    let mut unreached: Vec<Unreached> = plan
        .unreached
        .iter()
        .map(|one| Unreached { end: one.end.clone(), things: one.things.clone() })
        .collect();
    let text = |act: usize| stages[of[act].0].steps[of[act].1].text.clone();
    unreached.extend(plan.circles.iter().map(|[a, b]| Unreached { end: text(*b), things: vec![text(*a)] }));
    Building {
        stages: out,
        alone: plan.minutes,
        two: plan.shared.minutes,
        bound: plan.shared.bound,
        waits: plan.shared.waits,
        critical: plan.critical.acts.iter().map(|act| places[*act]).collect(),
        critical_minutes: plan.critical.minutes,
        hands,
        unreached,
        rests: rests(&plan, &places),
        plan,
        places,
    }
}

/// What each act rests on, by places in the order.
fn rests(plan: &Plan, places: &[usize]) -> Vec<Vec<usize>> {
    let mut out: Vec<Vec<usize>> = vec![Vec::new(); places.len()];
    for (act, needs) in plan.rests().into_iter().enumerate() {
        let mut own: Vec<usize> = needs.into_iter().map(|need| places[need]).collect();
        own.sort_unstable();
        out[places[act]] = own;
    }
    out
}

/// Leads in the order in which the work order plugs them; what it does not name comes last.
pub fn install_order(design: &Design) -> Vec<&Lead> {
    let mut place: BTreeMap<String, usize> = BTreeMap::new();
    let steps: Vec<Step> = work_order(design).into_iter().flat_map(|stage| stage.steps).collect();
    let laid = steps
        .iter()
        .filter(|step| ["plug:", "wire:", "lay:", "pass:"].iter().any(|verb| step.id.starts_with(verb)));
    for (index, step) in laid.enumerate() {
        for tag in &step.leads {
            place.entry(tag.clone()).or_insert(index);
        }
    }
    let mut out: Vec<&Lead> = design.leads.iter().collect();
    out.sort_by_key(|lead| place.get(&lead.tag).copied().unwrap_or(usize::MAX));
    out
}

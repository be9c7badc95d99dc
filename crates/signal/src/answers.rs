//! Answers a builder asks for beside the band: everything on, what a volume pedal does on its way, how long the outer
//! leads may be.

use crate::budget::{Budget, WHOLE};
use crate::build::{self, Built};
use crate::grid::frequencies;
use crate::input::{Config, Input};
use crate::ladder::Sweep;
use crate::longest::{Longest, longest};
use crate::one_more::{OneMoreEverywhere, one_more};
use crate::outcome::{Outcome, StateResponse, Way};
use crate::shown::StateFigures;
use crate::silence::WhyNot;
use crate::solve::positions;
use crate::state;
use crate::travel::TRAVELS;
use crate::whole::EVERYTHING_ON;

/// What is asked of one way.
#[derive(Debug, Clone, PartialEq)]
pub struct Answers {
    /// Name of the source.
    pub source: String,
    /// Name of the sink.
    pub sink: String,
    /// Everything bypassed, or why there is nothing to say of it.
    pub off: Result<StateFigures, WhyNot>,
    /// Everything on, or why there is no such state.
    pub on: Result<StateFigures, WhyNot>,
    /// Passive volume pedals on the way, at some travels, everything else bypassed.
    pub travel: Vec<Travel>,
    /// The length of the lead from the source today, in metres: what 0 dB is stays the source by that lead.
    pub lead_today: f64,
    /// The longest lead from the source that keeps the limits in every state.
    pub lead_in: Longest,
    /// The longest lead to the sink that does.
    pub lead_out: Longest,
    /// Whether one of the two is held against the worst states found only, as there are too many to look at all.
    pub leads_by_states_tried: bool,
    /// What the leads are held to, in words: `2 dB of treble, 1.5 dB of level and 20 % of resonance`.
    pub held_to: String,
    /// What one more device would do at each place; `None` where what stands now is not known exactly.
    pub one_more: Option<OneMoreEverywhere>,
}

/// A passive volume pedal at one place of its way.
#[derive(Debug, Clone, PartialEq)]
pub struct Travel {
    /// Its tag.
    pub tag: String,
    /// The share of its resistance below the wiper.
    pub share: f64,
    /// What it does; `None` where nothing arrives.
    pub figures: Option<StateFigures>,
}

impl Travel {
    /// Where it stands, as a player says it.
    pub fn word(&self) -> String {
        crate::travel::word(self.share)
    }
}

/// The answers for every way of an outcome, within one budget of work for all of them: what is beyond it is not
/// answered.
pub fn answers(input: &Input<'_>, config: &Config, outcome: &Outcome) -> Vec<Answers> {
    let budget = Budget::new(2 * WHOLE);
    let built = build::build(input, config);
    // Beside the sound no limit is held against a way: nothing but its states is worked out, which takes little.
    let mut open = outcome.ways.iter().filter(|way| !way.aside).count();
    outcome
        .ways
        .iter()
        .map(|way| {
            let share = budget.share(open.max(1));
            let found = answer(input, config, &built, way, &share);
            budget.settle(&share);
            open -= usize::from(!way.aside);
            found
        })
        .collect()
}

fn answer(input: &Input<'_>, config: &Config, built: &Built, way: &Way, budget: &Budget) -> Answers {
    // What a pot does, the leads, one more device: each may take a quarter, and what is left goes to the next.
    let states = budget.share(4);
    let (off, on, travel) = in_states(input, config, built, way, &states);
    budget.settle(&states);
    let unheld = Answers {
        source: way.source.clone(),
        sink: way.sink.clone(),
        off,
        on,
        travel,
        lead_today: crate::longest::today(input, config, &|lead| lead.from.device == way.source),
        lead_in: Longest::NotFound,
        lead_out: Longest::NotFound,
        leads_by_states_tried: false,
        held_to: String::new(),
        one_more: None,
    };
    if way.aside {
        return unheld;
    }
    let lead = |parts, which: &dyn Fn(&crate::LeadLength) -> bool| {
        let share = budget.share(parts);
        let found = longest(input, config, way, &share, which);
        budget.settle(&share);
        found
    };
    let (lead_in, in_tried) = lead(3, &|lead| lead.from.device == way.source);
    let (lead_out, out_tried) = lead(2, &|lead| lead.to.device == way.sink);
    Answers {
        lead_in,
        lead_out,
        leads_by_states_tried: in_tried || out_tried,
        held_to: held_to(config, way),
        one_more: one_more(input, config, built, way, budget),
        ..unheld
    }
}

/// What a way is held to, in words.
fn held_to(config: &Config, way: &Way) -> String {
    let shift = crate::level::figure(config.shift_limit * 100.0, 0);
    let of = |db: f64| crate::level::figure(db, 1).trim_end_matches(".0").to_owned();
    if way.is_judged_by_tone() {
        return format!("{} dB of tone and {shift} % of resonance", of(config.change_limit));
    }
    format!(
        "{} dB of treble, {} dB of level and {shift} % of resonance",
        of(config.change_limit),
        of(config.loss_limit)
    )
}

/// Everything off, everything on, and the travel of passive pots on the way.
fn in_states(
    input: &Input<'_>,
    config: &Config,
    built: &Built,
    way: &Way,
    budget: &Budget,
) -> (Result<StateFigures, WhyNot>, Result<StateFigures, WhyNot>, Vec<Travel>) {
    let sweep = Sweep::new(frequencies());
    let is_open = std::cell::Cell::new(false);
    let figures = |built: &Built, on: Option<&[String]>| {
        let source = built.model.sources.iter().position(|terminal| terminal.id == way.source)?;
        let sink = built.model.sinks.iter().position(|terminal| terminal.id == way.sink)?;
        let all: Vec<String> = built.switches.keys().cloned().collect();
        let state = positions(built, on.unwrap_or(&all));
        // One state is worked out however little is left.
        let at_least = Budget::new(WHOLE / 4);
        let answer = state::solve(&built.model, &state, source, &sweep, &at_least);
        budget.spend(at_least.spent());
        is_open.set(at_least.is_spent());
        let answer = answer?;
        if crate::rings::howls(&built.model, &answer) {
            return None;
        }
        let response = answer.heard(&built.model, sink)?.clone();
        StateResponse { name: String::new(), engaged: Vec::new(), response, silence: None, noise: None }
            .figures(way)
    };
    let pots = crate::travel::pots(input)
        .filter(|device| crate::downstream::is_passed(built, &device.tag, &way.source, &way.sink));
    let travel = pots
        .flat_map(|device| {
            TRAVELS.map(|share| {
                let mut input = input.clone();
                input.travel.insert(device.tag.clone(), share);
                let on = [device.tag.clone()];
                budget.spend(crate::budget::passes(&built.gained, 40));
                let figures =
                    if budget.is_spent() { None } else { figures(&build::build(&input, config), Some(&on)) };
                Travel { tag: device.tag.clone(), share, figures }
            })
        })
        .collect();
    // Everything off is the first of the states that are answered for.
    let first = way.states.first();
    let off = first.and_then(|state| state.figures(way));
    let off = off.ok_or_else(|| first.and_then(|state| state.silence).unwrap_or(WhyNot::Silent));
    let all: Vec<String> = built.switches.keys().cloned().collect();
    let on = if built.model.allows(&positions(built, &all)) {
        let named = way.states.iter().find(|state| state.name == EVERYTHING_ON);
        let found = named.map_or_else(|| figures(built, None), |state| state.figures(way));
        let silence = named.and_then(|state| state.silence);
        found.ok_or(silence.unwrap_or(if is_open.get() { WhyNot::NotWorkedOut } else { WhyNot::Silent }))
    } else {
        Err(WhyNot::Excluded)
    };
    (off, on, travel)
}

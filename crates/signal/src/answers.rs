//! Answers a builder asks for beside the band: everything on, what a volume pedal does on its way, how long the outer
//! leads may be.

use quantity::Length;
use rig::{Known, Provenance};

use crate::budget::{Budget, WHOLE};
use crate::build;
use crate::graph::Graph;
use crate::grid::{AT_1K, AT_4K};
use crate::input::{Config, Input, LeadLength};
use crate::ladder::Sweep;
use crate::outcome::{Outcome, Way};
use crate::shown::{StateFigures, in_state, switches};
use crate::solve::sparing;

/// What is asked of one way.
#[derive(Debug, Clone, PartialEq)]
pub struct Answers {
    /// Name of the source.
    pub source: String,
    /// Name of the sink.
    pub sink: String,
    /// Everything bypassed; `None` where nothing arrives.
    pub off: Option<StateFigures>,
    /// Everything on.
    pub on: Option<StateFigures>,
    /// Passive volume pedals on the way, at some travels, everything else bypassed.
    pub travel: Vec<Travel>,
    /// The longest lead from the source that keeps the limits in every state.
    pub lead_in: Longest,
    /// The longest lead to the sink that does.
    pub lead_out: Longest,
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

/// The longest lead that keeps the limits.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Longest {
    /// None does: the limits are passed with next to no lead.
    None,
    /// So many metres, to a tenth.
    Metres(f64),
    /// More than was tried, in metres.
    Beyond(f64),
}

/// Heel, a tenth up, half and toe: with the wiper at the heel nothing passes.
const TRAVELS: [f64; 3] = [0.1, 0.5, 1.0];

/// No outer lead is tried beyond this, in metres; longer ones want a line driver. Common practice, no source.
const LONGEST: f64 = 30.0;

/// The answers for every way of an outcome.
pub fn answers(input: &Input<'_>, config: &Config, outcome: &Outcome) -> Vec<Answers> {
    outcome.ways.iter().map(|way| answer(input, config, way)).collect()
}

fn answer(input: &Input<'_>, config: &Config, way: &Way) -> Answers {
    let all = switches(input, config);
    let state =
        |input: &Input<'_>, on: &[String]| in_state(input, config, on, &way.source, &way.sink)?.figures(way);
    let pots = input.rig.devices.iter().filter(|device| {
        device.signal.passive && (device.treadle.is_some() || input.travel.contains_key(&device.tag))
    });
    let travel = pots
        .flat_map(|device| {
            TRAVELS.map(|share| {
                let mut input = input.clone();
                input.travel.insert(device.tag.clone(), share);
                let on = [device.tag.clone()];
                Travel { tag: device.tag.clone(), share, figures: state(&input, &on) }
            })
        })
        .collect();
    Answers {
        source: way.source.clone(),
        sink: way.sink.clone(),
        off: state(input, &[]),
        on: state(input, &all),
        travel,
        lead_in: longest(input, config, way, |lead| lead.from.device == way.source),
        lead_out: longest(input, config, way, |lead| lead.to.device == way.sink),
    }
}

/// Tries an outer lead longer and shorter than it is, the player's reference staying what it is.
///
/// A lead that is too short may fail too: it leaves more treble than the player is used to. So the search begins with the lead
/// that is there, and where that one fails with shorter ones.
fn longest(input: &Input<'_>, config: &Config, way: &Way, which: impl Fn(&LeadLength) -> bool) -> Longest {
    let holds = |tenths: u32| {
        let metres = f64::from(tenths) / 10.0;
        let mut input = input.clone();
        for lead in input.leads.iter_mut().filter(|lead| which(lead)) {
            lead.length = Known::new(Length::of_mm(metres * 1000.0), Provenance::Assumed);
        }
        worst(&input, config, way).is_some_and(|change| change <= config.change_limit)
    };
    let given = input.leads.iter().find(|lead| which(lead)).and_then(|lead| lead.length.value);
    let given = given.map_or(config.usual_lead, |length| length.as_mm() / 1000.0);
    let most = LONGEST * 10.0;
    let shorter = [1, 2, 4, 8, 16].map(|part| tenths((given * 10.0 / f64::from(part)).clamp(1.0, most)));
    let Some(at) = shorter.into_iter().chain([1]).position(&holds) else {
        return Longest::None;
    };
    let most = tenths(most);
    let mut fits = shorter.get(at).copied().unwrap_or(1);
    let mut fails = if at == 0 { most } else { shorter[at - 1] };
    if at == 0 && holds(most) {
        return Longest::Beyond(LONGEST);
    }
    // By halving: a longer lead is taken to be worse once one is too long.
    while fits + 1 < fails {
        let half = u32::midpoint(fits, fails);
        if holds(half) {
            fits = half;
        } else {
            fails = half;
        }
    }
    Longest::Metres(f64::from(fits) / 10.0)
}

/// Tenths of a metre, as a small whole number.
#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "between 1 and 300")]
fn tenths(metres: f64) -> u32 {
    metres as u32
}

/// The largest change at 4 kHz over all states, of tone where the sink is a desk; devices that want the bare pickup off.
fn worst(input: &Input<'_>, config: &Config, way: &Way) -> Option<f64> {
    let built = build::build(input, config);
    let model = sparing(input, &built).unwrap_or_else(|| built.model.clone());
    let source = model.sources.iter().position(|terminal| terminal.id == way.source)?;
    let sink = model.sinks.iter().position(|terminal| terminal.id == way.sink)?;
    let points = Sweep::new(vec![1000.0, 4000.0]);
    let budget = Budget::new(WHOLE / 100);
    let envelope = Graph::new(&model, source, sink, &points, Some((0, 1)), &budget).solve();
    let (low, high) = (*way.reference_db.get(AT_1K)?, *way.reference_db.get(AT_4K)?);
    let changes = if way.is_amp {
        [envelope.upper[1].db - high, envelope.lower[1].db - high]
    } else {
        envelope.difference?.map(|extreme| extreme.db - (high - low))
    };
    Some(changes[0].abs().max(changes[1].abs()))
}

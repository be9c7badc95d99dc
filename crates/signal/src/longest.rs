//! The longest outer lead that keeps every limit of the rules.
//!
//! Neither end of the search is taken on trust: the change at 4 kHz rises and falls with length as the resonance passes
//! by, so lengths are scanned before the place between the last that holds and the first that does not is made finer.

use std::cell::{Cell, RefCell};

use quantity::Length;
use rig::{Known, Provenance};

use crate::budget::Budget;
use crate::build;
use crate::figures::{Held, Known as Certainty};
use crate::grid::frequencies;
use crate::input::{Config, Input, LeadLength};
use crate::kept::worst_states;
use crate::ladder::Sweep;
use crate::model::{Model, Part, SwitchPositions, Variant};
use crate::outcome::{Figures, Limit, Way};
use crate::sparing::sparing;
use crate::travel::{TRAVELS, pots};
use crate::turn::turns;

/// The longest lead that keeps the limits.
#[derive(Debug, Clone, PartialEq)]
pub enum Longest {
    /// None does, whatever its length: these limits are broken by what else is there.
    None(Vec<Limit>),
    /// So many metres, to a tenth.
    Metres(f64),
    /// More than was tried, in metres.
    Beyond(f64),
    /// It would take more work than one question may, or there is no such lead.
    NotFound,
}

/// No outer lead is tried beyond this, in tenths of a metre; longer ones want a line driver. Common practice, no source.
const LONGEST: u32 = 300;

/// Lengths that are tried, in tenths of a metre: every half metre, beyond ten metres every one.
fn lengths() -> impl DoubleEndedIterator<Item = u32> {
    std::iter::once(1).chain((1..=20).map(|half| half * 5)).chain((11..=LONGEST / 10).map(|metre| metre * 10))
}

/// Up to here every tenth of a metre is tried where no other length keeps the limits, in tenths of a metre.
const FINE: u32 = 100;

fn metres(tenths: u32) -> f64 {
    f64::from(tenths) / 10.0
}

/// A network whose outer leads can be made any length: between two lengths every element goes in a straight line.
struct Stretch<'a> {
    config: &'a Config,
    ends: [Model; 2],
    held: Held,
    /// The same with a volume pedal on the way elsewhere than it stands.
    turned: Vec<([Model; 2], Held)>,
    points: Sweep,
    sweep: Sweep,
    budget: &'a Budget,
    /// How well the figures so far were known: what those break that are not is no proof.
    known: Cell<Certainty>,
    /// The worst states found, where not all can be looked at.
    worst: RefCell<Vec<SwitchPositions>>,
    /// Those with each volume pedal elsewhere.
    worst_turned: Vec<RefCell<Vec<SwitchPositions>>>,
    /// Whether only those are looked at, as the budget does not reach for all states at every length.
    by_kept: Cell<bool>,
}

/// The lengths that are tried where only the worst states are looked at, in tenths of a metre.
const COARSE: [u32; 13] = [1, 10, 20, 30, 40, 50, 60, 80, 100, 120, 150, 200, LONGEST];

/// Lengths that a search looks at, about.
const LOOKS: usize = 45;

/// Steps of work to build the network at two lengths, for each device and stop.
const STEPS_PER_PART: u64 = 1500;

/// The lengths at which the network is built, in metres.
const BUILT: [f64; 2] = [1.0, 11.0];

/// The length that a lead has today, in metres; the usual one where nobody has said.
pub(crate) fn today(input: &Input<'_>, config: &Config, which: &dyn Fn(&LeadLength) -> bool) -> f64 {
    let given = input.leads.iter().find(|lead| which(lead)).and_then(|lead| lead.length.value);
    given.map_or(config.usual_lead, |length| length.as_mm() / 1000.0)
}

/// Searches for the longest lead, the player's reference staying what it is; and whether it is held against the worst states
/// found only. `which` says what leads those are.
pub(crate) fn longest(
    input: &Input<'_>,
    config: &Config,
    way: &Way,
    budget: &Budget,
    which: impl Fn(&LeadLength) -> bool,
) -> (Longest, bool) {
    if !input.leads.iter().any(&which) {
        return (Longest::NotFound, false);
    }
    let given = today(input, config, &which);
    let Some(stretch) = Stretch::new(input, config, way, budget, which) else {
        return (Longest::NotFound, false);
    };
    let found = stretch.search(tenths(given));
    let known = stretch.known.get();
    if budget.is_spent() || known == Certainty::Not {
        return (Longest::NotFound, false);
    }
    (found, known == Certainty::ByStatesTried)
}

#[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "between 1 and 300")]
fn tenths(metres: f64) -> u32 {
    (metres * 10.0).round().clamp(1.0, f64::from(LONGEST)) as u32
}

impl<'a> Stretch<'a> {
    fn new(
        input: &Input<'_>,
        config: &'a Config,
        way: &Way,
        budget: &'a Budget,
        which: impl Fn(&LeadLength) -> bool,
    ) -> Option<Self> {
        // What it takes to build the network twice, before it is done.
        let parts = input.rig.devices.len() + input.rig.runs.iter().map(|run| run.stops.len()).sum::<usize>();
        let places = pots(input).count() * TRAVELS.len() + 1;
        let cost = u64::try_from(parts * places).unwrap_or(u64::MAX).saturating_mul(STEPS_PER_PART);
        if budget.left() < cost.saturating_mul(2) || !budget.spend(cost) {
            return None;
        }
        let at = BUILT.map(|metres| {
            let mut input = input.clone();
            for lead in input.leads.iter_mut().filter(|lead| which(lead)) {
                lead.length = Known::new(Length::from_mm_rounded(metres * 1000.0), Provenance::Assumed);
            }
            input
        });
        let mut known = Vec::new();
        let ends = at.each_ref().map(|input| {
            let built = build::build(input, config);
            known = worst_states(way, &built, None);
            sparing(input, &built).unwrap_or(built.model)
        });
        let [near, far] = at.each_ref().map(|input| turns(input, config));
        let turned = near.into_iter().zip(far).filter(|(near, _)| near.is_on(&way.source, &way.sink));
        let turned = turned.filter_map(|(near, far)| {
            let held = Held::of(way, &near.model)?.turned(near.by_tone);
            let states = worst_states(way, &near.built, Some((&near.tag, near.share)));
            Some((([near.model, far.model], held), if states.is_empty() { known.clone() } else { states }))
        });
        let (turned, states): (Vec<_>, Vec<_>) = turned.unzip();
        let worst_turned = states.into_iter().map(RefCell::new).collect();
        let held = Held::of(way, &ends[0])?;
        let points = Sweep::new(vec![1000.0, 4000.0]);
        // A peak is found between its neighbours and made finer there; six to the octave are near enough to do so.
        let sweep = Sweep::new(frequencies().into_iter().step_by(4).collect());
        Some(Self {
            config,
            ends,
            held,
            turned,
            points,
            sweep,
            budget,
            known: Cell::new(Certainty::Exactly),
            worst: RefCell::new(known.clone()),
            worst_turned,
            by_kept: Cell::new(false),
        })
    }

    fn model([near, far]: &[Model; 2], tenths: u32) -> Model {
        let share = (metres(tenths) - BUILT[0]) / (BUILT[1] - BUILT[0]);
        let mut model = near.clone();
        let between = |own: &mut Variant, far: &Variant| {
            for (own, far) in own.elements.iter_mut().zip(&far.elements) {
                own.part = match (own.part, far.part) {
                    (Part::Resistor(a), Part::Resistor(b)) => Part::Resistor(a + share * (b - a)),
                    (Part::Capacitor(a), Part::Capacitor(b)) => Part::Capacitor(a + share * (b - a)),
                    (own, _) => own,
                };
            }
        };
        between(&mut model.fixed, &far.fixed);
        model
    }

    /// The figures with a length; the shift only where the levels hold, unless all are wanted.
    fn figures(&self, tenths: u32, all: bool) -> Figures {
        self.budget.spend(crate::budget::passes(&self.ends[0], 4));
        let model = Self::model(&self.ends, tenths);
        if self.by_kept.get() {
            return self.figures_by_kept(&model, tenths, all);
        }
        let (mut figures, graph, known) =
            self.held.levels_as_known(&model, &self.points, &self.worst, self.budget);
        self.note(known);
        figures = self.turned(tenths, figures, all);
        if all || figures.broken(self.config).is_empty() {
            figures.shift = self.held.shift(&model, &graph, &self.sweep, self.budget);
        }
        figures
    }

    /// Whether all states can be looked at at every length; where not, the worst as they stand are.
    fn probe(&self, tenths: u32) {
        let probe = self.budget.share(LOOKS);
        let all = std::iter::once((&self.ends, &self.held));
        let mut all = all.chain(self.turned.iter().map(|(ends, held)| (ends, held)));
        let is_within =
            all.all(|(ends, held)| held.is_within(&Self::model(ends, tenths), &self.points, &probe));
        self.budget.settle(&probe);
        if !is_within && !self.worst.borrow().is_empty() {
            self.by_kept.set(true);
            self.note(Certainty::ByStatesTried);
        } else {
            self.worst.borrow_mut().clear();
        }
    }

    /// The figures of the worst states that are kept, volume pedals over their travel.
    fn levels_by_kept(&self, model: &Model, tenths: u32, all: bool) -> Figures {
        let Some(mut figures) = self.held.levels_of_kept(model, &self.worst, self.budget) else {
            self.note(Certainty::Not);
            return Figures::default();
        };
        for ((ends, held), worst) in self.turned.iter().zip(&self.worst_turned) {
            if !all && !figures.broken(self.config).is_empty() {
                break;
            }
            self.budget.spend(crate::budget::passes(&ends[0], 4));
            match held.levels_of_kept(&Self::model(ends, tenths), worst, self.budget) {
                Some(here) => figures = figures.worse(here),
                None => self.note(Certainty::Not),
            }
        }
        figures
    }

    fn figures_by_kept(&self, model: &Model, tenths: u32, all: bool) -> Figures {
        let mut figures = self.levels_by_kept(model, tenths, all);
        if all || figures.broken(self.config).is_empty() {
            match self.held.shift_by_source(model, &self.sweep, self.budget) {
                Some(shift) => figures.shift = shift,
                None => self.note(Certainty::Not),
            }
        }
        figures
    }

    fn note(&self, known: Certainty) {
        self.known.set(self.known.get().max(known));
    }

    fn holds(&self, tenths: u32) -> bool {
        self.figures(tenths, false).broken(self.config).is_empty()
    }

    fn levels_hold(&self, tenths: u32) -> bool {
        self.budget.spend(crate::budget::passes(&self.ends[0], 4));
        let model = Self::model(&self.ends, tenths);
        if self.by_kept.get() {
            return self.levels_by_kept(&model, tenths, false).broken(self.config).is_empty();
        }
        let (figures, _, known) = self.held.levels_as_known(&model, &self.points, &self.worst, self.budget);
        self.note(known);
        self.turned(tenths, figures, false).broken(self.config).is_empty()
    }

    /// The worse of some figures and those with a volume pedal elsewhere; of those no more than break a limit, unless all
    /// are wanted.
    fn turned(&self, tenths: u32, mut figures: Figures, all: bool) -> Figures {
        for (ends, held) in &self.turned {
            if !all && !figures.broken(self.config).is_empty() {
                break;
            }
            self.budget.spend(crate::budget::passes(&ends[0], 4));
            let model = Self::model(ends, tenths);
            let (here, _, known) = held.levels_as_known(&model, &self.points, &self.worst, self.budget);
            self.note(known);
            figures = figures.worse(here);
        }
        figures
    }

    /// The lengths that are tried, rising.
    fn lengths(&self) -> Vec<u32> {
        if self.by_kept.get() { COARSE.to_vec() } else { lengths().collect() }
    }

    /// From the length that is there: on while the limits are kept, else back to one that keeps them, else on to one.
    fn search(&self, given: u32) -> Longest {
        self.probe(given);
        if self.holds(given) {
            return self.on_from(given);
        }
        if self.known.get() == Certainty::Not {
            return Longest::NotFound;
        }
        let mut fails = given;
        for shorter in self.lengths().into_iter().rev().filter(|length| *length < given) {
            if self.holds(shorter) {
                return Longest::Metres(metres(between(shorter, fails, |length| self.holds(length))));
            }
            fails = shorter;
        }
        if let Some(longer) =
            self.lengths().into_iter().filter(|length| given < *length).find(|length| self.holds(*length))
        {
            return self.on_from(longer);
        }
        // A window may be narrower than the lengths lie apart: every tenth of a metre, the longest first.
        let fine = if self.by_kept.get() { 0 } else { FINE };
        if let Some(found) = (1..=fine).rev().find(|length| self.holds(*length)) {
            return self.on_from(found);
        }
        let here = self.figures(given, true).broken(self.config);
        let short = self.figures(1, true).broken(self.config);
        let always: Vec<Limit> = here.iter().copied().filter(|limit| short.contains(limit)).collect();
        Longest::None(if always.is_empty() { here } else { always })
    }

    /// From a length that holds to the last before any limit breaks.
    fn on_from(&self, start: u32) -> Longest {
        let (mut fits, mut fails) = (start, None);
        for length in self.lengths().into_iter().filter(|length| start < *length) {
            if !self.levels_hold(length) {
                fails = Some(length);
                break;
            }
            fits = length;
        }
        if let Some(fails) = fails {
            fits = between(fits, fails, |length| self.levels_hold(length));
        }
        // A resonance only falls as capacitance is added, so that halving finds where its shift passes the limit.
        if !self.holds(fits) {
            return Longest::Metres(metres(between(start, fits, |length| self.holds(length))));
        }
        match fails {
            None => Longest::Beyond(metres(LONGEST)),
            Some(_) => Longest::Metres(metres(fits)),
        }
    }
}

/// The last length that holds between one that does and one that does not, by halving.
fn between(mut fits: u32, mut fails: u32, holds: impl Fn(u32) -> bool) -> u32 {
    while fits + 1 < fails || fails + 1 < fits {
        let half = u32::midpoint(fits, fails);
        if holds(half) {
            fits = half;
        } else {
            fails = half;
        }
    }
    fits
}

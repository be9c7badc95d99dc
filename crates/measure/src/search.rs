//! The search: each value at the ends of its range, then leads laid anew, then pairs.

use std::collections::BTreeSet;

use finding::{Field, Severity};
use rig::{Limits, Rig};

use crate::judge::{Bench, Changed};
use crate::range::Tool;
use crate::values::{Unsure, filled};
use crate::words;

/// How much work is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Config {
    /// How many leads are laid anew in all, to see what plugs and cables of another size change: a laying of a board of
    /// sixty leads counts sixty.
    pub routings: usize,
    /// How many pairs of values are tried.
    pub pairs: usize,
    /// How finely it is told from which figure on something changes: so many halvings of the range.
    pub halvings: usize,
}

impl Config {
    /// An answer within two seconds on the largest board.
    pub const QUICK: Self = Self { routings: 40, pairs: 20, halvings: 3 };
    /// Everything.
    pub const ALL: Self = Self { routings: usize::MAX, pairs: 400, halvings: 6 };
}

/// What a value changes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Effect {
    /// Something that must not be built so comes or goes.
    Stop,
    /// Something that wants eyes comes or goes.
    Look,
    /// A device can be fed, or cannot.
    Fed,
    /// A lead is cut longer or shorter by more than its slack.
    Cut,
}

impl Effect {
    /// One word for it.
    pub fn word(self) -> &'static str {
        match self {
            Self::Stop => "stop",
            Self::Look => "look",
            Self::Fed => "feed",
            Self::Cut => "cut",
        }
    }

    /// How much it is worth to know, against the others. *Common practice, no source.*
    fn weight(self) -> f64 {
        match self {
            Self::Stop => 100.0,
            Self::Fed => 60.0,
            Self::Look => 25.0,
            Self::Cut => 15.0,
        }
    }
}

/// One value that decides something.
#[derive(Debug, Clone, PartialEq)]
pub struct Decides {
    /// Its address.
    pub field: Field,
    /// The device it belongs to; nothing for a plug, a cable or the board.
    pub device: Option<String>,
    /// What is assumed, as a document writes it; nothing where nobody knows.
    pub assumed: Option<String>,
    /// What it may be: from, to.
    pub range: [String; 2],
    /// Whether it is a word or a yes and no, between which there is nothing.
    pub is_word: bool,
    /// What measures it.
    pub tool: Tool,
    /// How long that takes.
    pub seconds: u32,
    /// Where to put the tool, in words.
    pub place: String,
    /// The worst it changes.
    pub effect: Effect,
    /// That from which figure on, or with which word: `from 15.5 mm`, `unless hard`.
    pub when: String,
    /// What is said then, or no longer.
    pub says: String,
    /// Whether it is said then; otherwise it is said now, and no longer then.
    pub comes: bool,
    /// How many things it changes in all.
    pub changes: usize,
    /// The rules that say otherwise.
    pub rules: Vec<String>,
    /// A second value without which it changes nothing.
    pub with: Option<Field>,
    /// Worth for a minute of measuring: the list is sorted by it.
    pub worth: f64,
}

/// The answer.
#[derive(Debug, Clone, PartialEq)]
pub struct Answer {
    /// What decides, what is worth most for a minute first.
    pub decides: Vec<Decides>,
    /// How many values are assumed or unknown in all.
    pub unsure: usize,
    /// Those of them that have no plausible range and were not tried.
    pub without_range: usize,
    /// Plug, cable and connector values for which leads were not laid anew: they are judged with leads as they run.
    pub not_routed: usize,
    /// Pairs of values that were not tried.
    pub not_paired: usize,
}

impl Decides {
    /// What is taken now and what it may be: `18 mm assumed, may be 12 mm to 24 mm`.
    pub fn range_words(&self) -> String {
        words::range(self.assumed.as_deref(), &self.range, self.is_word)
    }
}

impl Answer {
    /// How long the measuring takes, in whole minutes upwards.
    pub fn minutes(&self) -> u32 {
        let seconds: u32 = self.decides.iter().map(|value| value.seconds).sum();
        seconds.div_ceil(60)
    }

    /// How many values decide nothing.
    pub fn others(&self) -> usize {
        self.unsure.saturating_sub(self.decides.len())
    }

    /// Seconds and values for each tool, in the order of tools.
    pub fn by_tool(&self) -> Vec<(Tool, usize, u32)> {
        let mut out: Vec<(Tool, usize, u32)> = Vec::new();
        for value in &self.decides {
            match out.iter_mut().find(|(tool, _, _)| *tool == value.tool) {
                Some((_, count, seconds)) => {
                    *count += 1;
                    *seconds += value.seconds;
                }
                None => out.push((value.tool, 1, value.seconds)),
            }
        }
        out.sort();
        out
    }

    /// `11 values decide; 9 minutes. The other 571 change nothing that is judged.`
    pub fn summary(&self) -> String {
        words::summary(self.decides.len(), self.minutes(), self.others())
    }

    /// What was left out, in words; nothing where all was tried.
    pub fn left_out(&self) -> Option<String> {
        words::left_out(self.not_routed, self.not_paired)
    }
}

/// Which values to measure first.
pub fn first(rig: &Rig, limits: &Limits, config: Config) -> Answer {
    let filled = filled(rig);
    let mut bench = Bench::new(&filled.rig, limits);
    let mut decides = Vec::new();
    let mut listed = vec![false; filled.unsure.len()];
    for (index, unsure) in filled.unsure.iter().enumerate() {
        for point in unsure.ends() {
            let changed = bench.ask(unsure, point);
            if changed.is_none() {
                continue;
            }
            listed[index] = true;
            let point = nearest(&mut bench, unsure, point, config.halvings);
            decides.push(decided(unsure, point, &changed));
        }
    }
    let not_routed = routed_anew(&bench, &filled.unsure, &mut listed, config, &mut decides);
    let not_paired = paired(&bench, &filled.unsure, &listed, config, &mut decides);
    Answer {
        decides: ranked(decides),
        unsure: filled.count,
        without_range: filled.count - filled.unsure.len(),
        not_routed,
        not_paired,
    }
}

/// The point nearest to what is taken now at which something changes, by halving.
fn nearest(bench: &mut Bench<'_>, unsure: &Unsure, end: f64, halvings: usize) -> f64 {
    if unsure.is_word || bench.is_slow(unsure) {
        return end;
    }
    let (mut quiet, mut loud) = (unsure.range.usual, end);
    for _ in 0..halvings {
        let middle = f64::midpoint(quiet, loud);
        if bench.ask(unsure, middle).is_none() { quiet = middle } else { loud = middle }
    }
    loud
}

/// Leads laid anew with other plugs, cables and connectors; says for how many values there was no work left.
fn routed_anew(
    bench: &Bench<'_>,
    all: &[Unsure],
    listed: &mut [bool],
    config: Config,
    decides: &mut Vec<Decides>,
) -> usize {
    let mut open: Vec<(usize, &Unsure)> =
        all.iter().enumerate().filter(|(index, unsure)| !listed[*index] && unsure.is_lead()).collect();
    // What is used most is tried first: it moves most leads.
    open.sort_by_key(|(index, unsure)| (std::cmp::Reverse(unsure.at.len()), *index));
    let leads = bench.design.leads.len().max(1);
    let (mut left, mut not_routed) = (config.routings, 0);
    for (index, unsure) in open {
        let ends = unsure.ends();
        if left < leads * ends.len() {
            not_routed += 1;
            continue;
        }
        for point in ends {
            left -= leads;
            let changed = bench.ask_all(&[(unsure, point)], true);
            if !changed.is_none() {
                listed[index] = true;
                decides.push(decided(unsure, point, &changed));
            }
        }
    }
    not_routed
}

/// Pairs of values of which neither changes anything alone: draws on one brick, bodies beside one another, the heaviest.
fn paired(
    bench: &Bench<'_>,
    all: &[Unsure],
    listed: &[bool],
    config: Config,
    decides: &mut Vec<Decides>,
) -> usize {
    let quiet: Vec<&Unsure> = all
        .iter()
        .enumerate()
        .filter(|(index, unsure)| !listed[*index] && !unsure.is_word && !unsure.ends().is_empty())
        .map(|(_, unsure)| unsure)
        .collect();
    let mut pairs: Vec<(&Unsure, &Unsure)> = Vec::new();
    for (index, a) in quiet.iter().enumerate() {
        for b in &quiet[index + 1..] {
            if bench.is_pair(a, b) {
                pairs.push((a, b));
            }
        }
    }
    let not_paired = pairs.len().saturating_sub(config.pairs);
    for (a, b) in pairs.into_iter().take(config.pairs) {
        let changed = bench.ask_all(&[(a, a.range.high), (b, b.range.high)], false);
        if !changed.is_none() {
            for (one, other) in [(a, b), (b, a)] {
                let mut value = decided(one, one.range.high, &changed);
                value.with = Some(other.field.clone());
                value.worth /= 2.0;
                decides.push(value);
            }
        }
    }
    not_paired
}

fn decided(unsure: &Unsure, point: f64, changed: &Changed) -> Decides {
    let comes = changed.comes.iter().map(|said| (said, true));
    let goes = changed.goes.iter().map(|said| (said, false));
    let mut all: Vec<_> = comes.chain(goes).collect();
    all.sort_by_key(|((_, severity, _), comes)| (*severity, !comes));
    let rules: BTreeSet<String> = all.iter().map(|((case, _, _), _)| case.rule.to_owned()).collect();
    let (effect, says, comes) = match all.first() {
        Some(((_, Severity::Stop, message), comes)) => (Effect::Stop, message.clone(), *comes),
        _ if !changed.fed.is_empty() => (Effect::Fed, words::fed(&changed.fed), true),
        Some(((_, _, message), comes)) => (Effect::Look, message.clone(), *comes),
        None => (Effect::Cut, words::cut(&changed.cut), true),
    };
    let changes = all.len() + changed.cut.len() + changed.fed.len();
    #[expect(clippy::cast_precision_loss, reason = "a count of findings is small")]
    let share = 1.0 + 0.1 * changes.min(10) as f64;
    // What comes is worth more than what goes: who builds by an assumed value does not see it.
    let unseen = if comes { 1.0 } else { 0.7 };
    let is_turned = !comes && unsure.now.is_none();
    let when = if is_turned { words::unless(unsure, point) } else { words::when(unsure, point) };
    Decides {
        field: unsure.field.clone(),
        device: unsure.device.clone(),
        assumed: unsure.now.map(|now| unsure.words(now)),
        range: [unsure.words(unsure.range.low), unsure.words(unsure.range.high)],
        is_word: unsure.is_word,
        tool: unsure.tool,
        seconds: unsure.seconds,
        place: words::place(&unsure.field, unsure.tool),
        effect,
        when,
        says,
        comes: comes || is_turned,
        changes,
        rules: rules.into_iter().collect(),
        with: None,
        worth: effect.weight() * share * unseen * 60.0 / f64::from(unsure.seconds.max(1)),
    }
}

/// One entry for each value, its worst end; what is worth most first.
fn ranked(decides: Vec<Decides>) -> Vec<Decides> {
    let mut out: Vec<Decides> = Vec::new();
    for value in decides {
        match out.iter_mut().find(|known| known.field == value.field) {
            Some(known) if known.worth < value.worth => *known = value,
            Some(_) => {}
            None => out.push(value),
        }
    }
    out.sort_by(|a, b| b.worth.total_cmp(&a.worth).then_with(|| a.field.cmp(&b.field)));
    out
}

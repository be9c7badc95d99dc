//! One choice of things to buy, asked about: whether it feeds every device, and with which adaptors.

use std::collections::BTreeMap;

use crate::allocate::Meter;
use crate::assignment::{Effort, SearchEnd};
use crate::change::CureStep;
use crate::config::{Config, Means};
use crate::input::{Adaptor, Input};
use crate::model::{Kind, Model, count, missing};
use crate::purchase::can_have_adaptor;
use crate::sockets::empty_sockets;
use crate::stage::{Objective, Pool, Stage, answer};
use crate::twin::{Supplies, supplies};

/// What came of a choice.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(super) enum Tried {
    /// It works, with adaptors for these devices; so many go without.
    Works(Vec<String>, usize),
    /// It cannot work.
    Fails,
    /// The work that one choice may take ended before either was known.
    Unknown,
}

impl Tried {
    /// The devices with adaptors, and how many go without, where it works.
    pub(super) fn works(self) -> Option<(Vec<String>, usize)> {
        match self {
            Self::Works(tags, left) => Some((tags, left)),
            Self::Fails | Self::Unknown => None,
        }
    }
}

/// What is asked of a choice.
#[derive(Debug, Clone, Copy)]
pub(super) struct Question {
    /// Whether adaptors are bought besides.
    pub(super) buys: bool,
    /// How many devices may go without.
    pub(super) left: usize,
    /// The most work for it.
    pub(super) work: u64,
}

/// What came of things to buy. The same where what the bricks give, the sockets and the leads are the same.
pub(super) type Known = BTreeMap<(Supplies, usize, Vec<String>), Tried>;

/// Who asks: with which budget, and who counts what it takes.
pub(super) struct Asker<'a> {
    pub(super) config: &'a Config,
    pub(super) meter: &'a Meter<'a>,
}

impl Asker<'_> {
    /// The same as [`Self::with_adaptors`], asked once of all that are alike but for the bricks' names.
    pub(super) fn once(
        &self,
        known: &mut Known,
        (base, means): (&Input, &Config),
        steps: &[CureStep],
        question: Question,
    ) -> Tried {
        let (changed, changed_means) = CureStep::Several(steps.to_vec()).apply(base, means);
        // Two texts where a lead is made anew, one where all are made of another cable.
        let leads = steps.iter().flat_map(|step| match step {
            CureStep::Thicker(thicker) => vec![thicker.cable.clone()],
            CureStep::Remake { lead, cable } => {
                vec![lead.clone(), cable.as_ref().map_or_else(String::new, |cable| cable.cable.clone())]
            }
            _ => Vec::new(),
        });
        let key = (supplies(&changed, changed_means.means), empty_sockets(&changed).len(), leads.collect());
        let found = known.entry(key);
        found.or_insert_with(|| self.with_adaptors(changed, &changed_means, question)).clone()
    }

    /// The fewest adaptors, and for whom, with which as few devices go without as can be: none where `left` is zero, and no
    /// adaptors unless somebody buys them.
    pub(super) fn with_adaptors(&self, mut changed: Input, means: &Config, question: Question) -> Tried {
        let room = if question.buys { empty_sockets(&changed) } else { Vec::new() };
        if !room.is_empty() {
            for need in changed.needs.iter_mut().filter(|need| can_have_adaptor(need)) {
                need.adaptor = Some(Adaptor { room: room.clone(), to_buy: true, ..Adaptor::usual() });
            }
        }
        let model = Model::new(&changed, Means { adaptor: true, ..means.means }, false);
        let mut pool = Pool::new(&model);
        let mut stage = Stage::new(Objective::Unserved);
        let all = changed.needs.len();
        let mut remain = 0;
        if question.left == 0 {
            stage.musts = (0..all).collect();
        } else {
            let most: i64 = (0..all).map(|need| missing(&changed, need)).sum();
            match self.ask(&model, &mut pool, &stage, most + 1, question.work) {
                Ok((cost, _)) => {
                    stage.unserved = Some(cost);
                    remain = usize::try_from(cost).unwrap_or(usize::MAX);
                }
                Err(tried) => return tried,
            }
            if question.left < remain {
                return Tried::Fails;
            }
        }
        stage.objective = Objective::Bought;
        let most = count(room.len().min(all));
        let (_, chosen) = match self.ask(&model, &mut pool, &stage, most + 1, question.work) {
            Ok(found) => found,
            Err(tried) => return tried,
        };
        let given = chosen
            .iter()
            .map(|&way| &pool.ways[way])
            .filter(|way| matches!(way.kind, Kind::Adaptor(_)) && 0 < way.bought);
        Tried::Works(given.map(|way| changed.needs[way.needs[0]].tag.clone()).collect(), remain)
    }

    /// The least cost below a limit and the ways that have it; else whether there is none, or nobody knows.
    fn ask(
        &self,
        model: &Model<'_>,
        pool: &mut Pool,
        stage: &Stage,
        below: i64,
        work: u64,
    ) -> Result<(i64, Vec<usize>), Tried> {
        let nodes = self.meter.grant(self.config.nodes_each);
        if nodes == 0 {
            return Err(Tried::Unknown);
        }
        let told = answer(model, pool, stage, &Effort { nodes, work, below, enough: 0 }, self.meter);
        self.meter.spend(&told);
        match (told.chosen, told.end) {
            (Some(chosen), _) => Ok((told.cost, chosen)),
            (None, SearchEnd::Complete) => Err(Tried::Fails),
            (None, _) => Err(Tried::Unknown),
        }
    }
}

//! Bricks, adaptors and cable that feed every device: the cheapest first, and the strongest where those come to nothing.

use std::collections::BTreeMap;

use super::asked::{Known, Question, Tried};
use super::{COUNTING, LOCKS, Search, TOGETHER, TRIES, TRY, Worked, joined, unlock};
use crate::candidate::broken_locks;
use crate::change::CureStep;
use crate::config::Config;
use crate::input::Input;
use crate::kept;
use crate::outcome::Price;
use crate::purchase::{Basket, Shop};

/// Of the strongest purchases so many are tried before none is thought to work.
const STRONGEST_TRIES: usize = 3;

/// Choices of bricks by what they cost, as far as that is known, with the fewest adaptors that they could need, and once that is
/// known who has them.
type Queue = BTreeMap<(Price, Vec<usize>), (usize, Option<Vec<String>>)>;

/// A rig, and by what means it may be fed.
type Base<'a> = (&'a Input, &'a Config);

/// How purchases are gone through.
#[derive(Clone, Copy)]
struct Pass<'a> {
    /// The locks that may be given up.
    unlocked: &'a [String],
    fitting: bool,
    /// What costs no less than this is not wanted any more.
    dearest: Option<Price>,
    /// The most work for one choice.
    work: u64,
}

impl Search<'_> {
    /// Bricks, adaptors and cable that feed every device once the locks of some devices are given up, the cheapest first.
    ///
    /// A choice of which nobody knows within a little work whether it is enough is put off until the others are known.
    pub(super) fn purchases(&mut self, unlocked: &[String]) {
        let first = unlock(unlocked);
        let (base, means) = CureStep::Several(first).apply(self.input, self.config);
        let shop = Shop::new(&base, &means, self.meter);
        for fitting in [true, false] {
            // Beside what fits, what does not is told only where it costs less.
            let fits = |worked: &&Worked| worked.fits && worked.unlocks != unlocked.is_empty();
            let dearest = self.worked.iter().filter(fits).map(|worked| worked.price).min();
            let dearest = dearest.filter(|_| !fitting && self.is_cured());
            let mut known = Known::new();
            let baskets = shop.baskets(self.config.bricks, fitting, 0).into_iter();
            let mut queue: Queue =
                baskets.map(|basket| ((basket.price, basket.items), (basket.adaptors, None))).collect();
            for work in [self.config.work_each / TRY, self.config.work_each] {
                let pass = Pass { unlocked, fitting, dearest, work };
                queue = self.pass(&shop, (&base, &means), pass, queue, &mut known);
                known.retain(|_, tried| *tried != Tried::Unknown);
            }
            self.open.extend(queue.into_keys().map(|(price, _)| (!fitting, price)));
        }
        if unlocked.is_empty() && self.found.is_empty() && !self.open.is_empty() {
            self.strongest(&shop, (&base, &means));
        }
    }

    /// Goes through purchases; those that are still to be decided are handed back.
    fn pass(
        &mut self,
        shop: &Shop<'_>,
        base: Base<'_>,
        pass: Pass<'_>,
        mut queue: Queue,
        known: &mut Known,
    ) -> Queue {
        let Pass { unlocked, fitting, dearest, work } = pass;
        let mut undecided = Queue::new();
        let (mut tries, mut counting) = (0, None);
        while let Some(((price, items), (adaptors, found))) = queue.pop_first() {
            // Nobody gives up a lock in order to buy as much as without.
            let keeping = self.worked.iter().filter(|worked| worked.fits && !worked.unlocks);
            let least = keeping.map(|worked| worked.price).min();
            if !unlocked.is_empty() && least.is_some_and(|least| least <= price) {
                break;
            }
            let cheaper = self.worked.iter().filter(|worked| {
                worked.fits == fitting && worked.unlocks != unlocked.is_empty() && worked.price < price
            });
            let is_full = self.config.cures <= self.found.len();
            let is_dear = is_full && dearest.is_some_and(|dearest| dearest <= price);
            let enough = is_dear || self.config.cures <= cheaper.count();
            if enough && counting.is_none() {
                counting = Some(self.meter.worked().saturating_add(self.config.work_cures / COUNTING));
            }
            let counted = counting.is_some_and(|until| until <= self.meter.worked());
            if counted || tries == TRIES || self.is_over() {
                self.untold.is_counted &= !enough;
                self.cut_short |= !enough;
                undecided.insert((price, items), (adaptors, found));
                undecided.append(&mut queue);
                break;
            }
            let steps = shop.steps(&items);
            // What needs more is not told where less does it.
            let fits = |worked: &&Worked| worked.fits || !fitting;
            if self.worked.iter().filter(fits).any(|worked| worked.is_within(&steps, adaptors)) {
                continue;
            }
            let Some(tags) = found else {
                let before = known.len();
                let tried = self.asker().once(known, base, &steps, Question { work, ..self.question() });
                tries += known.len() - before;
                match tried {
                    // What it costs is known now, and what costs less goes first.
                    Tried::Works(tags, _) => {
                        let price = shop.of(&items, tags.len());
                        queue.insert((price, items), (tags.len(), Some(tags)));
                    }
                    Tried::Fails => {}
                    Tried::Unknown => {
                        undecided.insert((price, items), (adaptors, None));
                    }
                }
                continue;
            };
            let (unlocks, tags) = self.fewest_locks(unlocked, &steps, &tags);
            self.worked.push(Worked {
                steps: steps.clone(),
                adaptors: tags.len(),
                price,
                unlocks: !unlocks.is_empty(),
                fits: fitting,
            });
            if enough {
                self.untold.count += 1;
            } else {
                self.tell(joined(&unlock(&unlocks), steps, tags), 0);
            }
        }
        undecided
    }

    /// Every device is to be fed, adaptors are bought besides, and as much work is done as one question may take.
    fn question(&self) -> Question {
        Question { buys: true, left: 0, work: self.config.work_each }
    }

    /// The purchases that bring most, until one feeds every device, and then what costs less, by halves: for where the work ended
    /// among those that cost less.
    fn strongest(&mut self, shop: &Shop<'_>, base: Base<'_>) {
        let spare = std::mem::take(&mut self.spare);
        self.until = self.until.max(self.meter.worked().saturating_add(spare));
        let question = Question { work: self.config.work_each / TRY, ..self.question() };
        let by_gain = |a: &Basket, b: &Basket| {
            let gain = shop.gain(&b.items).total_cmp(&shop.gain(&a.items));
            gain.then_with(|| (a.price, &a.items).cmp(&(b.price, &b.items)))
        };
        for fitting in [true, false] {
            let mut known = Known::new();
            let mut baskets = shop.baskets(self.config.bricks, fitting, 0);
            baskets.sort_by(by_gain);
            let mut best = None;
            for basket in baskets.iter().take(STRONGEST_TRIES) {
                if self.is_over() || best.is_some() {
                    break;
                }
                let steps = shop.steps(&basket.items);
                let tried = self.asker().once(&mut known, base, &steps, question).works();
                best = tried.map(|(tags, _)| (shop.of(&basket.items, tags.len()), steps, tags));
            }
            let Some(mut best) = best else { continue };
            baskets.sort_by_key(|basket| (basket.price, basket.items.clone()));
            // Below the best price: what is cheaper than all that was found wanting is no longer hoped for.
            let mut hoped: Vec<Basket> =
                baskets.into_iter().take_while(|basket| basket.price < best.0).collect();
            while !hoped.is_empty() && !self.is_over() {
                let half = hoped.len().div_ceil(2);
                let Some(basket) = hoped[..half].iter().min_by(|a, b| by_gain(a, b)).cloned() else { break };
                let steps = shop.steps(&basket.items);
                match self.asker().once(&mut known, base, &steps, question).works() {
                    Some((tags, _)) if shop.of(&basket.items, tags.len()) < best.0 => {
                        best = (shop.of(&basket.items, tags.len()), steps, tags);
                        hoped.retain(|other| other.price < best.0 && other.items != basket.items);
                    }
                    _ => drop(hoped.drain(..half)),
                }
            }
            let (_, steps, tags) = best;
            self.tell(joined(&[], steps, tags), 0);
            if !self.found.is_empty() {
                self.untold.is_counted = false;
                break;
            }
        }
    }

    /// As few locks as are enough for some steps with no more adaptors, and who has these then; one or two where that does.
    fn fewest_locks(
        &self,
        unlocked: &[String],
        steps: &[CureStep],
        adaptors: &[String],
    ) -> (Vec<String>, Vec<String>) {
        let with = |locks: &[String]| {
            let mut all = unlock(locks);
            all.extend(steps.iter().cloned());
            let (before, _) = CureStep::Several(unlock(locks)).apply(self.input, self.config);
            let breaks = |step: &CureStep| match step {
                CureStep::Replace { brick, by } => !broken_locks(&before, brick, by).is_empty(),
                _ => false,
            };
            if steps.iter().any(breaks) {
                return None;
            }
            let (changed, means) = CureStep::Several(all).apply(self.input, self.config);
            let (tags, _) = self.asker().with_adaptors(changed, &means, self.question()).works()?;
            (tags.len() <= adaptors.len()).then_some(tags)
        };
        let mut locks = unlocked.to_vec();
        let most = if locks.len() <= LOCKS { TOGETHER.min(locks.len()) } else { 0 };
        for size in 0..=most {
            for set in kept::sets(&(0..locks.len()).collect::<Vec<usize>>(), size) {
                let set: Vec<String> = set.into_iter().map(|lock| locks[lock].clone()).collect();
                if set.len() < locks.len()
                    && let Some(tags) = with(&set)
                {
                    return (set, tags);
                }
            }
        }
        let (mut place, mut given) = (0, adaptors.to_vec());
        while place < locks.len() {
            let mut fewer = locks.clone();
            fewer.remove(place);
            match with(&fewer) {
                Some(tags) => (locks, given) = (fewer, tags),
                None => place += 1,
            }
        }
        (locks, given)
    }
}

//! Which devices could share an outlet: found by price, so that the many useless groups are never made.

use crate::assignment::Prices;
use crate::input::share_of;
use crate::model::{Model, Place};
use crate::stage::Stage;

/// What a group may cost at most, and how many groups are wanted.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Wanted {
    /// Groups that cost more than this at the prices are left out.
    pub(crate) reduced: f64,
    /// At most so many groups.
    pub(crate) count: usize,
    /// At most so many of them at one place with the same best device: where some are wanted of each kind and not all.
    pub(crate) each: usize,
}

/// The groups found, each with its place, and whether there were too many.
pub(crate) struct Groups {
    pub(crate) list: Vec<(Vec<usize>, Place)>,
    pub(crate) cut_short: bool,
    /// How many groups there may be before the walk goes on elsewhere, and whether there are.
    until: usize,
    is_full: bool,
}

impl Groups {
    /// Room for so many more.
    fn make_room(&mut self, wanted: Wanted) {
        self.until = self.list.len().saturating_add(wanted.each).min(wanted.count);
        self.is_full = false;
    }
}

/// Every group of two devices or more that may share an outlet and costs little enough at the prices.
///
/// What a device brings (its price, less what it uses of bank, brick, lead and splitter) adds up; what the group costs (the
/// outlet, looks) only grows with it. So a walk through the devices, the best first, may stop early.
pub(crate) fn groups(model: &Model<'_>, stage: &Stage, prices: &Prices, wanted: Wanted) -> Groups {
    let mut found = Groups { list: Vec::new(), cut_short: false, until: 0, is_full: false };
    // A shared outlet wants a splitter.
    if stage.special.is_some_and(|budget| budget < 1) {
        return found;
    }
    for place in model.places() {
        let locked = &model.classes[place.0].locked;
        let most = model.input.rules.share_most;
        if most < 2 || most < locked.len() {
            continue;
        }
        if !(model.means.share || 1 < locked.len()) {
            continue;
        }
        for sign in [rig::Sign::CentreNegative, rig::Sign::CentrePositive] {
            let mut walk = Walk::new(model, stage, prices, wanted, place, sign);
            if locked.iter().any(|need| walk.sharers.iter().all(|sharer| sharer.need != *need)) {
                continue;
            }
            walk.forced.clone_from(locked);
            walk.start(&mut found);
            if found.cut_short && wanted.count <= found.list.len() {
                return found;
            }
        }
    }
    found
}

/// What the cheapest group at a place costs at the prices that nobody is locked to; more than everything where there is none.
pub(crate) fn cheapest(model: &Model<'_>, stage: &Stage, prices: &Prices, place: Place) -> f64 {
    let mut best = f64::INFINITY;
    if model.means.share {
        for sign in [rig::Sign::CentreNegative, rig::Sign::CentrePositive] {
            let wanted = Wanted { reduced: 0.0, count: 0, each: 0 };
            let mut walk = Walk::new(model, stage, prices, wanted, place, sign);
            walk.sharers.retain(|sharer| model.input.needs[sharer.need].lock().is_none());
            walk.cheapest(&mut Vec::new(), 0, &mut best);
        }
    }
    best
}

/// A device that may share at the place.
#[derive(Debug, Clone, Copy)]
struct Sharer {
    need: usize,
    current: i64,
    loud: bool,
    surge: Option<i64>,
    /// Its price, less what it uses.
    brings: f64,
}

struct Walk<'a> {
    model: &'a Model<'a>,
    stage: &'a Stage,
    wanted: Wanted,
    place: Place,
    sharers: Vec<Sharer>,
    forced: Vec<usize>,
    /// What the outlet costs, less the leg that the first device does not need, and each look.
    base: f64,
    look: f64,
    /// What the outlet gives.
    gives: i64,
    /// The load to stop at and the loads to look at.
    stop: i64,
    look_at: [i64; 2],
}

impl<'a> Walk<'a> {
    fn new(
        model: &'a Model<'a>,
        stage: &'a Stage,
        prices: &Prices,
        wanted: Wanted,
        place: Place,
        sign: rig::Sign,
    ) -> Self {
        let (input, setting) = (model.input, model.setting(place));
        let (look, special) = stage.rates(prices);
        let mut sharers: Vec<Sharer> = Vec::new();
        for (need, device) in input.needs.iter().enumerate() {
            let company =
                !device.unknown.draw && (device.lock().is_some() || !device.unknown.keeps_to_itself());
            let may = !device.ac
                && !device.alone
                && !device.positive_ground
                && device.sign == Some(sign)
                && company;
            if !may || stage.is_absent(need) || !model.suits(device, place) || prices.item.len() <= need {
                continue;
            }
            let mut uses = Vec::new();
            model.draws(need, place, device.current_ua, &mut uses);
            let used: f64 =
                uses.iter().map(|&(row, amount)| prices.row[row] * crate::assignment::real(amount)).sum();
            let lead = special * crate::assignment::real(model.special_of(device, place.0));
            let way = stage.length_rate() * crate::assignment::real(model.distance(need, place.0));
            // Each leg of a splitter costs; the first device needs none.
            let brings = prices.item[need] - used - lead - way - special;
            sharers.push(Sharer {
                need,
                current: device.current_ua,
                loud: device.loud,
                surge: device.surge_ua,
                brings,
            });
        }
        sharers.sort_by(|a, b| b.brings.total_cmp(&a.brings).then(a.need.cmp(&b.need)));
        let rules = &input.rules;
        Self {
            model,
            stage,
            wanted,
            place,
            sharers,
            forced: Vec::new(),
            base: prices.row[place.0] - special,
            look,
            gives: setting.ua,
            stop: share_of(setting.ua, rules.outlet_stop_ppm).min(stage.most_load(setting.ua)),
            look_at: [share_of(setting.ua, rules.outlet_look_ppm), rules.shared_look_ua],
        }
    }

    fn start(&mut self, found: &mut Groups) {
        let (mut group, free): (Vec<Sharer>, Vec<Sharer>) = std::mem::take(&mut self.sharers)
            .into_iter()
            .partition(|sharer| self.forced.contains(&sharer.need));
        self.sharers = free.into_iter().filter(|sharer| !self.is_locked(sharer.need)).collect();
        found.make_room(self.wanted);
        if 2 <= group.len() {
            self.offer(&group, found);
        }
        let own = group.len();
        self.extend(&mut group, 0, own, found);
    }

    /// Locked somewhere: it shares only where it is forced to.
    fn is_locked(&self, need: usize) -> bool {
        self.model.input.needs[need].lock().is_some()
    }

    fn looks(&self, group: &[Sharer]) -> i64 {
        let load: i64 = group.iter().map(|sharer| sharer.current).sum();
        let over = self.look_at.iter().filter(|&&look| look < load).count();
        let starving =
            |sharer: &&Sharer| sharer.surge.is_some_and(|surge| self.gives - (load - sharer.current) < surge);
        crate::model::count(over + group.iter().filter(starving).count())
            + i64::from(group.iter().any(|sharer| sharer.loud))
    }

    /// What a group costs, less what its devices bring.
    fn reduced(&self, group: &[Sharer]) -> f64 {
        let brings: f64 = group.iter().map(|sharer| sharer.brings).sum();
        self.base + self.look * crate::assignment::real(self.looks(group)) - brings
    }

    /// The best that a group may come to that takes in those from a place on.
    fn at_best(&self, group: &[Sharer], from: usize) -> f64 {
        let room = self.model.input.rules.share_most.saturating_sub(group.len());
        let rest: f64 = self.sharers[from..].iter().take(room).map(|sharer| sharer.brings.max(0.0)).sum();
        self.reduced(group) - rest
    }

    fn cheapest(&self, group: &mut Vec<Sharer>, from: usize, best: &mut f64) {
        let load: i64 = group.iter().map(|sharer| sharer.current).sum();
        for index in from..self.sharers.len() {
            if self.model.input.rules.share_most <= group.len() || *best <= self.at_best(group, index) {
                return;
            }
            let next = self.sharers[index];
            if self.stop < load + next.current {
                continue;
            }
            group.push(next);
            if 2 <= group.len() {
                *best = best.min(self.reduced(group));
            }
            self.cheapest(group, index + 1, best);
            group.pop();
        }
    }

    fn offer(&self, group: &[Sharer], found: &mut Groups) {
        if self.reduced(group) <= self.wanted.reduced && self.looks(group) <= self.stage.most_looks() {
            if found.until <= found.list.len() {
                (found.cut_short, found.is_full) = (true, true);
                return;
            }
            let mut needs: Vec<usize> = group.iter().map(|sharer| sharer.need).collect();
            needs.sort_unstable();
            found.list.push((needs, self.place));
        }
    }

    fn extend(&self, group: &mut Vec<Sharer>, from: usize, own: usize, found: &mut Groups) {
        let most = self.model.input.rules.share_most;
        if group.len() == most {
            return;
        }
        let load: i64 = group.iter().map(|sharer| sharer.current).sum();
        for index in from..self.sharers.len() {
            // The best that can still come: this one and those after it, as many as there is room for.
            if self.wanted.reduced < self.at_best(group, index) {
                return;
            }
            let next = self.sharers[index];
            if self.stop < load + next.current {
                continue;
            }
            if group.len() == own {
                found.make_room(self.wanted);
            }
            group.push(next);
            if 2 <= group.len() {
                self.offer(group, found);
            }
            if !found.is_full {
                self.extend(group, index + 1, own, found);
            }
            group.pop();
            if found.is_full && (own < group.len() || self.wanted.count <= found.list.len()) {
                return;
            }
        }
    }
}

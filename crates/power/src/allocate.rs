//! The objectives one after the other, and from classes of outlets to the outlets themselves.

use std::cell::Cell;

use rig::PortRef;

use crate::assignment::{Effort, SearchEnd, Watch};
use crate::config::Config;
use crate::input::Input;
use crate::model::{Kind, Model, Place, WHOLE, Way, margin, missing};
use crate::outcome::{Feed, Objective};
use crate::stage::{self, Pool, Stage, StageAnswer, answer, looks_of};

/// What share of the work for all objectives, one part in so many, they take where not all devices can be fed.
const STOPGAP: u64 = 3;

/// Feeds with what they reach and what cannot be beaten.
#[derive(Debug, Clone)]
pub(crate) struct Allocated {
    pub(crate) feeds: Vec<Feed>,
    pub(crate) unserved: Vec<usize>,
    pub(crate) unserved_bound: i64,
    pub(crate) objective: Objective,
    pub(crate) bound: Objective,
    pub(crate) stopped: bool,
}

/// Counts nodes over all questions, and passes the question whether to stop on.
pub(crate) struct Meter<'a> {
    used: Cell<u64>,
    nodes: u64,
    worked: Cell<u64>,
    watch: &'a dyn Watch,
    stopped: Cell<bool>,
}

impl<'a> Meter<'a> {
    pub(crate) fn new(nodes: u64, watch: &'a dyn Watch) -> Self {
        Self::after(0, nodes, watch)
    }

    /// One that goes on from the nodes of an earlier search.
    pub(crate) fn after(used: u64, nodes: u64, watch: &'a dyn Watch) -> Self {
        Self { used: Cell::new(used), nodes, worked: Cell::new(0), watch, stopped: Cell::new(false) }
    }

    pub(crate) fn used(&self) -> u64 {
        self.used.get()
    }

    pub(crate) fn stopped(&self) -> bool {
        self.stopped.get()
    }

    /// What a question may use that asks for so much.
    pub(crate) fn grant(&self, nodes: u64) -> u64 {
        if self.stopped.get() { 0 } else { nodes.min(self.nodes.saturating_sub(self.used.get())) }
    }

    pub(crate) fn spend(&self, told: &StageAnswer) {
        self.used.set(self.used.get() + told.nodes);
        self.worked.set(self.worked.get().saturating_add(told.work));
    }

    /// The work done so far, in multiplications or what takes as long.
    pub(crate) fn worked(&self) -> u64 {
        self.worked.get()
    }
}

impl Watch for Meter<'_> {
    fn stop(&self, nodes: u64) -> bool {
        let stop = self.stopped.get() || self.watch.stop(self.used.get() + nodes);
        self.stopped.set(stop);
        stop
    }
}

/// Which devices can be served together at best: the first question of all.
pub(crate) struct Served {
    /// Ways chosen, as positions in the pool.
    pub(crate) chosen: Vec<usize>,
    /// Devices without a feed.
    pub(crate) dropped: Vec<usize>,
    /// No choice drops fewer.
    pub(crate) bound: i64,
}

/// What became of the question whether devices can all be served.
pub(crate) struct Asked {
    /// Whether they can; `None` where the budget is not enough to tell.
    pub(crate) all: Option<bool>,
    /// What each of them would pay to be fed: where they cannot all be, those that pay nothing are not why.
    pub(crate) pays: Vec<f64>,
}

/// Asks whether all devices of an input can be served.
pub(crate) fn ask_all(input: &Input, config: &Config, meter: &Meter<'_>) -> Asked {
    let model = Model::new(input, config.means, false);
    let all: Vec<usize> = (0..input.needs.len()).collect();
    ask(&model, &mut Pool::new(&model), &all, config, meter)
}

/// Asks whether some devices can be served, the others being away.
pub(crate) fn ask(
    model: &Model<'_>,
    pool: &mut Pool,
    needs: &[usize],
    config: &Config,
    meter: &Meter<'_>,
) -> Asked {
    let mut stage = Stage::new(stage::Objective::Unserved).of(needs, model);
    stage.musts = needs.to_vec();
    let nodes = meter.grant(config.nodes_each);
    if nodes == 0 {
        return Asked { all: None, pays: Vec::new() };
    }
    let effort = Effort { nodes, work: config.work_each, below: 1, enough: 0 };
    let told = answer(model, pool, &stage, &effort, meter);
    meter.spend(&told);
    let all = match (told.chosen, told.end) {
        (Some(_), _) => Some(true),
        (None, SearchEnd::Complete) => Some(false),
        (None, _) => None,
    };
    Asked { all, pays: needs.iter().filter_map(|&need| told.prices.item.get(need).copied()).collect() }
}

/// As many devices as can be, of all or of `among`; `musts` may not be dropped. `None` when they cannot all be served (or
/// nobody knows, then the meter is at its end).
pub(crate) fn serve(
    model: &Model<'_>,
    pool: &mut Pool,
    among: Option<&[usize]>,
    musts: &[usize],
    (nodes, work): (u64, u64),
    meter: &Meter<'_>,
) -> (Option<Served>, SearchEnd) {
    let all: Vec<usize> = (0..model.input.needs.len()).collect();
    let among = among.unwrap_or(&all);
    let mut stage = Stage::new(stage::Objective::Unserved).of(among, model);
    stage.musts = musts.to_vec();
    let nodes = meter.grant(nodes);
    if nodes == 0 {
        return (None, if meter.stopped() { SearchEnd::Stopped } else { SearchEnd::Budget });
    }
    let most: i64 = among.iter().map(|&need| missing(model.input, need)).sum();
    let below = if musts.len() == among.len() { 1 } else { most + 1 };
    let effort = Effort { nodes, work, below, enough: 0 };
    let told = answer(model, pool, &stage, &effort, meter);
    meter.spend(&told);
    let served = told.chosen.map(|chosen| {
        let dropped = chosen
            .iter()
            .filter(|&&way| pool.ways[way].kind == Kind::Drop)
            .flat_map(|&way| pool.ways[way].needs.clone())
            .collect();
        Served { chosen, dropped, bound: told.bound }
    });
    (served, told.end)
}

/// Objectives in their order. Where it is known that `all` can be served, none is given up in the search for how.
pub(crate) fn allocate(input: &Input, config: &Config, all: bool, meter: &Meter<'_>) -> Allocated {
    let model = Model::new(input, config.means, false);
    let mut pool = Pool::new(&model);
    let musts: Vec<usize> = if all { (0..input.needs.len()).collect() } else { Vec::new() };
    let effort = |nodes: u64| (nodes, config.work.max(config.work_each));
    let mut served = serve(&model, &mut pool, None, &musts, effort(config.nodes_each), meter).0;
    if served.is_none() && all {
        served = serve(&model, &mut pool, None, &[], effort(config.nodes_each.min(50)), meter).0;
    }
    let Some(served) = served else {
        let unserved = (0..input.needs.len()).collect();
        return Allocated {
            feeds: Vec::new(),
            unserved,
            unserved_bound: 0,
            objective: Objective { margin_permille: WHOLE, ..Objective::default() },
            bound: Objective { margin_permille: WHOLE, ..Objective::default() },
            stopped: meter.stopped(),
        };
    };
    // Feeds that leave some out are a stopgap, and what would help is more urgent than whether they are the best of their kind.
    let work = if served.dropped.is_empty() { config.work } else { config.work / STOPGAP };
    let until = meter.worked().saturating_add(work);
    let unserved = served.dropped.iter().map(|&need| missing(input, need)).sum();
    let mut search = Search { model: &model, pool, chosen: served.chosen, unserved, meter, config, until };
    let (looks, looks_bound) = search.least(stage::Objective::Looks, None, None);
    let (special, special_bound) = search.least(stage::Objective::Special, Some(looks), None);
    let (margin, margin_bound) = search.widest_margin(looks, special);
    let mut feeds = expand(&model, &search.ways());
    let (length, length_bound) = search.shortest(&mut feeds, looks, special, margin);
    let fed: Vec<usize> = feeds.iter().map(|feed| feed.need).collect();
    let unserved: Vec<usize> = (0..input.needs.len()).filter(|need| !fed.contains(need)).collect();
    Allocated {
        feeds,
        unserved,
        unserved_bound: served.bound,
        objective: Objective { looks, special, margin_permille: margin, length_mm: length },
        bound: Objective {
            looks: looks_bound,
            special: special_bound,
            margin_permille: margin_bound,
            length_mm: length_bound,
        },
        stopped: meter.stopped(),
    }
}

struct Search<'a> {
    model: &'a Model<'a>,
    pool: Pool,
    /// The best choice so far, as positions in the pool.
    chosen: Vec<usize>,
    unserved: i64,
    meter: &'a Meter<'a>,
    config: &'a Config,
    /// The work after which no more is asked.
    until: u64,
}

impl Search<'_> {
    /// The effort for one more question; `None` where nothing is left for it.
    fn effort(&self, nodes: u64, below: i64, enough: i64) -> Option<Effort> {
        let nodes = self.meter.grant(nodes);
        let work = self.until.saturating_sub(self.meter.worked()).min(self.config.work_each);
        (0 < nodes && 0 < work).then_some(Effort { nodes, work, below, enough })
    }

    fn ways(&self) -> Vec<&Way> {
        self.chosen.iter().map(|&way| &self.pool.ways[way]).collect()
    }

    /// The value of an objective for the present choice.
    fn value(&self, objective: stage::Objective) -> i64 {
        let ways = self.ways();
        match objective {
            stage::Objective::Looks => looks_of(self.model, &ways),
            stage::Objective::Special => ways.iter().map(|way| way.special).sum(),
            stage::Objective::Unserved | stage::Objective::Bought | stage::Objective::Length => 0,
        }
    }

    fn stage(&self, objective: stage::Objective, looks: Option<i64>, special: Option<i64>) -> Stage {
        let mut stage = Stage::new(objective);
        stage.unserved = Some(self.unserved);
        stage.looks = looks;
        stage.special = special;
        stage
    }

    /// Makes an objective as small as it gets; the value and what cannot be beaten.
    fn least(&mut self, objective: stage::Objective, looks: Option<i64>, special: Option<i64>) -> (i64, i64) {
        let now = self.value(objective);
        let effort = self.effort(self.config.nodes_each, now, 0);
        let Some(effort) = effort.filter(|_| now != 0) else { return (now, 0) };
        let stage = self.stage(objective, looks, special);
        let told = answer(self.model, &mut self.pool, &stage, &effort, self.meter);
        self.meter.spend(&told);
        if let Some(chosen) = told.chosen {
            self.chosen = chosen;
        }
        let value = self.value(objective);
        let bound = if told.end == SearchEnd::Complete { value } else { told.bound.min(value) };
        (value, bound)
    }

    fn margin(&self) -> i64 {
        self.ways().iter().map(|way| way.margin).min().unwrap_or(WHOLE)
    }

    /// Makes the worst margin as wide as it gets, by halving those that may be.
    fn widest_margin(&mut self, looks: i64, special: i64) -> (i64, i64) {
        // No device can have more than its best way gives, unless it may go without.
        let best_of = |need: usize| {
            let ways =
                self.pool.ways.iter().filter(|way| way.needs.contains(&need) && way.kind != Kind::Drop);
            ways.map(|way| way.margin).max().unwrap_or(WHOLE).max(self.beside_locked(need))
        };
        let top = if self.unserved == 0 {
            (0..self.model.input.needs.len()).map(best_of).min().unwrap_or(WHOLE)
        } else {
            WHOLE
        };
        // Groups that are not made yet may have margins between: sums of draws. A margin is met, not guessed, so the
        // search goes over whole thousandths.
        let (mut low, mut high) = (self.margin(), top);
        let mut proven = high;
        let mut first = true;
        while low < high {
            let effort = self.effort(self.config.nodes_each, special + 1, special);
            let Some(effort) = effort else { break };
            let aim = if first { high } else { low + (high - low + 1) / 2 };
            first = false;
            let mut stage = self.stage(stage::Objective::Special, Some(looks), None);
            stage.margin = aim;
            let told = answer(self.model, &mut self.pool, &stage, &effort, self.meter);
            self.meter.spend(&told);
            match told.chosen {
                Some(chosen) => {
                    self.chosen = chosen;
                    low = self.margin();
                }
                None => {
                    high = aim - 1;
                    if told.end == SearchEnd::Complete {
                        let next = told.next_margin(self.model, &mut self.pool, low, special + 1);
                        high = next.unwrap_or(high).min(high);
                        proven = proven.min(high);
                    }
                }
            }
        }
        (low, proven.max(low))
    }

    /// The widest margin that a device could have as a guest of those that are locked to an outlet; never alone there, it has
    /// no way of its own.
    fn beside_locked(&self, need: usize) -> i64 {
        let (model, device) = (self.model, &self.model.input.needs[need]);
        let guest = |place: &Place| {
            let locked = &model.classes[place.0].locked;
            !locked.is_empty() && !locked.contains(&need) && model.suits(device, *place)
        };
        let with = |place: Place| {
            let others: i64 =
                model.classes[place.0].locked.iter().map(|&other| model.draw(other, place)).sum();
            margin(model.setting(place).ua, model.draw(need, place) + others)
        };
        model.places().filter(guest).map(with).max().unwrap_or(-WHOLE)
    }

    /// Makes the leads as short as the budget allows, where anything is placed.
    fn shortest(
        &mut self,
        feeds: &mut Vec<Feed>,
        looks: i64,
        special: i64,
        margin: i64,
    ) -> (Option<i64>, Option<i64>) {
        let input = self.model.input;
        if !input.distances.iter().flatten().any(Option::is_some) {
            return (None, None);
        }
        swap_nearer(self.model, feeds);
        let now = length_of(input, feeds);
        let effort = self.effort(self.config.nodes_length, now, 0);
        let Some(effort) = effort else { return (Some(now), Some(0)) };
        let model = Model::new(input, self.config.means, true);
        let mut pool = Pool::new(&model);
        for way in regrouped(&model, feeds) {
            pool.add(way);
        }
        let mut stage = self.stage(stage::Objective::Length, Some(looks), Some(special));
        stage.margin = margin;
        let told = answer(&model, &mut pool, &stage, &effort, self.meter);
        self.meter.spend(&told);
        if let Some(chosen) = &told.chosen {
            let ways: Vec<&Way> = chosen.iter().map(|&way| &pool.ways[way]).collect();
            let mut nearer = expand(&model, &ways);
            swap_nearer(self.model, &mut nearer);
            if length_of(input, &nearer) < now {
                *feeds = nearer;
            }
        }
        let length = length_of(input, feeds);
        let bound =
            if told.end == SearchEnd::Complete { told.cost.min(length) } else { told.bound.min(length) };
        (Some(length), Some(bound))
    }
}

/// The present groups at every outlet that could take them.
fn regrouped(model: &Model<'_>, feeds: &[Feed]) -> Vec<Way> {
    let mut groups: Vec<Vec<usize>> = Vec::new();
    for feed in feeds.iter().filter(|feed| feed.kind == rig::FeedKind::Single) {
        let sharers = feeds.iter().filter(|other| other.outlets == feed.outlets);
        let needs: Vec<usize> = sharers.map(|other| other.need).collect();
        if 1 < needs.len() && !groups.contains(&needs) {
            groups.push(needs);
        }
    }
    groups.iter().flat_map(|needs| model.places().filter_map(|place| model.single(needs, place))).collect()
}

/// Millimetres of lead as far as known.
pub(crate) fn length_of(input: &Input, feeds: &[Feed]) -> i64 {
    feeds
        .iter()
        .flat_map(|feed| feed.outlets.iter().map(|&outlet| (feed.need, outlet)))
        .filter_map(|(need, outlet)| *input.distances.get(need)?.get(outlet)?)
        .sum()
}

/// From classes to outlets: ways in document order of their first device take the first outlets that are left.
pub(crate) fn expand(model: &Model<'_>, ways: &[&Way]) -> Vec<Feed> {
    let input = model.input;
    let mut left: Vec<std::collections::VecDeque<usize>> =
        model.classes.iter().map(|class| class.members.iter().copied().collect()).collect();
    let mut sockets: Vec<Vec<String>> = input.strips.iter().map(|strip| strip.free.clone()).collect();
    let mut feeds: Vec<Feed> = Vec::new();
    let mut sorted: Vec<&&Way> = ways.iter().collect();
    sorted.sort_by_key(|way| way.needs.clone());
    for (strip, name) in input.needs.iter().filter_map(|need| need.adaptor.as_ref()?.socket.as_ref()) {
        if !sockets[*strip].contains(name) {
            sockets[*strip].push(name.clone());
        }
    }
    // Whoever stays in its socket comes before whoever has to look for one.
    sorted.sort_by_key(|way| !way.needs.iter().any(|&need| input.needs[need].lock().is_some()));
    let stays: Vec<(usize, String)> = sorted
        .iter()
        .filter_map(|way| match way.kind {
            Kind::Adaptor(Some(strip)) => {
                input.needs[way.needs[0]].adaptor.as_ref()?.socket.clone().filter(|own| own.0 == strip)
            }
            _ => None,
        })
        .collect();
    for way in sorted {
        let outlets: Vec<usize> = way.places.iter().filter_map(|place| left[place.0].pop_front()).collect();
        for &need in &way.needs {
            let device = &input.needs[need];
            let feed = match way.kind {
                Kind::Drop => continue,
                Kind::Adaptor(strip) => Feed {
                    need,
                    kind: rig::FeedKind::Adaptor,
                    outlets: Vec::new(),
                    setting_mv: 0,
                    crossing: false,
                    barrel_adaptor: None,
                    socket: strip.and_then(|strip| {
                        let own = device.adaptor.as_ref().and_then(|adaptor| adaptor.socket.clone());
                        let room = device.adaptor.as_ref().map_or(&[][..], |adaptor| &adaptor.room);
                        let name = socket(own, strip, &mut sockets[strip], &stays, room)?;
                        Some(PortRef::new(&input.strips[strip].tag, name))
                    }),
                },
                Kind::Single | Kind::Series | Kind::Parallel => {
                    let first = model.outlet(way.places[0].0);
                    let barrel =
                        way.places.iter().any(|place| device.adapted(model.outlet(place.0)) == Some(true));
                    Feed {
                        need,
                        kind: match way.kind {
                            Kind::Series => rig::FeedKind::SeriesPair,
                            Kind::Parallel => rig::FeedKind::ParallelPair,
                            _ => rig::FeedKind::Single,
                        },
                        outlets: outlets.clone(),
                        setting_mv: model.setting(way.places[0]).mv,
                        crossing: device.sign.is_some() && device.sign != first.sign,
                        barrel_adaptor: device.inlet_id().filter(|_| barrel),
                        socket: None,
                    }
                }
            };
            feeds.push(feed);
        }
    }
    feeds.sort_by_key(|feed| feed.need);
    feeds
}

/// The socket an adaptor takes: the one it sits in, else the first with room for it that nobody sits in.
fn socket(
    own: Option<(usize, String)>,
    strip: usize,
    free: &mut Vec<String>,
    stays: &[(usize, String)],
    room: &[(usize, String)],
) -> Option<String> {
    let own =
        own.filter(|(at, _)| *at == strip).and_then(|(_, name)| free.iter().position(|other| *other == name));
    let empty = || {
        let has = |list: &[(usize, String)], name: &String| {
            list.iter().any(|(at, other)| *at == strip && other == name)
        };
        free.iter().position(|name| has(room, name) && !has(stays, name))
    };
    let place = own.or_else(empty)?;
    Some(free.remove(place))
}

/// Lets alike outlets change places, and moves feeds to free ones, as long as that shortens the leads.
fn swap_nearer(model: &Model<'_>, feeds: &mut [Feed]) {
    let input = model.input;
    for class in &model.classes {
        let mut better = true;
        while better {
            better = false;
            for (index, &a) in class.members.iter().enumerate() {
                for &b in &class.members[index + 1..] {
                    let before = length_of(input, feeds);
                    exchange(feeds, a, b);
                    if length_of(input, feeds) < before {
                        better = true;
                    } else {
                        exchange(feeds, a, b);
                    }
                }
            }
        }
    }
}

fn exchange(feeds: &mut [Feed], a: usize, b: usize) {
    for outlet in feeds.iter_mut().flat_map(|feed| &mut feed.outlets) {
        if *outlet == a {
            *outlet = b;
        } else if *outlet == b {
            *outlet = a;
        }
    }
}

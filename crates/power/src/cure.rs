//! Ways out of a conflict: each is tried on the whole rig before it is told.
//!
//! Steps that buy nothing come first, then things to buy, the cheapest first. Which devices get an adaptor is not guessed: the
//! search that feeds all with the fewest adaptors says so. Locks stay, whatever is bought; where less must be bought once some
//! are given up, that is told as well, with as few of them as do. At last what feeds most of them is told.

mod asked;
mod buying;
mod remaking;

use std::collections::BTreeSet;

use crate::allocate::{Allocated, Meter};
use crate::change::CureStep;
use crate::config::{Config, Means};
use crate::conflict::servable;
use crate::input::{Input, Need};
use crate::outcome::{Conflict, Cure, Feed, Price, Untold};
use crate::purchase::Shop;
use crate::{change, kept};
use asked::{Asker, Known, Question};

/// Choices of things to buy that are searched, and told, when counting leaves hope.
const TRIES: usize = 1000;
const PARTIAL_TRIES: usize = 30;
const PARTIAL: usize = 2;
/// What share of the work for cures goes, one in so many, into counting those that cost more than all that are told.
const COUNTING: u64 = 16;
/// What share of the work for cures is kept back, one part in so many, for the purchases that bring most: where the cheapest find
/// nothing before their work ends, one that works is worth more than none.
const STRONGEST: u64 = 4;
/// What share of the work for one question, one part in so many, one purchase may take before it is put off until the others are
/// known.
const TRY: u64 = 4;
/// What share of the work for an allocation, one part in so many, the feeds that follow from one cure may take.
const FOLLOWING: u64 = 6;
/// Sets of locks to give up are tried one by one up to this size, and among at most so many locks.
const TOGETHER: usize = 2;
const LOCKS: usize = 12;

/// Cures that work, and whether more was to be tried when the work for it ended.
pub(crate) struct Cures {
    /// Those that feed all before those that leave some, what fits before what does not, then the cheapest.
    pub(crate) found: Vec<Cure>,
    pub(crate) untold: Untold,
    pub(crate) cut_short: bool,
}

/// Looks for what would help where devices go without that count for `missing`.
pub(crate) fn cures(
    input: &Input,
    config: &Config,
    (conflicts, missing): (&[Conflict], i64),
    meter: &Meter<'_>,
) -> Cures {
    let within: BTreeSet<&str> =
        conflicts.iter().flat_map(|conflict| &conflict.devices).map(String::as_str).collect();
    let spare = config.work_cures / STRONGEST;
    let until = meter.worked().saturating_add(config.work_cures - spare);
    let (found, worked, open) = (Vec::new(), Vec::new(), Vec::new());
    let mut search = Search {
        input,
        config,
        meter,
        until,
        spare,
        found,
        worked,
        open,
        untold: Untold::default(),
        cut_short: false,
    };
    search.free(&within);
    search.purchases(&[]);
    // What was not needed for the strongest is there for what comes next.
    search.until = search.until.saturating_add(std::mem::take(&mut search.spare));
    search.locks_and_purchases();
    if !search.is_cured() {
        search.partial(usize::try_from(missing).unwrap_or(usize::MAX));
    }
    let cut_short = search.cut_short || search.is_over();
    let (mut found, mut untold, open) = (search.found, search.untold, search.open);
    let key = |cure: &Cure| (cure.leaves.len(), !cure.fits, cure.price);
    found.sort_by(|a, b| key(a).cmp(&key(b)).then_with(|| a.name.cmp(&b.name)));
    let first = found.first().filter(|cure| cure.leaves.is_empty());
    let first = first.map(|cure| (!cure.fits, cure.price));
    untold.is_open = first.is_some_and(|first| open.iter().any(|open| *open < first));
    keep_cheapest(&mut found, config.cures);
    let (told, rest) = found.split_at(found.len().min(config.cures));
    let dearest = told.iter().filter(|cure| cure.leaves.is_empty()).map(|cure| cure.price).max();
    let is_cheaper = |cure: &Cure| cure.leaves.is_empty() && dearest.is_some_and(|told| cure.price < told);
    untold.is_cheaper |= rest.iter().any(is_cheaper);
    untold.count += rest.len();
    found.truncate(config.cures);
    Cures { found, untold, cut_short }
}

/// Moves what costs less than all that fit among those that are told, although it does not fit.
fn keep_cheapest(found: &mut Vec<Cure>, told: usize) {
    let whole = |cure: &&Cure| cure.leaves.is_empty();
    let least = found.iter().filter(whole).filter(|cure| cure.fits).map(|cure| cure.price).min();
    let Some(least) = least else { return };
    let other = |cure: &Cure| cure.leaves.is_empty() && !cure.fits && cure.price < least;
    if let Some(at) = found.iter().position(other).filter(|&at| 0 < told && told <= at) {
        let cure = found.remove(at);
        found.insert(told - 1, cure);
    }
}

/// Things to buy that feed every device.
struct Worked {
    steps: Vec<CureStep>,
    adaptors: usize,
    /// What they cost, locks and feeds left aside.
    price: Price,
    /// Whether locks are given up as well.
    unlocks: bool,
    fits: bool,
}

impl Worked {
    /// Whether nothing is bought that the others do not buy as well.
    fn is_within(&self, steps: &[CureStep], adaptors: usize) -> bool {
        let (own, other) = (kinds(&self.steps), kinds(steps));
        let is_fewer = own.len() < other.len() && contains(&other, &own);
        // The same leads made anew of other cable.
        let is_remade = own == other && self.steps.iter().all(|step| matches!(step, CureStep::Remake { .. }));
        (is_fewer || is_remade && !own.is_empty() || contains(steps, &self.steps))
            && self.adaptors <= adaptors
    }
}

/// What steps buy, wherever it goes.
fn kinds(steps: &[CureStep]) -> Vec<&str> {
    let mut all: Vec<&str> =
        steps.iter().flat_map(CureStep::brings).map(|candidate| candidate.kind.as_str()).collect();
    for step in steps {
        match step {
            CureStep::Thicker(thicker) => all.push(&thicker.cable),
            CureStep::Remake { lead, .. } => all.push(lead),
            _ => {}
        }
    }
    all
}

struct Search<'a> {
    input: &'a Input,
    config: &'a Config,
    meter: &'a Meter<'a>,
    /// The work after which nothing more is tried.
    until: u64,
    /// Work that is kept back for the strongest purchases, should the cheapest find nothing.
    spare: u64,
    found: Vec<Cure>,
    worked: Vec<Worked>,
    /// What was not tried to the end: whether it has no room, and what it costs at least.
    open: Vec<(bool, Price)>,
    untold: Untold,
    /// Whether something was left untried.
    cut_short: bool,
}

impl Search<'_> {
    fn asker(&self) -> Asker<'_> {
        Asker { config: self.config, meter: self.meter }
    }

    /// The cures that feed every device, can be pressed and fit.
    fn whole(&self) -> impl Iterator<Item = &Cure> {
        self.found.iter().filter(|cure| cure.edit.is_some() && cure.leaves.is_empty() && cure.fits)
    }

    fn is_cured(&self) -> bool {
        self.whole().next().is_some()
    }

    /// Whether no more is to be tried.
    fn is_over(&self) -> bool {
        self.meter.stopped() || self.until <= self.meter.worked()
    }

    /// Whether every device can be served once a change is made.
    fn works(&self, change: &CureStep) -> bool {
        let (changed, means) = change.apply(self.input, self.config);
        let all: Vec<usize> = (0..changed.needs.len()).collect();
        servable(&changed, &all, &means, self.meter) == Some(true)
    }

    /// Adds a cure, unless after all it leaves more devices than it should.
    fn tell(&mut self, change: CureStep, leaves: usize) {
        let (changed, means) = change.apply(self.input, self.config);
        // Where all can be fed, that was found within the nodes for one question.
        let nodes_each = if leaves == 0 { means.nodes_each } else { means.nodes_each.min(50) };
        let work = means.work / FOLLOWING;
        let quick = Config { nodes_each, nodes_length: 0, work, ..means };
        let allocated = kept::allocate(&changed, &quick, leaves == 0, self.meter);
        let left = kept::missing(&changed, &allocated.unserved);
        let most = i64::try_from(leaves).unwrap_or(i64::MAX);
        if most < left || self.found.iter().any(|cure| cure.change == change) {
            return;
        }
        let cure = self.cure(change, &changed, &allocated);
        if !harms(&changed, &allocated, &cure.leaves) {
            self.found.push(cure);
        }
    }

    fn cure(&self, change: CureStep, changed: &Input, allocated: &Allocated) -> Cure {
        let leaves: Vec<String> =
            allocated.unserved.iter().map(|&need| changed.needs[need].tag.clone()).collect();
        let mut name = change.name(self.input);
        if !leaves.is_empty() {
            name = format!("{name}: feeds all but {}", crate::list::list(&leaves));
        }
        let moved: Vec<&Feed> =
            allocated.feeds.iter().filter(|feed| is_moved(self.input, changed, feed)).collect();
        let mut price = change.price(self.config);
        let edit = change.edit(self.input, changed, &allocated.feeds, &name);
        // What goes without stays plugged in where nobody else is put.
        let gone =
            leaves.iter().filter(|tag| change::is_unplugged(self.input, changed, &allocated.feeds, tag));
        let rewired = moved.iter().map(|feed| &changed.needs[feed.need].tag).chain(gone);
        price.unmade = self.input.made_leads(rewired, &change.remade());
        price.work += moved.len();
        Cure {
            edit,
            fits: change::fits(self.input, &change),
            follows: allocated
                .feeds
                .iter()
                .filter(|feed| is_moved(self.input, changed, feed) || is_reset(self.input, feed))
                .map(|feed| follows(changed, feed))
                .collect(),
            refed: moved.iter().map(|feed| changed.needs[feed.need].tag.clone()).collect(),
            name,
            price,
            leaves,
            change,
        }
    }

    /// What buys nothing.
    fn free(&mut self, within: &BTreeSet<&str>) {
        let locked = self.locked();
        let mut changes: Vec<CureStep> =
            locked.iter().map(|tag| CureStep::Unlock(vec![tag.clone()])).collect();
        changes.extend(self.other_settings());
        changes.extend(self.means());
        changes.extend(self.questions(within));
        for change in changes {
            if !self.is_over() && self.works(&change) {
                self.tell(change, 0);
            }
        }
        self.remake();
        let one_is_enough = self.found.iter().any(|cure| matches!(cure.change, CureStep::Unlock(_)));
        if 1 < locked.len() && !one_is_enough && self.works(&CureStep::Unlock(locked.clone())) {
            self.tell(CureStep::Unlock(self.few(locked)), 0);
        }
    }

    /// Other voltages of the outlets that devices are locked to.
    fn other_settings(&self) -> Vec<CureStep> {
        let mut changes = Vec::new();
        for need in &self.input.needs {
            let Some(lock) = need.lock() else { continue };
            let Some(&first) = lock.outlets.first() else { continue };
            let of = &self.input.outlets[first];
            let times = if lock.kind == rig::FeedKind::SeriesPair { 2 } else { 1 };
            let suits = |mv: i64| need.low_mv <= times * mv && times * mv <= need.high_mv;
            let other = |mv: &i64| of.set_mv.is_some_and(|set| set != *mv) && suits(*mv);
            let all = of.settings.iter().map(|setting| setting.mv).filter(other);
            changes.extend(all.map(|mv| CureStep::Set { device: need.tag.clone(), mv }));
        }
        changes
    }

    fn locked(&self) -> Vec<String> {
        let needs = self.input.needs.iter().filter(|need| need.lock().is_some()).map(|need| &need.tag);
        let bricks = self.input.bricks.iter().filter(|brick| brick.own_locked).map(|brick| &brick.tag);
        needs.chain(bricks).cloned().collect()
    }

    /// As few of the locks as must be given up together: each that is left makes the difference.
    fn few(&self, mut locked: Vec<String>) -> Vec<String> {
        let mut place = 0;
        while place < locked.len() {
            let mut without = locked.clone();
            without.remove(place);
            if self.works(&CureStep::Unlock(without.clone())) {
                locked = without;
            } else {
                place += 1;
            }
        }
        locked
    }

    fn means(&self) -> Vec<CureStep> {
        let means = self.config.means;
        let more = [
            Means { settings: true, ..means },
            Means { share: true, ..means },
            Means { series: true, ..means },
            Means { parallel: true, ..means },
            Means::ALL,
        ];
        more.into_iter().filter(|more| *more != means).map(CureStep::Allow).collect()
    }

    /// What somebody must be asked first.
    fn questions(&self, within: &BTreeSet<&str>) -> Vec<CureStep> {
        let input = self.input;
        let mut changes = Vec::new();
        for (index, brick) in input.bricks.iter().enumerate() {
            let own = || input.outlets.iter().filter(move |outlet| outlet.brick == index);
            for series in [true, false] {
                let asked = |outlet: &crate::input::Outlet| {
                    if series { outlet.series } else { outlet.parallel }.is_none()
                };
                if own().filter(|outlet| asked(outlet) && outlet.joined.is_none()).count() >= 2 {
                    changes.push(CureStep::Leave { brick: brick.tag.clone(), series });
                }
            }
        }
        let unknown = input.bricks.iter().enumerate().filter(|(index, _)| {
            input.outlets.iter().any(|outlet| outlet.brick == *index && outlet.isolation_unknown)
        });
        changes.extend(unknown.map(|(_, brick)| CureStep::Isolated(brick.tag.clone())));
        let unknown = |need: &&Need| {
            let open = need.unknown;
            let is_open = need.alone && open.class || open.volts || open.sign || open.ground;
            is_open && !open.draw && within.contains(need.tag.as_str())
        };
        changes.extend(input.needs.iter().filter(unknown).map(|need| CureStep::Ask(need.tag.clone())));
        changes
    }

    /// Locks given up together with things to buy, where less is bought so, or where nothing else helps.
    fn locks_and_purchases(&mut self) {
        let locked = self.locked();
        let one_is_enough = self.whole().any(|cure| matches!(cure.change, CureStep::Unlock(_)));
        if !locked.is_empty() && !one_is_enough && !self.is_over() {
            self.purchases(&locked);
        }
    }

    /// What helps most without helping all, where so many go without `now`: adaptors, or one brick with adaptors.
    fn partial(&mut self, now: usize) {
        let shop = Shop::new(self.input, self.config, self.meter);
        let most = now.saturating_sub(1);
        if most == 0 {
            return;
        }
        let mut tried: Vec<Partly> = Vec::new();
        let mut known = Known::new();
        let baskets = [true, false].into_iter().flat_map(|fitting| shop.baskets(1, fitting, most));
        // What helps in part is worth a few more tries, where all the others were spent in vain.
        let until = self.until.max(self.meter.worked()).saturating_add(self.config.work_cures / 4);
        let question = Question { buys: true, left: most, work: self.config.work_each / TRY };
        for basket in baskets.take(PARTIAL_TRIES) {
            if until <= self.meter.worked() {
                break;
            }
            let steps = shop.steps(&basket.items);
            let found = self.asker().once(&mut known, (self.input, self.config), &steps, question);
            let Some((tags, remain)) = found.works() else { continue };
            if steps.is_empty() && tags.is_empty() {
                continue;
            }
            let fits = basket.items.iter().all(|&item| shop.items[item].fits);
            let price = shop.of(&basket.items, tags.len());
            tried.push(Partly { remain, fits, price, steps, tags });
        }
        tried.sort_by_key(|partly| (partly.remain, !partly.fits, partly.price));
        let mut told: Vec<Partly> = Vec::new();
        for partly in tried {
            // What is bought besides must feed somebody more.
            let more = |known: &Partly| {
                known.remain <= partly.remain
                    && contains(&partly.steps, &known.steps)
                    && known.tags.len() <= partly.tags.len()
            };
            if told.len() < PARTIAL && !told.iter().any(more) {
                self.tell(joined(&[], partly.steps.clone(), partly.tags.clone()), partly.remain);
                told.push(partly);
            }
        }
    }
}

/// Things to buy that leave some devices without a feed.
struct Partly {
    /// How many.
    remain: usize,
    fits: bool,
    price: Price,
    steps: Vec<CureStep>,
    /// The devices with adaptors.
    tags: Vec<String>,
}

/// Whether one that goes without, and stays plugged in because it is locked, would harm one that is fed.
fn harms(changed: &Input, allocated: &Allocated, leaves: &[String]) -> bool {
    if leaves.is_empty() {
        return false;
    }
    let is_left = |tag: &String| leaves.contains(tag);
    let stay = crate::stated::stated(changed);
    let stay = stay.into_iter().filter(|feed| is_left(&changed.needs[feed.need].tag));
    let feeds: Vec<Feed> = allocated.feeds.iter().cloned().chain(stay).collect();
    let breaches = crate::verify::verify(changed, &feeds).breaches;
    breaches.iter().any(|breach| breach.devices.iter().any(is_left) && !breach.devices.iter().all(is_left))
}

/// The step that gives up locks, when there are any.
fn unlock(tags: &[String]) -> Vec<CureStep> {
    if tags.is_empty() { Vec::new() } else { vec![CureStep::Unlock(tags.to_vec())] }
}

/// Steps, bricks and adaptors as one change.
fn joined(first: &[CureStep], bricks: Vec<CureStep>, adaptors: Vec<String>) -> CureStep {
    let mut steps = first.to_vec();
    steps.extend(bricks);
    if !adaptors.is_empty() {
        steps.push(CureStep::OwnAdaptors(adaptors));
    }
    CureStep::of(steps)
}

/// Whether a list of things, each as often as it is bought, has all of another in it.
fn contains<T: Clone + PartialEq>(all: &[T], part: &[T]) -> bool {
    let mut left = all.to_vec();
    part.iter().all(|item| left.iter().position(|other| other == item).map(|at| left.remove(at)).is_some())
}

/// Whether an outlet of the document is set otherwise for a feed.
fn is_reset(input: &Input, feed: &Feed) -> bool {
    let set = |&outlet: &usize| input.outlets.get(outlet).and_then(|outlet| outlet.set_mv);
    feed.outlets.iter().filter_map(set).any(|mv| mv != feed.setting_mv)
}

/// Whether a device is fed otherwise than the document has it.
fn is_moved(input: &Input, changed: &Input, feed: &Feed) -> bool {
    let tag = &changed.needs[feed.need].tag;
    let Some(need) = input.need(tag) else { return true };
    let Some(present) = &input.needs[need].present else { return true };
    let names: Vec<String> = match &feed.socket {
        Some(socket) => vec![socket.to_string()],
        None => feed.outlets.iter().map(|&outlet| changed.outlet_name(outlet)).collect(),
    };
    let (mut names, mut written) = (names, present.written.clone());
    names.sort();
    written.sort();
    let unplaced = feed.kind == rig::FeedKind::Adaptor && feed.socket.is_none();
    present.kind != feed.kind || (!unplaced && names != written) || present.crossing != feed.crossing
}

/// What is out of the ordinary of the lead: made straight it would feed the wrong way round, or not fit.
fn special_lead(need: &Need, feed: &Feed) -> String {
    let crossing = feed.crossing.then_some(", by a crossing lead");
    let adaptor = need
        .adaptor_on(feed.barrel_adaptor.as_ref())
        .map(|plug| format!(", with a barrel adaptor for {plug}"));
    crossing.into_iter().map(str::to_owned).chain(adaptor).collect()
}

/// How a device is fed then, in one line.
fn follows(changed: &Input, feed: &Feed) -> String {
    let tag = &changed.needs[feed.need].tag;
    match (feed.kind, &feed.socket) {
        (rig::FeedKind::Adaptor, Some(socket)) => format!("{tag}: own adaptor on {socket}"),
        (rig::FeedKind::Adaptor, None) => format!("{tag}: own adaptor"),
        (kind, _) => {
            let names: Vec<String> = feed.outlets.iter().map(|&outlet| changed.outlet_name(outlet)).collect();
            let how = match kind {
                rig::FeedKind::SeriesPair => " in series",
                rig::FeedKind::ParallelPair => " in parallel",
                _ => "",
            };
            let volts = crate::input::volts_text(feed.setting_mv);
            let each = if names.len() == 1 { "" } else { " each" };
            let lead = special_lead(&changed.needs[feed.need], feed);
            format!("{tag}: {} at {volts}{each}{how}{lead}", crate::list::list(&names))
        }
    }
}

//! Classes of outlets, the rows they draw on, and what a feed costs and uses.

use std::collections::BTreeMap;

use crate::config::Means;
use crate::input::{Input, Need, Outlet, PPM, Rules, STRONG_UA, Setting, share_of};
use crate::lead_drop::{Grade, Loss, lost_pv};
use crate::load_limit::{LoadLimit, LoadLimits};
use crate::rings::Shut;

/// A feed without an outlet has this margin: all of it.
pub(crate) const WHOLE: i64 = 1000;

/// Outlets that are alike in everything that decides a feed.
#[derive(Debug, Clone)]
pub(crate) struct OutletClass {
    /// The outlets, in document order.
    pub(crate) members: Vec<usize>,
    /// The settings that may be used.
    pub(crate) settings: Vec<Setting>,
    /// The needs that are locked to it as single feeds.
    pub(crate) locked: Vec<usize>,
    /// Whether it is half of a locked pair: nobody else hangs there.
    pub(crate) paired: bool,
}

/// What kind of feed a way is.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub(crate) enum Kind {
    /// One outlet, for one device or several.
    Single,
    /// Two outlets whose voltages add.
    Series,
    /// Two outlets whose currents add.
    Parallel,
    /// The device's own adaptor, on a strip or somewhere unknown.
    Adaptor(Option<usize>),
    /// No feed at all.
    Drop,
}

/// A class at one of its settings.
pub(crate) type Place = (usize, usize);

/// What makes two ways the same.
pub(crate) type Key = (Vec<usize>, Kind, Vec<Place>);

/// One way to feed one device, or several at one outlet.
#[derive(Debug, Clone)]
pub(crate) struct Way {
    pub(crate) needs: Vec<usize>,
    pub(crate) kind: Kind,
    pub(crate) places: Vec<Place>,
    pub(crate) looks: i64,
    pub(crate) special: i64,
    /// The worst margin of its outlets, in thousandths.
    pub(crate) margin: i64,
    /// Millimetres of lead as far as known; only of use where every outlet is its own class.
    pub(crate) length: i64,
    pub(crate) uses: Vec<(usize, i64)>,
    /// What it counts for when devices go without: zero of a feed.
    pub(crate) missing: i64,
    /// Adaptors that it would have to be bought for.
    pub(crate) bought: i64,
}

impl Way {
    pub(crate) fn key(&self) -> Key {
        (self.needs.clone(), self.kind, self.places.clone())
    }
}

/// A threshold of a bank or brick that may be passed at the price of a look.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Soft {
    pub(crate) row: usize,
    pub(crate) gain: i64,
}

/// Classes and rows of one input.
pub(crate) struct Model<'a> {
    pub(crate) input: &'a Input,
    pub(crate) means: Means,
    pub(crate) classes: Vec<OutletClass>,
    /// Capacity of each row: classes first.
    pub(crate) capacity: Vec<i64>,
    pub(crate) softs: Vec<Soft>,
    bank_rows: Vec<Vec<usize>>,
    brick_rows: Vec<Vec<usize>>,
    /// Of a brick that hangs on another: the row of what it gives on, and how much that is.
    intake_rows: Vec<Option<(usize, i64)>>,
    group_rows: BTreeMap<usize, usize>,
    strip_rows: Vec<usize>,
    /// What a device that must be alone uses of the row of outlets with one negative: all of it.
    whole_group: i64,
    /// What supplies may not hang on, so that no ring closes.
    shut: Shut,
}

/// What decides a feed, other than the place. Brick and bank only where it matters which it is.
type Signature<'a> = (
    (Option<usize>, Option<usize>, bool, Vec<Setting>),
    (Option<rig::Sign>, Option<usize>, bool, bool, Option<&'a crate::Fitting>),
    // An outlet that is locked, or on whose leads too much may be lost, or each outlet where they are kept apart.
    Option<usize>,
);

impl<'a> Model<'a> {
    /// With alike outlets as one class, or with each outlet `apart`.
    pub(crate) fn new(input: &'a Input, means: Means, apart: bool) -> Self {
        let mut locked: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
        let mut paired: Vec<usize> = Vec::new();
        for (need, lock) in input.needs.iter().enumerate().filter_map(|(i, need)| Some((i, need.lock()?))) {
            for &outlet in &lock.outlets {
                let users = locked.entry(outlet).or_default();
                if lock.kind == rig::FeedKind::Single {
                    users.push(need);
                } else {
                    paired.push(outlet);
                }
            }
        }
        let settings: Vec<Vec<Setting>> = (0..input.outlets.len())
            .map(|outlet| settings_of(&input.outlets[outlet], means, locked.contains_key(&outlet)))
            .collect();
        let limits = LoadLimits::new(input, &settings);
        let matters: Vec<bool> = (0..input.bricks.len()).map(|brick| limits.matters(input, brick)).collect();
        let mut classes: Vec<OutletClass> = Vec::new();
        let mut known: BTreeMap<Signature<'_>, usize> = BTreeMap::new();
        for (index, (outlet, settings)) in input.outlets.iter().zip(settings).enumerate() {
            if settings.is_empty() {
                continue;
            }
            // Two in parallel are of one brick.
            let in_parallel = means.parallel && outlet.parallel == Some(true);
            let signature = (
                (
                    (matters[outlet.brick] || in_parallel).then_some(outlet.brick),
                    outlet.bank.filter(|&bank| !limits.banks[bank].is_empty()),
                    outlet.ac,
                    settings.clone(),
                ),
                (
                    outlet.sign,
                    outlet.joined,
                    outlet.series == Some(true),
                    outlet.parallel == Some(true),
                    outlet.connector.as_ref(),
                ),
                (apart || locked.contains_key(&index) || loses(input, index)).then_some(index),
            );
            let place = *known.entry(signature).or_insert(classes.len());
            if place == classes.len() {
                let locked = locked.get(&index).cloned().unwrap_or_default();
                let paired = paired.contains(&index);
                classes.push(OutletClass { members: Vec::new(), settings, locked, paired });
            }
            classes[place].members.push(index);
        }
        let capacity = classes.iter().map(|class| count(class.members.len())).collect();
        let mut model = Self {
            input,
            means,
            classes,
            capacity,
            softs: Vec::new(),
            bank_rows: Vec::new(),
            brick_rows: Vec::new(),
            intake_rows: Vec::new(),
            group_rows: BTreeMap::new(),
            strip_rows: Vec::new(),
            whole_group: count(input.needs.len().max(1)),
            shut: Shut::of(input),
        };
        model.add_rows(&limits);
        model
    }

    fn add_rows(&mut self, limits: &LoadLimits) {
        let input = self.input;
        for limit in &limits.banks {
            let rows = self.load_rows(limit);
            self.bank_rows.push(rows);
        }
        for (limit, brick) in limits.bricks.iter().zip(&input.bricks) {
            let rows = self.load_rows(limit);
            self.brick_rows.push(rows);
            let intake = brick.intake_nw.map(|gives| {
                self.capacity.push(gives);
                (self.capacity.len() - 1, gives)
            });
            self.intake_rows.push(intake);
        }
        for (index, class) in self.classes.iter().enumerate() {
            let Some(group) = input.outlets[class.members[0]].joined else { continue };
            let others = self
                .classes
                .iter()
                .enumerate()
                .filter(|(_, other)| input.outlets[other.members[0]].joined == Some(group))
                .any(|(other, _)| other != index || 1 < class.members.len());
            if others && !self.group_rows.contains_key(&group) {
                self.group_rows.insert(group, self.capacity.len());
                self.capacity.push(self.whole_group);
            }
        }
        for strip in &input.strips {
            // The sockets that devices sit in now are free for adaptors too.
            let mut sockets: Vec<&String> = strip.free.iter().collect();
            for (at, name) in input.needs.iter().filter_map(|need| need.adaptor.as_ref()?.socket.as_ref()) {
                if input.strips[*at].tag == strip.tag && !sockets.contains(&name) {
                    sockets.push(name);
                }
            }
            self.strip_rows.push(self.capacity.len());
            self.capacity.push(count(sockets.len()));
        }
    }

    /// For each row the one that means the same to a model of a part of this input: of its first outlets, bricks and strips.
    /// `None` where they do not match.
    pub(crate) fn rows_in(&self, part: &Model<'_>) -> Option<Vec<Option<usize>>> {
        let mut rows = vec![None; self.capacity.len()];
        for (row, class) in rows.iter_mut().zip(&self.classes) {
            *row = part.classes.iter().position(|old| class.members.contains(&old.members[0]));
        }
        for (new, old) in [(&self.bank_rows, &part.bank_rows), (&self.brick_rows, &part.brick_rows)] {
            for (new, old) in new.iter().zip(old) {
                if new.len() != old.len() {
                    return None;
                }
                new.iter().zip(old).for_each(|(&new, &old)| rows[new] = Some(old));
            }
        }
        for (new, old) in self.intake_rows.iter().zip(&part.intake_rows) {
            if let (Some((new, _)), Some((old, _))) = (new, old) {
                rows[*new] = Some(*old);
            }
        }
        if !part.group_rows.is_empty() && self.whole_group != part.whole_group {
            return None;
        }
        for (group, &new) in &self.group_rows {
            rows[new] = part.group_rows.get(group).copied();
        }
        for (&new, &old) in self.strip_rows.iter().zip(&part.strip_rows) {
            rows[new] = Some(old);
        }
        Some(rows)
    }

    /// The class that an outlet belongs to, if anybody may hang there.
    pub(crate) fn class_of(&self, outlet: usize) -> Option<usize> {
        self.classes.iter().position(|class| class.members.contains(&outlet))
    }

    /// The rows that a limit wants: one for what may not be passed, one for what may at the price of a look.
    fn load_rows(&mut self, limit: &LoadLimit) -> Vec<usize> {
        let mut rows = Vec::new();
        for capacity in [limit.stop, limit.look].into_iter().flatten() {
            rows.push(self.capacity.len());
            self.capacity.push(capacity);
        }
        if let Some(look) = limit.look {
            self.softs.push(Soft { row: self.capacity.len() - 1, gain: limit.over - look });
        }
        rows
    }

    pub(crate) fn outlet(&self, class: usize) -> &'a Outlet {
        let input: &'a Input = self.input;
        &input.outlets[self.classes[class].members[0]]
    }

    pub(crate) fn setting(&self, place: Place) -> Setting {
        self.classes[place.0].settings[place.1]
    }

    /// Every class at every setting.
    pub(crate) fn places(&self) -> impl Iterator<Item = Place> + '_ {
        let settings = |class: &OutletClass| class.settings.len();
        self.classes
            .iter()
            .enumerate()
            .flat_map(move |(index, class)| (0..settings(class)).map(move |s| (index, s)))
    }

    /// Whether a device could hang on a class at a setting by itself, its draw left aside.
    pub(crate) fn suits(&self, need: &Need, place: Place) -> bool {
        let outlet = self.outlet(place.0);
        let mv = self.setting(place).mv;
        need.ac == outlet.ac
            && need.low_mv <= mv
            && mv <= need.high_mv
            && need.tag != self.input.bricks[outlet.brick].tag
            && !(need.positive_ground && outlet.joined.is_some())
            && need.adapted(outlet).is_some()
    }

    /// Crossing and barrel adaptor of the lead of one device on a class.
    pub(crate) fn special_of(&self, need: &Need, class: usize) -> i64 {
        let outlet = self.outlet(class);
        let crossing = need.sign.is_some() && need.sign != outlet.sign;
        let barrel = need.adapted(outlet) == Some(true);
        i64::from(crossing) + i64::from(barrel)
    }

    /// What a device on a place uses of the rows of bank, brick and negative, for the current it draws there.
    pub(crate) fn draws(&self, need: usize, place: Place, ua: i64, uses: &mut Vec<(usize, i64)>) {
        let outlet = self.outlet(place.0);
        if let Some(bank) = outlet.bank {
            uses.extend(self.bank_rows[bank].iter().map(|&row| (row, ua)));
        }
        let nw = self.setting(place).mv.saturating_mul(ua);
        uses.extend(self.brick_rows[outlet.brick].iter().map(|&row| (row, nw)));
        uses.extend(self.intake_rows[outlet.brick].map(|(row, _)| (row, nw)));
        if let Some(row) = outlet.joined.and_then(|group| self.group_rows.get(&group)) {
            uses.push((*row, if self.input.needs[need].alone { self.whole_group } else { 1 }));
        }
    }

    /// What a device draws at a place, and its load on an outlet there, half of it in a parallel pair.
    pub(crate) fn draw(&self, need: usize, place: Place) -> i64 {
        self.input.draw_at(need, self.classes[place.0].members[0], self.setting(place).mv)
    }

    /// What is to be said of the voltage lost on the way from places to a device.
    fn lost(&self, need: usize, kind: rig::FeedKind, places: &[Place], current_ua: i64) -> Grade {
        let outlets: Vec<usize> = places.iter().map(|place| self.classes[place.0].members[0]).collect();
        let mv = self.setting(places[0]).mv;
        dropped(self.input, need, kind, &outlets, mv, current_ua)
    }

    /// One outlet at a setting, for one device or for as many as may share it.
    pub(crate) fn single(&self, needs: &[usize], place: Place) -> Option<Way> {
        let (input, rules) = (self.input, &self.input.rules);
        let setting = self.setting(place);
        let class = &self.classes[place.0];
        let devices = || needs.iter().map(|&need| &input.needs[need]);
        if needs.is_empty()
            || rules.share_most < needs.len()
            || !devices().all(|need| self.suits(need, place))
            || !needs.iter().all(|&need| self.shut.allows(need, self.outlet(place.0).brick))
        {
            return None;
        }
        // Whoever is locked here is part of whatever happens here with devices that are not.
        let guests = needs.iter().any(|need| !class.locked.contains(need));
        if guests && (class.paired || !class.locked.iter().all(|locked| needs.contains(locked))) {
            return None;
        }
        let crosses = |need: &Need| need.sign.is_some() && need.sign != self.outlet(place.0).sign;
        for need in devices() {
            if let Some(lock) = need.lock()
                && (lock.kind != rig::FeedKind::Single
                    || lock.outlets.as_slice() != class.members.as_slice()
                    || lock.crossing != crosses(need))
            {
                return None;
            }
        }
        let shared = 1 < needs.len();
        let all_locked = devices().all(|need| need.lock().is_some());
        if shared {
            let sign = input.needs[needs[0]].sign;
            let may =
                devices().all(|need| !need.ac && !need.alone && !need.positive_ground && need.sign == sign);
            let known = devices().all(|need| !need.unknown.draw);
            let apart = devices().any(|need| need.unknown.keeps_to_itself());
            if !may || !known || !(all_locked || self.means.share && !apart) {
                return None;
            }
        }
        let load: i64 = needs.iter().map(|&need| self.draw(need, place)).sum();
        if share_of(setting.ua, rules.outlet_stop_ppm) < load {
            return None;
        }
        let known = !devices().any(|need| need.unknown.draw);
        let mut looks = i64::from(known && share_of(setting.ua, rules.outlet_look_ppm) < load);
        let mut uses = vec![(place.0, 1)];
        // Each device more on an outlet is a leg more of its splitter.
        let mut special = count(needs.len().saturating_sub(1));
        for (&index, need) in needs.iter().zip(devices()) {
            special += self.special_of(need, place.0);
            self.draws(index, place, self.draw(index, place), &mut uses);
            looks += assumptions(need, self.outlet(place.0), setting.ua);
            looks += i64::from(starves(need, setting.ua - (load - self.draw(index, place)), rules, shared));
            match self.lost(index, rig::FeedKind::Single, &[place], load) {
                Grade::Stop => return None,
                Grade::Look => looks += 1,
                Grade::Fine => {}
            }
        }
        if shared {
            looks += i64::from(rules.shared_look_ua < load);
            looks += i64::from(devices().any(|need| need.loud));
        }
        let margin = if known { margin(setting.ua, load) } else { WHOLE };
        let length = self.length(needs, &[place]);
        merge(&mut uses);
        Some(Way {
            needs: needs.to_vec(),
            kind: Kind::Single,
            places: vec![place],
            looks,
            special,
            margin,
            length,
            uses,
            missing: 0,
            bought: 0,
        })
    }

    /// Two outlets for one device.
    pub(crate) fn pair(&self, need: usize, kind: Kind, places: [Place; 2]) -> Option<Way> {
        let (input, rules) = (self.input, &self.input.rules);
        let device = &input.needs[need];
        let outlets = places.map(|place| self.outlet(place.0));
        let settings = places.map(|place| self.setting(place));
        let series = kind == Kind::Series;
        let leave = |outlet: &Outlet| if series { outlet.series } else { outlet.parallel } == Some(true);
        let alike = outlets.iter().all(|outlet| !outlet.ac && outlet.joined.is_none() && leave(outlet))
            && outlets[0].sign == outlets[1].sign
            && settings[0].mv == settings[1].mv
            && (series || outlets[0].brick == outlets[1].brick);
        let enough = places[0].0 != places[1].0 || 2 <= self.classes[places[0].0].members.len();
        let volts = if series { 2 * settings[0].mv } else { settings[0].mv };
        let fits = outlets
            .iter()
            .all(|outlet| device.tag != input.bricks[outlet.brick].tag && device.adapted(outlet).is_some());
        let closes_ring = outlets.iter().any(|outlet| {
            let brick = outlet.brick;
            if series { !self.shut.allows_leg(need, brick) } else { !self.shut.allows(need, brick) }
        });
        if device.ac || !alike || !enough || !fits || volts < device.low_mv || device.high_mv < volts {
            return None;
        }
        // One plug is written for both legs; a lock may have a lead with a plug for each.
        let is_locked = device.lock().is_some();
        if closes_ring || !is_locked && outlets[0].connector != outlets[1].connector {
            return None;
        }
        let crossing = device.sign != outlets[0].sign;
        if let Some(lock) = device.lock() {
            let here: Vec<usize> =
                places.iter().flat_map(|place| &self.classes[place.0].members).copied().collect();
            let wanted = if series { rig::FeedKind::SeriesPair } else { rig::FeedKind::ParallelPair };
            let mut named = lock.outlets.clone();
            named.sort_unstable();
            let mut members = here;
            members.sort_unstable();
            if lock.kind != wanted || named != members || lock.crossing != crossing {
                return None;
            }
        } else if places
            .iter()
            .map(|place| &self.classes[place.0])
            .any(|class| class.paired || !class.locked.is_empty())
        {
            return None;
        }
        // What nobody knows cannot be halved.
        if device.unknown.draw && !series {
            return None;
        }
        // A parallel pair halves the draw, an odd microampere counted on both.
        let draws = places.map(|place| self.draw(need, place));
        let whole = draws[0].max(draws[1]);
        let each = draws.map(|draw| if series { draw } else { (draw + 1) / 2 });
        let kind_of = if series { rig::FeedKind::SeriesPair } else { rig::FeedKind::ParallelPair };
        let lost = self.lost(need, kind_of, &places, whole);
        if lost == Grade::Stop {
            return None;
        }
        let loads = || settings.iter().zip(each);
        if loads().any(|(setting, draw)| share_of(setting.ua, rules.outlet_stop_ppm) < draw) {
            return None;
        }
        let near = |(setting, draw): &(&Setting, i64)| share_of(setting.ua, rules.outlet_look_ppm) < *draw;
        let over = if device.unknown.draw { 0 } else { loads().filter(near).count() };
        let gives = if series { settings[0].ua.min(settings[1].ua) } else { settings[0].ua + settings[1].ua };
        let looks = count(over)
            + i64::from(starves(device, gives, rules, false))
            + assumptions(device, outlets[0], gives)
            + i64::from(lost == Grade::Look);
        let barrel = outlets.iter().any(|outlet| device.adapted(outlet) == Some(true));
        let mut uses = vec![(places[0].0, 1), (places[1].0, 1)];
        for (place, draw) in places.into_iter().zip(each) {
            self.draws(need, place, draw, &mut uses);
        }
        merge(&mut uses);
        Some(Way {
            needs: vec![need],
            kind,
            places: places.to_vec(),
            looks,
            special: 1 + i64::from(crossing) + i64::from(barrel),
            margin: if device.unknown.draw {
                WHOLE
            } else {
                margin(settings[0].ua, each[0]).min(margin(settings[1].ua, each[1]))
            },
            length: self.length(&[need], &places),
            uses,
            missing: 0,
            bought: 0,
        })
    }

    /// The device's own adaptor.
    pub(crate) fn adaptors(&self, need: usize) -> Vec<Way> {
        let device = &self.input.needs[need];
        let Some(adaptor) = &device.adaptor else { return Vec::new() };
        let suits = adaptor.unit.as_ref().is_none_or(|unit| device.suits(unit));
        if !suits || device.lock().is_some_and(|lock| lock.kind != rig::FeedKind::Adaptor) {
            return Vec::new();
        }
        let way = |strip: Option<usize>| Way {
            needs: vec![need],
            kind: Kind::Adaptor(strip),
            places: Vec::new(),
            looks: 0,
            special: 1,
            margin: WHOLE,
            length: 0,
            uses: strip.map(|strip| (self.strip_rows[strip], adaptor.takes)).into_iter().collect(),
            missing: 0,
            bought: i64::from(adaptor.to_buy),
        };
        match &adaptor.socket {
            None if adaptor.to_buy => (0..self.input.strips.len())
                .filter(|strip| adaptor.room.iter().any(|(at, _)| at == strip))
                .map(|strip| way(Some(strip)))
                .collect(),
            None => vec![way(None)],
            Some((strip, _)) if device.lock().is_some() => vec![way(Some(*strip))],
            Some((own, _)) => (0..self.input.strips.len())
                .filter(|strip| strip == own || adaptor.room.iter().any(|(at, _)| at == strip))
                .map(|strip| way(Some(strip)))
                .collect(),
        }
    }

    /// No feed: what the device itself would feed goes without too. A locked feed is given up after all others.
    pub(crate) fn drop(&self, need: usize) -> Way {
        let device = &self.input.needs[need];
        let intake = device.supplies.and_then(|brick| self.intake_rows[brick]);
        Way {
            needs: vec![need],
            kind: Kind::Drop,
            places: Vec::new(),
            looks: 0,
            special: 0,
            margin: WHOLE,
            length: 0,
            uses: intake.into_iter().filter(|(_, gives)| 0 < *gives).collect(),
            missing: missing(self.input, need),
            bought: 0,
        }
    }

    /// The ways of each device alone: single, in pairs, by its adaptor.
    pub(crate) fn alone(&self, need: usize) -> Vec<Way> {
        let mut ways: Vec<Way> = self.places().filter_map(|place| self.single(&[need], place)).collect();
        let device = &self.input.needs[need];
        let locked_kind = device.lock().map(|lock| lock.kind);
        for (kind, allowed, wanted) in [
            (Kind::Series, self.means.series, rig::FeedKind::SeriesPair),
            (Kind::Parallel, self.means.parallel, rig::FeedKind::ParallelPair),
        ] {
            if !(allowed && locked_kind.is_none() || locked_kind == Some(wanted)) || device.ac {
                continue;
            }
            let places: Vec<Place> = self
                .places()
                .filter(|&place| {
                    let volts = self.setting(place).mv * if kind == Kind::Series { 2 } else { 1 };
                    device.low_mv <= volts && volts <= device.high_mv
                })
                .collect();
            for (index, &first) in places.iter().enumerate() {
                let seconds = places[index..].iter();
                ways.extend(seconds.filter_map(|&second| self.pair(need, kind, [first, second])));
            }
        }
        if self.means.adaptor || locked_kind.is_some() {
            ways.extend(self.adaptors(need));
        }
        ways
    }

    /// Millimetres from the first outlet of a class to a device; zero when not known.
    pub(crate) fn distance(&self, need: usize, class: usize) -> i64 {
        let outlet = self.classes[class].members[0];
        self.input.distances.get(need).and_then(|row| *row.get(outlet)?).unwrap_or(0)
    }

    /// Millimetres of lead as far as known, from the first outlet of each class.
    fn length(&self, needs: &[usize], places: &[Place]) -> i64 {
        needs.iter().flat_map(|&need| places.iter().map(move |place| self.distance(need, place.0))).sum()
    }
}

/// Whether a device may not start on what an outlet has for it. A measured surge is judged of every device; of one that
/// must be alone and was not measured a multiple of its draw is.
pub(crate) fn starves(need: &Need, has_ua: i64, rules: &Rules, shared: bool) -> bool {
    let wanted = match need.surge_ua {
        Some(surge) => i128::from(surge) * i128::from(PPM),
        None if shared || !need.alone || need.unknown.draw => return false,
        None => i128::from(need.current_ua) * i128::from(rules.surge_ppm),
    };
    i128::from(has_ua) * i128::from(PPM) < wanted
}

/// The settings that an outlet may have; none when nobody may hang there.
fn settings_of(outlet: &Outlet, means: Means, is_locked: bool) -> Vec<Setting> {
    if outlet.reserved {
        return Vec::new();
    }
    let mut settings = outlet.settings.clone();
    let stays = is_locked || !means.settings;
    if let Some(set) = outlet.set_mv.filter(|_| stays) {
        settings.retain(|setting| setting.mv == set);
    }
    settings
}

/// How many looks the assumptions about a device are worth on an outlet.
pub(crate) fn assumptions(need: &Need, outlet: &Outlet, gives_ua: i64) -> i64 {
    i64::from(need.unknown.is_unsure())
        + i64::from(need.unknown.draw && gives_ua < STRONG_UA)
        + i64::from(need.unknown.ground && outlet.joined.is_some())
}

/// What a device without a feed counts for: a locked feed more than all that are not.
pub(crate) fn missing(input: &Input, need: usize) -> i64 {
    if input.needs[need].lock().is_some() { count(input.needs.len()) + 1 } else { 1 }
}

/// What is to be said of the voltage lost on the way from outlets to a device.
pub(crate) fn dropped(
    input: &Input,
    need: usize,
    kind: rig::FeedKind,
    outlets: &[usize],
    mv: i64,
    current_ua: i64,
) -> Grade {
    let device = &input.needs[need];
    let Some(loops) = input.loops_of(need, outlets).filter(|_| !device.ac && !device.unknown.draw) else {
        return Grade::Fine;
    };
    let given_mv = if kind == rig::FeedKind::SeriesPair { 2 * mv } else { mv };
    let (low_mv, look_ppm) = (device.low_mv, input.rules.drop_look_ppm);
    Loss { lost_pv: lost_pv(kind, current_ua, &loops), given_mv, low_mv, look_ppm }.grade()
}

/// Whether an outlet lies so far from a device that what is lost on the way may matter: then it is like no other.
pub(crate) fn loses(input: &Input, outlet: usize) -> bool {
    let of = &input.outlets[outlet];
    let company = input.needs.iter().filter(|need| !need.alone).map(|need| need.current_ua).max();
    let others = company.unwrap_or(0) * count(input.rules.share_most.saturating_sub(1));
    input.needs.iter().enumerate().filter(|(_, need)| need.ac == of.ac).any(|(index, need)| {
        let most = need.current_ua + if need.alone { 0 } else { others };
        of.settings.iter().any(|setting| {
            let current = most.min(share_of(setting.ua, input.rules.outlet_stop_ppm)).max(need.current_ua);
            // Twice the way and twice the voltage come to the same share as the way itself.
            let halves =
                [setting.mv, 2 * setting.mv].into_iter().any(|mv| need.low_mv <= mv && mv <= need.high_mv);
            halves
                && dropped(input, index, rig::FeedKind::Single, &[outlet], setting.mv, current) != Grade::Fine
        })
    })
}

/// What an outlet has left, in thousandths of what it gives, rounded down.
pub(crate) fn margin(limit_ua: i64, load_ua: i64) -> i64 {
    if limit_ua <= 0 {
        return if load_ua <= 0 { 0 } else { -WHOLE };
    }
    ((limit_ua - load_ua) * WHOLE).div_euclid(limit_ua)
}

/// Puts uses of one row together.
fn merge(uses: &mut Vec<(usize, i64)>) {
    uses.sort_unstable();
    uses.dedup_by(|next, kept| {
        let same = next.0 == kept.0;
        if same {
            kept.1 += next.1;
        }
        same
    });
}

/// A count as the integers that rows are made of.
pub(crate) fn count(length: usize) -> i64 {
    i64::try_from(length).unwrap_or(i64::MAX)
}

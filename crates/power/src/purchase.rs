//! What could be bought, the cheapest first, and what cannot work known by counting.
//!
//! The prices of the question how few devices go without tell what each device would pay for a feed. A purchase brings no
//! more than the devices that could hang on it would pay; where that is less than what is wanting, it is not tried (weak
//! duality of linear programs: prices stay true when columns are added, less what those gain at the prices).

use quantity::Length;
use rig::FeedKind;

use crate::allocate::Meter;
use crate::assignment::{Prices, real};
use crate::candidate::{Candidate, add, broken_locks};
use crate::change::{CureStep, has_room};
use crate::config::Config;
use crate::input::{Input, Need, share_of};
use crate::lead_drop::{Grade, loop_uohm};
use crate::lossy::{cables_for, is_lossy as loses_too_much, lossy};
use crate::model::{Model, Place, count, dropped};
use crate::outcome::Price;
use crate::share::cheapest;
use crate::sockets::empty_sockets;
use crate::stage::{Objective, Pool, Stage, worths};
use crate::thicker::Thicker;

/// Sums of prices are true to this.
const NEAR: f64 = 0.01;

/// One thing to buy.
#[derive(Debug, Clone)]
pub(crate) struct Item {
    pub(crate) change: CureStep,
    pub(crate) price: Price,
    pub(crate) fits: bool,
    /// How many sockets of strips it takes, less those that it leaves.
    sockets: i64,
    /// The most it can bring, in devices fed.
    gain: f64,
    /// The brick it takes the place of.
    instead: Option<String>,
}

/// Bricks to buy together, as positions of items, with the fewest adaptors that they could need beside them.
#[derive(Debug, Clone)]
pub(crate) struct Basket {
    pub(crate) items: Vec<usize>,
    /// No fewer adaptors than this are needed.
    pub(crate) adaptors: usize,
    /// What it costs with these.
    pub(crate) price: Price,
}

/// All there is to buy for a rig.
pub(crate) struct Shop<'a> {
    input: &'a Input,
    config: &'a Config,
    pub(crate) items: Vec<Item>,
    /// The sockets that are empty; `None` where no strip is known.
    sockets: Option<i64>,
    /// How many devices are wanting at least, by the prices.
    wanting: f64,
    /// What devices that could have an adaptor would pay, the most first, as many as there are sockets.
    adaptors: Vec<f64>,
}

/// Whether an adaptor can be bought for a device: it has none, and its feed is not locked to something else.
pub(crate) fn can_have_adaptor(need: &Need) -> bool {
    need.adaptor.is_none() && need.lock().is_none()
}

impl<'a> Shop<'a> {
    pub(crate) fn new(input: &'a Input, config: &'a Config, meter: &Meter<'_>) -> Self {
        let model = Model::new(input, config.means, false);
        let mut pool = Pool::new(&model);
        // Without prices everything may help.
        let prices = worths(&model, &mut pool, meter).unwrap_or_default();
        let pays = |need: usize| prices.item.get(need).copied().unwrap_or(f64::INFINITY).max(0.0);
        let able = (0..input.needs.len()).filter(|&need| can_have_adaptor(&input.needs[need]));
        let mut adaptors: Vec<f64> = able.map(pays).collect();
        adaptors.sort_by(|a, b| b.total_cmp(a));
        let empty = empty_sockets(input).len();
        let sockets = (!input.strips.is_empty()).then(|| count(empty));
        let mut shop = Self { input, config, items: Vec::new(), sockets, wanting: prices.value, adaptors };
        shop.cables();
        shop.made_leads();
        if 0 < config.bricks {
            shop.stock(&model, &prices);
        }
        // What goes may leave its socket to an adaptor.
        let left = shop.items.iter().map(|item| (-item.sockets).max(0)).max().unwrap_or(0);
        let left = usize::try_from(left).unwrap_or(0) * config.bricks;
        shop.adaptors.truncate(empty + left);
        shop
    }

    /// Thicker cable, where too much of the voltage is lost along some lead; the thinner first.
    fn cables(&mut self) {
        let Some((_, usual)) = self.input.cable.as_ref().filter(|_| is_lossy(self.input)) else { return };
        let uohm = |cable: &Thicker| loop_uohm(Length::from_mm(500), cable.per_metre);
        let mut thicker: Vec<&Thicker> =
            self.config.cables.iter().filter(|cable| uohm(cable) < *usual).collect();
        thicker.sort_by_key(|cable| std::cmp::Reverse(uohm(cable)));
        for cable in thicker {
            let change = CureStep::Thicker(cable.clone());
            let price = change.price(self.config);
            let gain = f64::INFINITY;
            self.items.push(Item {
                change,
                price,
                fits: true,
                sockets: 0,
                gain,
                instead: Some(CABLE.to_owned()),
            });
        }
    }

    /// Made leads along which too much is lost, made anew beside what is bought: each of the thinnest cable that is enough for it as
    /// it hangs, else of the thickest.
    fn made_leads(&mut self) {
        for lead in lossy(self.input) {
            let steps = cables_for(&self.config.cables, lead).into_iter();
            let mut steps = steps.map(|cable| CureStep::Remake { lead: lead.lead.clone(), cable });
            let Some(last) = steps.clone().next_back() else { continue };
            let is_enough = |step: &CureStep| !loses_too_much(&step.apply(self.input, self.config).0, lead);
            let change = steps.find(is_enough).unwrap_or(last);
            self.items.push(Item {
                price: change.price(self.config),
                change,
                fits: true,
                sockets: 0,
                gain: f64::INFINITY,
                instead: Some(format!("lead {}", lead.lead)),
            });
        }
    }

    fn stock(&mut self, model: &Model<'_>, prices: &Prices) {
        let gains: Vec<f64> =
            self.config.candidates.iter().map(|candidate| gain(model, candidate, prices)).collect();
        let item = |change: CureStep, gain: f64, instead: Option<String>| {
            let sockets = sockets_taken(self.input, &change);
            Item {
                price: change.price(self.config),
                fits: has_room(self.input, &change) && self.sockets.is_none_or(|free| sockets <= free),
                sockets,
                change,
                gain,
                instead,
            }
        };
        let mut items = Vec::new();
        for (candidate, &gain) in self.config.candidates.iter().zip(&gains) {
            items.push(item(CureStep::Add(Box::new(candidate.clone())), gain, None));
        }
        for (index, brick) in self.input.bricks.iter().enumerate() {
            // Whoever is locked to it may be fed otherwise there, and what it takes itself is free, which the prices know
            // nothing of.
            let frees = self.input.needs.iter().any(|need| {
                let held = |&outlet: &usize| self.input.outlets[outlet].brick == index;
                need.supplies == Some(index) || need.lock().is_some_and(|lock| lock.outlets.iter().any(held))
            });
            // What is kept for a device that cannot be judged stays.
            if self.input.outlets.iter().any(|outlet| outlet.brick == index && outlet.reserved) {
                continue;
            }
            let lost = loss(model, index, prices);
            for (candidate, &gain) in self.config.candidates.iter().zip(&gains) {
                if !broken_locks(self.input, &brick.tag, candidate).is_empty() {
                    continue;
                }
                let change = CureStep::Replace { brick: brick.tag.clone(), by: Box::new(candidate.clone()) };
                let gain = if frees { f64::INFINITY } else { gain - lost };
                items.push(item(change, gain, Some(brick.tag.clone())));
            }
        }
        self.items.extend(items);
    }

    /// The fewest adaptors that could be enough beside some bricks; `None` when no number of them is, leaving `left` devices
    /// without.
    fn adaptors_beside(&self, gain: f64, left: usize) -> Option<usize> {
        let short = self.wanting - gain - real(count(left)) - NEAR;
        // A value that is not known is below everything.
        if short.is_nan() || short <= 0.0 {
            return Some(0);
        }
        let mut sum = 0.0;
        self.adaptors
            .iter()
            .position(|pays| {
                sum += pays;
                short <= sum
            })
            .map(|place| place + 1)
    }

    /// The steps of a basket: what goes first leaves its socket to what comes.
    pub(crate) fn steps(&self, items: &[usize]) -> Vec<CureStep> {
        let mut steps: Vec<CureStep> = items.iter().map(|&item| self.items[item].change.clone()).collect();
        steps.sort_by_key(|step| !matches!(step, CureStep::Replace { .. }));
        steps
    }

    /// What bricks and adaptors cost together.
    pub(crate) fn of(&self, items: &[usize], adaptors: usize) -> Price {
        items.iter().fold(self.of_adaptors(adaptors), |sum, &item| sum.plus(&self.items[item].price))
    }

    /// What adaptors cost.
    fn of_adaptors(&self, count: usize) -> Price {
        CureStep::OwnAdaptors(vec![String::new(); count]).price(self.config)
    }

    fn basket(&self, items: Vec<usize>, left: usize) -> Option<Basket> {
        let gain = items.iter().map(|&item| self.items[item].gain).sum();
        let adaptors = self.adaptors_beside(gain, left)?;
        Some(Basket { price: self.of(&items, adaptors), items, adaptors })
    }

    /// Every choice of at most so many bricks that counting does not rule out, the cheapest first: those that fit, or those
    /// that do not; `left` devices may go without.
    pub(crate) fn baskets(&self, most: usize, fitting: bool, left: usize) -> Vec<Basket> {
        let mut all: Vec<Basket> = Vec::new();
        if fitting {
            all.extend(self.basket(Vec::new(), left));
        }
        if 0 < most {
            let suits = |item: &usize| self.items[*item].fits == fitting;
            all.extend((0..self.items.len()).filter(suits).filter_map(|item| self.basket(vec![item], left)));
        }
        if 1 < most {
            for first in 0..self.items.len() {
                for second in first..self.items.len() {
                    if self.go_together(first, second)
                        && let Some(basket) = self.basket(vec![first, second], left)
                        && self.fit_together(first, second) == fitting
                    {
                        all.push(basket);
                    }
                }
            }
        }
        all.sort_by_key(|basket| (basket.price, basket.items.clone()));
        all
    }

    /// How many devices a choice could feed at most, by the prices.
    pub(crate) fn gain(&self, items: &[usize]) -> f64 {
        items.iter().map(|&item| self.items[item].gain).sum()
    }

    /// Two bricks do not take the place of one.
    fn go_together(&self, first: usize, second: usize) -> bool {
        let (first, second) = (&self.items[first], &self.items[second]);
        first.instead.is_none() || first.instead != second.instead
    }

    fn fit_together(&self, first: usize, second: usize) -> bool {
        let (one, other) = (&self.items[first], &self.items[second]);
        let plugged = self.sockets.is_none_or(|free| one.sockets + other.sockets <= free);
        one.fits && other.fits && plugged && {
            let both = one.instead.is_none() && other.instead.is_none() && !self.input.rooms.is_empty();
            !both || has_room(self.input, &CureStep::Several(vec![one.change.clone(), other.change.clone()]))
        }
    }
}

/// Stands for the place of the cable, of which there is one.
const CABLE: &str = "";

/// How many sockets a change takes, less those that it leaves; what finds none takes one all the same.
fn sockets_taken(input: &Input, change: &CureStep) -> i64 {
    let (after, _) = change.apply(input, &Config::standard());
    let without = after.bricks.iter().filter(|brick| brick.unplugged).count();
    count(empty_sockets(input).len()) - count(empty_sockets(&after).len()) + count(without)
}

/// Whether a device could hang on some outlet, were it not that too much of the voltage is lost on the way.
fn is_lossy(input: &Input) -> bool {
    let stops = |need: usize, outlet: usize| {
        let (device, of) = (&input.needs[need], &input.outlets[outlet]);
        let shares = |other: &&Need| !other.alone && other.ac == of.ac && other.tag != device.tag;
        let company = input.needs.iter().filter(shares).map(|other| other.current_ua).max();
        let others = company.filter(|_| !device.alone).unwrap_or(0);
        let others = others * count(input.rules.share_most.saturating_sub(1));
        let suits = |mv: i64| device.ac == of.ac && device.low_mv <= mv && mv <= device.high_mv;
        let grade = |kind: FeedKind, outlets: &[usize], mv: i64| {
            dropped(input, need, kind, outlets, mv, device.current_ua) == Grade::Stop
        };
        // With all the company that the outlet can feed, along the whole way.
        let shared = |setting: &crate::input::Setting| {
            let most = share_of(setting.ua, input.rules.outlet_stop_ppm).min(device.current_ua + others);
            0 < others
                && suits(setting.mv)
                && dropped(input, need, FeedKind::Single, &[outlet], setting.mv, most) == Grade::Stop
        };
        !of.reserved
            && of.settings.iter().any(|setting| {
                let one = suits(setting.mv) && grade(FeedKind::Single, &[outlet], setting.mv);
                let pair = suits(2 * setting.mv) && grade(FeedKind::SeriesPair, &[outlet; 2], setting.mv);
                one || pair || shared(setting)
            })
    };
    (0..input.needs.len()).any(|need| (0..input.outlets.len()).any(|outlet| stops(need, outlet)))
}

/// The most that the outlets of a candidate are worth to the devices at the prices: as much as outlets that are alike cost, and
/// else as much as what hangs there would pay. Limits of the candidate are left aside.
fn gain(base: &Model<'_>, candidate: &Candidate, prices: &Prices) -> f64 {
    if prices.item.is_empty() {
        return f64::INFINITY;
    }
    // A pair may be of two of them.
    let mut input = base.input.clone();
    add(&mut input, candidate);
    add(&mut input, candidate);
    let model = Model::new(&input, base.means, false);
    let Some(rows) = model.rows_in(base) else { return f64::INFINITY };
    let mut known = Prices {
        item: prices.item.clone(),
        row: rows.iter().map(|row| row.map_or(0.0, |row| prices.row[row])).collect(),
        value: 0.0,
    };
    known.item.resize(input.needs.len(), 0.0);
    let is_new = |place: &Place| rows[place.0].is_none();
    let mut worth = vec![0.0_f64; model.classes.len()];
    for way in (0..input.needs.len()).flat_map(|need| model.alone(need)) {
        let new: Vec<&Place> = way.places.iter().filter(|place| is_new(place)).collect();
        let used: f64 = way.uses.iter().map(|&(row, amount)| known.row[row] * real(amount)).sum();
        let pays = known.item[way.needs[0]] - used;
        for place in &new {
            worth[place.0] = worth[place.0].max(pays / real(count(new.len())));
        }
    }
    let stage = Stage::new(Objective::Unserved);
    for place in model.places().filter(is_new) {
        worth[place.0] = worth[place.0].max(-cheapest(&model, &stage, &known, place));
    }
    let first = base.input.outlets.len();
    let own = first..first + candidate.outlets().len();
    let of = |class: usize| if is_new(&(class, 0)) { worth[class] } else { known.row[class] };
    own.filter_map(|outlet| model.class_of(outlet)).map(of).sum()
}

/// What the outlets of a brick cost at the prices: so much is lost with it.
fn loss(base: &Model<'_>, brick: usize, prices: &Prices) -> f64 {
    let own = (0..base.input.outlets.len()).filter(|&outlet| base.input.outlets[outlet].brick == brick);
    own.filter_map(|outlet| prices.row.get(base.class_of(outlet)?)).sum()
}

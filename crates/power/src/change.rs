//! What a cure changes: one step or several, each with its words, its edit and its price.

use finding::{Change, Edit, Field};
use quantity::Length;

use crate::candidate::{Candidate, add, replace};
use crate::config::{Config, Means};
use crate::inlet::Inlet;
use crate::input::{Adaptor, Brick, Input, Need, Room, Unknown};
use crate::lead_drop::loop_uohm;
use crate::outcome::{Feed, Price};
use crate::sockets::empty_sockets;
use crate::thicker::Thicker;
use crate::{rewired, space};

/// What a document may say of a brick that holds for its kind only.
const OF_THE_KIND: &[&str] = &[
    "title",
    "from",
    "size",
    "corner",
    "mass",
    "total",
    "efficiency",
    "power",
    "bracket",
    "outlet",
    "bank",
    "port",
    "serial",
    "owner",
    "note",
];

/// What a cure changes.
#[derive(Debug, Clone, PartialEq)]
pub enum CureStep {
    /// Feeds that were locked may change.
    Unlock(Vec<String>),
    /// The outlets that a device is locked to are set to another voltage.
    Set {
        /// Tag of the device.
        device: String,
        /// The voltage, in millivolts.
        mv: i64,
    },
    /// More means are allowed.
    Allow(Means),
    /// The maker's leave to join outlets of a brick, asked for and given.
    Leave {
        /// Tag of the brick.
        brick: String,
        /// For more voltage; else for more current.
        series: bool,
    },
    /// A device turns out to be what it was taken for where nobody knows, and analogue.
    Ask(String),
    /// Outlets of a brick of which nobody knows turn out to be isolated.
    Isolated(String),
    /// Devices get adaptors of their own on a strip.
    OwnAdaptors(Vec<String>),
    /// A brick or converter is added.
    Add(Box<Candidate>),
    /// A brick makes room for another.
    Replace {
        /// Tag of the brick that goes.
        brick: String,
        /// The one that comes.
        by: Box<Candidate>,
    },
    /// Supply leads that are not made yet are made of thicker cable.
    Thicker(Thicker),
    /// A supply lead that is made is taken out and made anew: as long as it is estimated, of its own cable or of a thicker one.
    Remake {
        /// What its entry in the document is known by.
        lead: String,
        /// The cable, where it is another one.
        cable: Option<Thicker>,
    },
    /// Several steps one after the other.
    Several(Vec<CureStep>),
}

impl CureStep {
    /// Steps as one change.
    pub(crate) fn of(mut steps: Vec<Self>) -> Self {
        if steps.len() == 1 { steps.remove(0) } else { Self::Several(steps) }
    }

    /// The input and means with the change made.
    pub fn apply(&self, input: &Input, config: &Config) -> (Input, Config) {
        let (mut input, mut config) = (input.clone(), config.clone());
        self.make(&mut input, &mut config);
        (input, config)
    }

    fn make(&self, input: &mut Input, config: &mut Config) {
        match self {
            Self::Unlock(tags) => {
                for need in input.needs.iter_mut().filter(|need| tags.contains(&need.tag)) {
                    if let Some(present) = &mut need.present {
                        present.locked = false;
                    }
                }
                for brick in input.bricks.iter_mut().filter(|brick| tags.contains(&brick.tag)) {
                    brick.own_locked = false;
                }
            }
            Self::Set { device, mv } => {
                for outlet in outlets_of(input, device) {
                    input.outlets[outlet].set_mv = Some(*mv);
                }
            }
            Self::Allow(means) => config.means = *means,
            Self::Leave { brick, series } => {
                let of: Vec<bool> =
                    input.outlets.iter().map(|outlet| input.bricks[outlet.brick].tag == *brick).collect();
                for (outlet, _) in input.outlets.iter_mut().zip(of).filter(|(_, own)| *own) {
                    let leave = if *series { &mut outlet.series } else { &mut outlet.parallel };
                    *leave = leave.or(Some(true));
                }
            }
            Self::Ask(tag) => {
                for need in input.needs.iter_mut().filter(|need| need.tag == *tag) {
                    need.alone &= !need.unknown.class;
                    need.unknown = Unknown { draw: need.unknown.draw, ..Unknown::default() };
                }
            }
            Self::Isolated(brick) => {
                let place = input.bricks.iter().position(|known| known.tag == *brick);
                let own =
                    |outlet: &&mut crate::Outlet| Some(outlet.brick) == place && outlet.isolation_unknown;
                for outlet in input.outlets.iter_mut().filter(own) {
                    (outlet.joined, outlet.isolation_unknown) = (None, false);
                }
            }
            Self::OwnAdaptors(tags) => {
                for tag in tags {
                    let socket = empty_sockets(input).into_iter().next();
                    // Who is locked to something else keeps that.
                    let is_free = |need: &&mut Need| need.tag == *tag && need.lock().is_none();
                    for need in input.needs.iter_mut().filter(is_free) {
                        let room = socket.iter().cloned().collect();
                        need.adaptor = Some(Adaptor { socket: socket.clone(), room, ..Adaptor::usual() });
                        need.present = None;
                    }
                }
            }
            Self::Remake { lead, cable } => {
                let Some(remade) = input.remade.iter().find(|remade| remade.lead == *lead).cloned() else {
                    return;
                };
                let per_metre = cable.as_ref().map_or(remade.per_metre, |cable| cable.per_metre);
                for way in &remade.ways {
                    let Some(need) = input.need(&way.device) else { continue };
                    let row = input.loops.get_mut(need);
                    if let Some(uohm) = row.and_then(|row| row.get_mut(way.outlet)) {
                        *uohm = Some(loop_uohm(way.anew, per_metre));
                    }
                }
            }
            Self::Several(steps) => steps.iter().for_each(|step| step.make(input, config)),
            Self::Add(candidate) => add(input, candidate),
            Self::Replace { brick, by } => replace(input, brick, by),
            Self::Thicker(thicker) => {
                for (row, lengths) in input.loops.iter_mut().zip(&input.lengths) {
                    for (uohm, length) in row.iter_mut().zip(lengths) {
                        let of = |nm: &i64| loop_uohm(Length::from_nm(*nm), thicker.per_metre);
                        *uohm = length.as_ref().map(of).or(*uohm);
                    }
                }
            }
        }
    }

    /// What to do, in one line, and whether there is room and a socket for what comes.
    pub(crate) fn name(&self, input: &Input) -> String {
        let (plain, after) = self.plain(input);
        let mut name = plain;
        // Without a clear height nobody can tell whether a brick fits.
        if !self.brings().is_empty() && input.rooms.is_empty() && !self.takes_the_place(input) {
            name.push_str("; whether it fits is not known");
        } else if let Some(brick) = self.moved(input) {
            name.push_str(&format!(
                "; with its corner where {brick} is it does not fit, so move it to where there is room under the deck"
            ));
        } else if !self.brings().is_empty() && !has_room(input, self) {
            let there = if self.takes_the_place(input) { "there is" } else { "under the deck there is" };
            name.push_str(&format!(
                "; {there} no room for it, so it needs another place, on the deck or beside the board"
            ));
        }
        match unplugged(&after) {
            0 => {}
            1 => name.push_str("; no socket of a strip is free for it, so the strip needs one more"),
            many => {
                let many = crate::list::number(many);
                name.push_str(&format!(
                    "; for {many} of them no socket of a strip is free, so {many} more are needed"
                ));
            }
        }
        name
    }

    /// What to do, and the input once it is done.
    fn plain(&self, input: &Input) -> (String, Input) {
        let mut after = input.clone();
        self.make(&mut after, &mut Config::standard());
        let words = match self {
            Self::Unlock(tags) => {
                let feeds = if tags.len() == 1 { "feed" } else { "feeds" };
                format!("unlock the {feeds} of {}", crate::list::list(tags))
            }
            Self::Set { device, mv } => {
                let names: Vec<String> =
                    outlets_of(input, device).into_iter().map(|outlet| input.outlet_name(outlet)).collect();
                format!("set {} to {}", crate::list::list(&names), crate::input::volts_text(*mv))
            }
            Self::Allow(_) => "allow every kind of feed: other settings, sharing, pairs, adaptors".to_owned(),
            Self::Leave { brick, series } => {
                let more = if *series { "in series" } else { "in parallel" };
                format!(
                    "ask the maker of {brick} whether its outlets may be joined {more}; with leave it works"
                )
            }
            Self::Ask(tag) => asked(input, tag),
            Self::Isolated(brick) => {
                format!("find out whether the outlets of {brick} are isolated; if they are it works")
            }
            Self::OwnAdaptors(tags) => {
                let sockets = empty_sockets(input);
                let each = tags.iter().enumerate().map(|(place, tag)| match sockets.get(place) {
                    Some((strip, socket)) => format!("{tag} on {}.{socket}", input.strips[*strip].tag),
                    None => tag.clone(),
                });
                let each: Vec<String> = each.collect();
                match each.as_slice() {
                    [one] => format!("give an adaptor of its own to {one}"),
                    several => format!("give adaptors of their own to {}", crate::list::list(several)),
                }
            }
            Self::Several(steps) => {
                let mut before = input.clone();
                let mut each = Vec::new();
                for step in steps {
                    let (words, then) = step.plain(&before);
                    each.push(words);
                    before = then;
                }
                crate::list::list(&each)
            }
            Self::Add(candidate) => {
                let socket = after.bricks.last().and_then(|brick| on_socket(&after, brick));
                format!("add a “{}”{}", candidate.named(), socket.unwrap_or_default())
            }
            Self::Replace { brick, by } => {
                let old = input.bricks.iter().find(|old| old.tag == *brick);
                // Where it is plugged in is said only where that changes.
                let moves = after.bricks.last().filter(|new| {
                    old.is_some_and(|old| (&old.inlet, &old.socket) != (&new.inlet, &new.socket))
                });
                let socket = moves.and_then(|new| on_socket(&after, new));
                format!("replace {brick} by a “{}”{}", by.named(), socket.unwrap_or_default())
            }
            Self::Remake { lead, cable } => {
                let Some(of) = input.remade.iter().find(|remade| remade.lead == *lead) else {
                    return (String::new(), after);
                };
                let how = match cable {
                    None => "shorter".to_owned(),
                    Some(cable) => format!("of thicker cable, {} ({})", cable.title, cable.cable),
                };
                let (devices, anew, cut) =
                    (crate::list::list(&of.devices()), of.anew_words(), of.cut_words());
                format!("make lead {} of {devices} anew, {how} ({anew}; now {cut})", of.tag)
            }
            Self::Thicker(thicker) => {
                format!("make the supply leads of thicker cable: {} ({})", thicker.title, thicker.cable)
            }
        };
        (words, after)
    }

    /// The edit that applies it with the feeds that then serve every device. `None` where somebody must be asked
    /// first, or an adaptor has no socket to sit in.
    pub(crate) fn edit(&self, input: &Input, changed: &Input, feeds: &[Feed], name: &str) -> Option<Edit> {
        let mut new = input.bricks.len();
        let mut changes = self.own_changes(input, changed, &mut new)?;
        changes.extend(crate::edits::edit(changed, feeds).changes);
        for (index, need) in changed.needs.iter().enumerate() {
            let loses = is_unplugged(input, changed, feeds, &need.tag);
            let remove = Change::remove(Field::device(&need.tag, "feed"));
            if loses && feeds.iter().all(|feed| feed.need != index) && !changes.contains(&remove) {
                changes.push(remove);
            }
        }
        changes.extend(rewired::retired(input, &changes));
        Some(Edit::new(name, changes))
    }

    /// The brick in whose place one comes that does not fit there, and would elsewhere under the deck; `None` where anything else
    /// does not fit.
    fn moved(&self, input: &Input) -> Option<&str> {
        let has_place = |step: &&Self| match step {
            Self::Replace { brick, by } => fits_instead(input, brick, by),
            _ => true,
        };
        let steps = self.steps();
        let (there, other): (Vec<&Self>, Vec<&Self>) = steps.iter().partition(has_place);
        let [Self::Replace { brick, by }] = other.as_slice() else { return None };
        let there = Self::Several(there.into_iter().cloned().collect());
        let old = input.bricks.iter().find(|old| old.tag == *brick)?;
        let has_room = by.wants.is_some_and(|wants| space::fits(&[wants], &old.rooms_without))
            && has_room(input, &there);
        has_room.then_some(brick)
    }

    /// The steps one by one.
    fn steps(&self) -> &[Self] {
        match self {
            Self::Several(steps) => steps,
            one => std::slice::from_ref(one),
        }
    }

    /// Whether all that it brings comes in the place of something that stands on a deck or hangs under one.
    fn takes_the_place(&self, input: &Input) -> bool {
        let stands = |tag: &String| input.bricks.iter().any(|old| old.tag == *tag && old.stand.is_some());
        match self {
            Self::Replace { brick, .. } => stands(brick),
            Self::Several(steps) => {
                steps.iter().all(|step| step.brings().is_empty() || step.takes_the_place(input))
            }
            _ => false,
        }
    }

    /// The made leads that it takes out in order to make them anew.
    pub(crate) fn remade(&self) -> Vec<&str> {
        match self {
            Self::Remake { lead, .. } => vec![lead],
            Self::Several(steps) => steps.iter().flat_map(Self::remade).collect(),
            _ => Vec::new(),
        }
    }

    /// The bricks it brings.
    pub fn brings(&self) -> Vec<&Candidate> {
        match self {
            Self::Add(candidate) => vec![candidate.as_ref()],
            Self::Replace { by, .. } => vec![by.as_ref()],
            Self::Several(steps) => steps.iter().flat_map(Self::brings).collect(),
            _ => Vec::new(),
        }
    }

    /// What it changes besides feeds; `new` is the next brick that was added.
    fn own_changes(&self, input: &Input, changed: &Input, new: &mut usize) -> Option<Vec<Change>> {
        let set = |tag: &str, keys: &str, to: &String| Change::set(Field::device(tag, keys), to);
        let remove = |tag: &str, keys: &str| Change::remove(Field::device(tag, keys));
        Some(match self {
            Self::Unlock(tags) => tags.iter().map(|tag| remove(tag, "feed.locked")).collect(),
            Self::Set { device, mv } => outlets_of(input, device)
                .into_iter()
                .map(|outlet| {
                    let of = &input.outlets[outlet];
                    let brick = Field::device(&input.bricks[of.brick].tag, "outlet");
                    Change::set(brick.below(&of.name).below("set"), crate::input::volts_text(*mv))
                })
                .collect(),
            Self::OwnAdaptors(tags) if has_no_socket(changed, tags) => return None,
            Self::Thicker(thicker) => {
                vec![Change::set(Field::new(["leads", "dc", "cable"]), &thicker.cable)]
            }
            Self::Remake { lead, cable } => {
                let remade = input.remade.iter().find(|remade| remade.lead == *lead)?;
                let unmade = remade.keys.iter().map(|key| Change::remove(Field::lead(lead, key)));
                let cable = cable.iter().map(|cable| Change::set(Field::lead(lead, "cable"), &cable.cable));
                unmade.chain(cable).collect()
            }
            // What the document says of the old brick is not true of the new one.
            Self::Replace { brick, by } => {
                *new += 1;
                let unfed = input.need(brick).is_some() && changed.need(brick).is_none();
                let feed = unfed.then(|| remove(brick, "feed"));
                let of_kind = OF_THE_KIND.iter().map(|key| remove(brick, key));
                let old = input.bricks.iter().find(|old| old.tag == *brick);
                let mains = rewired::changes(input, changed, old, changed.bricks.get(*new - 1)?)?;
                let gone = rewired::gone_ports(input, old?, by)?;
                let kind = set(brick, "kind", &by.kind);
                of_kind.chain(feed).chain([kind]).chain(mains).chain(gone).collect()
            }
            Self::Add(candidate) => {
                *new += 1;
                let brick = changed.bricks.get(*new - 1)?;
                let mains = rewired::changes(input, changed, None, brick)?;
                [set(&brick.tag, "kind", &candidate.kind)].into_iter().chain(mains).collect()
            }
            Self::Several(steps) => {
                let mut all = Vec::new();
                for step in steps {
                    all.extend(step.own_changes(input, changed, new)?);
                }
                all
            }
            Self::Allow(_) | Self::OwnAdaptors(_) => Vec::new(),
            Self::Leave { .. } | Self::Ask(_) | Self::Isolated(_) => return None,
        })
    }

    /// What it costs whatever feeds follow: those may unmake leads and make work.
    pub(crate) fn price(&self, config: &Config) -> Price {
        match self {
            Self::Unlock(tags) => Price { work: tags.len(), ..Price::default() },
            // Cable is cut from the reel and is no thing to buy.
            Self::Set { .. } | Self::Allow(_) | Self::Thicker(_) => Price { work: 1, ..Price::default() },
            Self::Remake { .. } => Price { unmade: 1, work: 1, ..Price::default() },
            Self::Leave { .. } | Self::Ask(_) | Self::Isolated(_) => Price { work: 2, ..Price::default() },
            Self::OwnAdaptors(tags) => tags
                .iter()
                .fold(Price::default(), |sum, _| sum.plus(&bought(config.adaptor_price, None, 0, 1))),
            Self::Several(steps) => {
                steps.iter().fold(Price::default(), |sum, step| sum.plus(&step.price(config)))
            }
            Self::Add(candidate) => of_brick(candidate, 2),
            Self::Replace { by, .. } => of_brick(by, 3),
        }
    }
}

fn bought(money: Option<i64>, mass_g: Option<i64>, space_mm2: i64, work: usize) -> Price {
    Price {
        unpriced: usize::from(money.is_none()),
        money: money.unwrap_or(0),
        buys: 1,
        unweighed: usize::from(mass_g.is_none()),
        mass_g: mass_g.unwrap_or(0),
        space_mm2,
        unmade: 0,
        work,
    }
}

fn of_brick(candidate: &Candidate, work: usize) -> Price {
    let area = candidate.wants.map_or(0, |[width, depth, _]| space::area(width, depth));
    bought(candidate.price, candidate.mass_g, area, work)
}

/// Whether a device that goes without is unplugged: a locked one is a fact, unless its brick is gone, and so is a lead that is
/// made while what it hangs on is nobody else's.
pub(crate) fn is_unplugged(input: &Input, changed: &Input, feeds: &[Feed], tag: &str) -> bool {
    let need = changed.need(tag).map(|need| &changed.needs[need]);
    let Some(now) = need.and_then(|need| need.present.as_ref()) else { return false };
    let is_gone = |at: &usize| changed.outlets[*at].reserved && !input.outlets[*at].reserved;
    let is_taken = |at: &usize| feeds.iter().any(|feed| feed.outlets.contains(at));
    now.outlets.iter().any(is_gone) || !now.locked && (!now.made || now.outlets.iter().any(is_taken))
}

/// Where a brick that comes is plugged in, in words.
fn on_socket(input: &Input, brick: &Brick) -> Option<String> {
    let (strip, name) = brick.socket.as_ref()?;
    let at = format!("{}.{name}", input.strips[*strip].tag);
    Some(match brick.inlet {
        Inlet::Own(_) => format!(", its own adaptor on {at}"),
        _ => format!(" on {at}"),
    })
}

/// Whether one of some devices would have an adaptor without a socket.
fn has_no_socket(changed: &Input, tags: &[String]) -> bool {
    let given = changed.needs.iter().filter(|need| tags.contains(&need.tag));
    given.filter_map(|need| need.adaptor.as_ref()).any(|adaptor| adaptor.socket.is_none())
}

/// What to find out of a device, and what follows if it is as it was taken.
fn asked(input: &Input, tag: &str) -> String {
    let Some(need) = input.need(tag).map(|need| &input.needs[need]) else { return String::new() };
    let sign = need.sign.map_or("", rig::Sign::word).replace('-', " ");
    let volts = crate::input::volts_text(need.low_mv);
    let facts = [
        (need.unknown.class, format!("whether {tag} is analogue"), "analogue".to_owned()),
        (need.unknown.volts, format!("the voltage of {tag}"), volts),
        (need.unknown.sign, format!("the polarity of {tag}"), sign),
        (
            need.unknown.ground,
            format!("whether {tag} has positive ground"),
            "without positive ground".to_owned(),
        ),
    ];
    let open: Vec<&(bool, String, String)> = facts.iter().filter(|(is_open, ..)| *is_open).collect();
    let what: Vec<&str> = open.iter().map(|(_, what, _)| what.as_str()).collect();
    let hope: Vec<&str> = open.iter().map(|(.., hope)| hope.as_str()).collect();
    format!(
        "find out {}; if it is {} it may share an outlet",
        crate::list::list(&what),
        crate::list::list(&hope)
    )
}

/// The outlets that a device is locked to.
fn outlets_of(input: &Input, device: &str) -> Vec<usize> {
    let need = input.need(device).map(|need| &input.needs[need]);
    need.and_then(Need::lock).map(|lock| lock.outlets.clone()).unwrap_or_default()
}

/// How many bricks that came find no socket.
fn unplugged(after: &Input) -> usize {
    after.bricks.iter().filter(|brick| brick.unplugged).count()
}

/// Whether there is room and a socket for all that a change brings, as far as known.
pub(crate) fn fits(input: &Input, change: &CureStep) -> bool {
    has_room(input, change) && unplugged(&change.apply(input, &Config::standard()).0) == 0
}

/// Whether the bricks of a change fit under the decks, or into the place of the one that goes; where no room at all is
/// known, all do. What adds no brick fits.
pub(crate) fn has_room(input: &Input, change: &CureStep) -> bool {
    let mut added = Vec::new();
    for step in change.steps() {
        match step {
            CureStep::Add(candidate) => added.push(candidate.wants),
            CureStep::Replace { brick, by } if !fits_instead(input, brick, by) => return false,
            _ => {}
        }
    }
    let wanted: Option<Vec<[Length; 3]>> = added.into_iter().collect();
    input.rooms.is_empty() || wanted.is_some_and(|wanted| space::fits(&wanted, &input.rooms))
}

/// Whether a brick fits where another was: with its corner where that has it, its body and plugs. Where nobody knows the place,
/// anywhere under the decks.
fn fits_instead(input: &Input, brick: &str, by: &Candidate) -> bool {
    let Some(old) = input.bricks.iter().find(|old| old.tag == brick) else { return false };
    if let Some(stand) = &old.stand {
        return by.stands(stand);
    }
    let fits_in = |rooms: &[Room]| by.wants.is_some_and(|wanted| space::fits(&[wanted], rooms));
    let no_larger = old
        .wants
        .zip(by.wants)
        .is_some_and(|(old, new)| old.into_iter().zip(new).all(|(old, new)| new <= old));
    input.rooms.is_empty() || no_larger || fits_in(&old.rooms_without)
}

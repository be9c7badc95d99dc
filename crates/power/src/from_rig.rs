//! From a rig to the snapshot.

use std::collections::{BTreeMap, BTreeSet};

use finding::Field;
use quantity::{Milliamps, Ratio, Volts, Watts};
use rig::geometry::{EndKind, SocketState, Solid, port_point, sockets, sockets_for, solids};
use rig::{Carries, Class, Device, FeedKind, Isolation, Limits, Nature, PortRef, PortRole, Rig, Role};

use crate::input::{Adaptor, Bank, Brick, Input, Lack, Need, Outlet, Present, Rules, Setting, Strip};

/// A finite figure in whole units of a scale.
#[expect(clippy::cast_possible_truncation, reason = "rounded and clamped to what an i64 holds")]
fn whole(value: f64, per: f64) -> i64 {
    (value * per).round().clamp(-9e15, 9e15) as i64
}

/// Whole millivolts.
pub(crate) fn millivolts(volts: Volts) -> i64 {
    whole(volts.get(), 1e3)
}

/// Whole microamperes.
pub(crate) fn microamps(current: Milliamps) -> i64 {
    whole(current.get(), 1e3)
}

/// Whole nanowatts.
pub(crate) fn nanowatts(power: Watts) -> i64 {
    whole(power.get(), 1e9)
}

fn ppm(ratio: Ratio) -> i64 {
    whole(ratio.get(), 1e6)
}

impl Rules {
    /// The thresholds of the workshop.
    pub fn from_limits(limits: &Limits) -> Self {
        Self {
            outlet_look_ppm: ppm(limits.outlet_load_look),
            outlet_stop_ppm: ppm(limits.outlet_load_stop),
            brick_look_ppm: ppm(limits.brick_load_look),
            brick_stop_ppm: ppm(limits.brick_load_stop),
            surge_ppm: ppm(limits.surge_factor),
            shared_look_ua: microamps(limits.shared_analogue_look),
        }
    }
}

impl Input {
    /// The snapshot of a rig under a workshop's limits.
    ///
    /// What is not known is taken as the worse: a device of unknown class as digital, an outlet of unknown isolation as
    /// joined, a maker's leave as not given. A device without nature, voltage, current or sign cannot be judged and is
    /// left out, and so is a setting without a current; [`Input::lacks`] names the fields.
    pub fn from_rig(rig: &Rig, limits: &Limits) -> Self {
        let mut input = Self { rules: Rules::from_limits(limits), ..Self::default() };
        for device in rig.devices.iter().filter(|device| !device.outlets.is_empty()) {
            add_brick(&mut input, device);
        }
        let has_strip = rig.devices.iter().any(|device| device.role == Role::Strip && !device.outside);
        let boxes = if has_strip { solids(rig, limits).boxes } else { Vec::new() };
        input.strips = strips(rig, limits, &boxes);
        let made = made(rig);
        for device in &rig.devices {
            add_need(&mut input, device, limits, &made);
        }
        for need in 0..input.needs.len() {
            let has_body = input.needs[need].adaptor.is_some();
            let room = if has_body { room(rig, limits, &boxes, &input, need) } else { Vec::new() };
            if let Some(adaptor) = &mut input.needs[need].adaptor {
                adaptor.room = room;
            }
        }
        input.distances = input
            .needs
            .iter()
            .map(|need| input.outlets.iter().map(|outlet| distance(rig, &input, need, outlet)).collect())
            .collect();
        input.rooms = crate::space::rooms(rig, limits, None);
        for brick in &mut input.bricks {
            brick.rooms_without = crate::space::rooms(rig, limits, Some(&brick.tag));
        }
        input
    }
}

/// Adds a brick with its banks and outlets, and what is not known of them.
pub(crate) fn add_brick(input: &mut Input, device: &Device) {
    let brick = input.bricks.len();
    let tag = &device.tag;
    let mut lacks = BTreeSet::new();
    input.bricks.push(Brick {
        tag: tag.clone(),
        title: device.title.clone(),
        limit_nw: device.total.value.map(nanowatts),
        wants: crate::space::wanted(device),
        rooms_without: Vec::new(),
        efficiency_ppm: device.efficiency.value.map(ppm),
    });
    if device.total.is_unknown() {
        lacks.insert(Field::device(tag, "total"));
    }
    let mut banks = BTreeMap::new();
    for bank in &device.banks {
        match bank.current.value {
            Some(current) => {
                banks.insert(bank.name.as_str(), input.banks.len());
                input.banks.push(Bank { brick, name: bank.name.clone(), limit_ua: microamps(current) });
            }
            None => {
                lacks.insert(Field::device(tag, "bank").below(&bank.name).below("current"));
            }
        }
    }
    let joined = joined_groups(device, next_group(input));
    for (place, outlet) in device.outlets.iter().enumerate() {
        let field = |key: &str| Field::device(tag, "outlet").below(&outlet.name).below(key);
        let ac = outlet.nature.value == Some(Nature::Ac);
        let mut settings = Vec::new();
        for setting in &outlet.settings {
            match setting.current.value {
                Some(current) => {
                    settings.push(Setting { mv: millivolts(setting.volts), ua: microamps(current) });
                }
                None => {
                    lacks.insert(field("setting"));
                }
            }
        }
        for (unknown, key) in [
            (outlet.nature.is_unknown(), "type"),
            (outlet.isolation.is_unknown(), "isolation"),
            (outlet.sign.is_unknown() && !ac, "sign"),
        ] {
            if unknown {
                lacks.insert(field(key));
            }
        }
        if outlet.nature.is_unknown() || (outlet.sign.is_unknown() && !ac) {
            settings.clear();
        }
        input.outlets.push(Outlet {
            name: outlet.name.clone(),
            brick,
            bank: outlet.bank.as_deref().and_then(|name| banks.get(name).copied()),
            ac,
            settings,
            set_mv: outlet.set.value.map(millivolts),
            sign: outlet.sign.value.filter(|_| !ac),
            joined: joined[place],
            series: outlet.series.value,
            parallel: outlet.parallel.value,
            connector: device
                .port(&outlet.name)
                .and_then(|port| port.connector.as_ref())
                .map(|c| c.id.clone()),
            reserved: false,
        });
    }
    if !lacks.is_empty() {
        input.lacks.push(Lack { device: tag.clone(), fields: lacks.into_iter().collect(), unserved: false });
    }
}

fn next_group(input: &Input) -> usize {
    input.outlets.iter().filter_map(|outlet| outlet.joined).max().map_or(0, |last| last + 1)
}

/// The group of each outlet whose negative is joined to others, or may be. A joined outlet without a bank joins all.
fn joined_groups(device: &Device, first: usize) -> Vec<Option<usize>> {
    let is_joined = |outlet: &rig::Outlet| outlet.isolation.value != Some(Isolation::Isolated);
    let all_one = device.outlets.iter().any(|outlet| is_joined(outlet) && outlet.bank.is_none());
    let mut names: Vec<&str> = Vec::new();
    device
        .outlets
        .iter()
        .map(|outlet| {
            if !is_joined(outlet) {
                return None;
            }
            let name = if all_one { "" } else { outlet.bank.as_deref().unwrap_or("") };
            let place = names.iter().position(|known| *known == name).unwrap_or_else(|| {
                names.push(name);
                names.len() - 1
            });
            Some(first + place)
        })
        .collect()
}

/// The sockets where the own adaptor of a device has room: those that the geometry gives, and of those whose place nobody
/// knows (a strip beside the board) all that are free.
fn room(rig: &Rig, limits: &Limits, boxes: &[Solid], input: &Input, need: usize) -> Vec<(usize, String)> {
    let fitting = sockets_for(rig, limits, boxes, &input.needs[need].tag);
    let placed = fitting.into_iter().filter_map(|at| {
        let strip = input.strips.iter().position(|strip| strip.tag == at.device)?;
        Some((strip, at.port))
    });
    let placeless = |strip: &Strip, name: &str| {
        rig.device(&strip.tag).is_none_or(|device| port_point(rig, device, name).is_none())
    };
    let beside = input.strips.iter().enumerate().flat_map(|(at, strip)| {
        strip.free.iter().filter(|name| placeless(strip, name)).map(move |name| (at, name.clone()))
    });
    placed.chain(beside).collect()
}

/// The strips with the sockets that are free for adaptors of devices.
fn strips(rig: &Rig, limits: &Limits, boxes: &[Solid]) -> Vec<Strip> {
    let covered: BTreeSet<PortRef> = sockets(rig, limits, boxes)
        .into_iter()
        .filter(|socket| matches!(socket.state, SocketState::Covered(_)))
        .map(|socket| socket.at)
        .collect();
    let mut arrived: BTreeSet<&PortRef> = BTreeSet::new();
    let mut taken: BTreeSet<&PortRef> = BTreeSet::new();
    for run in rig.runs.iter().filter(|run| run.carries == Carries::Mains) {
        for stop in &run.stops {
            arrived.extend(stop.arrives.as_ref());
            taken.extend(stop.leaves.as_ref());
        }
    }
    for device in &rig.devices {
        if let Some(feed) = device.feed.as_ref().filter(|feed| feed.kind == FeedKind::Adaptor)
            && !wants_feed(device)
        {
            taken.extend(&feed.outlets);
        }
    }
    rig.devices
        .iter()
        .filter(|device| device.role == Role::Strip)
        .map(|strip| {
            let sockets = strip.ports.iter().filter(|port| port.role.value == Some(PortRole::Mains));
            let free = sockets
                .map(|port| PortRef::new(&strip.tag, &port.name))
                .filter(|at| !arrived.contains(at) && !taken.contains(at) && !covered.contains(at))
                .map(|at| at.port)
                .collect();
            Strip { tag: strip.tag.clone(), free }
        })
        .collect()
}

/// Whether a device is one that the allocation serves.
fn wants_feed(device: &Device) -> bool {
    let fed =
        device.feed.as_ref().is_some_and(|feed| feed.kind != FeedKind::Adaptor && !feed.outlets.is_empty());
    matches!(device.power.nature.value, Some(Nature::Dc | Nature::Ac)) && (!device.outside || fed)
}

/// The devices whose supply lead is cut, plugged in or wired.
fn made(rig: &Rig) -> BTreeSet<String> {
    let made = rig::leads(rig).into_iter().filter(|lead| lead.run.is_none() && lead.is_made());
    made.flat_map(|lead| lead.ends.into_iter().filter(|end| end.end == EndKind::To))
        .map(|end| end.port.device)
        .collect()
}

fn add_need(input: &mut Input, device: &Device, limits: &Limits, made: &BTreeSet<String>) {
    let (tag, power) = (&device.tag, &device.power);
    let mut lacks = Vec::new();
    if power.nature.is_unknown() {
        if !device.outside {
            lacks.push(Field::device(tag, "power.type"));
        }
    } else if !wants_feed(device) {
        return;
    } else {
        let dc = power.nature.value == Some(Nature::Dc);
        for (unknown, key) in [
            (power.volts.is_unknown(), "power.volts"),
            (power.current.is_unknown(), "power.current"),
            (dc && power.sign.is_unknown(), "power.sign"),
        ] {
            if unknown {
                lacks.push(Field::device(tag, key));
            }
        }
    }
    let present = device.feed.as_ref().map(|feed| Present {
        kind: feed.kind,
        outlets: feed.outlets.iter().filter_map(|at| outlet_at(input, at)).collect(),
        written: feed.outlets.iter().map(ToString::to_string).collect(),
        crossing: feed.crossing,
        barrel_adaptor: feed.barrel_adaptor.clone(),
        locked: feed.locked,
        made: made.contains(tag),
    });
    let (Some(nature), Some(window), Some(current)) =
        (power.nature.value, power.volts.value, power.current.value)
    else {
        return leave_out(input, tag, lacks, present.as_ref());
    };
    if !lacks.is_empty() {
        return leave_out(input, tag, lacks, present.as_ref());
    }
    let inlet = device.ports.iter().find(|port| port.role.value == Some(PortRole::Power));
    let gain = device.signal.gain.value;
    let adaptor = device.feed.as_ref().filter(|feed| feed.kind == FeedKind::Adaptor).map(|feed| Adaptor {
        socket: feed.outlets.first().and_then(|at| {
            let strip = input.strips.iter().position(|strip| strip.tag == at.device)?;
            Some((strip, at.port.clone()))
        }),
        takes: 1,
        room: Vec::new(),
    });
    input.needs.push(Need {
        tag: tag.clone(),
        stated: power.clone(),
        ac: nature == Nature::Ac,
        low_mv: millivolts(window.low()),
        high_mv: millivolts(window.high()),
        current_ua: microamps(current),
        surge_ua: power.surge.value.map(microamps),
        sign: power.sign.value.filter(|_| nature == Nature::Dc),
        alone: power.class.value != Some(Class::Analogue),
        positive_ground: power.positive_ground.value == Some(true),
        loud: gain.is_none_or(|gain| limits.shared_gain_look < gain),
        connector: inlet.and_then(|port| port.connector.as_ref()).map(|connector| connector.id.clone()),
        inlet: inlet.map(|port| port.name.clone()),
        adaptor,
        present,
    });
}

/// A device that cannot be judged; the outlets it is locked to are kept for it.
fn leave_out(input: &mut Input, tag: &str, fields: Vec<Field>, present: Option<&Present>) {
    if fields.is_empty() {
        return;
    }
    for &outlet in present.filter(|present| present.locked).into_iter().flat_map(|present| &present.outlets) {
        input.outlets[outlet].reserved = true;
    }
    input.lacks.push(Lack { device: tag.to_owned(), fields, unserved: true });
}

fn outlet_at(input: &Input, at: &PortRef) -> Option<usize> {
    input
        .outlets
        .iter()
        .position(|outlet| outlet.name == at.port && input.bricks[outlet.brick].tag == at.device)
}

/// Along the three axes, as leads are laid, in whole millimetres.
fn distance(rig: &Rig, input: &Input, need: &Need, outlet: &Outlet) -> Option<i64> {
    let from = port_point(rig, rig.device(&input.bricks[outlet.brick].tag)?, &outlet.name)?;
    let to = port_point(rig, rig.device(&need.tag)?, need.inlet.as_deref()?)?;
    let nm: i64 = (0..3).map(|axis| (from[axis] - to[axis]).abs().nm()).sum();
    Some((nm + 500_000).div_euclid(1_000_000))
}

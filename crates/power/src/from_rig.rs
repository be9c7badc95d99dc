//! From a rig to the snapshot.

use std::collections::{BTreeMap, BTreeSet};
use std::sync::Arc;

use finding::Field;
use quantity::{Grams, Milliamps, Ratio, Volts, Watts};
use rig::geometry::{EndKind, SocketState, Solid, ends_of, port_point, sockets, sockets_for, solids_with};
use rig::{
    Carries, Class, Device, FeedKind, Isolation, LeadClass, Limits, Nature, PlugKind, PlugSpec, PortRef,
    PortRole, Rig, Role, Sign,
};

use crate::fit::Fitting;
use crate::inlet::{Inlet, MainsRun};
use crate::input::{
    Adaptor, Bank, Brick, Input, Lack, Need, Outlet, Present, Rules, Setting, Strip, USUAL_MV, Unit, Unknown,
    Unseen, WrittenLead, share_of,
};
use crate::placed::Placed;
use crate::{energy, resistance};

/// A finite figure in whole units of a scale.
#[expect(clippy::cast_possible_truncation, reason = "rounded and clamped to what an i64 holds")]
fn whole(value: f64, per: f64) -> i64 {
    (value * per).round().clamp(-9e15, 9e15) as i64
}

/// Whole millivolts.
pub fn millivolts(volts: Volts) -> i64 {
    whole(volts.get(), 1e3)
}

/// Millivolts as volts.
fn volts(mv: i64) -> Volts {
    Volts::new(crate::assignment::real(mv) / 1000.0).unwrap_or_default()
}

/// Whole microamperes.
pub fn microamps(current: Milliamps) -> i64 {
    whole(current.get(), 1e3)
}

/// Whole nanowatts.
pub(crate) fn nanowatts(power: Watts) -> i64 {
    whole(power.get(), 1e9)
}

/// Whole grams.
pub(crate) fn grams(mass: Grams) -> i64 {
    whole(mass.get(), 1.0)
}

/// Whole millionths.
pub fn ppm(ratio: Ratio) -> i64 {
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
            share_most: usize::try_from(whole(limits.outlet_share_most.get().floor(), 1.0))
                .unwrap_or(1)
                .max(1),
            drop_look_ppm: ppm(limits.supply_drop_look),
        }
    }
}

impl Input {
    /// The snapshot of a rig under a workshop's limits.
    ///
    /// What is not known is taken as the worse: a device of unknown class as digital, an outlet of unknown isolation as
    /// joined, a maker's leave as not given. A device whose draw, voltage, polarity or ground is unknown is fed on what
    /// [`Unknown`] says, without company. One of which nobody knows whether it wants alternating current cannot be
    /// judged and is left out, its stated outlets kept for it; so is a setting without a current. [`Input::lacks`] names
    /// the fields.
    pub fn from_rig(rig: &Rig, limits: &Limits) -> Self {
        let usual = |class| rig.plugs.get(&class).cloned();
        let usual_plugs = [usual(LeadClass::Dc), usual(LeadClass::Ac)];
        let mut input = Self { rules: Rules::from_limits(limits), usual_plugs, ..Self::default() };
        // Where a device stands in the document decides nothing, also not between allocations that are equally good.
        let devices = rig.by_tag();
        let is_brick = |device: &&&Device| !device.outlets.is_empty() && rig.own_adaptor_of(device).is_none();
        for device in devices.iter().filter(is_brick) {
            add_brick(&mut input, device);
        }
        let leads = rig::leads(rig);
        let ends: Vec<_> = ends_of(&leads).cloned().collect();
        let boxes = solids_with(rig, limits, &ends).boxes;
        input.strips = strips(rig, limits, &boxes);
        let stops = |run: &rig::Run| run.stops.iter().map(|stop| stop.text.clone()).collect();
        input.runs = rig.runs.iter().map(|run| (run.name.clone(), stops(run))).collect();
        let written = rig.leads.iter().map(|lead| WrittenLead {
            name: lead.name(),
            ends: lead.ends().map(ToString::to_string).collect(),
            number: lead.tag.clone(),
        });
        input.leads = written.collect();
        input.retired.clone_from(&rig.retired);
        plugged(&mut input, rig);
        input.mains_mv = rig.job.mains.map(|mains| millivolts(mains.volts));
        for run in rig.runs.iter().filter(|run| run.carries == Carries::Mains) {
            input.mains.extend(run.steps().map(|(from, to)| (from.device.clone(), to.device.clone())));
        }
        // A brick's own adaptor sits in a socket and has no mains lead.
        for device in rig.devices.iter().filter(|device| !device.outlets.is_empty() && !wants_feed(device)) {
            let own = device.feed.iter().filter(|feed| feed.kind == FeedKind::Adaptor);
            let sockets = own.flat_map(|feed| &feed.outlets);
            input.mains.extend(sockets.map(|at| (at.device.clone(), device.tag.clone())));
        }
        input.made = made(&leads);
        let made = input.made.keys().cloned().collect();
        for device in devices {
            add_need(&mut input, rig, device, limits, &made);
        }
        for need in 0..input.needs.len() {
            let has_body = input.needs[need].adaptor.is_some();
            let room = if has_body { room(rig, limits, &boxes, &input, need) } else { Vec::new() };
            let tag = input.needs[need].tag.clone();
            if let Some(adaptor) = &mut input.needs[need].adaptor {
                adaptor.room = room;
                adaptor.unit = unit(rig, &tag);
            }
        }
        input.distances = input
            .needs
            .iter()
            .map(|need| input.outlets.iter().map(|outlet| distance(rig, &input, need, outlet)).collect())
            .collect();
        (input.loops, input.lengths) = resistance::loops(rig, limits, &input, &leads);
        input.remade = resistance::remade(rig, limits, &input, &leads);
        input.cable = rig
            .cables
            .get(&rig::LeadClass::Dc)
            .and_then(|cable| Some((cable.id.clone(), whole(cable.resistance_per_metre.value?.get(), 1e6))));
        let inlets = input.needs.iter().map(|need| (need.tag.as_str(), need.inlet.as_deref()));
        input.placed = Some(Arc::new(Placed::new(rig, limits, inlets)));
        input.rooms = crate::space::rooms(rig, limits, &boxes, None);
        for brick in &mut input.bricks {
            brick.rooms_without = crate::space::rooms(rig, limits, &boxes, Some(&brick.tag));
            brick.stand = crate::space::stand(rig, limits, &boxes, &brick.tag);
        }
        input
    }
}

/// Adds a brick with its banks and outlets, and what is not known of them.
pub(crate) fn add_brick(input: &mut Input, device: &Device) {
    let brick = input.bricks.len();
    let tag = &device.tag;
    add_plugs(input, device);
    let mut lacks = BTreeSet::new();
    let (efficiency_ppm, efficiency_assumed) = energy::efficiency(device);
    let stated = device.efficiency.value.map(ppm);
    input.bricks.push(Brick {
        tag: tag.clone(),
        title: device.title.clone(),
        limit_nw: device.total.value.map(nanowatts),
        wants: crate::space::wanted(device),
        rooms_without: Vec::new(),
        efficiency_ppm: stated.or((!efficiency_assumed).then_some(efficiency_ppm)),
        efficiency_assumed,
        mains: device.power.nature.value == Some(Nature::Mains),
        intake_nw: energy::intake(device, None).map(|intake| intake.gives_nw),
        intake_worked_out: energy::intake(device, None).is_some_and(|intake| intake.worked_out),
        inlet: Inlet::of(device),
        ..Brick::default()
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
        let mut unknown = Vec::new();
        for setting in &outlet.settings {
            if let Some(current) = setting.current.value {
                settings.push(Setting { mv: millivolts(setting.volts), ua: microamps(current) });
            } else if !unknown.contains(&field("setting")) {
                unknown.push(field("setting"));
            }
        }
        if outlet.settings.is_empty() {
            unknown.push(field("setting"));
        }
        if outlet.isolation.is_unknown() {
            lacks.insert(field("isolation"));
        }
        let connector = device.port(&outlet.name).and_then(|port| port.connector.as_ref());
        let sign = device.outlet_sign(outlet).value;
        for (is_unknown, key) in [(outlet.nature.is_unknown(), "type"), (sign.is_none() && !ac, "sign")] {
            if is_unknown {
                unknown.push(field(key));
                settings.clear();
            }
        }
        lacks.extend(unknown.iter().cloned());
        let might =
            |setting: &rig::Setting| (millivolts(setting.volts), setting.current.value.map(microamps));
        let unchecked = (!unknown.is_empty()).then(|| Unseen {
            fields: unknown,
            ac: (!outlet.nature.is_unknown()).then_some(ac),
            settings: outlet.settings.iter().map(might).collect(),
        });
        input.outlets.push(Outlet {
            name: outlet.name.clone(),
            brick,
            bank: outlet.bank.as_deref().and_then(|name| banks.get(name).copied()),
            ac,
            settings,
            set_mv: outlet.set.value.map(millivolts),
            sign: sign.filter(|_| !ac),
            joined: joined[place],
            series: outlet.series.value,
            parallel: outlet.parallel.value,
            connector: connector.map(Fitting::of),
            reserved: false,
            isolation_unknown: outlet.isolation.is_unknown(),
            unchecked,
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

/// What the own adaptor of a device gives, where the document writes it as a unit with an outlet.
fn unit(rig: &Rig, tag: &str) -> Option<Unit> {
    let feed = rig.device(tag)?.feed.as_ref().filter(|feed| feed.kind == FeedKind::Adaptor)?;
    let at = feed.outlets.first()?;
    let of = rig.device(&at.device)?;
    let outlet = of.outlet(&at.port)?;
    let ac = match outlet.nature.value {
        Some(Nature::Ac) => Some(true),
        Some(Nature::Dc) => Some(false),
        _ => None,
    };
    let arrives = |sign: Sign| if feed.crossing { sign.crossed() } else { sign };
    Some(Unit {
        at: at.clone(),
        ac,
        mv: match outlet.settings.as_slice() {
            [only] => Some(millivolts(only.volts)),
            _ => outlet.set.value.map(millivolts),
        },
        sign: of.outlet_sign(outlet).value.map(arrives),
    })
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
    rig.by_tag()
        .into_iter()
        .filter(|device| device.role == Role::Strip)
        .map(|strip| {
            let free = strip
                .mains_sockets()
                .map(|name| PortRef::new(&strip.tag, name))
                .filter(|at| !arrived.contains(at) && !taken.contains(at) && !covered.contains(at))
                .map(|at| at.port)
                .collect();
            Strip { tag: strip.tag.clone(), free }
        })
        .collect()
}

/// Where the bricks of the document get their mains.
fn plugged(input: &mut Input, rig: &Rig) {
    let strips = &input.strips;
    let socket = |at: &PortRef| {
        let strip = strips.iter().position(|strip| strip.tag == at.device)?;
        Some((strip, at.port.clone()))
    };
    for brick in &mut input.bricks {
        for run in rig.runs.iter().filter(|run| run.carries == Carries::Mains) {
            let arrives = |stop: &rig::Stop| stop.arrives.as_ref().is_some_and(|at| at.device == brick.tag);
            let Some(place) = run.stops.iter().position(arrives) else { continue };
            brick.run = Some(MainsRun {
                name: run.name.clone(),
                stops: run.stops.iter().map(|stop| stop.text.clone()).collect(),
                ends: place + 1 == run.stops.len(),
            });
            let from = place.checked_sub(1).and_then(|before| run.stops[before].leaves.as_ref());
            brick.socket = from.and_then(socket);
        }
        let Some(device) = rig.device(&brick.tag).filter(|device| !wants_feed(device)) else { continue };
        if let Some(feed) = device.feed.as_ref().filter(|feed| feed.kind == FeedKind::Adaptor) {
            (brick.own_feed, brick.own_locked) = (true, feed.locked);
            brick.socket = feed.outlets.first().and_then(socket);
        }
    }
}

/// Whether a device is one that the allocation serves.
fn wants_feed(device: &Device) -> bool {
    let fed =
        device.feed.as_ref().is_some_and(|feed| feed.kind != FeedKind::Adaptor && !feed.outlets.is_empty());
    matches!(device.power.nature.value, Some(Nature::Dc | Nature::Ac)) && (!device.outside || fed)
}

/// The devices whose supply lead is cut, plugged in or wired, each with that lead.
fn made(leads: &[rig::Lead]) -> BTreeMap<String, String> {
    let made = leads.iter().filter(|lead| lead.run.is_none() && lead.is_made());
    made.flat_map(|lead| lead.ends_of(EndKind::To).map(|end| (end.port.device.clone(), lead.name())))
        .collect()
}

pub(crate) fn add_need(
    input: &mut Input,
    rig: &Rig,
    device: &Device,
    limits: &Limits,
    made: &BTreeSet<String>,
) {
    let (tag, power) = (&device.tag, &device.power);
    if power.nature.is_unknown() && device.outside || !power.nature.is_unknown() && !wants_feed(device) {
        return;
    }
    let present = device.feed.as_ref().map(|feed| Present {
        kind: feed.kind,
        outlets: feed.outlets.iter().filter_map(|at| outlet_at(input, at)).collect(),
        written: feed.outlets.iter().map(ToString::to_string).collect(),
        crossing: feed.crossing,
        barrel_adaptor: feed.barrel_adaptor.as_ref().map(|plug| plug.id.clone()),
        outlet_plug: own_plug(rig, device, &feed.outlet_plug).map(|plug| plug.fits.clone()),
        outlet_exit: feed.outlet_plug.exit.map(rig::Exit::word),
        locked: feed.locked,
        made: made.contains(tag),
    });
    let Some(nature) = power.nature.value else {
        return leave_out(input, tag, vec![Field::device(tag, "power.type")], present.as_ref());
    };
    let ac = nature == Nature::Ac;
    let drawn = power.current.value.map_or(0, microamps);
    // What a feed brings that cannot stay says nothing of what its device needs.
    let stays = present.as_ref().filter(|present| could_stay(input, present, ac, drawn));
    let arrives = stays.map(|present| arriving(input, present)).unwrap_or_default();
    let (low_mv, high_mv) = match power.volts.value {
        Some(window) => (millivolts(window.low()), millivolts(window.high())),
        None => (arrives.0.unwrap_or(USUAL_MV), arrives.0.unwrap_or(USUAL_MV)),
    };
    let inlet = device.ports.iter().find(|port| port.role.value == Some(PortRole::Power));
    let wanted = device.wanted_sign();
    let sign = wanted.value.or(arrives.1).unwrap_or(Sign::CentreNegative);
    let supplies = input.bricks.iter().position(|brick| brick.tag == *tag);
    let intake = energy::intake(device, arrives.0.map(volts));
    if let (Some(brick), Some(intake)) = (supplies, intake) {
        // Now that all outlets are known, so is the voltage that arrives where nobody wrote down which it wants.
        input.bricks[brick].intake_nw = Some(intake.gives_nw);
    }
    let current_ua = power.current.value.map(microamps).or(intake.map(|intake| intake.current_ua));
    add_plugs(input, device);
    let gain = rig.gain(device).value.value;
    let adaptor = device.feed.as_ref().filter(|feed| feed.kind == FeedKind::Adaptor).map(|feed| Adaptor {
        socket: feed.outlets.first().and_then(|at| {
            let strip = input.strips.iter().position(|strip| strip.tag == at.device)?;
            Some((strip, at.port.clone()))
        }),
        ..Adaptor::usual()
    });
    input.needs.push(Need {
        tag: tag.clone(),
        stated: power.clone(),
        ac,
        low_mv,
        high_mv,
        // What feeds others takes something, or two that take nothing could feed each other.
        current_ua: current_ua.unwrap_or(0).max(i64::from(supplies.is_some())),
        surge_ua: power.surge.value.map(microamps),
        sign: (!ac).then_some(sign),
        alone: power.class.value != Some(Class::Analogue),
        positive_ground: power.positive_ground.value == Some(true),
        loud: gain.is_none_or(|gain| limits.shared_gain_look < gain),
        connector: inlet.and_then(|port| port.connector.as_ref()).map(Fitting::of),
        plug_fits: inlet
            .and_then(|port| port.connector.as_ref())
            .zip(plug_at(rig, device))
            .map(|(connector, plug)| plug.fits.contains(&connector.id)),
        inlet: inlet.map(|port| port.name.clone()),
        adaptor,
        present,
        unknown: Unknown {
            draw: current_ua.is_none(),
            volts: power.volts.is_unknown(),
            sign: !ac && wanted.is_unknown(),
            ground: power.positive_ground.is_unknown(),
            class: power.class.is_unknown(),
            gain: gain.is_none(),
        },
        supplies,
    });
}

/// The plugs that go into the connectors of a device.
fn add_plugs(input: &mut Input, device: &Device) {
    for connector in device.ports.iter().filter_map(|port| port.connector.as_ref()) {
        if let Some(plug) = &connector.made_for {
            input.plugs.entry(connector.id.clone()).or_insert_with(|| plug.clone());
        }
    }
}

/// The plug that the lead of a device ends in: what its feed says, else what the job's leads usually end in.
fn plug_at<'a>(rig: &'a Rig, device: &'a Device) -> Option<&'a PlugKind> {
    let stated = device.feed.as_ref().and_then(|feed| feed.device_plug.plug.as_ref());
    stated.or_else(|| rig.plugs.get(&class_of(device)))
}

/// The plug that a feed names for itself: not the one that the job's leads usually end in.
fn own_plug<'a>(rig: &Rig, device: &Device, spec: &'a PlugSpec) -> Option<&'a PlugKind> {
    spec.plug.as_ref().filter(|plug| rig.plugs.get(&class_of(device)) != Some(*plug))
}

/// What its supply lead carries.
fn class_of(device: &Device) -> LeadClass {
    if device.power.nature.value == Some(Nature::Ac) { LeadClass::Ac } else { LeadClass::Dc }
}

/// Whether a device may go on hanging where it hangs, as far as its kind of current and its draw go.
fn could_stay(input: &Input, present: &Present, ac: bool, drawn_ua: i64) -> bool {
    let each = if present.kind == FeedKind::ParallelPair { (drawn_ua + 1) / 2 } else { drawn_ua };
    let carries = |&outlet: &usize| {
        let of = &input.outlets[outlet];
        let enough = |setting: &Setting| {
            of.set_mv == Some(setting.mv) && each <= share_of(setting.ua, input.rules.outlet_stop_ppm)
        };
        of.ac == ac && of.settings.iter().any(enough)
    };
    present.locked || present.made || present.outlets.iter().all(carries)
}

/// The voltage and the polarity that the stated feed brings to a device, as far as they are known.
fn arriving(input: &Input, present: &Present) -> (Option<i64>, Option<Sign>) {
    let outlets: Vec<&Outlet> = present.outlets.iter().map(|&outlet| &input.outlets[outlet]).collect();
    let Some(first) = outlets.first() else { return (None, None) };
    let mv = match present.kind {
        FeedKind::SeriesPair => outlets.iter().map(|outlet| outlet.set_mv).sum(),
        _ => first.set_mv,
    };
    let sign = first.sign.map(|sign| if present.crossing { sign.crossed() } else { sign });
    (mv, sign)
}

/// A device that cannot be judged; the outlets it hangs on are kept for it.
fn leave_out(input: &mut Input, tag: &str, fields: Vec<Field>, present: Option<&Present>) {
    let kept = present.is_some_and(|present| {
        present.kind == FeedKind::Adaptor
            || !present.outlets.is_empty() && present.outlets.len() == present.written.len()
    });
    for &outlet in present.into_iter().flat_map(|present| &present.outlets) {
        input.outlets[outlet].reserved = true;
    }
    input.lacks.push(Lack { device: tag.to_owned(), fields, unserved: !kept });
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

//! Leads as things: each made-up lead of a rig once, with all its ends.
//!
//! [`leads`] is the only place that makes leads out of runs and feeds. A step of a run is a lead, a feed is a lead;
//! steps and feeds that meet in one plug (a pair of outlets, a splitter, an insert on one jack) or that the document
//! draws as one entry are one lead with a joint.

use std::collections::{BTreeMap, BTreeSet};

use quantity::Length;

use crate::geometry::{EndKind, LeadEnd};
use crate::{
    Cable, Connector, ConnectorFamily, Device, FLOOR, Feed, FeedKind, Fitting, Known, LeadClass, LeadSpec,
    Nature, PlugKind, PlugSpec, PortRef, PortRole, Rig, Role,
};

/// How the ends of a lead hang together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum LeadShape {
    /// Two ends.
    Plain,
    /// Two outlets whose voltages add: + of the first to − of the second.
    SeriesPair,
    /// Two outlets whose currents add.
    ParallelPair,
    /// One outlet to several devices.
    Splitter,
    /// One jack that sends and returns, to the two jacks of what is inserted.
    Insert,
    /// Any other lead with a joint, as the builder drew it.
    Joined,
}

impl LeadShape {
    /// What it is called on paper.
    pub fn word(self) -> &'static str {
        match self {
            Self::Plain => "plain lead",
            Self::SeriesPair => "series pair",
            Self::ParallelPair => "parallel pair",
            Self::Splitter => "splitter",
            Self::Insert => "insert lead",
            Self::Joined => "Y lead",
        }
    }
}

/// Where a lead comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Making {
    /// It is made at the bench.
    Made,
    /// It is bought ready-made, mains approved; nobody is asked to cut one.
    Bought,
    /// It belongs to an adaptor or a strip and cannot be unplugged there.
    Captive,
    /// The player brings it.
    Theirs,
}

/// One made-up lead with all its ends.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Lead {
    /// Its number on labels: the one that was issued, else the next free one of its class.
    pub tag: String,
    /// Whether the number stands in the document, so that it never moves.
    pub issued: bool,
    /// What it carries.
    pub class: LeadClass,
    /// How its ends hang together.
    pub shape: LeadShape,
    /// Where it comes from.
    pub making: Making,
    /// The run of its first step; `None` for a feed.
    pub run: Option<String>,
    /// From where to where something flows along it: one pair for a plain lead.
    pub flows: Vec<(PortRef, PortRef)>,
    /// Its ends, at least two. Those that things come from stand first, but for an insert lead, whose jack does.
    pub ends: Vec<LeadEnd>,
    /// The end that the others branch from; 0 for a plain lead.
    pub trunk: usize,
    /// Its cable, when decided.
    pub cable: Option<Cable>,
    /// Whether its ends hang together in a joint. One that was made with a joint keeps it when only two ends are left.
    pub joined: bool,
    /// What the document says of it.
    pub spec: Option<LeadSpec>,
    /// The length of the player's own lead.
    pub brought: Option<Known<Length>>,
    /// The glands of a panel that it passes on its way: holes that hold its cable and are no ends of it.
    pub through: Vec<PortRef>,
}

impl Lead {
    /// Whether it has a joint.
    pub fn is_joined(&self) -> bool {
        self.joined
    }

    /// Whether it is a thing by now: cut, plugged in or wired.
    pub fn is_made(&self) -> bool {
        self.spec.as_ref().is_some_and(LeadSpec::is_made)
    }

    /// The ends of one kind.
    pub fn ends_of(&self, kind: EndKind) -> impl Iterator<Item = &LeadEnd> {
        self.ends.iter().filter(move |end| end.end == kind)
    }

    /// What it is known by in the document: by the entry that is there, else as one would be written.
    pub fn name(&self) -> String {
        match &self.spec {
            Some(spec) => spec.name(),
            None if self.is_joined() => {
                self.ends.iter().map(|end| end.port.to_string()).collect::<Vec<_>>().join(" + ")
            }
            None => format!("{} > {}", self.ends[0].port, self.ends[1].port),
        }
    }
}

/// One step of a run or one outlet of a feed, before those that are one lead are joined.
struct Segment<'a> {
    class: LeadClass,
    run: Option<&'a crate::Run>,
    feed: Option<&'a Device>,
    from: PortRef,
    to: PortRef,
    through: Vec<PortRef>,
}

/// Every lead of the rig: runs first, in document order, then feeds in the order of the tags of what they feed.
pub fn leads(rig: &Rig) -> Vec<Lead> {
    let segments = segments(rig);
    let mut out: Vec<Lead> = Vec::new();
    for group in groups(rig, &segments) {
        let members: Vec<&Segment<'_>> = group.iter().map(|index| &segments[*index]).collect();
        let lead = lead(rig, &members, out.len());
        out.push(lead);
    }
    one_entry_each(&mut out);
    number(rig, &mut out);
    out
}

/// Where a lead with a joint fell apart into several, the first keeps its entry and with it the number.
fn one_entry_each(leads: &mut [Lead]) {
    let mut taken: BTreeSet<String> = BTreeSet::new();
    for lead in leads.iter_mut() {
        let Some(spec) = lead.spec.as_ref().filter(|spec| spec.is_joined()) else { continue };
        if !taken.insert(spec.name()) {
            (lead.spec, lead.issued) = (None, false);
            lead.tag.clear();
        }
    }
}

fn segments(rig: &Rig) -> Vec<Segment<'_>> {
    let mut out: Vec<Segment<'_>> = Vec::new();
    for run in &rig.runs {
        let first = out.len();
        for (from, to) in run.steps() {
            // What goes on behind a gland is the same cable.
            match out[first..].last_mut() {
                Some(before) if before.to == *from && is_gland(rig, from) => {
                    before.to = to.clone();
                    before.through.push(from.clone());
                }
                _ => out.push(Segment {
                    class: run.carries.class(),
                    run: Some(run),
                    feed: None,
                    from: from.clone(),
                    to: to.clone(),
                    through: Vec::new(),
                }),
            }
        }
    }
    // The same lead in two runs is one lead.
    let mut known = BTreeSet::new();
    out.retain(|segment| {
        known.insert((segment.class, segment.from.clone(), segment.to.clone(), segment.through.clone()))
    });
    for device in rig.by_tag() {
        let Some(feed) = &device.feed else { continue };
        let Some(inlet) = device.ports.iter().find(|p| p.role.value == Some(PortRole::Power)) else {
            continue;
        };
        let to = PortRef::new(&device.tag, &inlet.name);
        for outlet in &feed.outlets {
            let class = supply_class(rig, device, feed, outlet);
            out.push(Segment {
                class,
                run: None,
                feed: Some(device),
                from: outlet.clone(),
                to: to.clone(),
                through: Vec::new(),
            });
        }
    }
    out
}

/// Whether a port of a panel is a hole that holds a cable on its way through: it has a hole and no contacts of its own.
fn is_gland(rig: &Rig, at: &PortRef) -> bool {
    rig.device(&at.device).is_some_and(|device| device.role == Role::Panel)
        && rig.port(at).and_then(|port| port.connector.as_ref()).is_some_and(|connector| {
            connector.family == ConnectorFamily::Fixed && !connector.hole.is_unknown()
        })
}

/// What flows in a feed's lead: what the outlet gives; from a mains socket what the device's own adaptor makes of it.
fn supply_class(rig: &Rig, device: &Device, feed: &Feed, outlet: &PortRef) -> LeadClass {
    let given = rig.device(&outlet.device).and_then(|brick| brick.outlet(&outlet.port));
    let nature = match given.and_then(|outlet| outlet.nature.value) {
        Some(Nature::Mains) | None if feed.kind == FeedKind::Adaptor => device.power.nature.value,
        nature => nature,
    };
    match nature {
        Some(Nature::Ac) => LeadClass::Ac,
        // A brick's own adaptor gives it DC; what the brick is said to need is what goes into that adaptor.
        Some(Nature::Mains) if feed.kind != FeedKind::Adaptor => LeadClass::Mains,
        _ => LeadClass::Dc,
    }
}

/// The segments that are one lead, each group in order, groups by their first member.
fn groups(rig: &Rig, segments: &[Segment<'_>]) -> Vec<Vec<usize>> {
    let mut head: Vec<usize> = (0..segments.len()).collect();
    // The first member stands for its group, so that document order is kept.
    let join = |head: &mut Vec<usize>, a: usize, b: usize| {
        let (a, b) = (head[a].min(head[b]), head[a].max(head[b]));
        for one in head.iter_mut().filter(|one| **one == b) {
            *one = a;
        }
    };
    let mut first_at: BTreeMap<&PortRef, usize> = BTreeMap::new();
    for (index, segment) in segments.iter().enumerate() {
        let mut meet = |port: &'_ PortRef, head: &mut Vec<usize>| {
            let Some(port) = [&segment.from, &segment.to].into_iter().find(|end| *end == port) else {
                return;
            };
            match first_at.get(port) {
                Some(other) => join(head, *other, index),
                None => {
                    first_at.insert(port, index);
                }
            }
        };
        match segment.feed {
            // One outlet takes one plug, one inlet another: what meets there is one lead.
            Some(_) if is_outlet(rig, &segment.from) => {
                meet(&segment.from, &mut head);
                meet(&segment.to, &mut head);
            }
            Some(_) => {}
            None => {
                for port in [&segment.from, &segment.to] {
                    let other = if *port == segment.from { &segment.to } else { &segment.from };
                    let soldered = is_inner(rig, port, other)
                        && rig.port(port).and_then(|port| port.inside) != Some(Fitting::Plugged);
                    if is_one_jack_insert(rig, port) && !soldered {
                        meet(port, &mut head);
                    }
                }
            }
        }
    }
    for spec in rig.leads.iter().filter(|spec| spec.is_joined()) {
        let named: BTreeSet<&PortRef> = spec.ends().collect();
        let mut members = (0..segments.len())
            .filter(|at| named.contains(&segments[*at].from) && named.contains(&segments[*at].to));
        if let Some(first) = members.next() {
            members.for_each(|other| join(&mut head, first, other));
        }
    }
    let mut out: BTreeMap<usize, Vec<usize>> = BTreeMap::new();
    for (index, head) in head.into_iter().enumerate() {
        out.entry(head).or_default().push(index);
    }
    out.into_values().collect()
}

/// Whether a port is a low-voltage outlet of a brick; a mains socket takes a body, not a plug of ours.
fn is_outlet(rig: &Rig, port: &PortRef) -> bool {
    rig.device(&port.device)
        .and_then(|brick| brick.outlet(&port.port))
        .is_some_and(|outlet| outlet.nature.value != Some(Nature::Mains))
}

/// Whether one jack of a device both sends and returns.
fn is_one_jack_insert(rig: &Rig, port: &PortRef) -> bool {
    rig.device(&port.device).is_some_and(|device| device.insert_on_jack(&port.port).is_some())
}

fn lead(rig: &Rig, members: &[&Segment<'_>], index: usize) -> Lead {
    let first = members[0];
    let mut ports: Vec<(&PortRef, EndKind)> = Vec::new();
    for segment in members {
        for (port, kind) in [(&segment.from, EndKind::From), (&segment.to, EndKind::To)] {
            if ports.iter().all(|(known, _)| *known != port) {
                ports.push((port, kind));
            }
        }
    }
    // The order in which the ends are written, whatever order the devices stand in today.
    let spec = spec(rig, &ports);
    let place = |port: &PortRef| spec.and_then(|spec| spec.place_of(port)).unwrap_or(usize::MAX);
    let joined = 2 < ports.len() || spec.is_some_and(LeadSpec::is_joined);
    if joined {
        ports.sort_by_key(|(port, _)| place(port));
    }
    let jack = ports.iter().find(|(port, _)| joined && is_one_jack_insert(rig, port)).map(|(port, _)| *port);
    match jack {
        Some(jack) => ports.sort_by_key(|(port, _)| *port != jack),
        None => ports.sort_by_key(|(_, kind)| *kind),
    }
    let shape = if joined { shape(members, &ports, jack.is_some()) } else { LeadShape::Plain };
    let count = |kind: EndKind| ports.iter().filter(|(_, of)| *of == kind).count();
    let trunk = if jack.is_some() || count(EndKind::From) == 1 || ports.len() < 3 {
        0
    } else if count(EndKind::To) == 1 {
        ports.len() - 1
    } else {
        0
    };
    let letters = letters(spec, &ports);
    let ends: Vec<LeadEnd> = ports
        .iter()
        .zip(letters)
        .enumerate()
        .map(|(leg, ((port, kind), letter))| {
            let other = if leg == trunk { ports[usize::from(leg == 0)].0 } else { ports[trunk].0 };
            let inner = is_inner(rig, port, other);
            LeadEnd {
                port: (*port).clone(),
                other: other.clone(),
                end: *kind,
                class: first.class,
                plug: plug(rig, members, spec, port, other),
                inner,
                fitting: fitting(rig, first, port, *kind, inner),
                lead: index,
                leg,
                letter,
            }
        })
        .collect();
    let making = making(rig, first, &ends);
    let flows = members.iter().map(|segment| (segment.from.clone(), segment.to.clone())).collect();
    Lead {
        tag: spec.and_then(|spec| spec.tag.clone()).unwrap_or_default(),
        issued: spec.is_some_and(|spec| spec.tag.is_some()),
        class: first.class,
        shape,
        making,
        run: first.run.map(|run| run.name.clone()),
        flows,
        cable: cable(rig, first, spec),
        brought: brought(rig, first),
        through: members.iter().flat_map(|segment| segment.through.clone()).collect(),
        joined,
        spec: spec.cloned(),
        ends,
        trunk,
    }
}

/// The letter of each end's leg, as places in the alphabet: that of the written entry; ends that it does not name take the
/// next ones.
fn letters(spec: Option<&LeadSpec>, ports: &[(&PortRef, EndKind)]) -> Vec<usize> {
    let written = spec.filter(|spec| spec.is_joined());
    let place = |port: &PortRef| written.and_then(|spec| spec.place_of(port));
    let mut next = written.map_or(0, |spec| spec.ends().count() + spec.gone.len());
    ports
        .iter()
        .map(|(port, _)| {
            place(port).unwrap_or_else(|| {
                next += 1;
                next - 1
            })
        })
        .collect()
}

fn shape(members: &[&Segment<'_>], ports: &[(&PortRef, EndKind)], insert: bool) -> LeadShape {
    if insert {
        return LeadShape::Insert;
    }
    let sources = ports.iter().filter(|(_, kind)| *kind == EndKind::From).count();
    let sinks = ports.len() - sources;
    let feed = members[0].feed.and_then(|device| device.feed.as_ref());
    match (feed.map(|feed| feed.kind), sources, sinks) {
        (Some(FeedKind::SeriesPair), _, 1) => LeadShape::SeriesPair,
        (Some(FeedKind::ParallelPair), _, 1) => LeadShape::ParallelPair,
        (Some(_), 1, _) => LeadShape::Splitter,
        _ => LeadShape::Joined,
    }
}

/// What the document says of the lead with these ends: the entry that names them all, else one that names some of them.
fn spec<'a>(rig: &'a Rig, ports: &[(&PortRef, EndKind)]) -> Option<&'a LeadSpec> {
    let has = |port: &PortRef| ports.iter().any(|(known, _)| *known == port);
    let kind = |port: &PortRef| ports.iter().find(|(known, _)| *known == port).map(|(_, kind)| *kind);
    let fits = |spec: &&LeadSpec| {
        // An entry of two ends says which way it is meant; what a joint joins goes both ways.
        spec.ends().all(has)
            && (2 < ports.len() || spec.is_joined() || kind(&spec.from) == Some(EndKind::From))
    };
    let mut found: Vec<&LeadSpec> = rig.leads.iter().filter(fits).collect();
    found.sort_by_key(|spec| std::cmp::Reverse(spec.branches.len()));
    // A lead with a joint that lost an end, because a device was fed otherwise, is still that lead.
    let shrunk = || {
        let left = |spec: &&LeadSpec| {
            spec.is_joined() && ports.iter().all(|(port, _)| spec.ends().any(|end| end == *port))
        };
        rig.leads.iter().find(left)
    };
    found.first().copied().or_else(shrunk)
}

/// The plug at one end: from the lead's own entry, else from the feed or run, else from the source or sink that brings
/// its own lead. What the document leaves open stays open.
fn plug(
    rig: &Rig,
    members: &[&Segment<'_>],
    spec: Option<&LeadSpec>,
    port: &PortRef,
    other: &PortRef,
) -> PlugSpec {
    let mut plug = spec.and_then(|spec| spec.plug_at(port)).cloned().unwrap_or_default();
    let own = members.iter().find(|segment| segment.from == *port || segment.to == *port);
    let Some(own) = own else { return plug };
    let stated = match (own.feed.and_then(|device| device.feed.as_ref()), own.run) {
        // One plug, whichever of the devices on it says what it is.
        (Some(_), _) if own.from == *port => at_outlet(members, port),
        (Some(feed), _) => feed.device_plug.clone(),
        // The client's own lead brings its own plug; the run's plug is for leads we make.
        (None, run) => {
            let outside = [port, other].into_iter().find(|end| is_outside(rig, end));
            let plug = match outside {
                Some(end) => outside_plug(rig, end),
                None => run.and_then(|run| run.plug.clone()),
            };
            // The usual plug has two contacts; a jack that sends and returns wants three.
            let plug = plug.filter(|plug| !is_one_jack_insert(rig, port) || fits(rig, port, plug));
            PlugSpec { plug, exit: None }
        }
    };
    if plug.plug.is_none() {
        plug.plug = stated.plug;
        let connector = rig.port(port).and_then(|port| port.connector.as_ref());
        // A ready-made mains lead brings the plug of its socket, whatever the job's other mains leads end in; an end
        // that is captive has no plug, whatever the others of its run have. What a feed says of its own end stands.
        let is_usual = |connector: &&Connector| {
            let mains = own.class == LeadClass::Mains && connector.is_socket();
            let by_run = own.run.is_some() && (mains || connector.family == ConnectorFamily::Fixed);
            plug.plug.as_ref().is_none_or(|plug| by_run && !plug.fits.contains(&connector.id))
        };
        if let Some(usual) = connector.filter(is_usual).and_then(|connector| connector.usual.as_deref()) {
            let prongs = own.feed.and_then(|device| device.feed.as_ref()?.adaptor.as_ref()?.prongs.clone());
            plug.plug = prongs.filter(|_| own.from == *port).or_else(|| Some(usual.clone()));
        }
    }
    if plug.exit.is_none() {
        plug.exit = stated.exit;
    }
    plug
}

/// What the feeds of a lead say of the plug at one of its outlets: each part by the first device, by tag, that says it.
fn at_outlet(members: &[&Segment<'_>], port: &PortRef) -> PlugSpec {
    let mut fed: Vec<&Device> =
        members.iter().filter(|own| own.from == *port).filter_map(|own| own.feed).collect();
    fed.sort_by(|a, b| crate::tag_order(&a.tag, &b.tag));
    let said = || fed.iter().filter_map(|device| Some(&device.feed.as_ref()?.outlet_plug));
    PlugSpec { plug: said().find_map(|plug| plug.plug.clone()), exit: said().find_map(|plug| plug.exit) }
}

/// Whether a plug is made for the connector of a port.
fn fits(rig: &Rig, port: &PortRef, plug: &PlugKind) -> bool {
    let connector = rig.port(port).and_then(|port| port.connector.as_ref());
    connector.is_some_and(|connector| plug.fits.contains(&connector.id))
}

fn fitting(rig: &Rig, segment: &Segment<'_>, port: &PortRef, kind: EndKind, inner: bool) -> Fitting {
    let own = rig.port(port);
    let family = own.and_then(|port| port.connector.as_ref()).map(|connector| connector.family);
    let adaptor = segment
        .feed
        .and_then(|device| device.feed.as_ref())
        .is_some_and(|feed| feed.kind == FeedKind::Adaptor);
    if family == Some(ConnectorFamily::Fixed) || (adaptor && kind == EndKind::From) {
        return Fitting::Captive;
    }
    match own.and_then(|port| port.inside) {
        Some(fitting) if inner => fitting,
        None if inner && segment.class == LeadClass::Mains => Fitting::Terminals,
        None if inner => Fitting::Soldered,
        _ => Fitting::Plugged,
    }
}

fn making(rig: &Rig, segment: &Segment<'_>, ends: &[LeadEnd]) -> Making {
    let off = |end: &LeadEnd| {
        is_outside(rig, &end.port) || rig.device(&end.port.device).is_some_and(|device| device.outside)
    };
    let adaptor = segment
        .feed
        .and_then(|device| device.feed.as_ref())
        .is_some_and(|feed| feed.kind == FeedKind::Adaptor);
    if adaptor {
        Making::Captive
    } else if segment.class == LeadClass::Mains {
        let captive = ends.iter().any(|end| end.fitting == Fitting::Captive && !off(end));
        if captive { Making::Captive } else { Making::Bought }
    } else if ends.iter().any(off) {
        Making::Theirs
    } else {
        Making::Made
    }
}

fn cable(rig: &Rig, segment: &Segment<'_>, spec: Option<&LeadSpec>) -> Option<Cable> {
    if let Some(cable) = spec.and_then(|spec| spec.cable.clone()) {
        return Some(cable);
    }
    // The client's own lead; what it is made of may be unknown, but it is not ours.
    if let Some(source) = rig.source(&segment.from.device).filter(|_| segment.from.port.is_empty()) {
        return source.cable.clone();
    }
    if let Some(sink) = rig.sink(&segment.to.device).filter(|_| segment.to.port.is_empty()) {
        return sink.cable.clone();
    }
    match segment.run {
        Some(run) => run.cable.clone(),
        None => rig.cables.get(&segment.class).cloned(),
    }
}

/// The length of the lead that a source or sink brings.
fn brought(rig: &Rig, segment: &Segment<'_>) -> Option<Known<Length>> {
    let source = rig.source(&segment.from.device).filter(|_| segment.from.port.is_empty());
    let sink = rig.sink(&segment.to.device).filter(|_| segment.to.port.is_empty());
    source.map(|source| source.lead).or_else(|| sink.map(|sink| sink.lead))
}

/// Whether this is a source or sink, which brings its own lead.
fn is_outside(rig: &Rig, end: &PortRef) -> bool {
    end.port.is_empty() && (rig.source(&end.device).is_some() || rig.sink(&end.device).is_some())
}

/// The plug of the lead that a source or sink brings; `None` when it is open.
fn outside_plug(rig: &Rig, end: &PortRef) -> Option<PlugKind> {
    match rig.source(&end.device) {
        Some(source) => source.plug.clone(),
        None => rig.sink(&end.device).and_then(|sink| sink.plug.clone()),
    }
}

/// Whether a lead meets a panel jack from behind: its other end is not outside the board.
fn is_inner(rig: &Rig, port: &PortRef, other: &PortRef) -> bool {
    // Every jack of a panel looks out of the board, whatever it is for.
    let through = rig.port(port).is_some_and(|p| p.role.value == Some(PortRole::Through))
        || rig.device(&port.device).is_some_and(|device| device.role == Role::Panel);
    let other_outside = other.port.is_empty()
        || rig.device(&other.device).is_some_and(|device| {
            device.outside || device.place.as_ref().is_some_and(|place| place.deck == FLOOR)
        });
    through && !other_outside
}

/// Letters and figure of a number: `L07` is `L` and 7.
fn split(tag: &str) -> Option<(&str, u32)> {
    let figure = tag.trim_start_matches(|c: char| !c.is_ascii_digit());
    Some((&tag[..tag.len() - figure.len()], figure.parse().ok()?))
}

/// Gives the next free number of its class to each lead that has none issued.
///
/// Free is what lies beyond every number that was ever issued: to a lead that is there, to an entry whose lead is gone,
/// or retired. A number that a label bears somewhere never comes back on another lead.
fn number(rig: &Rig, leads: &mut [Lead]) {
    let written = rig.leads.iter().filter_map(|spec| spec.tag.as_deref());
    let issued: Vec<&str> = written.chain(rig.retired.iter().map(String::as_str)).collect();
    for class in LeadClass::ALL {
        let letters = class.letters();
        let of_class = issued.iter().filter_map(|tag| split(tag)).filter(|(own, _)| *own == letters);
        let mut next = of_class.map(|(_, figure)| figure).max().unwrap_or(0);
        for lead in leads.iter_mut().filter(|lead| lead.class == class && !lead.issued) {
            next = next.saturating_add(1);
            lead.tag = format!("{letters}{next:02}");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::{Carries, Insert, Normal, Outlet, Port, Provenance, Run, Stop};

    fn port(name: &str, role: PortRole) -> Port {
        Port { name: name.into(), role: Known::new(role, Provenance::Printed), ..Port::default() }
    }

    fn pedal(tag: &str) -> Device {
        let ports = vec![port("IN", PortRole::In), port("OUT", PortRole::Out), port("DC", PortRole::Power)];
        Device { tag: tag.into(), ports, ..Device::default() }
    }

    fn brick(outlets: u32) -> Device {
        let outlet = |number: u32| Outlet {
            name: number.to_string(),
            nature: Known::new(Nature::Dc, Provenance::Printed),
            settings: Vec::new(),
            set: Known::default(),
            sign: Known::default(),
            isolation: Known::default(),
            bank: None,
            parallel: Known::default(),
            series: Known::default(),
        };
        let ports = (1..=outlets).map(|number| port(&number.to_string(), PortRole::Outlet)).collect();
        Device { tag: "S".into(), ports, outlets: (1..=outlets).map(outlet).collect(), ..Device::default() }
    }

    fn feed(kind: FeedKind, outlets: &[&str]) -> Feed {
        Feed {
            kind,
            outlets: outlets.iter().map(|outlet| PortRef::new("S", *outlet)).collect(),
            crossing: false,
            barrel_adaptor: None,
            locked: false,
            clamped: false,
            adaptor: None,
            device_plug: PlugSpec::default(),
            outlet_plug: PlugSpec::default(),
        }
    }

    fn run(tags: &[&str]) -> Run {
        let stop = |tag: &&str| Stop {
            text: (*tag).to_owned(),
            arrives: Some(PortRef::new(*tag, "IN")),
            leaves: Some(PortRef::new(*tag, "OUT")),
        };
        Run {
            name: "main".into(),
            carries: Carries::Signal,
            stops: tags.iter().map(stop).collect(),
            ..Run::default()
        }
    }

    fn chain(tags: &[&str]) -> Rig {
        Rig { devices: tags.iter().map(|tag| pedal(tag)).collect(), runs: vec![run(tags)], ..Rig::default() }
    }

    fn words(lead: &Lead) -> (String, LeadShape, usize) {
        (lead.name(), lead.shape, lead.trunk)
    }

    #[test]
    fn what_meets_in_one_plug_is_one_lead() {
        let mut rig = chain(&["A", "B"]);
        rig.runs.clear();
        rig.devices.push(brick(4));
        rig.devices[0].feed = Some(feed(FeedKind::SeriesPair, &["1", "2"]));
        let leads = leads(&rig);
        assert_eq!(
            leads.iter().map(words).collect::<Vec<_>>(),
            [("S.1 + S.2 + A.DC".to_owned(), LeadShape::SeriesPair, 2)]
        );

        rig.devices[0].feed = Some(feed(FeedKind::Single, &["3"]));
        rig.devices[1].feed = Some(feed(FeedKind::Single, &["3"]));
        let leads = super::leads(&rig);
        assert_eq!(
            leads.iter().map(words).collect::<Vec<_>>(),
            [("S.3 + A.DC + B.DC".to_owned(), LeadShape::Splitter, 0)]
        );
        assert_eq!(leads[0].flows.len(), 2);

        rig.devices[1].feed = Some(feed(FeedKind::Single, &["4"]));
        assert!(super::leads(&rig).iter().all(|lead| lead.shape == LeadShape::Plain && lead.ends.len() == 2));
    }

    #[test]
    fn an_insert_on_one_jack_has_one_lead_to_two_jacks() {
        let mut rig = chain(&["A", "B"]);
        rig.devices[0].ports.push(port("INS", PortRole::Send));
        rig.devices[0].inserts.push(Insert {
            name: "X".into(),
            send: "INS".into(),
            back: "INS".into(),
            normal: Known::new(Normal::Full, Provenance::Printed),
            wiring: Known::default(),
            return_z: Known::default(),
        });
        let jack = PortRef::new("A", "INS");
        let mut insert = run(&["A", "B", "A"]);
        (insert.stops[0].leaves, insert.stops[2].arrives) = (Some(jack.clone()), Some(jack));
        rig.runs = vec![insert];
        let leads = leads(&rig);
        assert_eq!(leads.len(), 1);
        assert_eq!(
            (leads[0].shape, leads[0].trunk, leads[0].ends[0].port.to_string()),
            (LeadShape::Insert, 0, "A.INS".to_owned())
        );
    }

    #[test]
    fn issued_numbers_stay_and_none_comes_back() {
        let mut rig = chain(&["A", "B", "C"]);
        let tags = |rig: &Rig| {
            leads(rig).into_iter().map(|lead| (lead.name(), lead.tag)).collect::<BTreeMap<_, _>>()
        };
        let first = tags(&rig);
        assert_eq!(first["A.OUT > B.IN"], "L01");
        assert_eq!(first["B.OUT > C.IN"], "L02");
        for lead in leads(&rig) {
            let [from, to] = [0, 1].map(|end| lead.ends[end].port.clone());
            rig.leads.push(LeadSpec { tag: Some(lead.tag.clone()), ..LeadSpec::between(from, to) });
        }
        // A device between the first two: their lead is gone, its number stays taken.
        rig.devices.push(pedal("D"));
        rig.runs = vec![run(&["A", "D", "B", "C"])];
        let then = tags(&rig);
        assert_eq!(then["B.OUT > C.IN"], "L02", "it never moves");
        assert_eq!((then["A.OUT > D.IN"].as_str(), then["D.OUT > B.IN"].as_str()), ("L03", "L04"));
        // The entry is removed, and its number retired.
        rig.leads.clear();
        rig.retired = vec!["L01".into(), "L07".into()];
        let last = tags(&rig);
        assert_eq!((last["A.OUT > D.IN"].as_str(), last["B.OUT > C.IN"].as_str()), ("L08", "L10"));
    }

    #[test]
    fn a_class_follows_from_what_flows() {
        let mut rig = chain(&["A"]);
        rig.devices.push(brick(2));
        rig.devices[1].outlets[0].nature = Known::new(Nature::Ac, Provenance::Printed);
        rig.devices[0].feed = Some(feed(FeedKind::Single, &["1"]));
        assert_eq!(leads(&rig)[0].class, LeadClass::Ac);
        assert_eq!(leads(&rig)[0].tag, "AC01");
        // From a socket, the adaptor's secondary is what its device runs on.
        rig.devices[1].outlets[0].nature = Known::new(Nature::Mains, Provenance::Printed);
        rig.devices[0].feed = Some(feed(FeedKind::Adaptor, &["1"]));
        rig.devices[0].power.nature = Known::new(Nature::Ac, Provenance::Printed);
        let lead = &leads(&rig)[0];
        assert_eq!(
            (lead.class, lead.making, lead.ends[0].fitting),
            (LeadClass::Ac, Making::Captive, Fitting::Captive)
        );
    }
}

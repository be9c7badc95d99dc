//! Two things that want the same room at the sockets of a strip.

use std::collections::BTreeMap;

use design::Design;
use finding::{Change, Edit, Evidence, Field, Finding, Severity};
use quantity::Length;
use rig::geometry::{
    BoxClass, Owner, Solid, adaptor_reach, are_neighbours, separation, sits_in, sockets_for,
};
use rig::{FeedKind, PortRef, Rig};

use super::CUSTOM;
use crate::asked::Asked;
use crate::group::{Pair, hubs_alike};
use crate::words::{list, shown};
use crate::{Page, Rule};

const ID: &str = "socket-covered";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "adaptors and plugs that cover each other’s sockets",
    severity: Severity::Stop,
    since: "0.2",
    pains: &[15],
    limits: &[],
    page: Page {
        what: "The bodies of adaptors and the plugs in the sockets of one strip, two by two, each as it lies: none may \
               reach into another, and nothing shares a socket. Side by side they may touch.",
        why: "An adaptor is wider than a socket; what does not go in beside it is found when the board is built, and an \
              adaptor that is forced sits half in, with live prongs to be seen.",
        source: CUSTOM,
        example: "A1’s adaptor lies over STRIP.S2, and the lead to SUP is to go in there.",
        remedy: "move one to a socket with room, turn the adaptor, or take a strip with a wider pitch",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let mut out: Vec<Finding> = shared(design);
    let found: Vec<Pair> = overlaps(design)
        .into_iter()
        .map(|((first, second), depth)| {
            let case = overlap(design, &first, &second, depth);
            Pair { first: first.to_string(), second: second.to_string(), case }
        })
        .collect();
    for hub in hubs_alike(found) {
        let at = hub.name.clone();
        let is_one = hub.cases.len() < 2;
        let rig = &design.rig;
        let Some(mut finding) =
            hub.told(|name, others, _| format!("{} covers {others}", words_of(rig, name)))
        else {
            continue;
        };
        if !is_one {
            finding.edit = at.rsplit_once('.').and_then(|(strip, name)| {
                sits_in(rig, &PortRef::new(strip, name)).iter().find_map(|tag| moved(design, tag))
            });
        }
        out.push(finding);
    }
    out.extend(unknown(design));
    out
}

/// Adaptors whose prongs nobody measured, or of which nobody said how they lie, where that decides what they cover.
///
/// Their boxes lie about the middle of the body; that they clear their neighbours so is no answer when with the prongs
/// elsewhere they would not.
fn unknown(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let plugs = || design.solids.boxes.iter().filter_map(|solid| Some((socket_of(solid)?, solid)));
    let mut out = Vec::new();
    for device in rig.by_tag() {
        let tag = &device.tag;
        let Some(own) = device.feed.as_ref().and_then(|feed| feed.adaptor.as_ref()) else { continue };
        let mut asked = Asked::default();
        asked.value(own.lies, Field::device(tag, "feed.adaptor.lies"));
        asked.value(own.prongs_left, Field::device(tag, "feed.adaptor.prongs_left"));
        asked.value(own.prongs_up, Field::device(tag, "feed.adaptor.prongs_up"));
        if asked.complete() {
            continue;
        }
        let Some(reach) = adaptor_reach(rig, tag) else { continue };
        let Some((at, body)) = plugs().find(|(at, solid)| socket_of(&reach) == Some(at) && solid.assumed)
        else {
            continue;
        };
        let beside = |solid: &Solid| are_neighbours(rig, &reach.owner, &solid.owner);
        let others = || plugs().filter(|(other, solid)| *other != at && beside(solid));
        let meets = |own: &Solid| others().any(|(_, other)| separation(own, other) < Length::ZERO);
        if meets(&reach) && !meets(body) {
            out.extend(asked.cannot_judge(
                ID,
                &format!("what the adaptor of {tag} covers"),
                [tag, &at.device],
            ));
        }
    }
    out
}

/// Sockets that more than one thing is put into, an adaptor among them. Two leads are told by `port-doubly-fed`.
fn shared(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut at: BTreeMap<&PortRef, Vec<&str>> = BTreeMap::new();
    for device in rig.by_tag() {
        let feed = device.feed.as_ref().filter(|feed| feed.kind == FeedKind::Adaptor);
        if let Some(socket) = feed.and_then(|feed| feed.outlets.first())
            && rig.device(&socket.device).is_some_and(|strip| strip.outlet(&socket.port).is_none())
        {
            at.entry(socket).or_default().push(&device.tag);
        }
    }
    let mut out = Vec::new();
    for (socket, adaptors) in at {
        let users = sits_in(rig, socket);
        if users.len() < 2 {
            continue;
        }
        let mut finding =
            Finding::new(ID, Severity::Stop, format!("{} are to go into one socket, {socket}", list(&users)))
                .about(&users)
                .about([&socket.device])
                .with(Evidence::words("one socket for both", "a socket for each"));
        for tag in &adaptors {
            finding = finding.at(Field::device(tag, "feed.outlets"), "");
        }
        finding.edit = adaptors.iter().rev().find_map(|tag| moved(design, tag));
        out.push(finding);
    }
    out
}

/// Pairs of sockets of one strip whose plugs or adaptors share room, with how far they reach into each other.
fn overlaps(design: &Design) -> BTreeMap<(PortRef, PortRef), Length> {
    let boxes = &design.solids.boxes;
    let mut out: BTreeMap<(PortRef, PortRef), Length> = BTreeMap::new();
    for conflict in &design.conflicts {
        let (a, b) = (&boxes[conflict.of], &boxes[conflict.from]);
        if Length::ZERO <= conflict.found || !are_neighbours(&design.rig, &a.owner, &b.owner) {
            continue;
        }
        let (Some(a), Some(b)) = (socket_of(a), socket_of(b)) else { continue };
        let pair = if a <= b { (a.clone(), b.clone()) } else { (b.clone(), a.clone()) };
        let worst = out.entry(pair).or_default();
        *worst = (*worst).min(conflict.found);
    }
    out
}

fn socket_of(solid: &Solid) -> Option<&PortRef> {
    match &solid.owner {
        Owner::Port { port, .. } if solid.class == BoxClass::Plug => Some(port),
        _ => None,
    }
}

fn overlap(design: &Design, first: &PortRef, second: &PortRef, depth: Length) -> Finding {
    let rig = &design.rig;
    let words = |at: &PortRef| words_of(rig, &at.to_string());
    let by = -depth;
    let mut finding = Finding::new(
        ID,
        Severity::Stop,
        format!("{} and {} overlap by {}", words(first), words(second), shown(by)),
    )
    .about([&first.device])
    .with(Evidence::at_least(depth, Length::ZERO));
    let users: Vec<String> = [first, second].iter().flat_map(|at| sits_in(rig, at)).collect();
    for tag in &users {
        finding = finding.about([tag]);
        if own_adaptor(rig, tag) {
            finding = finding.at(Field::device(tag, "feed.outlets"), "");
            let own = rig.device(tag).and_then(|device| device.feed.as_ref()?.adaptor.as_ref());
            if own.is_some_and(|own| own.size.is_assumed()) {
                finding = finding.assuming([Field::device(tag, "feed.adaptor.size")]);
            }
        }
    }
    finding.edit = users.iter().rev().find_map(|tag| moved(design, tag));
    finding
}

fn own_adaptor(rig: &Rig, tag: &str) -> bool {
    rig.device(tag).and_then(|device| device.feed.as_ref()).is_some_and(|feed| feed.kind == FeedKind::Adaptor)
}

/// What sits in a socket, in words: `the adaptor of A1 in STRIP.S1`.
fn words_of(rig: &Rig, socket: &str) -> String {
    let Some((strip, name)) = socket.rsplit_once('.') else { return socket.to_owned() };
    let users = sits_in(rig, &PortRef::new(strip, name));
    match users.first() {
        Some(tag) if own_adaptor(rig, tag) => format!("the adaptor of {tag} in {socket}"),
        _ => format!("the plug in {socket}"),
    }
}

/// The adaptor of a device in the first other socket with room for it.
pub(crate) fn moved(design: &Design, tag: &str) -> Option<Edit> {
    let feed = design.rig.device(tag)?.feed.as_ref().filter(|feed| feed.kind == FeedKind::Adaptor)?;
    if feed.locked {
        return None;
    }
    let room = sockets_for(&design.rig, &design.limits, &design.solids.boxes, tag);
    let to = room.into_iter().find(|at| Some(at) != feed.outlets.first())?;
    Some(Edit {
        name: format!("move the adaptor of {tag} to {to}"),
        changes: vec![Change::set(Field::device(tag, "feed.outlets"), vec![to.to_string()])],
    })
}

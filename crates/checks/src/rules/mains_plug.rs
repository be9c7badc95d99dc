//! Mains plugs that do not go in, that get no protective earth, or that a country has no socket for.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use power::mains::{Country, country};
use rig::geometry::EndKind;
use rig::{Device, FeedKind, LeadClass, PlugKind, PortRef, Rig, Role};

use super::socket_covered::moved;
use crate::asked::port_field;
use crate::group::together;
use crate::words::{list, some};
use crate::{Page, Rule};

const ID: &str = "mains-plug";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "mains plugs that suit their sockets, with protective earth",
    severity: Severity::Stop,
    since: "0.2",
    pains: &[14],
    limits: &[],
    page: Page {
        what: "The prongs of each adaptor against the household pattern of its socket; whether what relies on protective \
               earth gets it through plug and socket; and whether the plug at the wall and the sockets of the strips \
               suit the countries of the tour list.",
        why: "A plug that goes in without its earth leaves the metal of the board to rely on nothing, and a plug that does \
              not go in is found at the first sound check abroad.",
        source: "letters of the IEC’s World Plugs as four lists have them, compared row by row in catalogue/mains.tsv; which \
                 letter goes into which socket stands in catalogue/plugs.toml, partly from memory",
        example: "STRIP’s lead ends in a type F plug; the United Kingdom has type G sockets.",
        remedy: "take an approved lead or adaptor of the country, with protective earth; never lift the earth. Work on mains \
                 is for a competent person, after the local code",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let mut out = prongs(design);
    out.extend(unearthed(design));
    out.extend(on_tour(design));
    out
}

/// How a plug or a socket is called: `type F`, else its id.
fn kind(id: &str) -> String {
    let letters = id.strip_prefix("plug-").or_else(|| id.strip_prefix("socket-"));
    match letters.filter(|letters| letters.len() <= 2) {
        Some(letters) => {
            let each: Vec<String> =
                letters.chars().map(|letter| letter.to_ascii_uppercase().to_string()).collect();
            format!("type {}", each.join("/"))
        }
        None => id.to_owned(),
    }
}

/// Adaptors whose prongs do not go into their socket.
fn prongs(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut cases = Vec::new();
    for device in rig.by_tag() {
        let Some(feed) = device.feed.as_ref().filter(|feed| feed.kind == FeedKind::Adaptor) else { continue };
        let Some(plug) = feed.adaptor.as_ref().and_then(|own| own.prongs.as_ref()) else { continue };
        let Some(socket) = feed.outlets.first() else { continue };
        let connector = rig.port(socket).and_then(|port| port.connector.as_ref());
        let Some(connector) = connector.filter(|connector| connector.is_socket()) else { continue };
        if plug.fits.contains(&connector.id) {
            continue;
        }
        let says = format!(
            "the prongs of {}’s adaptor, {}, do not go into {socket}, {}",
            device.tag,
            kind(&plug.id),
            kind(&connector.id)
        );
        let mut case = Finding::new(ID, Severity::Stop, says)
            .about([&device.tag, &socket.device])
            .at(Field::device(&device.tag, "feed.adaptor.prongs"), "")
            .at(port_field(socket, "connector"), "")
            .with(Evidence::words(kind(&plug.id), kind(&connector.id)));
        case.edit = moved(design, &device.tag);
        cases.push(case);
    }
    let tags: Vec<String> = cases.iter().filter_map(|case| case.devices.first().cloned()).collect();
    let headline =
        |_: &[Finding]| format!("the prongs of the adaptors of {} do not go into their sockets", list(&tags));
    together(cases, headline).into_iter().collect()
}

/// Whether a device relies on protective earth: its inlet has a contact for it, or it is a strip that hands it on.
fn relies_on_earth(rig: &Rig, at: &PortRef) -> bool {
    let earthed = |port: &rig::Port| port.connector.as_ref().is_some_and(rig::Connector::has_earth_contact);
    let hands_on = |device: &Device| device.role == Role::Strip && device.ports.iter().any(earthed);
    rig.port(at).is_some_and(earthed) || rig.device(&at.device).is_some_and(hands_on)
}

/// Mains leads whose plug gets no protective earth where the other end relies on it.
fn unearthed(design: &Design) -> Option<Finding> {
    let rig = &design.rig;
    let mut cases = Vec::new();
    for lead in rig::leads(rig).into_iter().filter(|lead| lead.class == LeadClass::Mains) {
        for end in lead.ends_of(EndKind::From) {
            let connector = rig.port(&end.port).and_then(|port| port.connector.as_ref());
            let Some(connector) = connector.filter(|connector| connector.is_socket()) else { continue };
            let Some(to) = lead.ends_of(EndKind::To).find(|to| relies_on_earth(rig, &to.port)) else {
                continue;
            };
            let Some(plug) = &end.plug.plug else { continue };
            let gets = connector.has_earth_contact() && !plug.unearthed_in.contains(&connector.id);
            // What does not go in at all `plug-fit` tells.
            if gets || !plug.fits.contains(&connector.id) {
                continue;
            }
            let says = format!(
                "{} gets no protective earth: its plug, {}, goes into {}, {}, without",
                to.port.device,
                kind(&plug.id),
                end.port,
                kind(&connector.id)
            );
            cases.push(
                Finding::new(ID, Severity::Look, says)
                    .about([&to.port.device, &end.port.device])
                    .at(port_field(&end.port, "connector"), "")
                    .with(Evidence::words("no protective earth", "protective earth")),
            );
        }
    }
    let tags: Vec<String> = cases.iter().filter_map(|case| case.devices.first().cloned()).collect();
    together(cases, |_| format!("{} get no protective earth through their plugs", some(&tags, "others")))
}

/// What must suit a country: a plug at a wall, or the pattern of a strip, by the plug that usually goes in there.
struct Brought {
    tag: String,
    plug: PlugKind,
    relies: bool,
}

fn brought(rig: &Rig) -> Vec<Brought> {
    let outside = |tag: &str| rig.device(tag).is_some_and(|device| device.outside);
    let mut out: Vec<Brought> = Vec::new();
    let mut add = |tag: &str, plug: &PlugKind, relies: bool| {
        if !out.iter().any(|known| known.tag == tag && known.plug.id == plug.id) {
            out.push(Brought { tag: tag.to_owned(), plug: plug.clone(), relies });
        }
    };
    for lead in rig::leads(rig).into_iter().filter(|lead| lead.class == LeadClass::Mains) {
        let wall = lead.ends_of(EndKind::From).find(|end| outside(&end.port.device) && end.is_in_socket(rig));
        let to = lead.ends_of(EndKind::To).next();
        // What does not even go in at home `plug-fit` tells.
        let plug = wall.and_then(|end| {
            let connector = rig.port(&end.port)?.connector.as_ref()?;
            end.plug.plug.as_ref().filter(|plug| plug.fits.contains(&connector.id))
        });
        if let (Some(plug), Some(to)) = (plug, to) {
            add(&to.port.device, plug, relies_on_earth(rig, &to.port));
        }
    }
    for strip in rig.by_tag().into_iter().filter(|device| device.role == Role::Strip && !device.outside) {
        for connector in strip.ports.iter().filter_map(|port| port.connector.as_ref()) {
            if let Some(usual) = connector.usual.as_deref().filter(|_| connector.letter().is_some()) {
                add(&strip.tag, usual, connector.has_earth_contact());
            }
        }
    }
    out
}

/// The countries of the tour list that have no socket for what is brought, or none with its earth: one cause, told once.
fn on_tour(design: &Design) -> Option<Finding> {
    let rig = &design.rig;
    let countries: Vec<&Country> = rig.brief.countries.iter().filter_map(|name| country(name)).collect();
    let mut without: Vec<(&Country, bool)> = Vec::new();
    let (mut tags, mut kinds): (Vec<String>, Vec<String>) = (Vec::new(), Vec::new());
    for brought in brought(rig) {
        for there in &countries {
            let sockets = there.sockets();
            let goes = |socket: &&String| brought.plug.fits.contains(socket);
            let earthed = |socket: &&String| !brought.relies || !brought.plug.unearthed_in.contains(socket);
            if sockets.iter().filter(goes).any(|socket| earthed(&socket)) {
                continue;
            }
            let goes_in = sockets.iter().any(|socket| goes(&socket));
            if !without.iter().any(|(known, _)| known.code == there.code) {
                without.push((there, goes_in));
            }
            for (list, name) in [(&mut tags, brought.tag.clone()), (&mut kinds, kind(&brought.plug.id))] {
                if !list.contains(&name) {
                    list.push(name);
                }
            }
        }
    }
    if without.is_empty() {
        return None;
    }
    let there = |(country, goes_in): &(&Country, bool)| {
        let letters: Vec<String> = country.plugs.chars().map(String::from).collect();
        let earth = if *goes_in { ", without earth" } else { "" };
        format!("{} ({}{earth})", country.name, letters.join(" "))
    };
    let names: Vec<String> = without.iter().map(there).collect();
    let says = format!(
        "mains of {} is {}, which does not suit {}",
        list(&tags),
        list(&kinds),
        some(&names, "others")
    );
    let codes = without.iter().map(|(country, _)| country.code);
    Some(
        Finding::new(ID, Severity::Look, says)
            .about(&tags)
            .about(codes)
            .at(Field::new(["brief", "countries"]), "")
            .with(Evidence::words(list(&kinds), some(&names, "others")))
            .remedy(
                "take an approved lead of the country, with protective earth, or an approved adaptor with protective earth; \
                 never one without",
            ),
    )
}

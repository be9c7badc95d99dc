//! The bill of materials: exact counts from the design, and what is added as waste.

use std::collections::BTreeMap;

use estimate::{Amount, BillGroup};
use quantity::{Grams, Length};
use rig::{Device, Fasten, FastenKind, FeedKind, HookSide, Known, Rig, Role};

use crate::making::END_OPEN;
use crate::{Batch, Colour, Design, Making, batches, labels, sleeves};

/// Added to the cable of each kind for ends, practice pieces and remakes. *Common practice, no source.*
pub const CABLE_WASTE_PERCENT: i64 = 10;
/// One cable tie for every so much of a lead, and at least one. *Common practice, no source.*
const TIE_EVERY: Length = Length::from_mm(150);
/// Solder wire for one joint. *Common practice, no source.*
const SOLDER_PER_JOINT: Length = Length::from_mm(15);
/// Cable is counted in steps of this length.
const CABLE_STEP: Length = Length::from_mm(100);
/// Plugs of a kind for every spare one that goes with them. *Common practice, no source.*
pub const PLUGS_PER_SPARE: usize = 10;

/// What a plug is called that nobody has chosen yet.
const PLUG_OPEN: &str = "plug not decided";

/// One line.
#[derive(Debug, Clone, PartialEq)]
pub struct BillLine {
    /// Where it stands.
    pub group: BillGroup,
    /// What price files and stock know it by: a catalogue id, or a word of ours such as `label`.
    pub key: String,
    /// What it is.
    pub item: String,
    /// How much the design needs.
    pub needed: Amount,
    /// How much is added.
    pub waste: Amount,
    /// What of both is still to be got, where some of it is cut already; otherwise all.
    pub left: Option<Amount>,
    /// What it is for.
    pub serves: String,
    /// Whether the player brings it.
    pub theirs: bool,
    /// Mass of the needed amount.
    pub mass: Known<Grams>,
    /// Whether the amount rests on estimated lengths.
    pub estimated: bool,
    /// What of the amount nobody knows, in words; `None` where all of it is counted.
    pub open: Option<String>,
}

/// Every line, in the order of the groups.
pub fn bill(design: &Design) -> Vec<BillLine> {
    let mut out = Vec::new();
    board(design, &mut out);
    devices(design, &mut out);
    let batches = batches(design);
    cable(design, &batches, &mut out);
    plugs(design, &mut out);
    ready_made(design, &mut out);
    small(design, &mut out);
    out.sort_by_key(|line| line.group);
    out
}

fn pieces(count: usize) -> Amount {
    Amount::Pieces(i64::try_from(count).unwrap_or(i64::MAX))
}

fn piece(group: BillGroup, key: &str, item: String, count: usize, serves: String) -> BillLine {
    BillLine {
        group,
        key: key.to_owned(),
        item,
        needed: pieces(count),
        waste: Amount::Pieces(0),
        left: None,
        serves,
        theirs: false,
        mass: Known::default(),
        estimated: false,
        open: None,
    }
}

/// What is not known of an amount that counts lengths: those of the leads that have none.
pub(crate) fn open_lengths(unknown: &[&str]) -> Option<String> {
    (!unknown.is_empty()).then(|| format!("length of {} not known", spans(unknown)))
}

fn board(design: &Design, out: &mut Vec<BillLine>) {
    let board = &design.rig.board;
    let title = if board.title.is_empty() { "board".to_owned() } else { board.title.clone() };
    out.push(BillLine {
        mass: board.mass,
        ..piece(BillGroup::Board, board.kind.as_deref().unwrap_or("board"), title, 1, String::new())
    });
    if let Some(case) = &board.case {
        let title = if case.title.is_empty() { "case".to_owned() } else { case.title.clone() };
        out.push(BillLine { mass: case.mass, ..piece(BillGroup::Board, "case", title, 1, String::new()) });
    }
}

/// Whether the player brings a device: as its owner says, the workshop or anybody else; where it says nothing, pedals are the
/// player's, and supplies and panels are ours.
pub fn is_brought(rig: &Rig, device: &Device) -> bool {
    let Some(owner) = device.owner.as_deref().map(str::trim).filter(|owner| !owner.is_empty()) else {
        return matches!(device.role, Role::Pedal | Role::Other);
    };
    let is = |name: &str| owner.to_lowercase() == name.trim().to_lowercase();
    !(is("workshop") || is("shop") || rig.job.workshop.as_deref().is_some_and(is))
}

fn devices(design: &Design, out: &mut Vec<BillLine>) {
    for device in &design.rig.devices {
        let title = if device.title.is_empty() { device.tag.clone() } else { device.title.clone() };
        let group = match device.role {
            Role::Brick | Role::Strip => BillGroup::Power,
            Role::Panel => BillGroup::Panel,
            Role::Pedal | Role::Other => BillGroup::Devices,
        };
        // What stands outside (a rack, a wall socket) is met there, not bought.
        if !device.outside {
            out.push(BillLine {
                mass: device.mass,
                theirs: is_brought(&design.rig, device),
                ..piece(group, device.kind.as_deref().unwrap_or(&title), title.clone(), 1, device.tag.clone())
            });
        }
        if device.feed.as_ref().is_some_and(|feed| feed.kind == FeedKind::Adaptor) {
            let item = "adaptor of the device, with its own lead".to_owned();
            out.push(BillLine {
                theirs: is_brought(&design.rig, device),
                ..piece(BillGroup::Power, estimate::OWN_ADAPTOR, item, 1, device.tag.clone())
            });
        }
        if device.role == Role::Panel {
            let mut jacks: BTreeMap<(&str, &str), Vec<&str>> = BTreeMap::new();
            for port in &device.ports {
                if let Some(connector) = &port.connector {
                    jacks.entry((&connector.title, &connector.id)).or_default().push(&port.name);
                }
            }
            for ((title, id), ports) in jacks {
                let serves = format!("{}: {}", device.tag, ports.join(", "));
                out.push(piece(BillGroup::Panel, id, title.to_owned(), ports.len(), serves));
            }
        }
    }
}

fn cable(design: &Design, batches: &[Batch], out: &mut Vec<BillLine>) {
    let mut reels: BTreeMap<&str, (Length, Vec<usize>)> = BTreeMap::new();
    for batch in batches {
        let title = batch.cable.as_deref().unwrap_or("cable not decided");
        let (length, of) = reels.entry(title).or_default();
        *length += batch.length;
        of.extend(&batch.leads);
    }
    for (title, (length, mut of)) in reels {
        of.sort_unstable();
        let leads: Vec<&crate::Lead> = of.iter().filter_map(|index| design.leads.get(*index)).collect();
        let tags: Vec<&str> = leads.iter().map(|lead| lead.tag.as_str()).collect();
        let unknown: Vec<&str> =
            leads.iter().filter(|lead| lead.cut.value.is_none()).map(|lead| lead.tag.as_str()).collect();
        let waste = with_waste(length) - length;
        // What is cut lies in the drawer; nobody gets cable for it once more.
        let cut: Length = leads.iter().map(|lead| lead.cut_by_now()).sum();
        let left = (Length::ZERO < cut).then(|| Amount::Length(with_waste(length - cut)));
        out.push(BillLine {
            group: BillGroup::Cable,
            key: leads
                .iter()
                .find_map(|lead| lead.cable.as_ref())
                .map_or_else(|| title.to_owned(), |cable| cable.id.clone()),
            item: title.to_owned(),
            needed: Amount::Length(length),
            waste: Amount::Length(waste),
            left,
            serves: spans(&tags),
            theirs: false,
            mass: Known::default(),
            estimated: !unknown.is_empty() || leads.iter().any(|lead| lead.cut.is_assumed()),
            open: open_lengths(&unknown),
        });
    }
}

/// A length of cable with what is added to it, in whole steps; nothing for nothing.
pub fn with_waste(length: Length) -> Length {
    let wanted = length.nm().saturating_mul(100 + CABLE_WASTE_PERCENT) / 100;
    let steps = (wanted + CABLE_STEP.nm() - 1).div_euclid(CABLE_STEP.nm());
    Length::from_nm(steps.saturating_mul(CABLE_STEP.nm()))
}

fn plugs(design: &Design, out: &mut Vec<BillLine>) {
    let mut kinds: BTreeMap<(&str, &str), Vec<&str>> = BTreeMap::new();
    for lead in design.leads.iter().filter(|lead| lead.making == Making::Made) {
        for end in lead.ends.iter().filter(|end| end.has_plug()) {
            let id = end.plug.plug.as_ref().map_or(PLUG_OPEN, |plug| plug.id.as_str());
            kinds.entry((crate::making::end_words(end), id)).or_default().push(&lead.tag);
        }
    }
    for ((title, id), tags) in kinds {
        let item = if title == END_OPEN { PLUG_OPEN.to_owned() } else { title.to_owned() };
        let spare = tags.len().div_ceil(PLUGS_PER_SPARE);
        let mut single = tags.clone();
        single.dedup();
        out.push(BillLine {
            waste: pieces(spare),
            ..piece(BillGroup::Plugs, id, item, tags.len(), spans(&single))
        });
    }
}

fn ready_made(design: &Design, out: &mut Vec<BillLine>) {
    for lead in design.leads.iter().filter(|lead| lead.making == Making::Bought) {
        let serves = format!("{}: {}", lead.tag, lead.route_words());
        let item = if lead.ends.iter().any(crate::LeadEndAt::is_wired) {
            "approved mains lead with one plug and a bare end, for a competent person"
        } else {
            "mains lead, ready-made and approved"
        };
        out.push(piece(BillGroup::Leads, "mains-lead", item.to_owned(), 1, serves));
    }
    for device in &design.rig.devices {
        if let Some(adaptor) = device.feed.as_ref().and_then(|feed| feed.barrel_adaptor.as_ref()) {
            let adaptor = &adaptor.id;
            let item = format!("barrel adaptor to {adaptor}");
            out.push(piece(
                BillGroup::Leads,
                &format!("barrel-adaptor-{adaptor}"),
                item,
                1,
                device.tag.clone(),
            ));
        }
    }
}

fn small(design: &Design, out: &mut Vec<BillLine>) {
    let joints: Vec<&str> = design
        .leads
        .iter()
        .filter(|lead| lead.making == Making::Made && lead.is_joined())
        .map(|lead| lead.tag.as_str())
        .collect();
    if !joints.is_empty() {
        let item = "heat-shrink sleeve for a joint, lined".to_owned();
        out.push(piece(BillGroup::Small, "joint-sleeve", item, joints.len(), joints.join(", ")));
    }
    let mut colours: BTreeMap<Colour, usize> = BTreeMap::new();
    for lead in design.leads.iter().filter(|lead| lead.making == Making::Made) {
        for colour in sleeves(&lead.tag) {
            *colours.entry(colour).or_default() += lead.ends.len();
        }
    }
    if !colours.is_empty() {
        let count: usize = colours.values().sum();
        let serves: Vec<String> =
            colours.iter().map(|(colour, count)| format!("{} {count}", colour.letters())).collect();
        let item = "number sleeves, every end of each lead".to_owned();
        out.push(piece(BillGroup::Small, "number-sleeve", item, count, serves.join(", ")));
    }
    let count = labels(design).len();
    out.push(piece(BillGroup::Small, "label", "labels".to_owned(), count, "label sheets".to_owned()));
    let grommets: Vec<&str> = design
        .rig
        .board
        .decks
        .iter()
        .flat_map(|deck| &deck.passages)
        .filter(|passage| passage.grommet.value == Some(true))
        .map(|passage| passage.name.as_str())
        .collect();
    if !grommets.is_empty() {
        let serves = format!("passages: {}", grommets.join(", "));
        out.push(piece(BillGroup::Small, "grommet", "grommet or edging".to_owned(), grommets.len(), serves));
    }
    let hung: Vec<&str> = design
        .rig
        .devices
        .iter()
        .filter(|device| device.place.as_ref().is_some_and(|place| place.under))
        .map(|device| device.tag.as_str())
        .collect();
    if !hung.is_empty() {
        let item = "bracket, for what hangs under a deck".to_owned();
        out.push(piece(BillGroup::Small, "bracket", item, hung.len(), hung.join(", ")));
    }
    fasteners(design, out);
    adaptor_holders(design, out);
    used_up(design, out);
    let spare: Vec<String> = design
        .rig
        .devices
        .iter()
        .flat_map(|device| device.outlets.iter().map(move |outlet| (device, outlet)))
        .map(|(device, outlet)| rig::PortRef::new(&device.tag, &outlet.name))
        .filter(|outlet| design.outlets.iter().all(|load| load.outlet != *outlet))
        .map(|outlet| outlet.to_string())
        .collect();
    if !spare.is_empty() {
        let item = "cap for a spare outlet".to_owned();
        out.push(piece(BillGroup::Small, "outlet-cap", item, spare.len(), spare.join(", ")));
    }
}

/// What holds the devices on their decks: strips by length, all else by count.
fn fasteners(design: &Design, out: &mut Vec<BillLine>) {
    let devices = design.rig.devices.iter().filter(|device| !device.is_beside_board());
    fasteners_of(devices, out);
}

/// What holds these devices alone.
pub(crate) fn fastened(design: &Design, tags: &[&str]) -> Vec<BillLine> {
    let here = |device: &&Device| !device.is_beside_board() && tags.contains(&device.tag.as_str());
    let mut out = Vec::new();
    fasteners_of(design.rig.devices.iter().filter(here), &mut out);
    out
}

/// Whether a key of the bill is one of what holds devices.
pub fn is_fastener(key: &str) -> bool {
    ["strip", "pad", "screw", "clamp"].contains(&key.split('-').next().unwrap_or_default())
}

fn fasteners_of<'a>(devices: impl Iterator<Item = &'a Device>, out: &mut Vec<BillLine>) {
    // What nobody has counted yet stands in a line of its own, or it would hide what is counted.
    type Sort = (FastenKind, Option<Length>, Option<HookSide>, bool);
    let mut sorts: BTreeMap<Sort, Vec<(&str, &Fasten)>> = BTreeMap::new();
    for device in devices {
        let Some(fasten) = &device.fasten else { continue };
        let Some(kind) = fasten.kind.value else { continue };
        let of_strip = kind == FastenKind::Strip;
        let width = fasten.width.value.filter(|_| of_strip);
        let hooks = fasten.hooks.value.filter(|_| of_strip);
        let counted = if of_strip { fasten.strip().is_some() } else { fasten.count.value.is_some() };
        sorts.entry((kind, width, hooks, !counted)).or_default().push((&device.tag, fasten));
    }
    for ((kind, width, hooks, _), held) in sorts {
        let tags: Vec<&str> = held.iter().map(|(tag, _)| *tag).collect();
        let mut key = match kind {
            FastenKind::Strip => "strip",
            FastenKind::Pad => "pad",
            FastenKind::Screw => "screw",
            FastenKind::Clamp => "clamp",
        }
        .to_owned();
        let mut item = match kind {
            FastenKind::Strip => "hook-and-loop strip, both faces".to_owned(),
            FastenKind::Pad => "mushroom-head pad, both faces".to_owned(),
            FastenKind::Screw => "screw to hold a device".to_owned(),
            FastenKind::Clamp => "clamp or bracket to hold a device".to_owned(),
        };
        if let Some(width) = width {
            item += &format!(", {width} wide");
            key += &format!("-{width}").replace(' ', "");
        }
        item += match hooks {
            Some(HookSide::Device) => ", hooks on the device",
            Some(HookSide::Board) => ", hooks on the board",
            None => "",
        };
        let length = held.iter().map(|(_, fasten)| fasten.strip()).sum::<Option<Length>>();
        let count = held.iter().map(|(_, fasten)| fasten.count.value).sum::<Option<u32>>();
        let needed = match (kind, length, count) {
            (FastenKind::Strip, Some(length), _) => Amount::Length(length),
            (FastenKind::Pad | FastenKind::Screw | FastenKind::Clamp, _, Some(count)) => {
                Amount::Pieces(i64::from(count))
            }
            _ => {
                // Cut from a sheet: the area is what is bought, a piece for each device what is cut.
                let area = held.iter().map(|(_, fasten)| fasten.area().value).sum::<Option<quantity::Area>>();
                match area {
                    Some(area) => item += &format!(", {area} in all"),
                    None => item += ", amount not decided",
                }
                pieces(held.len())
            }
        };
        let assumed = held.iter().any(|(_, fasten)| fasten.area().is_assumed() || fasten.count.is_assumed());
        out.push(BillLine {
            needed,
            waste: needed.with(0),
            estimated: assumed,
            ..piece(BillGroup::Small, &key, item, 0, tags.join(", "))
        });
    }
}

/// What keeps own adaptors in their sockets.
fn adaptor_holders(design: &Design, out: &mut Vec<BillLine>) {
    let mut holders: BTreeMap<rig::Held, Vec<&str>> = BTreeMap::new();
    for device in &design.rig.devices {
        let adaptor = device.feed.as_ref().and_then(|feed| feed.adaptor.as_ref());
        if let Some(held) = adaptor.and_then(|adaptor| adaptor.held.value) {
            holders.entry(held).or_default().push(&device.tag);
        }
    }
    for (held, tags) in holders {
        let (key, item) = match held {
            rig::Held::Loose => continue,
            rig::Held::Strap => ("adaptor-strap", "strap around an adaptor and its strip"),
            rig::Held::Cradle => ("adaptor-cradle", "cradle for an adaptor"),
            rig::Held::Clamp => ("adaptor-clamp", "clamp for an adaptor"),
        };
        out.push(piece(BillGroup::Small, key, item.to_owned(), tags.len(), tags.join(", ")));
    }
}

/// The ties of a lead of this length.
pub fn ties_of(cut: Length) -> usize {
    usize::try_from((cut.nm() + TIE_EVERY.nm() - 1).div_euclid(TIE_EVERY.nm())).unwrap_or_default().max(1)
}

/// Solder wire for so many joints.
pub fn solder_of(joints: usize) -> Length {
    Length::from_nm(SOLDER_PER_JOINT.nm().saturating_mul(i64::try_from(joints).unwrap_or(i64::MAX)))
}

/// What is used up as leads are made and dressed: ties and solder.
fn used_up(design: &Design, out: &mut Vec<BillLine>) {
    let made: Vec<&crate::Lead> = design.leads.iter().filter(|lead| lead.making == Making::Made).collect();
    if made.is_empty() {
        return;
    }
    // Two conductors at each end that we make, and one joint for each leg.
    let joints: usize = made
        .iter()
        .map(|lead| {
            let ends = lead.ends.iter().filter(|end| end.has_plug() || end.is_wired()).count();
            2 * ends + if lead.is_joined() { lead.ends.len() } else { 0 }
        })
        .sum();
    let ties = |lead: &&crate::Lead| ties_of(lead.cut.value.unwrap_or(Length::ZERO));
    let estimated = made.iter().any(|lead| lead.cut.value.is_none() || lead.cut.is_assumed());
    let count: usize = made.iter().map(ties).sum();
    let item = "cable tie".to_owned();
    let serves = "leads, along their ways".to_owned();
    out.push(BillLine { estimated, ..piece(BillGroup::Small, "tie", item, count, serves) });
    if 0 < joints {
        let wire = solder_of(joints).nm();
        let (item, serves) = ("solder wire".to_owned(), format!("{joints} joints"));
        out.push(BillLine {
            needed: Amount::Length(Length::from_nm(wire)),
            waste: Amount::Length(Length::ZERO),
            ..piece(BillGroup::Small, "solder", item, 0, serves)
        });
    }
}

/// Numbers in a row as from and to: `L01–L04, L07`.
pub fn spans(tags: &[&str]) -> String {
    let split = |tag: &str| -> Option<(String, u32)> {
        let digits = tag.trim_start_matches(|c: char| !c.is_ascii_digit());
        Some((tag[..tag.len() - digits.len()].to_owned(), digits.parse().ok()?))
    };
    let mut out: Vec<String> = Vec::new();
    let mut at = 0;
    while at < tags.len() {
        let mut end = at;
        while let (Some(a), Some(b)) = (split(tags[end]), tags.get(end + 1).and_then(|tag| split(tag)))
            && a.0 == b.0
            && a.1.checked_add(1) == Some(b.1)
        {
            end += 1;
        }
        if end > at + 1 {
            out.push(format!("{}–{}", tags[at], tags[end]));
        } else {
            out.extend(tags[at..=end].iter().map(|tag| (*tag).to_owned()));
        }
        at = end + 1;
    }
    out.join(", ")
}

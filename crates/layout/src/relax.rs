//! What would make it fit when nothing does, each found by trying it; and why nothing can, where that is proven.

use quantity::Length;
use rig::geometry::lead_ends;
use rig::{Board, PlugKind, PlugSpec, Rig, Role};

use crate::model::{Model, put};
use crate::outcome::{Outcome, Relaxation};
use crate::packing::Hopeless;
use crate::solve::first_fit;
use crate::watch::Stop;
use crate::{Config, Freedom, Input};

/// Moves for each thing tried.
const MOVES: u64 = 240_000;
/// How much wider and deeper the board may have to be, in millimetres, in the order tried.
const WIDER: [i64; 9] = [1, 2, 3, 5, 8, 12, 20, 35, 60];
/// More relaxations than this are not told.
const MOST: usize = 8;

/// What would help, the least first: another plug, another side up, under the deck, a few millimetres, another board, one
/// device less.
pub(crate) fn relaxations(
    input: &Input,
    config: &Config,
    outcome: &Outcome,
    hopeless: Option<&Hopeless>,
    stop: &dyn Stop,
) -> Vec<Relaxation> {
    let small = Config { moves: MOVES.min(config.moves.max(1)), until: None, relax: false, ..config.clone() };
    let mut tried = Tried { stop, out: Vec::new() };
    let mut wrong = in_trouble(input, outcome);
    if let Some(tag) = hopeless.and_then(|hopeless| hopeless.device.clone()) {
        wrong.retain(|other| *other != tag);
        wrong.insert(0, tag);
    }
    let barring = hopeless.map_or(&[][..], |hopeless| &hopeless.ends);
    plugs(input, &small, &wrong, barring, &mut tried);
    turned(input, &small, &mut tried);
    under(input, &small, &wrong, &mut tried);
    room(input, &small, &mut tried);
    boards(input, &small, &mut tried);
    without(input, &small, &wrong, &mut tried);
    tried.out.truncate(MOST);
    tried.out
}

/// What was tried with success so far.
struct Tried<'a> {
    stop: &'a dyn Stop,
    out: Vec<Relaxation>,
}

impl Tried<'_> {
    /// Tries a changed input; hands back whether it fits.
    fn attempt(&mut self, input: &Input, config: &Config, what: Told) -> bool {
        if MOST <= self.out.len() || self.stop.wanted() {
            return false;
        }
        let Some((placements, edit)) = first_fit(input, config, self.stop) else { return false };
        let edit = what.writes.then_some(edit);
        self.out.push(Relaxation {
            name: what.name,
            kind: what.kind,
            by: what.by,
            device: what.device,
            edit,
            placements,
        });
        true
    }
}

/// What a relaxation says of itself.
struct Told {
    kind: &'static str,
    name: String,
    by: Option<Length>,
    device: Option<String>,
    /// Whether the edit of the placement says all of it.
    writes: bool,
}

/// The devices that the nearest placement has trouble with, those with most of it first.
fn in_trouble(input: &Input, outcome: &Outcome) -> Vec<String> {
    let mut counted: Vec<(usize, String)> = Vec::new();
    for device in &input.rig.devices {
        let names = |about: &String| {
            about.ends_with(&format!(" {}", device.tag))
                || about.contains(&format!(" {}.", device.tag))
                || *about == device.tag
        };
        let count = outcome.breaches.iter().filter(|breach| breach.about.iter().any(names)).count();
        if 0 < count {
            counted.push((count, device.tag.clone()));
        }
    }
    counted.sort_by(|a, b| b.0.cmp(&a.0).then_with(|| a.1.cmp(&b.1)));
    counted.into_iter().map(|(_, tag)| tag).collect()
}

/// Smaller plugs of the stock: at the ends that bar the device, at one device's ends, then wherever they fit.
fn plugs(input: &Input, config: &Config, wrong: &[String], barring: &[usize], tried: &mut Tried<'_>) {
    if input.stock.is_empty() || config.freedom.plugs {
        return;
    }
    let free = Config { freedom: Freedom { plugs: true, ..config.freedom }, ..config.clone() };
    let model = Model::new(input, config);
    let mut groups: Vec<Vec<usize>> = vec![barring.to_vec()];
    groups.extend(wrong.iter().map(|tag| {
        (0..model.lead_ends.len()).filter(|lead| model.lead_ends[*lead].port.device == *tag).collect()
    }));
    for (number, ends) in groups.iter().enumerate() {
        // The client's own leads are asked about only where nothing else helps.
        let Some((changed, names)) = with_smaller(input, &model, ends, number == 0) else { continue };
        let at = &model.lead_ends[ends[0]].port;
        let whose = if number == 0 { at.to_string() } else { at.device.clone() };
        let told = Told {
            kind: "plug",
            name: format!("smaller plugs at {whose}: {}", names.join(", ")),
            by: None,
            device: Some(at.device.clone()),
            writes: true,
        };
        // The edit must name the plugs, so that it is made against the rig as it is.
        if attempt_plugs(input, &changed, config, told, tried) {
            return;
        }
    }
    let name = "other plugs of the stock, wherever they help".to_owned();
    tried.attempt(input, &free, Told { kind: "plug", name, by: None, device: None, writes: true });
}

/// Tries a rig with other plugs; the edit says both the plugs and the placement.
fn attempt_plugs(plain: &Input, changed: &Input, config: &Config, told: Told, tried: &mut Tried<'_>) -> bool {
    let before = tried.out.len();
    if !tried.attempt(changed, config, told) {
        return false;
    }
    let model = Model::new(plain, config);
    let changes = plug_changes(&plain.rig, &changed.rig, &model);
    if let Some(edit) = tried.out.get_mut(before).and_then(|relaxation| relaxation.edit.as_mut()) {
        edit.changes.splice(0..0, changes);
    }
    true
}

/// The plugs that differ between two rigs, as changes.
fn plug_changes(before: &Rig, after: &Rig, model: &Model) -> Vec<finding::Change> {
    let mut out: Vec<finding::Change> = Vec::new();
    for ((old, new), entry) in model.lead_ends.iter().zip(lead_ends(after)).zip(&model.entries) {
        let id = |spec: &PlugSpec| spec.plug.as_ref().map(|plug| plug.id.clone());
        let [field, _] = entry.fields(before);
        if let Some(to) = id(&new.plug).filter(|to| id(&old.plug).as_ref() != Some(to))
            && out.iter().all(|change| *change.field() != field)
        {
            out.push(finding::Change::set(field, to));
        }
    }
    out
}

/// The input with the smallest plug of the stock at each of these lead ends, and the ids of the plugs; `None` when none is
/// smaller. The client's own leads keep theirs unless `own_leads`.
fn with_smaller(
    input: &Input,
    model: &Model,
    ends: &[usize],
    own_leads: bool,
) -> Option<(Input, Vec<String>)> {
    let mut changed = input.clone();
    let leads = rig::leads(&input.rig);
    let mut names = Vec::new();
    for &lead in ends {
        let end = &model.lead_ends[lead];
        let Some(now) = &end.plug.plug else { continue };
        let Some(connector) = input.rig.port(&end.port).and_then(|port| port.connector.as_ref()) else {
            continue;
        };
        let bulk = |plug: &PlugKind| {
            let nm = |known: rig::Known<Length>| known.value.map_or(i64::MAX / 8, Length::nm);
            nm(plug.width).saturating_add(nm(plug.depth))
        };
        let fits = |plug: &&PlugKind| plug.fits.contains(&connector.id) && bulk(plug) < bulk(now);
        // A made lead keeps the plugs that it has.
        let made = leads[end.lead].is_made();
        let outside = end.other.port.is_empty() && input.rig.device(&end.other.device).is_none();
        let smaller = input.stock.iter().filter(fits).min_by_key(|plug| (bulk(plug), plug.id.clone()));
        let Some(smaller) = smaller.filter(|_| (own_leads || !outside) && !end.inner && !made) else {
            continue;
        };
        if let Some(spec) = put(&mut changed.rig, &model.entries[lead]) {
            spec.plug = Some(smaller.clone());
        }
        if !names.contains(&smaller.id) {
            names.push(smaller.id.clone());
        }
    }
    (!names.is_empty()).then_some((changed, names))
}

/// Devices that a foot works may be turned too.
fn turned(input: &Input, config: &Config, tried: &mut Tried<'_>) {
    if !config.freedom.turn_touched {
        let free = Config { freedom: Freedom { turn_touched: true, ..config.freedom }, ..config.clone() };
        let name = "turn devices that a foot works".to_owned();
        tried.attempt(input, &free, Told { kind: "turn", name, by: None, device: None, writes: true });
    }
}

/// One device under a deck that would otherwise stand on it.
fn under(input: &Input, config: &Config, wrong: &[String], tried: &mut Tried<'_>) {
    for tag in wrong {
        let Some(device) = input.rig.device(tag) else { continue };
        // Bricks and the like may hang anyway; a panel belongs in the rim; what a foot works belongs on top.
        if device.is_touched()
            || device.role != Role::Pedal
            || device.place.as_ref().is_some_and(|place| place.locked)
        {
            continue;
        }
        let mut changed = input.clone();
        for device in changed.rig.devices.iter_mut().filter(|device| device.tag == *tag) {
            device.role = Role::Other;
        }
        let name = format!("{tag} under a deck");
        let told = Told { kind: "under", name, by: None, device: Some(tag.clone()), writes: true };
        let free = Config { freedom: Freedom { under: true, ..config.freedom }, ..config.clone() };
        if tried.attempt(&changed, &free, told) {
            return;
        }
    }
}

/// A few millimetres more board.
fn room(input: &Input, config: &Config, tried: &mut Tried<'_>) {
    for (word, wide, deep) in
        [("wider", true, false), ("deeper", false, true), ("wider and deeper", true, true)]
    {
        for by in WIDER {
            let by = Length::from_mm(by);
            let mut changed = input.clone();
            grow(&mut changed.rig.board, by, wide, deep);
            let name = format!("{by} there: a board that much {word}");
            let told = Told { kind: "room", name, by: Some(by), device: None, writes: false };
            if tried.attempt(&changed, config, told) {
                break;
            }
        }
        if word == "deeper" && tried.out.iter().any(|relaxation| relaxation.kind == "room") {
            return;
        }
    }
}

/// Moves the right and back edges of all decks outward, with the rails and risers that reach them.
fn grow(board: &mut Board, by: Length, wide: bool, deep: bool) {
    for deck in &mut board.decks {
        let (right, back) = {
            let extent = deck.extent();
            (extent.right(), extent.back())
        };
        let rects = deck.shape.iter_mut().chain(deck.rails.iter_mut().map(|rail| &mut rail.at));
        for rect in rects.chain(deck.risers.iter_mut().map(|riser| &mut riser.at)) {
            if wide && rect.right() == right {
                rect.width += by;
            }
            if deep && rect.back() == back {
                rect.depth += by;
            }
        }
    }
}

/// The next larger boards of those to be had.
fn boards(input: &Input, config: &Config, tried: &mut Tried<'_>) {
    let area = |board: &Board| {
        let squares = board.decks.iter().flat_map(|deck| &deck.shape);
        squares.map(|at| (at.width.nm() / 1_000_000).saturating_mul(at.depth.nm() / 1_000_000)).sum::<i64>()
    };
    let now = area(&input.rig.board);
    let mut larger: Vec<&Board> = input.boards.iter().filter(|board| now < area(board)).collect();
    larger.sort_by_key(|board| (area(board), board.kind.clone()));
    for board in larger {
        let mut changed = input.clone().unplaced();
        // Lid and case are the job's own; whether the case still fits is for the builder to say.
        changed.rig.board = Board { lid: input.rig.board.lid.clone(), ..board.clone() };
        let title = board.kind.clone().unwrap_or_else(|| board.title.clone());
        let told =
            Told { kind: "board", name: format!("board {title}"), by: None, device: None, writes: false };
        if tried.attempt(&changed, config, told) {
            return;
        }
    }
}

/// One device less: the smallest that frees enough comes first.
fn without(input: &Input, config: &Config, wrong: &[String], tried: &mut Tried<'_>) {
    let mut found = 0;
    for tag in wrong {
        let Some(device) = input.rig.device(tag) else { continue };
        if matches!(device.role, Role::Panel) || device.place.as_ref().is_some_and(|place| place.locked) {
            continue;
        }
        let mut changed = input.clone();
        // It stands outside then, its leads with it.
        for device in changed.rig.devices.iter_mut().filter(|device| device.tag == *tag) {
            device.outside = true;
        }
        let name = format!("{tag} off the board");
        if tried.attempt(
            &changed,
            config,
            Told { kind: "without", name, by: None, device: Some(tag.clone()), writes: false },
        ) {
            found += 1;
            if found == 2 {
                return;
            }
        }
    }
}

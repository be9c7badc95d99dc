//! From an input to its model.

use std::collections::{BTreeMap, BTreeSet};

use quantity::Length;
use rig::geometry::{BoxClass, LeadEnd, lead_ends, socket_ports, solids, standing};
use rig::{Device, FLOOR, Face, Frequency, LeadClass, Limits, Place, PortRef, Rig, Role, Spot as Wished};

use super::ends::{Chooser, feeders};
use super::probe::{Alone, Probe};
use super::want;
use super::{Cell, End, Entry, Flat, Gaps, Item, Model, Rules, Spot, Surface, Wire, port_of};
use crate::outcome::LeftOut;
use crate::{Config, Input};

/// Room that a body without a known bracket takes below a deck besides its own height.
fn bracket(device: &Device) -> i64 {
    device.bracket.value.map_or(0, Length::nm)
}

impl Model {
    pub(crate) fn new(input: &Input, config: &Config) -> Self {
        let (rig, limits) = (&input.rig, &input.limits);
        let probe = Probe::new(rig, limits);
        let surfaces = Surface::all(rig);
        let ends = lead_ends(rig);
        let leads = rig::leads(rig);
        let fed = feeders(rig, &ends);
        let outline: Vec<Flat> =
            rig.board.decks.iter().flat_map(rig::Deck::shape_on_board).map(|at| Flat::of(&at)).collect();
        let edge = limits.board_edge_stop.nm();
        let wide: Vec<Flat> = outline
            .iter()
            .map(|part| {
                let by = (-edge).max(0);
                Flat { low: part.low.map(|at| at - by), high: part.high.map(|at| at + by) }
            })
            .collect();
        let extent = Flat::around(&wide);
        let board_alone = Rig { devices: Vec::new(), runs: Vec::new(), ..rig.clone() };
        let parts =
            solids(&board_alone, limits).boxes.iter().map(|solid| Cell::of(solid, 0, [0; 3])).collect();
        let roofs = rig
            .board
            .decks
            .iter()
            .map(|deck| {
                (deck.shape_on_board().iter().map(Flat::of).collect(), (deck.z - deck.thickness).nm())
            })
            .collect();
        let mut model = Self {
            roofs,
            items: Vec::new(),
            wires: Vec::new(),
            wires_at: Vec::new(),
            parts,
            void: extent.without(&wide),
            extent,
            edge: edge.max(0),
            board: Flat::around(&outline),
            board_mass: milligrams(rig.board.mass.value),
            direction: rig.board.direction,
            lid: rig.board.lid.as_ref().and_then(|lid| lid.inside_height.value).map(Length::nm),
            gaps: Gaps::of(limits),
            rules: rules(rig, limits),
            made: Vec::new(),
            made_at: Vec::new(),
            wants: Vec::new(),
            entries: Entry::all(&ends, &leads, &fed),
            lead_ends: ends,
            plugs: Vec::new(),
            lacks: Vec::new(),
            left_out: Vec::new(),
            grid: config.grid.nm().max(1),
            surfaces,
        };
        let outward = Outward::of(rig, &model.lead_ends);
        let chooser = Chooser {
            rig,
            leads: &leads,
            probe: &probe,
            stock: &input.stock,
            panels: &input.panels,
            freedom: config.freedom,
            elbow: config.elbow,
            elbows: &config.elbows,
        };
        let mut alone: BTreeMap<usize, Vec<Option<Alone>>> = BTreeMap::new();
        for (index, device) in rig.devices.iter().enumerate().filter(|(_, device)| !device.outside) {
            model.add(index, device, &chooser, &fed, &outward, config, &mut alone);
        }
        let wires = model.wire(rig, &alone, &config.shorter);
        model.make_made(rig, &leads, &wires);
        model.make_wants(rig, limits);
        model.lacks.sort();
        model.lacks.dedup();
        model
    }

    #[expect(clippy::too_many_arguments, reason = "one device against all that is known of the rig")]
    fn add(
        &mut self,
        index: usize,
        device: &Device,
        chooser: &Chooser<'_>,
        fed: &[Option<usize>],
        outward: &Outward,
        config: &Config,
        kept: &mut BTreeMap<usize, Vec<Option<Alone>>>,
    ) {
        let rig = chooser.rig;
        let Some(size) = device.size.value else {
            let size = finding::Field::device(&device.tag, "size");
            self.left_out.push(LeftOut { device: device.tag.clone(), lacks: vec![size.clone()] });
            self.lacks.push(size);
            return;
        };
        let home = standing(rig, device).and_then(|at| {
            let place = device.place.as_ref()?;
            let surface =
                self.surfaces.iter().position(|s| s.deck == place.deck && s.under == place.under)?;
            let (x, y) = (at.at.x.nm(), at.at.y.nm());
            Some(Spot { surface, turn: at.quarters, x, y })
        });
        let stays = device.place.as_ref().is_some_and(|place| place.locked || place.deck == FLOOR);
        let movable = !(stays && home.is_some());
        let was = chooser.panels.iter().find(|(tag, _)| *tag == device.tag).map(|(_, place)| place);
        let was = device.place.as_ref().or(was);
        let ways = if movable {
            self.ways(device, home, was, want::is_placed(rig, device, Wished::UnderDeck), config)
        } else {
            home.iter().map(|s| (s.surface, s.turn)).collect()
        };
        let turns: BTreeSet<u8> = ways.iter().map(|(_, turn)| *turn).collect();
        let turns: Vec<u8> = turns.into_iter().collect();
        let alone: Vec<Option<Alone>> =
            (0..4).map(|turn| turns.contains(&turn).then(|| chooser.probe.alone(device, turn))).collect();
        let port_number = |name: &str| device.ports.iter().position(|port| port.name == name).unwrap_or(0);
        let number = |name: &str, inner: bool| {
            u16::try_from(1 + 2 * port_number(name) + usize::from(inner)).unwrap_or(0)
        };
        let sockets: BTreeSet<&str> = socket_ports(rig, device).map(|port| port.name.as_str()).collect();
        let mut cells: [Vec<Cell>; 4] = Default::default();
        let mut switches: [Vec<[i64; 2]>; 4] = Default::default();
        for turn in &turns {
            let Some(here) = &alone[usize::from(*turn)] else { continue };
            cells[usize::from(*turn)] = here
                .boxes
                .iter()
                .filter(|solid| solid.owner.device() == Some(device.tag.as_str()))
                .map(|solid| {
                    let mut cell = Cell::of(solid, 0, [0; 3]);
                    if let Some(port) = port_of(solid) {
                        outward.mark(port, &mut cell);
                        // An adaptor in a socket is its own plug.
                        if solid.class == BoxClass::Plug {
                            cell.owner = number(&port.port, false);
                            cell.socketed = sockets.contains(port.port.as_str());
                        }
                    }
                    cell
                })
                .collect();
            switches[usize::from(*turn)].clone_from(&here.switches);
            self.lacks.extend(here.missing.iter().cloned());
        }
        let mut item_ends: Vec<End> = Vec::new();
        let may_change = !device.place.as_ref().is_some_and(|place| place.locked);
        for (lead, end) in self.lead_ends.clone().iter().enumerate() {
            if end.port.device != device.tag || end.inner {
                continue;
            }
            let owner = number(&end.port.port, end.inner);
            let feeder = fed.get(lead).copied().flatten();
            let by_feed = matches!(self.entries[lead], Entry::Feed { .. });
            let several = feeder.is_some_and(|fed| by_feed && from_several(&rig.devices[fed]));
            let may_change = may_change && !several;
            let mut choices = chooser.choices(end, &turns, owner, may_change, &mut self.plugs);
            if choices.is_empty() {
                let [plug, _] = self.entries[lead].fields(rig);
                self.lacks.push(plug);
                continue;
            }
            for cell in choices.iter_mut().flat_map(|choice| choice.cells.iter_mut()).flatten() {
                outward.mark(&end.port, cell);
                cell.socketed = sockets.contains(end.port.port.as_str());
            }
            choices.truncate(usize::from(u8::MAX));
            // A pair of outlets has one plug and exit for both; a lead that two runs name has one entry.
            let same = |known: &&mut End| self.entries[known.leads[0]] == self.entries[lead];
            match item_ends.iter_mut().find(same) {
                Some(known) => known.join(lead, &choices),
                None => item_ends.push(End { leads: vec![lead], choices }),
            }
        }
        let has_end = |port: &PortRef| {
            item_ends.iter().flat_map(|end| &end.leads).any(|lead| self.lead_ends[*lead].port == *port)
        };
        let is_panel = device.role == Role::Panel;
        for (port, elbow) in chooser
            .elbows
            .iter()
            .filter(|(port, _)| port.device == device.tag && (is_panel || !has_end(port)))
        {
            let face = device.port(&port.port).and_then(|port| port.face.value);
            for turn in &turns {
                let here = alone[usize::from(*turn)].as_ref().and_then(|alone| alone.ports.get(&port.port));
                if let (Some(face), Some(at)) = (face, here) {
                    let plug = number(&port.port, false);
                    let own = &mut cells[usize::from(*turn)];
                    let room = before(face.turned(*turn), is_panel, *at, own, plug, elbow.nm());
                    own.push(room);
                }
            }
        }
        let feet = feet(device, &switches, [size.width.nm(), size.depth.nm()], self.rules.shoe);
        let sole = cells.iter().flatten().filter(|cell| cell.is(BoxClass::Body) || cell.is(BoxClass::Knobs));
        let sole = sole.map(|cell| cell.high[2]).max().unwrap_or(0);
        let gain = |gain: quantity::Decibels| chooser.probe_limits().high_gain.get() < gain.get();
        let minds = matches!(device.role, Role::Pedal | Role::Other);
        let said = want::frequency(rig, device);
        item_ends.retain(|end| !end.choices.is_empty());
        let hang = size.height.nm() + bracket(device);
        let has_room =
            |way: &(usize, u8)| self.surfaces[way.0].room_below(hang) >= Some(self.rules.clear_stop);
        let could_hang =
            movable && matches!(device.role, Role::Brick | Role::Strip) && ways.iter().any(has_room);
        self.items.push(Item {
            device: index,
            tag: device.tag.clone(),
            size: [size.width.nm(), size.depth.nm(), size.height.nm() + bracket(device)],
            movable,
            home,
            ways,
            cells,
            ends: item_ends,
            switches,
            feet,
            sole,
            rim: rim(device),
            mass: milligrams(device.mass.value),
            used: want::used(used(rig, device), said),
            is_foot_operated: device.is_foot_operated(),
            has_treadle: device.treadle.is_some(),
            is_forgotten: device.role != Role::Panel
                && (!device.is_foot_operated() || said == Some(Frequency::SetAndForget)),
            is_brick: device.role == Role::Brick,
            could_hang,
            minds_fields: minds
                && (device.signal.coil.value == Some(true) || rig.gain(device).value.value.is_some_and(gain)),
            has_aerial: minds && device.signal.aerial.value == Some(true),
            is_spare: false,
        });
        self.wires_at.push(Vec::new());
        kept.insert(index, alone);
    }

    /// The surfaces and turns a device may take.
    fn ways(
        &self,
        device: &Device,
        home: Option<Spot>,
        was: Option<&Place>,
        hangs: bool,
        config: &Config,
    ) -> Vec<(usize, u8)> {
        let touched = device.is_foot_operated();
        // A treadle is rocked away from the player, whatever else may be turned.
        let fixed = touched && (!config.freedom.turn_touched || device.treadle.is_some());
        let turns: Vec<u8> = match rim(device).filter(|_| !config.freedom.panels) {
            // A panel keeps the edge that somebody gave it; one that nobody placed goes to the back, away from the feet.
            Some(face) => match was {
                Some(place) => vec![place.quarters],
                None => (0..4).filter(|turn| face.turned(*turn) == Face::Back).collect(),
            },
            None if fixed => vec![home.map_or(0, |spot| spot.turn)],
            None => vec![0, 1, 2, 3],
        };
        // What its bracket takes below the deck must be known.
        let may_hang = config.freedom.under
            && !touched
            && device.bracket.value.is_some()
            && matches!(device.role, Role::Brick | Role::Strip | Role::Other);
        // What a foot works is put under no deck, whatever is wished.
        let may_hang = may_hang || hangs && !touched || was.is_some_and(|place| place.under);
        let mut out = Vec::new();
        for (index, surface) in self.surfaces.iter().enumerate() {
            // Nothing new hangs from a deck whose clear height nobody knows; nothing is put on the floor.
            let here = home.is_some_and(|spot| spot.surface == index);
            if surface.is_floor || (surface.under && !here && (!may_hang || surface.ground.is_none())) {
                continue;
            }
            out.extend(turns.iter().map(|turn| (index, *turn)));
        }
        out
    }

    /// Makes the wires; hands back their numbers by their ports.
    fn wire(
        &mut self,
        rig: &Rig,
        alone: &BTreeMap<usize, Vec<Option<Alone>>>,
        shorter: &[PortRef],
    ) -> BTreeMap<(PortRef, PortRef), usize> {
        let item_of: BTreeMap<&str, usize> = self
            .items
            .iter()
            .enumerate()
            .map(|(index, item)| (rig.devices[item.device].tag.as_str(), index))
            .collect();
        let mut wires = Vec::new();
        let mut numbers = BTreeMap::new();
        let mut add = |from: &PortRef, to: &PortRef, class: LeadClass, ordered: bool| {
            let ends = [from, to].map(|port| {
                let item = *item_of.get(port.device.as_str())?;
                let size = self.items[item].size;
                let here = alone.get(&self.items[item].device)?;
                let points = std::array::from_fn(|turn| {
                    let known = here[turn].as_ref().and_then(|alone| alone.ports.get(&port.port).copied());
                    known.unwrap_or_else(|| {
                        let [width, depth] =
                            if turn % 2 == 0 { [size[0], size[1]] } else { [size[1], size[0]] };
                        [width / 2, depth / 2, size[2] / 2]
                    })
                });
                Some((item, points))
            });
            if let [Some((a, p)), Some((b, q))] = ends {
                numbers.insert((from.clone(), to.clone()), wires.len());
                let weight = if shorter.contains(from) || shorter.contains(to) { Config::SHORTER } else { 1 };
                wires.push(Wire { items: [a, b], points: [p, q], class, ordered, weight });
            }
        };
        for run in &rig.runs {
            for (from, to) in run.steps().filter(|(from, to)| !from.port.is_empty() && !to.port.is_empty()) {
                let class = run.carries.class();
                let touched =
                    |port: &PortRef| rig.device(&port.device).is_some_and(|d| d.role == Role::Pedal);
                add(from, to, class, class == LeadClass::Signal && touched(from) && touched(to));
            }
        }
        for device in &rig.devices {
            let Some(feed) = &device.feed else { continue };
            let inlet = device.ports.iter().find(|port| port.role.value == Some(rig::PortRole::Power));
            let Some(inlet) = inlet.map(|port| PortRef::new(&device.tag, &port.name)) else { continue };
            for outlet in &feed.outlets {
                add(outlet, &inlet, LeadClass::Dc, false);
            }
        }
        self.wires = wires;
        for (index, wire) in self.wires.iter().enumerate() {
            for item in wire.items {
                self.wires_at[item].push(index);
            }
        }
        for list in &mut self.wires_at {
            list.dedup();
        }
        numbers
    }
}

impl Chooser<'_> {
    fn probe_limits(&self) -> &Limits {
        self.probe.limits()
    }
}

/// Whether a feed takes outlets of several bricks: its one outlet exit then cannot be chosen for each.
fn from_several(fed: &Device) -> bool {
    let outlets = fed.feed.as_ref().map_or(&[][..], |feed| &feed.outlets);
    outlets.windows(2).any(|pair| pair[0].device != pair[1].device)
}

/// The ports whose plugs stand out of the board by purpose.
struct Outward {
    /// Jacks of panels that look outward: not held to the outline.
    panel: BTreeSet<PortRef>,
    /// All whose lead goes outside: not held to the lid, they are pulled before it closes.
    any: BTreeSet<PortRef>,
}

impl Outward {
    fn of(rig: &Rig, ends: &[LeadEnd]) -> Self {
        let off_board =
            |device: &Device| device.outside || device.place.as_ref().is_some_and(|p| p.deck == FLOOR);
        let goes_out = |end: &&LeadEnd| {
            !end.inner && (end.other.port.is_empty() || rig.device(&end.other.device).is_some_and(off_board))
        };
        let any: BTreeSet<PortRef> = ends.iter().filter(goes_out).map(|end| end.port.clone()).collect();
        let is_panel =
            |port: &PortRef| rig.device(&port.device).is_some_and(|device| device.role == Role::Panel);
        Self { panel: any.iter().filter(|port| is_panel(port)).cloned().collect(), any }
    }

    fn mark(&self, port: &PortRef, cell: &mut Cell) {
        cell.bounded &= !self.panel.contains(port);
        cell.lidded &= !self.any.contains(port);
    }
}

/// Room before a jack in which no plug is chosen, or before the plug that sits in it; of a panel, behind its wall.
fn before(face: Face, is_panel: bool, at: [i64; 3], own: &[Cell], plug: u16, long: i64) -> Cell {
    let (axis, outwards) = match face {
        Face::Left => (0, is_panel),
        Face::Right => (0, !is_panel),
        Face::Front => (1, is_panel),
        Face::Back => (1, !is_panel),
    };
    let is_before = |cell: &&Cell| {
        if is_panel {
            let reaches = |axis: usize| cell.low[axis] <= at[axis] && at[axis] <= cell.high[axis];
            cell.is(BoxClass::Body) || cell.is(BoxClass::Behind) && reaches(1 - axis)
        } else {
            cell.is(BoxClass::Plug) && cell.owner == plug
        }
    };
    let ends =
        own.iter().filter(is_before).map(|cell| if outwards { cell.high[axis] } else { cell.low[axis] });
    let from = if outwards { ends.chain([at[axis]]).max() } else { ends.chain([at[axis]]).min() };
    let mut low = at.map(|at| at - long / 2);
    let mut high = at.map(|at| at + long / 2);
    let from = from.unwrap_or(at[axis]);
    (low[axis], high[axis]) = if outwards { (from, from + long) } else { (from - long, from) };
    let mut room = Cell::plain(BoxClass::Bend, [0; 3]);
    (room.low, room.high, room.owner, room.bounded) = (low, high, plug, false);
    room
}

/// How far the toe reaches beyond a switch. *Common practice, no source*, as the rule of the foot's room has it.
const TOE: i64 = 25_000_000;

/// What lies under the foot by turn: around each switch as wide as the shoe, and all of a treadle.
fn feet(
    device: &Device,
    switches: &[Vec<[i64; 2]>; 4],
    [width, depth]: [i64; 2],
    shoe: i64,
) -> [Vec<Flat>; 4] {
    std::array::from_fn(|turn| {
        let mut out: Vec<Flat> = switches[turn]
            .iter()
            .map(|[x, y]| Flat { low: [x - shoe / 2, y - shoe / 2], high: [x + shoe / 2, y + TOE] })
            .collect();
        if device.treadle.is_some() {
            let high = if turn % 2 == 0 { [width, depth] } else { [depth, width] };
            out.push(Flat { low: [0, 0], high });
        }
        out
    })
}

/// The face of a panel's jacks: it belongs into the rim of the board.
fn rim(device: &Device) -> Option<Face> {
    if device.role != Role::Panel {
        return None;
    }
    let faces: Vec<Face> = device.ports.iter().filter_map(|port| port.face.value).collect();
    let first = *faces.first()?;
    faces.iter().all(|face| *face == first).then_some(first)
}

fn milligrams(mass: Option<quantity::Grams>) -> i64 {
    #[expect(clippy::cast_possible_truncation, reason = "a float to integer cast saturates, which is wanted")]
    mass.map_or(0, |mass| (mass.get() * 1000.0).round() as i64)
}

/// How often a foot works a device: once, and once for every moment in which it changes; without moments, once for
/// every state that has it other than the state before.
fn used(rig: &Rig, device: &Device) -> i64 {
    if device.switches.is_empty() {
        return 0;
    }
    let engaged = |name: &str| {
        rig.states
            .iter()
            .find(|state| state.name == name)
            .is_some_and(|state| state.engaged.contains(&device.tag))
    };
    let changes = if rig.moments.is_empty() {
        rig.states.windows(2).filter(|pair| engaged(&pair[0].name) != engaged(&pair[1].name)).count()
    } else {
        rig.moments.iter().filter(|moment| engaged(&moment.from) != engaged(&moment.to)).count()
    };
    1 + i64::try_from(changes).unwrap_or(0)
}

fn rules(rig: &Rig, limits: &Limits) -> Rules {
    Rules {
        lid_look: limits.lid_foam_look.nm(),
        lid_stop: limits.lid_foam_stop.nm(),
        clear_look: limits.clear_height_look.nm(),
        clear_stop: limits.clear_height_stop.nm(),
        switch_look: limits.switch_distance_look.nm(),
        switch_stop: limits.switch_distance_stop.nm(),
        row_look: limits.row_distance_look.nm(),
        row_step: limits.row_step.nm(),
        shoe: rig.brief.shoe_width.value.unwrap_or(limits.shoe_width).nm(),
        foot_room: limits.foot_room.nm(),
        field_look: limits.switching_distance_look.nm(),
        aerial_look: limits.aerial_distance_look.nm(),
    }
}

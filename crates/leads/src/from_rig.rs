//! The snapshot of a rig.

use quantity::Length;
use rig::geometry::{BoxClass, Heading, Lack, Owner, Solid, exits, plug_pose, port_point, solids, tag_pose};
use rig::{
    Cable, Deck, Device, Exit, FLOOR, LeadClass, Limits, PlugAngle, PlugSpec, PortRef, Rect, Rig, Role,
};

use crate::input::{Body, End, Hole, Input, Point, Rules, Turn, Unlaid, Wanted};

/// Diameter of a cable nobody has decided on. *Common practice, no source.*
const CABLE_MM: f64 = 4.0;
/// Depth of a jack's solder tags that nobody has measured. *Common practice, no source.*
const OPEN_MM: f64 = 20.0;
/// What stands out less is no plug: a captive lead leaves the wall itself. *Common practice, no source.*
const CAPTIVE_MM: f64 = 5.0;
/// From tie to tie past a hinge, each tied so far from its axis: at the worst angle twice as much. *Geometry.*
const HINGE_TIE_MM: f64 = 25.0;
/// Where a plug's record says that depth or tail holds the bend already, this share of it, and no more than so many
/// millimetres, is cable and not plug. *Common practice, no source.*
const HELD: (f64, f64) = (0.6, 16.0);
/// Where tags leave no room to run straight on, the cable leaves across them, this far before their tips: flag
/// terminals and tags bent over. *Common practice, no source.*
const TAG_MM: f64 = 5.0;
/// How far beside and above the decks a lead may run.
const BESIDE_MM: f64 = 40.0;
const ABOVE_MM: f64 = 90.0;
/// Where leads may not lie on top, the way is closed up to here.
const SKY_MM: f64 = 10_000.0;

/// One end of a lead as the design knows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GivenEnd {
    /// What the piece of cable from this end is called: the lead's number, with a joint number and letter of the leg.
    pub part: String,
    /// The port.
    pub port: PortRef,
    /// The plug there.
    pub plug: PlugSpec,
    /// Whether it is wired behind a panel's jack, or to terminals.
    pub wired: bool,
    /// What its leg was cut to, when it is made already.
    pub made: Option<Length>,
}

/// One lead as the design knows it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Given {
    /// Its number on labels.
    pub id: String,
    /// What it carries.
    pub class: LeadClass,
    /// Its ends, two or more. A lead with a joint is laid leg by leg, each from its end to the joint.
    pub ends: Vec<GivenEnd>,
    /// The end that the others branch from.
    pub trunk: usize,
    /// Where its joint lies, in the board's frame; open when it is placed here.
    pub joint: Option<[Length; 2]>,
    /// Cable that a leg uses up in the joint.
    pub in_joint: Length,
    /// Its cable.
    pub cable: Option<Cable>,
    /// How the two plugs are turned against each other, for the cut list.
    pub clocking: Option<String>,
    /// What it was cut to, when it is made already.
    pub made: Option<Length>,
    /// Whether it leaves the board: the player's own lead, or one to something that stands outside.
    pub outside: bool,
    /// Tie points that it passes over, in the board's frame.
    pub ties: Vec<[Length; 2]>,
    /// Extra cable that stays beside it.
    pub service: Option<Length>,
}

impl Given {
    /// Whether it has a joint: then its pieces of cable have names of their own.
    pub(crate) fn is_joined(&self) -> bool {
        self.ends.iter().any(|end| end.part != self.id)
    }
}

impl Rules {
    /// The customs of the trade with the workshop's radius, distances, slack and rounding.
    pub fn from_limits(limits: &Limits) -> Self {
        Self {
            radius_times: limits.bend_radius_look.get(),
            apart_dc_mm: limits.lead_apart_dc.as_mm(),
            apart_mains_mm: limits.lead_apart_mains.as_mm(),
            parallel_mm: limits.lead_parallel.as_mm(),
            slack_mm: limits.plug_allowance_least.as_mm(),
            slack_share: limits.slack_share.get(),
            rounding_mm: limits.cut_rounding.as_mm(),
            ..Self::customary()
        }
    }
}

impl Input {
    /// The snapshot of a rig and its leads under a workshop's limits.
    ///
    /// A lead that leaves the board, or whose port has no known place, is not laid; [`Input::unlaid`] says why. An open
    /// plug is taken as a short straight one, an open exit as the one that points most towards the other end; both are
    /// marked as proposals.
    pub fn from_rig(rig: &Rig, limits: &Limits, leads: &[Given]) -> Self {
        let rules = Rules::from_limits(limits);
        let solids = solids(rig, limits);
        let extent = rig.board.extent();
        let floor = rig.board.floor_level().as_mm();
        let top = rig.board.decks.iter().map(|deck| deck.z.as_mm()).fold(0.0, f64::max);
        let lowest = rig.board.decks.iter().map(|deck| (deck.z - deck.thickness).as_mm()).fold(0.0, f64::min);
        let floor = if floor < lowest - 1.0 { floor } else { lowest - OPEN_MM };
        let mut input = Self {
            bodies: Vec::new(),
            leads: Vec::new(),
            unlaid: Vec::new(),
            holes: Vec::new(),
            decks: rig.board.decks.iter().flat_map(Deck::shape_on_board).map(|r| plan(&r)).collect(),
            low: [extent.x.as_mm() - BESIDE_MM, extent.y.as_mm() - BESIDE_MM, floor],
            high: [extent.right().as_mm() + BESIDE_MM, extent.back().as_mm() + BESIDE_MM, top + ABOVE_MM],
            rules,
        };
        holes(rig, &mut input);
        let mut owners: Vec<Owner> = Vec::new();
        for solid in &solids.boxes {
            for body in bodies(rig, solid) {
                input.bodies.push(body);
                owners.push(solid.owner.clone());
            }
        }
        // Plugs on tall devices on risers leave room above themselves.
        input.high[2] =
            input.bodies.iter().map(|body| body.high[2] + BESIDE_MM).fold(input.high[2], f64::max);
        let mut laid = Vec::new();
        for given in leads {
            match wanted(rig, &input, &owners, given) {
                Ok(leads) => {
                    for (lead, wired) in leads {
                        for (end, wired) in [&lead.from, &lead.to].into_iter().zip(wired) {
                            if !wired {
                                trim(&mut input, end);
                            }
                        }
                        input.leads.push(lead);
                        laid.push(wired);
                    }
                }
                Err(why) => input.unlaid.push(Unlaid { id: given.id.clone(), why }),
            }
        }
        for (lead, wired) in input.leads.iter_mut().zip(laid) {
            let (radius, bend) = (lead.diameter_mm / 2.0, lead.radius_mm);
            let towards = [lead.to.at, lead.from.at];
            for ((end, soldered), other) in [&mut lead.from, &mut lead.to].into_iter().zip(wired).zip(towards)
            {
                if soldered {
                    across(&input.bodies, end, radius, bend, other);
                }
            }
        }
        crate::joint::settle(&mut input, leads);
        crate::turned::settle(&mut input);
        input
    }
}

/// Turns the cable of soldered tags aside where it cannot run straight on.
fn across(bodies: &[Body], end: &mut End, radius: f64, bend: f64, other: Point) {
    let room = |at: Point, out: Point, long: f64| {
        let tip = [0, 1, 2].map(|i| at[i] + out[i] * long);
        !bodies.iter().enumerate().any(|(index, body)| {
            !end.bodies.contains(&index)
                && (0..3).all(|i| {
                    body.low[i] < at[i].max(tip[i]) + radius && at[i].min(tip[i]) - radius < body.high[i]
                })
        })
    };
    if room(end.at, end.out, radius + 2.0) {
        return;
    }
    let at = [0, 1, 2].map(|i| end.at[i] - end.out[i] * (TAG_MM + radius));
    let side = [end.out[1].abs(), end.out[0].abs(), 0.0];
    let half = end
        .bodies
        .iter()
        .filter(|&&index| bodies[index].what == "behind")
        .map(|&index| {
            (0..3).map(|i| (bodies[index].high[i] - bodies[index].low[i]) / 2.0).fold(0.0, f64::max)
        })
        .fold(0.0, f64::max);
    let mut ways = [(side, "across"), (side.map(|v| -v), "across"), ([0.0, 0.0, 1.0], "up")];
    ways.sort_by(|a, b| {
        let value = |way: Point| (0..3).map(|i| way[i] * (other[i] - at[i])).sum::<f64>();
        value(b.0).total_cmp(&value(a.0))
    });
    if let Some((out, word)) = ways.into_iter().find(|(out, _)| room(at, *out, half + bend)) {
        end.at = at;
        end.out = out;
        end.exit = Some(word);
        end.proposed = true;
        end.straight_mm = half;
    }
}

/// What of a plug's length is cable already.
fn held(length: f64, bend: f64) -> f64 {
    if 0.0 < bend { 0.0 } else { (length * HELD.0).min(HELD.1) }
}

/// Takes from a lead's own plug what is cable already.
fn trim(input: &mut Input, end: &End) {
    for &body in &end.bodies {
        let body = &mut input.bodies[body];
        if body.what != "plug" {
            continue;
        }
        for axis in 0..3 {
            if 0.5 < end.out[axis] && body.low[axis] < end.at[axis] {
                body.high[axis] = body.high[axis].min(end.at[axis]);
            } else if end.out[axis] < -0.5 && end.at[axis] < body.high[axis] {
                body.low[axis] = body.low[axis].max(end.at[axis]);
            }
        }
        body.keep_off = body.high[2];
    }
}

fn point(at: [Length; 3]) -> Point {
    at.map(Length::as_mm)
}

fn plan(rect: &Rect) -> [f64; 4] {
    [rect.x.as_mm(), rect.y.as_mm(), rect.right().as_mm(), rect.back().as_mm()]
}

fn holes(rig: &Rig, input: &mut Input) {
    for deck in &rig.board.decks {
        for passage in &deck.passages {
            let [left, front, right, back] =
                plan(&Rect { x: passage.at.x + deck.x, y: passage.at.y + deck.y, ..passage.at });
            input.holes.push(Hole {
                name: format!("{}.{}", deck.name, passage.name),
                low: [left, front, (deck.z - deck.thickness).as_mm()],
                high: [right, back, deck.z.as_mm()],
            });
        }
    }
}

/// What a box is to a lead: bodies stand in the way, sheets with their holes cut out; bends and corridors are air.
fn bodies(rig: &Rig, solid: &Solid) -> Vec<Body> {
    let (low, high) = (point(solid.low), point(solid.high));
    let body = |low: Point, high: Point, keep_off: f64| Body {
        low,
        high,
        what: solid.class.word(),
        owner: solid.owner.to_string(),
        keep_off,
    };
    match solid.class {
        BoxClass::Bend | BoxClass::Service => Vec::new(),
        BoxClass::Body | BoxClass::Knobs => {
            let device = solid.owner.device().and_then(|tag| rig.device(tag));
            let lies_on = device.is_none_or(|device| {
                device.role != Role::Pedal || device.place.as_ref().is_some_and(|place| place.under)
            });
            vec![body(low, high, if lies_on { high[2] } else { ceiling(rig, low, high) })]
        }
        BoxClass::Sheet => {
            let mut pieces = vec![[low[0], low[1], high[0], high[1]]];
            if let Owner::Board { deck, .. } = &solid.owner
                && let Some(deck) = rig.board.deck(deck)
            {
                for passage in &deck.passages {
                    let hole =
                        plan(&Rect { x: passage.at.x + deck.x, y: passage.at.y + deck.y, ..passage.at });
                    pieces = pieces.iter().flat_map(|piece| without(piece, &hole)).collect();
                }
            }
            pieces.iter().map(|p| body([p[0], p[1], low[2]], [p[2], p[3], high[2]], high[2])).collect()
        }
        BoxClass::Plug | BoxClass::Behind | BoxClass::Riser | BoxClass::Rail => {
            vec![body(low, high, high[2])]
        }
    }
}

/// The underside of the lowest deck above a body, or the sky: no lead crosses over a device that a foot works.
fn ceiling(rig: &Rig, low: Point, high: Point) -> f64 {
    rig.board
        .decks
        .iter()
        .filter(|deck| high[2] <= (deck.z - deck.thickness).as_mm() + 0.01)
        .filter(|deck| {
            deck.shape_on_board()
                .iter()
                .map(plan)
                .any(|r| low[0] < r[2] && r[0] < high[0] && low[1] < r[3] && r[1] < high[1])
        })
        .map(|deck| (deck.z - deck.thickness).as_mm())
        .fold(SKY_MM, f64::min)
}

/// A rectangle without a hole, as up to four rectangles.
pub(crate) fn without(rect: &[f64; 4], hole: &[f64; 4]) -> Vec<[f64; 4]> {
    let [left, front, right, back] = *rect;
    let (a, b) = (hole[0].clamp(left, right), hole[2].clamp(left, right));
    let (c, d) = (hole[1].clamp(front, back), hole[3].clamp(front, back));
    if b <= a || d <= c {
        return vec![*rect];
    }
    [[left, front, right, c], [left, d, right, back], [left, c, a, d], [b, c, right, d]]
        .into_iter()
        .filter(|r| r[0] < r[2] && r[1] < r[3])
        .collect()
}

/// The pieces of cable of one lead, each with whether its two ends are wired: the whole lead, or its legs.
fn wanted(
    rig: &Rig,
    input: &Input,
    owners: &[Owner],
    given: &Given,
) -> Result<Vec<(Wanted, [bool; 2])>, String> {
    if given.outside {
        return Err("it leaves the board".to_owned());
    }
    let mut places: Vec<(&Device, Point)> = Vec::new();
    for end in &given.ends {
        places.push(place(rig, &end.port)?);
    }
    let hinged = |device: &Device| {
        let deck = device.place.as_ref().and_then(|place| rig.board.deck(&place.deck));
        deck.is_some_and(|deck| deck.hinge.is_some())
    };
    let deck_of = |device: &Device| device.place.as_ref().map(|place| place.deck.clone());
    let crosses = |a: &Device, b: &Device| deck_of(a) != deck_of(b) && (hinged(a) || hinged(b));
    let made = |which: usize, towards: Point| {
        let (device, at) = places[which];
        let GivenEnd { port, plug, wired, .. } = &given.ends[which];
        end(rig, device, port, plug, *wired, at, towards, owners)
    };
    let service = given.service.map_or(0.0, Length::as_mm);
    if let ([from, to], false) = (&given.ends[..], given.is_joined()) {
        let mut ends = [made(0, places[1].1)?, made(1, places[0].1)?];
        ends[0].service_mm += service;
        let mut whole = piece(input, given, &given.id, ends, crosses(places[0].0, places[1].0));
        whole.made_mm = given.made.map(Length::as_mm);
        return Ok(vec![(whole, [from.wired, to.wired])]);
    }
    let middle = places.iter().map(|(_, at)| *at).collect::<Vec<_>>();
    let centre = [0, 1, 2].map(|axis| median(middle.iter().map(|at| at[axis])));
    let mut ends = Vec::new();
    for which in 0..given.ends.len() {
        ends.push(made(which, centre)?);
    }
    let joint = crate::joint::place(input, given, &ends);
    let trunk = places[given.trunk].0;
    let mut out = Vec::new();
    for (leg, own) in ends.iter().enumerate() {
        let mut own = own.clone();
        if leg == given.trunk {
            own.service_mm += service;
        }
        let there = crate::joint::end(given, leg, joint);
        let hinge = leg != given.trunk && crosses(places[leg].0, trunk);
        let mut lead = piece(input, given, &given.ends[leg].part, [own, there], hinge);
        lead.leg_of = Some(given.id.clone());
        lead.made_mm = given.ends[leg].made.map(Length::as_mm);
        out.push((lead, [given.ends[leg].wired, false]));
    }
    Ok(out)
}

/// The device that a port belongs to, and where the port is.
fn place<'a>(rig: &'a Rig, port: &PortRef) -> Result<(&'a Device, Point), String> {
    let device = rig.device(&port.device).ok_or_else(|| format!("{port} is not a port of the board"))?;
    if device.outside || device.place.as_ref().is_some_and(|place| place.deck == FLOOR) {
        return Err(format!("{port} stands outside the board"));
    }
    let at =
        port_point(rig, device, &port.port).ok_or_else(|| format!("the place of {port} is not known"))?;
    Ok((device, point(at)))
}

/// One piece of cable between two ends.
fn piece(input: &Input, given: &Given, id: &str, ends: [End; 2], hinge: bool) -> Wanted {
    let cable = given.cable.as_ref();
    let diameter_mm = cable.and_then(|cable| cable.diameter.value).map_or(CABLE_MM, Length::as_mm);
    // A plug's bend is the whole room that the cable takes to turn aside; straight is what its arc leaves of it.
    let turning = diameter_mm * (input.rules.radius_times + 0.5);
    let [from, to] = ends.map(|mut end| {
        end.straight_mm = (end.straight_mm - turning).max(0.0);
        for turn in &mut end.turns {
            turn.straight_mm = (turn.straight_mm - turning).max(0.0);
        }
        end
    });
    Wanted {
        id: id.to_owned(),
        leg_of: None,
        class: given.class,
        from,
        to,
        cable: cable.map(|cable| cable.id.clone()),
        diameter_mm,
        radius_mm: diameter_mm * input.rules.radius_times,
        pf_per_m: cable.and_then(|cable| cable.capacitance_per_metre.value).map(|farads| farads.get() * 1e12),
        ohm_per_m: cable.and_then(|cable| cable.resistance_per_metre.value).map(quantity::Ohms::get),
        clocking: given.clocking.clone(),
        hinge_mm: if hinge { 2.0 * HINGE_TIE_MM } else { 0.0 },
        made_mm: None,
        ties: given.ties.iter().map(|tie| tie.map(Length::as_mm)).collect(),
    }
}

/// The middle one of several figures; of an even count the lower of the two in the middle.
pub(crate) fn median(values: impl Iterator<Item = f64>) -> f64 {
    let mut all: Vec<f64> = values.collect();
    all.sort_by(f64::total_cmp);
    all.get((all.len().saturating_sub(1)) / 2).copied().unwrap_or(0.0)
}

#[expect(clippy::too_many_arguments, reason = "one call per end of a lead, all of it needed")]
fn end(
    rig: &Rig,
    device: &Device,
    port: &PortRef,
    plug: &PlugSpec,
    soldered: bool,
    at: Point,
    other: Point,
    owners: &[Owner],
) -> Result<End, String> {
    let along = |from: Point, way: Point, by: f64| [0, 1, 2].map(|i| from[i] + way[i] * by);
    let unknown = || format!("the side of {port} is not known");
    let owner = Owner::Port { port: port.clone(), inner: soldered };
    let own = |owner: &Owner| {
        owners.iter().enumerate().filter(|(_, o)| *o == owner).map(|(i, _)| i).collect::<Vec<_>>()
    };
    let mut made = End {
        port: port.to_string(),
        at,
        out: [0.0; 3],
        straight_mm: 0.0,
        allowance_mm: None,
        plug: None,
        exit: None,
        proposed: false,
        turns: Vec::new(),
        service_mm: 0.0,
        plug_pf: 0.0,
        plug_width_mm: 0.0,
        bodies: own(&owner),
    };
    if soldered {
        // Behind the wall: through its thickness, and as deep as the jack stands.
        let tags = tag_pose(rig, device, &port.port).ok_or_else(unknown)?;
        made.out = step(Heading::To(tags.inward));
        made.at = along(point(tags.inner), made.out, tags.depth.map_or(OPEN_MM, Length::as_mm));
        made.plug = Some("soldered".to_owned());
        made.allowance_mm = Some(0.0);
        made.bodies.extend(own(&Owner::Device(device.tag.clone())));
        return Ok(made);
    }
    if let Some((leaves, looks)) = rig::geometry::adaptor_exit(rig, port) {
        made.at = point(leaves);
        made.out = step(Heading::To(looks));
        made.plug = Some("captive".to_owned());
        made.allowance_mm = Some(0.0);
        return Ok(made);
    }
    let pose_of = |spec: &PlugSpec| plug_pose(rig, device, &port.port, spec);
    let mut pose = pose_of(plug).ok_or_else(unknown)?;
    let mut exit = plug.exit;
    if pose.heading.is_none() {
        // An open exit is taken as the one that points most towards the other end.
        made.proposed = true;
        let quarters = device.place.as_ref().map_or(0, |place| place.quarters);
        let value = |exit: Exit| {
            let way = step(Heading::of(exit, quarters));
            (0..3).map(|i| way[i] * (other[i] - at[i])).sum::<f64>()
        };
        let faces = || exits(device, &port.port).filter(|exit| exit.face().is_some());
        let mut best: Option<Exit> = None;
        for exit in faces() {
            if best.is_none_or(|known| value(known) < value(exit)) {
                best = Some(exit);
            }
        }
        for exit in faces().filter(|exit| Some(*exit) != best) {
            let spec = PlugSpec { exit: Some(exit), ..plug.clone() };
            let turned = end(rig, device, port, &spec, soldered, at, other, owners)?;
            let End { at, out, straight_mm, exit, .. } = turned;
            made.turns.push(Turn { at, out, straight_mm, exit });
        }
        exit = best;
        pose = pose_of(&PlugSpec { exit, ..plug.clone() }).ok_or_else(unknown)?;
    }
    made.out = step(pose.heading.unwrap_or(Heading::To(pose.looks)));
    let Some(kind) = &plug.plug else {
        made.at = point(pose.leaves);
        made.proposed = true;
        return Ok(made);
    };
    let mm = |length: rig::Known<Length>| length.value.map_or(0.0, Length::as_mm);
    made.plug = Some(kind.id.clone());
    made.allowance_mm = kind.allowance.value.map(Length::as_mm);
    made.plug_pf = kind.capacitance.value.map_or(15.0, |farads| farads.get() * 1e12);
    made.straight_mm = pose.bend_room.as_mm();
    made.plug_width_mm = mm(kind.width);
    let depth = (pose.reach - pose.nut).as_mm();
    if pose.lacks == Some(Lack::Depth) || depth < CAPTIVE_MM {
        // A captive end leaves the wall itself.
        made.bodies.extend(own(&Owner::Device(device.tag.clone())));
    }
    let length = match kind.angle {
        PlugAngle::Straight => depth,
        PlugAngle::Angled => {
            made.exit = exit.map(Exit::word);
            pose.tail.as_mm()
        }
    };
    made.at = along(point(pose.leaves), made.out, -held(length, pose.bend_room.as_mm()));
    Ok(made)
}

/// The step of one along a heading.
fn step(heading: Heading) -> Point {
    #[expect(clippy::cast_precision_loss, reason = "each part is -1, 0 or 1")]
    heading.step().map(|part| part as f64)
}

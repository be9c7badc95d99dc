//! Every lead of the rig with its lengths: a straight-line estimate until it is routed.

use quantity::Length;
use rig::geometry::{EndKind, port_point};
use rig::{
    Cable, FLOOR, Fitting, Known, LeadClass, LeadShape, Limits, Making, PlugSpec, PortRef, Provenance, Rig,
};

pub use power::lead_drop::PULL;

/// Cable that a leg uses up in its joint, from the edge of the sleeve: stripped, twisted, soldered. *Common practice, no
/// source.*
pub const IN_JOINT: Length = Length::from_mm(15);

/// One end of a lead.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeadEndAt {
    /// The port, or the source or sink outside.
    pub port: PortRef,
    /// Whether things come from there or go there.
    pub kind: EndKind,
    /// Plug and exit as the document states them; open parts are `None`.
    pub plug: PlugSpec,
    /// How it is held there.
    pub fitting: Fitting,
    /// Whether it lies behind a panel's wall.
    pub inner: bool,
    /// The letter of its leg, where the lead has a joint.
    pub letter: char,
}

impl LeadEndAt {
    /// Whether it is soldered or wired to terminals, so that there is no plug.
    pub fn is_wired(&self) -> bool {
        matches!(self.fitting, Fitting::Soldered | Fitting::Terminals)
    }

    /// Whether a plug of ours is put on here.
    pub fn has_plug(&self) -> bool {
        self.fitting == Fitting::Plugged
    }
}

/// The part of a lead from one of its ends to its joint.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Leg {
    /// Straight line between port and joint.
    pub straight: Known<Length>,
    /// What its way, its plug and its part of the joint take up, without slack.
    pub least: Known<Length>,
    /// The same with slack.
    pub needed: Known<Length>,
    /// Cut length.
    pub cut: Known<Length>,
    /// Whether it is cut already: the document says to what length.
    pub made: bool,
}

/// One made-up lead.
#[derive(Debug, Clone, PartialEq)]
#[expect(clippy::struct_excessive_bools, reason = "each is a fact of its own that papers and screens show")]
pub struct Lead {
    /// Its number on labels: `L01`, DC `D01`, control `K01`, low-voltage AC `AC01`, mains `M01`.
    pub tag: String,
    /// Whether the number is issued: written in the document, so that it never moves.
    pub issued: bool,
    /// The run it belongs to; `None` for a power lead.
    pub run: Option<String>,
    /// What it carries.
    pub class: LeadClass,
    /// How its ends hang together.
    pub shape: LeadShape,
    /// Where it comes from.
    pub making: Making,
    /// From where to where something flows along it: one pair for a plain lead.
    pub flows: Vec<(PortRef, PortRef)>,
    /// Its ends: two, or more with a joint.
    pub ends: Vec<LeadEndAt>,
    /// The end that the others branch from.
    pub trunk: usize,
    /// Its legs in the order of its ends; none for a plain lead.
    pub legs: Vec<Leg>,
    /// Where the document puts its joint.
    pub joint: Option<[Length; 2]>,
    /// What the document knows it by.
    pub name: String,
    /// Its cable, when stated.
    pub cable: Option<Cable>,
    /// Straight line between the two ports; unknown when one has no place. With a joint, that of all legs together.
    pub straight: Known<Length>,
    /// What its way and its plugs take up, without slack: the straight line, or the route when it is laid.
    pub least: Known<Length>,
    /// What its way needs, plugs and slack included: *assumed* when estimated from the straight line.
    pub needed: Known<Length>,
    /// Cut length: that of the document when the lead is made, else what is needed. With a joint, of all legs together.
    pub cut: Known<Length>,
    /// Tie points that it passes over, in the board's frame.
    pub ties: Vec<[Length; 2]>,
    /// Extra cable that stays beside it.
    pub service: Option<Length>,
    /// Whether it is cut already, with all its legs: the document says to what length.
    pub made: bool,
    /// Whether it is plugged in or wired.
    pub fitted: bool,
    /// Whether its lengths follow its route.
    pub laid: bool,
    /// Whether it goes to something outside the board: the player's own lead, or one that meets a rack or a wall.
    pub outside: bool,
    /// The glands of a panel that it passes on its way out.
    pub through: Vec<PortRef>,
}

/// The letter of a place: `A` for the first.
pub(crate) fn leg_letter(place: usize) -> char {
    u8::try_from(place).ok().and_then(|place| b'A'.checked_add(place)).map_or('?', char::from)
}

impl Lead {
    /// The end it comes from; the first where there are several.
    pub fn from(&self) -> &LeadEndAt {
        self.ends.iter().find(|end| end.kind == EndKind::From).unwrap_or(&self.ends[0])
    }

    /// The end it goes to; the last where there are several.
    pub fn to(&self) -> &LeadEndAt {
        self.ends.iter().rfind(|end| end.kind == EndKind::To).unwrap_or(&self.ends[self.ends.len() - 1])
    }

    /// Whether it has a joint.
    pub fn is_joined(&self) -> bool {
        !self.legs.is_empty()
    }

    /// Whether one of its ends is this port.
    pub fn ends_at(&self, port: &PortRef) -> bool {
        self.ends.iter().any(|end| end.port == *port)
    }

    /// Whether it brings power to this device.
    pub fn feeds(&self, device: &str) -> bool {
        self.run.is_none() && self.ends.iter().any(|end| end.kind == EndKind::To && end.port.device == device)
    }

    /// The names of its parts that are cut one by one: its number, or number and letter of each leg.
    pub fn parts(&self) -> Vec<String> {
        if self.is_joined() {
            return (0..self.ends.len()).map(|leg| self.part(leg)).collect();
        }
        vec![self.tag.clone()]
    }

    /// The name of one part: `D03`, or `D03 B` for a leg.
    pub fn part(&self, leg: usize) -> String {
        if self.is_joined() { format!("{} {}", self.tag, self.ends[leg].letter) } else { self.tag.clone() }
    }

    /// The leg of that name; `None` when it is no part of this lead. A plain lead counts as leg 0.
    pub fn leg_of(&self, part: &str) -> Option<usize> {
        self.parts().iter().position(|own| own == part)
    }

    /// Whether one of its parts, a leg or the whole, is cut by now: its length is written, or it is plugged in or wired.
    pub fn is_cut(&self, leg: usize) -> bool {
        self.fitted || self.legs.get(leg).map_or(self.made, |leg| leg.made)
    }

    /// The length of what of it is cut by now.
    pub fn cut_by_now(&self) -> Length {
        let of = |leg: usize| self.legs.get(leg).map_or(self.cut, |leg| leg.cut).value;
        (0..self.parts().len()).filter(|leg| self.is_cut(*leg)).filter_map(of).sum()
    }

    /// Where it comes from, in few words.
    pub fn source_words(&self) -> &'static str {
        match self.making {
            Making::Made => "workshop-made",
            // An approved lead with one plug, whose bare end goes on terminals.
            Making::Bought if self.ends.iter().any(LeadEndAt::is_wired) => "bare end, by a competent person",
            Making::Bought => "ready-made",
            // What is fixed to a strip or a brick is that unit's; every other captive lead hangs on an adaptor.
            Making::Captive if self.class == LeadClass::Mains => "its unit’s own",
            Making::Captive => "its adaptor’s own",
            Making::Theirs => "player’s own",
        }
    }

    /// Its cable in words: nobody chooses that of a lead that is fixed to something.
    pub fn cable_words(&self) -> &str {
        match (&self.cable, self.making) {
            (_, Making::Captive) => self.source_words(),
            (Some(cable), _) => &cable.title,
            (None, _) => "open",
        }
    }

    /// The glands it passes, in words: `through PNL.MAINS`; empty when it passes none.
    pub fn through_words(&self) -> String {
        let glands: Vec<String> = self.through.iter().map(ToString::to_string).collect();
        if glands.is_empty() { String::new() } else { format!("through {}", glands.join(" and ")) }
    }

    /// The ends of one side, with their places: those that it comes from, or goes to. The one jack of an insert lead, which
    /// sends and returns, is the side that it comes from.
    pub fn side(&self, kind: EndKind) -> impl Iterator<Item = (usize, &LeadEndAt)> {
        let side = move |leg: usize, end: &LeadEndAt| match self.shape {
            LeadShape::Insert if leg == self.trunk => EndKind::From,
            LeadShape::Insert => EndKind::To,
            _ => end.kind,
        };
        self.ends.iter().enumerate().filter(move |(leg, end)| side(*leg, end) == kind)
    }

    /// The ends of one side in words: `S.9 + S.10`.
    pub fn words_of(&self, kind: EndKind) -> String {
        let ends = self.side(kind);
        ends.map(|(_, end)| end.port.to_string()).collect::<Vec<_>>().join(" + ")
    }

    /// Where a lead goes from one of its ends, in words: the other end, with a joint those that it flows to or from there.
    pub fn others(&self, leg: usize) -> String {
        let here = &self.ends[leg].port;
        let flows = |a: &PortRef, b: &PortRef| self.flows.iter().any(|(from, to)| from == a && to == b);
        // In the order of the ends, which is that of the letters.
        let there =
            self.ends.iter().map(|end| &end.port).filter(|port| flows(here, port) || flows(port, here));
        there.map(ToString::to_string).collect::<Vec<_>>().join(" + ")
    }

    /// What it joins in words: `A1.OUT to A2.IN`, `S.9 + S.10 to ECH.DC`.
    pub fn route_words(&self) -> String {
        let ends = format!("{} to {}", self.words_of(EndKind::From), self.words_of(EndKind::To));
        if self.through.is_empty() { ends } else { format!("{ends} {}", self.through_words()) }
    }

    /// The length from one end to another along it: both legs, or the whole of a plain lead.
    pub fn between(&self, from: &PortRef, to: &PortRef) -> Known<Length> {
        if !self.is_joined() {
            return self.cut;
        }
        let leg = |port: &PortRef| {
            self.ends.iter().position(|end| end.port == *port).map(|at| self.legs[at].cut).unwrap_or_default()
        };
        sum([leg(from), leg(to)])
    }
}

/// All of them together; unknown when one is.
pub(crate) fn sum(lengths: impl IntoIterator<Item = Known<Length>>) -> Known<Length> {
    let mut whole = Known::new(Length::ZERO, Provenance::Measured);
    for length in lengths {
        let Some(value) = length.value else { return Known::default() };
        whole = Known::new(whole.value.unwrap_or_default() + value, whole.from.max(length.from));
    }
    whole
}

/// Every lead in document order: runs first, then feeds.
pub(crate) fn leads(rig: &Rig, limits: &Limits, plain: Vec<rig::Lead>) -> Vec<Lead> {
    plain.into_iter().map(|lead| measured(rig, limits, lead)).collect()
}

fn measured(rig: &Rig, limits: &Limits, lead: rig::Lead) -> Lead {
    let joined = lead.is_joined();
    let name = lead.name();
    let outside = lead.brought.is_some()
        || lead.ends.iter().any(|end| rig.device(&end.port.device).is_some_and(|device| device.outside));
    let ends: Vec<LeadEndAt> = lead
        .ends
        .into_iter()
        .map(|end| LeadEndAt {
            port: end.port,
            kind: end.end,
            plug: end.plug,
            fitting: end.fitting,
            inner: end.inner,
            letter: leg_letter(end.letter),
        })
        .collect();
    let spec = lead.spec;
    let service = spec.as_ref().and_then(|spec| spec.service);
    let joint = spec.as_ref().and_then(|spec| spec.joint);
    let (straight, least, needed);
    let mut cut;
    let mut legs = Vec::new();
    if joined {
        let centre = centre(rig, &ends, joint);
        for (leg, end) in ends.iter().enumerate() {
            let extra = if leg == lead.trunk { service.unwrap_or(Length::ZERO) } else { Length::ZERO };
            let straight = line(point(rig, &end.port), centre, false);
            let cut_to = spec
                .as_ref()
                .and_then(|spec| spec.legs.iter().find(|(port, _)| *port == end.port))
                .map(|(_, cut)| *cut);
            let needed = estimate(limits, straight, &[end], IN_JOINT + extra);
            let cut = cut_to.map_or(needed, |cut| Known::new(cut, Provenance::Measured));
            let least = least_of(straight, &[end], IN_JOINT);
            legs.push(Leg { straight, least, needed, cut, made: cut_to.is_some() });
        }
        straight = sum(legs.iter().map(|leg| leg.straight));
        least = sum(legs.iter().map(|leg| leg.least));
        needed = sum(legs.iter().map(|leg| leg.needed));
        cut = sum(legs.iter().map(|leg| leg.cut));
    } else {
        let on_floor = ends.iter().any(|end| {
            let device = rig.device(&end.port.device);
            device.and_then(|d| d.place.as_ref()).is_some_and(|place| place.deck == FLOOR)
        });
        let both: Vec<&LeadEndAt> = ends.iter().collect();
        straight = line(point(rig, &ends[0].port), point(rig, &ends[1].port), on_floor);
        least = least_of(straight, &both, Length::ZERO);
        needed = estimate(limits, straight, &both, service.unwrap_or(Length::ZERO));
        cut = match (spec.as_ref().and_then(|spec| spec.cut), lead.brought) {
            (Some(cut), _) => Known::new(cut, Provenance::Measured),
            (None, Some(length)) => length,
            (None, None) => needed,
        };
    }
    // A lead that is fixed to its adaptor is as long as its maker made it.
    if lead.making == Making::Captive && !joined && spec.as_ref().is_none_or(|spec| spec.cut.is_none()) {
        cut = captive(rig, &ends).unwrap_or(cut);
    }
    let made = match &legs[..] {
        [] => spec.as_ref().is_some_and(|spec| spec.cut.is_some()),
        legs => legs.iter().all(|leg| leg.made),
    };
    Lead {
        tag: lead.tag,
        issued: lead.issued,
        run: lead.run,
        class: lead.class,
        shape: lead.shape,
        making: lead.making,
        flows: lead.flows,
        trunk: lead.trunk,
        legs,
        joint,
        name,
        cable: lead.cable,
        straight,
        least,
        needed,
        cut,
        ties: spec.as_ref().map(|spec| spec.ties.clone()).unwrap_or_default(),
        service,
        made,
        fitted: spec.as_ref().is_some_and(|spec| spec.fitted),
        laid: false,
        outside,
        through: lead.through,
        ends,
    }
}

/// The length of a captive lead as its adaptor has it, shortened or not.
fn captive(rig: &Rig, ends: &[LeadEndAt]) -> Option<Known<Length>> {
    let fed = ends.iter().find(|end| end.kind == EndKind::To)?;
    let adaptor = rig.device(&fed.port.device)?.feed.as_ref()?.adaptor.as_ref()?;
    // What nobody agreed to is not cut.
    match adaptor.shortened.filter(|_| adaptor.consent.is_some()) {
        Some(left) => Some(Known::new(left, Provenance::Measured)),
        None => Some(adaptor.lead).filter(|lead| !lead.is_unknown()),
    }
}

fn point(rig: &Rig, port: &PortRef) -> Option<[Length; 3]> {
    port_point(rig, rig.device(&port.device)?, &port.port)
}

/// Where the joint of a lead is counted until it is routed: where the document puts it, else in the middle of its ends,
/// axis by axis, which makes the legs along the axes shortest for three ends (median; Hanan 1966).
fn centre(rig: &Rig, ends: &[LeadEndAt], stated: Option<[Length; 2]>) -> Option<[Length; 3]> {
    let points: Vec<[Length; 3]> = ends.iter().map(|end| point(rig, &end.port)).collect::<Option<_>>()?;
    let middle = |axis: usize| {
        let mut along: Vec<Length> = points.iter().map(|point| point[axis]).collect();
        along.sort();
        let (low, high) = (along[(along.len() - 1) / 2], along[along.len() / 2]);
        low + (high - low).half()
    };
    Some(match stated {
        Some([x, y]) => [x, y, middle(2)],
        None => [middle(0), middle(1), middle(2)],
    })
}

fn line(a: Option<[Length; 3]>, b: Option<[Length; 3]>, on_floor: bool) -> Known<Length> {
    let (Some(a), Some(b)) = (a, b) else { return Known::default() };
    let square: f64 = (0..3).map(|axis| (a[axis] - b[axis]).as_mm()).map(|d| d * d).sum();
    let from = if on_floor { Provenance::Assumed } else { Provenance::Computed };
    Known::new(Length::from_mm_rounded(square.sqrt()), from)
}

/// Straight line times [`PULL`], plus the cable used up inside each plug, plus slack, rounded up.
fn estimate(limits: &Limits, straight: Known<Length>, ends: &[&LeadEndAt], extra: Length) -> Known<Length> {
    let Some(straight) = straight.value else { return Known::default() };
    let way = Length::from_mm_rounded(straight.as_mm() * PULL);
    let slack =
        limits.plug_allowance_least.max(Length::from_mm_rounded(way.as_mm() * limits.slack_share.get()));
    let inside = ends.iter().fold(Length::ZERO, |sum, end| sum + allowance(end));
    Known::new(round_up(way + inside + slack + extra, limits.cut_rounding), Provenance::Assumed)
}

fn allowance(end: &LeadEndAt) -> Length {
    end.plug.plug.as_ref().and_then(|plug| plug.allowance.value).unwrap_or(Length::ZERO)
}

fn least_of(straight: Known<Length>, ends: &[&LeadEndAt], extra: Length) -> Known<Length> {
    match straight.value {
        Some(value) => {
            let inside = ends.iter().fold(extra, |sum, end| sum + allowance(end));
            Known::new(value + inside, straight.from)
        }
        None => Known::default(),
    }
}

fn round_up(length: Length, step: Length) -> Length {
    if step <= Length::ZERO {
        return length;
    }
    let steps = (length.nm() + step.nm() - 1).div_euclid(step.nm());
    Length::from_nm(steps.saturating_mul(step.nm()))
}

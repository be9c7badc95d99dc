//! What the routing is asked: bodies, leads with their ends, and the rules of dressing. Plain data, in millimetres.

use rig::LeadClass;

/// A place or a direction in the board's frame, millimetres.
pub type Point = [f64; 3];

/// Something that a lead has to go around.
#[derive(Debug, Clone, PartialEq)]
pub struct Body {
    /// Left, front, bottom.
    pub low: Point,
    /// Right, back, top.
    pub high: Point,
    /// What it is: `body`, `plug`, `sheet`…
    pub what: &'static str,
    /// Whose it is, for people.
    pub owner: String,
    /// The height up to which leads keep off its top; the top itself where they may lie on it.
    pub keep_off: f64,
}

/// One end of a lead: where the cable leaves the plug.
#[derive(Debug, Clone, PartialEq)]
pub struct End {
    /// The port.
    pub port: String,
    /// Where the cable leaves.
    pub at: Point,
    /// The direction it leaves in, one axis.
    pub out: Point,
    /// What it must run straight before it bends.
    pub straight_mm: f64,
    /// Cable used up in the plug; `None` when there is no plug yet.
    pub allowance_mm: Option<f64>,
    /// The plug's catalogue id, `soldered`, or `None` while it is open.
    pub plug: Option<String>,
    /// Where the cable leaves an angled plug, as the cut list says it.
    pub exit: Option<&'static str>,
    /// Whether plug or exit is a proposal of ours and not the document's word.
    pub proposed: bool,
    /// The other ways its plug may be turned, where that is ours to choose.
    pub turns: Vec<Turn>,
    /// Extra cable that stays at this end so that the device can be taken out.
    pub service_mm: f64,
    /// Capacitance of the plug.
    pub plug_pf: f64,
    /// Width of the finished plug; nought where there is none.
    pub plug_width_mm: f64,
    /// The bodies that are its own plug, as places in [`Input::bodies`].
    pub bodies: Vec<usize>,
}

/// A way that the cable may leave a plug.
#[derive(Debug, Clone, PartialEq)]
pub struct Turn {
    /// Where the cable leaves.
    pub at: Point,
    /// The direction it leaves in, one axis.
    pub out: Point,
    /// What it must run straight before it bends.
    pub straight_mm: f64,
    /// The exit, as the cut list says it.
    pub exit: Option<&'static str>,
}

/// A lead to be laid.
#[derive(Debug, Clone, PartialEq)]
pub struct Wanted {
    /// Its number on labels; of a leg the number with its letter.
    pub id: String,
    /// The lead that it is a leg of, when that has a joint; then `to` is the joint.
    pub leg_of: Option<String>,
    /// What it carries.
    pub class: LeadClass,
    /// Where it comes from.
    pub from: End,
    /// Where it goes to.
    pub to: End,
    /// Its cable, when decided.
    pub cable: Option<String>,
    /// Diameter of the cable.
    pub diameter_mm: f64,
    /// The least radius it may be bent to.
    pub radius_mm: f64,
    /// Capacitance of one metre, when known.
    pub pf_per_m: Option<f64>,
    /// Resistance of one metre of core, when known.
    pub ohm_per_m: Option<f64>,
    /// Clocking of the two plugs in words of the cut list, when it was worked out.
    pub clocking: Option<String>,
    /// Extra cable for a hinge that it crosses.
    pub hinge_mm: f64,
    /// What it was cut to, when it is made already.
    pub made_mm: Option<f64>,
    /// Tie points that it passes over, in order, seen from above.
    pub ties: Vec<[f64; 2]>,
}

impl Wanted {
    /// Cable that is no part of its way: in plugs and joint, beside a device, for a hinge.
    pub(crate) fn taken_mm(&self) -> f64 {
        let ends = [&self.from, &self.to];
        let taken = ends.map(|end| end.allowance_mm.unwrap_or(0.0) + end.service_mm);
        taken[0] + taken[1] + self.hinge_mm
    }

    /// Whether it is long enough for a way of this length; one that is not made yet is made as long as it has to be.
    pub(crate) fn reaches(&self, way_mm: f64) -> bool {
        self.made_mm.is_none_or(|made| way_mm + self.taken_mm() <= made + 1e-6)
    }
}

/// A lead that cannot be laid, and what is missing.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Unlaid {
    /// Its number.
    pub id: String,
    /// What it lacks, for people.
    pub why: String,
}

/// A hole that leads pass through.
#[derive(Debug, Clone, PartialEq)]
pub struct Hole {
    /// Deck and name.
    pub name: String,
    /// Left, front, bottom.
    pub low: Point,
    /// Right, back, top.
    pub high: Point,
}

/// How leads are dressed. Every figure is common practice, no source, unless it says otherwise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rules {
    /// Least bend radius in diameters of the cable, for leads that are fixed once.
    pub radius_times: f64,
    /// Step of the grid that ways are sought on.
    pub pitch_mm: f64,
    /// Signal and DC nearer than this count as side by side.
    pub apart_dc_mm: f64,
    /// Signal and mains nearer than this count as side by side.
    pub apart_mains_mm: f64,
    /// How long two leads may run side by side.
    pub parallel_mm: f64,
    /// Rounds in which all leads that are in the way of others are laid anew at once.
    pub rounds: u32,
    /// Least slack of a lead.
    pub slack_mm: f64,
    /// Slack as a share of the route.
    pub slack_share: f64,
    /// Step that cut lengths are rounded up to.
    pub rounding_mm: f64,
}

impl Rules {
    /// The customs of the trade: bends of four diameters, signal 20 mm off DC and 50 mm off mains over 100 mm.
    pub const fn customary() -> Self {
        Self {
            radius_times: 4.0,
            pitch_mm: 20.0,
            apart_dc_mm: 20.0,
            apart_mains_mm: 50.0,
            parallel_mm: 100.0,
            rounds: 2,
            slack_mm: 25.0,
            slack_share: 0.10,
            rounding_mm: 5.0,
        }
    }
}

/// Everything the routing looks at.
#[derive(Debug, Clone, PartialEq)]
pub struct Input {
    /// What is in the way.
    pub bodies: Vec<Body>,
    /// The leads.
    pub leads: Vec<Wanted>,
    /// Leads that cannot be laid.
    pub unlaid: Vec<Unlaid>,
    /// Holes of the decks.
    pub holes: Vec<Hole>,
    /// Where decks are, seen from above: left, front, right, back.
    pub decks: Vec<[f64; 4]>,
    /// The space leads may use: left, front, bottom.
    pub low: Point,
    /// Right, back, top.
    pub high: Point,
    /// The rules.
    pub rules: Rules,
}

impl Input {
    /// Whether a place seen from above lies over a deck.
    pub(crate) fn is_over_a_deck(&self, [x, y]: [f64; 2]) -> bool {
        self.decks.iter().any(|deck| deck[0] <= x && x <= deck[2] && deck[1] <= y && y <= deck[3])
    }

    /// An empty board of this size, with its deck's surface at height 0 and room of 100 mm above it.
    pub fn empty(width_mm: f64, depth_mm: f64, rules: Rules) -> Self {
        Self {
            bodies: Vec::new(),
            leads: Vec::new(),
            unlaid: Vec::new(),
            holes: Vec::new(),
            decks: vec![[0.0, 0.0, width_mm, depth_mm]],
            low: [-60.0, -60.0, 0.0],
            high: [width_mm + 60.0, depth_mm + 60.0, 100.0],
            rules,
        }
    }
}

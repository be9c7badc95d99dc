//! What `boardwright leads --format json` prints, as types: lengths are millimetres on the board's frame.
//!
//! [`json()`](crate::json()) fills them. `docs/schema/leads-1.schema.json` is made from them.

use schemars::JsonSchema;
use serde::Serialize;

use crate::input::Point;

/// Every lead on its route, with all that is needed to judge it, and the cut plan.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Leads<'a> {
    /// Name and version of this form.
    #[schemars(extend("const" = Leads::SCHEMA))]
    pub schema: &'static str,
    /// The leads that are laid, by class and number.
    pub leads: Vec<Lead<'a>>,
    /// Leads for which no route was found.
    pub failed: Vec<Without<'a>>,
    /// Leads that cannot be laid because something is not known.
    pub unlaid: Vec<Without<'a>>,
    /// What leads run around.
    pub obstacles: Vec<Obstacle<'a>>,
    /// Leads side by side of classes that ought to be apart.
    pub separations: Vec<Separation<'a>>,
    /// Where leads cross that ought to be apart.
    pub crossings: Vec<Crossing<'a>>,
    /// Leads that run together for a good part of their route.
    pub looms: Vec<Loom<'a>>,
    /// What passes the holes of the decks.
    pub passages: Vec<Passage<'a>>,
    /// How leads are dressed.
    pub rules: Rules,
    /// Reels and offcuts that pieces may be cut from.
    pub stock: Vec<Stock<'a>>,
    /// The cuts in their order.
    pub cut_plan: Vec<Cut<'a>>,
    /// Cable that each cut takes, mm.
    pub kerf_mm: i64,
    /// Cable off reels, over all cables, mm.
    pub fresh_mm: i64,
    /// What `fresh_mm` cannot go below, mm.
    pub fresh_bound_mm: i64,
    /// Cable that is of no use afterwards, mm.
    pub waste_mm: i64,
    /// What `waste_mm` cannot go below, mm.
    pub waste_bound_mm: i64,
    /// Reels that are cut into, where each of them ends; zero where one is endless.
    pub reels_cut: usize,
    /// What `reels_cut` cannot go below.
    pub reels_bound: usize,
}

impl Leads<'_> {
    /// Name and version of the form; the version changes when a key changes its meaning.
    pub const SCHEMA: &'static str = "boardwright.leads.1";
}

/// A lead, or a leg of one that has a joint, on its route.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Lead<'a> {
    /// Its number; of a leg the number with its letter.
    pub id: &'a str,
    /// The lead that it is a leg of; `to` is then the joint.
    pub leg_of: Option<&'a str>,
    /// What it carries, in a word.
    pub class: &'static str,
    /// The port it comes from, as `TAG.PORT`.
    pub from: &'a str,
    /// The port it goes to, as `TAG.PORT`.
    pub to: &'a str,
    /// Catalogue id of the cable; null while it is open.
    pub cable: Option<&'a str>,
    /// Diameter of the cable, mm.
    pub diameter_mm: f64,
    /// The corners of the route from plug to plug, mm: straight between two, bent at each.
    pub path_mm: Vec<Point>,
    /// The radius of the bend at each inner corner, mm.
    pub bends_mm: Vec<f64>,
    /// The sharpest bend, mm, rounded down to a millionth.
    pub radius_mm: f64,
    /// The least radius that the cable may be bent to, mm.
    pub wanted_radius_mm: f64,
    /// The sharpest bend, mm, to a thousandth.
    pub tightest_mm: f64,
    /// How the cable leaves the plug, at `from` and at `to`.
    pub exit: [Exit<'a>; 2],
    /// Tie points that it passes over, in order, as x and y in mm.
    pub ties_mm: &'a [[f64; 2]],
    /// Length of the route with its arcs, mm.
    pub route_mm: f64,
    /// Cable used up in the plug at `from` and at `to`, mm; null while there is no plug.
    pub allowance_mm: [Option<f64>; 2],
    /// Slack, mm.
    pub slack_mm: f64,
    /// Extra cable for service and hinge, mm.
    pub service_mm: f64,
    /// Length to cut, mm, rounded up.
    pub cut_mm: f64,
    /// The plugs at `from` and at `to`.
    pub plugs: [Plug<'a>; 2],
    /// How the second plug is turned against the first, in words of the cut list; null where it was not worked out.
    pub clocking: Option<&'a str>,
    /// Capacitance by length and plugs, pF; null where that of the cable is unknown.
    pub capacitance_pf: Option<f64>,
    /// Resistance of one core, ohm; null where that of the cable is unknown.
    pub resistance_ohm: Option<f64>,
    /// The loom that it belongs to, from 1.
    pub loom: Option<usize>,
    /// The batch that it is made in, from 1.
    pub batch: usize,
    /// Whether this is a quick answer and not the canonical one.
    pub estimated: bool,
    /// What a lead that is made already has to spare, mm; below zero it does not reach.
    pub spare_mm: Option<f64>,
}

/// How a cable leaves its plug.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Exit<'a> {
    /// Where the cable leaves, mm.
    pub at_mm: Point,
    /// The direction it leaves in: a vector of length 1 along one axis.
    pub direction: Point,
    /// What it must run straight before it bends, mm.
    pub straight_mm: f64,
    /// The obstacles that it may touch there, as places in `obstacles` from 0: its own plug, and the wall it leaves.
    pub own_obstacles: &'a [usize],
}

/// A plug of a lead.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Plug<'a> {
    /// Its catalogue id, or `soldered`; null while it is open.
    pub plug: Option<&'a str>,
    /// The way the cable leaves an angled plug.
    pub exit: Option<&'static str>,
    /// Whether plug or exit is a proposal and not what the document says.
    pub proposed: bool,
}

/// A lead without a route.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Without<'a> {
    /// Its number.
    pub id: &'a str,
    /// Why, in words.
    pub why: &'a str,
}

/// A box that leads run around.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Obstacle<'a> {
    /// What it is, in a word.
    pub what: &'static str,
    /// The device, port or part of the board that it belongs to.
    pub owner: &'a str,
    /// Its corner with the least x, y and z, mm.
    pub low_mm: Point,
    /// Its corner with the greatest x, y and z, mm.
    pub high_mm: Point,
    /// How far the surface of a cable keeps off it, mm.
    pub keep_off_mm: f64,
}

/// Two leads side by side.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Separation<'a> {
    /// Their numbers.
    pub leads: [&'a str; 2],
    /// The least distance between their centres, mm.
    pub distance_mm: f64,
    /// How far they run side by side, nearer than wanted, mm.
    pub parallel_mm: f64,
    /// The distance wanted, mm.
    pub wanted_mm: f64,
}

/// Two leads that cross, seen from above.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Crossing<'a> {
    /// Their numbers.
    pub leads: [&'a str; 2],
    /// The angle between their directions, degrees, 90 at best.
    pub angle_deg: f64,
    /// Where, on the route of the first, mm.
    pub at_mm: Point,
}

/// Leads that are tied together.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Loom<'a> {
    /// Its number, from 1.
    pub number: usize,
    /// What its leads carry, in a word.
    pub class: &'static str,
    /// Their numbers.
    pub leads: &'a [String],
    /// Length of the trunk, mm.
    pub trunk_mm: f64,
    /// How each lead lies on the trunk.
    pub members: Vec<LoomLead<'a>>,
    /// Where leads leave the trunk.
    pub breakouts: Vec<Breakout<'a>>,
}

/// A lead on the trunk of a loom.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct LoomLead<'a> {
    /// Its number.
    pub lead: &'a str,
    /// Where it joins the trunk and where it leaves it, from the beginning of the trunk, mm.
    pub on_trunk_mm: [f64; 2],
    /// What of its route lies before it joins and after it leaves, mm.
    pub tails_mm: [f64; 2],
}

/// Where a lead leaves the trunk of its loom.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Breakout<'a> {
    /// Its number.
    pub lead: &'a str,
    /// The place, mm.
    pub at_mm: Point,
}

/// What passes a hole.
#[derive(Debug, Clone, PartialEq, Serialize, JsonSchema)]
pub struct Passage<'a> {
    /// Deck and name of the hole.
    pub hole: &'a str,
    /// Numbers of the leads that pass it.
    pub leads: &'a [String],
    /// Area of the cables over the area of the hole, from 0; above 1 they do not go in.
    pub fill_ratio: f64,
    /// Leads whose finished plugs do not go through at either end.
    pub too_wide: &'a [String],
}

/// How leads are dressed.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, JsonSchema)]
pub struct Rules {
    /// Least bend radius in diameters of the cable.
    pub radius_diameters: f64,
    /// Signal and DC nearer than this count as side by side, mm.
    pub apart_dc_mm: f64,
    /// Signal and mains nearer than this count as side by side, mm.
    pub apart_mains_mm: f64,
    /// How long two leads may run side by side, mm.
    pub parallel_mm: f64,
    /// Least slack of a lead, mm.
    pub slack_mm: f64,
    /// Slack as a share of the route, from 0 to 1.
    pub slack_share: f64,
    /// Step that cut lengths are rounded up to, mm.
    pub rounding_mm: f64,
}

/// A reel or offcut.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Stock<'a> {
    /// Catalogue id of the cable; null while it is open.
    pub cable: Option<&'a str>,
    /// What it is called.
    pub id: &'a str,
    /// What is left of it, mm; null where that is not known.
    pub length_mm: Option<i64>,
    /// Whether it is a reel and not an offcut.
    pub reel: bool,
}

/// One piece cut from stock.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, JsonSchema)]
pub struct Cut<'a> {
    /// Catalogue id of the cable; null while it is open.
    pub cable: Option<&'a str>,
    /// The lead that the piece is for.
    pub lead: &'a str,
    /// Length of the piece, mm.
    pub piece_mm: i64,
    /// The reel or offcut that it comes from.
    pub source: &'a str,
    /// Where the piece begins on it, mm from the end.
    pub offset_mm: i64,
}

//! What came of it.

use rig::LeadClass;

use crate::input::Point;

/// A lead that is laid.
#[derive(Debug, Clone, PartialEq)]
pub struct Laid {
    /// Its number; the place in [`Input::leads`](crate::Input::leads) is [`Laid::lead`].
    pub id: String,
    /// The place in the input's list.
    pub lead: usize,
    /// The corners of its way, from plug to plug. Between two corners it runs straight, at each it is bent.
    pub path: Vec<Point>,
    /// The radius it is bent to at each inner corner.
    pub radii: Vec<f64>,
    /// The length of the way with its arcs.
    pub route_mm: f64,
    /// The sharpest bend; the wanted radius where there is none.
    pub tightest_mm: f64,
    /// Slack.
    pub slack_mm: f64,
    /// Extra cable for service and hinge.
    pub service_mm: f64,
    /// Cut length, rounded up.
    pub cut_mm: f64,
    /// Capacitance by length and plugs, when the cable's is known.
    pub capacitance_pf: Option<f64>,
    /// Resistance of one core, when the cable's is known.
    pub resistance_ohm: Option<f64>,
    /// The loom it belongs to, from 1.
    pub loom: Option<usize>,
    /// The batch it is made in, from 1.
    pub batch: usize,
    /// Whether it is a quick answer and not the canonical one.
    pub estimated: bool,
    /// What a lead that is made already has to spare; below nought it does not reach.
    pub spare_mm: Option<f64>,
}

/// Two leads of classes that dislike each other, side by side.
#[derive(Debug, Clone, PartialEq)]
pub struct Near {
    /// The one.
    pub one: String,
    /// The other.
    pub other: String,
    /// The least distance between their centres.
    pub distance_mm: f64,
    /// How far they run side by side, nearer than wanted.
    pub parallel_mm: f64,
    /// The distance wanted.
    pub wanted_mm: f64,
}

/// Where two leads that ought to be apart cross, seen from above.
#[derive(Debug, Clone, PartialEq)]
pub struct Crossing {
    /// The one.
    pub one: String,
    /// The other.
    pub other: String,
    /// The angle between their directions, 90 at best.
    pub angle_deg: f64,
    /// Where, on the way of the one.
    pub at: Point,
}

/// Leads that run together for a good part of their way.
#[derive(Debug, Clone, PartialEq)]
pub struct Loom {
    /// Its number, from 1.
    pub number: usize,
    /// What its leads carry.
    pub class: LeadClass,
    /// The leads.
    pub leads: Vec<String>,
    /// The length of the trunk: along the lead that runs with others farthest.
    pub trunk_mm: f64,
    /// How each lead lies on the trunk.
    pub members: Vec<LoomLead>,
    /// Where leads leave the trunk, farthest place of each lead on it.
    pub breakouts: Vec<(String, Point)>,
}

/// One lead of a loom, as the board that looms are tied on needs it.
#[derive(Debug, Clone, PartialEq)]
pub struct LoomLead {
    /// The lead.
    pub id: String,
    /// Where it joins the trunk and where it leaves it, from the trunk's beginning; the lead's own direction.
    pub on_trunk_mm: [f64; 2],
    /// What of its way lies before it joins, and after it leaves.
    pub tails_mm: [f64; 2],
}

/// What passes a hole.
#[derive(Debug, Clone, PartialEq)]
pub struct Passing {
    /// Deck and name of the hole.
    pub hole: String,
    /// The leads.
    pub leads: Vec<String>,
    /// Area of the cables over the area of the hole.
    pub fill: f64,
    /// Leads whose finished plugs do not go through at either end: they are pulled through before they are soldered.
    pub too_wide: Vec<String>,
}

/// A lead for which no way was found, and what is in its way.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Failed {
    /// Its number.
    pub id: String,
    /// Why, for people.
    pub why: String,
}

/// The answer.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Outcome {
    /// The leads, in the order of class and id.
    pub leads: Vec<Laid>,
    /// Those without a way.
    pub failed: Vec<Failed>,
    /// Leads side by side that ought not to be.
    pub near: Vec<Near>,
    /// Where leads cross that ought to be apart, nearer than wanted.
    pub crossings: Vec<Crossing>,
    /// Looms.
    pub looms: Vec<Loom>,
    /// Fill of the holes.
    pub passing: Vec<Passing>,
}

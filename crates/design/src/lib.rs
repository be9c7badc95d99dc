//! What follows from a rig, with nothing chosen in passing.
//!
//! [`derive()`] is a pure function: the same rig and limits give the same [`Design`]. Where the document
//! leaves something open (a plug, a feed, a place) the design leaves it open too; choosing is a proposal
//! that becomes an edit when the builder takes it.

mod balance;
mod bill;
mod carried;
mod clock;
mod cutting;
mod engines;
mod estimate;
mod exercise;
mod faults;
pub mod given;
mod insert;
mod label;
mod lead;
mod load;
mod making;
mod mass;
mod measured;
mod numbered;
mod numbers;
mod order;
mod panel;
mod recorded;
mod resolved;
mod rests;
mod routes;
mod shields;
mod since;
mod sleeve;
mod sockets;
mod tie;
mod trial;
mod wiring;
mod work;

pub use ::estimate::{Amount, BillGroup};
pub use balance::{Balance, balance};
pub use bill::{
    BillLine, CABLE_WASTE_PERCENT, PLUGS_PER_SPARE, bill, is_brought, is_fastener, solder_of, spans, ties_of,
    with_waste,
};
pub use clock::{Clocking, clocking};
pub use cutting::{
    CutLead, KEEP_MM, KERF_MM, Shelf, Stock, booked, cable_title, cut_by, cut_edit, cut_plans, forgotten,
    recut, said_cut, said_open,
};
pub use estimate::{choices, fastener_needs, needs, needs_from, quote, terms};
pub use exercise::{Exercise, exercise, recorded_states};
pub use faults::{ALL_ON, heard_sinks};
pub use insert::{Break, CASES, Heard, InsertTable, Plugged, breaks, heard, insert_tables};
pub use label::{Label, LabelKind, labels, outlet_words, tag_words};
pub use lead::{IN_JOINT, Lead, LeadEndAt, Leg, PULL};
pub use load::{FeedState, OutletLoad, drop_length, feed_state, outlet_loads};
pub use making::{
    Batch, END_CAPTIVE, END_OPEN, END_SOLDERED, END_TERMINALS, PLUG_CAPACITANCE, Strip, batches,
    conductor_capacitances, end_words, lead_capacitance, lead_resistance, strip,
};
pub use mass::{Mass, MassItem, travel_mass};
pub use measured::{
    Answer, Kept, Passes, Reads, SIGNATURE, TestRecord, TestRow, TestState, Tested, Verdict, recorded_rows,
    test_rows,
};
pub use numbers::{Renumbered, Renumbering, issue_edit, renumber, retire_edit};
pub use order::rates::on_built;
pub use order::{
    AtHand, Building, Deciding, Deed, Hand, Stage, Step, Undo, Unreached, building, building_after,
    install_order, work_order,
};
pub use panel::{CutOut, Fixing, Hole, PILOT, Plate, RoundHole, plates};
pub use recorded::{RecordedOf, recorded_row};
pub use resolved::wire::RESOLVED_SCHEMA;
pub use resolved::{resolved, wire};
pub use rests::rests_on;
pub use rig::{LeadShape, Making};
pub use routes::{Routes, spare};
pub use shields::{Unsaid, judged};
pub use since::{LeadFate, Since, since};
pub use sleeve::{Colour, DIGITS, sleeves};
pub use sockets::{kept_free, socket_words};
pub use tie::tied;
pub use trial::{Expected, TestLine, TestPart, heard_words, tests};
pub use wiring::{Conductor, Contact, Wire, conductors, wiring};
pub use work::acts;

use rig::geometry::{Conflict, LeadEnd, Solids, conflicts, ends_of, solids_with};
use rig::{Limits, Rig};

/// Everything that follows from one rig under one set of limits.
#[derive(Debug, Clone)]
pub struct Design {
    /// The rig it follows from.
    pub rig: Rig,
    /// The limits in force.
    pub limits: Limits,
    /// Every lead end that sits in a port of a device, in document order.
    pub ends: Vec<LeadEnd>,
    /// The boxes of every thing.
    pub solids: Solids,
    /// The boxes that are too near each other.
    pub conflicts: Vec<Conflict>,
    /// Every lead, signal and control first, then power.
    pub leads: Vec<Lead>,
    /// What hangs on each outlet that feeds something.
    pub outlets: Vec<OutletLoad>,
    /// Masses and their sums.
    pub mass: Mass,
    /// What the engines say, found when first asked for.
    engines: engines::Engines,
}

/// Derives the design.
pub fn derive(rig: Rig, limits: Limits) -> Design {
    let plain = rig::leads(&rig);
    let ends: Vec<LeadEnd> = ends_of(&plain).cloned().collect();
    let solids = solids_with(&rig, &limits, &ends);
    let conflicts = conflicts(&solids.boxes, &limits);
    let leads = lead::leads(&rig, &limits, plain);
    let outlets = outlet_loads(&rig);
    let mass = mass::mass(&rig);
    Design {
        rig,
        limits,
        ends,
        solids,
        conflicts,
        leads,
        outlets,
        mass,
        engines: engines::Engines::default(),
    }
}

//! A rig as the trade sees it.
//!
//! [`Rig`] is one job, resolved: every device with its kind's values filled in and overridden, every
//! run as a list of ports, every value with its [`Provenance`]. Engines and checks read it; nothing
//! in this crate knows a file, a screen or a solver.
//!
//! [`geometry`] makes the boxes of every thing on the board. It is the only place that does, so that
//! drawing, check and solver cannot disagree. [`Limits`] holds the workshop's thresholds.

#[macro_use]
mod words;

mod at_volts;
mod board;
mod connection;
mod device;
mod ends;
pub mod geometry;
mod given;
mod job;
mod lead;
mod limits;
mod port;
mod power;
mod quote;
mod run;
mod supplied;
mod switching;
pub mod way;
mod wish;
mod wish_words;

pub use at_volts::AtVolts;
pub use board::{Board, Case, Deck, Direction, FLOOR, Hinge, Lid, Passage, Rail, Rect, Riser};
pub use connection::{Lead, LeadShape, Making, leads};
pub use device::{
    Bypass, Control, Device, Fasten, FastenKind, HookSide, Midi, Place, Role, Signal, Size, Switch,
};
pub use ends::{Pickup, PickupKind, Sink, Source};
pub use given::{Known, Provenance};
pub use job::{Acceptance, Brief, Job, Mains, Moment, PluggedIn, Requirement, State};
pub use lead::{Cable, Exit, GONE_END, LeadClass, LeadSpec, PlugAngle, PlugKind, PlugSpec};
pub use limits::{LIMITS, Limit, LimitValue, Limits};
pub use port::{
    Connector, ConnectorFamily, Face, Fitting, Flow, Insert, InsertWiring, Loop, MidiJack, Normal, Port,
    PortRole, Wiper,
};
pub use power::{
    Adaptor, Bank, Class, Feed, FeedKind, Held, Isolation, Lie, MainsHertz, Nature, Outlet, PowerNeed,
    Setting, Sign,
};
pub use quote::{QuoteOption, QuoteTerms};
pub use run::{Carries, PortRef, Purpose, Run, Stop};
pub use supplied::{InForce, SUPPLY_NEAR};
pub use switching::{Switching, SwitchingWay};
pub use wish::{Frequency, Named, Spot, Wish};
pub use words::Word;

/// One job, resolved.
#[derive(Debug, Clone, Default)]
pub struct Rig {
    /// Title block and what the client wants.
    pub job: Job,
    /// Requirements and circumstances.
    pub brief: Brief,
    /// What is plugged in: guitars, microphones, receivers that stand outside.
    pub sources: Vec<Source>,
    /// What it feeds: amps, desks.
    pub sinks: Vec<Sink>,
    /// The carrier.
    pub board: Board,
    /// Everything with ports that is placed or stands outside, in document order.
    pub devices: Vec<Device>,
    /// Signal and control ways, in document order.
    pub runs: Vec<Run>,
    /// Cable of leads that neither run nor lead says more of, by what they carry.
    pub cables: std::collections::BTreeMap<LeadClass, Cable>,
    /// Plug of leads that neither run, feed nor lead says more of, by what they carry.
    pub plugs: std::collections::BTreeMap<LeadClass, PlugKind>,
    /// What the document says of single leads.
    pub leads: Vec<LeadSpec>,
    /// Numbers of leads that were issued and are gone: labels bear them still, so no other lead gets them.
    pub retired: Vec<String>,
    /// The named switching states that the player uses.
    pub states: Vec<State>,
    /// What one switch works together, and what is on one at a time.
    pub switching: Vec<Switching>,
    /// The moments of songs where states change.
    pub moments: Vec<Moment>,
    /// The ways the board is used; where none is said, everything may be plugged in at once.
    pub uses: Vec<PluggedIn>,
    /// Findings the builder answers for.
    pub acceptances: Vec<Acceptance>,
    /// What the job says of its quote.
    pub quote: QuoteTerms,
    /// Mass of things not modelled one by one (leads, mains parts), by name.
    pub extra_mass: Vec<(String, Known<quantity::Grams>)>,
}

impl Rig {
    /// The device that a brick feeds as its own adaptor, when it is one: it feeds nothing else.
    ///
    /// The maker matched the two, so what is asked of bricks is not asked of it.
    pub fn own_adaptor_of(&self, brick: &Device) -> Option<&Device> {
        let mut fed = self.devices.iter().filter_map(|device| {
            let feed = device.feed.as_ref()?;
            feed.outlets.iter().any(|outlet| outlet.device == brick.tag).then_some((device, feed))
        });
        let (device, feed) = fed.next()?;
        let is_alone = fed.next().is_none();
        let gives_low =
            brick.outlets.iter().any(|outlet| feed.outlets.iter().any(|at| at.port == outlet.name));
        (is_alone && gives_low && feed.kind == FeedKind::Adaptor).then_some(device)
    }

    /// The devices in the order of their tags, as a person counts: `D2` before `D10`.
    ///
    /// For what must not depend on where in the document a device happens to stand.
    pub fn by_tag(&self) -> Vec<&Device> {
        let mut devices: Vec<&Device> = self.devices.iter().collect();
        devices.sort_by(|a, b| tag_order(&a.tag, &b.tag));
        devices
    }

    /// The device with this tag.
    pub fn device(&self, tag: &str) -> Option<&Device> {
        self.devices.iter().find(|device| device.tag == tag)
    }

    /// Whether a device, a source or a sink goes by this name.
    pub fn has_name(&self, name: &str) -> bool {
        self.device(name).is_some() || self.source(name).is_some() || self.sink(name).is_some()
    }

    /// The port a reference names.
    pub fn port(&self, port: &PortRef) -> Option<&Port> {
        self.device(&port.device)?.port(&port.port)
    }

    /// The source with this id.
    pub fn source(&self, id: &str) -> Option<&Source> {
        self.sources.iter().find(|source| source.id == id)
    }

    /// The sink with this id.
    pub fn sink(&self, id: &str) -> Option<&Sink> {
        self.sinks.iter().find(|sink| sink.id == id)
    }
}

/// Tags in the order in which a person counts: figures by what they are worth, the rest letter by letter.
pub fn tag_order(a: &str, b: &str) -> std::cmp::Ordering {
    pieces(a).cmp(&pieces(b)).then_with(|| a.cmp(b))
}

/// A tag as pieces that compare as they should: each run of figures by its length without leading zeros, then itself.
fn pieces(tag: &str) -> Vec<(usize, &str)> {
    let mut pieces = Vec::new();
    let mut rest = tag;
    while let Some(first) = rest.chars().next() {
        let is_figure = first.is_ascii_digit();
        let end = rest.find(|c: char| c.is_ascii_digit() != is_figure).unwrap_or(rest.len());
        let (piece, after) = rest.split_at(end);
        let worth = piece.trim_start_matches('0');
        pieces.push(if is_figure { (worth.len() + 1, worth) } else { (0, piece) });
        rest = after;
    }
    pieces
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn tags_are_ordered_as_a_person_counts() {
        let mut tags = vec!["SUP", "D10", "D2", "C3", "D02", "A1B12", "A1B2", "D0"];
        tags.sort_by(|a, b| tag_order(a, b));
        assert_eq!(tags, ["A1B2", "A1B12", "C3", "D0", "D02", "D2", "D10", "SUP"]);
    }
}

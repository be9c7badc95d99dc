//! What the engine is given: a rig, the lengths of its leads, how things are set, and figures to assume.

use std::collections::BTreeMap;

use quantity::Length;
use rig::geometry::EndKind;
use rig::{Known, PortRef, Rig, State};

/// One lead with its length, as routes or estimates give it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct LeadLength {
    /// The port it comes from.
    pub from: PortRef,
    /// The port it goes to.
    pub to: PortRef,
    /// Its length, cut or estimated.
    pub length: Known<Length>,
}

/// How the controls of a guitar stand, and what is known of its coil beyond the catalogue.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Controls {
    /// Volume as the share of its resistance below the wiper, 0 to 1.
    pub volume: f64,
    /// Tone as the share of its resistance left in series with the capacitor, 0 to 1.
    pub tone: f64,
    /// Eddy loss of the coil: the share of its inductance that has a loss across it, and that loss in ohms.
    /// The split is that of the models fitted to measured pickups. `[src:LEMME-TABLE]`
    pub eddy: Option<(f64, f64)>,
}

impl Default for Controls {
    /// Everything full up, no eddy loss known.
    fn default() -> Self {
        Self { volume: 1.0, tone: 1.0, eddy: None }
    }
}

/// A place for a buffer: in a lead, at one of its ends.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct BufferPlace {
    /// The port the lead comes from.
    pub from: PortRef,
    /// The port the lead goes to.
    pub to: PortRef,
    /// The end it sits at.
    pub at: EndKind,
}

impl std::fmt::Display for BufferPlace {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self.at {
            EndKind::From => write!(f, "after {}", self.from),
            EndKind::To => write!(f, "before {}", self.to),
        }
    }
}

/// A snapshot of everything the engine looks at.
#[derive(Debug, Clone)]
pub struct Input<'a> {
    /// The rig.
    pub rig: &'a Rig,
    /// The lengths of its signal leads.
    pub leads: Vec<LeadLength>,
    /// Controls by the name of the source; full up where none is given.
    pub controls: BTreeMap<String, Controls>,
    /// Travel of passive volume pedals by tag, as the share of resistance below the wiper; full where none is given.
    pub travel: BTreeMap<String, f64>,
    /// Tags (or `TAG.loop`) that one switch works together.
    pub together: Vec<Vec<String>>,
    /// Tags (or `TAG.loop`) of which at most one is on.
    pub exclusive: Vec<Vec<String>>,
    /// States to answer for besides those the rig names.
    pub states: Vec<State>,
    /// Buffers tried in leads.
    pub buffers: Vec<BufferPlace>,
}

impl<'a> Input<'a> {
    /// A rig with the lengths of its leads, everything else at its usual.
    pub fn new(rig: &'a Rig, leads: Vec<LeadLength>) -> Self {
        Self {
            rig,
            leads,
            controls: BTreeMap::new(),
            travel: BTreeMap::new(),
            together: Vec::new(),
            exclusive: Vec::new(),
            states: Vec::new(),
            buffers: Vec::new(),
        }
    }
}

/// Figures to assume where the document says nothing, and limits for advice.
///
/// All defaults are common practice, no source, unless marked.
#[derive(Debug, Clone, PartialEq)]
pub struct Config {
    /// Input impedance of a device in ohms.
    pub device_input: f64,
    /// Output impedance of a device in ohms.
    pub device_output: f64,
    /// Resistance of a transformer's winding at its output in ohms.
    pub winding: f64,
    /// Input impedance of an amp or desk in ohms.
    pub sink_input: f64,
    /// Resistance of a switch contact or a normal in ohms.
    pub contact: f64,
    /// Stray capacitance of a device's jacks, switch and wiring in farads, half of it on each side.
    pub stray: f64,
    /// The same with a relay, a few picofarads more.
    pub relay_stray: f64,
    /// Capacitance of a metre of cable in farads. `[src:POTEG-9.4]`: 100 pF ±30 %.
    pub cable_capacitance: f64,
    /// Resistance of a metre of core in ohms: AWG 24. `[src:ASTM-B258]`
    pub cable_resistance: f64,
    /// Capacitance of one plug in its jack in farads.
    pub plug: f64,
    /// Length of a lead on the board in metres.
    pub lead: f64,
    /// Length of the player's usual lead in metres.
    pub usual_lead: f64,
    /// Inductance of a coil in henries: a typical single coil.
    pub inductance: f64,
    /// Resistance of a coil in ohms.
    pub coil_resistance: f64,
    /// Capacitance of a coil in farads. `[src:LEMME-TABLE]`: 80 to 200 pF.
    pub coil_capacitance: f64,
    /// Volume and tone pot in ohms.
    pub pot: f64,
    /// Tone capacitor in farads.
    pub tone_capacitor: f64,
    /// Capacitance of a piezo element in farads.
    pub piezo: f64,
    /// Output impedance of active electronics in ohms.
    pub active_output: f64,
    /// Input impedance of a buffer that advice puts in, in ohms.
    pub buffer_input: f64,
    /// Its output impedance in ohms.
    pub buffer_output: f64,
    /// Largest change at 4 kHz that advice allows, in dB either way.
    pub change_limit: f64,
    /// Largest shift of the resonance that advice allows, as a share.
    pub shift_limit: f64,
    /// Largest loss at 1 kHz into an amp that advice allows, in dB.
    pub loss_limit: f64,
    /// Temperature for thermal noise in kelvin.
    pub kelvin: f64,
}

impl Config {
    /// What stands across the input of a buffer that advice puts in, in farads: its own stray capacitance, and after a
    /// device the usual lead from there with its two plugs.
    pub(crate) fn buffer_capacitance(&self, at: EndKind) -> f64 {
        let lead = match at {
            EndKind::From => self.cable_capacitance * self.lead + 2.0 * self.plug,
            EndKind::To => 0.0,
        };
        self.stray / 2.0 + lead
    }
}

impl Default for Config {
    fn default() -> Self {
        Self {
            device_input: 1e6,
            device_output: 1e3,
            winding: 150.0,
            sink_input: 1e6,
            contact: 0.05,
            stray: 30e-12,
            relay_stray: 34e-12,
            cable_capacitance: 100e-12,
            cable_resistance: 0.0842,
            plug: 15e-12,
            lead: 0.3,
            usual_lead: 5.0,
            inductance: 2.8,
            coil_resistance: 6e3,
            coil_capacitance: 110e-12,
            pot: 250e3,
            tone_capacitor: 22e-9,
            piezo: 500e-12,
            active_output: 1e3,
            buffer_input: 1e6,
            buffer_output: 1e3,
            change_limit: 2.0,
            shift_limit: 0.2,
            loss_limit: 1.5,
            kelvin: 300.0,
        }
    }
}

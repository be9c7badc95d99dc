//! The job: title block, brief, switching states, acceptances.

use quantity::{Grams, Hertz, Length, Volts};

use crate::{Known, Wish};

/// Title block of every paper, and the mains the rig meets at home.
#[derive(Debug, Clone, Default)]
pub struct Job {
    /// What the rig is called.
    pub title: String,
    /// The workshop's number for the job.
    pub number: Option<String>,
    /// The client.
    pub player: Option<String>,
    /// Who builds.
    pub workshop: Option<String>,
    /// Who drew it.
    pub drawn_by: Option<String>,
    /// Date of issue, as written; papers without one are drafts.
    pub date: Option<String>,
    /// Revision letter, as written.
    pub revision: Option<String>,
    /// The mains at home.
    pub mains: Option<Mains>,
}

/// A mains supply.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Mains {
    /// Nominal voltage.
    pub volts: Volts,
    /// Nominal frequency.
    pub hertz: Hertz,
}

/// What the client wants and where the rig will live.
#[derive(Debug, Clone, Default)]
pub struct Brief {
    /// The music, in the client's words.
    pub music: Option<String>,
    /// Where it is played.
    pub venues: Option<String>,
    /// How it travels: `hand`, `car`, `van`, `air`.
    pub carried: Option<String>,
    /// Whether it tours: fastening and clamping are judged harder.
    pub touring: bool,
    /// How many people lift it.
    pub carriers: u32,
    /// The most it may weigh with its case, when a carrier or the client says so.
    pub mass_limit: Option<Grams>,
    /// Countries on the tour list, as ISO 3166 letters or names.
    pub countries: Vec<String>,
    /// The money the client named, as written.
    pub budget: Option<String>,
    /// The date it must be ready, as written.
    pub due: Option<String>,
    /// The player's shoe, for the foot-room body.
    pub shoe_width: Known<Length>,
    /// Numbered requirements.
    pub requirements: Vec<Requirement>,
    /// Whatever else was said.
    pub note: Option<String>,
}

/// One numbered requirement.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Requirement {
    /// Its number, `R3`.
    pub id: String,
    /// What is wanted.
    pub text: String,
    /// What of it can be judged.
    pub wishes: Vec<Wish>,
}

/// A named switching state the player uses; devices not named are bypassed.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct State {
    /// Its name.
    pub name: String,
    /// The tags of the engaged devices.
    pub engaged: Vec<String>,
}

/// A moment of a song where the player changes from one state to another.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Moment {
    /// Its name.
    pub name: String,
    /// The state before.
    pub from: String,
    /// The state after.
    pub to: String,
}

/// A way the board is used: what is plugged in at the same time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PluggedIn {
    /// Its name: `two amps`.
    pub name: String,
    /// The amps, desks and computers that are plugged in then, by id.
    pub ends: Vec<String>,
}

/// An answer: what a rule finds that the builder answers for.
///
/// It covers named devices, a class of them, or the whole job: exactly one of the three.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Acceptance {
    /// The rule.
    pub rule: String,
    /// The devices it covers, sorted; empty where it covers a class or the whole job.
    pub devices: Vec<String>,
    /// The role of the devices, or the class of the leads, that it covers.
    pub class: Option<String>,
    /// Whether it covers whatever the rule finds in this job.
    pub whole_job: bool,
    /// Why, in the builder's words.
    pub reason: String,
    /// Who answers.
    pub by: Option<String>,
    /// Its position in the document, for pointing at it.
    pub index: usize,
}

impl Acceptance {
    /// The words an answer may give as its class: roles of devices, then classes of leads.
    pub const CLASSES: &'static [&'static str] =
        &["pedal", "brick", "panel", "strip", "other", "signal", "control", "dc", "ac", "mains"];

    /// What it covers; devices where it says nothing else.
    pub fn covers(&self) -> finding::Scope {
        match &self.class {
            _ if self.whole_job => finding::Scope::WholeJob,
            Some(class) => finding::Scope::Class(class.clone()),
            None => finding::Scope::Devices(self.devices.clone()),
        }
    }
}

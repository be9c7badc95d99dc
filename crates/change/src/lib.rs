//! Two designs side by side: what stays, what is made anew, what it takes.
//!
//! [`compare`] is a pure function of two designs with what the checks say of each. It takes the first as built: a lead that
//! still reaches is left as it is, one that does not is made again, and each says why. [`RevisionChange::needs`] and
//! [`RevisionChange::acts`] are what carrying it out takes, for the estimate engine.

pub mod wire;

mod devices;
mod findings;
mod json;
mod leads;
mod lies;
mod papers;
mod priced;
mod rest;
mod value;
mod work;

use design::Design;
use estimate::{Act, Need};
use finding::Finding;

pub use devices::{DeviceChange, Moved, Value, Words, corner};
pub use findings::{Case, FindingChange};
pub use json::json;
pub use leads::{Became, LeadChange, LeadEnd, Made};
pub use priced::quote;
pub use rest::{Hole, LabelOf, Outlet};
pub use wire::CHANGE_SCHEMA;

/// One of the two sides.
#[derive(Debug, Clone, Copy)]
pub struct Side<'a> {
    /// The design, its leads laid.
    pub design: &'a Design,
    /// What the checks say of it.
    pub findings: &'a [Finding],
}

/// Everything that differs.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RevisionChange {
    /// Devices that are new, gone, moved or of other values.
    pub devices: Vec<DeviceChange>,
    /// Board and case: what differs, in words.
    pub board: Vec<Words>,
    /// Runs, before and after.
    pub runs: Vec<Words>,
    /// Feeds of devices, before and after.
    pub feeds: Vec<Words>,
    /// Every lead of both, those that stay last.
    pub leads: Vec<LeadChange>,
    /// Outlets that are wired or set otherwise.
    pub outlets: Vec<Outlet>,
    /// Holes to blank.
    pub blanked: Vec<Hole>,
    /// Holes to drill.
    pub drilled: Vec<Hole>,
    /// Labels that come off.
    pub labels_off: Vec<LabelOf>,
    /// Labels that go on.
    pub labels_on: Vec<LabelOf>,
    /// Names of papers whose content differs.
    pub void: Vec<&'static str>,
    /// Names of papers that are good still.
    pub good: Vec<&'static str>,
    /// Tests to repeat or to make for the first time, by id.
    pub tests: Vec<String>,
    /// How many results stand.
    pub tests_stand: usize,
    /// Findings that are new, gone or of another weight.
    pub findings: Vec<FindingChange>,
    /// What carrying it out needs.
    pub needs: Vec<Need>,
    /// What work it is.
    pub acts: Vec<Act>,
}

impl RevisionChange {
    /// Whether nothing differs.
    pub fn is_empty(&self) -> bool {
        self.devices.is_empty()
            && [&self.board, &self.runs, &self.feeds].iter().all(|words| words.is_empty())
            && self.leads.iter().all(|lead| lead.became == Became::Stays)
            && self.outlets.is_empty()
            && self.blanked.is_empty()
            && self.drilled.is_empty()
            && self.labels_off.is_empty()
            && self.labels_on.is_empty()
            && self.void.is_empty()
            && self.findings.is_empty()
    }

    /// Devices that another one stands for now, or that were not there: by their tags.
    pub fn fresh_devices(&self) -> Vec<&str> {
        let fresh = self.devices.iter().filter(|device| {
            device.moved == Moved::New
                || (device.moved != Moved::Gone
                    && (device.kind.is_some() || device.values.iter().any(|value| value.key == "serial")))
        });
        fresh.map(|device| device.tag.as_str()).collect()
    }

    /// How many leads became this.
    pub fn count(&self, is: fn(&Became) -> bool) -> usize {
        self.leads.iter().filter(|lead| is(&lead.became)).count()
    }
}

/// What changes from the first to the second.
pub fn compare(before: &Side<'_>, after: &Side<'_>) -> RevisionChange {
    let (a, b) = (before.design, after.design);
    let leads = leads::leads(a, b);
    let devices = devices::devices(a, b);
    let (blanked, drilled) = rest::holes(a, b);
    let (labels_off, labels_on) = rest::labels(a, b);
    let mut out = RevisionChange {
        board: devices::board(a, b),
        runs: devices::runs(a, b),
        feeds: devices::feeds(a, b),
        outlets: rest::outlets(a, b),
        findings: findings::findings(before.findings, after.findings, &leads),
        devices,
        leads,
        blanked,
        drilled,
        labels_off,
        labels_on,
        ..RevisionChange::default()
    };
    (out.tests, out.tests_stand) = rest::tests(a, b, &out);
    (out.void, out.good) = papers::papers(before, after);
    out.needs = work::needs(a, b, &out);
    out.acts = work::acts(b, &out);
    out
}

//! Asking for values: which were only assumed, and which nobody knows.

use finding::{Field, Finding, Severity};
use rig::{Known, PortRef};

use crate::group::not_checked;
use crate::words::list;

/// What was learnt while reading the values a judgement rests on.
#[derive(Debug, Clone, Default)]
pub(crate) struct Asked {
    /// Values that are there but only assumed.
    pub(crate) assumed: Vec<Field>,
    /// Values that are not there.
    pub(crate) lacks: Vec<Field>,
}

impl Asked {
    /// Reads a value and remembers when it is assumed or missing.
    pub(crate) fn value<T: Copy>(&mut self, known: Known<T>, field: Field) -> Option<T> {
        if known.is_assumed() {
            self.assumed.push(field);
        } else if known.is_unknown() {
            self.lacks.push(field);
        }
        known.value
    }

    /// Remembers a value that is missing.
    pub(crate) fn lack(&mut self, field: Field) {
        self.lacks.push(field);
    }

    /// Whether every value asked for was there.
    pub(crate) fn complete(&self) -> bool {
        self.lacks.is_empty()
    }

    /// Says that `rule` could not check `what`; `None` when every value was there.
    pub(crate) fn cannot_judge<S: Into<String>>(
        self,
        rule: &'static str,
        what: &str,
        devices: impl IntoIterator<Item = S>,
    ) -> Option<Finding> {
        if self.complete() {
            return None;
        }
        let mut lacks = self.lacks;
        lacks.sort();
        lacks.dedup();
        let mut finding = Finding::new(rule, Severity::Look, not_checked(what, &lacks))
            .about(devices)
            .assuming(self.assumed)
            .remedy("measure these values or look them up, and write each down with where it comes from");
        for field in &lacks {
            finding = finding.at(field.clone(), "not known");
        }
        Some(finding.lacking(lacks))
    }
}

/// Whether values that nobody knows are all lengths of leads: for them usual ones stand in, and what breaks a limit with
/// those is worth saying.
pub(crate) fn are_lengths(lacks: &[Field]) -> bool {
    let is_length = |field: &Field| {
        let parts = field.parts();
        parts.first().is_some_and(|kind| kind == "lead")
            && parts.last().is_some_and(|key| ["cut", "legs"].contains(&key.as_str()))
    };
    !lacks.is_empty() && lacks.iter().all(is_length)
}

/// A finding that rests on lengths of leads that nobody knows.
pub(crate) fn by_usual_lengths(mut finding: Finding, lacks: &[Field]) -> Finding {
    finding.message += ", with usual lengths for leads of which they are not known";
    finding.lacking(lacks.iter().cloned())
}

/// Devices whose unknown values one finding names together, so that a value nobody writes is said once.
#[derive(Debug, Clone, Default)]
pub(crate) struct Together {
    asked: Asked,
    devices: Vec<String>,
}

impl Together {
    /// Adds a value of a device.
    pub(crate) fn add(&mut self, device: &str, field: Field) {
        self.asked.lack(field);
        if !self.devices.iter().any(|have| have == device) {
            self.devices.push(device.to_owned());
        }
    }

    /// The one finding, if anything was added; `what` is followed by the list of devices.
    pub(crate) fn finding(self, rule: &'static str, what: &str) -> Option<Finding> {
        let mut devices: Vec<String> = self.devices;
        crate::group::in_order(&mut devices);
        let what = format!("{what} {}", list(&devices));
        self.asked.cannot_judge(rule, &what, devices)
    }
}

/// A value of a port.
pub(crate) fn port_field(port: &PortRef, key: &str) -> Field {
    Field::device(&port.device, "port").below(&port.port).below(key)
}

/// A value of an outlet.
pub(crate) fn outlet_field(outlet: &PortRef, key: &str) -> Field {
    Field::device(&outlet.device, "outlet").below(&outlet.port).below(key)
}

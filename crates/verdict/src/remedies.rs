//! What to ask of the next search where a placement passes but the checks would say more of it than they say today.

use design::Design;
use finding::{Finding, Severity};
use rig::{Bypass, PortRef, PortRole, Rig};

use crate::judge::{Verdict, is_said, ports_of};

/// What is said of a placement that is not said today.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(crate) struct Fresh {
    /// Stops of rules that are no matter of fit.
    pub(crate) stops: usize,
    /// Looks, several leads of one finding each counted.
    pub(crate) looks: usize,
}

impl Fresh {
    pub(crate) fn of(today: &[Finding], verdict: &Verdict) -> Self {
        let mut fresh = Self::default();
        for finding in new_ones(today, verdict) {
            if finding.severity == Severity::Stop {
                fresh.stops += 1;
                continue;
            }
            let known = |lead: &&String| {
                today.iter().any(|known| known.rule == finding.rule && known.leads.contains(lead))
            };
            fresh.looks += finding.leads.iter().filter(|lead| !known(lead)).count().max(1);
        }
        fresh
    }

    pub(crate) fn is_none(self) -> bool {
        self == Self::default()
    }
}

/// What the check would say that it does not say today. What was not checked for a value that nobody knows says nothing against
/// a place.
fn new_ones<'a>(today: &'a [Finding], verdict: &'a Verdict) -> impl Iterator<Item = &'a Finding> {
    verdict.beside.iter().filter(|finding| {
        let is_known = finding.lacks.is_empty() || finding.severity == Severity::Stop;
        matches!(finding.severity, Severity::Stop | Severity::Look) && is_known && !is_said(today, finding)
    })
}

/// What the next search is to mind.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Remedies {
    /// Ports whose cables want more room.
    pub(crate) wider: Vec<PortRef>,
    /// Ports whose leads are to be short.
    pub(crate) shorter: Vec<PortRef>,
}

/// What helps against what is said of a placement that is not said today: room before plugs where leads are bent sharp or
/// hang over the edge, short leads where length is the trouble.
pub(crate) fn remedies(today: &[Finding], verdict: &Verdict) -> Remedies {
    let mut out = Remedies::default();
    let design = &verdict.design;
    for finding in new_ones(today, verdict) {
        let leads: Vec<&str> = finding.leads.iter().map(String::as_str).collect();
        match finding.rule {
            "lead-bend" | "lead-over-edge" => out.wider.extend(ports_of(design, &leads)),
            "treble-loss" | "chain-loss" => out.shorter.extend(unbuffered(&design.rig, &finding.devices)),
            "adaptor-lead" => out.shorter.extend(inlets(&design.rig, &finding.devices)),
            "lead-apart" => out.shorter.extend(supplies(design, &leads)),
            _ => {}
        }
    }
    for ports in [&mut out.wider, &mut out.shorter] {
        ports.sort();
        ports.dedup();
    }
    out
}

/// The jacks that the signal of these sources leaves before a device buffers it.
fn unbuffered(rig: &Rig, sources: &[String]) -> Vec<PortRef> {
    let mut out = Vec::new();
    for run in &rig.runs {
        let Some(first) = run.steps().next() else { continue };
        if !sources.contains(&first.0.device) {
            continue;
        }
        for (from, to) in run.steps() {
            out.extend([from.clone(), to.clone()]);
            let bypass = rig.device(&to.device).and_then(|device| device.signal.bypass.value);
            if matches!(bypass, Some(Bypass::Buffered | Bypass::AlwaysOn)) {
                break;
            }
        }
    }
    out.retain(|port| !port.port.is_empty());
    out
}

/// Where these devices are fed.
fn inlets(rig: &Rig, tags: &[String]) -> Vec<PortRef> {
    let devices = tags.iter().filter_map(|tag| rig.device(tag));
    let ports = devices.flat_map(|device| device.ports.iter().map(move |port| (device, port)));
    let inlets = ports.filter(|(_, port)| port.role.value == Some(PortRole::Power));
    inlets.map(|(device, port)| PortRef::new(&device.tag, &port.name)).collect()
}

/// The ends, away from the outlet, of the leads among these that bring power: where they are short they run beside less.
fn supplies(design: &Design, leads: &[&str]) -> Vec<PortRef> {
    let ports = ports_of(design, leads);
    let is_inlet = |port: &PortRef| {
        let role = design.rig.port(port).and_then(|port| port.role.value);
        matches!(role, Some(PortRole::Power | PortRole::Mains))
    };
    ports.into_iter().filter(is_inlet).collect()
}

//! Send and return of an insert or loop, the wrong way round.

use design::Design;
use finding::{Evidence, Field, Finding, Severity};
use rig::{Device, PortRef, Rig, Role, Run};

use super::CUSTOM;
use crate::asked::Together;
use crate::{Page, Rule};

const ID: &str = "insert-swapped";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "send and return the wrong way round",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[28],
    limits: &[],
    page: Page {
        what: "Every insert and loop against the runs: signal leaves by the send and comes back at the return. On a \
               panel the send is wired from within and the return leads inwards; what is plugged in from outside is \
               fed from the send and comes back at the return. An insert on one jack wants to know which contact \
               sends before its lead is soldered.",
        why: "Swapped, nothing is heard as soon as a lead is plugged in, and with nothing plugged all seems well.",
        source: CUSTOM,
        example: "The run main reaches PNL.RET first and goes on from PNL.SEND.",
        remedy: "swap the two stops, or say which jack of the insert sends",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let rig = &design.rig;
    let mut out = Vec::new();
    for device in rig.by_tag() {
        let inserts =
            device.inserts.iter().map(|insert| ("insert", &insert.name, &insert.send, &insert.back));
        let loops = device.loops.iter().map(|circuit| ("loop", &circuit.name, &circuit.send, &circuit.back));
        for (list, name, send, back) in inserts.chain(loops).filter(|(_, _, send, back)| send != back) {
            let pair = Pair { device, send, back };
            let mut seen = rig.runs.iter().filter_map(|run| Some((run, pair.swapped(rig, run)?)));
            let Some((run, message)) = seen.next() else { continue };
            let also = seen.map(|(run, _)| run);
            let mut finding =
                Finding::new(ID, Severity::Stop, format!("{list} {name} of {}: {message}", device.tag))
                    .about([&device.tag])
                    .at(Field::run(&run.name, "stops"), "the wrong way round")
                    .at(Field::device(&device.tag, list).below(name), "")
                    .with(Evidence::words("return before send", "send, then return"));
            for run in also {
                finding = finding.at(Field::run(&run.name, "stops"), "the wrong way round");
            }
            out.push(finding);
        }
    }
    out.extend(unknown_wiring(design));
    out
}

/// The two jacks of an insert or loop.
struct Pair<'a> {
    device: &'a Device,
    send: &'a str,
    back: &'a str,
}

impl Pair<'_> {
    fn is_send(&self, port: &PortRef) -> bool {
        port.device == self.device.tag && port.port == self.send
    }

    fn is_back(&self, port: &PortRef) -> bool {
        port.device == self.device.tag && port.port == self.back
    }

    /// How a run shows that the two are swapped.
    fn swapped(&self, rig: &Rig, run: &Run) -> Option<String> {
        let (send, back) =
            (PortRef::new(&self.device.tag, self.send), PortRef::new(&self.device.tag, self.back));
        let at =
            |port: Option<&PortRef>, is: fn(&Self, &PortRef) -> bool| port.is_some_and(|port| is(self, port));
        let beside = run.stops.windows(2).any(|two| {
            at(two[0].arrives.as_ref().or(two[0].leaves.as_ref()), Self::is_back)
                && at(two[1].leaves.as_ref().or(two[1].arrives.as_ref()), Self::is_send)
        });
        if beside {
            return Some(format!(
                "run {} reaches the return {back} first and goes on from the send {send}",
                run.name
            ));
        }
        let steps: Vec<(&PortRef, &PortRef)> = run.steps().collect();
        let fed = steps.iter().position(|(from, _)| self.is_back(from));
        let returned = steps.iter().rposition(|(_, to)| self.is_send(to));
        if let (Some(fed), Some(returned)) = (fed, returned)
            && fed <= returned
        {
            return Some(format!(
                "run {} leaves by the return {back} and comes back at the send {send}",
                run.name
            ));
        }
        // A run that goes on from the send to the return passes the normal, wherever it comes from and goes to.
        let normal = run.stops.windows(2).any(|two| {
            at(two[0].leaves.as_ref(), Self::is_send) && at(two[1].arrives.as_ref(), Self::is_back)
        });
        if normal {
            return None;
        }
        // On a panel both jacks have an inner side, where the send is reached and the return is left.
        let is_panel = self.device.role == Role::Panel;
        let outside = |other: &PortRef| {
            other.port.is_empty() || rig.device(&other.device).is_some_and(Device::is_beside_board)
        };
        let wrong_side = |other: &PortRef| !is_panel || outside(other);
        steps.into_iter().find_map(|(from, to)| {
            if self.is_back(from) && wrong_side(to) {
                Some(format!("{to} is fed from the return {back}"))
            } else if self.is_send(to) && wrong_side(from) {
                Some(format!("{from} comes back at the send {send}"))
            } else {
                None
            }
        })
    }
}

/// Inserts on one jack, in use, of which nobody knows what the tip does.
fn unknown_wiring(design: &Design) -> Option<Finding> {
    let mut unknown = Together::default();
    for device in design.rig.by_tag() {
        for insert in device.inserts.iter().filter(|insert| insert.is_on_one_jack()) {
            let jack = PortRef::new(&device.tag, &insert.send);
            if insert.wiring.is_unknown() && design.ends.iter().any(|end| end.port == jack) {
                unknown.add(
                    &device.tag,
                    Field::device(&device.tag, "insert").below(&insert.name).below("wiring"),
                );
            }
        }
    }
    unknown.finding(ID, "whether tip or ring sends at an insert on one jack of")
}

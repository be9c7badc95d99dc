//! What inserts do in their four cases: nothing plugged, send only, return only, both.

use rig::{Normal, PortRef, PortRole, Provenance, Role};

use crate::Design;

/// What is heard.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Heard {
    /// The path goes on as if the insert were not there.
    Through,
    /// The path goes on, and a copy leaves at the send.
    ThroughAndSend,
    /// The path ends; signal leaves at the send alone.
    SendAlone,
    /// What comes in at the return is heard; what comes before is cut off.
    ReturnAlone,
    /// The path goes out at the send and comes back at the return.
    Inserted,
    /// Nothing.
    Silence,
    /// Nobody knows the normal yet.
    Unknown,
}

/// Which jacks of an insert have a plug in them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Plugged {
    /// The one that sends.
    pub send: bool,
    /// The one that returns.
    pub back: bool,
}

impl Plugged {
    /// What is plugged, in words.
    pub fn words(self) -> &'static str {
        match (self.send, self.back) {
            (false, false) => "nothing plugged",
            (true, false) => "send only",
            (false, true) => "return only",
            (true, true) => "send and return",
        }
    }
}

/// The four cases, in the order of every table.
pub const CASES: [Plugged; 4] = [
    Plugged { send: false, back: false },
    Plugged { send: true, back: false },
    Plugged { send: false, back: true },
    Plugged { send: true, back: true },
];

/// One insert with its truth table.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct InsertTable {
    /// The device.
    pub device: String,
    /// The insert's name.
    pub name: String,
    /// The port that sends.
    pub send: PortRef,
    /// The port that returns.
    pub back: PortRef,
    /// Its normal.
    pub normal: Option<Normal>,
    /// Where that is known from.
    pub from: Provenance,
    /// What is heard in each of [`CASES`].
    pub heard: [Heard; 4],
    /// Which case stands in this rig.
    pub plugged: Plugged,
}

impl InsertTable {
    /// Whether one jack sends and returns: it is empty, or the insert lead is in it.
    pub fn is_on_one_jack(&self) -> bool {
        self.send == self.back
    }

    /// What is heard in each case there is. On one jack nothing can be plugged by halves.
    pub fn cases(&self) -> impl Iterator<Item = (Plugged, Heard)> + '_ {
        let halves = !self.is_on_one_jack();
        CASES.into_iter().zip(self.heard).filter(move |(case, _)| halves || case.send == case.back)
    }

    /// What is plugged in a case, in words.
    pub fn case_words(&self, case: Plugged) -> &'static str {
        if self.is_on_one_jack() && case.send && case.back { "insert lead plugged" } else { case.words() }
    }
}

/// Every insert of every device.
pub fn insert_tables(design: &Design) -> Vec<InsertTable> {
    let plugged = |port: &PortRef| design.ends.iter().any(|end| end.port == *port && !end.inner);
    let mut out = Vec::new();
    for device in &design.rig.devices {
        for insert in &device.inserts {
            let send = PortRef::new(&device.tag, &insert.send);
            let back = PortRef::new(&device.tag, &insert.back);
            out.push(InsertTable {
                device: device.tag.clone(),
                name: insert.name.clone(),
                normal: insert.normal.value,
                from: insert.normal.from,
                heard: CASES.map(|case| heard(insert.normal.value, case)),
                plugged: Plugged { send: plugged(&send), back: plugged(&back) },
                send,
                back,
            });
        }
    }
    out
}

/// What is heard with this normal in this case.
pub fn heard(normal: Option<Normal>, case: Plugged) -> Heard {
    match (normal, (case.send, case.back)) {
        (_, (true, true)) => Heard::Inserted,
        (_, (false, true)) => Heard::ReturnAlone,
        (Some(Normal::Full | Normal::Half), (false, false)) => Heard::Through,
        (Some(Normal::Half), (true, false)) => Heard::ThroughAndSend,
        (Some(Normal::Full | Normal::Open), (true, false)) => Heard::SendAlone,
        (Some(Normal::Open), (false, false)) => Heard::Silence,
        (None, _) => Heard::Unknown,
    }
}

/// A jack of the panel that cuts off what is wired to it from within as soon as a lead is plugged.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Break {
    /// The jack.
    pub jack: PortRef,
    /// What plays while it is empty.
    pub empty: PortRef,
    /// What it leads on to.
    pub to: PortRef,
}

/// Panel jacks that lie in the middle of a run, wired on both sides from within.
pub fn breaks(design: &Design) -> Vec<Break> {
    let rig = &design.rig;
    let mut out = Vec::new();
    for run in &rig.runs {
        for three in run.stops.windows(3) {
            let (Some(from), Some(jack), Some(to)) = (&three[0].leaves, &three[1].arrives, &three[2].arrives)
            else {
                continue;
            };
            let panel = rig.device(&jack.device).is_some_and(|device| {
                // Jacks of an insert have their own table.
                let insert = device.inserts.iter().any(|i| i.send == jack.port || i.back == jack.port);
                device.role == Role::Panel && !insert
            });
            let through = rig.port(jack).is_some_and(|port| port.role.value == Some(PortRole::Through));
            let within = |end: &PortRef| rig.device(&end.device).is_some_and(|device| !device.outside);
            if panel && through && three[1].leaves.as_ref() == Some(jack) && within(from) && within(to) {
                out.push(Break { jack: jack.clone(), empty: from.clone(), to: to.clone() });
            }
        }
    }
    out
}

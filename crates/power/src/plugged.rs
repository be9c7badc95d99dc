//! How a supply brick gets its mains: the lead or the adaptor of its own, and the socket of a strip that this takes.

use finding::{Change, Field, Value};
use rig::{Device, Nature, PortRole};

use crate::candidate::Candidate;
use crate::change::empty_sockets;
use crate::fit::plug_for;
use crate::input::{Brick, Input, WrittenLead};

/// How a brick takes what it runs on.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum Inlet {
    /// Nobody wrote down how, or it takes nothing.
    #[default]
    Unknown,
    /// By a mains lead to this port.
    Mains(String),
    /// By an adaptor of its own, whose lead ends at this connector.
    Own(Option<String>),
    /// By a feed from another brick.
    Fed,
}

/// A run that carries mains to a brick.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MainsRun {
    /// Its name.
    pub name: String,
    /// Its stops as written.
    pub stops: Vec<String>,
    /// Whether the brick is its last stop.
    pub ends: bool,
}

impl Inlet {
    /// The inlet of a device with outlets.
    pub(crate) fn of(device: &Device) -> Self {
        let port = |role: PortRole| device.ports.iter().find(|port| port.role.value == Some(role));
        match device.power.nature.value {
            Some(Nature::Mains) => match (port(PortRole::Mains), port(PortRole::Power)) {
                (Some(mains), _) => Self::Mains(mains.name.clone()),
                (None, Some(low)) => Self::Own(low.connector.as_ref().map(|connector| connector.id.clone())),
                (None, None) => Self::Unknown,
            },
            Some(Nature::Dc | Nature::Ac) => Self::Fed,
            _ => Self::Unknown,
        }
    }

    /// Whether it takes a socket of a strip.
    pub(crate) fn takes_socket(&self) -> bool {
        matches!(self, Self::Mains(_) | Self::Own(_))
    }
}

/// Gives a brick that comes a socket: the first that is empty, where strips are known at all.
pub(crate) fn plug_in(input: &mut Input, brick: usize) {
    if !input.bricks[brick].inlet.takes_socket() || input.strips.is_empty() {
        return;
    }
    let socket = empty_sockets(input).into_iter().next();
    if let Some((strip, name)) = &socket {
        input.strips[*strip].free.retain(|free| free != name);
    }
    input.bricks[brick].unplugged = socket.is_none();
    input.bricks[brick].socket = socket;
}

/// The same for one that comes in the place of another, which leaves its socket.
pub(crate) fn plug_instead(input: &mut Input, brick: usize, old: &Brick) {
    if let Some((strip, name)) = &old.socket {
        input.strips[*strip].free.insert(0, name.clone());
    }
    let is_lead = matches!(input.bricks[brick].inlet, Inlet::Mains(_));
    let is_unsaid = old.run.is_none() && old.socket.is_none() && old.inlet != Inlet::Fed;
    // The mains lead of the old one stays, wherever it comes from; of mains that nobody wrote down nothing is said anew either.
    if is_unsaid || is_lead && old.run.is_some() && old.socket.is_none() {
        return;
    }
    if let (true, Some((strip, name))) = (input.bricks[brick].inlet.takes_socket(), &old.socket) {
        input.strips[*strip].free.retain(|free| free != name);
        input.bricks[brick].socket.clone_from(&old.socket);
        return;
    }
    plug_in(input, brick);
}

/// What the document must say of the mains of a brick that comes, in the place of `old` where that goes. `None` where no edit
/// can say it.
pub(crate) fn changes(input: &Input, old: Option<&Brick>, new: &Brick) -> Option<Vec<Change>> {
    let mut changes = Vec::new();
    let run = old.and_then(|old| old.run.as_ref());
    if let Some(run) = run {
        // What goes on from the old brick would hang in the air.
        let (last, before) = run.stops.split_last().filter(|_| run.ends)?;
        let stops = match &new.inlet {
            Inlet::Mains(port) if last.contains('.') => {
                let mut stops = before.to_vec();
                stops.push(format!("{}.{port}", new.tag));
                stops
            }
            Inlet::Mains(_) => run.stops.clone(),
            _ => before.to_vec(),
        };
        if stops.len() < 2 {
            changes.push(Change::remove(Field::run(&run.name, "")));
        } else if stops != run.stops {
            changes.push(Change::set(Field::run(&run.name, "stops"), stops));
        }
    }
    let feed = || Field::device(&new.tag, "feed");
    let had_own = old.is_some_and(|old| old.own_feed);
    let socket = new.socket.as_ref().map(|(strip, name)| format!("{}.{name}", input.strips[*strip].tag));
    match (&new.inlet, socket) {
        (Inlet::Own(connector), Some(socket)) => {
            let mut cells: Vec<(&str, Value)> =
                vec![("type", "adaptor".into()), ("outlets", [socket].as_slice().into())];
            if let Some(connector) = connector {
                cells.push(("plug", plug_for(connector).into()));
            }
            changes.push(Change::set(feed(), Value::table(cells)));
        }
        (Inlet::Mains(port), Some(socket)) if run.is_none() => {
            if had_own {
                changes.push(Change::remove(feed()));
            }
            let name = run_name(input, &new.tag);
            let stops = vec![socket, format!("{}.{port}", new.tag)];
            changes.push(Change::set(Field::run(&name, "carries"), "mains"));
            changes.push(Change::set(Field::run(&name, "stops"), stops));
        }
        (Inlet::Fed, _) => {}
        _ if had_own => changes.push(Change::remove(feed())),
        _ => {}
    }
    Some(changes)
}

/// What the document says of ports that go with a brick and that the one in its place has not: entries for leads go with
/// them. `None` where a run names one besides that of its mains.
pub(crate) fn gone_ports(input: &Input, old: &Brick, by: &Candidate) -> Option<Vec<Change>> {
    let is_gone = |text: &String| {
        let port = text.strip_prefix(old.tag.as_str()).and_then(|rest| rest.strip_prefix('.'));
        port.is_some_and(|port| !by.has_port(port))
    };
    let is_own = |name: &String| old.run.as_ref().is_some_and(|run| run.name == *name);
    if input.runs.iter().any(|(name, stops)| !is_own(name) && stops.iter().any(is_gone)) {
        return None;
    }
    let leads = input.leads.iter().filter(|lead| lead.ends.iter().any(is_gone));
    Some(leads.map(|lead| Change::remove(Field::lead(&lead.name, ""))).collect())
}

/// The change that retires the numbers of the leads whose entries go: labels bear them still.
pub(crate) fn retired(input: &Input, changes: &[Change]) -> Option<Change> {
    let goes = |lead: &&WrittenLead| changes.contains(&Change::remove(Field::lead(&lead.name, "")));
    let numbers = input.leads.iter().filter(goes).filter_map(|lead| lead.number.as_ref());
    let new: Vec<&String> = numbers.filter(|number| !input.retired.contains(number)).collect();
    let all = input.retired.iter().chain(new.iter().copied());
    (!new.is_empty()).then(|| Change::set(Field::new(["leads", "retired"]), Value::list(all)))
}

/// A name that no run has yet.
fn run_name(input: &Input, tag: &str) -> String {
    let first = format!("mains to {tag}");
    let more = (2..).map(|number| format!("{first} {number}"));
    let is_free = |name: &String| !input.runs.iter().any(|(known, _)| known == name);
    std::iter::once(first.clone()).chain(more.take(input.runs.len())).find(is_free).unwrap_or(first)
}

//! What the document must say of the mains of a brick that comes: the lead or the adaptor of its own, and what goes with the
//! one before.

use finding::{Change, Field, Value};

use crate::candidate::Candidate;
use crate::inlet::Inlet;
use crate::input::{Brick, Input, WrittenLead};

/// What the document must say of the mains of a brick that comes, in the place of `old` where that goes. `None` where no edit
/// can say it.
pub(crate) fn changes(
    input: &Input,
    changed: &Input,
    old: Option<&Brick>,
    new: &Brick,
) -> Option<Vec<Change>> {
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
        // Locked, and still true.
        (Inlet::Own(_), _) if new.own_locked => {}
        (Inlet::Own(connector), Some(socket)) => {
            let mut cells: Vec<(&str, Value)> =
                vec![("type", "adaptor".into()), ("outlets", [socket].as_slice().into())];
            if let Some(connector) = connector {
                cells.push(("plug", changed.plug_for(connector).into()));
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

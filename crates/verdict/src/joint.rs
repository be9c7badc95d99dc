//! One lead with a joint in place of two that leave one jack: a Y lead.

use finding::{Change, Edit, Field};
use rig::{LeadClass, PortRef, PortRole, Rig};

/// What makes one lead of all that leave a jack for different places; nothing where one leaves it, or where it is no output:
/// two outputs that are joined short each other, and a plain lead cannot do that either.
pub fn joint(rig: &Rig, port: &PortRef) -> Option<Edit> {
    let is_output = rig.port(port).is_some_and(|own| {
        matches!(own.role.value, Some(PortRole::Out | PortRole::Through | PortRole::Send))
    });
    let leaving: Vec<rig::Lead> = rig::leads(rig)
        .into_iter()
        .filter(|lead| lead.run.is_some() && lead.class == LeadClass::Signal)
        .filter(|lead| lead.flows.iter().any(|(from, _)| from == port))
        .collect();
    if !is_output || leaving.len() < 2 {
        return None;
    }
    let mut ends = vec![port.clone()];
    for (_, to) in leaving.iter().flat_map(|lead| &lead.flows).filter(|(from, _)| from == port) {
        if !ends.contains(to) {
            ends.push(to.clone());
        }
    }
    let name = ends.iter().map(ToString::to_string).collect::<Vec<_>>().join(" + ");
    let said: Vec<&rig::LeadSpec> = leaving.iter().filter_map(|lead| lead.spec.as_ref()).collect();
    let mut changes = Vec::new();
    let mut retired: Vec<String> = Vec::new();
    let mut is_there = false;
    for spec in said {
        // A lead that branches already gets one more leg; of a plain one nothing is left but its number.
        if spec.is_joined() && !is_there {
            is_there = true;
            changes.push(Change::rename(Field::lead(&spec.name(), ""), name.clone()));
        } else {
            changes.push(Change::remove(Field::lead(&spec.name(), "")));
            retired.extend(spec.tag.clone().filter(|tag| !rig.retired.contains(tag)));
        }
    }
    if !is_there {
        changes.push(Change::add(Field::lead(&name, "")));
    }
    if !retired.is_empty() {
        let all = rig.retired.iter().cloned().chain(retired);
        changes.push(Change::set(Field::new(["leads", "retired"]), finding::Value::list(all)));
    }
    let others: Vec<String> = ends[1..].iter().map(ToString::to_string).collect();
    Some(Edit::new(format!("make one Y lead from {port} to {}", others.join(" and ")), changes))
}

/// What a new run wants besides, where it leaves a jack that another run leaves: that both go along one lead.
/// `rig` is the rig with the run in it.
pub fn joint_of_run(rig: &Rig, name: &str) -> Option<Edit> {
    let run = rig.runs.iter().find(|run| run.name == name)?;
    let ports = run.stops.iter().filter_map(|stop| stop.leaves.as_ref());
    ports.filter(|port| !port.port.is_empty()).find_map(|port| joint(rig, port))
}

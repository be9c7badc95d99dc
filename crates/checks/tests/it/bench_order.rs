//! The work order of every example, and of each with a part taken away, can be done in its order without harm.

use std::collections::BTreeSet;

use design::{Design, Lead, Making, Step};
use document::format::EXAMPLES;
use rig::geometry::EndKind;
use rig::{LeadClass, PortRef, Role};

/// Every rig that is tried: the examples of the format's page and the whole jobs, and each of these without one of its
/// devices, without one of its feeds, and with one of its devices fed by its own adaptor.
fn designs() -> Vec<(String, Design)> {
    let folder = format!("{}/../../examples", env!("CARGO_MANIFEST_DIR"));
    let mut names: Vec<_> =
        std::fs::read_dir(folder).expect("examples").map(|entry| entry.expect("an entry").path()).collect();
    names.sort();
    let mut texts: Vec<(String, String)> =
        EXAMPLES.iter().map(|example| (example.name.to_owned(), example.text.to_owned())).collect();
    for path in names {
        let text = std::fs::read_to_string(path.join("rig.toml")).expect("a job");
        texts.push((path.display().to_string(), text));
    }
    let mut out = Vec::new();
    for (name, text) in texts {
        let Ok(job) = document::read_text("rig.toml", &text, None) else { panic!("{name} does not read") };
        for index in 0..job.rig.devices.len() {
            let tag = job.rig.devices[index].tag.clone();
            let mut unfed = job.rig.clone();
            unfed.devices[index].feed = None;
            out.push((format!("{name}, {tag} unfed"), design::derive(unfed, job.limits.clone())));
            let mut own = job.rig.clone();
            if let Some(feed) = &mut own.devices[index].feed {
                feed.kind = rig::FeedKind::Adaptor;
                feed.outlets.clear();
                out.push((
                    format!("{name}, {tag} by its own adaptor"),
                    design::derive(own, job.limits.clone()),
                ));
            }
        }
        out.push((name, design::derive(job.rig, job.limits)));
    }
    out
}

fn steps(design: &Design) -> Vec<Step> {
    design::work_order(design).into_iter().flat_map(|stage| stage.steps).collect()
}

/// Whether an act plugs or wires this end.
fn fits(step: &Step, lead: &Lead, port: &PortRef) -> bool {
    let verb = step.id.split(':').next().unwrap_or_default();
    let named = step.text.split([' ', ',', ';']).any(|word| word == port.to_string());
    matches!(verb, "plug" | "wire") && step.leads.contains(&lead.tag) && named
}

fn is_supply(lead: &Lead) -> bool {
    lead.run.is_none() && lead.class.is_supply()
}

/// The ends of a lead of a kind that somebody plugs on or beside the board.
fn plugged(lead: &Lead, kind: EndKind) -> impl Iterator<Item = &PortRef> {
    lead.ends
        .iter()
        .filter(move |end| end.kind == kind && end.has_plug() && !end.port.port.is_empty())
        .map(|end| &end.port)
}

#[test]
fn every_mains_lead_has_an_act_before_the_hold_of_mains() {
    let mut wired = 0;
    for (name, design) in designs() {
        let steps = steps(&design);
        let hold = steps.iter().position(|step| step.id == "hold:mains");
        for lead in design.leads.iter().filter(|lead| lead.class == LeadClass::Mains) {
            if lead.making == Making::Theirs {
                continue;
            }
            let act = steps.iter().position(|step| step.leads.contains(&lead.tag));
            assert!(act.is_some() && act < hold, "{name}: {} is at {act:?} of {hold:?}", lead.tag);
            for end in lead.ends.iter().filter(|end| end.is_wired()) {
                let at = |id: String| {
                    let found = steps.iter().position(|step| step.id == id);
                    found.unwrap_or_else(|| panic!("{name}: no {id}"))
                };
                let panel = &end.port.device;
                let order = [
                    at(format!("wire:{}:{}", lead.tag, end.port)),
                    at(format!("hold:earth:{panel}")),
                    at(format!("fix:{panel}")),
                ];
                assert!(order.is_sorted() && Some(order[2]) < hold, "{name}: {} {order:?}", lead.tag);
                wired += 1;
            }
        }
    }
    assert!(0 < wired, "some example has mains on terminals");
}

#[test]
fn nothing_is_metered_before_its_supply_is_live_and_nothing_plugged_before_it_is_metered() {
    let mut metered = 0;
    for (name, design) in designs() {
        let mut is_on = false;
        let mut done: Vec<&Step> = Vec::new();
        let mut held: BTreeSet<&str> = BTreeSet::new();
        let steps = steps(&design);
        let mut ids: Vec<&str> = steps.iter().map(|step| step.id.as_str()).collect();
        ids.sort_unstable();
        let twice: Vec<&&str> = ids.windows(2).filter(|two| two[0] == two[1]).map(|two| &two[0]).collect();
        assert!(twice.is_empty(), "{name}: {twice:?} twice");
        let switched = steps.iter().any(|step| step.id.starts_with("on:"));
        // A supply is live when all that feeds it is in.
        let is_in = |done: &[&Step], lead: &Lead, kind: EndKind| {
            plugged(lead, kind).all(|port| done.iter().any(|step| fits(step, lead, port)))
        };
        for step in &steps {
            let verb = step.id.split(':').next().unwrap_or_default();
            match verb {
                "on" => is_on = true,
                "off" => is_on = false,
                "plug" | "wire" | "fix" | "adaptor" | "set" => {
                    assert!(!is_on, "{name}: {} while mains is on", step.text);
                }
                _ => {}
            }
            if step.id.starts_with("hold:outlets") {
                assert!(is_on || !switched, "{name}: {} with mains off", step.text);
                let all = !step.text.contains(" of ");
                let bricks = design.rig.devices.iter().filter(|device| {
                    let named = step.text.split([' ', ',']).any(|word| word == device.tag);
                    device.role == Role::Brick && !device.outside && (all || named)
                });
                for brick in bricks {
                    let power = design.leads.iter().filter(|lead| {
                        let into = |end: &&design::LeadEndAt| {
                            end.port.device == brick.tag && brick.outlet(&end.port.port).is_none()
                        };
                        (is_supply(lead) || lead.class == LeadClass::Mains)
                            && lead.ends.iter().any(|e| into(&e))
                    });
                    for lead in power {
                        let beside = lead.making == Making::Theirs;
                        assert!(
                            beside || is_in(&done, lead, EndKind::To),
                            "{name}: {} is metered before {} is in",
                            brick.tag,
                            lead.tag
                        );
                        metered += 1;
                    }
                }
            }
            if step.id.starts_with("hold:") {
                for lead in
                    design.leads.iter().filter(|lead| is_supply(lead) && step.leads.contains(&lead.tag))
                {
                    assert!(is_on || !switched, "{name}: {} with mains off", step.text);
                    assert!(is_in(&done, lead, EndKind::From), "{name}: {} hangs on nothing", lead.tag);
                    held.insert(&lead.tag);
                }
            }
            for lead in design.leads.iter().filter(|lead| is_supply(lead)) {
                let into = plugged(lead, EndKind::To).any(|port| fits(step, lead, port));
                assert!(
                    !into || held.contains(lead.tag.as_str()),
                    "{name}: {} before it is metered",
                    step.text
                );
            }
            done.push(step);
        }
        for lead in design.leads.iter().filter(|lead| lead.making != Making::Theirs) {
            for kind in [EndKind::From, EndKind::To] {
                let there = |port: &&PortRef| {
                    let device = design.rig.device(&port.device);
                    device.is_some_and(|device| !device.outside && device.place.is_some())
                };
                for port in plugged(lead, kind).filter(there) {
                    assert!(done.iter().any(|step| fits(step, lead, port)), "{name}: {} at {port}", lead.tag);
                }
            }
        }
    }
    assert!(100 < metered, "{metered} supplies were metered");
}

//! A placement with softer bends: other exits where a lead leaves its plug into a sharp bend.
//!
//! The search keeps room in front of plugs but lays no leads. What it leaves open at the plugs is looked at once more here,
//! when the leads of a placement that passes are known.

use design::{Design, Lead};
use layout::{Config, Input, Outcome, Placement};
use rig::{Exit, PlugAngle, Rig};

use crate::judge::Verdict;

/// A bend is sharp from so much below the wanted radius on, as the check and the table of leads tell it. *Common practice,
/// no source.*
const TAPE_MM: f64 = 0.5;
/// Leads that are looked at, at most, the sharpest first.
const LEADS: usize = 6;

/// Another exit at one end of a lead.
#[derive(Debug, Clone)]
pub(crate) struct Turned {
    /// The number of the lead.
    lead: String,
    /// The place of the end among those of the lead.
    end: usize,
    exit: Exit,
}

/// How many pieces of cable are bent sharper than is wanted, and by how much together in radii.
pub(crate) fn sharpness(design: &Design) -> (usize, f64) {
    let short: Vec<f64> = bent(design).into_iter().map(|(_, short)| short).collect();
    (short.len(), short.iter().sum())
}

/// The pieces of cable with a sharp bend, and how much of the wanted radius they lack; the sharpest first.
fn bent(design: &Design) -> Vec<(&str, f64)> {
    let routes = design.routes();
    let mut out: Vec<(&str, f64)> = routes
        .outcome
        .leads
        .iter()
        .filter_map(|laid| {
            let wanted = routes.input.leads[laid.lead].radius_mm;
            let is_sharp = laid.tightest_mm <= wanted - TAPE_MM;
            is_sharp.then(|| (laid.id.as_str(), (wanted - laid.tightest_mm) / wanted))
        })
        .collect();
    out.sort_by(|a, b| b.1.total_cmp(&a.1));
    out
}

/// For each lead with a sharp bend the exit that eases it most, laid by itself.
pub(crate) fn turns(design: &Design, stated: &Rig, config: &Config) -> Vec<Turned> {
    let mut trial = design.clone();
    let mut out: Vec<Turned> = Vec::new();
    for (part, _) in bent(design).into_iter().take(LEADS) {
        let Some(place) = design.leads.iter().position(|lead| lead.leg_of(part).is_some()) else { continue };
        let lead = &design.leads[place];
        let ends =
            lead.leg_of(part).filter(|_| lead.is_joined()).map_or(0..lead.ends.len(), |leg| leg..leg + 1);
        let now = softness(&trial, part).unwrap_or((0.0, 0.0));
        let mut best: Option<((f64, f64), Turned)> = None;
        for end in ends {
            for exit in others(lead, end, stated, config) {
                let was = trial.leads[place].ends[end].plug.exit.replace(exit);
                let soft = softness(&trial, part).filter(|soft| now.0 + TAPE_MM < soft.0);
                trial.leads[place].ends[end].plug.exit = was;
                if let Some(soft) = soft
                    && best.as_ref().is_none_or(|(least, _)| *least < soft)
                {
                    best = Some((soft, Turned { lead: lead.tag.clone(), end, exit }));
                }
            }
        }
        out.extend(best.map(|(_, turned)| turned));
    }
    out
}

/// The sharpest bend of a piece of cable laid by itself, a soft one counting as just soft enough; then its length, the
/// shorter the better.
fn softness(design: &Design, part: &str) -> Option<(f64, f64)> {
    let input = design.routes_input();
    let wanted = input.leads.iter().find(|wanted| wanted.id == part)?.radius_mm;
    let laid = leads::lay_alone(&input, part)?;
    Some((laid.tightest_mm.min(wanted), -laid.length_mm))
}

/// The other exits that an end may have: angled plugs of leads that are not made, as far as the document leaves them open.
fn others(lead: &Lead, end: usize, stated: &Rig, config: &Config) -> Vec<Exit> {
    let here = &lead.ends[end];
    let angled = here.plug.plug.as_ref().is_some_and(|plug| plug.angle == PlugAngle::Angled);
    let is_open = config.freedom.exits
        || rig::leads(stated).iter().any(|own| {
            own.ends.iter().any(|own| own.port == here.port && own.plug.exit.is_none())
                && own.ends.iter().all(|own| lead.ends.iter().any(|end| end.port == own.port))
        });
    let Some(device) = stated.device(&here.port.device) else { return Vec::new() };
    if !angled || !is_open || lead.made || lead.fitted || !here.has_plug() {
        return Vec::new();
    }
    rig::geometry::exits(device, &here.port.port).filter(|exit| Some(*exit) != here.plug.exit).collect()
}

/// The outcome with these exits; `None` where the search has no such choice.
pub(crate) fn turned(
    input: &Input,
    config: &Config,
    outcome: &Outcome,
    verdict: &Verdict,
    turns: &[Turned],
) -> Option<Outcome> {
    let mut placements: Vec<Placement> = outcome.placements.clone();
    for turn in turns {
        let lead = verdict.design.leads.iter().find(|lead| lead.tag == turn.lead)?;
        let port = &lead.ends[turn.end].port;
        let plugs = placements.iter_mut().flat_map(|placement| &mut placement.plugs);
        let here =
            plugs.filter(|plug| plug.port == *port && lead.ends.iter().any(|end| end.port == plug.other));
        here.for_each(|plug| plug.exit = Some(turn.exit));
    }
    layout::replugged(input, config, outcome, &placements)
}

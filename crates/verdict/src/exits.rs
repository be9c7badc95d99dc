//! A placement with softer bends: other exits where a lead leaves its plug into a sharp bend.
//!
//! The search keeps room in front of plugs but lays no leads. What it leaves open at the plugs is looked at once more here,
//! when the leads of a placement that passes are known.

use design::{Design, Lead};
use layout::{Config, Input, Outcome, Placement};
use rayon::prelude::*;
use rig::{Exit, PlugAngle, Rig};

/// A bend is sharp from so much below the wanted radius on, as the check and the table of leads tell it. *Common practice,
/// no source.*
const TAPE_MM: f64 = 0.5;
/// Leads that are looked at, at most, the sharpest first.
const LEADS: usize = 3;

/// Another exit at one end of a lead.
#[derive(Debug, Clone)]
pub(crate) struct Turned {
    /// The number of the piece of cable that it eases.
    pub(crate) part: String,
    /// The number of the lead.
    lead: String,
    /// The place of the end among those of the lead.
    end: usize,
    exit: Exit,
    /// The radius of its sharpest bend then, laid by itself, in diameters of the cable.
    pub(crate) diameters: f64,
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
    let parts: Vec<&str> = bent(design).into_iter().take(LEADS).map(|(part, _)| part).collect();
    turns_of(design, &parts, stated, config)
}

/// For each of these pieces of cable the exit that eases it most, laid by itself.
pub(crate) fn turns_of(design: &Design, parts: &[&str], stated: &Rig, config: &Config) -> Vec<Turned> {
    // One lead alone is asked about, and there are many to try.
    let mut bare = design.clone();
    bare.leads.clear();
    parts.par_iter().filter_map(|part| turn_of(&bare, design.lead_of(part)?, part, stated, config)).collect()
}

fn turn_of(bare: &Design, lead: &Lead, part: &str, stated: &Rig, config: &Config) -> Option<Turned> {
    let ends = lead.leg_of(part).filter(|_| lead.is_joined()).map_or(0..lead.ends.len(), |leg| leg..leg + 1);
    let tries: Vec<(usize, Exit)> = ends
        .flat_map(|end| others(lead, end, stated, config).into_iter().map(move |exit| (end, exit)))
        .collect();
    if tries.is_empty() {
        return None;
    }
    let now =
        Soft::of(bare, lead.clone(), part).unwrap_or(Soft { radius_mm: 0.0, diameters: 0.0, length_mm: 0.0 });
    let tried: Vec<Option<(Soft, usize, Exit)>> = tries
        .into_par_iter()
        .map(|(end, exit)| {
            let mut trial = lead.clone();
            trial.ends[end].plug.exit = Some(exit);
            let soft = Soft::of(bare, trial, part).filter(|soft| now.radius_mm + TAPE_MM < soft.radius_mm)?;
            Some((soft, end, exit))
        })
        .collect();
    // The first of the softest.
    let tried = tried.into_iter().flatten();
    let (soft, end, exit) = tried.reduce(|best, next| if best.0.is_below(&next.0) { next } else { best })?;
    Some(Turned { part: part.to_owned(), lead: lead.tag.clone(), end, exit, diameters: soft.diameters })
}

/// How a piece of cable lies that was laid by itself.
#[derive(Debug, Clone, Copy)]
struct Soft {
    /// The radius of its sharpest bend, a soft one counting as just soft enough.
    radius_mm: f64,
    /// The same in diameters of the cable.
    diameters: f64,
    length_mm: f64,
}

impl Soft {
    fn of(bare: &Design, lead: Lead, part: &str) -> Option<Self> {
        let mut alone = bare.clone();
        alone.leads.push(lead);
        let input = alone.routes_input();
        let wanted = input.leads.iter().find(|wanted| wanted.id == part)?;
        let laid = leads::lay_alone(&input, part)?;
        let radius_mm = laid.tightest_mm.min(wanted.radius_mm);
        Some(Self { radius_mm, diameters: radius_mm / wanted.diameter_mm, length_mm: laid.length_mm })
    }

    /// Whether another is softer, or as soft and shorter.
    fn is_below(&self, other: &Self) -> bool {
        (self.radius_mm, -self.length_mm) < (other.radius_mm, -other.length_mm)
    }
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

/// The outcome with these exits at the leads of its design; `None` where the search has no such choice.
pub(crate) fn turned(
    input: &Input,
    config: &Config,
    outcome: &Outcome,
    design: &Design,
    turns: &[Turned],
) -> Option<Outcome> {
    let mut placements: Vec<Placement> = outcome.placements.clone();
    for turn in turns {
        let lead = design.leads.iter().find(|lead| lead.tag == turn.lead)?;
        let port = &lead.ends[turn.end].port;
        let plugs = placements.iter_mut().flat_map(|placement| &mut placement.plugs);
        let here =
            plugs.filter(|plug| plug.port == *port && lead.ends.iter().any(|end| end.port == plug.other));
        here.for_each(|plug| plug.exit = Some(turn.exit));
    }
    layout::replugged(input, config, outcome, &placements)
}

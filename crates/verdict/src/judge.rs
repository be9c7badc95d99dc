//! The judgement of one edit.

use design::Design;
use document::edit::EditError;
use document::{Job, ReadError};
use finding::{Edit, Evidence, Finding, Severity};
use rig::PortRef;

use crate::made::{self, Remade};

/// The rules whose *stop* means that a placement does not fit: space, plugs, leads, reach and passages.
pub const FIT: &[&str] = &[
    // Space.
    "not-placed",
    "clearance",
    "socket-covered",
    "board-parts",
    "board-edge",
    "case-foam",
    "clear-height",
    "lid-height",
    "service-port",
    "tipping",
    "panel-holes",
    "panel-nuts",
    // Plugs.
    "plug-fit",
    "lead-cores",
    // Leads.
    "lead-short",
    "lead-long",
    "lead-way",
    "lead-bend",
    "lead-apart",
    // Reach.
    "foot-room",
    "switch-distance",
    "row-distance",
    // Passages.
    "passage-edge",
    "passage-fill",
];

/// The rules of feeds: a *stop* of these concerns an answer about feeds even if it stands today.
pub const FEED: &[&str] = &[
    // Whether it can be.
    "no-feed",
    "feed-conflict",
    "outlet-setting",
    "pair",
    "shared-outlet",
    "unisolated-outlet",
    "positive-ground",
    // What arrives.
    "supply-nature",
    "supply-voltage",
    "supply-sign",
    "supply-barrel",
    "supply-drop",
    "crossing-lead",
    // What is drawn.
    "outlet-load",
    "brick-load",
    "brick-heat",
    "start-surge",
    // Mains.
    "mains-voltage",
    "mains-frequency",
    "mains-plug",
    "socket-covered",
    "loose-adaptor",
    "adaptor-lead",
];

/// What the checks say of a document with an edit applied.
#[derive(Debug, Clone)]
pub struct Verdict {
    /// The text of the document then.
    pub text: String,
    /// What follows from it, leads laid.
    pub design: Design,
    /// Open stops of the rules of [`FIT`]: what stands in the way.
    pub bars: Vec<Finding>,
    /// Leads whose ways break the rules of the router: `leads` would not show them.
    pub astray: Vec<String>,
    /// What the check would say besides: other open stops, and looks that it does not say today.
    pub beside: Vec<Finding>,
    /// The made leads that have to be made again: the edit takes from them that they are made.
    pub remade: Vec<Remade>,
    /// The edit that was judged, with what it takes from the leads to be made again.
    pub edit: Edit,
    /// The numbers of the made leads that stay as they are.
    pub stay: Vec<String>,
}

/// Why there is no verdict: the edit cannot be written, or what it leaves cannot be read.
#[derive(Debug, thiserror::Error)]
pub enum Refused {
    /// The edit cannot be made in the text.
    #[error("{0}")]
    Edit(#[from] EditError),
    /// The text that it leaves is no rig document.
    #[error("what it leaves cannot be read: {}", first(.0))]
    Read(#[from] ReadError),
}

fn first(error: &ReadError) -> String {
    match error {
        ReadError::Problems { problems, .. } => {
            problems.first().map_or_else(|| error.to_string(), |problem| problem.message.clone())
        }
        _ => error.to_string(),
    }
}

impl Verdict {
    /// Whether nothing stands in the way of the placement.
    pub fn fits(&self) -> bool {
        self.bars.is_empty() && self.astray.is_empty()
    }

    /// All that it says: what stands in the way first.
    pub fn findings(&self) -> impl Iterator<Item = &Finding> {
        self.bars.iter().chain(&self.beside)
    }
}

/// The text with an edit applied, and what follows from it; its leads are not laid yet.
fn after(job: &Job, edit: &Edit) -> Result<(String, Design), Refused> {
    let text = document::edit::apply(job.text(), edit)?;
    let after = job.with_text(&text)?;
    Ok((text, design::derive(after.rig, after.limits)))
}

/// What follows from an edit, before its leads are laid among one another.
pub(crate) struct Sketch {
    pub(crate) design: Design,
    /// The pieces of cable that, laid by themselves, are bent so sharp that the checks would stop them. Most placements that
    /// do not pass fail by this, and it costs a fraction of a judgement.
    pub(crate) sharp: Vec<String>,
}

/// The sketch of an edit.
///
/// # Errors
/// The edit cannot be written, or the text that it leaves cannot be read.
pub(crate) fn sketch(job: &Job, edit: &Edit) -> Result<Sketch, Refused> {
    let (_, design) = after(job, edit)?;
    let sharp = leads::bent_sharper_than(&design.routes_input(), design.limits.bend_radius_stop.get());
    Ok(Sketch { design, sharp })
}

/// Whether no lead of an edit, laid by itself, is bent so sharp that the checks would stop it.
///
/// # Errors
/// The edit cannot be written, or the text that it leaves cannot be read.
pub(crate) fn is_likely(job: &Job, edit: &Edit) -> Result<bool, Refused> {
    let (_, design) = after(job, edit)?;
    Ok(!leads::any_bend_sharper_than(&design.routes_input(), design.limits.bend_radius_stop.get()))
}

/// The ports at which cables have too little room: those of the leads that stand in the way once all are laid.
pub(crate) fn cramped(verdict: &Verdict) -> Vec<PortRef> {
    let leads: Vec<&str> = verdict.bars.iter().flat_map(|bar| &bar.leads).map(String::as_str).collect();
    ports_of(&verdict.design, &leads)
}

/// The ports of leads, and of those with these legs.
pub(crate) fn ports_of(design: &Design, leads: &[&str]) -> Vec<PortRef> {
    let is_one = |lead: &&design::Lead| leads.iter().any(|id| *id == lead.tag || lead.leg_of(id).is_some());
    let ends = design.leads.iter().filter(is_one).flat_map(|lead| &lead.ends);
    let mut ports: Vec<PortRef> = ends.map(|end| end.port.clone()).collect();
    ports.sort();
    ports.dedup();
    ports
}

/// What the checks say of a job with an edit applied; `today` is what they say of it now.
///
/// A made lead that no longer reaches, or whose plugs would sit otherwise, is to be made again: the edit then says so too,
/// and the verdict is on what that leaves.
///
/// # Errors
/// The edit cannot be written, or the text that it leaves cannot be read.
pub fn judge(job: &Job, today: &[Finding], edit: &Edit) -> Result<Verdict, Refused> {
    let first = checked(job, today, edit)?;
    let is_made = |spec: &rig::LeadSpec| spec.cut.is_some() || !spec.legs.is_empty() || spec.fitted;
    if !job.rig.leads.iter().any(is_made) {
        return Ok(first);
    }
    let before = design::derive(job.rig.clone(), job.limits.clone());
    let (remade, stay) = made::sorted(&before, &first.design, first.findings());
    if remade.is_empty() {
        return Ok(Verdict { stay, ..first });
    }
    let mut edit = edit.clone();
    edit.changes.extend(made::unmaking(&job.rig, &remade));
    Ok(Verdict { remade, stay, ..checked(job, today, &edit)? })
}

/// What the rules that need no engine say of a job with an edit of its feeds applied: the stops of feeds that stand then, and
/// what is not said of it now. No lead is laid for it.
///
/// # Errors
/// The edit cannot be written, or the text that it leaves cannot be read.
pub fn judge_stated(job: &Job, today: &[Finding], edit: &Edit) -> Result<Vec<Finding>, Refused> {
    let then =
        if edit.changes.is_empty() { today.to_vec() } else { checks::check_stated(&after(job, edit)?.1) };
    Ok(then.into_iter().filter(|finding| concerns(today, finding)).collect())
}

/// Whether a finding belongs to an answer about feeds: an open stop of their rules, or what is not said today.
pub fn concerns(today: &[Finding], then: &Finding) -> bool {
    let stops = then.severity == Severity::Stop && FEED.contains(&then.rule);
    then.accepted.is_none() && (stops || !today.iter().any(|known| known.message == then.message))
}

/// A figure is worse than before from this share of it on: below that it is the same matter as it was.
const WORSE: f64 = 0.1;

/// Whether what is said today says this too: the same matter at the same severity, of no other lead, and by a figure that is
/// no worse.
fn says(today: &Finding, then: &Finding) -> bool {
    let margin =
        |finding: &Finding| finding.evidence.as_ref().and_then(Evidence::margin).map(|margin| margin.value);
    let is_worse = match (margin(today), margin(then)) {
        (Some(was), Some(is)) => is < was - WORSE * was.abs().max(is.abs()),
        _ => false,
    };
    today.identity() == then.identity()
        && today.severity == then.severity
        && then.leads.iter().all(|lead| today.leads.contains(lead))
        && !is_worse
        // What is in the way of a lead may be another thing than today.
        && (then.rule != LEAD_WAY || today.message == then.message)
}

/// Whether anything that is said today says this too.
pub(crate) fn is_said(today: &[Finding], then: &Finding) -> bool {
    today.iter().any(|known| says(known, then))
}

/// Whether a finding of the same rule is about all the leads of another one.
fn names(today: &Finding, then: &Finding) -> bool {
    today.rule == then.rule && then.leads.iter().all(|lead| today.leads.contains(lead))
}

/// The rule of leads that have no route.
const LEAD_WAY: &str = "lead-way";

fn checked(job: &Job, today: &[Finding], edit: &Edit) -> Result<Verdict, Refused> {
    let (text, design) = after(job, edit)?;
    let design = design.laid();
    let open = checks::check(&design).into_iter().filter(|finding| finding.accepted.is_none());
    let (mut bars, mut beside) = (Vec::new(), Vec::new());
    for finding in open {
        let is_new = !is_said(today, &finding);
        // No placement is offered that leaves a lead without a way which has one today.
        let is_lost = finding.rule == LEAD_WAY && !today.iter().any(|known| names(known, &finding));
        if is_lost || (finding.severity == Severity::Stop && FIT.contains(&finding.rule)) {
            bars.push(finding);
        } else if finding.severity == Severity::Stop || is_new {
            beside.push(finding);
        }
    }
    let routes = design.routes();
    let breaches = leads::verify::verify(&routes.input, &routes.outcome).breaches;
    let astray =
        breaches.into_iter().map(|breach| format!("lead {}: {}", breach.lead, breach.what)).collect();
    let (remade, stay, edit) = (Vec::new(), Vec::new(), edit.clone());
    Ok(Verdict { text, design, bars, astray, beside, remade, edit, stay })
}

//! How the leads are laid: asked for once for each document, after the answer to an edit.

use std::collections::BTreeMap;

use ::leads::cut::{CutEffort, Piece, Source, plan};
use design::{Clocking, Design, Lead, Making, clocking, making};
use drawing::Course;
use rig::Provenance;

pub(crate) use ::leads;
use leads::{CableCuts, Given, Input, Laid, Outcome, Wanted};

/// What the leads engine was asked and what it said.
#[derive(Debug)]
pub(crate) struct Routes {
    pub(crate) input: Input,
    pub(crate) outcome: Outcome,
    pub(crate) cuts: Vec<CableCuts>,
}

/// A lead that is laid, with what was asked for it.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Way<'a> {
    pub(crate) laid: &'a Laid,
    pub(crate) wanted: &'a Wanted,
}

impl Routes {
    /// The way of a lead by its number.
    pub(crate) fn way(&self, tag: &str) -> Option<Way<'_>> {
        let laid = self.outcome.leads.iter().find(|laid| laid.id == tag)?;
        Some(Way { laid, wanted: self.input.leads.get(laid.lead)? })
    }

    /// Why a lead is not laid.
    pub(crate) fn why_not(&self, tag: &str) -> Option<&str> {
        let failed = self.outcome.failed.iter().find(|failed| failed.id == tag).map(|failed| &failed.why);
        let unlaid = self.input.unlaid.iter().find(|unlaid| unlaid.id == tag).map(|unlaid| &unlaid.why);
        failed.or(unlaid).map(String::as_str)
    }

    /// The ways as a drawing takes them.
    pub(crate) fn courses(&self) -> Vec<Course> {
        let course = |laid: &Laid| Course {
            lead: laid.id.clone(),
            path: laid.path.clone(),
            radii: laid.radii.clone(),
        };
        self.outcome.leads.iter().map(course).collect()
    }
}

/// What a cutter takes: a wire cutter takes nothing.
const KERF_MM: i64 = 0;
/// A remainder from here on goes back into the drawer: the shortest lead there is use for. *Common practice, no source.*
const KEEP_MM: i64 = 200;

/// Lays the leads of a design and plans their cuts.
pub(crate) fn lay(design: &Design) -> Routes {
    let given: Vec<Given> = design.leads.iter().map(|lead| given(design, lead)).collect();
    let input = Input::from_rig(&design.rig, &design.limits, &given);
    let outcome = leads::solve(&input);
    let cuts = cuts(design, &input, &outcome);
    Routes { input, outcome, cuts }
}

fn given(design: &Design, lead: &Lead) -> Given {
    Given {
        id: lead.tag.clone(),
        class: lead.class,
        from: (lead.from.port.clone(), lead.from.plug.clone()),
        to: (lead.to.port.clone(), lead.to.plug.clone()),
        soldered: [lead.from.soldered, lead.to.soldered],
        cable: lead.cable.clone(),
        clocking: match clocking(&design.rig, lead) {
            Clocking::Turned(degrees) => Some(format!("{degrees}°")),
            Clocking::Free => Some("free".to_owned()),
            Clocking::Open => None,
        },
        made: lead.cut.value.filter(|_| lead.cut.from == Provenance::Measured),
        outside: lead.outside,
    }
}

/// A cut plan per cable for the leads that are still to be made here.
fn cuts(design: &Design, input: &Input, outcome: &Outcome) -> Vec<CableCuts> {
    let mut pieces: BTreeMap<Option<String>, Vec<Piece>> = BTreeMap::new();
    for laid in &outcome.leads {
        let lead = design.leads.iter().find(|lead| lead.tag == laid.id);
        if lead.is_some_and(|lead| making(&design.rig, lead) == Making::Made) && laid.spare_mm.is_none() {
            #[expect(clippy::cast_possible_truncation, reason = "cut lengths, whole millimetres")]
            let mm = laid.cut_mm.ceil() as i64;
            let cable = input.leads.get(laid.lead).and_then(|wanted| wanted.cable.clone());
            pieces.entry(cable).or_default().push(Piece { id: laid.id.clone(), mm });
        }
    }
    let cut = |(cable, pieces): (Option<String>, Vec<Piece>)| {
        let sources = vec![Source { id: "reel".to_owned(), mm: None, reel: true }];
        let plan = plan(&pieces, &sources, KERF_MM, KEEP_MM, &CutEffort::standard());
        CableCuts { cable, pieces, sources, plan }
    };
    pieces.into_iter().map(cut).collect()
}

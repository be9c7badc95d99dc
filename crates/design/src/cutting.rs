//! From which reel or offcut each lead is cut.

use std::collections::{BTreeMap, BTreeSet};

use finding::{Change, Edit, Field};
use leads::CableCuts;
use leads::cut::{CutEffort, Piece, Source, plan};
use quantity::Length;
use rig::Rig;

use crate::{Design, Lead, Making};

/// What a cutter takes: a wire cutter takes nothing.
pub const KERF_MM: i64 = 0;
/// A remainder from here on goes back into the drawer: the shortest lead there is use for. *Common practice, no source.*
pub const KEEP_MM: i64 = 200;

/// Cable in the shop.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Stock {
    /// The cable's catalogue id.
    pub cable: String,
    /// The name of the reel or the offcut.
    pub id: String,
    /// How long it is, millimetres; `None` for a reel whose end is far.
    pub mm: Option<i64>,
    /// Whether it is a reel; else an offcut.
    pub reel: bool,
}

/// A lead, or a leg of one, that is cut and booked already.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct CutLead {
    /// Its number, `L07`, of a leg with its letter, `D03 B`. Older lists have its two ends, `A1.OUT to B1.IN`.
    pub lead: String,
    /// The cable's catalogue id.
    pub cable: Option<String>,
    /// How long it was cut, millimetres.
    pub mm: i64,
}

impl CutLead {
    /// The number of its lead; `None` in older lists, which have its two ends.
    pub fn tag(&self) -> Option<&str> {
        self.lead.split(' ').next().filter(|_| !self.lead.contains(" to "))
    }

    /// The letter of the leg that it is; `None` for a whole lead.
    pub fn letter(&self) -> Option<char> {
        self.lead.strip_prefix(self.tag()?)?.trim_start().chars().next()
    }
}

/// The shop's cable as the plan of one job sees it.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Shelf {
    /// Reels and offcuts.
    pub cable: Vec<Stock>,
    /// Leads of the job that are cut.
    pub cut: Vec<CutLead>,
}

/// One piece of cable that a lead is made of: the whole lead, or a leg of one with a joint.
struct Part<'a> {
    lead: &'a Lead,
    /// Whether the document says that it is cut.
    made: bool,
    /// Its ends, as older lists of booked leads name it.
    ends: String,
    cut: CutLead,
}

/// The pieces of the leads that are made here and that are not cut yet, as they have to be cut.
fn to_cut<'a>(design: &'a Design, shelf: &Shelf) -> Vec<Part<'a>> {
    // What was cut from another cable than the document asks for today is cut again.
    let is_other = |part: &Part<'_>| {
        shelf.cut.iter().any(|cut| cut.lead == part.cut.lead && cut.cable != part.cut.cable)
    };
    pieces(design)
        .filter(|part| !part.made || is_other(part))
        .filter(|part| !is_booked(shelf, part))
        .collect()
}

/// The pieces that the shop has cut for the job and of which its document tells nothing: whose entry was taken out by hand.
/// Numbers that are retired are told by the document itself.
pub fn forgotten<'a>(rig: &Rig, shelf: &'a Shelf) -> Vec<&'a CutLead> {
    let told: BTreeSet<String> =
        said(rig).filter(|said| said.length.is_some()).map(|said| said.piece).collect();
    // A leg whose end is gone was cut off.
    let gone = |cut: &CutLead| {
        let legs =
            rig.leads.iter().flat_map(|spec| spec.gone.iter().map(move |&at| (spec.tag.as_deref(), at)));
        legs.into_iter().any(|(tag, at)| {
            tag.is_some() && tag == cut.tag() && cut.letter() == Some(crate::lead::leg_letter(at))
        })
    };
    let retired = |cut: &CutLead| rig.retired.iter().any(|tag| cut.tag() == Some(tag));
    shelf
        .cut
        .iter()
        .filter(|cut| cut.tag().is_some() && !told.contains(&cut.lead) && !retired(cut) && !gone(cut))
        .collect()
}

/// The pieces of the leads that are made here, as they are cut or have to be.
fn pieces(design: &Design) -> impl Iterator<Item = Part<'_>> {
    let leads = design.leads.iter().filter(|lead| lead.making == Making::Made);
    leads.flat_map(|lead| {
        lead.parts().into_iter().enumerate().filter_map(move |(leg, id)| {
            let length = lead.legs.get(leg).map_or(lead.cut, |leg| leg.cut);
            let made = lead.is_cut(leg);
            #[expect(
                clippy::cast_possible_truncation,
                reason = "cut lengths of leads, rounded up to whole millimetres"
            )]
            let mm = length.value?.as_mm().ceil() as i64;
            let ends = if lead.is_joined() {
                format!("{} to the joint of {}", lead.ends[leg].port, lead.tag)
            } else {
                lead.route_words()
            };
            let cable = lead.cable.as_ref().map(|cable| cable.id.clone());
            Some(Part { lead, made, ends, cut: CutLead { lead: id, cable, mm } })
        })
    })
}

/// The leads that are cut and booked as they are wanted now; one that is wanted longer or shorter is not among them.
pub fn booked<'a>(design: &'a Design, shelf: &Shelf) -> Vec<&'a Lead> {
    let mut open: BTreeSet<&str> = BTreeSet::new();
    let mut cut: Vec<&Lead> = Vec::new();
    for part in pieces(design) {
        if !is_booked(shelf, &part) {
            open.insert(&part.lead.tag);
        } else if cut.last().is_none_or(|last| last.tag != part.lead.tag) {
            cut.push(part.lead);
        }
    }
    cut.retain(|lead| !open.contains(lead.tag.as_str()));
    cut
}

/// Whether a piece is cut as it is wanted now.
fn is_booked(shelf: &Shelf, part: &Part<'_>) -> bool {
    let wanted = &part.cut;
    shelf.cut.iter().any(|cut| {
        (cut.lead == wanted.lead || cut.lead == part.ends) && cut.cable == wanted.cable && cut.mm == wanted.mm
    })
}

/// A length that a document says a piece of cable was cut to, and where it says it.
struct Said {
    /// Number of the lead.
    tag: String,
    /// Its number, of a leg with its letter: as [`CutLead::lead`].
    piece: String,
    field: Field,
    length: Option<Length>,
}

/// What a document says of the pieces of the leads that have a number, cut or not.
fn said(rig: &Rig) -> impl Iterator<Item = Said> {
    rig.leads.iter().filter_map(|spec| Some((spec, spec.tag.clone()?))).flat_map(|(spec, tag)| {
        let name = spec.name();
        if !spec.is_joined() {
            let field = Field::lead(&name, "cut");
            return vec![Said { piece: tag.clone(), tag, field, length: spec.cut }];
        }
        let of_end = |end: &rig::PortRef| {
            let letter = spec.place_of(end).map_or('?', crate::lead::leg_letter);
            let length = spec.legs.iter().find(|(leg, _)| leg == end).map(|(_, cut)| *cut);
            let field = Field::lead(&name, "legs").below(&end.to_string());
            Said { tag: tag.clone(), piece: format!("{tag} {letter}"), field, length }
        };
        spec.ends().map(of_end).collect()
    })
}

/// The pieces that a document says are cut, each with its length in whole millimetres.
pub fn said_cut(rig: &Rig) -> BTreeSet<(String, i64)> {
    said(rig).filter_map(|said| Some((said.piece, said.length?.nm().div_euclid(1_000_000)))).collect()
}

/// The pieces of which a document could say what they are cut to, and does not.
pub fn said_open(rig: &Rig) -> BTreeSet<String> {
    said(rig).filter(|said| said.length.is_none()).map(|said| said.piece).collect()
}

/// The leads among these pieces that a document gives another length than they were booked with: somebody cut them again by
/// hand, and what a booking says of them does not hold any more.
pub fn recut(rig: &Rig, cut: &[CutLead]) -> BTreeSet<String> {
    let booked = |piece: &str| cut.iter().find(|cut| cut.lead == piece);
    let other = |said: &Said| {
        said.length.zip(booked(&said.piece)).is_some_and(|(said, cut)| said != Length::from_mm(cut.mm))
    };
    said(rig).filter(other).map(|said| said.tag).collect()
}

/// What the document says of leads whose pieces are cut, or no longer says when they are not cut after all: their lengths,
/// leg by leg where there is a joint. Their numbers are issued. What somebody cut again by hand is not taken out.
pub fn cut_edit(rig: &Rig, cut: &[CutLead], are_cut: bool) -> Edit {
    let mut changes = Vec::new();
    let recut = if are_cut { BTreeSet::new() } else { recut(rig, cut) };
    // How many legs each lead's entry tells of in the end.
    let mut told: BTreeMap<&str, usize> = BTreeMap::new();
    let all: Vec<Said> = said(rig).collect();
    for said in all.iter().filter(|said| said.length.is_some()) {
        *told.entry(said.tag.as_str()).or_default() += 1;
    }
    for piece in cut {
        let Some(said) = all.iter().find(|said| said.piece == piece.lead) else { continue };
        if are_cut {
            changes.push(Change::set(said.field.clone(), format!("{} mm", piece.mm)));
        } else if said.length.is_some() && !recut.contains(&said.tag) {
            changes.push(Change::remove(said.field.clone()));
            let left = told.entry(said.tag.as_str()).or_default();
            *left = left.saturating_sub(1);
            if said.piece != said.tag && *left == 0 {
                let name = rig.leads.iter().find(|spec| spec.tag.as_ref() == Some(&said.tag));
                changes.extend(name.map(|spec| Change::remove(Field::lead(&spec.name(), "legs"))));
            }
        }
    }
    let title = &rig.job.title;
    let name =
        if are_cut { format!("cut the leads of {title}") } else { format!("leads of {title} not cut") };
    Edit::new(name, changes)
}

/// The pieces that plans cut.
pub fn cut_by(design: &Design, shelf: &Shelf, plans: &[CableCuts]) -> Vec<CutLead> {
    let has = |id: &str| plans.iter().any(|plan| plan.pieces.iter().any(|piece| piece.id == id));
    let parts = to_cut(design, shelf).into_iter().filter(|part| has(&part.cut.lead));
    parts.map(|part| part.cut).collect()
}

/// What a cable of a plan is called; its id where no lead has it.
pub fn cable_title<'a>(design: &'a Design, id: &'a str) -> &'a str {
    let mut cables = design.leads.iter().filter_map(|lead| lead.cable.as_ref());
    cables.find(|cable| cable.id == id).map_or(id, |cable| &cable.title)
}

/// A cut plan per cable for the leads that are still to be made at the bench.
///
/// What is cut and booked is not cut again. Where the shop has no cable of a kind on its list, the plan takes it from one
/// endless reel.
pub fn cut_plans(design: &Design, shelf: &Shelf) -> Vec<CableCuts> {
    let mut pieces: BTreeMap<Option<String>, Vec<Piece>> = BTreeMap::new();
    for part in to_cut(design, shelf) {
        pieces.entry(part.cut.cable).or_default().push(Piece { id: part.cut.lead, mm: part.cut.mm });
    }
    pieces
        .into_iter()
        .map(|(cable, pieces)| {
            let mut sources: Vec<Source> = shelf
                .cable
                .iter()
                .filter(|one| Some(&one.cable) == cable.as_ref())
                .map(|one| Source { id: one.id.clone(), mm: one.mm, reel: one.reel })
                .collect();
            if sources.is_empty() {
                sources.push(Source { id: "reel".to_owned(), mm: None, reel: true });
            }
            let plan = plan(&pieces, &sources, KERF_MM, KEEP_MM, &CutEffort::standard());
            CableCuts { cable, pieces, sources, plan }
        })
        .collect()
}

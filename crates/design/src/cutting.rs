//! From which reel or offcut each lead is cut.

use std::collections::BTreeMap;

use leads::CableCuts;
use leads::cut::{CutEffort, Piece, Source, plan};

use crate::{Design, Making, making};

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

/// What a cable of a plan is called; its id where no lead has it.
pub fn cable_title<'a>(design: &'a Design, id: &'a str) -> &'a str {
    let mut cables = design.leads.iter().filter_map(|lead| lead.cable.as_ref());
    cables.find(|cable| cable.id == id).map_or(id, |cable| &cable.title)
}

/// A cut plan per cable for the leads that are still to be made at the bench.
///
/// Where the shop has no cable of a kind on its list, the plan takes it from one endless reel.
pub fn cut_plans(design: &Design, stock: &[Stock]) -> Vec<CableCuts> {
    let mut pieces: BTreeMap<Option<String>, Vec<Piece>> = BTreeMap::new();
    for lead in &design.leads {
        let Some(cut) = lead.cut.value.filter(|_| !lead.made && making(&design.rig, lead) == Making::Made)
        else {
            continue;
        };
        #[expect(
            clippy::cast_possible_truncation,
            reason = "cut lengths of leads, rounded up to whole millimetres"
        )]
        let mm = cut.as_mm().ceil() as i64;
        let cable = lead.cable.as_ref().map(|cable| cable.id.clone());
        pieces.entry(cable).or_default().push(Piece { id: lead.tag.clone(), mm });
    }
    pieces
        .into_iter()
        .map(|(cable, pieces)| {
            let mut sources: Vec<Source> = stock
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

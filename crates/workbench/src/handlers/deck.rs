//! The Deck.

use drawing::{GapKind, gaps};
use finding::Severity;
use maud::html;
use rig::Provenance;

use super::{Query, beside};
use crate::bench::Read;
use crate::pages::deck::{Deck, Sum};
use crate::pages::frame::{Head, Page};
use crate::pages::picked::Picked;
use crate::pages::value::{derived, derived_length};

pub(crate) fn page(head: Head, read: &Read, query: &Query) -> Page {
    let design = &read.design;
    let rig = &design.rig;
    let decks: Vec<String> = rig.board.decks.iter().map(|deck| deck.name.clone()).collect();
    let shown = query.get("deck").filter(|deck| rig.board.deck(deck).is_some()).map(str::to_owned);
    let picked = query.get("pick").and_then(|tag| rig.device(tag));
    let deck = Deck {
        head: &head,
        decks,
        shown,
        picked: picked.map(|device| device.tag.clone()),
        design,
        sums: sums(&head, read),
        unplaced: rig
            .devices
            .iter()
            .filter(|device| device.place.is_none() && !device.outside)
            .map(|device| device.tag.clone())
            .collect(),
    };
    let to_lid = |tag: &str| {
        gaps(design)
            .into_iter()
            .find(|gap| matches!(&gap.kind, GapKind::Lid { device } if device == tag))
            .map(|gap| gap.found)
    };
    let side = html! {
        (beside(&head, read, picked.map(|device| device.tag.as_str())))
        @if let Some(device) = picked {
            (Picked { head: &head, design, device, to_lid: to_lid(&device.tag) }.html())
        }
    };
    // After an edit the drawing follows by itself: findings and sums do not wait for it.
    let main = (!query.quick).then(|| deck.main(&read.plan(deck.shown.as_deref())));
    let (tools, sums) = (deck.tools(), Some(deck.sums()));
    Page { head, tools, main, side, sums }
}

fn worst(read: &Read, rules: &[&str]) -> Option<Severity> {
    read.findings
        .iter()
        .filter(|finding| finding.accepted.is_none() && rules.contains(&finding.rule))
        .map(|finding| finding.severity)
        .min()
}

fn sums(head: &Head, read: &Read) -> Vec<Sum> {
    let design = &read.design;
    let mass = &design.mass;
    let unknown = mass.items.iter().filter(|item| item.mass.is_unknown()).count();
    let kg = |grams: quantity::Grams| format!("{:.1}", grams.get() / 1000.0);
    let counted = design::given::count(&design.rig);
    let spare = design
        .leads
        .iter()
        .filter(|lead| lead.cut.from == Provenance::Measured && !lead.outside)
        .filter_map(|lead| Some((lead.cut.value? - lead.needed.value?, &lead.tag)))
        .min();
    let tight = gaps(design).into_iter().next();
    vec![
        Sum {
            label: "Mass, cased",
            figure: derived(head, "mass", "", &kg(mass.cased), "kg"),
            worst: worst(read, &["mass", "baggage-mass"]),
            rests: if unknown > 0 {
                format!("{} kg bare; {unknown} masses unknown", kg(mass.bare))
            } else {
                format!("{} kg bare", kg(mass.bare))
            },
        },
        Sum {
            label: "Tightest gap",
            figure: match &tight {
                Some(gap) => derived_length(head, "gap", &gap.number.to_string(), gap.found),
                None => html! { "\u{2014}" },
            },
            worst: worst(read, &["clearance", "lid-height", "board-edge"]),
            rests: match &tight {
                Some(gap) => {
                    let (a, b) = gap.ends();
                    let b = if b.is_empty() { "the lid".to_owned() } else { b };
                    format!("{a} to {b}; least {}", crate::pages::value::length(gap.least, head.unit).0)
                }
                None => "nothing is near anything".to_owned(),
            },
        },
        Sum {
            label: "Assumed values",
            figure: html! { (derived(head, "assumed", "", &counted.assumed.to_string(), "")) span.unit { " of " (counted.given) } },
            worst: None,
            rests: format!("{} unknown", counted.unknown),
        },
        Sum {
            label: "Spare on leads, least",
            figure: match &spare {
                Some((spare, tag)) => derived_length(head, "lead", tag, *spare),
                None => html! { "\u{2014}" },
            },
            worst: worst(read, &["lead-short"]),
            rests: match &spare {
                Some((_, tag)) => (*tag).clone(),
                None => "no lead is made yet".to_owned(),
            },
        },
        Sum {
            label: "Open findings",
            figure: html! { (head.open.iter().sum::<usize>()) },
            worst: read.findings.iter().filter(|f| f.accepted.is_none()).map(|f| f.severity).min(),
            rests: format!("{} stop, {} look, {} note", head.open[0], head.open[1], head.open[2]),
        },
    ]
}

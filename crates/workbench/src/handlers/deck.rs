//! The Deck.

use drawing::{Gap, GapKind, gaps};
use finding::Severity;
use maud::html;

use super::{Query, beside};
use crate::heard::{Hearing, heard};
use crate::pages::deck::{Deck, Sum};
use crate::pages::frame::{Head, Page};
use crate::pages::picked::Picked;
use crate::pages::value::{derived, derived_length};
use crate::read::Read;

pub(crate) fn page(head: Head, read: &Read, query: &Query) -> Page {
    let design = read.shown();
    let rig = &design.rig;
    let decks: Vec<String> = rig.board.decks.iter().map(|deck| deck.name.clone()).collect();
    let shown = query.get("deck").filter(|deck| rig.board.deck(deck).is_some()).map(str::to_owned);
    let picked = query.get("pick").and_then(|tag| rig.device(tag));
    let gaps = gaps(design);
    let heard = heard(read);
    let deck = Deck {
        head: &head,
        decks,
        shown,
        picked: picked.map(|device| device.tag.clone()),
        design,
        sums: sums(&head, read, &gaps, heard),
        unplaced: rig
            .devices
            .iter()
            .filter(|device| device.place.is_none() && !device.outside)
            .map(|device| device.tag.clone())
            .collect(),
    };
    let to_lid = |tag: &str| {
        gaps.iter()
            .find(|gap| matches!(&gap.kind, GapKind::Lid { device } if device == tag))
            .map(|gap| gap.found)
    };
    let side = html! {
        (crate::pages::arrange::section(&head, read))
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
    read.findings()
        .iter()
        .filter(|finding| finding.accepted.is_none() && rules.contains(&finding.rule))
        .map(|finding| finding.severity)
        .min()
}

fn sums(head: &Head, read: &Read, gaps: &[Gap], heard: Hearing) -> Vec<Sum> {
    let design = read.shown();
    let mass = &design.mass;
    let unknown = mass.items.iter().filter(|item| item.mass.is_unknown()).count();
    let kg = |grams: quantity::Grams| format!("{:.1}", grams.get() / 1000.0);
    let counted = design::given::count(&design.rig);
    let spare = design
        .leads
        .iter()
        .filter(|lead| lead.made && !lead.outside)
        .filter_map(|lead| Some((lead.cut.value? - lead.needed.value?, &lead.tag)))
        .min();
    let tight = gaps.first();
    vec![
        Sum {
            label: "Mass, cased",
            // What is unknown only adds to it.
            figure: html! { @if 0 < unknown { span.unit { "at least " } } (derived(head, "mass", "", &kg(mass.cased), "kg")) },
            worst: worst(read, &["mass", "baggage-mass"]),
            rests: if unknown > 0 {
                format!("{} kg bare; {unknown} masses unknown", kg(mass.bare))
            } else {
                format!("{} kg bare", kg(mass.bare))
            },
        },
        worst_change(head, heard),
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
                None => "no lead is cut yet".to_owned(),
            },
        },
    ]
}

fn worst_change(head: &Head, heard: Hearing) -> Sum {
    let label = "Worst change at 4 kHz";
    let plain = |figure: &str, rests: &str| Sum {
        label,
        figure: html! { (figure) },
        worst: None,
        rests: rests.to_owned(),
    };
    let heard = match heard {
        Hearing::ToCome => return plain("\u{2026}", "being worked out"),
        Hearing::Nothing => return plain("\u{2014}", "no way from a source to an end"),
        Hearing::Known(heard) => heard,
    };
    let figure = crate::pages::value::minus(format!("{:+.1}", heard.change_db));
    let on = match &heard.on {
        None => "a bound over all states".to_owned(),
        Some(tags) if tags.is_empty() => "everything bypassed".to_owned(),
        Some(tags) if 6 < tags.len() => format!("{} devices engaged", tags.len()),
        Some(tags) => format!("{} engaged", tags.join(", ")),
    };
    let lacks = if heard.lacks == 0 { String::new() } else { format!("; {} figures stand in", heard.lacks) };
    Sum {
        label,
        figure: derived(head, "change", &format!("{} to {}", heard.way.0, heard.way.1), &figure, "dB"),
        worst: (heard.limit_db < heard.change_db.abs()).then_some(Severity::Look),
        rests: format!("{on}; look beyond ±{:.0}{lacks}", heard.limit_db),
    }
}

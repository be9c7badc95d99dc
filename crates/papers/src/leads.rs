//! Lead schedule and cut list: by batch for who makes them, by order of plugging for who lays them.

use std::collections::{BTreeMap, BTreeSet};

use design::{
    Design, Lead, Making, batches, booked, cable_title, clocking, cut_plans, end_words, install_order,
    rests_on, sleeves,
};

use finding::Field;
use quantity::Length;
use rig::geometry::EndKind;

use crate::block::{Block, Cell, Table, blank, cell, figures, narrow_ticks, pair, share, tick, ticks, wide};
use crate::part::Part;
use crate::sheet::Lie;
use crate::words::{self, end_name, millimetres};
use crate::{PapersInput, cautions, text};

/// Width of the drawing of a loom: all of an upright sheet.
const LOOM_WIDE: f64 = 170.0;
/// Width of the sketch of a lead with a joint.
const JOINT_WIDE: f64 = 168.0;

/// The paper: one sheet of leads to make and to plug, then sketches of what is more than a wire from end to end.
pub(crate) fn leads(input: &PapersInput<'_>) -> Part {
    let design = input.design;
    let mut blocks = vec![Block::Title(text::LEAD_SHEET), Block::Faint(text::LEAD_SHEET_NOTE.to_owned())];
    blocks.extend(cautions::solder(design));
    blocks.extend(cautions::strip(design));
    let cut = booked(design, input.shelf);
    if !cut.is_empty() {
        let tags: Vec<&str> = cut.iter().map(|lead| lead.tag.as_str()).collect();
        blocks.push(Block::Faint(text::cut_already(&tags.join(", "))));
    }
    blocks.push(Block::Table(lead_sheet(input)));
    blocks.extend(rests(design));
    blocks.extend(joints(design));
    blocks.extend(looms(design));
    let mut part = Part::blocks(input, "leads", text::LEADS, "-LEA", Lie::Portrait, blocks);
    part.files.extend([cut_list(design), install_list(design), cut_plan(input)]);
    part
}

/// Every lead once: those made here by batch, with all that is needed to cut, make and plug them; then all others.
fn lead_sheet(input: &PapersInput<'_>) -> Table {
    let design = input.design;
    let mut table = Table::new(
        "",
        11.0,
        vec![
            wide(text::LEAD, 13.5),
            figures(text::IN_ORDER, "", 9.0),
            share(text::FROM, 1.0),
            share(text::TO, 1.0),
            wide(text::TWIST, 16.5),
            figures(text::CUT, text::MM, 21.0),
            wide(text::SLEEVES, 20.5),
            narrow_ticks(text::TICK_CUT),
            narrow_ticks(text::TICK_MADE),
            narrow_ticks(text::TICK_PLUGGED),
        ],
    )
    .grid();
    let order: BTreeMap<&str, usize> = install_order(design)
        .into_iter()
        .enumerate()
        .map(|(index, lead)| (lead.tag.as_str(), index + 1))
        .collect();
    let number = |lead: &Lead| cell(order.get(lead.tag.as_str()).map_or_else(String::new, usize::to_string));
    let places = cut_places(input);
    for batch in batches(design) {
        table.group(batch_head(&batch), batch_note(&batch));
        for lead in batch.leads.iter().filter_map(|index| design.leads.get(*index)) {
            let letters: Vec<&str> = sleeves(&lead.tag).into_iter().map(design::Colour::letters).collect();
            let mut cut = cut_of(design, lead);
            if let Some(place) = places.get(lead.tag.as_str()).filter(|_| !lead.is_joined()) {
                cut = cut.line(place.clone());
            }
            if let Some(service) = lead.service {
                cut = cut.line(text::service_loop(&service.figure_mm(0)));
            }
            table.row([
                cell(lead.tag.clone()).bold(),
                number(lead),
                with_exits(ends_of(design, lead, EndKind::From), lead, EndKind::From),
                with_exits(through(ends_of(design, lead, EndKind::To), lead), lead, EndKind::To),
                words::turn(clocking(&design.rig, lead)),
                cut,
                cell(letters.join(" ")),
                tick(),
                tick(),
                tick(),
            ]);
        }
    }
    let mut others = install_order(design).into_iter().filter(|lead| lead.making != Making::Made).peekable();
    if others.peek().is_some() {
        table.group(text::NOT_MADE_HERE, "");
    }
    for lead in others {
        let given = matches!(
            lead.cut.from,
            rig::Provenance::Measured | rig::Provenance::Photo | rig::Provenance::Printed
        );
        let is_cut = lead.making == Making::Captive && given;
        table.row([
            cell(lead.tag.clone()).bold(),
            number(lead),
            ends_of(design, lead, EndKind::From),
            through(ends_of(design, lead, EndKind::To), lead),
            cell(text::DASH),
            if is_cut { cut_of(design, lead) } else { cell(text::DASH) },
            cell(lead.source_words()),
            blank(),
            blank(),
            tick(),
        ]);
    }
    table.none = text::NO_LEADS;
    table
}

/// What a batch is called: its number, its cable, and what its leads end in.
fn batch_head(batch: &design::Batch) -> String {
    let cable = batch.cable.as_deref().unwrap_or(text::OPEN_CABLE);
    let ends = match batch.ends.as_slice() {
        [one, other] if one == other => text::both_ends(one),
        ends => ends.join(" – "),
    };
    text::batch(batch.number, cable, &ends)
}

/// The head of a batch: how many, how long together, and what is stripped.
fn batch_note(batch: &design::Batch) -> String {
    let inside = match batch.strips.as_slice() {
        [] | [None, None] => String::new(),
        [one, other] if one == other => one.map_or_else(String::new, |one| stripped(text::AT_EACH_PLUG, one)),
        // Where a lead has a joint, two of its plugs may be of one kind: told once.
        strips => {
            let mut told: Vec<String> = Vec::new();
            for (end, strip) in batch.ends.iter().zip(strips) {
                let Some(words) = strip.map(|strip| stripped(&text::at_plug(end), strip)) else { continue };
                if !told.contains(&words) {
                    told.push(words);
                }
            }
            told.concat()
        }
    };
    let metres = format!("{:.2}", batch.length.as_mm() / 1000.0);
    text::batch_note(batch.leads.len(), &metres, batch.unknown, &inside)
}

fn stripped(at: &str, strip: design::Strip) -> String {
    let figure = |known: rig::Known<quantity::Length>| known.value.unwrap_or_default().figure_mm(0);
    let mark = if strip.jacket.is_assumed() || strip.core.is_assumed() { text::ASSUMED_LETTER } else { "" };
    text::strip(at, &figure(strip.jacket), &figure(strip.core), mark)
}

/// From which offcut each lead is cut, where the shop has any: what comes off an endless reel needs no plan.
fn cut_places(input: &PapersInput<'_>) -> BTreeMap<String, String> {
    let mut out = BTreeMap::new();
    for cuts in cut_plans(input.design, input.shelf) {
        for step in &cuts.plan.steps {
            let (source, piece) = (&cuts.sources[step.source], &cuts.pieces[step.piece]);
            if source.reel && source.id == text::REEL {
                continue;
            }
            out.insert(piece.id.clone(), text::cut_from(&source.id, step.offset_mm));
        }
    }
    out
}

/// The ends with the way the cable leaves each plug below, where it matters.
fn with_exits(ends: Cell, lead: &Lead, kind: EndKind) -> Cell {
    let exits: Vec<&str> = lead
        .side(kind)
        .filter_map(|(_, end)| match (end.has_plug(), end.plug.exit) {
            (true, Some(exit)) => Some(exit.word()),
            (false, _) => Some(end_words(end)),
            (true, None) => None,
        })
        .collect();
    if exits.is_empty() { ends } else { ends.line(exits.join(", ")) }
}

fn cut_list(design: &Design) -> Table {
    let mut table = Table::new(
        "cut-list",
        11.0,
        vec![
            wide(text::LEAD, 14.0),
            share(text::FROM, 1.0),
            wide(text::EXIT, 14.5),
            share(text::TO, 1.0),
            wide(text::EXIT, 14.5),
            wide(text::SECOND_TURNED, 31.0),
            figures(text::CUT, text::MM, 17.0),
            wide(text::SLEEVES, 20.0),
            ticks(text::TICK_CUT),
            ticks(text::TICK_MADE),
            figures(text::OHMS, "Ω", 17.0),
            figures(text::OHMS, "pF", 17.0),
            ticks(text::TICK_TESTED),
        ],
    )
    .grid();
    for batch in batches(design) {
        table.group(batch_head(&batch), batch_note(&batch));
        for lead in batch.leads.iter().filter_map(|index| design.leads.get(*index)) {
            let exit = |kind: EndKind| {
                let words = lead.side(kind).map(|(_, end)| match (end.has_plug(), end.plug.exit) {
                    (false, _) => text::DASH,
                    (true, Some(exit)) => exit.word(),
                    (true, None) => text::EXIT_FREE,
                });
                stacked(words.map(str::to_owned))
            };
            let letters: Vec<&str> = sleeves(&lead.tag).into_iter().map(design::Colour::letters).collect();
            table.row([
                cell(lead.tag.clone()).bold(),
                ends_of(design, lead, EndKind::From),
                exit(EndKind::From),
                ends_of(design, lead, EndKind::To),
                exit(EndKind::To),
                words::clocking(clocking(&design.rig, lead)),
                cut_of(design, lead),
                cell(letters.join(" ")),
                tick(),
                tick(),
                blank(),
                blank(),
                tick(),
            ]);
        }
    }
    table.none = text::NO_LEADS_TO_MAKE;
    table
}

/// Words one below the other.
fn stacked(words: impl Iterator<Item = String>) -> Cell {
    let mut words = words;
    let first = cell(words.next().unwrap_or_default());
    words.fold(first, Cell::line)
}

/// The ends of one kind, with the letters of their legs where there is a joint.
fn ends_of(design: &Design, lead: &Lead, kind: EndKind) -> Cell {
    stacked(lead.side(kind).map(|(_, end)| {
        let name = end_name(design, &end.port);
        if lead.is_joined() { format!("{} {name}", end.letter) } else { name }
    }))
}

/// An end with the glands that its lead passes on the way, below it.
fn through(end: Cell, lead: &Lead) -> Cell {
    if lead.through.is_empty() { end } else { end.line(lead.through_words()) }
}

/// What a lead is cut to: one length, or one for each leg.
///
/// A computed length that rests on something nobody measured is marked as such.
pub(crate) fn cut_of(design: &Design, lead: &Lead) -> Cell {
    let rests = !rests_on(design, lead).is_empty();
    if !lead.is_joined() {
        return millimetres(lead.cut).bold().assumed(lead.cut.is_assumed() || rests);
    }
    let legs = lead.legs.iter().enumerate().map(|(leg, of)| {
        let cut = of.cut.value.map_or_else(|| "?".to_owned(), |cut| cut.figure_mm(0));
        format!("{} {cut}", lead.ends[leg].letter)
    });
    stacked(legs).even().assumed(rests || lead.legs.iter().any(|leg| leg.cut.is_assumed()))
}

/// What the computed lengths of the leads that are made here rest on, by name.
fn rests(design: &Design) -> Vec<Block> {
    let made = design.leads.iter().filter(|lead| lead.making == Making::Made);
    let fields: BTreeSet<Field> = made.flat_map(|lead| rests_on(design, lead)).collect();
    if fields.is_empty() {
        return Vec::new();
    }
    let mut of: BTreeMap<usize, BTreeSet<&str>> = BTreeMap::new();
    for field in &fields {
        let parts: Vec<&str> = field.parts().iter().map(String::as_str).collect();
        let (what, whose) = match parts[..] {
            ["device", tag, "size"] => (0, tag),
            ["device", tag, "place"] => (1, tag),
            ["device", tag, "bracket"] => (6, tag),
            ["device", tag, "feed", "adaptor", ..] => (7, tag),
            ["board", "deck", deck, ..] => (8, deck),
            ["device", tag, "port", _, "behind"] => (9, tag),
            ["device", tag, ..] => (2, tag),
            ["plug", id, ..] => (3, id),
            ["cable", id, ..] => (4, id),
            [_, name, ..] => (5, name),
            _ => continue,
        };
        of.entry(what).or_default().insert(whose);
    }
    let told = of.into_iter().map(|(what, whose)| {
        let mut whose: Vec<&str> = whose.into_iter().collect();
        whose.sort_by(|a, b| rig::tag_order(a, b));
        pair(text::CUT_RESTS_ON[what], whose.join(", "))
    });
    vec![Block::Faint(text::CUTS_REST_ON.to_owned()), Block::Pairs(told.collect(), 1, 68.0, 11.0)]
}

/// From which reel or offcut each piece is cut, and where on it.
fn cut_plan(input: &PapersInput<'_>) -> Table {
    let mut table = Table::new(
        "cut-plan",
        11.0,
        vec![
            share(text::SOURCE, 1.0),
            figures(text::BEGINS, text::MM, 26.0),
            figures(text::PIECE, text::MM, 26.0),
            wide(text::LEAD, 26.0),
            ticks(text::TICK_CUT),
        ],
    )
    .grid();
    for cuts in cut_plans(input.design, input.shelf) {
        let cable = cuts.cable.as_deref().map_or(text::OPEN_CABLE, |id| cable_title(input.design, id));
        let fresh = Length::from_mm(cuts.plan.fresh_mm).as_mm() / 1000.0;
        let note = text::cuts_note(
            cuts.pieces.len(),
            &format!("{fresh:.2}"),
            cuts.plan.waste_mm,
            cuts.plan.is_proven(),
        );
        table.group(cable, note);
        for step in &cuts.plan.steps {
            let (source, piece) = (&cuts.sources[step.source], &cuts.pieces[step.piece]);
            let kind = if source.reel { text::REEL } else { text::OFFCUT };
            let name = if source.id == kind { kind.to_owned() } else { format!("{kind} {}", source.id) };
            table.row([
                cell(name),
                cell(step.offset_mm.to_string()),
                cell(piece.mm.to_string()).bold(),
                cell(piece.id.clone()).bold(),
                tick(),
            ]);
        }
        for &missing in &cuts.plan.missing {
            let piece = &cuts.pieces[missing];
            table.row([
                cell(text::NO_SOURCE),
                cell(text::DASH),
                cell(piece.mm.to_string()).bold(),
                cell(piece.id.clone()).bold(),
                blank(),
            ]);
        }
    }
    table.none = text::NOTHING_TO_CUT;
    table
}

/// Leads that are more than a wire from end to end: which contact goes to which, and how the joint is made.
fn joints(design: &Design) -> Vec<Block> {
    let mut figures = Vec::new();
    for lead in design.leads.iter().filter(|lead| lead.making == Making::Made) {
        if let Some(sketch) = drawing::joint(design, lead, JOINT_WIDE) {
            let at = design.is_laid().then(|| design.joint_words(lead)).flatten();
            let head = text::joint(&lead.tag, lead.shape.word(), lead.ends.len(), at.as_deref());
            figures.push(Block::Figure(sketch, head));
        }
    }
    if figures.is_empty() {
        return Vec::new();
    }
    let mut blocks =
        vec![Block::Head(text::JOINTS.to_owned(), String::new()), Block::Faint(text::JOINTS_NOTE.to_owned())];
    blocks.extend(figures);
    blocks
}

/// A drawing of each loom.
fn looms(design: &Design) -> Vec<Block> {
    let looms = &design.routes().outcome.looms;
    if looms.is_empty() {
        return Vec::new();
    }
    let mut blocks =
        vec![Block::Head(text::LOOMS.to_owned(), String::new()), Block::Faint(text::LOOMS_NOTE.to_owned())];
    for loom in looms {
        let trunk = format!("{:.0}", loom.trunk_mm);
        let head = text::loom(loom.number, loom.class.word(), loom.members.len(), &trunk);
        blocks.push(Block::Figure(drawing::loom(design, loom, LOOM_WIDE), head));
    }
    blocks
}

fn install_list(design: &Design) -> Table {
    let mut table = Table::new(
        "lead-schedule",
        11.0,
        vec![
            figures(text::ORDER_NUMBER, "", 9.0),
            ticks(text::TICK_PLUGGED),
            wide(text::LEAD, 14.0),
            wide(text::CLASS, 18.0),
            share(text::FROM, 1.25),
            share(text::PLUG, 1.0),
            share(text::TO, 1.25),
            share(text::PLUG, 1.0),
            share(text::CABLE, 1.0),
            figures(text::CUT, text::MM, 19.0),
            wide(text::LOOM, 14.0),
            wide(text::COMES_FROM, 34.0),
        ],
    );
    let looms: BTreeMap<&str, usize> = design
        .routes()
        .outcome
        .leads
        .iter()
        .filter_map(|laid| Some((laid.id.as_str(), laid.loom?)))
        .collect();
    for (index, lead) in install_order(design).into_iter().enumerate() {
        let how = lead.making;
        // A captive lead is as long as its maker made it, or as it is shortened: only then is there a figure.
        let given = matches!(
            lead.cut.from,
            rig::Provenance::Measured | rig::Provenance::Photo | rig::Provenance::Printed
        );
        // Nor is a lead of the player's own cut by anybody.
        let is_cut = how == Making::Made || (how == Making::Captive && given);
        let cut = if is_cut { cut_of(design, lead) } else { cell(text::DASH) };
        let plug = |kind: EndKind| {
            let words = lead.side(kind).map(|(_, end)| match how {
                Making::Theirs if end.port.port.is_empty() => text::DASH,
                _ => end_words(end),
            });
            stacked(words.map(str::to_owned))
        };
        table.row([
            cell((index + 1).to_string()),
            tick(),
            cell(lead.tag.clone()).bold(),
            cell(lead.class.word()),
            ends_of(design, lead, EndKind::From),
            plug(EndKind::From),
            through(ends_of(design, lead, EndKind::To), lead),
            plug(EndKind::To),
            cell(lead.cable_words()),
            cut,
            cell(
                lead.parts()
                    .iter()
                    .find_map(|part| looms.get(part.as_str()))
                    .map_or_else(String::new, usize::to_string),
            ),
            cell(lead.source_words()),
        ]);
    }
    table.none = text::NO_LEADS;
    table
}

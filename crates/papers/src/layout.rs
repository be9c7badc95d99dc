//! The layout sheet: plan and view A to scale, the tightest gaps, what is to be agreed.

use design::{Design, given};
use drawing::{Drawing, Gap, GapKind, Scale, Theme, Weight, check_bar, gaps, legend, plan, side, svg};
use finding::{Finding, Severity};
use quantity::Length;
use rig::geometry::{BoxClass, Owner};
use serde_json::{Value, json};

use crate::block::{Table, cell, figures, share};
use crate::part::{Body, Part};
use crate::sheet::{INSET, Lie, Sheet, fit, scales};
use crate::words::{OpenFindings, bare_mass, travel_mass};
use crate::{PapersInput, text};

/// Width of the column with gaps and sums.
const COLUMN: f64 = 60.0;
/// Height of the lower part, with view A, legend and title block.
const LOWER: f64 = 68.0;
/// Room for the head of a drawing.
const HEAD: f64 = 7.0;

/// A rectangle on the sheet: left, top, width, height.
#[derive(Debug, Clone, Copy)]
struct Room {
    x: f64,
    y: f64,
    w: f64,
    h: f64,
}

impl Room {
    fn holds(&self, drawing: &Drawing) -> bool {
        drawing.width_mm <= self.w && drawing.height_mm <= self.h
    }
}

/// Plan and view A to scale on one sheet; on a sheet twice as large where the plan would be smaller than 1 : 5.
pub(crate) fn layout(input: &PapersInput<'_>) -> Part {
    let made = on(input, false);
    if LEAST_SCALE <= made.1.factor() {
        return made.0;
    }
    // A large board has a page for its plan alone, and what is told beside it on the next: no larger paper is needed.
    let apart = on(input, true);
    if made.1.factor() < apart.1.factor() { apart.0 } else { made.0 }
}

/// The smallest scale at which the numbers on a plan can be followed.
const LEAST_SCALE: f64 = 0.2;

/// Room for the bar under a plan that has a page of its own.
const BAR: f64 = 8.0;

fn on(input: &PapersInput<'_>, apart: bool) -> (Part, Scale) {
    let design = input.design;
    let sheet = Sheet::of(input.paper, Lie::Landscape);
    let lower = sheet.bottom - LOWER;
    let beside = if apart { 0.0 } else { COLUMN + INSET };
    let plan_room = Room {
        x: sheet.left + INSET,
        y: sheet.top + INSET + HEAD,
        w: sheet.right - sheet.left - beside - 2.0 * INSET,
        h: if apart { sheet.block_top - BAR } else { lower } - sheet.top - INSET - HEAD,
    };
    let side_room = Room {
        x: sheet.left + INSET,
        y: lower + HEAD,
        w: sheet.block_left - sheet.left - 2.0 * INSET,
        h: LOWER - HEAD - 1.0,
    };
    let extent = design.rig.board.extent();
    let board = (extent.width.as_mm(), extent.depth.as_mm());
    let (plan, plan_scale) = largest(plan_room, board, |scale| plan(design, None, scale));
    // The view keeps the plan's scale wherever it can; a deep board beside a small one may not allow it.
    let (side, side_scale) = {
        let same = side(design, plan_scale);
        if side_room.holds(&same) {
            (same, plan_scale)
        } else {
            largest(side_room, (board.1, 0.0), |scale| side(design, scale))
        }
    };
    let paper = input.paper.word();
    let scale_words = if side_scale == plan_scale {
        format!("{plan_scale}, {paper}")
    } else {
        format!("{plan_scale} ({side_scale}), {paper}")
    };
    let gaps = gaps(design);
    let title = if design.rig.board.decks.len() > 1 { text::LAYOUT_ALL } else { text::LAYOUT_ONE };
    let column = Room {
        x: sheet.right - INSET - COLUMN,
        y: sheet.top + INSET,
        w: COLUMN,
        h: lower - sheet.top - INSET,
    };
    let legend = legend(plan_scale);
    let bar = check_bar();
    let right = sheet.right - INSET;
    let bar_at = (right - bar.width_mm, sheet.block_top - bar.height_mm - 2.5);
    let legend_at = (bar_at.0, bar_at.1 - legend.height_mm - 3.0);
    let plan_head = if design.rig.board.decks.len() > 1 { text::PLAN_ALL } else { text::PLAN };
    let side_head = if design.rig.board.lid.is_some() { text::VIEW_A_LID } else { text::VIEW_A };
    let plan_drawing = placed("/layout/plan.svg", &plan, centred(plan_room, &plan));
    let plan_title = head(plan_room.x, plan_room.y - 4.0, plan_head, &plan_scale.to_string());
    let ways_x = if apart { sheet.right - INSET } else { column.x - INSET };
    let ways = json!({ "x": ways_x, "y": plan_room.y - 4.0, "words": text::WAYS });
    let side_y = side_room.y + ((side_room.h - side.height_mm) / 2.0).clamp(0.0, 4.0);
    let mut page = json!({
        "drawings": [
            placed("/layout/side.svg", &side, (side_room.x, side_y)),
            placed("/layout/legend.svg", &legend, legend_at),
            placed("/layout/bar.svg", &bar, bar_at),
        ],
        "heads": [
            head(side_room.x, side_room.y - 3.0, side_head, &side_scale.to_string()),
            head(legend_at.0, legend_at.1 - 2.0, text::LEGEND, ""),
        ],
        "column": { "x": column.x, "y": column.y, "w": COLUMN, "zoom": 1.0 },
        "gaps": gaps_data(&gaps),
        "agree": agree(design, input.findings),
    });
    let pages = if apart {
        let bar = placed("/layout/bar.svg", &bar, bar_at);
        vec![json!({ "drawings": [plan_drawing, bar], "heads": [plan_title], "ways": ways }), page]
    } else {
        page["ways"] = ways;
        for (list, value) in [("drawings", plan_drawing), ("heads", plan_title)] {
            if let Some(list) = page[list].as_array_mut() {
                list.insert(0, value);
            }
        }
        vec![page]
    };
    let file = |name: &str, drawing: &Drawing| {
        (format!("/layout/{name}.svg"), svg(drawing, Theme::Paper).into_bytes())
    };
    let files = vec![file("plan", &plan), file("side", &side), file("legend", &legend), file("bar", &bar)];
    let part = Part {
        name: "layout",
        title: title.to_owned(),
        suffix: "-LAY",
        kind: text::TYPE_LAYOUT,
        scale: scale_words,
        sheet,
        body: Body::Framed(pages, files),
        own: true,
        files: vec![gap_table(&gaps)],
    };
    (part, plan_scale)
}

/// The gaps as values.
fn gap_table(gaps: &[Gap]) -> Table {
    let mut table = Table::new(
        "gaps",
        9.0,
        vec![
            figures("gap", "", 10.0),
            share("between", 1.0),
            figures(text::FOUND, text::MM, 20.0),
            figures(text::LEAST, text::MM, 20.0),
            figures(text::SPARE, text::MM, 20.0),
        ],
    );
    for gap in gaps {
        table.row([
            cell(gap.number.to_string()),
            cell(between(gap)),
            cell(gap.found.figure_mm(1)).assumed(gap.assumed),
            cell(gap.least.figure_mm(1)),
            cell(gap.spare.figure_mm(1)),
        ]);
    }
    table
}

/// The drawing at the largest scale that fits, and that scale; where none does, the last one. Scales at which
/// not even the `bare` board would fit are not drawn: a plan takes its time.
fn largest(room: Room, bare: (f64, f64), draw: impl Fn(Scale) -> Drawing) -> (Drawing, Scale) {
    let mut last = None;
    let may = |scale: &Scale| bare.0 * scale.factor() <= room.w && bare.1 * scale.factor() <= room.h;
    for scale in scales().filter(may) {
        let drawing = draw(scale);
        if room.holds(&drawing) {
            return (drawing, scale);
        }
        last = Some((drawing, scale));
    }
    last.unwrap_or_else(|| (draw(Scale::one_to(1)), Scale::one_to(1)))
}

fn centred(room: Room, drawing: &Drawing) -> (f64, f64) {
    (room.x + (room.w - drawing.width_mm) / 2.0, room.y + (room.h - drawing.height_mm) / 2.0)
}

fn placed(file: &str, drawing: &Drawing, (x, y): (f64, f64)) -> Value {
    json!({ "file": file, "x": x, "y": y, "w": drawing.width_mm, "h": drawing.height_mm, "alt": drawing.title })
}

fn head(x: f64, y: f64, words: &str, scale: &str) -> Value {
    json!({ "x": x, "y": y, "words": words, "scale": scale })
}

fn gaps_data(gaps: &[Gap]) -> Value {
    let decimals = usize::from(
        gaps.iter().flat_map(|gap| [gap.found, gap.least, gap.spare]).any(|length| !is_whole(length)),
    );
    let rows: Vec<Value> = gaps
        .iter()
        .map(|gap| {
            let figure = |length: Length| length.figure_mm(decimals);
            let tight = severity(gap);
            json!({
                "number": gap.number.to_string(),
                "what": fit(&between(gap), 7.0, Weight::Regular, COLUMN - 34.5),
                "found": figure(gap.found),
                "least": figure(gap.least),
                "spare": figure(gap.spare),
                "assumed": gap.assumed,
                "tight": tight.map(Severity::word).unwrap_or_default(),
                "word": tight.map(text::severity).unwrap_or_default(),
            })
        })
        .collect();
    json!({
        "head": text::GAPS,
        "unit": text::MM,
        "columns": [text::FOUND, text::LEAST, text::SPARE],
        "none": text::NO_GAPS,
        "note": text::DOTTED,
        "rows": rows,
    })
}

/// How bad a gap is that has less than is wanted: foam under a lid may be pressed, nothing else.
fn severity(gap: &Gap) -> Option<Severity> {
    let pressed = matches!(gap.kind, GapKind::Lid { .. }) && Length::ZERO <= gap.found;
    gap.is_too_tight().then_some(if pressed { Severity::Look } else { Severity::Stop })
}

fn is_whole(length: Length) -> bool {
    length.nm() % 1_000_000 == 0
}

/// What a gap lies between, in few words: `C1 C2, plugs` or `C6 plug, C9`.
fn between(gap: &Gap) -> String {
    let short = |words: String| fit(&words, 7.0, Weight::Regular, 13.0);
    match &gap.kind {
        GapKind::Lid { device } => format!("{}, {}", short(device.clone()), text::LID),
        GapKind::Boxes { of, from } => {
            let name = |owner: &Owner| {
                short(owner.device().map_or_else(
                    || match owner {
                        Owner::Board { part, .. } => part.clone(),
                        other => other.to_string(),
                    },
                    str::to_owned,
                ))
            };
            let (a, b) = (name(&of.0), name(&from.0));
            match (of.1, from.1) {
                (BoxClass::Plug, BoxClass::Plug) if a == b => format!("{a}, plugs"),
                (BoxClass::Plug, BoxClass::Plug) => format!("{a} {b}, plugs"),
                (x, y) => format!("{a}{}, {b}{}", word(x), word(y)),
            }
        }
    }
}

fn word(class: BoxClass) -> String {
    match class {
        BoxClass::Body | BoxClass::Sheet | BoxClass::Rail | BoxClass::Riser => String::new(),
        BoxClass::Behind => format!(" {}", text::BEHIND),
        other => format!(" {}", other.word()),
    }
}

/// What is to be agreed: masses, how much is only assumed, what stands open.
fn agree(design: &Design, findings: &[Finding]) -> Value {
    let unknown = |all: &[design::MassItem]| all.iter().filter(|item| item.mass.is_unknown()).count();
    let case = usize::from(design.rig.board.case.is_some());
    let items = &design.mass.items;
    let mass_row = |label: &str, kilos: &crate::block::Cell, over: usize| {
        let unit = if over > 0 { text::unknown_masses(over) } else { String::new() };
        json!({ "label": label, "value": kilos.words, "unit": unit, "assumed": kilos.assumed })
    };
    let mut rows = vec![mass_row(text::MASS_BARE, &bare_mass(design), unknown(&items[..items.len() - case]))];
    if 0 < case {
        rows.push(mass_row(text::MASS_CASED, &travel_mass(design), unknown(items)));
    }
    let count = given::count(&design.rig);
    rows.push(json!({
        "label": text::ASSUMED_VALUES,
        "value": count.assumed.to_string(),
        "unit": text::of_count(count.given),
        "assumed": false,
    }));
    let open = OpenFindings::of(findings);
    rows.push(json!({
        "label": text::OPEN_FINDINGS,
        "counts": [
            { "mark": "stop", "count": open.stops },
            { "mark": "look", "count": open.looks },
            { "mark": "note", "count": open.notes },
        ],
    }));
    let row = |label: &str, count: usize| json!({ "label": label, "value": count.to_string(), "unit": "", "assumed": false });
    rows.push(row(text::NOT_JUDGED, open.unchecked));
    rows.push(row(text::ANSWERED_COUNT, open.answered));
    json!({ "head": text::TO_AGREE, "rows": rows })
}

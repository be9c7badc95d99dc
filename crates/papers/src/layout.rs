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
    let made = on(input, Lie::Landscape);
    if LEAST_SCALE <= made.1.factor() {
        return made.0;
    }
    let larger = on(input, Lie::Double);
    if made.1.factor() < larger.1.factor() { larger.0 } else { made.0 }
}

/// The smallest scale at which the numbers on a plan can be followed.
const LEAST_SCALE: f64 = 0.2;

fn on(input: &PapersInput<'_>, lie: Lie) -> (Part, Scale) {
    let design = input.design;
    let sheet = Sheet::of(input.paper, lie);
    let lower = sheet.bottom - LOWER;
    // A sheet that is twice as large has room for larger type beside the plan.
    let zoom = if lie == Lie::Double { 1.45 } else { 1.0 };
    let column_wide = COLUMN * zoom;
    let plan_room = Room {
        x: sheet.left + INSET,
        y: sheet.top + INSET + HEAD,
        w: sheet.right - sheet.left - column_wide - 3.0 * INSET,
        h: lower - sheet.top - INSET - HEAD,
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
    let paper = match lie {
        Lie::Double => input.paper.double_word(),
        _ => input.paper.word(),
    };
    let scale_words = if side_scale == plan_scale {
        format!("{plan_scale}, {paper}")
    } else {
        format!("{plan_scale} ({side_scale}), {paper}")
    };
    let gaps = gaps(design);
    let title = if design.rig.board.decks.len() > 1 { text::LAYOUT_ALL } else { text::LAYOUT_ONE };
    let column = Room {
        x: sheet.right - INSET - column_wide,
        y: sheet.top + INSET,
        w: column_wide,
        h: lower - sheet.top - INSET,
    };
    let legend = legend(plan_scale);
    let bar = check_bar();
    let right = sheet.right - INSET;
    let bar_at = (right - bar.width_mm, sheet.block_top - bar.height_mm - 2.5);
    let legend_at = (bar_at.0, bar_at.1 - legend.height_mm - 3.0);
    let plan_head = if design.rig.board.decks.len() > 1 { text::PLAN_ALL } else { text::PLAN };
    let side_head = if design.rig.board.lid.is_some() { text::VIEW_A_LID } else { text::VIEW_A };
    let page = json!({
        "drawings": [
            placed("/layout/plan.svg", &plan, centred(plan_room, &plan)),
            placed("/layout/side.svg", &side, (side_room.x, side_room.y + ((side_room.h - side.height_mm) / 2.0).clamp(0.0, 4.0))),
            placed("/layout/legend.svg", &legend, legend_at),
            placed("/layout/bar.svg", &bar, bar_at),
        ],
        "heads": [
            head(plan_room.x, plan_room.y - 4.0, plan_head, &plan_scale.to_string()),
            head(side_room.x, side_room.y - 3.0, side_head, &side_scale.to_string()),
            head(legend_at.0, legend_at.1 - 2.0, text::LEGEND, ""),
        ],
        "ways": { "x": column.x - INSET, "y": plan_room.y - 4.0, "words": text::WAYS },
        "column": { "x": column.x, "y": column.y, "w": COLUMN, "zoom": zoom },
        "gaps": gaps_data(&gaps),
        "agree": agree(design, input.findings),
    });
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
        body: Body::Framed(vec![page], files),
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
    let mass = &design.mass;
    let unknown = mass.items.iter().filter(|item| item.mass.is_unknown()).count();
    let assumed = mass.items.iter().any(|item| item.mass.is_assumed());
    let mass_row = |label: &str, grams: quantity::Grams, over: usize| {
        let kilos = format!("{:.1}", grams.get() / 1000.0);
        let (value, unit) = if over > 0 {
            (format!("≥ {kilos}"), text::unknown_masses(over))
        } else {
            (kilos, text::KG.to_owned())
        };
        json!({ "label": label, "value": value, "unit": unit, "assumed": assumed })
    };
    let case_unknown = design.rig.board.case.as_ref().is_some_and(|case| case.mass.is_unknown());
    let mut rows =
        vec![mass_row(text::MASS_BARE, mass.bare, unknown - usize::from(case_unknown).min(unknown))];
    if design.rig.board.case.is_some() {
        rows.push(mass_row(text::MASS_CASED, mass.cased, unknown));
    }
    let count = given::count(&design.rig);
    rows.push(json!({
        "label": text::ASSUMED_VALUES,
        "value": count.assumed.to_string(),
        "unit": text::of_count(count.given),
        "assumed": false,
    }));
    let open = |severity: Severity| {
        findings
            .iter()
            .filter(|finding| {
                finding.severity == severity && finding.accepted.is_none() && !finding.is_unchecked()
            })
            .count()
    };
    rows.push(json!({
        "label": text::OPEN_FINDINGS,
        "counts": [
            { "mark": "stop", "count": open(Severity::Stop) },
            { "mark": "look", "count": open(Severity::Look) },
            { "mark": "note", "count": open(Severity::Note) },
        ],
    }));
    let row = |label: &str, count: usize| json!({ "label": label, "value": count.to_string(), "unit": "", "assumed": false });
    rows.push(row(
        text::NOT_JUDGED,
        findings.iter().filter(|f| f.is_unchecked() && f.accepted.is_none()).count(),
    ));
    rows.push(row(
        text::ANSWERED_COUNT,
        findings.iter().filter(|finding| finding.accepted.is_some()).count(),
    ));
    json!({ "head": text::TO_AGREE, "rows": rows })
}

//! What every paper has in common: size, frame, title block, footer; and text made fit for a place.

use drawing::{Scale, Weight, text as measure};
use rig::Job;
use serde_json::{Value, json};

use crate::text;

/// Points in a millimetre.
pub(crate) const PT: f64 = 25.4 / 72.0;
/// How far the frame stands in from the edge: at the left for filing, elsewhere (ISO 5457:1999, 3).
const FILING: f64 = 20.0;
const EDGE: f64 = 10.0;
/// Length of the fields of the grid along the frame, counted from the middle (ISO 5457:1999, 4.3).
const FIELD: f64 = 50.0;
/// The title block at the bottom right.
const BLOCK: (f64, f64) = (132.0, 34.0);
/// What stands off the frame.
pub(crate) const INSET: f64 = 4.0;

/// The size of the sheets.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub enum PaperSize {
    /// 297 by 210 mm.
    #[default]
    A4,
    /// 11 by 8½ in.
    Letter,
}

impl PaperSize {
    /// Its name on the sheet.
    pub fn word(self) -> &'static str {
        match self {
            Self::A4 => "A4",
            Self::Letter => "Letter",
        }
    }

    /// Width and height of a sheet that lies, in millimetres.
    pub fn landscape_mm(self) -> (f64, f64) {
        match self {
            Self::A4 => (297.0, 210.0),
            Self::Letter => (279.4, 215.9),
        }
    }
}

/// The measures of a lying sheet, in millimetres.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Sheet {
    pub(crate) width: f64,
    pub(crate) height: f64,
    /// The frame's inner edges.
    pub(crate) left: f64,
    pub(crate) top: f64,
    pub(crate) right: f64,
    pub(crate) bottom: f64,
    /// The title block's corner.
    pub(crate) block_left: f64,
    pub(crate) block_top: f64,
}

/// How a page lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Lie {
    /// The long side up.
    Portrait,
    /// The long side along.
    Landscape,
    /// Half a sheet, upright (A5; half of a letter).
    Card,
}

impl Sheet {
    /// A sheet of this size, lying like this.
    pub(crate) fn of(size: PaperSize, lie: Lie) -> Self {
        let (long, short) = size.landscape_mm();
        match lie {
            Lie::Landscape => Self::sized(long, short),
            Lie::Portrait => Self::sized(short, long),
            Lie::Card => Self { left: EDGE, ..Self::sized((long / 2.0).floor(), short) },
        }
    }

    /// The height of the strip along the foot.
    fn strip(&self) -> f64 {
        if self.width < 170.0 { 13.0 } else { 20.0 }
    }

    /// Where the strip along the foot begins.
    pub(crate) fn strip_top(&self) -> f64 {
        self.bottom - self.strip()
    }

    /// The room within the frame, less the strip: width and height.
    pub(crate) fn room(&self) -> (f64, f64) {
        (self.right - self.left - 2.0 * INSET, self.strip_top() - self.top - INSET - 2.5)
    }

    /// A sheet of any size.
    pub(crate) fn sized(width: f64, height: f64) -> Self {
        let (right, bottom) = (width - EDGE, height - EDGE);
        Self {
            width,
            height,
            left: FILING,
            top: EDGE,
            right,
            bottom,
            block_left: right - BLOCK.0,
            block_top: bottom - BLOCK.1,
        }
    }
}

/// How pages are counted that are bound with others.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Bound {
    /// What is said before the number: `bench page`.
    pub(crate) words: &'static str,
    /// The part that begins at page 1.
    pub(crate) first: &'static str,
    /// The part that ends the count.
    pub(crate) last: &'static str,
}

/// What the title block says, beside what the job brings.
pub(crate) struct Heading<'a> {
    pub(crate) name: &'static str,
    pub(crate) title: &'a str,
    pub(crate) kind: &'a str,
    pub(crate) number_suffix: &'a str,
    pub(crate) scale: &'a str,
    pub(crate) program_version: &'a str,
    pub(crate) input_hash: &'a str,
    /// Why nothing is to be built from it yet.
    pub(crate) halt: Option<&'a str>,
    /// How its pages are counted among others.
    pub(crate) bound: Option<Bound>,
    /// What this revision replaces.
    pub(crate) supersedes: &'a str,
    /// The caution that stands on every page, where the board gives reason for it.
    pub(crate) caution: Option<&'static str>,
}

/// Whether the papers of a job are drafts: nobody has dated or numbered a revision.
pub(crate) fn is_draft(job: &Job) -> bool {
    job.date.as_deref().unwrap_or("").trim().is_empty()
        || job.revision.as_deref().unwrap_or("").trim().is_empty()
}

/// The data of `sheet.typ`.
pub(crate) fn sheet_data(sheet: &Sheet, job: &Job, heading: &Heading<'_>) -> Value {
    let version = fit(heading.program_version, 7.0, Weight::Regular, 40.0);
    let hash = fit(heading.input_hash, 7.0, Weight::Regular, 30.0);
    json!({
        "width": sheet.width,
        "height": sheet.height,
        "left": sheet.left,
        "top": sheet.top,
        "right": sheet.right,
        "bottom": sheet.bottom,
        "inset": INSET,
        "block": { "left": sheet.block_left, "top": sheet.block_top },
        "across": fields(sheet.width, sheet.left, sheet.right),
        "down": fields(sheet.height, sheet.top, sheet.bottom),
        "cells": cells(sheet, job, heading),
        "of": text::OF,
        "title": clean_or(heading.title, text::DASH),
        "author": clean_or(job.workshop.as_deref().unwrap_or_default(), text::PROGRAM),
        "footer": footer(sheet, heading, &format!("{} {version}, {} {hash}", text::PROGRAM, text::INPUT)),
        "part": heading.name,
        "halt": heading.halt,
        "bound": heading.bound.map(|bound| {
            json!({ "words": bound.words, "first": bound.first, "last": bound.last })
        }),
        "strip": strip(sheet, job, heading),
        "strip_top": sheet.strip_top(),
    })
}

/// The line below the frame: what made the page, and the caution; a card has no room for it.
fn footer(sheet: &Sheet, heading: &Heading<'_>, made_by: &str) -> String {
    match heading.caution.filter(|_| 170.0 <= sheet.width) {
        Some(caution) => format!("{made_by}. {caution}"),
        None => made_by.to_owned(),
    }
}

/// Where the fields of the grid end, from the middle outwards.
fn fields(whole: f64, from: f64, to: f64) -> Vec<f64> {
    let middle = whole / 2.0;
    let mut at = middle;
    while at - FIELD > from {
        at -= FIELD;
    }
    let mut out = Vec::new();
    while at < to {
        out.push(at);
        at += FIELD;
    }
    // A last field shorter than half is one with its neighbour.
    out.retain(|tick| *tick - from > FIELD / 4.0 && to - *tick > FIELD / 4.0);
    out
}

/// What an invoice has behind the job's number.
pub(crate) const INVOICE_SUFFIX: &str = "-INV";

/// What a sheet is for: an invoice is not approved but paid.
fn status(draft: bool, heading: &Heading<'_>) -> &'static str {
    match (draft, heading.number_suffix) {
        (true, _) => text::DRAFT,
        (false, INVOICE_SUFFIX) => text::INVOICED,
        (false, _) => text::FOR_APPROVAL,
    }
}

/// The title block cell by cell (fields after ISO 7200:2004). Values are fitted to their cells.
fn cells(sheet: &Sheet, job: &Job, heading: &Heading<'_>) -> Vec<Value> {
    let draft = is_draft(job);
    let given = |value: &Option<String>| clean_or(value.as_deref().unwrap_or_default(), text::DASH);
    let player = given(&job.player);
    let name = clean_or(&job.title, text::DASH);
    let job_line = if player == text::DASH { name } else { text::job_for(&name, &player) };
    let number = match job.number.as_deref().map(measure::clean).filter(|number| !number.is_empty()) {
        Some(number) => format!("{number}{}", heading.number_suffix),
        None => text::DASH.to_owned(),
    };
    let or_draft = |value: &Option<String>| {
        let value = given(value);
        if value == text::DASH { text::DRAFT.to_owned() } else { value }
    };
    let status = status(draft, heading);
    // Left edge and width within the block; rows from the top.
    let columns = [0.0, 72.0, 104.0, 118.0, 132.0];
    let stacked =
        |row: (f64, f64), from: usize, to: usize, label: &str, value: String, size: f64, bold: bool| {
            let wide = columns[to] - columns[from];
            let weight = if bold { Weight::Bold } else { Weight::Regular };
            json!({
                "x": sheet.block_left + columns[from],
                "y": sheet.block_top + row.0,
                "w": wide,
                "h": row.1,
                "label": label,
                "value": fit(&value, size, weight, wide - 3.0),
                "size": size,
                "bold": bold,
                "beside": Value::Null,
            })
        };
    let level = |row: (f64, f64), from: f64, to: f64, label: &str, value: String| {
        let beside = measure::width(label, 7.0 * PT, Weight::Regular) + 2.0;
        json!({
            "x": sheet.block_left + from,
            "y": sheet.block_top + row.0,
            "w": to - from,
            "h": row.1,
            "label": label,
            "value": fit(&value, 8.0, Weight::Regular, to - from - beside - 3.0),
            "size": 8.0,
            "bold": false,
            "beside": beside,
        })
    };
    let rows = [(0.0, 11.0), (11.0, 9.0), (20.0, 7.0), (27.0, 7.0)];
    let mut sheet_number = stacked(rows[0], 3, 4, text::SHEET, String::new(), 8.0, false);
    if let Some(cell) = sheet_number.as_object_mut() {
        cell.insert("page".into(), Value::Bool(true));
    }
    vec![
        stacked(rows[0], 0, 1, text::TITLE, heading.title.to_owned(), 13.0, true),
        stacked(rows[0], 1, 2, text::NUMBER, number, 9.0, true),
        stacked(rows[0], 2, 3, text::REVISION, or_draft(&job.revision), 9.0, true),
        sheet_number,
        stacked(rows[1], 0, 1, text::JOB, job_line, 8.0, false),
        stacked(rows[1], 1, 2, text::DATE, or_draft(&job.date), 8.0, false),
        stacked(rows[1], 2, 4, text::STATUS, status.to_owned(), 8.0, draft),
        level(rows[2], 0.0, 40.0, text::WORKSHOP, given(&job.workshop)),
        level(rows[2], 40.0, 72.0, text::DRAWN_BY, given(&job.drawn_by)),
        level(rows[2], 72.0, 104.0, text::SCALE, heading.scale.to_owned()),
        level(rows[2], 104.0, 132.0, text::TYPE, heading.kind.to_owned()),
        level(rows[3], 0.0, 42.0, text::APPROVED, String::new()),
        level(rows[3], 42.0, 80.0, text::SUPERSEDES, heading.supersedes.to_owned()),
        level(rows[3], 80.0, 132.0, text::DATUM, text::DATUM_PLACE.to_owned()),
    ]
}

/// The strip along the foot of a page of lists: the fields of the title block in two rows, in one on a card.
fn strip(sheet: &Sheet, job: &Job, heading: &Heading<'_>) -> Vec<Value> {
    let given = |value: &Option<String>| clean_or(value.as_deref().unwrap_or_default(), text::DASH);
    let player = given(&job.player);
    let name = clean_or(&job.title, text::DASH);
    let job_line = if player == text::DASH { name } else { text::job_for(&name, &player) };
    let draft = is_draft(job);
    let revision = match given(&job.revision) {
        words if words == text::DASH => text::DRAFT.to_owned(),
        words => words,
    };
    let date = match given(&job.date) {
        words if words == text::DASH => text::DRAFT.to_owned(),
        words => words,
    };
    let number = match job.number.as_deref().map(measure::clean).filter(|number| !number.is_empty()) {
        Some(number) => format!("{number}{}", heading.number_suffix),
        None => text::DASH.to_owned(),
    };
    let status = status(draft, heading);
    let top = sheet.strip_top();
    let wide = sheet.right - sheet.left;
    let mut out = Vec::new();
    let mut row = |y: f64, high: f64, cells: &[(f64, &str, String, f64, bool, bool)]| {
        let fixed: f64 = cells.iter().map(|cell| cell.0).filter(|w| *w > 1.0).sum();
        let shares: f64 = cells.iter().map(|cell| cell.0).filter(|w| *w <= 1.0).sum();
        let mut x = sheet.left;
        for (w, label, value, size, bold, page) in cells {
            let w = if *w > 1.0 { *w } else { (wide - fixed) * w / shares };
            let weight = if *bold { Weight::Bold } else { Weight::Regular };
            out.push(json!({
                "x": x, "y": y, "w": w, "h": high, "label": label,
                "value": fit(value, *size, weight, w - 3.0),
                "size": size, "bold": bold, "page": page,
            }));
            x += w;
        }
    };
    if sheet.width < 170.0 {
        row(
            top,
            13.0,
            &[
                (1.0, text::TITLE, heading.title.to_owned(), 11.0, true, false),
                (28.0, text::NUMBER, number, 8.0, true, false),
                (16.0, text::REVISION, revision, 9.0, true, false),
                (28.0, text::SUPERSEDES, heading.supersedes.to_owned(), 8.0, false, false),
                (15.0, text::SHEET, String::new(), 8.0, false, true),
            ],
        );
    } else {
        row(
            top,
            11.0,
            &[
                (1.0, text::TITLE, heading.title.to_owned(), 13.0, true, false),
                (38.0, text::NUMBER, number, 9.0, true, false),
                (18.0, text::REVISION, revision, 9.0, true, false),
                (22.0, text::SHEET, String::new(), 9.0, true, true),
            ],
        );
        row(
            top + 11.0,
            9.0,
            &[
                (1.0, text::JOB, job_line, 8.0, false, false),
                (26.0, text::DRAWN_BY, given(&job.drawn_by), 8.0, false, false),
                (22.0, text::DATE, date, 8.0, false, false),
                (22.0, text::STATUS, status.to_owned(), 8.0, draft, false),
                (30.0, text::SUPERSEDES, heading.supersedes.to_owned(), 8.0, false, false),
            ],
        );
    }
    out
}

/// A text fitted into so many millimetres at a size in points.
pub(crate) fn fit(words: &str, points: f64, weight: Weight, most_mm: f64) -> String {
    measure::fit(words, points * PT, weight, most_mm)
}

fn clean_or(words: &str, otherwise: &str) -> String {
    let words = measure::clean(words);
    if words.is_empty() { otherwise.to_owned() } else { words }
}

/// A text that may run over several lines: cleaned, cut at so many characters, and given places to break
/// within long words, so that it cannot leave its column.
pub(crate) fn soft(words: &str, most: usize) -> String {
    /// Beyond so many letters a word may break anywhere.
    const UNBROKEN: usize = 14;
    /// A part of a name that is worth a line of its own.
    const PART: usize = 3;
    let words = unquoted(&measure::clean(words));
    let mut out = String::new();
    let mut run = 0;
    for (count, c) in words.chars().enumerate() {
        if count == most {
            out.push('…');
            break;
        }
        if c == ' ' {
            run = 0;
        } else {
            if run == UNBROKEN {
                out.push('\u{200b}');
                run = 0;
            }
            run += 1;
        }
        out.push(c);
        // A name breaks at its joints first: `PNL.` `P1_` `RETURN`.
        if matches!(c, '.' | '_' | '/')
            && PART <= run
            && words.chars().nth(count + 1).is_some_and(char::is_alphabetic)
        {
            out.push('\u{200b}');
            run = 0;
        }
    }
    out
}

/// Names between back-ticks, as messages have them, as print has them: a single word plain, several in quotes.
fn unquoted(words: &str) -> String {
    let parts: Vec<&str> = words.split('`').collect();
    // An odd tick is no quotation.
    if parts.len().is_multiple_of(2) {
        return words.to_owned();
    }
    let mut out = String::new();
    for (index, part) in parts.into_iter().enumerate() {
        if index % 2 == 1 && part.contains(' ') {
            out.push('“');
            out.push_str(part);
            out.push('”');
        } else {
            out.push_str(part);
        }
    }
    out
}

/// The scales of ISO 5455 from life size down, as many as any board may need.
pub(crate) fn scales() -> impl Iterator<Item = Scale> {
    [1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000, 20_000, 50_000, 100_000]
        .into_iter()
        .map(Scale::one_to)
}

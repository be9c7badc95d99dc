//! What pages are made of: heads, pairs, tables, figures; each table is also a file of values.

use std::borrow::Cow;

use drawing::{Drawing, Theme, svg};
use rig::{Known, Provenance};
use serde_json::{Value, json};

use crate::sheet::soft;
use crate::text;

/// The most rows that are kept on one page.
const KEPT: usize = 24;
/// The longest text of a cell, in characters.
const MOST: usize = 400;

/// One cell of a table, or the value of a pair.
#[derive(Debug, Clone, Default)]
#[expect(
    clippy::struct_excessive_bools,
    reason = "each is one switch of the template, and any may go with any"
)]
pub(crate) struct Cell {
    /// What it says.
    pub(crate) words: String,
    /// The unit of the figure it says; in a column of its own behind the figures.
    unit: String,
    /// Whether it is only assumed.
    pub(crate) assumed: bool,
    bold: bool,
    faint: bool,
    tick: bool,
    left: bool,
    even: bool,
    /// A small picture before the words: a file of its own name among those of the set.
    picture: Option<&'static str>,
    /// Severity and whether it is answered.
    mark: Option<(&'static str, bool)>,
    lines: Vec<String>,
}

/// The file of the picture of two plugs turned against each other by quarters.
pub(crate) fn clock_file(degrees: u32) -> &'static str {
    match degrees % 360 {
        0 => "/clock-0.svg",
        90 => "/clock-90.svg",
        180 => "/clock-180.svg",
        _ => "/clock-270.svg",
    }
}

/// A cell that says something.
pub(crate) fn cell(words: impl Into<String>) -> Cell {
    Cell { words: words.into(), ..Cell::default() }
}

/// A cell to write in.
pub(crate) fn blank() -> Cell {
    Cell::default()
}

/// A box to tick.
pub(crate) fn tick() -> Cell {
    Cell { tick: true, ..Cell::default() }
}

/// A known value as a cell; `?` when nobody knows it.
pub(crate) fn known<T: Copy>(value: Known<T>, show: impl Fn(T) -> String) -> Cell {
    match value.value {
        Some(shown) => {
            Cell { words: show(shown), assumed: value.from == Provenance::Assumed, ..Cell::default() }
        }
        None => cell(text::UNKNOWN),
    }
}

impl Cell {
    pub(crate) fn bold(mut self) -> Self {
        self.bold = true;
        self
    }

    pub(crate) fn faint(mut self) -> Self {
        self.faint = true;
        self
    }

    /// Words in a column of figures.
    pub(crate) fn left(mut self) -> Self {
        self.left = true;
        self
    }

    pub(crate) fn assumed(mut self, assumed: bool) -> Self {
        self.assumed = assumed;
        self
    }

    pub(crate) fn picture(mut self, file: &'static str) -> Self {
        self.picture = Some(file);
        self
    }

    pub(crate) fn marked(mut self, severity: &'static str, answered: bool) -> Self {
        self.mark = Some((severity, answered));
        self
    }

    /// The unit of its figure. All cells of a column that has units should state one, if empty, so that their
    /// figures stand below each other.
    pub(crate) fn unit(mut self, unit: impl Into<String>) -> Self {
        let unit = unit.into();
        // A figure without a unit among others leaves room for one.
        self.unit = if unit.is_empty() { "\u{2003}".to_owned() } else { unit };
        self
    }

    /// Lines below that weigh as much as the first.
    pub(crate) fn even(mut self) -> Self {
        self.even = true;
        self
    }

    /// A line of less weight below.
    pub(crate) fn line(mut self, words: impl Into<String>) -> Self {
        let words = words.into();
        if !words.is_empty() {
            self.lines.push(words);
        }
        self
    }

    fn json(&self) -> Value {
        let mut out = json!({ "t": soft(&self.words, MOST) });
        let mut set = |key: &str, value: Value| out[key] = value;
        for (key, is) in [
            ("a", self.assumed),
            ("b", self.bold),
            ("f", self.faint),
            ("box", self.tick),
            ("left", self.left),
            ("even", self.even),
        ] {
            if is {
                set(key, json!(true));
            }
        }
        if let Some(file) = self.picture {
            set("pic", json!(file));
        }
        if let Some((severity, answered)) = self.mark {
            set("mark", json!(severity));
            set("struck", json!(answered));
        }
        if !self.unit.is_empty() {
            set("unit", json!(self.unit));
        }
        if !self.lines.is_empty() {
            let lines: Vec<String> = self.lines.iter().map(|line| soft(line, MOST)).collect();
            set("lines", json!(lines));
        }
        out
    }

    /// Everything it says, for a file of values; its unit has a column of its own.
    fn plain(&self) -> String {
        let mut out = self.words.trim().to_owned();
        for line in &self.lines {
            if !out.is_empty() {
                out.push_str("; ");
            }
            out.push_str(line);
        }
        out
    }

    /// The plain number it says, if it says one, and what else it says: `1.2` and `at least` of `≥ 1.2`.
    fn figure(&self) -> (String, String) {
        let is_number = |words: &str| words.replace('\u{2212}', "-").parse::<f64>().is_ok_and(f64::is_finite);
        let words = self.words.trim();
        let (figure, mut remark) = if is_number(words) {
            (words.to_owned(), String::new())
        } else if let Some(least) = words.strip_prefix("≥ ").filter(|least| is_number(least)) {
            (least.to_owned(), text::CSV_AT_LEAST.to_owned())
        } else if words == text::DASH {
            (String::new(), String::new())
        } else {
            let words = if words == text::UNKNOWN { text::CSV_UNKNOWN } else { words };
            (String::new(), words.to_owned())
        };
        for line in &self.lines {
            if !remark.is_empty() {
                remark.push_str("; ");
            }
            remark.push_str(line);
        }
        (figure, remark)
    }
}

impl From<&str> for Cell {
    fn from(words: &str) -> Self {
        cell(words)
    }
}

impl From<String> for Cell {
    fn from(words: String) -> Self {
        cell(words)
    }
}

/// One column.
#[derive(Debug, Clone)]
pub(crate) struct Column {
    head: Cow<'static, str>,
    unit: &'static str,
    /// Millimetres, or a share of what is left.
    mm: Option<f64>,
    share: f64,
    right: bool,
    centre: bool,
    /// Whether it is there to be ticked and has no value.
    paper_only: bool,
}

/// A column as wide as its share of what is left.
pub(crate) fn share(head: impl Into<Cow<'static, str>>, share: f64) -> Column {
    Column { head: head.into(), unit: "", mm: None, share, right: false, centre: false, paper_only: false }
}

/// A column of so many millimetres.
pub(crate) fn wide(head: &'static str, mm: f64) -> Column {
    Column { mm: Some(mm), ..share(head, 0.0) }
}

/// A column of figures, with their unit in the head.
pub(crate) fn figures(head: &'static str, unit: &'static str, mm: f64) -> Column {
    Column { unit, right: true, ..wide(head, mm) }
}

/// A column of boxes to tick.
pub(crate) fn ticks(head: &'static str) -> Column {
    Column { centre: true, paper_only: true, ..wide(head, 14.5) }
}

/// The same where there are many columns: as wide as the box.
pub(crate) fn narrow_ticks(head: &'static str) -> Column {
    Column { mm: Some(10.5), ..ticks(head) }
}

impl Column {
    fn json(&self) -> Value {
        let mut out = json!({
            "head": soft(&self.head, 60), "unit": self.unit, "right": self.right, "centre": self.centre,
        });
        match self.mm {
            Some(mm) => out["mm"] = json!(mm),
            None => out["fr"] = json!(self.share),
        }
        out
    }
}

/// One row.
#[derive(Debug, Clone)]
pub(crate) enum Row {
    /// Cells, one for each column.
    Cells(Vec<Cell>),
    /// The head of the rows that follow, with a remark.
    Group(String, String),
}

/// A table, which is also a file.
#[derive(Debug, Clone)]
pub(crate) struct Table {
    /// The name of its file, without an ending; empty when it has none.
    pub(crate) file: &'static str,
    pub(crate) columns: Vec<Column>,
    pub(crate) rows: Vec<Row>,
    /// Size of its type in points.
    pub(crate) size: f64,
    /// Whether it is filled in by hand: lines between columns, tall rows.
    pub(crate) grid: bool,
    /// Whether its rows stand close, for a card.
    tight: bool,
    /// Whether it stays on one page.
    keep: bool,
    /// What is said when it is empty.
    pub(crate) none: &'static str,
}

impl Table {
    pub(crate) fn new(file: &'static str, size: f64, columns: Vec<Column>) -> Self {
        Self {
            file,
            columns,
            rows: Vec::new(),
            size,
            grid: false,
            tight: false,
            keep: false,
            none: text::NONE,
        }
    }

    pub(crate) fn grid(mut self) -> Self {
        self.grid = true;
        self
    }

    pub(crate) fn tight(mut self) -> Self {
        self.tight = true;
        self
    }

    /// Keeps it on one page, as long as it has not very many rows.
    pub(crate) fn keep(mut self) -> Self {
        self.keep = true;
        self
    }

    pub(crate) fn row(&mut self, cells: impl IntoIterator<Item = Cell>) {
        self.rows.push(Row::Cells(cells.into_iter().collect()));
    }

    pub(crate) fn group(&mut self, head: impl Into<String>, note: impl Into<String>) {
        self.rows.push(Row::Group(head.into(), note.into()));
    }

    fn json(&self) -> Value {
        let rows: Vec<Value> = self
            .rows
            .iter()
            .map(|row| match row {
                Row::Cells(cells) => json!({ "cells": cells.iter().map(Cell::json).collect::<Vec<_>>() }),
                Row::Group(head, note) => json!({ "group": soft(head, 160), "note": soft(note, 200) }),
            })
            .collect();
        json!({
            "kind": "table",
            "columns": self.columns.iter().map(Column::json).collect::<Vec<_>>(),
            "rows": rows,
            "chunks": self.chunks(),
            "size": self.size,
            "grid": self.grid,
            "pad": if self.tight { 0.9 } else if self.grid { 1.4 } else { 1.3 },
            "none": self.none,
            "keep": self.keep && self.rows.len() <= KEPT,
        })
    }

    /// How many rows stay together, one number for each piece: a head with its first two rows, the first two
    /// and the last two rows, so that none stands alone on a page.
    fn chunks(&self) -> Vec<usize> {
        let count = self.rows.len();
        // Whether a page may break after row `i`.
        let mut may: Vec<bool> = vec![true; count];
        for (index, row) in self.rows.iter().enumerate() {
            if matches!(row, Row::Group(..)) {
                may[index] = false;
                let last = index + 2 >= count || matches!(self.rows[index + 2], Row::Group(..));
                if index + 1 < count && !last {
                    may[index + 1] = false;
                }
                // The last two rows before a head belong together, too.
                if index >= 2 && matches!(self.rows[index - 2], Row::Cells(_)) {
                    may[index - 2] = false;
                }
            }
        }
        if count > 1 {
            may[0] = false;
            may[count - 2] = false;
        }
        let mut chunks = Vec::new();
        let mut size = 0;
        for (index, may) in may.iter().enumerate() {
            size += 1;
            if *may || index + 1 == count {
                chunks.push(size);
                size = 0;
            }
        }
        chunks
    }

    /// Its values: a head and rows of equal length, each heading once.
    ///
    /// A column with a unit holds plain numbers; what else is said there stands in a column of remarks behind it. Where each
    /// cell has a unit of its own, that is a column, too. A column in which anything is assumed is followed by one that
    /// says so.
    pub(crate) fn values(&self) -> Vec<Vec<String>> {
        let cells = || {
            self.rows.iter().filter_map(|row| match row {
                Row::Cells(cells) => Some(cells),
                Row::Group(..) => None,
            })
        };
        let any =
            |index: usize, is: &dyn Fn(&Cell) -> bool| cells().any(|cells| cells.get(index).is_some_and(is));
        let kept: Vec<Kept> = (0..self.columns.len())
            .filter(|index| !self.columns[*index].paper_only)
            .map(|index| {
                let has_unit = !self.columns[index].unit.is_empty();
                Kept {
                    index,
                    has_unit,
                    units: any(index, &|cell| !cell.unit.trim().is_empty()),
                    remarks: has_unit && any(index, &|cell| !cell.figure().1.is_empty()),
                    assumed: any(index, &|cell| cell.assumed),
                }
            })
            .collect();
        let grouped = self.rows.iter().any(|row| matches!(row, Row::Group(..)));
        let mut head: Vec<String> = Vec::new();
        if grouped {
            head.push(text::CSV_GROUP.to_owned());
        }
        let mut before = String::new();
        for kept in &kept {
            let column = &self.columns[kept.index];
            let plain = if column.head.is_empty() { text::CSV_UNNAMED } else { column.head.as_ref() };
            let with_unit = |name: &str| format!("{name} {}", column.unit).trim().to_owned();
            // Two columns of one name are told apart by what stands before them: the exit of `from`, that of `to`.
            let name =
                if head.contains(&with_unit(plain)) { format!("{before} {plain}") } else { plain.to_owned() };
            let mut push = |words: String| {
                let mut unique = words.clone();
                let mut number = 2;
                while head.contains(&unique) {
                    unique = format!("{words} {number}");
                    number += 1;
                }
                head.push(unique);
            };
            push(with_unit(&name));
            if kept.units {
                push(format!("{name} {}", text::CSV_UNIT));
            }
            if kept.remarks {
                push(format!("{name} {}", text::CSV_REMARK));
            }
            if kept.assumed {
                push(format!("{name} {}", text::CSV_ASSUMED));
            }
            plain.clone_into(&mut before);
        }
        let mut out = vec![head];
        let mut group = String::new();
        for row in &self.rows {
            match row {
                Row::Group(head, _) => group.clone_from(head),
                Row::Cells(cells) => {
                    let mut line = Vec::new();
                    if grouped {
                        line.push(group.clone());
                    }
                    let none = Cell::default();
                    for kept in &kept {
                        kept.values(cells.get(kept.index).unwrap_or(&none), &mut line);
                    }
                    out.push(line);
                }
            }
        }
        out
    }
}

/// A column of a file of values.
#[expect(clippy::struct_excessive_bools, reason = "what a column has besides its figures, each by itself")]
struct Kept {
    index: usize,
    has_unit: bool,
    units: bool,
    remarks: bool,
    assumed: bool,
}

impl Kept {
    fn values(&self, cell: &Cell, line: &mut Vec<String>) {
        let (figure, remark) = cell.figure();
        line.push(if self.has_unit { figure } else { cell.plain() });
        if self.units {
            line.push(cell.unit.trim().to_owned());
        }
        if self.remarks {
            line.push(remark);
        }
        if self.assumed {
            line.push(if cell.assumed { text::CSV_ASSUMED.to_owned() } else { String::new() });
        }
    }
}

/// A label and its value.
#[derive(Debug, Clone)]
pub(crate) struct Pair {
    pub(crate) label: String,
    pub(crate) value: Cell,
}

/// A pair.
pub(crate) fn pair(label: impl Into<String>, value: impl Into<Cell>) -> Pair {
    Pair { label: label.into(), value: value.into() }
}

/// One block of a page.
#[derive(Debug, Clone)]
pub(crate) enum Block {
    /// The paper's name, large.
    Title(&'static str),
    /// What a binding is called, on its cover: a line above, the title, a line below.
    Banner {
        /// What it is.
        over: &'static str,
        /// The title, as large as it can be.
        title: String,
        /// Whose it is.
        under: String,
    },
    /// The head of what follows, with a remark.
    Head(String, String),
    /// Running text.
    Words(String),
    /// Running text of less weight.
    Faint(String),
    /// Labels and values in so many columns; width of the labels; size.
    Pairs(Vec<Pair>, usize, f64, f64),
    /// A table.
    Table(Table),
    /// A drawing as large as it is, with a head.
    Figure(Drawing, String),
    /// A drawing in the middle.
    Picture(Drawing),
    /// A drawing at its true size, cut off at its edges, with bars in both directions and a box for what was measured.
    LifeSize(Drawing, String),
    /// A drawing with labels and values beside it.
    Aside(Drawing, Vec<Pair>),
    /// A row of a form: what it is, lines to write on, and a drawing to draw into.
    Form(String, Vec<String>, Drawing),
    /// Photographs in a row of so many, each with what it shows and a remark.
    Tiles(usize, Vec<Tile>),
    /// Blocks that stay on one page.
    Together(Vec<Self>),
    /// Two drawings beside each other, each with its head.
    Beside([(Drawing, String); 2]),
    /// Something in a box: head, lines, size. It stays with what follows it.
    Boxed(String, Vec<String>, f64),
    /// Lines to sign on.
    Sign(Vec<&'static str>),
    /// The contents of a binding: the part at its page 1; name, title, reader of each.
    Contents(&'static str, Vec<[&'static str; 3]>),
    /// A new page.
    Break,
}

/// A photograph.
#[derive(Debug, Clone)]
pub(crate) struct Tile {
    /// The file, as JPEG.
    pub(crate) jpeg: Vec<u8>,
    /// What it shows.
    pub(crate) head: String,
    /// A remark.
    pub(crate) line: String,
}

impl Block {
    /// The block for the template; drawings go to `files` under the part's name.
    pub(crate) fn json(&self, part: &str, files: &mut Vec<(String, Vec<u8>)>) -> Value {
        match self {
            Self::Title(words) => json!({ "kind": "title", "words": words, "size": 15 }),
            Self::Banner { over, title, under } => {
                let size = match title.chars().count() {
                    0..=24 => 30,
                    25..=40 => 24,
                    _ => 18,
                };
                json!({
                    "kind": "banner",
                    "over": over,
                    "title": soft(title, 160),
                    "under": soft(under, 160),
                    "size": size,
                })
            }
            Self::Head(words, note) => {
                json!({ "kind": "head", "words": soft(words, 160), "note": soft(note, 240), "size": 12 })
            }
            Self::Words(words) => {
                json!({ "kind": "words", "words": soft(words, 2000), "size": 11, "faint": false })
            }
            Self::Faint(words) => {
                json!({ "kind": "words", "words": soft(words, 2000), "size": 11, "faint": true })
            }
            Self::Pairs(rows, columns, label, size) => json!({
                "kind": "pairs",
                "columns": columns,
                "label": label,
                "size": size,
                "rows": rows
                    .iter()
                    .map(|row| json!({ "label": soft(&row.label, 80), "value": row.value.json() }))
                    .collect::<Vec<_>>(),
            }),
            Self::Table(table) => table.json(),
            Self::Figure(drawing, head) => {
                let file = format!("/{part}/{}.svg", files.len());
                files.push((file.clone(), svg(drawing, Theme::Paper).into_bytes()));
                json!({
                    "kind": "figure",
                    "file": file,
                    "w": drawing.width_mm,
                    "h": drawing.height_mm,
                    "alt": drawing.title,
                    "head": soft(head, 160),
                    "centre": false,
                })
            }
            Self::Picture(drawing) => {
                let mut figure = Self::Figure(drawing.clone(), String::new()).json(part, files);
                figure["centre"] = json!(true);
                figure
            }
            Self::Beside(both) => {
                let parts: Vec<Value> = both
                    .iter()
                    .map(|(drawing, head)| Self::Figure(drawing.clone(), head.clone()).json(part, files))
                    .collect();
                json!({ "kind": "beside", "parts": parts })
            }
            Self::Aside(drawing, rows) => json!({
                "kind": "aside",
                "figure": Self::Figure(drawing.clone(), String::new()).json(part, files),
                "pairs": Self::Pairs(rows.clone(), 1, 30.0, 10.0).json(part, files),
            }),
            Self::Form(head, lines, drawing) => json!({
                "kind": "form",
                "head": soft(head, 80),
                "lines": lines.iter().map(|line| soft(line, 80)).collect::<Vec<_>>(),
                "figure": Self::Figure(drawing.clone(), String::new()).json(part, files),
            }),
            Self::Tiles(across, tiles) => {
                let tiles: Vec<Value> = tiles
                    .iter()
                    .map(|tile| {
                        let file = format!("/{part}/{}.jpg", files.len());
                        files.push((file.clone(), tile.jpeg.clone()));
                        json!({ "file": file, "head": soft(&tile.head, 80), "line": soft(&tile.line, 120) })
                    })
                    .collect();
                json!({ "kind": "tiles", "across": across, "tiles": tiles })
            }
            Self::Together(blocks) => json!({
                "kind": "together",
                "parts": blocks.iter().map(|block| block.json(part, files)).collect::<Vec<_>>(),
            }),
            Self::LifeSize(drawing, head) => {
                let mut put = |drawing: &Drawing| {
                    let file = format!("/{part}/{}.svg", files.len());
                    files.push((file.clone(), svg(drawing, Theme::Paper).into_bytes()));
                    json!({ "file": file, "w": drawing.width_mm, "h": drawing.height_mm, "alt": drawing.title })
                };
                let drawn = put(drawing);
                let (across, up) = (put(&drawing::check_bar()), put(&drawing::check_bar_upright()));
                json!({
                    "kind": "life-size",
                    "head": soft(head, 160),
                    "drawn": drawn,
                    "across": across,
                    "up": up,
                })
            }
            Self::Boxed(head, lines, size) => json!({
                "kind": "boxed",
                "sticky": true,
                "head": soft(head, 160),
                "lines": lines.iter().map(|line| soft(line, 600)).collect::<Vec<_>>(),
                "size": size,
            }),
            Self::Sign(fields) => json!({ "kind": "sign", "fields": fields }),
            Self::Contents(first, rows) => json!({
                "kind": "contents",
                "first": first,
                "heads": [text::CONTENTS_PAPER, text::CONTENTS_READER, text::CONTENTS_PAGE],
                "rows": rows
                    .iter()
                    .map(|[name, title, reader]| json!({ "name": name, "title": title, "reader": reader }))
                    .collect::<Vec<_>>(),
            }),
            Self::Break => json!({ "kind": "break" }),
        }
    }
}

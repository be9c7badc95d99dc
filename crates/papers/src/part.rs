//! One paper on its way into the set.

use std::collections::BTreeMap;
use std::fmt::Write as _;

use drawing::{Drawing, Theme, svg};
use serde_json::{Value, json};
use sha2::{Digest, Sha256};

use crate::block::{Block, Table};
use crate::csv::csv;
use crate::pocket::Leaf;
use crate::sheet::{Bound, Heading, Lie, Sheet, is_draft, sheet_data, soft};
use crate::world::{Job, Printed, Wanted, set};
use crate::{Binding, PaperError, PapersInput, text};

/// One paper: what stands in its title block, and its pages.
pub(crate) struct Part {
    /// Its name in the set.
    pub(crate) name: &'static str,
    /// Its title.
    pub(crate) title: String,
    /// What its number ends in.
    pub(crate) suffix: &'static str,
    /// Its kind, for a title block that has room for it.
    pub(crate) kind: &'static str,
    /// Its scale, for drawings.
    pub(crate) scale: String,
    /// The sheet it is on.
    pub(crate) sheet: Sheet,
    /// Its pages.
    pub(crate) body: Body,
    /// Whether it is a file of its own, too.
    pub(crate) own: bool,
    /// Tables that are files without standing on a page.
    pub(crate) files: Vec<Table>,
}

/// Parts that are bound together.
pub(crate) struct Group {
    /// What they are bound as.
    pub(crate) binding: Binding,
    /// The parts.
    pub(crate) parts: Vec<Part>,
    /// Whether they are a file together, too.
    pub(crate) whole: bool,
}

impl Group {
    /// One part that is not bound.
    pub(crate) fn loose(part: Part) -> Self {
        Self { binding: Binding::Office, parts: vec![part], whole: false }
    }

    /// What counts its pages.
    fn numbered(&self) -> Bound {
        let name = |part: Option<&Part>| part.map_or("", |part| part.name);
        Bound { words: self.binding.page(), first: name(self.parts.first()), last: name(self.parts.last()) }
    }
}

/// What the pages of a part are.
pub(crate) enum Body {
    /// Blocks one below the other.
    Blocks(Vec<Block>),
    /// Drawings and lines of text at places, with the strip at the foot.
    Placed(Vec<Placed>),
    /// One sheet that is cut once and folded: eight small pages in reading order.
    Folded(Vec<Leaf>),
    /// Framed drawing sheets, with the data their template wants.
    Framed(Vec<Value>, Vec<(String, Vec<u8>)>),
}

/// A drawing, its left and top, and the room it is cut to.
pub(crate) type PlacedDrawing = (Drawing, f64, f64, Option<(f64, f64)>);

/// One page of drawings at places.
#[derive(Default)]
pub(crate) struct Placed {
    /// Drawings at their places.
    pub(crate) drawings: Vec<PlacedDrawing>,
    /// Left, baseline, words, points, bold, faint.
    pub(crate) words: Vec<(f64, f64, String, f64, bool, bool)>,
}

impl Part {
    /// A paper of blocks.
    pub(crate) fn blocks(
        input: &PapersInput<'_>,
        name: &'static str,
        title: &str,
        suffix: &'static str,
        lie: Lie,
        blocks: Vec<Block>,
    ) -> Self {
        Self {
            name,
            title: title.to_owned(),
            suffix,
            kind: "",
            scale: String::new(),
            sheet: Sheet::of(input.paper, lie),
            body: Body::Blocks(blocks),
            own: true,
            files: Vec::new(),
        }
    }

    /// The tables of the paper that are files, too.
    pub(crate) fn tables(&self) -> Vec<(&'static str, String)> {
        let mut out = Vec::new();
        let on_pages: &[Block] = match &self.body {
            Body::Blocks(blocks) => blocks,
            _ => &[],
        };
        let tables = on_pages.iter().filter_map(|block| match block {
            Block::Table(table) => Some(table),
            _ => None,
        });
        for table in tables.chain(&self.files).filter(|table| !table.file.is_empty()) {
            out.push((table.file, csv(&table.values())));
        }
        out
    }

    fn json(&self, heading: &Heading<'_>, job: &rig::Job, files: &mut BTreeMap<String, Vec<u8>>) -> Value {
        let sheet = sheet_data(&self.sheet, job, heading);
        let mut own = Vec::new();
        // Whether pages are counted from here: a binding's first part, or a loose paper.
        let first = heading.bound.as_ref().is_none_or(|bound| bound.first == self.name);
        let value = match &self.body {
            Body::Blocks(blocks) => {
                let blocks: Vec<Value> = blocks.iter().map(|block| block.json(self.name, &mut own)).collect();
                json!({ "kind": "blocks", "name": self.name, "title": self.title, "first": first, "sheet": sheet, "blocks": blocks })
            }
            Body::Placed(pages) => {
                let pages: Vec<Value> = pages.iter().map(|page| page.json(self.name, &mut own)).collect();
                json!({ "kind": "placed", "name": self.name, "title": self.title, "first": first, "sheet": sheet, "pages": pages })
            }
            Body::Folded(leaves) => {
                let leaves: Vec<Value> = leaves
                    .iter()
                    .map(|leaf| {
                        let lines: Vec<String> = leaf.lines.iter().map(|line| soft(line, 400)).collect();
                        json!({ "head": soft(&leaf.head, 80), "lines": lines })
                    })
                    .collect();
                json!({ "kind": "folded", "name": self.name, "title": self.title, "first": first, "sheet": sheet, "leaves": leaves })
            }
            Body::Framed(pages, drawings) => {
                own.clone_from(drawings);
                json!({ "kind": "framed", "name": self.name, "title": self.title, "first": first, "sheet": sheet, "pages": pages })
            }
        };
        files.extend(own);
        value
    }
}

impl Placed {
    fn json(&self, part: &str, files: &mut Vec<(String, Vec<u8>)>) -> Value {
        let mut drawings = Vec::new();
        for (drawing, x, y, clip) in &self.drawings {
            let file = format!("/{part}/{}.svg", files.len());
            files.push((file.clone(), svg(drawing, Theme::Paper).into_bytes()));
            let mut value = json!({
                "file": file, "x": x, "y": y, "w": drawing.width_mm, "h": drawing.height_mm, "alt": drawing.title,
            });
            if let Some((w, h)) = clip {
                value["clip"] = json!([w, h]);
            }
            drawings.push(value);
        }
        let words: Vec<Value> = self
            .words
            .iter()
            .map(|(x, y, words, size, bold, faint)| {
                json!({ "x": x, "y": y, "words": words, "size": size, "bold": bold, "faint": faint })
            })
            .collect();
        json!({ "drawings": drawings, "words": words })
    }
}

/// Sets the parts of a group together; a group is a file of its own where that is wanted.
pub(crate) fn print(group: &Group, input: &PapersInput<'_>) -> Result<Vec<Printed>, PaperError> {
    let job = &input.design.rig.job;
    let mut files = BTreeMap::new();
    let supersedes = input.supersedes();
    let (halt, halt_handover) = (input.halt(), input.halt_handover());
    let values: Vec<Value> = group
        .parts
        .iter()
        .map(|part| {
            let heading = Heading {
                name: part.name,
                title: &part.title,
                kind: part.kind,
                number_suffix: part.suffix,
                scale: &part.scale,
                program_version: input.program_version,
                input_hash: input.input_hash,
                halt: if crate::is_handed_over(part.name) {
                    halt_handover.as_deref()
                } else {
                    halt.as_deref().filter(|_| crate::is_built_from(part.name))
                },
                bound: group.whole.then(|| group.numbered()),
                supersedes: &supersedes,
                caution: crate::cautions::foot(input.design),
            };
            part.json(&heading, job, &mut files)
        })
        .collect();
    for severity in [finding::Severity::Stop, finding::Severity::Look, finding::Severity::Note] {
        let mark = svg(&drawing::severity_mark(severity, 3.2), Theme::Paper);
        files.insert(format!("/{}.svg", severity.word()), mark.into_bytes());
    }
    for degrees in [0, 90, 180, 270] {
        let clock = svg(&drawing::clock_mark(degrees, 5.0), Theme::Paper);
        files.insert(crate::block::clock_file(degrees).to_owned(), clock.into_bytes());
    }
    let author = drawing::text::clean(job.workshop.as_deref().unwrap_or_default());
    let title = drawing::text::clean(&job.title);
    let data = json!({
        "title": document_title(group, &title),
        "author": if author.is_empty() { text::PROGRAM.to_owned() } else { author },
        "parts": values,
    });
    files.insert("/data.json".to_owned(), data.to_string().into_bytes());
    set(Job {
        ident: ident(&files, input),
        files,
        creator: format!("{} {}", text::PROGRAM, input.program_version),
        date: job.date.as_deref().filter(|_| !is_draft(job)),
        wanted: wanted(group),
    })
}

/// What a file is called in a reader's list: the job, and what of it.
fn document_title(group: &Group, job: &str) -> String {
    let job = if job.is_empty() { text::DASH } else { job };
    let what = match &group.parts[..] {
        _ if group.whole => Some(group.binding.title()),
        [part] => Some(part.title.as_str()),
        _ => None,
    };
    what.map_or_else(|| job.to_owned(), |what| format!("{job}: {what}"))
}

/// The files that a group makes.
fn wanted(group: &Group) -> Vec<Wanted> {
    let whole = group.whole.then(|| {
        let (first, last) = (group.parts.first()?.name, group.parts.last()?.name);
        Some(Wanted { name: group.binding.name(), first, last })
    });
    let own = group.parts.iter().filter(|part| part.own);
    let own = own.map(|part| Wanted { name: part.name, first: part.name, last: part.name });
    whole.flatten().into_iter().chain(own).collect()
}

/// The identity of a document: everything that goes into it.
fn ident(files: &BTreeMap<String, Vec<u8>>, input: &PapersInput<'_>) -> String {
    let mut hash = Sha256::new();
    for part in [input.program_version, input.input_hash, input.paper.word()] {
        hash.update(part.len().to_le_bytes());
        hash.update(part.as_bytes());
    }
    for (path, bytes) in files {
        hash.update(path.as_bytes());
        hash.update(bytes.len().to_le_bytes());
        hash.update(bytes);
    }
    let mut out = String::new();
    for byte in hash.finalize() {
        // Writing to a `String` cannot fail.
        let _ = write!(out, "{byte:02x}");
    }
    out
}

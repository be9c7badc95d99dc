//! Reading a job: document, catalogue and settings together.

use std::path::{Path, PathBuf};

use finding::Field;
use rig::{Limits, Provenance, Rig};

use crate::catalogue::Catalogue;
use crate::edit::is_there;
use crate::format::{FORMAT, RIG};
use crate::problem::{At, File, Files, Problem};
use crate::read::node::{Body, Node};
use crate::read::resolve::resolve;
use crate::read::walk::walk;
use crate::shop::Shop;

/// A job as read.
#[derive(Debug, Clone)]
pub struct Job {
    /// The resolved rig.
    pub rig: Rig,
    /// The limits in force.
    pub limits: Limits,
    /// The files it was read from, the document first.
    pub files: Files,
    /// The kinds it was resolved with.
    pub catalogue: Catalogue,
    /// How the shop fastens what no document says more of.
    fasten: Option<Node>,
    tree: Node,
}

/// `1 problem`, `3 problems`.
fn counted(count: usize) -> String {
    if count == 1 { "1 problem".to_owned() } else { format!("{count} problems") }
}

/// Why a job could not be read.
#[derive(Debug, thiserror::Error)]
pub enum ReadError {
    /// The file is not there or may not be read.
    #[error("cannot read `{path}`: {error}")]
    File {
        /// The path tried.
        path: PathBuf,
        /// What the system said.
        error: std::io::Error,
    },
    /// The file is no text.
    #[error("`{path}` is not UTF-8 text: {hint}")]
    NotText {
        /// The path.
        path: PathBuf,
        /// What it looks like.
        hint: &'static str,
    },
    /// The text cannot be understood.
    #[error("{} in {}", counted(.problems.len()), .files.0.first().map_or("the document", |file| file.name.as_str()))]
    Problems {
        /// What is wrong, in the order of the files and lines.
        problems: Vec<Problem>,
        /// The files.
        files: Files,
    },
}

/// Reads the job at `path`: a rig document, or a folder that holds `rig.toml`.
///
/// `shop` is the folder with `shop.toml` and the workshop's `catalogue/`; left out, the nearest one above
/// the document counts.
pub fn read(path: &Path, shop: Option<&Path>) -> Result<Job, ReadError> {
    let path = if path.is_dir() { path.join("rig.toml") } else { path.to_path_buf() };
    let text = read_file(&path)?;
    let folder = match shop {
        Some(folder) => Some(folder.to_path_buf()),
        None => path.parent().and_then(|parent| {
            let parent = if parent.as_os_str().is_empty() { Path::new(".") } else { parent };
            Shop::find(parent)
        }),
    };
    let settings = match &folder {
        Some(folder) => {
            let path = folder.join("shop.toml");
            Some(File { name: path.display().to_string(), text: read_file(&path)? })
        }
        None => None,
    };
    let overlay = folder.map(|folder| folder.join("catalogue")).filter(|folder| is_there(folder));
    build(File { name: path.display().to_string(), text }, settings, overlay.as_deref())
}

/// Reads a job from text, with our catalogue and default settings or the given ones.
pub fn read_text(name: &str, text: &str, settings: Option<&str>) -> Result<Job, ReadError> {
    let settings = settings.map(|text| File { name: "shop.toml".to_owned(), text: text.to_owned() });
    build(File { name: name.to_owned(), text: text.to_owned() }, settings, None)
}

/// Reads a job from text with the settings and the catalogue of a shop folder, as [`read`] would read it from
/// that shop.
pub fn read_in_shop(name: &str, text: &str, shop: &Path) -> Result<Job, ReadError> {
    let path = shop.join("shop.toml");
    let document = File { name: name.to_owned(), text: text.to_owned() };
    if !is_there(&path) {
        return build(document, None, None);
    }
    let settings = File { name: path.display().to_string(), text: read_file(&path)? };
    let overlay = shop.join("catalogue");
    build(document, Some(settings), is_there(&overlay).then_some(overlay.as_path()))
}

/// A value as a document or the catalogue writes it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written {
    /// The value, without quotes and without where it comes from; `unknown` when nobody knows it.
    pub text: String,
    /// Where it comes from.
    pub from: Provenance,
    /// Where it stands.
    pub at: At,
}

fn build(document: File, settings: Option<File>, overlay: Option<&Path>) -> Result<Job, ReadError> {
    let mut problems = Vec::new();
    let mut files = vec![document];
    let mut limits = Limits::default();
    let mut fasten = None;
    if let Some(file) = settings {
        let (shop, found) = Shop::read_text(files.len(), &file);
        limits = shop.limits;
        fasten = shop.fasten;
        problems.extend(found);
        files.push(file);
    }
    let (mut catalogue, found) = Catalogue::ours(files.len());
    problems.extend(found);
    if let Some(folder) = overlay {
        let found = catalogue
            .overlay_folder(files.len(), folder)
            .map_err(|error| ReadError::File { path: folder.to_path_buf(), error })?;
        problems.extend(found);
    }
    files.extend(catalogue.files.iter().cloned());
    resolved(Files(files), limits, fasten, catalogue, problems)
}

/// The job of a document, the first of the files, under settings and catalogue that are read already.
fn resolved(
    files: Files,
    limits: Limits,
    fasten: Option<Node>,
    catalogue: Catalogue,
    mut problems: Vec<Problem>,
) -> Result<Job, ReadError> {
    let (tree, found) = walk(0, files.0.first().map_or("", |file| &file.text), &RIG);
    let refused = found.iter().map(|problem| problem.at.clone()).collect();
    problems.extend(found);
    if let Some((format, node)) =
        tree.count("format").zip(tree.get("format")).filter(|(format, _)| *format != FORMAT)
    {
        let message = if format < FORMAT {
            format!("`format` is {format}; the first format is 1")
        } else {
            format!(
                "`format` is {format}; this program reads formats up to {FORMAT}, a newer one wrote this document"
            )
        };
        problems.push(Problem::new(node.at.clone(), message));
    }
    let resolved = resolve(&tree, refused, &catalogue, fasten.clone());
    problems.extend(resolved.problems);
    if problems.is_empty() {
        Ok(Job { rig: resolved.rig, limits, files, catalogue, fasten, tree: resolved.tree })
    } else {
        problems.sort_by(|a, b| a.at.cmp(&b.at).then_with(|| a.message.cmp(&b.message)));
        problems.dedup();
        Err(ReadError::Problems { problems, files })
    }
}

pub(crate) fn read_file(path: &Path) -> Result<String, ReadError> {
    let bytes =
        crate::edit::read_plain(path).map_err(|error| ReadError::File { path: path.to_path_buf(), error })?;
    String::from_utf8(bytes).map_err(|error| {
        let bytes = error.as_bytes();
        let hint = match bytes {
            [0xFF, 0xFE, ..] | [0xFE, 0xFF, ..] => "it begins like UTF-16; save it as UTF-8",
            _ => "save it as UTF-8",
        };
        ReadError::NotText { path: path.to_path_buf(), hint }
    })
}

impl Job {
    /// The job with another text of its document, under the same settings and catalogue; no file is read.
    pub fn with_text(&self, text: &str) -> Result<Self, ReadError> {
        let mut files = self.files.clone();
        if let Some(document) = files.0.first_mut() {
            text.clone_into(&mut document.text);
        }
        resolved(files, self.limits.clone(), self.fasten.clone(), self.catalogue.clone(), Vec::new())
    }

    /// Where the value at this address stands; a requirement is found by its id. A value that is missing leads to the table that should
    /// hold it, a lead without an entry to its run or feed.
    pub fn locate(&self, field: &Field) -> At {
        let parts: Vec<&str> = field.parts().iter().map(String::as_str).collect();
        if let ["lead", name, ..] = parts[..]
            && let Some(at) = self.locate_lead(name, parts.get(2).copied())
        {
            return at;
        }
        let mut node = &self.tree;
        let mut at = None;
        for part in parts {
            let Some(next) = node.get(part).or_else(|| node.row(part)) else { break };
            node = next;
            if node.at.start < node.at.end {
                at = Some(node.at.clone());
            }
        }
        at.unwrap_or_else(|| At::new(0, 0..0))
    }

    /// The value at this address as it is written, in the document or in the kind beneath; `None` when it is
    /// written nowhere. Lists show their items with commas; tables have no value of their own.
    pub fn written(&self, field: &Field) -> Option<Written> {
        let mut node = &self.tree;
        for part in field.parts() {
            node = node.get(part)?;
        }
        let text = words_of(node)?;
        Some(Written { text, from: node.from, at: node.at.clone() })
    }

    /// The names below a table of named things or values: the ports of a device, the keys of a record.
    pub fn names_below(&self, field: &Field) -> Vec<String> {
        let mut node = &self.tree;
        for part in field.parts() {
            match node.get(part) {
                Some(next) => node = next,
                None => return Vec::new(),
            }
        }
        node.entries().iter().map(|(name, _)| name.clone()).collect()
    }

    /// The tables in a list of tables, such as the feet of a board, key by key; nothing where there is no such list.
    pub fn rows_at(&self, field: &Field) -> Vec<Vec<(String, Written)>> {
        let mut node = &self.tree;
        for part in field.parts() {
            match node.get(part) {
                Some(next) => node = next,
                None => return Vec::new(),
            }
        }
        let Body::List(rows) = &node.body else { return Vec::new() };
        let written =
            |node: &Node| Some(Written { text: words_of(node)?, from: node.from, at: node.at.clone() });
        rows.iter()
            .map(|row| {
                row.entries().iter().filter_map(|(key, node)| Some((key.clone(), written(node)?))).collect()
            })
            .collect()
    }

    fn locate_lead(&self, name: &str, key: Option<&str>) -> Option<At> {
        if let Some(entry) = self.tree.get("lead").and_then(|leads| leads.get(name)) {
            let node = key.and_then(|key| entry.get(key)).unwrap_or(entry);
            return Some(node.at.clone());
        }
        let (from, to) = name.split_once(" > ")?;
        let run = self
            .rig
            .runs
            .iter()
            .find(|run| run.steps().any(|(a, b)| a.to_string() == from && b.to_string() == to));
        match run {
            Some(run) => self.tree.get("run")?.get(&run.name)?.get("stops").map(|node| node.at.clone()),
            None => {
                let tag = to.rsplit_once('.').map_or(to, |(tag, _)| tag);
                self.tree.get("device")?.get(tag)?.get("feed").map(|node| node.at.clone())
            }
        }
    }

    /// The document's own text.
    pub fn text(&self) -> &str {
        self.files.0.first().map_or("", |file| file.text.as_str())
    }
}

fn words_of(node: &Node) -> Option<String> {
    match &node.body {
        Body::Text(text) => Some(text.clone()),
        Body::Switch(on) => Some(on.to_string()),
        Body::Count(count) => Some(count.to_string()),
        Body::Unknown => Some("unknown".to_owned()),
        Body::List(items) => {
            let words: Vec<String> = items.iter().filter_map(words_of).collect();
            Some(words.join(", "))
        }
        Body::Table(_) => None,
    }
}

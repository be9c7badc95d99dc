//! The catalogue: our generic kinds, and a workshop's own laid over them.

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::{Arc, OnceLock};

use include_dir::{Dir, include_dir};

use rig::{Board, Cable, PlugKind, Role};

use crate::format::CATALOGUE;
use crate::problem::{At, File, Problem, nearest};
use crate::read::board::board_of;
use crate::read::node::Node;
use crate::read::overlay::overlay;
use crate::read::parts::{cable_of, plug_kind};
use crate::read::walk::walk;

static OURS: Dir = include_dir!("$CARGO_MANIFEST_DIR/../../catalogue");

/// The families of kinds.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum Family {
    /// Devices.
    Device,
    /// Boards.
    Board,
    /// Plugs.
    Plug,
    /// Connectors.
    Connector,
    /// Cables.
    Cable,
    /// Pickups.
    Pickup,
    /// Inputs of amps and desks.
    Input,
}

impl Family {
    /// Every family.
    pub const ALL: [Self; 7] =
        [Self::Device, Self::Board, Self::Plug, Self::Connector, Self::Cable, Self::Pickup, Self::Input];

    /// The key of the family in catalogue files.
    pub fn key(self) -> &'static str {
        match self {
            Self::Device => "device",
            Self::Board => "board",
            Self::Plug => "plug",
            Self::Connector => "connector",
            Self::Cable => "cable",
            Self::Pickup => "pickup",
            Self::Input => "input",
        }
    }
}

/// One catalogue entry, for lists and searches.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Entry {
    /// Its family.
    pub family: Family,
    /// Its id.
    pub id: String,
    /// What it is.
    pub title: String,
    /// Words it is also found under.
    pub search: Vec<String>,
    /// What a device of it is to the builder.
    pub role: Role,
}

/// Generic kinds by family and id.
#[derive(Debug, Clone, Default)]
pub struct Catalogue {
    /// The files it was read from, ours first.
    pub(crate) files: Vec<File>,
    kinds: BTreeMap<(Family, String), Arc<Node>>,
}

impl Catalogue {
    /// Our own catalogue. Its files are tested, so it has no problems; `offset` is the number of the first
    /// of its files among all files of a job.
    ///
    /// It is parsed once for each of the two offsets there are: with settings before it and without.
    pub(crate) fn ours(offset: usize) -> (Self, Vec<Problem>) {
        static PARSED: [OnceLock<(Catalogue, Vec<Problem>)>; 3] = [const { OnceLock::new() }; 3];
        match PARSED.get(offset) {
            Some(parsed) => parsed.get_or_init(|| Self::parse_ours(offset)).clone(),
            None => Self::parse_ours(offset),
        }
    }

    fn parse_ours(offset: usize) -> (Self, Vec<Problem>) {
        let mut catalogue = Self::default();
        let mut problems = Vec::new();
        let mut files: Vec<_> =
            OURS.files().filter(|file| file.path().extension().is_some_and(|e| e == "toml")).collect();
        files.sort_by_key(|file| file.path());
        for file in files {
            let name = format!("catalogue/{}", file.path().display());
            let text = file.contents_utf8().unwrap_or_default().to_owned();
            problems.extend(catalogue.add(offset, File { name, text }));
        }
        (catalogue, problems)
    }

    /// Lays a workshop's folder over it: every `*.toml` in name order.
    pub(crate) fn overlay_folder(&mut self, offset: usize, folder: &Path) -> std::io::Result<Vec<Problem>> {
        if !std::fs::metadata(folder)?.is_dir() {
            let why = "it is not a folder; a catalogue is a folder of files";
            return Err(std::io::Error::new(std::io::ErrorKind::NotADirectory, why));
        }
        let mut paths: Vec<_> = std::fs::read_dir(folder)?
            .filter_map(|entry| entry.ok().map(|entry| entry.path()))
            .filter(|path| path.extension().is_some_and(|extension| extension == "toml"))
            .collect();
        paths.sort();
        let mut problems = Vec::new();
        for path in paths {
            let bytes = crate::edit::read_plain(&path).map_err(|error| {
                std::io::Error::new(error.kind(), format!("`{}`: {error}", path.display()))
            })?;
            let text = String::from_utf8_lossy(&bytes).into_owned();
            problems.extend(self.add(offset, File { name: path.display().to_string(), text }));
        }
        Ok(problems)
    }

    /// Adds one file; its entries override those with the same id key by key.
    pub(crate) fn add(&mut self, offset: usize, file: File) -> Vec<Problem> {
        let index = offset + self.files.len();
        let (tree, problems) = walk(index, &file.text, &CATALOGUE);
        self.files.push(file);
        for family in Family::ALL {
            for (id, node) in tree.named(family.key()) {
                let key = (family, id.clone());
                let merged = match self.kinds.get(&key) {
                    Some(base) => overlay(base, node),
                    None => node.clone(),
                };
                self.kinds.insert(key, Arc::new(merged));
            }
        }
        problems
    }

    /// Our own catalogue, without what a shop lays over it.
    pub fn standard() -> Self {
        Self::ours(0).0
    }

    /// The catalogue as a shop has it: ours, with its own folder laid over; only ours where there is none.
    pub fn of_shop(shop: &Path) -> std::io::Result<Self> {
        let (mut catalogue, _) = Self::ours(0);
        let overlay = shop.join("catalogue");
        if crate::edit::is_there(&overlay) {
            catalogue.overlay_folder(0, &overlay)?;
        }
        Ok(catalogue)
    }

    /// The kind with this id.
    pub(crate) fn get(&self, family: Family, id: &str) -> Option<&Node> {
        self.kinds.get(&(family, id.to_owned())).map(Arc::as_ref)
    }

    /// What to say when there is no kind with this id.
    pub(crate) fn missing(&self, family: Family, id: &str, at: At) -> Problem {
        let ids = || self.kinds.keys().filter(move |(f, _)| *f == family).map(|(_, id)| id.as_str());
        let message = format!("the catalogue has no {} `{}`", family.key(), crate::problem::shown(id));
        let near = nearest(id, ids()).or_else(|| self.by_search_word(family, id));
        match near {
            Some(near) => Problem::new(at, message).help(format!("did you mean `{near}`?")),
            None => {
                Problem::new(at, message).help(format!("there are {}", ids().collect::<Vec<_>>().join(", ")))
            }
        }
    }

    fn by_search_word(&self, family: Family, word: &str) -> Option<&str> {
        self.kinds.iter().find_map(|((f, id), node)| {
            let found = *f == family
                && node
                    .items("search")
                    .iter()
                    .any(|item| item.as_text().is_some_and(|text| text.eq_ignore_ascii_case(word)));
            found.then_some(id.as_str())
        })
    }

    /// Every plug, by id.
    pub fn plugs(&self) -> Vec<PlugKind> {
        self.all(Family::Plug).map(|(id, node)| plug_kind(id.clone(), node)).collect()
    }

    /// The first plug, by id, that is made for each connector.
    pub(crate) fn made_for(&self) -> BTreeMap<String, String> {
        let mut made_for = BTreeMap::new();
        for (id, plug) in self.all(Family::Plug) {
            for connector in plug.items("fits").iter().filter_map(Node::as_text) {
                made_for.entry(connector.to_owned()).or_insert_with(|| id.clone());
            }
        }
        made_for
    }

    /// Every cable, by id.
    pub fn cables(&self) -> Vec<Cable> {
        self.all(Family::Cable).map(|(id, node)| cable_of(id.clone(), node)).collect()
    }

    /// Every board, by id.
    pub fn boards(&self) -> Vec<Board> {
        self.all(Family::Board).map(|(id, node)| Board { kind: Some(id.clone()), ..board_of(node) }).collect()
    }

    fn all(&self, family: Family) -> impl Iterator<Item = (&String, &Node)> {
        self.kinds.iter().filter(move |((of, _), _)| *of == family).map(|((_, id), node)| (id, node.as_ref()))
    }

    /// Every entry, by family and id.
    pub fn entries(&self) -> Vec<Entry> {
        self.kinds
            .iter()
            .map(|((family, id), node)| Entry {
                family: *family,
                id: id.clone(),
                title: node.text("title").unwrap_or_default(),
                search: node
                    .items("search")
                    .iter()
                    .filter_map(|item| item.as_text().map(str::to_owned))
                    .collect(),
                role: node.word("role").unwrap_or_default(),
            })
            .collect()
    }
}

//! `boardwright kinds`: the catalogue as a list, found by what a thing is.

use std::collections::BTreeMap;
use std::fmt::Write as _;
use std::path::Path;

use document::{Catalogue, Entry, Family, Shop};
use quantity::Length;
use rig::{Board, Cable, ConnectorFamily, Device, PlugKind, Port, PortRole};
use schemars::JsonSchema;
use serde::Serialize;

use crate::args::{Kinds, OutcomeFormat};
use crate::shell::{self, Outcome};

/// What stands where a kind has nothing to say.
const NOTHING: &str = "–";

pub(crate) fn run(options: &Kinds) -> anyhow::Result<Outcome> {
    let shop = options.shop.clone().or_else(|| Shop::find(Path::new(".")));
    let catalogue = match &shop {
        Some(shop) => Catalogue::of_shop(shop)?,
        None => Catalogue::standard(),
    };
    let rows: Vec<Row> = rows(&catalogue).into_iter().filter(|row| row.goes_by(&options.words)).collect();
    match options.format {
        OutcomeFormat::Json => {
            let answer = Answer { schema: SCHEMA, kinds: rows.iter().map(Row::wire).collect() };
            shell::data(&(serde_json::to_string_pretty(&answer)? + "\n"))?;
        }
        OutcomeFormat::Text if rows.is_empty() => {
            let words = options.words.join(" ");
            anyhow::bail!("no kind goes by `{words}`; `boardwright kinds` lists them all")
        }
        OutcomeFormat::Text => match named(&rows, &options.words) {
            Some(row) => {
                let parts = if row.decks.is_empty() { &row.ports } else { &row.decks };
                shell::data(&format!("{}\n{}", table(&[row]), columns(parts)))?;
            }
            None => shell::data(&table(&rows.iter().collect::<Vec<_>>()))?,
        },
    }
    Ok(Outcome::Clean)
}

/// The kind that is meant where its whole id was given, or where only one goes by the words; its ports are listed then.
fn named<'a>(rows: &'a [Row], words: &[String]) -> Option<&'a Row> {
    let exact = rows.iter().find(|row| matches!(words, [word] if *word == row.entry.id));
    exact
        .or(match rows {
            [only] => Some(only),
            _ => None,
        })
        .filter(|row| 1 < row.ports.len() || 1 < row.decks.len())
}

/// Name and version of the form of the list.
const SCHEMA: &str = "boardwright.kinds.1";

/// What `boardwright kinds --format json` prints.
#[derive(Serialize, JsonSchema)]
pub(crate) struct Answer<'a> {
    /// Name and version of this form.
    #[schemars(extend("const" = SCHEMA))]
    schema: &'static str,
    /// The kinds that go by the words.
    kinds: Vec<Kind<'a>>,
}

/// A kind of the catalogue.
#[derive(Serialize, JsonSchema)]
struct Kind<'a> {
    /// Its family, as the catalogue names it.
    family: &'static str,
    /// Its id.
    id: &'a str,
    /// What it is.
    title: &'a str,
    /// Words that it is found by.
    search: &'a [String],
    /// Width, depth and height of what has them, mm; of a plug what stands out and how wide, of a cable its diameter;
    /// null for what is not known.
    size_mm: Vec<Option<f64>>,
    /// Its jacks.
    jacks: Vec<Jack<'a>>,
    /// Every port with its place on the body before turning.
    ports: Vec<KindPort<'a>>,
    /// Every deck of a board.
    decks: Vec<KindDeck<'a>>,
    /// How it is fed and what it feeds, in words.
    supply: Option<&'a str>,
}

/// A jack.
#[derive(Serialize, JsonSchema)]
struct Jack<'a> {
    /// Its name.
    name: &'a str,
    /// What it is for, in a word.
    role: &'static str,
}

/// A port, as the list in text tells it: lengths with their unit, a dash for what is not known.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Port")]
struct KindPort<'a> {
    /// Its name.
    name: &'a str,
    /// What it is for, in a word.
    role: &'a str,
    /// Catalogue id of its connector.
    connector: &'a str,
    /// The side that it is on.
    face: &'a str,
    /// Its offset along that side, with the unit.
    offset: &'a str,
    /// Its height, with the unit.
    height: &'a str,
}

impl<'a> KindPort<'a> {
    fn of(cells: &'a [String]) -> Option<Self> {
        let [name, role, connector, face, offset, height] = cells else { return None };
        Some(Self { name, role, connector, face, offset, height })
    }
}

/// A deck, as the list in text tells it: lengths with their unit, a dash for what is not known.
#[derive(Serialize, JsonSchema)]
#[schemars(rename = "Deck")]
struct KindDeck<'a> {
    /// The name that a place refers to.
    name: &'a str,
    /// Width and depth, with the unit.
    size: &'a str,
    /// From the left of the board, with the unit.
    from_left: &'a str,
    /// From the front of the board, with the unit.
    from_front: &'a str,
    /// Height of its surface, with the unit.
    height: &'a str,
    /// What is clear below it, with the unit.
    clear_below: &'a str,
    /// Names of its passages.
    passages: &'a str,
    /// Whether it is hinged: yes or no.
    hinge: &'a str,
}

impl<'a> KindDeck<'a> {
    fn of(cells: &'a [String]) -> Option<Self> {
        let [name, size, from_left, from_front, height, clear_below, passages, hinge] = cells else {
            return None;
        };
        Some(Self { name, size, from_left, from_front, height, clear_below, passages, hinge })
    }
}

/// One kind.
struct Row {
    entry: Entry,
    /// Width, depth and height of what has them; of a plug what stands out and how wide, of a cable its diameter.
    size: Vec<Option<Length>>,
    /// Its jacks, by what they are for.
    jacks: Vec<(String, &'static str)>,
    /// How it is fed, and what it feeds.
    supply: String,
    /// Every port with its place, below a line of heads: what a job overrides key by key.
    ports: Vec<Vec<String>>,
    /// Every deck of a board by the name that places refer to, below a line of heads.
    decks: Vec<Vec<String>>,
}

impl Row {
    /// Whether every word is among what it is called, its class and its search words.
    fn goes_by(&self, words: &[String]) -> bool {
        let entry = &self.entry;
        let all = format!("{} {} {} {}", entry.family.key(), entry.id, entry.title, entry.search.join(" "));
        let all = all.to_lowercase();
        words.iter().flat_map(|word| word.split_whitespace()).all(|word| all.contains(&word.to_lowercase()))
    }

    fn size_words(&self) -> String {
        if self.size.is_empty() {
            return NOTHING.to_owned();
        }
        let figure = |side: &Option<Length>| {
            side.map_or("?".to_owned(), |side| side.to_string().trim_end_matches(" mm").to_owned())
        };
        self.size.iter().map(figure).collect::<Vec<_>>().join(" × ") + " mm"
    }

    fn jack_words(&self) -> String {
        if self.jacks.is_empty() {
            return NOTHING.to_owned();
        }
        self.jacks.iter().map(|(name, _)| name.as_str()).collect::<Vec<_>>().join(" ")
    }

    fn wire(&self) -> Kind<'_> {
        Kind {
            family: self.entry.family.key(),
            id: &self.entry.id,
            title: &self.entry.title,
            search: &self.entry.search,
            size_mm: self.size.iter().map(|side| side.map(Length::as_mm)).collect(),
            jacks: self.jacks.iter().map(|(name, role)| Jack { name, role }).collect(),
            ports: self.ports.iter().skip(1).filter_map(|cells| KindPort::of(cells)).collect(),
            decks: self.decks.iter().skip(1).filter_map(|cells| KindDeck::of(cells)).collect(),
            supply: Some(self.supply.as_str()).filter(|supply| *supply != NOTHING),
        }
    }
}

fn rows(catalogue: &Catalogue) -> Vec<Row> {
    let devices: BTreeMap<String, Device> =
        catalogue.devices().into_iter().filter_map(|device| Some((device.kind.clone()?, device))).collect();
    let boards: BTreeMap<String, Board> =
        catalogue.boards().into_iter().filter_map(|board| Some((board.kind.clone()?, board))).collect();
    let plugs: BTreeMap<String, PlugKind> =
        catalogue.plugs().into_iter().map(|plug| (plug.id.clone(), plug)).collect();
    let cables: BTreeMap<String, Cable> =
        catalogue.cables().into_iter().map(|cable| (cable.id.clone(), cable)).collect();
    catalogue
        .entries()
        .into_iter()
        .map(|entry| {
            let plain = |entry: Entry, size: Vec<Option<Length>>| Row {
                entry,
                size,
                jacks: Vec::new(),
                supply: NOTHING.to_owned(),
                ports: Vec::new(),
                decks: Vec::new(),
            };
            match entry.family {
                Family::Device => match devices.get(&entry.id) {
                    Some(device) => device_row(entry, device),
                    None => plain(entry, Vec::new()),
                },
                Family::Board => {
                    let board = boards.get(&entry.id);
                    let size = board.map(Board::extent);
                    let size = size.map(|size| vec![Some(size.width), Some(size.depth)]);
                    Row {
                        decks: board.map(decks).unwrap_or_default(),
                        ..plain(entry, size.unwrap_or_default())
                    }
                }
                Family::Plug => {
                    let size = plugs.get(&entry.id).map(|plug| vec![plug.depth.value, plug.width.value]);
                    plain(entry, size.unwrap_or_default())
                }
                Family::Cable => {
                    let size = cables.get(&entry.id).map(|cable| vec![cable.diameter.value]);
                    plain(entry, size.unwrap_or_default())
                }
                Family::Connector | Family::Pickup | Family::Input => plain(entry, Vec::new()),
            }
        })
        .collect()
}

fn device_row(entry: Entry, device: &Device) -> Row {
    let size = device.size.value;
    let is_jack = |port: &&Port| {
        !matches!(port.role.value, Some(PortRole::Power | PortRole::Outlet)) && !is_mains(port)
    };
    Row {
        size: size
            .map(|size| vec![Some(size.width), Some(size.depth), Some(size.height)])
            .unwrap_or_default(),
        jacks: device
            .ports
            .iter()
            .filter(is_jack)
            .map(|port| (port.name.clone(), port.role.value.map_or("unknown", PortRole::word)))
            .collect(),
        supply: supply(device),
        ports: ports(device),
        decks: Vec::new(),
        entry,
    }
}

/// The decks of a board as a table: the name that a place refers to, its size and where it lies.
fn decks(board: &Board) -> Vec<Vec<String>> {
    let heads = ["deck", "size", "from left", "from front", "height", "clear below", "passages", "hinge"];
    let row = |deck: &rig::Deck| {
        let extent = deck.extent();
        let names: Vec<&str> = deck.passages.iter().map(|passage| passage.name.as_str()).collect();
        vec![
            deck.name.clone(),
            format!("{} × {}", extent.width.to_string().trim_end_matches(" mm"), extent.depth),
            (deck.x + extent.x).to_string(),
            (deck.y + extent.y).to_string(),
            deck.z.to_string(),
            deck.clear_below.value.map_or(NOTHING.to_owned(), |clear| clear.to_string()),
            if names.is_empty() { NOTHING.to_owned() } else { names.join(", ") },
            if deck.hinge.is_some() { "yes" } else { "no" }.to_owned(),
        ]
    };
    std::iter::once(heads.map(str::to_owned).to_vec()).chain(board.decks.iter().map(row)).collect()
}

/// The ports of a device as a table: name, what it is for, what fits it, and its place on the body before turning.
fn ports(device: &Device) -> Vec<Vec<String>> {
    let head = ["port", "role", "connector", "face", "offset", "height"].map(str::to_owned).to_vec();
    let said = |length: Option<Length>| length.map_or(NOTHING.to_owned(), |length| length.to_string());
    let row = |port: &Port| {
        vec![
            port.name.clone(),
            port.role.value.map_or(NOTHING, PortRole::word).to_owned(),
            port.connector.as_ref().map_or(NOTHING.to_owned(), |connector| connector.id.clone()),
            port.face.value.map_or(NOTHING, rig::Face::word).to_owned(),
            said(port.offset.value),
            said(port.height.value),
        ]
    };
    std::iter::once(head).chain(device.ports.iter().map(row)).collect()
}

fn is_mains(port: &Port) -> bool {
    port.role.value == Some(PortRole::Mains)
        || port.connector.as_ref().is_some_and(|connector| connector.family == ConnectorFamily::Mains)
}

/// How a device is fed, and what its outlets give.
fn supply(device: &Device) -> String {
    let mut parts = Vec::new();
    if let Some(volts) = device.power.volts.value {
        parts.push(format!("takes {volts}"));
    }
    if let Some(inlet) = device.ports.iter().find(|port| port.role.value == Some(PortRole::Power)) {
        parts.push(match &inlet.connector {
            Some(connector) => connector.id.clone(),
            None => "DC inlet".to_owned(),
        });
    }
    if device.ports.iter().any(is_mains) {
        parts.push("mains inlet".to_owned());
    }
    let outlets = device.outlets.len();
    if 0 < outlets {
        parts.push(format!("{outlets} outlet{}", if outlets == 1 { "" } else { "s" }));
    }
    if parts.is_empty() { NOTHING.to_owned() } else { parts.join(", ") }
}

/// The list of kinds.
fn table(rows: &[&Row]) -> String {
    let head = ["family", "id", "size", "what it is", "supply", "jacks"].map(str::to_owned).to_vec();
    let mut cells = vec![head];
    for row in rows {
        cells.push(vec![
            row.entry.family.key().to_owned(),
            row.entry.id.clone(),
            row.size_words(),
            row.entry.title.clone(),
            row.supply.clone(),
            row.jack_words(),
        ]);
    }
    columns(&cells)
}

/// Rows in columns, each as wide as its widest cell; what is longest stands last.
fn columns(cells: &[Vec<String>]) -> String {
    let count = cells.first().map_or(0, Vec::len);
    let width = |column: usize| cells.iter().map(|row| row[column].chars().count()).max().unwrap_or(0);
    let widths: Vec<usize> = (0..count.saturating_sub(1)).map(width).collect();
    let mut out = String::new();
    for row in cells {
        let mut line = String::new();
        for (cell, width) in row.iter().zip(widths.iter().copied()) {
            let _ = write!(line, "{cell:width$}  ");
        }
        line.push_str(row.last().map_or("", String::as_str));
        let _ = writeln!(out, "{}", line.trim_end());
    }
    out
}

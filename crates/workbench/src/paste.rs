//! Rows copied from a spreadsheet: cells with tabs, semicolons or commas between, a first row that names the
//! columns.

use document::Catalogue;
use document::edit::{EditError, apply};
use document::format::DEVICE;
use finding::{Change, Edit, Field};
use rig::Rig;

use crate::act::Values;
use crate::acts::entered::with_unit;

/// One cell as it was pasted, and what is wrong with it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Cell {
    pub(crate) text: String,
    pub(crate) problem: Option<String>,
}

/// One row.
#[derive(Debug, Clone, Default)]
pub(crate) struct Row {
    pub(crate) tag: Option<String>,
    pub(crate) cells: Vec<Cell>,
    pub(crate) values: Values,
    /// What nobody said of it and a device of its class has.
    pub(crate) assumed: Values,
}

/// What was pasted, understood as far as it goes.
#[derive(Debug, Clone, Default)]
pub(crate) struct Sheet {
    /// The heads as pasted, and the value each stands for.
    pub(crate) heads: Vec<(String, Option<&'static str>)>,
    pub(crate) rows: Vec<Row>,
    /// How many rows there are beyond those that are taken at once.
    pub(crate) beyond: usize,
}

impl Sheet {
    pub(crate) fn first_problem(&self) -> Option<String> {
        if 0 < self.beyond {
            let all = self.rows.len() + self.beyond;
            return Some(format!(
                "there are {all} rows; at most {MOST} are taken at once: paste them in parts"
            ));
        }
        self.rows.iter().enumerate().find_map(|(number, row)| {
            row.cells.iter().find_map(|cell| {
                cell.problem.as_ref().map(|problem| format!("row {}, {problem}", number + 1))
            })
        })
    }
}

/// More rows than any board has devices are refused.
const MOST: usize = 200;

/// The columns understood: words a head may have, the key, the unit of a bare number where the head has none.
const COLUMNS: &[(&[&str], &str, &str)] = &[
    (&["tag", "label", "id"], "tag", ""),
    (&["title", "name", "device", "what", "pedal"], "title", ""),
    (&["kind", "class", "enclosure"], "kind", ""),
    (&["width", "w", "wide"], "size.width", "mm"),
    (&["depth", "d", "length", "l", "deep"], "size.depth", "mm"),
    (&["height", "h", "high"], "size.height", "mm"),
    (&["mass", "weight", "g"], "mass", "g"),
    (&["volts", "voltage", "v"], "power.volts", "V"),
    (&["current", "draw", "draws", "ma"], "power.current", "mA"),
    (&["sign", "centre", "polarity"], "power.sign", ""),
    (&["supply", "power", "type"], "power.type", ""),
    (&["bypass"], "signal.bypass", ""),
    (&["owner"], "owner", ""),
    (&["serial"], "serial", ""),
    (&["note", "remark"], "note", ""),
];

/// What a column stands for, as a person calls it.
pub(crate) fn said(key: &str) -> &str {
    match key {
        "title" => "device",
        "power.current" => "draws",
        "power.sign" => "polarity",
        "power.type" => "supply",
        _ => key.rsplit('.').next().unwrap_or(key),
    }
}

fn column(head: &str) -> Option<(&'static str, &'static str)> {
    let word: String =
        head.to_lowercase().chars().map(|c| if c.is_alphanumeric() { c } else { ' ' }).collect();
    let word = word.split_whitespace().collect::<Vec<_>>().join(" ");
    let known = |word: &str| COLUMNS.iter().find(|(words, _, _)| words.contains(&word));
    if let Some((_, key, unit)) = known(&word) {
        return Some((key, unit));
    }
    // A unit behind the word is that of the bare figures below it.
    let (word, said) = word.rsplit_once(' ')?;
    let (_, key, usual) = known(word)?;
    let of = UNITS.iter().find(|units| units.contains(usual))?;
    let unit = of
        .iter()
        .find(|unit| unit.eq_ignore_ascii_case(said) || (**unit == "in" && said.starts_with("inch")))?;
    Some((key, unit))
}

/// The units that the head of a column may name, measure by measure.
const UNITS: &[&[&str]] = &[&["mm", "cm", "in"], &["g", "kg", "oz", "lb"], &["V", "mV"], &["mA", "A"]];

/// All devices as rows, with headings that [`read`] understands; what nobody knows is left empty.
pub(crate) fn rows_out(rig: &Rig) -> String {
    let heads = [
        "tag",
        "name",
        "kind",
        "width mm",
        "depth mm",
        "height mm",
        "mass g",
        "volts",
        "draw mA",
        "polarity",
        "supply",
        "bypass",
    ];
    let mut out = csv::WriterBuilder::new().terminator(csv::Terminator::CRLF).from_writer(Vec::new());
    let mut rows = vec![heads.map(str::to_owned)];
    for device in &rig.devices {
        let size = device.size.value;
        let mm = |of: fn(&rig::Size) -> quantity::Length| {
            size.as_ref().map_or_else(String::new, |size| of(size).as_mm().to_string())
        };
        let power = &device.power;
        rows.push([
            harmless(&device.tag),
            harmless(&device.title),
            device.kind.clone().unwrap_or_default(),
            mm(|size| size.width),
            mm(|size| size.depth),
            mm(|size| size.height),
            device.mass.value.map_or_else(String::new, |mass| mass.get().to_string()),
            power.volts.value.map_or_else(String::new, |volts| volts.to_string()),
            power.current.value.map_or_else(String::new, |current| current.get().to_string()),
            power.sign.value.map_or_else(String::new, |sign| sign.word().to_owned()),
            power.nature.value.map_or_else(String::new, |nature| nature.word().to_owned()),
            device.signal.bypass.value.map_or_else(String::new, |bypass| bypass.word().to_owned()),
        ]);
    }
    for row in &rows {
        // Writing into memory does not fail.
        let _ = out.write_record(row);
    }
    String::from_utf8(out.into_inner().unwrap_or_default()).unwrap_or_default()
}

/// Text that a spreadsheet takes for text: what begins like a formula gets a quote before it.
fn harmless(text: &str) -> String {
    if text.starts_with(['=', '+', '-', '@', '\t', '\r']) { format!("'{text}") } else { text.to_owned() }
}

/// Understands what was pasted.
pub(crate) fn read(text: &str, rig: &Rig, catalogue: &Catalogue) -> Sheet {
    let text = text.trim_start_matches(['\r', '\n']);
    let first = text.lines().next().unwrap_or_default();
    let between = [b'\t', b';', b','].into_iter().find(|&c| first.bytes().any(|found| found == c));
    let mut records = csv::ReaderBuilder::new()
        .delimiter(between.unwrap_or(b'\t'))
        .has_headers(false)
        .flexible(true)
        .trim(csv::Trim::All)
        .from_reader(text.as_bytes())
        .into_records()
        // What is read from text in memory has no errors: rows may have any number of cells.
        .filter_map(Result::ok)
        .filter(|record| record.iter().any(|cell| !cell.is_empty()));
    let Some(first) = records.next() else { return Sheet::default() };
    let columns: Vec<(String, Option<(&str, &str)>)> =
        first.iter().map(plain).map(|head| (head.clone(), column(&head))).collect();
    let mut rows: Vec<Row> = Vec::new();
    let mut tags: Vec<String> = Vec::new();
    let kinds = catalogue.devices();
    for record in records.by_ref().take(MOST) {
        let mut row = Row::default();
        let given: Vec<String> = record.iter().map(plain).collect();
        for (index, (head, known)) in columns.iter().enumerate() {
            let text = given.get(index).cloned().unwrap_or_default();
            let mut problem = None;
            // A cell of several lines begins with a quote that ends in another row, or was one cell there.
            if record.get(index).is_some_and(|cell| cell.contains('\n')) {
                problem = Some(format!(
                    "{head}: the cell runs over several lines; is there a stray quotation mark?"
                ));
            } else if let Some((key, unit)) = known
                && !text.is_empty()
            {
                match value(key, unit, &text) {
                    Ok(_) if *key == "tag" => {
                        let taken = rig.device(&text).is_some() || tags.contains(&text);
                        problem = taken.then(|| format!("{head}: `{text}` is there already"));
                        tags.push(text.clone());
                        row.tag = Some(text.clone());
                    }
                    Ok(value) => row.values.push(((*key).to_owned(), value)),
                    Err(why) => problem = Some(format!("{head}: {why}")),
                }
            }
            row.cells.push(Cell { text, problem });
        }
        if columns.len() < given.len() {
            let problem = Some("there are more cells than column headings".to_owned());
            row.cells.push(Cell { text: given[columns.len()..].join(" "), problem });
        }
        row.assumed = crate::usual::of_class(&row.values, &kinds);
        rows.push(row);
    }
    let beyond = records.count();
    let heads = columns.into_iter().map(|(head, known)| (head, known.map(|(key, _)| key))).collect();
    Sheet { heads, rows, beyond }
}

/// A cell as it is shown: one line, no longer than a screen is wide.
fn plain(cell: &str) -> String {
    let line = cell.chars().map(|c| if c.is_control() { ' ' } else { c });
    line.take(200).collect::<String>().trim().to_owned()
}

/// A cell's text as the document writes it.
fn value(key: &str, unit: &str, text: &str) -> Result<String, String> {
    let text = with_unit(text, unit);
    if key == "tag" {
        let bad = text.contains('.') || text.chars().count() > 24;
        return if bad {
            Err(format!("`{text}` cannot be a tag: no dot, at most 24 characters"))
        } else {
            Ok(text)
        };
    }
    // The document's own table says what may stand there.
    let trial = "format = 1\n[job]\ntitle = \"t\"\n[[device]]\ntag = \"T\"\n";
    DEVICE.key(key.split('.').next().unwrap_or(key)).ok_or_else(|| format!("there is no value `{key}`"))?;
    let edit = Edit::new("", [Change::set(Field::device("T", key), &text)]);
    let tried = apply(trial, &edit).map_err(|error| match error {
        EditError::Unsuitable { value, why, .. } => format!("`{value}`: {why}"),
        other => other.to_string(),
    })?;
    match document::read_text("rig.toml", &tried, None) {
        Ok(_) => Ok(text),
        Err(document::ReadError::Problems { problems, .. }) => {
            Err(problems.first().map(|problem| problem.message.clone()).unwrap_or_default())
        }
        Err(other) => Err(other.to_string()),
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn rows_are_understood_and_cells_refused() {
        let text =
            "Tag\tName\tWidth\tDraw (mA)\tcolour\nDRV\tdrive\t66\t12 mA\tred\nDLY\tdelay\twide\t9 V\tblue\n";
        let sheet = read(text, &Rig::default(), &Catalogue::standard());
        assert_eq!(sheet.heads[3], ("Draw (mA)".to_owned(), Some("power.current")));
        assert_eq!(sheet.heads[4].1, None);
        assert_eq!(sheet.rows[0].values[1], ("size.width".to_owned(), "66 mm".to_owned()));
        assert!(sheet.rows[0].cells.iter().all(|cell| cell.problem.is_none()));
        let wrong: Vec<bool> = sheet.rows[1].cells.iter().map(|cell| cell.problem.is_some()).collect();
        assert_eq!(wrong, [false, false, true, true, false]);
    }

    #[test]
    fn quotes_hold_separators_and_tags_are_single() {
        let sheet = read("tag,title\nA,\"one, two\"\nA,three\n", &Rig::default(), &Catalogue::standard());
        assert_eq!(sheet.rows[0].values[0].1, "one, two");
        assert!(sheet.first_problem().is_some_and(|problem| problem.contains("there already")));
    }

    #[test]
    fn a_head_may_name_its_unit() {
        let heads = ["Width (in)", "depth, cm", "Weight [kg]", "Draw (A)", "height"];
        let units: Vec<Option<(&str, &str)>> = heads.map(column).to_vec();
        let expected = [
            Some(("size.width", "in")),
            Some(("size.depth", "cm")),
            Some(("mass", "kg")),
            Some(("power.current", "A")),
            Some(("size.height", "mm")),
        ];
        assert_eq!(units, expected);
        assert_eq!(column("width kg"), None);
        let sheet = read("tag,width in,weight kg\nA,2 3/4,0.4\n", &Rig::default(), &Catalogue::standard());
        assert_eq!(sheet.first_problem(), None);
        assert_eq!(sheet.rows[0].values[0].1, "2 3/4 in");
    }

    #[test]
    fn rows_go_out_as_they_come_in() {
        let rows = "tag,name,kind,width mm,depth mm,height mm,mass g,volts,draw mA,polarity,supply,bypass\r\n\
                    A,\"drive, low\",compact-66x122x50,66,122,50,380,9 V,12,centre-negative,dc,hard\r\n";
        let text = "format = 1\n[job]\ntitle = \"t\"\n[[device]]\ntag = \"A\"\ntitle = \"drive, low\"\nkind = \"compact-66x122x50\"\n\
                    mass = \"380 g\"\npower = { type = \"dc\", volts = \"9 V\", current = \"12 mA\", sign = \"centre-negative\" }\n\
                    signal = { bypass = \"hard\" }\n";
        let job = document::read_text("rig.toml", text, None).expect("a rig");
        let out = rows_out(&job.rig);
        assert_eq!(out, rows);
        let sheet = read(&out, &Rig::default(), &Catalogue::standard());
        assert_eq!(sheet.first_problem(), None);
        assert!(sheet.heads.iter().all(|(_, key)| key.is_some()));
        assert_eq!(harmless("=1+1"), "'=1+1");
    }

    /// An inch sign is no quote; a quote that does not end is told, and glues nothing together in silence.
    #[test]
    fn inch_signs_are_read_and_lone_quotes_told() {
        let sheet = read(
            "Tag\tWidth\tTitle\nA\t5\"\t4\" drive\nB\t66\t\"the \"\"loud\"\" one\"\n",
            &Rig::default(),
            &Catalogue::standard(),
        );
        assert_eq!(sheet.rows.len(), 2);
        assert_eq!(sheet.rows[0].values[1].1, "4\" drive");
        assert_eq!(sheet.rows[0].cells[1].text, "5\"");
        assert_eq!(sheet.rows[1].values[1].1, "the \"loud\" one");
        let sheet = read("Tag\tTitle\nA\t\"drive\nB\tdelay\n", &Rig::default(), &Catalogue::standard());
        assert!(sheet.first_problem().is_some_and(|problem| problem.contains("a stray quotation mark")));
    }
}

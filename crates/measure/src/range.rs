//! What a value may plausibly be, and what measures it: the rows of `catalogue/ranges.tsv`.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use crate::cell::Cell;
use crate::visit::Spot;

const TABLE: &str = include_str!("../../../catalogue/ranges.tsv");

/// One row.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Row {
    class: &'static str,
    spread: &'static str,
    low: &'static str,
    usual: &'static str,
    high: &'static str,
    pub(crate) tool: Tool,
    pub(crate) seconds: u32,
}

/// What tells a value.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Tool {
    /// A calliper, or a rule where it must not be finer.
    Calliper,
    /// A tape.
    Tape,
    /// A scale.
    Scale,
    /// An ohmmeter, nothing plugged and nothing fed.
    Ohmmeter,
    /// A meter with more than ohms: volts, milliamperes, capacitance.
    Meter,
    /// The data plate, or the maker's sheet.
    DataPlate,
    /// Listening.
    Ear,
    /// Looking.
    Eye,
    /// A battery tapped on the input.
    Battery,
}

impl Tool {
    const ALL: [(Self, &'static str); 9] = [
        (Self::Calliper, "calliper"),
        (Self::Tape, "tape"),
        (Self::Scale, "scale"),
        (Self::Ohmmeter, "ohmmeter"),
        (Self::Meter, "meter"),
        (Self::DataPlate, "data plate"),
        (Self::Ear, "ear"),
        (Self::Eye, "eye"),
        (Self::Battery, "battery"),
    ];

    /// Its name.
    pub fn word(self) -> &'static str {
        Self::ALL.iter().find(|(tool, _)| *tool == self).map_or("", |(_, word)| word)
    }
}

/// The rows of each key; of one key, those with a class first.
fn rows() -> &'static BTreeMap<&'static str, Vec<Row>> {
    static ROWS: OnceLock<BTreeMap<&'static str, Vec<Row>>> = OnceLock::new();
    ROWS.get_or_init(|| {
        let mut out: BTreeMap<&'static str, Vec<Row>> = BTreeMap::new();
        for line in TABLE.lines().filter(|line| !line.starts_with('#')).skip(1) {
            let cells: Vec<&'static str> = line.split('\t').collect();
            let [key, class, spread, low, usual, high, tool, seconds] = cells[..] else { continue };
            let tool =
                Tool::ALL.iter().find(|(_, word)| *word == tool).map_or(Tool::DataPlate, |(tool, _)| *tool);
            let seconds = seconds.parse().unwrap_or(60);
            out.entry(key).or_default().push(Row { class, spread, low, usual, high, tool, seconds });
        }
        for rows in out.values_mut() {
            rows.sort_by_key(|row| row.class == "*");
        }
        out
    })
}

/// The row for a value; `None` where the table has none: the value is not asked for.
pub(crate) fn row(spot: &Spot<'_>) -> Option<Row> {
    let rows = rows().get(spot.range_key().as_str())?;
    let [kind, title] = spot.class;
    let fits = |row: &&Row| {
        row.class == "*" || row.class == spot.role || kind.starts_with(row.class) || title.contains(row.class)
    };
    rows.iter().find(fits).copied()
}

/// What a value may be.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Range {
    pub(crate) low: f64,
    pub(crate) usual: f64,
    pub(crate) high: f64,
}

impl Row {
    /// The range of the class.
    pub(crate) fn of_class(&self, cell: &dyn Cell) -> Option<Range> {
        let [low, usual, high] = [self.low, self.usual, self.high].map(|text| cell.read(text));
        Some(Range { low: low?, usual: usual?, high: high? })
    }

    /// The range about what is assumed, or that of the class where nothing is known.
    pub(crate) fn range(&self, cell: &dyn Cell) -> Option<Range> {
        let Some(now) = cell.now() else { return self.of_class(cell) };
        if cell.is_word() {
            // A word that is assumed may be any that the class may have.
            let Range { low, usual, high } = self.of_class(cell)?;
            let other = [low, usual, high].into_iter().find(|word| (word - now).abs() > 0.5).unwrap_or(now);
            return Some(Range { low: now, usual: now, high: other });
        }
        let off = match self.spread.strip_suffix(" %") {
            Some(share) => now.abs() * share.parse::<f64>().ok()? / 100.0,
            None => cell.read(self.spread)?,
        };
        // No length, mass or resistance is below zero; a gain is.
        let low = if now < 0.0 || self.spread.ends_with("dB") { now - off } else { (now - off).max(0.0) };
        (0.0 < off).then_some(Range { low, usual: now, high: now + off })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_row_can_be_read_and_stands_once() {
        let mut keys: Vec<[&str; 2]> = Vec::new();
        for line in TABLE.lines().filter(|line| !line.starts_with('#')).skip(1) {
            let cells: Vec<&str> = line.split('\t').collect();
            assert_eq!(cells.len(), 8, "{line}");
            assert!(Tool::ALL.iter().any(|(_, word)| *word == cells[6]), "{line}");
            assert!(cells[7].parse::<u32>().is_ok_and(|seconds| 0 < seconds), "{line}");
            assert!(!keys.contains(&[cells[0], cells[1]]), "twice: {line}");
            keys.push([cells[0], cells[1]]);
        }
        assert!(100 < keys.len());
    }

    /// Every key of the table is a value that is asked for, and what is read of it is in order.
    #[test]
    fn every_range_holds_its_usual_value() {
        let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/wet-dry-touring");
        let mut rig = document::read(&folder, None).expect("an example").rig;
        let mut seen = 0;
        crate::visit::visit(&mut rig, &mut |spot, cell| {
            let Some(range) = row(spot).and_then(|row| row.of_class(cell)) else { return };
            seen += 1;
            if !cell.is_word() {
                assert!(range.low <= range.usual && range.usual <= range.high, "{}", spot.range_key());
            }
        });
        assert!(1000 < seen);
    }
}

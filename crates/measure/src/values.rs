//! The values that nobody measured, each with what it may be.

use finding::Field;
use rig::{Provenance, Rig};

use crate::range::{Range, Tool, row};
use crate::visit::{Acts, visit, visit_only};

/// One value that is assumed or unknown.
#[derive(Debug, Clone)]
pub(crate) struct Unsure {
    pub(crate) field: Field,
    /// The places of it in the order of [`visit`]: a plug that is used on many leads stands in many.
    pub(crate) at: Vec<usize>,
    /// The same within its device, for one that belongs to a device.
    pub(crate) within: Vec<usize>,
    pub(crate) acts: Acts,
    /// The last part of its address below the device, by which rules may be known to read it.
    pub(crate) key: &'static str,
    /// The device it belongs to; nothing for a plug, a cable or the board.
    pub(crate) device: Option<String>,
    /// What is assumed; `None` where nothing is known.
    pub(crate) now: Option<f64>,
    pub(crate) range: Range,
    /// Whether it is a word, between which and another there is nothing.
    pub(crate) is_word: bool,
    pub(crate) tool: Tool,
    pub(crate) seconds: u32,
    /// How a value of it is shown.
    pub(crate) shows: fn(f64) -> String,
}

/// What is known of a rig, with a usual value in place of each that nobody knows.
pub(crate) struct Filled {
    pub(crate) rig: Rig,
    pub(crate) unsure: Vec<Unsure>,
    /// How many values are assumed or unknown, those of no plausible range included.
    pub(crate) count: usize,
}

/// Fills a rig and lists what nobody measured.
pub(crate) fn filled(rig: &Rig) -> Filled {
    let is_read = |sign: &rig::Known<rig::Sign>| !sign.is_unknown() && !sign.is_assumed();
    let polar: std::collections::BTreeSet<String> = rig
        .devices
        .iter()
        .filter(|device| is_read(&device.power.sign))
        .map(|device| device.tag.clone())
        .collect();
    let mut rig = rig.clone();
    let mut unsure: Vec<Unsure> = Vec::new();
    let mut known = std::collections::BTreeMap::new();
    let mut fields = std::collections::BTreeSet::new();
    let (mut at, mut start, mut device) = (0, 0, String::new());
    // The sides of a body that is not known are read before one of them is filled.
    let blank: Vec<bool> = blanks(&mut rig);
    visit(&mut rig, &mut |spot, cell| {
        let here = at;
        at += 1;
        if spot.list == "device" && device != spot.id {
            spot.id.clone_into(&mut device);
            start = here;
        }
        let is_blank = blank.get(here).copied().unwrap_or(false);
        if !is_blank && cell.from() != Provenance::Assumed {
            return;
        }
        let field = spot.field();
        fields.insert(field.clone());
        let of_kind = row(spot);
        let Some(row) = of_kind else { return };
        let now = cell.now().filter(|_| !is_blank);
        let range = if is_blank { row.of_class(cell) } else { row.range(cell) };
        let Some(range) = range else { return };
        if now.is_none() {
            cell.put(range.usual);
        }
        // A polarity that somebody read says that it is DC: alternating voltage has none.
        if spot.key == "power.type" && spot.list == "device" && polar.contains(spot.id) {
            return;
        }
        if let Some(&index) = known.get(&field) {
            let same: &mut Unsure = &mut unsure[index];
            same.at.push(here);
            same.within.push(here - start);
            return;
        }
        known.insert(field.clone(), unsure.len());
        unsure.push(Unsure {
            field,
            at: vec![here],
            within: vec![here - start],
            acts: spot.acts,
            key: spot.key,
            device: (spot.list == "device").then(|| spot.id.to_owned()),
            now,
            is_word: cell.is_word(),
            tool: row.tool,
            seconds: row.seconds,
            shows: cell.shows(),
            range,
        });
    });
    Filled { rig, unsure, count: fields.len() }
}

fn blanks(rig: &mut Rig) -> Vec<bool> {
    let mut out = Vec::new();
    visit(rig, &mut |_, cell| out.push(cell.now().is_none()));
    out
}

/// The rig with some values put in: each a value and what it is.
pub(crate) fn with(rig: &Rig, puts: &[(&Unsure, f64)]) -> Rig {
    let mut rig = rig.clone();
    let mut at = 0;
    visit(&mut rig, &mut |_, cell| {
        for (unsure, value) in puts {
            if unsure.at.binary_search(&at).is_ok() {
                cell.put(*value);
            }
        }
        at += 1;
    });
    rig
}

/// Puts a value of a device into the rig itself; gives what stood there.
pub(crate) fn put(rig: &mut Rig, unsure: &Unsure, value: f64) -> Vec<f64> {
    let (mut at, mut was) = (0, Vec::new());
    visit_only(rig, unsure.device.as_deref(), &mut |_, cell| {
        if unsure.within.binary_search(&at).is_ok() {
            was.extend(cell.now());
            cell.put(value);
        }
        at += 1;
    });
    was
}

/// Puts back what stood there.
pub(crate) fn restore(rig: &mut Rig, unsure: &Unsure, was: &[f64]) {
    let (mut at, mut was) = (0, was.iter());
    visit_only(rig, unsure.device.as_deref(), &mut |_, cell| {
        if unsure.within.binary_search(&at).is_ok()
            && let Some(was) = was.next()
        {
            cell.put(*was);
        }
        at += 1;
    });
}

impl Unsure {
    /// The ends of its range, as far as they are not what is taken now.
    pub(crate) fn ends(&self) -> Vec<f64> {
        let mut out = vec![self.range.low, self.range.high];
        out.retain(|value| (value - self.range.usual).abs() > f64::EPSILON * value.abs());
        out.dedup();
        out
    }

    /// Whether it belongs to a plug, a jack's nut or a cable, and moves leads.
    pub(crate) fn is_lead(&self) -> bool {
        self.acts == Acts::Space
            && self
                .field
                .parts()
                .first()
                .is_some_and(|list| ["plug", "cable", "connector"].contains(&list.as_str()))
    }

    /// A value as a builder reads it.
    pub(crate) fn words(&self, value: f64) -> String {
        (self.shows)(value)
    }

    /// Its ends and three points of its range.
    #[cfg(test)]
    pub(crate) fn points(&self) -> Vec<f64> {
        let mut out = self.ends();
        if !self.is_word {
            let (low, high) = (self.range.low, self.range.high);
            out.extend([0.25, 0.5, 0.75].map(|share| low + share * (high - low)));
        }
        out
    }
}

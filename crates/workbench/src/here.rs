//! What is usual in this shop: medians and ranges of what was measured or printed of each kind in all its jobs.

use std::sync::Arc;

use quantity::{Grams, Length, Milliamps};
use rig::{Device, Known, Provenance};

use crate::bench::Bench;
use crate::read::Opened;

/// One value of a kind.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Usual {
    /// What it is, in a word.
    pub(crate) title: &'static str,
    /// The middle one of what was found.
    pub(crate) median: String,
    /// The least and the most of it, where they differ.
    pub(crate) range: Option<[String; 2]>,
    /// How many were found.
    pub(crate) count: usize,
}

/// Every job of the shop that can be read, each derived once.
pub(crate) fn jobs(bench: &Bench) -> Vec<Arc<Opened>> {
    let names = bench.store.jobs().unwrap_or_default().into_iter().map(|entry| entry.name);
    names.filter_map(|name| bench.look(&name).ok()).collect()
}

/// What is usual of a kind, value by value; nothing of a value that was never measured.
pub(crate) fn usual(jobs: &[Arc<Opened>], kind: &str) -> Vec<Usual> {
    let read = jobs.iter().filter_map(|opened| opened.read.as_ref().ok());
    let devices = read.flat_map(|read| &read.design.rig.devices);
    of(&devices.filter(|device| device.kind.as_deref() == Some(kind)).collect::<Vec<_>>())
}

fn of(devices: &[&Device]) -> Vec<Usual> {
    let side = |of: fn(&rig::Size) -> Length| {
        found(devices, |device| Known { value: device.size.value.as_ref().map(of), from: device.size.from })
    };
    let all = [
        middle("width", side(|size| size.width)),
        middle("depth", side(|size| size.depth)),
        middle("height", side(|size| size.height)),
        middle::<Grams>("mass", found(devices, |device| device.mass)),
        middle::<Milliamps>("draw", found(devices, |device| device.power.current)),
    ];
    all.into_iter().flatten().collect()
}

/// What was measured or printed: a guess is no reason for the next one.
fn found<T>(devices: &[&Device], of: impl Fn(&Device) -> Known<T>) -> Vec<T> {
    let known = |value: &Known<T>| matches!(value.from, Provenance::Measured | Provenance::Printed);
    devices.iter().map(|device| of(device)).filter(known).filter_map(|value| value.value).collect()
}

fn middle<T: Ord + ToString>(title: &'static str, mut values: Vec<T>) -> Option<Usual> {
    values.sort();
    let (first, last) = (values.first()?, values.last()?);
    let range = (first < last).then(|| [first.to_string(), last.to_string()]);
    Some(Usual { title, median: values[(values.len() - 1) / 2].to_string(), range, count: values.len() })
}

impl Usual {
    /// `mass 390 g (360 g to 410 g, 3 measured)`.
    pub(crate) fn words(&self) -> String {
        match &self.range {
            Some([low, high]) => {
                format!("{} {} ({low} to {high}, {} measured)", self.title, self.median, self.count)
            }
            None => format!("{} {} ({} measured)", self.title, self.median, self.count),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_was_measured_counts_and_guesses_do_not() {
        let device =
            |grams: f64, from| Device { mass: Known::new(Grams::of(grams), from), ..Device::default() };
        let all = [
            device(410.0, Provenance::Measured),
            device(360.0, Provenance::Printed),
            device(900.0, Provenance::Assumed),
            device(390.0, Provenance::Measured),
        ];
        let usual = of(&all.iter().collect::<Vec<_>>());
        let words: Vec<String> = usual.iter().map(Usual::words).collect();
        assert_eq!(words, ["mass 390 g (360 g to 410 g, 3 measured)"]);
    }
}

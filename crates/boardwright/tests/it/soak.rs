//! Mutated documents: never a panic, never a hang, and at least half of them reach the checks.
//!
//! A few hundred in every run; `cargo xtask soak` sets `BOARDWRIGHT_SOAK` to the number it wants and
//! `BOARDWRIGHT_SEED` to where to begin.

use std::sync::atomic::{AtomicUsize, Ordering};

use toml_edit::{DocumentMut, Item, TableLike, Value};

use crate::jobs::{findings, findings_unlaid, names, text};

/// A small generator with a written state (xorshift64*, Vigna 2016), so that a failing case has a number.
pub(crate) struct Draw(u64);

impl Draw {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    pub(crate) fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        self.0.wrapping_mul(0x2545_F491_4F6C_DD1D)
    }

    pub(crate) fn below(&mut self, bound: usize) -> usize {
        usize::try_from(self.next() % u64::try_from(bound.max(1)).expect("small"))
            .expect("below a small bound")
    }
}

/// Values that suit some key, and values that suit none.
const VALUES: &[&str] = &[
    "\"unknown\"",
    "\"0 mm\"",
    "\"-3 mm\"",
    "\"999 m\"",
    "\"1/64 in\"",
    "\"4 3/4 in\"",
    "\"9 V\"",
    "\"9 V to 24 V\"",
    "\"1 V to 1 V\"",
    "\"0 mA\"",
    "\"99999 mA\"",
    "\"1 MΩ\"",
    "\"0 ohm\"",
    "\"1 pF\"",
    "\"centre-positive\"",
    "\"ac\"",
    "\"mains\"",
    "\"none\"",
    "\"digital\"",
    "\"hard\"",
    "\"always-on\"",
    "\"left\"",
    "\"back\"",
    "\"up\"",
    "\"heel\"",
    "\"floor\"",
    "\"through\"",
    "\"in\"",
    "0",
    "90",
    "270",
    "true",
    "false",
    "17",
    "-1",
    "nan",
    "1e400",
    "\"\"",
    "\"NaN mm\"",
    "[]",
    "{}",
    "\"#import \\\"x\\\"\"",
    "\"</svg><script>\"",
    "\"=CMD()\"",
    "\"\\u202e\"",
    "{ is = \"1 kg\", from = \"measured\" }",
    "\"panel-four-jacks\"",
];

/// Every place in a document that holds a value or a table, as a path of keys and indexes.
fn places(table: &dyn TableLike, above: &[String], out: &mut Vec<Vec<String>>) {
    for (key, item) in table.iter() {
        let mut path = above.to_vec();
        path.push(key.to_owned());
        if let Some(inner) = item.as_table_like() {
            places(inner, &path, out);
        }
        if let Some(rows) = item.as_array_of_tables() {
            for (index, row) in rows.iter().enumerate() {
                let mut row_path = path.clone();
                row_path.push(index.to_string());
                places(row, &row_path, out);
            }
        }
        out.push(path);
    }
}

fn parent<'a>(document: &'a mut DocumentMut, path: &[String]) -> Option<&'a mut dyn TableLike> {
    let mut table: &mut dyn TableLike = document.as_table_mut();
    let mut keys = path[..path.len() - 1].iter();
    while let Some(key) = keys.next() {
        let item = table.get_mut(key)?;
        table = if item.is_array_of_tables() {
            let index: usize = keys.next()?.parse().ok()?;
            item.as_array_of_tables_mut()?.get_mut(index)?
        } else {
            item.as_table_like_mut()?
        };
    }
    Some(table)
}

/// One to three mutations: a value replaced, taken away, or set to a value found elsewhere; rarely raw text.
fn mutate(text: &str, draw: &mut Draw) -> String {
    let mut document: DocumentMut = text.parse().expect("examples are TOML");
    for _ in 0..=draw.below(4) / 3 {
        let mut all = Vec::new();
        places(document.as_table(), &[], &mut all);
        let path = all[draw.below(all.len())].clone();
        // Mostly a value that stands under the same key elsewhere: it reads, and means something else.
        let kin: Vec<&Vec<String>> = all.iter().filter(|other| other.last() == path.last()).collect();
        let other =
            if draw.below(8) == 0 { &all[draw.below(all.len())] } else { kin[draw.below(kin.len())] }.clone();
        let moved: Option<Item> =
            parent(&mut document, &other).and_then(|table| table.get(other.last().expect("a key")).cloned());
        let kind = draw.below(8);
        let value = VALUES[draw.below(VALUES.len())].parse::<Value>();
        let Some(table) = parent(&mut document, &path) else { continue };
        let key = path.last().expect("a key");
        match (kind, value, moved) {
            (0 | 1, _, _) => {
                table.remove(key);
            }
            (2, Ok(value), _) => {
                table.insert(key, Item::Value(value));
            }
            (_, _, Some(item)) if item.is_value() => {
                table.insert(key, item);
            }
            _ => {}
        }
    }
    let mut text = document.to_string();
    if draw.below(20) == 0 {
        let at = (0..=draw.below(text.len())).rev().find(|at| text.is_char_boundary(*at)).unwrap_or(0);
        text.insert_str(at, ["[", "\"", "=", "\u{202e}", "{", "#", "\0"][draw.below(7)]);
    }
    text
}

/// Two of so many documents are laid.
const LAID_EVERY: u64 = 100;

pub(crate) fn number(name: &str, default: u64) -> u64 {
    std::env::var(name).ok().and_then(|text| text.parse().ok()).unwrap_or(default)
}

#[test]
fn mutated_documents_are_answered() {
    let (cases, first) = (number("BOARDWRIGHT_SOAK", 400), number("BOARDWRIGHT_SEED", 1));
    let texts: Vec<String> = names().iter().map(|name| text(name)).collect();
    let (read, found) = (AtomicUsize::new(0), AtomicUsize::new(0));
    std::thread::scope(|scope| {
        for worker in 0..2 {
            let (texts, read, found) = (&texts, &read, &found);
            scope.spawn(move || {
                for case in (first..first + cases).filter(|case| case % 2 == worker) {
                    let mut draw = Draw::new(case);
                    let document = mutate(&texts[draw.below(texts.len())], &mut draw);
                    // Every so many have their leads laid, too.
                    let ask = if case % LAID_EVERY < 2 { findings } else { findings_unlaid };
                    let answer = std::panic::catch_unwind(|| ask(&document).map(|found| found.len()));
                    match answer {
                        Ok(Ok(count)) => {
                            read.fetch_add(1, Ordering::Relaxed);
                            found.fetch_add(count, Ordering::Relaxed);
                        }
                        Ok(Err(_)) => {}
                        Err(cause) => panic!("case {case} panics with {cause:?}:\n{document}"),
                    }
                }
            });
        }
    });
    let (read, found) = (read.into_inner(), found.into_inner());
    println!("soak: {cases} documents from seed {first}, {read} reached the checks, {found} findings");
    assert!(cases <= 2 * u64::try_from(read).expect("small"), "{read} of {cases} reached the checks");
}

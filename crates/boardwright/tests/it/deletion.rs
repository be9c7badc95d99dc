//! Deleting any one field of a device never yields fewer *stop* findings without a *not checked*.

use finding::{Finding, Severity};
use toml_edit::{DocumentMut, Item, TableLike};

use crate::jobs::{findings_unlaid as findings, names, text};

/// Statements: what is not written down is then said not to be, and the stop was about the statement.
const STATEMENTS: &[(&str, &str)] = &[
    ("feed.adaptor.shortened", "the lead stays as it came: nothing is cut, and nobody need agree"),
    (
        "insert",
        "a panel without audition points: its jacks are ordinary ones, in whatever order they are wired",
    ),
];

/// Every path of keys below a table, values and tables alike.
fn paths(table: &dyn TableLike, above: &[String], out: &mut Vec<Vec<String>>) {
    for (key, item) in table.iter() {
        let mut path = above.to_vec();
        path.push(key.to_owned());
        if let Some(inner) = item.as_table_like() {
            paths(inner, &path, out);
        }
        out.push(path);
    }
}

fn without(document: &DocumentMut, device: usize, path: &[String]) -> String {
    let mut document = document.clone();
    let (last, way) = path.split_last().expect("a path");
    let mut table: &mut dyn TableLike =
        document["device"].as_array_of_tables_mut().and_then(|t| t.get_mut(device)).expect("device");
    for key in way {
        table = table.get_mut(key).and_then(Item::as_table_like_mut).expect("a table");
    }
    table.remove(last);
    document.to_string()
}

/// Whether a path is one of those, or what one of those names.
fn is_statement(path: &[String]) -> bool {
    let path = path.join(".");
    STATEMENTS.iter().any(|(of, _)| path == *of || path.strip_prefix(of).is_some_and(is_name))
}

fn is_name(rest: &str) -> bool {
    rest.strip_prefix('.').is_some_and(|name| !name.contains('.'))
}

fn stops(findings: &[Finding]) -> usize {
    // One cause may touch several; each of them counts.
    findings.iter().flat_map(Finding::cases).filter(|case| case.severity == Severity::Stop).count()
}

fn cannot(findings: &[Finding]) -> usize {
    let lacks: std::collections::BTreeSet<_> = findings.iter().flat_map(|finding| &finding.lacks).collect();
    lacks.len()
}

/// Every deletion in one example: how many were tried, and those that hid a stop.
fn deletions(name: &str) -> (usize, Vec<String>) {
    let mut tried = 0;
    let mut hidden = Vec::new();
    let text = text(name);
    let before = findings(&text).unwrap_or_else(|error| panic!("{name}: {error}"));
    let document: DocumentMut = text.parse().expect("TOML");
    let devices = document["device"].as_array_of_tables().expect("devices");
    for (index, device) in devices.iter().enumerate() {
        let tag = device["tag"].as_str().expect("tag");
        let mut all = Vec::new();
        paths(device, &[], &mut all);
        for path in all {
            if is_statement(&path) {
                continue;
            }
            // A document that cannot be read any more says so with exit code 2.
            let Ok(after) = findings(&without(&document, index, &path)) else { continue };
            tried += 1;
            if stops(&after) < stops(&before) && cannot(&after) <= cannot(&before) {
                hidden.push(format!("{name}: {tag}.{}", path.join(".")));
            }
        }
    }
    (tried, hidden)
}

#[test]
fn a_deleted_field_never_hides_a_stop() {
    let names: Vec<String> = names().into_iter().filter(|name| !name.ends_with("-corrected")).collect();
    let all: Vec<(usize, Vec<String>)> = std::thread::scope(|scope| {
        let running: Vec<_> = names.iter().map(|name| scope.spawn(|| deletions(name))).collect();
        running.into_iter().map(|run| run.join().expect("no deletion ends in a panic")).collect()
    });
    let tried: usize = all.iter().map(|(tried, _)| tried).sum();
    let hidden: Vec<String> = all.into_iter().flat_map(|(_, hidden)| hidden).collect();
    assert!(hidden.is_empty(), "{hidden:#?}");
    assert!(200 < tried, "{tried} deletions tried");
}

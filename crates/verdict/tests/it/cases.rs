//! Small rigs that went wrong once, each with what is wanted of it beside it as data.

use std::path::PathBuf;

use document::Job;
use toml_edit::DocumentMut;

use crate::held::{arranged, check, read, stops};

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/cases")
}

struct Wanted {
    now: Vec<String>,
    fits: bool,
    stays: Vec<String>,
    again: Vec<String>,
}

fn wanted(name: &str) -> Wanted {
    let path = folder().join(name).join("expected.toml");
    let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let table: DocumentMut = text.parse().unwrap_or_else(|error| panic!("{name}: {error}"));
    let texts = |list: &toml_edit::Array| -> Vec<String> {
        list.iter().filter_map(|value| value.as_str().map(str::to_owned)).collect()
    };
    let list = |key: &str| texts(table[key].as_array().unwrap_or_else(|| panic!("{name}: no list `{key}`")));
    let again = table.get("again").and_then(toml_edit::Item::as_array).map(texts).unwrap_or_default();
    let fits = table["fits"].as_bool().expect("a yes or no");
    Wanted { now: list("now"), fits, stays: list("stays"), again }
}

fn job(name: &str) -> Job {
    let path = folder().join(name).join("rig.toml");
    read(&std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display())))
}

#[test]
fn each_case_comes_out_as_is_wanted_of_it() {
    let mut names: Vec<String> = std::fs::read_dir(folder())
        .expect("the cases are there")
        .filter_map(|entry| entry.ok()?.file_name().into_string().ok())
        .collect();
    names.sort();
    assert!(11 <= names.len(), "{names:?}");
    let mut wrong = Vec::new();
    for name in names {
        let (job, wanted) = (job(&name), wanted(&name));
        let now: Vec<String> = stops(&check(&job));
        if now != wanted.now {
            wrong.push(format!("{name}: today the check stops {now:?}, wanted {:?}", wanted.now));
        }
        let arranged = arranged(&name, &job, 20_000);
        if arranged.fits() != wanted.fits {
            let (bars, breaches) = (arranged.bars(), &arranged.outcome.breaches);
            wrong.push(format!(
                "{name}: fits is {}, {bars:?} {breaches:?} {:?}",
                arranged.fits(),
                arranged.refused
            ));
        }
        let remade = arranged.verdict.iter().flat_map(|verdict| &verdict.remade);
        let again: Vec<String> = remade.map(|made| made.lead.clone()).collect();
        if again != wanted.again {
            wrong.push(format!("{name}: made again are {again:?}, wanted {:?}", wanted.again));
        }
        for tag in &wanted.stays {
            let place = |rig: &rig::Rig| rig.device(tag).and_then(|device| device.place.clone());
            if place(&arranged.outcome.rig) != place(&job.rig) {
                wrong.push(format!("{name}: {tag} did not stay"));
            }
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn an_edit_that_cannot_be_written_is_refused_and_not_offered() {
    let job = job("angled-plugs");
    let change =
        |field: finding::Field, to: &str| finding::Edit::new("try", [finding::Change::set(field, to)]);
    let edit = change(finding::Field::device("NOBODY", "size"), "deep");
    assert!(matches!(verdict::judge(&job, &[], &edit), Err(verdict::Refused::Edit(_))));
    let edit = change(finding::Field::device("A1", "kind"), "no-such-kind");
    let refused = verdict::judge(&job, &[], &edit).expect_err("there is no such kind");
    assert!(
        matches!(refused, verdict::Refused::Read(_)) && refused.to_string().contains("no-such-kind"),
        "{refused}"
    );
}

#[test]
fn every_rule_of_room_is_a_rule() {
    for id in verdict::FIT {
        assert!(checks::rule(id).is_some(), "{id}");
    }
}

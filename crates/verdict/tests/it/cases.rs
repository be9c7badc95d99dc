//! Small rigs that went wrong once, each with what is wanted of it beside it as data.

use std::path::PathBuf;

use document::Job;
use toml_edit::DocumentMut;

use crate::held::{arranged, check, helped, read, stops};

fn folder() -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join("tests/cases")
}

struct Wanted {
    now: Vec<String>,
    fits: bool,
    stays: Vec<String>,
    again: Vec<String>,
    left_out: Vec<String>,
    proof: Option<String>,
    /// What would help, each judged; `None` where nobody asks.
    helps: Option<Vec<String>>,
    /// Whether the search itself must come to a placement that fits.
    searched: bool,
}

fn wanted(name: &str) -> Wanted {
    let path = folder().join(name).join("expected.toml");
    let text = std::fs::read_to_string(&path).unwrap_or_else(|error| panic!("{}: {error}", path.display()));
    let table: DocumentMut = text.parse().unwrap_or_else(|error| panic!("{name}: {error}"));
    let texts = |list: &toml_edit::Array| -> Vec<String> {
        list.iter().filter_map(|value| value.as_str().map(str::to_owned)).collect()
    };
    let list = |key: &str| texts(table[key].as_array().unwrap_or_else(|| panic!("{name}: no list `{key}`")));
    let maybe = |key: &str| table.get(key).and_then(toml_edit::Item::as_array).map(texts);
    let again = maybe("again").unwrap_or_default();
    let fits = table["fits"].as_bool().expect("a yes or no");
    Wanted {
        now: list("now"),
        fits,
        stays: list("stays"),
        again,
        left_out: maybe("left_out").unwrap_or_default(),
        proof: table.get("proof").and_then(toml_edit::Item::as_str).map(str::to_owned),
        helps: maybe("helps"),
        searched: table.get("searched").is_some(),
    }
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
    assert!(18 <= names.len(), "{names:?}");
    let mut wrong = Vec::new();
    for name in names {
        let (job, wanted) = (job(&name), wanted(&name));
        let now: Vec<String> = stops(&check(&job));
        if now != wanted.now {
            wrong.push(format!("{name}: today the check stops {now:?}, wanted {:?}", wanted.now));
        }
        let arranged = match wanted.helps {
            Some(_) => helped(&name, &job, 20_000),
            None => arranged(&name, &job, 20_000),
        };
        let outcome = &arranged.outcome;
        let left: Vec<String> = outcome.left_out.iter().map(layout::LeftOut::words).collect();
        if left != wanted.left_out {
            wrong.push(format!("{name}: left out are {left:?}, wanted {:?}", wanted.left_out));
        }
        if wanted.proof.is_some() && outcome.proof != wanted.proof {
            wrong.push(format!("{name}: proven is {:?}, wanted {:?}", outcome.proof, wanted.proof));
        }
        if wanted.searched && outcome.first_fit.is_none() {
            wrong.push(format!("{name}: the search came to nothing that fits"));
        }
        let helps: Vec<String> = outcome.relaxations.iter().map(|helps| helps.name.clone()).collect();
        if wanted.helps.as_ref().is_some_and(|wanted| helps != *wanted) {
            wrong.push(format!("{name}: {helps:?} would help, wanted {:?}", wanted.helps));
        }
        for relaxation in outcome.relaxations.iter().filter(|relaxation| !relaxation.judged) {
            wrong.push(format!("{name}: {} is not judged", relaxation.name));
        }
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

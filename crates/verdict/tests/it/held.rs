//! What must hold of every answer, whatever the document.

use document::Job;
use finding::Finding;
use layout::{Config, Input, NeverCancelled, NoProgress};
use verdict::{Arranged, FIT};

/// A search small enough for a test, with one alternative.
pub(crate) fn config(moves: u64) -> Config {
    Config { moves, alternatives: 1, relax: false, ..Config::standard() }
}

pub(crate) fn input(job: &Job) -> Input {
    Input::from_rig(&job.rig, &job.limits)
        .with_stock(job.catalogue.plugs())
        .with_boards(job.catalogue.boards())
}

/// What the check says, as the command says it.
pub(crate) fn check(job: &Job) -> Vec<Finding> {
    checks::check(&design::derive(job.rig.clone(), job.limits.clone()).laid())
}

/// The open stops of the rules of room, with their devices.
pub(crate) fn stops(findings: &[Finding]) -> Vec<String> {
    findings
        .iter()
        .filter(|finding| finding.is_open_stop() && FIT.contains(&finding.rule))
        .map(|finding| format!("{} {}", finding.rule, finding.devices.join(" ")))
        .collect()
}

pub(crate) fn read(text: &str) -> Job {
    match document::read_text("rig.toml", text, None) {
        Ok(job) => job,
        Err(document::ReadError::Problems { problems, .. }) => panic!("{problems:#?}\n{text}"),
        Err(error) => panic!("{error}"),
    }
}

/// Arranges a job and asks of the answer what must hold of each.
pub(crate) fn arranged(name: &str, job: &Job, moves: u64) -> Arranged {
    held(name, job, &config(moves))
}

/// The same with what would help where nothing fits: what is said to help does, written and read again.
pub(crate) fn helped(name: &str, job: &Job, moves: u64) -> Arranged {
    let arranged = held(name, job, &Config { relax: true, ..config(moves) });
    for relaxation in arranged.outcome.relaxations.iter().filter(|relaxation| relaxation.judged) {
        let Some(edit) = &relaxation.edit else { continue };
        let text = document::edit::apply(job.text(), edit).unwrap_or_else(|error| panic!("{name}: {error}"));
        let again = read(&text);
        assert_eq!(stops(&check(&again)), Vec::<String>::new(), "{name}: {}", relaxation.name);
        let measured = layout::measure(&input(&again), &config(moves));
        assert!(measured.feasible, "{name}: {}: {:?}", relaxation.name, measured.breaches);
    }
    arranged
}

fn held(name: &str, job: &Job, config: &Config) -> Arranged {
    let today = check(job);
    let input = input(job);
    let arranged = verdict::arrange(job, &today, &input, config, &NoProgress, &NeverCancelled);
    let told = serde_json::to_value(verdict::json(&arranged)).expect("JSON");
    assert_eq!(told["feasible"].as_bool(), Some(arranged.fits()), "{name}");
    if !arranged.fits() {
        let says_why = !arranged.bars().is_empty()
            || arranged.refused.is_some()
            || arranged.verdict.as_ref().is_some_and(|verdict| !verdict.astray.is_empty())
            || !arranged.outcome.breaches.is_empty()
            || !arranged.outcome.left_out.is_empty();
        assert!(says_why, "{name}: it does not fit, and nothing says why");
        return arranged;
    }
    let verdict = arranged.verdict.as_ref().unwrap_or_else(|| panic!("{name}: offered without a verdict"));
    assert!(verdict.fits(), "{name}: {:?}", verdict.bars);
    let outcome = &arranged.outcome;
    for (edit, verdict) in [(&outcome.edit, verdict)]
        .into_iter()
        .chain(outcome.alternatives.iter().map(|other| &other.edit).zip(&arranged.alternatives))
    {
        // Written, and read again from nothing but the text.
        let text = document::edit::apply(job.text(), edit).unwrap_or_else(|error| panic!("{name}: {error}"));
        assert_eq!(text, verdict.text, "{name}");
        let again = read(&text);
        let said = check(&again);
        assert_eq!(stops(&said), Vec::<String>::new(), "{name}: offered, and stopped by the check");
        // Whatever it stops besides has been said.
        for stop in said.iter().filter(|finding| finding.is_open_stop()) {
            assert!(
                verdict.beside.iter().any(|beside| beside.identity() == stop.identity()),
                "{name}: {stop:?}"
            );
        }
        // Nor do the leads break their own rules.
        let design = design::derive(again.rig.clone(), again.limits.clone()).laid();
        let routes = design.routes();
        let breaches = leads_of(routes);
        assert!(breaches.is_empty(), "{name}: {breaches:?}");
        let measured = layout::measure(&self::input(&again), config);
        assert!(measured.feasible, "{name}: {:?}", measured.breaches);
    }
    let again = read(&verdict.text);
    for placement in &outcome.placements {
        let place = again.rig.device(&placement.device).and_then(|device| device.place.as_ref());
        let place = place.unwrap_or_else(|| panic!("{name}: {} has no place", placement.device));
        assert_eq!(
            (&place.deck, place.x, place.y, place.quarters % 4, place.under),
            (&placement.deck, placement.x, placement.y, placement.quarters, placement.under),
            "{name}: {}",
            placement.device
        );
        for plug in &placement.plugs {
            let ends = rig::geometry::lead_ends(&again.rig);
            let end = ends.iter().find(|end| end.port == plug.port && end.other == plug.other);
            let end = end.unwrap_or_else(|| panic!("{name}: no lead at {}", plug.port));
            assert_eq!(
                end.plug.plug.as_ref().map(|kind| &kind.id),
                Some(&plug.plug),
                "{name}: {}",
                plug.port
            );
            assert_eq!(end.plug.exit, plug.exit, "{name}: {}", plug.port);
        }
    }
    arranged
}

fn leads_of(routes: &design::Routes) -> Vec<String> {
    let judged = leads::verify::verify(&routes.input, &routes.outcome);
    judged.breaches.iter().map(|breach| format!("{breach:?}")).collect()
}

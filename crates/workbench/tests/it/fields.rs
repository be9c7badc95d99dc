//! Whatever a document can say can be said in the browser: each key of the format has its field, and lists, rows
//! and named things can be added, changed and taken away.

use axum::http::StatusCode;
use document::Job;
use document::format::{RIG, Shape, Table};
use finding::Field;

use crate::web::{Web, example, revision};

/// What has its own place or its own form: runs and feeds on Path and Power, leads on Leads, answers beside the
/// findings, where a device stands on the Deck, its tag and kind above its values.
fn is_elsewhere(path: &str) -> bool {
    let own =
        ["run", "lead", "accept", "format", "job/mains", "brief/requirements", "board/search", "board/title"];
    let of_device = ["tag", "kind", "search"];
    let keys: Vec<&str> = path.split('/').collect();
    own.iter().any(|own| path == *own || path.starts_with(&format!("{own}/")))
        || (keys.len() == 3 && keys[0] == "device" && of_device.contains(&keys[2]))
        // Where the values of a table come from is said value by value.
        || keys.last() == Some(&"from")
        // The name of a state or a moment heads its fields.
        || (keys.len() == 3 && keys[2] == "name")
}

/// Every mark a page must carry for a table: the address of each value, and the form that adds what has a name.
fn wanted(job: &Job, table: &'static Table, field: &Field, out: &mut Vec<String>) {
    for key in table.keys {
        let below = field.below(key.name);
        let path = below.parts().join("/");
        if is_elsewhere(&path) {
            continue;
        }
        match &key.shape {
            Shape::Table(inner) => wanted(job, inner, &below, out),
            Shape::Named(inner) => {
                out.push(format!("data-key=\"more-{path}\""));
                for name in job.names_below(&below) {
                    wanted(job, inner, &below.below(&name), out);
                }
            }
            Shape::Tables(inner, _) => {
                if key.name != "device" {
                    out.push(format!("data-key=\"more-{path}\""));
                }
                for name in job.names_below(&below) {
                    wanted(job, inner, &below.below(&name), out);
                }
            }
            Shape::List(Shape::Table(_)) => out.push(format!("data-key=\"group-{path}\"")),
            Shape::Values(_) => out.push(format!("data-key=\"more-{path}\"")),
            _ => out.push(format!("name=\"field\" value=\"{path}\"")),
        }
    }
}

#[tokio::test]
async fn every_key_of_the_format_is_within_reach() {
    for name in ["wet-dry-touring", "church-bass"] {
        let text = example(name);
        let job = document::read_text("rig.toml", &text, None).expect("read");
        let web = Web::with(&[("a", &text)]);
        let mut pages = web.get("/job/a/brief").await.body;
        for device in &job.rig.devices {
            pages.push_str(&web.get(&format!("/job/a/gear?pick={}", device.tag)).await.body);
        }
        let mut marks = Vec::new();
        wanted(&job, &RIG, &Field::new(Vec::<String>::new()), &mut marks);
        let missing: Vec<&String> = marks.iter().filter(|mark| !pages.contains(mark.as_str())).collect();
        assert!(300 < marks.len(), "{}", marks.len());
        assert_eq!(missing, Vec::<&String>::new(), "{name}");
    }
}

/// Makes edits one after the other; each is a form.
async fn make(web: &Web, edits: &[&[(&str, &str)]]) {
    let mut base = revision(&web.send("/job/a/undo", &[("base", "0")]).await).replace("null", "1");
    for fields in edits {
        let mut all = vec![("base", base.as_str()), ("here", "/job/a/brief")];
        all.extend_from_slice(fields);
        let answer = web.send("/job/a/edit", &all).await;
        assert_eq!(answer.status, StatusCode::OK, "{fields:?}: {}", answer.body);
        base = revision(&answer);
    }
}

#[tokio::test]
async fn lists_rows_and_named_things_are_written() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    make(
        &web,
        &[
            &[("act", "list"), ("field", "brief/countries"), ("value", "GB, US")],
            &[
                ("act", "named"),
                ("field", "board/deck"),
                ("name", "upper"),
                ("unit", "mm"),
                ("key", "size.width"),
                ("value", "400"),
                ("key", "size.depth"),
                ("value", "150 mm"),
                ("key", "level"),
                ("value", "95"),
            ],
            &[
                ("act", "named"),
                ("field", "board/deck/main/rail"),
                ("name", "front"),
                ("unit", "mm"),
                ("key", "x"),
                ("value", "0"),
                ("key", "y"),
                ("value", "0"),
                ("key", "width"),
                ("value", "560"),
                ("key", "depth"),
                ("value", "50"),
            ],
            &[
                ("act", "rows"),
                ("field", "board/feet"),
                ("unit", "mm"),
                ("cell.x", "20"),
                ("cell.y", "20"),
                ("cell.x", "540"),
                ("cell.y", "20"),
                ("cell.x", ""),
                ("cell.y", ""),
            ],
            &[("act", "named"), ("field", "mass"), ("name", "strip"), ("key", ""), ("value", "300 g")],
            &[("act", "row"), ("list", "state"), ("name", "loud"), ("key", "engaged"), ("value", "B4, B6")],
            &[("act", "list"), ("field", "state/loud/engaged"), ("value", "B4")],
            &[
                ("act", "set"),
                ("field", "board/lid/inside_height"),
                ("value", "130"),
                ("unit", "mm"),
                ("from", "measured"),
            ],
        ],
    )
    .await;
    let job = document::read_text("rig.toml", &web.text("a"), None).expect("read");
    assert_eq!(job.rig.brief.countries, ["GB", "US"]);
    let upper = job.rig.board.deck("upper").expect("deck");
    assert_eq!(upper.z.to_string(), "95 mm");
    assert_eq!(job.rig.board.deck("main").expect("deck").rails.len(), 1);
    assert_eq!(job.rig.board.feet.len(), 2);
    assert!(job.rig.extra_mass.iter().any(|(name, _)| name == "strip"));
    let loud = job.rig.states.iter().find(|state| state.name == "loud").expect("state");
    assert_eq!(loud.engaged, ["B4"]);
    assert_eq!(
        job.rig.board.lid.as_ref().and_then(|lid| lid.inside_height.value).map(|height| format!("{height}")),
        Some("130 mm".to_owned())
    );
}

#[tokio::test]
async fn named_things_and_lists_are_taken_away() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    make(
        &web,
        &[
            &[
                ("act", "named"),
                ("field", "board/deck/main/riser"),
                ("name", "step"),
                ("unit", "in"),
                ("key", "x"),
                ("value", "1"),
                ("key", "y"),
                ("value", "1"),
                ("key", "width"),
                ("value", "4"),
                ("key", "depth"),
                ("value", "4"),
                ("key", "height"),
                ("value", "2"),
            ],
            &[("act", "set"), ("field", "board/deck/main/riser/step"), ("value", "")],
            &[("act", "list"), ("field", "brief/countries"), ("value", "")],
        ],
    )
    .await;
    let job = document::read_text("rig.toml", &web.text("a"), None).expect("read");
    assert!(job.rig.board.deck("main").expect("deck").risers.is_empty());
    assert!(job.rig.brief.countries.is_empty());
}

#[tokio::test]
async fn a_hole_moves_as_it_is_seen_from_the_front() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    let hole = |text: &str| {
        let job = document::read_text("rig.toml", text, None).expect("read");
        let design = design::derive(job.rig, job.limits);
        let plate = design::plates(&design).into_iter().next().expect("a plate");
        let hole = plate.holes.into_iter().find(|hole| hole.port == "IN").expect("a hole");
        (hole.x.value.expect("x"), hole.y.value.expect("y"))
    };
    let before = hole(&web.text("a"));
    make(&web, &[&[("act", "hole"), ("tag", "PNL"), ("port", "IN"), ("dx", "4"), ("dy", "-2")]]).await;
    let after = hole(&web.text("a"));
    assert_eq!((after.0 - before.0).to_string(), "4 mm");
    assert_eq!((after.1 - before.1).to_string(), "-2 mm");
}

#[tokio::test]
async fn a_revision_is_frozen_under_its_letter_and_once() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    let before = web.text("a");
    web.get("/job/a/papers").await;
    let fields = [
        ("base", "1"),
        ("letter", "A"),
        ("why", "approved by the player"),
        ("by", "A. Quorrie"),
        ("here", "/job/a/papers"),
    ];
    let answer = web.send("/job/a/freeze", &fields).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    let frozen = web.get("/job/a/revision/A").await;
    assert_eq!(frozen.body, before, "the document as it was");
    let page = web.get("/job/a/papers").await.body;
    assert!(page.contains("approved by the player") && page.contains("B draft"), "the next draft is begun");
    let base = revision(&answer);
    let again = web
        .send(
            "/job/a/freeze",
            &[("base", &base), ("letter", "A"), ("why", "again"), ("here", "/job/a/papers")],
        )
        .await;
    assert_eq!(again.status, StatusCode::UNPROCESSABLE_ENTITY, "{}", again.body);
    for (letter, why) in [("../A", "x"), ("", "x"), ("b", "x"), ("C", " ")] {
        let refused = web.send("/job/a/freeze", &[("base", &base), ("letter", letter), ("why", why)]).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{letter} {why}");
    }
}

/// The worst change at 4 kHz stands on a page that is asked for whole.
#[tokio::test]
async fn what_is_heard_stands_on_the_deck() {
    let web = Web::with(&[("a", &example("wet-dry-touring"))]);
    let page = web.get("/job/a/deck").await.body;
    assert!(page.contains("look beyond \u{b1}2"), "no worst change");
    assert!(!page.contains("being worked out"));
}

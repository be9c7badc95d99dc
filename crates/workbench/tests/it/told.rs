//! What the pages tell: in the unit of the page, in words of people, with what is missing out of the way.

use axum::body::Body;
use axum::http::{Request, StatusCode, header};

use crate::web::{Answer, HOST, Web, example, revision};

async fn in_inches(web: &Web, path: &str) -> Answer {
    let request = Request::get(path).header(header::HOST, HOST).header(header::COOKIE, "unit=inch");
    web.ask(request.body(Body::empty()).expect("request")).await
}

#[tokio::test]
async fn inches_reach_findings_undo_and_drills() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    let fields =
        [("base", "1"), ("here", "/job/a/deck"), ("act", "move"), ("tag", "B4"), ("dx", "-68"), ("dy", "0")];
    let answer = web.send("/job/a/edit", &fields).await;
    assert!(answer.body.contains("\"said\":\"B4 moved 68 mm left\""), "told as done");
    let deck = in_inches(&web, "/job/a/deck?pick=B4").await.body;
    assert!(deck.contains("move B4 2 43/64 in left"), "the name of the edit");
    let side = &deck[deck.find("id=\"side\"").expect("side")..];
    assert!(!side.contains(" mm<") && !side.contains(" mm,") && side.contains(" in"), "{side}");
    // A drill is chosen by thousandths: the nearest mark of a tape may be too small.
    let job = document::read_text("rig.toml", &web.text("a"), None).expect("read");
    let design = design::derive(job.rig, job.limits);
    let plates = design::plates(&design);
    let holes: Vec<_> = plates.iter().flat_map(|plate| &plate.holes).collect();
    assert!(!holes.is_empty());
    let panel = in_inches(&web, "/job/a/panel").await.body;
    for diameter in holes.iter().filter_map(|hole| hole.diameter.value) {
        let wanted = format!("⌀ {:.3}", diameter.as_mm() / 25.4);
        assert!(panel.contains(wanted.trim_end_matches('0').trim_end_matches('.')), "{wanted}");
    }
}

#[tokio::test]
async fn no_page_tells_to_type_a_command() {
    let web = Web::with(&[("a", &example("church-bass")), ("b", &example("wet-dry-touring"))]);
    for job in ["a", "b"] {
        for place in crate::web::PLACES {
            let page = web.get(&format!("/job/{job}/{place}")).await.body;
            let side = &page[page.find("id=\"side\"").expect("side")..];
            assert!(!side.contains('`') && !side.contains("boardwright "), "{job}/{place}: {side}");
        }
    }
}

#[tokio::test]
async fn what_waits_for_values_does_not_hide_what_was_found() {
    let rows: String = (1..=14).fold("tag\tname\n".to_owned(), |out, n| out + &format!("X{n}\tthing {n}\n"));
    let web = Web::with(&[("a", "format = 1\n[job]\ntitle = \"bare\"\n[board]\nkind = \"flat-560x330\"\n")]);
    let paste = [
        ("base", "1"),
        ("here", "/job/a/deck"),
        ("act", "paste"),
        ("rows", rows.as_str()),
        ("from", "printed"),
    ];
    assert_eq!(web.send("/job/a/edit", &paste).await.status, StatusCode::OK);
    let mut folded = 0;
    for place in crate::web::PLACES {
        let page = web.get(&format!("/job/a/{place}")).await.body;
        let side = &page[page.find("id=\"side\"").expect("side")..];
        // What stands open without a press: neither those that wait nor the further cases of one finding.
        let open = side.split("data-key=\"not-checked\"").next().unwrap_or_default();
        let closed = |part: &str| {
            part.split_once("</details>").map_or(0, |(inner, _)| inner.matches("Not checked").count())
        };
        let folded_cases: usize = open.split("data-key=\"cases-").skip(1).map(closed).sum();
        let lines = open.matches("Not checked").count() - folded_cases;
        assert!(lines < 7, "{place}: {lines} lines say that something was not checked");
        folded += usize::from(
            side.contains("not checked yet: values are missing") || side.contains("data-key=\"cases-"),
        );
    }
    assert!(0 < folded, "some place has many");
    // A sum with unknown parts is a least.
    let deck = web.get("/job/a/deck").await.body;
    assert!(deck.contains("at least ") && deck.contains("masses unknown"));
}

#[tokio::test]
async fn a_brick_becomes_another() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    let page = web.get("/job/a/gear?pick=SUP").await.body;
    assert!(page.contains("Change kind"));
    let change = |base: &'static str, kind: &'static str| {
        [("base", base), ("here", "/job/a/gear"), ("act", "kind"), ("tag", "SUP"), ("kind", kind)]
    };
    // Its outlets are named by feeds: a kind without them is refused, and nothing is written.
    let before = web.text("a");
    let refused = web.send("/job/a/edit", &change("1", "compact-66x122x50")).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{}", refused.body);
    assert_eq!(web.text("a"), before);
    let job = document::read_text("rig.toml", &before, None).expect("read");
    let own = job.rig.device("SUP").and_then(|device| device.kind.clone()).expect("a kind");
    let bricks = job.catalogue.devices();
    let outlets =
        |device: &rig::Device| device.outlets.iter().map(|outlet| outlet.name.clone()).collect::<Vec<_>>();
    let now = outlets(job.rig.device("SUP").expect("SUP"));
    let other = bricks.iter().find(|kind| {
        kind.kind.as_deref() != Some(own.as_str()) && now.iter().all(|outlet| outlets(kind).contains(outlet))
    });
    let other = other.and_then(|kind| kind.kind.clone()).expect("a brick with as many outlets");
    let fields =
        [("base", "1"), ("here", "/job/a/gear"), ("act", "kind"), ("tag", "SUP"), ("kind", other.as_str())];
    let answer = web.send("/job/a/edit", &fields).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    assert_eq!(revision(&answer), "2");
    assert!(web.text("a").contains(&format!("kind = \"{other}\"")));
}

#[tokio::test]
async fn the_address_of_a_preview_can_be_opened() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    let answer = web.get("/job/a/gear/preview").await;
    assert_eq!(answer.status, StatusCode::SEE_OTHER);
    assert_eq!(answer.headers[header::LOCATION], "/job/a/gear?add=paste");
}

//! Two runs from one output: one lead with a joint, made by the feed itself or by a button beside the finding.

use axum::http::StatusCode;

use crate::web::{Web, revision};

const TEXT: &str = "format = 1\n[job]\ntitle = \"Y\"\n[board]\nkind = \"flat-560x330\"\n\
    [[device]]\ntag = \"A1\"\nkind = \"compact-66x122x50\"\nplace = { x = \"200 mm\", y = \"40 mm\" }\n\
    [source.guitar]\npickup = \"single-coil\"\n[sink.amp]\nkind = \"KIND\"\n[sink.desk]\nkind = \"KIND\"\n\
    [[run]]\nname = \"main\"\nstops = [\"guitar\", \"A1\", \"amp\"]\n";

fn text() -> String {
    let kinds = document::Catalogue::standard().entries();
    let id = |family| kinds.iter().find(|entry| entry.family == family).expect("a kind").id.clone();
    TEXT.replace("single-coil", &id(document::Family::Pickup)).replace("KIND", &id(document::Family::Input))
}

const STOP: &str = "Jack A1.OUT is left by leads to";

#[tokio::test]
async fn a_feed_to_the_desk_makes_one_y_lead() {
    let web = Web::with(&[("a", &text())]);
    let run = |base: &'static str, name: &'static str, to: &'static str| {
        [
            ("base", base),
            ("here", "/job/a/path"),
            ("act", "run"),
            ("name", name),
            ("stop", "A1"),
            ("stop", to),
        ]
    };
    let answer = web.send("/job/a/edit", &run("1", "desk feed", "desk")).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    let after = web.text("a");
    assert!(after.contains("ends = [\"A1.OUT\", \"amp\", \"desk\"]"), "{after}");
    assert!(!web.get("/job/a/path").await.body.contains(STOP));
    let job = document::read_text("rig.toml", &after, None).expect("read");
    let design = design::derive(job.rig, job.limits);
    let joined: Vec<_> = design.leads.iter().filter(|lead| lead.is_joined()).collect();
    assert_eq!(joined.len(), 1);
    assert_eq!(joined[0].route_words(), "A1.OUT to amp + desk");
    // The same way twice is said, and is no second run.
    let refused = web.send("/job/a/edit", &run("2", "again", "amp")).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.body.contains("A1 goes to amp already, in run main"), "{}", refused.body);
    // One step, and back to the very text.
    let answer = web.send("/job/a/undo", &[("base", "2"), ("here", "/job/a/path")]).await;
    assert_eq!(answer.status, StatusCode::OK);
    assert_eq!(web.text("a"), text());
}

#[tokio::test]
async fn the_finding_offers_a_y_lead_and_a_third_branch_joins_it() {
    let third = "[sink.second]\nkind = \"KIND\"\n[[run]]\nname = \"two\"\nstops = [\"A1\", \"desk\"]\n";
    let kinds = document::Catalogue::standard().entries();
    let input = kinds.iter().find(|entry| entry.family == document::Family::Input).expect("a kind");
    let web = Web::with(&[("a", &(text() + &third.replace("KIND", &input.id)))]);
    let page = web.get("/job/a/path").await.body;
    assert!(page.contains(STOP) && page.contains("Make it one Y lead"));
    let fields =
        [("base", "1"), ("here", "/job/a/path"), ("act", "joint"), ("device", "A1"), ("port", "OUT")];
    let answer = web.send("/job/a/edit", &fields).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    assert!(web.text("a").contains("ends = [\"A1.OUT\", \"amp\", \"desk\"]"), "{}", web.text("a"));
    assert!(!web.get("/job/a/path").await.body.contains(STOP));
    let base = revision(&answer);
    let run = [
        ("base", base.as_str()),
        ("here", "/job/a/path"),
        ("act", "run"),
        ("name", "three"),
        ("stop", "A1"),
        ("stop", "second"),
    ];
    let answer = web.send("/job/a/edit", &run).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    let after = web.text("a");
    assert!(after.contains("\"A1.OUT\", \"amp\", \"desk\", \"second\"]"), "{after}");
    assert_eq!(after.matches("[[lead]]").count(), 1, "{after}");
}

//! The work order: ticks hold for the figures they were made for, holds hold, and nothing is cut without a length.

use axum::http::StatusCode;

use crate::web::{Answer, Web, example, revision};

const JOB: &str = "church-bass-corrected";

async fn tick(web: &Web, step: &str, done: bool) -> Answer {
    let done = if done { "yes" } else { "no" };
    web.send("/job/a/tick", &[("step", step), ("done", done), ("here", "/job/a/build")]).await
}

/// The acts of the work order, in their order: id, and whether it is a hold.
async fn acts(web: &Web) -> Vec<(String, bool)> {
    let page = web.get("/job/a/build?all=1").await.body;
    page.split("name=\"step\" value=\"")
        .skip(1)
        .map(|rest| {
            let id = rest.split('"').next().unwrap_or_default().replace("&gt;", ">").replace("&amp;", "&");
            (id, rest.split("</li>").next().is_some_and(|item| item.contains("Hold. ")))
        })
        .collect()
}

/// Ticks everything up to the first act whose id begins so, and gives that act.
async fn up_to(web: &Web, beginning: &str) -> String {
    for (id, _) in acts(web).await {
        if id.starts_with(beginning) {
            return id;
        }
        let answer = tick(web, &id, true).await;
        assert_eq!(answer.status, StatusCode::OK, "{id}: {}", answer.body);
    }
    panic!("no act {beginning}");
}

#[tokio::test]
async fn a_hold_that_is_open_holds() {
    let web = Web::with(&[("a", &example(JOB))]);
    let all = acts(&web).await;
    let hold = all.iter().position(|(_, is_hold)| *is_hold).expect("a hold");
    let later = &all[hold + 1].0;
    let refused = tick(&web, later, true).await;
    assert_eq!(refused.status, StatusCode::CONFLICT, "{}", refused.body);
    assert!(refused.body.contains(&format!("act {} is a hold", hold + 1)), "{}", refused.body);
    let card = web.get(&format!("/job/a/build?act={}", hold + 2)).await.body;
    assert!(card.contains("Not yet.") && !card.contains("class=\"tick\" type=\"submit\""), "no Done");
    // An act before the hold is done at any time; then the hold, then what follows.
    assert_eq!(tick(&web, &all[0].0, true).await.status, StatusCode::OK);
    assert_eq!(tick(&web, &all[hold].0, true).await.status, StatusCode::OK);
    assert_eq!(tick(&web, later, true).await.status, StatusCode::OK);
    // Taking back is never refused.
    assert_eq!(tick(&web, &all[hold].0, false).await.status, StatusCode::OK);
    assert_eq!(tick(&web, later, false).await.status, StatusCode::OK);
}

#[tokio::test]
async fn nobody_approves_while_stops_are_open() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    let page = web.get("/job/a/build").await.body;
    assert!(page.contains("NOT FOR BUILDING"), "Build says what the papers say");
    let refused = tick(&web, "hold:approved", true).await;
    assert_eq!(refused.status, StatusCode::CONFLICT, "{}", refused.body);
    assert!(refused.body.contains("not for building") && refused.body.contains("open"), "{}", refused.body);
    assert!(!Web::with(&[("a", &example(JOB))]).get("/job/a/build").await.body.contains("NOT FOR BUILDING"));
}

#[tokio::test]
async fn a_tick_is_reopened_when_a_length_changes_and_says_what_it_was() {
    let web = Web::with(&[("a", &example(JOB))]);
    let cut = up_to(&web, "cut:").await;
    assert_eq!(tick(&web, &cut, true).await.status, StatusCode::OK);
    let card = async || {
        // Acts before it come and go.
        let at = acts(&web).await.iter().position(|(id, _)| *id == cut).expect("act") + 1;
        web.get(&format!("/job/a/build?act={at}")).await.body
    };
    let is_done = |page: &str| page.contains("Done; take back");
    assert!(is_done(&card().await));
    // Everything that a lead may come from moves by a hand.
    let before = web.text("a");
    let mut base = "1".to_owned();
    for (tag, dy) in [("B1", "-60"), ("B2", "60"), ("B5", "60")] {
        let fields = [
            ("base", base.as_str()),
            ("here", "/job/a/deck"),
            ("act", "move"),
            ("tag", tag),
            ("dx", "0"),
            ("dy", dy),
        ];
        let answer = web.send("/job/a/edit", &fields).await;
        assert_eq!(answer.status, StatusCode::OK, "{tag}: {}", answer.body);
        base = revision(&answer);
    }
    let changed = card().await;
    assert!(!is_done(&changed), "what was cut is not cut to today's length");
    assert!(changed.contains("Done before, and changed since") && changed.contains("done at"), "{changed}");
    assert!(web.get("/job/a/build?all=1").await.body.contains("Changed since it was done."));
    // Done again for the new figures; and back at the old place it was done for others.
    assert_eq!(tick(&web, &cut, true).await.status, StatusCode::OK);
    assert!(is_done(&card().await));
    for _ in 0..3 {
        let answer = web.send("/job/a/undo", &[("base", &base), ("here", "/job/a/deck")]).await;
        base = revision(&answer);
    }
    assert_eq!(web.text("a"), before);
    assert!(!is_done(&card().await), "the lead was made anew for another place");
}

#[tokio::test]
async fn nothing_is_cut_without_a_length_and_every_lead_of_a_batch_is_listed() {
    let text = example(JOB);
    let web = Web::with(&[("a", &text)]);
    up_to(&web, "cut:").await;
    // A device is taken off the board: its leads have no length any more.
    let answer = web
        .send("/job/a/edit", &[("base", "1"), ("here", "/job/a/deck"), ("act", "unplace"), ("tag", "B5")])
        .await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    let all = acts(&web).await;
    let mut found = 0;
    for (at, (id, _)) in all.iter().enumerate().filter(|(_, (id, _))| id.starts_with("cut:")) {
        let page = web.get(&format!("/job/a/build?act={}", at + 1)).await.body;
        assert!(!page.contains("the lead schedule has them all"), "{id}");
        if !page.contains("no length yet, place of B5 missing") {
            continue;
        }
        found += 1;
        assert!(page.contains("Lengths missing") && !page.contains("class=\"tick\" type=\"submit\""), "{id}");
        let refused = tick(&web, id, true).await;
        assert_eq!(refused.status, StatusCode::CONFLICT, "{}", refused.body);
        assert!(refused.body.contains("place of B5 missing"), "{}", refused.body);
    }
    assert!(0 < found, "a batch has a lead of B5");
}

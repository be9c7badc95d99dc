//! What to measure first, and rows that go out.

use axum::http::StatusCode;

use crate::web::{Web, example, revision};

#[tokio::test]
async fn the_list_is_on_gear_and_a_measured_value_leaves_it() {
    let web = Web::with(&[("a", &example("cabin-board"))]);
    let page = web.get("/job/a/gear?add=first").await;
    assert_eq!(page.status, StatusCode::OK);
    assert!(page.body.contains("Measure these first") && page.body.contains("change nothing that is judged"));
    let knobs = "name=\"field\" value=\"device/A4/knobs\"";
    assert!(page.body.contains(knobs), "{}", page.body);
    let fields = [
        ("base", "1"),
        ("here", "/job/a/gear"),
        ("act", "set"),
        ("field", "device/A4/knobs"),
        ("value", "18"),
        ("from", "measured"),
        ("unit", "mm"),
    ];
    let answer = web.send("/job/a/edit", &fields).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    assert_eq!(revision(&answer), "2");
    let page = web.get("/job/a/gear?add=first").await;
    assert!(!page.body.contains(knobs), "what is measured is not asked for");
}

#[tokio::test]
async fn rows_go_out_as_a_file() {
    let web = Web::with(&[("a", &example("cabin-board"))]);
    let answer = web.get("/job/a/rows.csv").await;
    assert_eq!(answer.status, StatusCode::OK);
    assert_eq!(answer.headers["content-type"], "text/csv; charset=utf-8");
    let mut lines = answer.body.lines();
    assert!(lines.next().is_some_and(|head| head.starts_with("tag,name,kind,width mm")));
    assert!(lines.any(|line| line.starts_with("A4,")), "{}", answer.body);
}

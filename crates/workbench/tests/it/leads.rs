//! The Leads place over HTTP: ways, stock.

use axum::http::StatusCode;

use crate::web::{Web, example};

/// A job with nothing to lay knows all its ways: it does not promise any.
#[tokio::test]
async fn a_job_without_leads_promises_no_ways() {
    let web = Web::with(&[("a", "format = 1\n[job]\ntitle = \"nothing yet\"\n")]);
    let body = web.get("/job/a/leads").await.body;
    assert!(body.contains("No lead yet"), "{body}");
    assert!(!body.contains("the ways follow"), "{body}");
}

/// A lead with a piece below a deck is one button; the piece is shown with it.
#[tokio::test]
async fn each_lead_on_the_plan_is_one_button() {
    let web = Web::with(&[("a", &example("wet-dry-touring-corrected"))]);
    let body = web.get("/job/a/leads?lead=D02").await.body;
    let groups: Vec<&str> = body.lines().filter(|line| line.starts_with("<g id=\"plan-lead-")).collect();
    let of = |tag: &str| -> Vec<&str> {
        let named = format!("data-lead=\"{tag}\"");
        groups.iter().copied().filter(|line| line.contains(&named)).collect()
    };
    let two = of("D02");
    assert_eq!(two.len(), 2, "{two:?}");
    assert!(two.iter().any(|line| line.contains("aria-hidden=\"true\" data-pressed=\"true\"")), "{two:?}");
    assert!(two.iter().any(|line| line.contains("role=\"button\"")), "{two:?}");
    let tags: std::collections::BTreeSet<&str> =
        groups.iter().filter_map(|line| line.split("data-lead=\"").nth(1)?.split('"').next()).collect();
    for tag in tags {
        let buttons = of(tag).iter().filter(|line| line.contains("role=\"button\"")).count();
        assert_eq!(buttons, 1, "{tag}: {:?}", of(tag));
    }
}

/// A plan is booked once and taken back; nothing to take back is told as data where data is asked for.
#[tokio::test]
async fn a_plan_is_booked_and_taken_back() {
    let web = Web::with(&[("a", &example("church-bass-corrected"))]);
    let stock = web.folder.path().join("stock.toml");
    let text = "[[reel]]\nname = \"R1\"\ncable = \"patch-4\"\nlength = \"25000 mm\"\n";
    std::fs::write(&stock, text).expect("written");
    let page = web.get("/job/a/leads").await.body;
    assert!(page.contains("Book what it takes"), "{page}");
    assert_eq!(page.matches("id=\"waste-hatch\"").count(), 1, "an id stands once on a page");
    let fields = |what: &'static str| [("base", "1"), ("here", "/job/a/leads"), ("what", what)];
    let booked = web.send("/job/a/stock", &fields("book")).await;
    assert_ne!(booked.status, StatusCode::UNPROCESSABLE_ENTITY, "{}", booked.body);
    assert_ne!(std::fs::read_to_string(&stock).expect("read"), text);
    assert!(web.get("/job/a/leads").await.body.contains("Take back"));
    web.send("/job/a/stock", &fields("back")).await;
    assert_eq!(std::fs::read_to_string(&stock).expect("read"), text);
    assert_eq!(web.send("/job/a/stock", &fields("back")).await.status, StatusCode::CONFLICT);
}

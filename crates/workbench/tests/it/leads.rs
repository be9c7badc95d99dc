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

/// A booking has two halves, the stock and the document: to take one back or make it again takes both, from wherever it is
/// pressed; where the stock has gone on, nothing is taken back.
#[tokio::test]
async fn undo_of_a_booking_takes_both_halves() {
    let web = Web::with(&[("a", &example("church-bass-corrected"))]);
    let stock = web.folder.path().join("stock.toml");
    let on_shelf = || std::fs::read_to_string(&stock).expect("read");
    let text = "[[reel]]\nname = \"R1\"\ncable = \"patch-4\"\nlength = \"25000 mm\"\n";
    std::fs::write(&stock, text).expect("written");
    let press = async |way: &'static str, what: &'static str| {
        let page = web.get("/job/a/leads").await.body;
        let base = page.split("data-revision=\"").nth(1).and_then(|rest| rest.split('"').next());
        web.send(way, &[("base", base.unwrap_or_default()), ("here", "/job/a/leads"), ("what", what)]).await
    };
    let is_cut = || web.text("a").matches("cut = \"").count();
    let before = is_cut();
    press("/job/a/stock", "book").await;
    let (booked, cut) = (on_shelf(), is_cut());
    assert!(before < cut && booked != text);
    let answer = press("/job/a/undo", "").await;
    assert_eq!((on_shelf().as_str(), is_cut()), (text, before), "{}", answer.body);
    press("/job/a/redo", "").await;
    assert_eq!((on_shelf(), is_cut()), (booked.clone(), cut));
    // Something else is done in the stock.
    let other = format!("{booked}\n[[reel]]\nname = \"R9\"\ncable = \"patch-4\"\nlength = \"9000 mm\"\n");
    std::fs::write(&stock, &other).expect("written");
    let answer = press("/job/a/undo", "").await;
    assert!(answer.body.contains("cut from the stock, and more was done there since"), "{}", answer.body);
    assert_eq!((on_shelf(), is_cut()), (other, cut));
    // A document that cannot be read could not follow: the stock stays as it is too.
    std::fs::write(&stock, &booked).expect("written");
    let broken = format!("{}\n[[lead]]\n", web.text("a"));
    std::fs::write(web.folder.path().join("a/rig.toml"), broken).expect("written");
    let answer = press("/job/a/stock", "back").await;
    assert!(answer.body.contains("cannot be read"), "{}", answer.body);
}

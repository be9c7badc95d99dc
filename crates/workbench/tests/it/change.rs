//! The Change place over HTTP: from a revision to the draft, trials, back by one press.

use crate::web::{Web, example};

const JOB: &str = "church-bass-corrected";

async fn base(web: &Web) -> String {
    let page = web.get("/job/a/papers").await.body;
    let found = page.split("data-revision=\"").nth(1).and_then(|rest| rest.split('"').next());
    found.unwrap_or_else(|| panic!("{page}")).to_owned()
}

fn text(web: &Web) -> String {
    web.text("a")
}

async fn press(web: &Web, path: &str, fields: &[(&str, &str)]) {
    let base = base(web).await;
    let all: Vec<(&str, &str)> = [("base", base.as_str()), ("here", "/job/a/change")]
        .into_iter()
        .chain(fields.iter().copied())
        .collect();
    let answer = web.send(path, &all).await;
    assert!(answer.status.is_success(), "{path}: {} {}", answer.status, answer.body);
}

#[tokio::test]
async fn a_draft_is_told_against_its_revision_and_goes_back_by_one_press() {
    let web = Web::with(&[("a", &example(JOB))]);
    assert!(web.get("/job/a/change").await.body.contains("No revision is frozen yet"));
    press(&web, "/job/a/freeze", &[("letter", "B"), ("why", "agreed")]).await;
    press(&web, "/job/a/edit", &[("act", "away"), ("tag", "B4")]).await;
    let draft = text(&web);
    let page = web.get("/job/a/change?from=B").await.body;
    for words in
        ["From revision B to the draft", "B4 stood here", "gone", "Back to B", "Print the change order"]
    {
        assert!(page.contains(words), "{words}: {page}");
    }
    let order = web.get("/job/a/change-order/B.pdf").await;
    assert!(order.status.is_success() && order.body.starts_with("%PDF change-order"), "{}", order.body);
    assert!(web.get("/job/a/change-order/Q.pdf").await.status.is_client_error());
    let agreed = web.get("/job/a/revision/B").await.body;
    assert_ne!(agreed, draft);
    press(&web, "/job/a/back", &[("letter", "B")]).await;
    assert_eq!(text(&web), agreed);
    press(&web, "/job/a/undo", &[]).await;
    assert_eq!(text(&web), draft);
    let lost = web.send("/job/a/back", &[("base", &base(&web).await), ("letter", "Q")]).await;
    assert!(lost.status.is_client_error(), "{}", lost.body);
    assert_eq!(text(&web), draft);
}

#[tokio::test]
async fn a_trial_leaves_the_draft_until_it_is_taken() {
    let web = Web::with(&[("a", &example(JOB))]);
    let before = text(&web);
    for ask in [
        "if=swap&tag=B4&kind=compact-66x122x50",
        "if=add&kind=compact-42x93x52&after=B4",
        "if=amp",
        "if=tour&country=US",
        "if=outlet&volts=9&current=100",
    ] {
        let page = web.get(&format!("/job/a/change?{ask}")).await.body;
        assert!(page.contains("Take it") && page.contains("Trial: "), "{ask}: {page}");
        assert!(!page.contains("Not tried"), "{ask}: {page}");
    }
    let odd = web.get("/job/a/change?if=swap&tag=Q1&kind=compact-66x122x50").await.body;
    assert!(odd.contains("Not tried") && odd.contains("there is no device"), "{odd}");
    assert_eq!(text(&web), before, "a trial writes nothing");
    let swap = [("act", "what-if"), ("if", "swap"), ("tag", "B4"), ("kind", "compact-66x122x50")];
    press(&web, "/job/a/edit", &swap).await;
    assert!(text(&web).contains("kind = \"compact-66x122x50\""));
    press(&web, "/job/a/undo", &[]).await;
    assert_eq!(text(&web), before);
}

/// Prices of a shop that knows what everything costs.
fn priced(web: &Web) {
    let prices = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../external/estimate/prices.toml");
    std::fs::copy(prices, web.folder.path().join("prices.toml")).expect("copied");
}

#[tokio::test]
async fn money_stands_where_the_shop_has_prices() {
    let bare = Web::with(&[("a", &example(JOB))]);
    assert!(!bare.get("/job/a/papers").await.body.contains("quote.csv"));
    assert!(bare.get("/job/a/print/quote.csv").await.status.is_client_error());
    let web = Web::with(&[("a", &example(JOB))]);
    priced(&web);
    let page = web.get("/job/a/papers").await.body;
    assert!(page.contains("/job/a/print/quote.pdf") && page.contains("/job/a/print/quote.csv"), "{page}");
    assert!(web.get("/job/a/print/quote.pdf").await.body.starts_with("%PDF quote"));
    let to_pay = |csv: &str| -> String {
        let row = csv.lines().find(|line| line.contains("to pay")).unwrap_or_else(|| panic!("{csv}"));
        row.to_owned()
    };
    let agreed = to_pay(&web.get("/job/a/print/quote.csv").await.body);
    press(&web, "/job/a/freeze", &[("letter", "B"), ("why", "agreed")]).await;
    let page = web.get("/job/a/papers").await.body;
    assert!(page.contains("/job/a/revision/B/quote.pdf"), "{page}");
    assert!(web.get("/job/a/revision/B/quote.pdf").await.body.starts_with("%PDF quote"));
    assert!(web.get("/job/a/revision/B/layout.pdf").await.status.is_client_error());
    // Everything becomes dearer: the draft follows, what was agreed does not.
    let prices = std::fs::read_to_string(web.folder.path().join("prices.toml")).expect("prices");
    let dearer = prices.replace("hour = \"58.00\"", "hour = \"76.00\"");
    assert_ne!(dearer, prices);
    std::fs::write(web.folder.path().join("prices.toml"), dearer).expect("written");
    press(&web, "/job/a/edit", &[("act", "set"), ("field", "job/title"), ("value", "Another name")]).await;
    assert_ne!(to_pay(&web.get("/job/a/print/quote.csv").await.body), agreed);
    assert!(web.get("/job/a/change?from=B").await.body.contains("of that by prices alone"));
    press(&web, "/job/a/back", &[("letter", "B")]).await;
    assert_eq!(to_pay(&web.get("/job/a/print/quote.csv").await.body), agreed);
}

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
    let all: Vec<(&str, &str)> =
        [("base", base.as_str()), ("here", "/job/a/change")].into_iter().chain(fields.iter().copied()).collect();
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
    for words in ["From revision B to the draft", "B4 stood here", "gone", "Back to B", "Print the change order"] {
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

//! Places proposed, as a person uses it: begin, see it through, compare, take one, take it back; stop early.

use serde_json::json;

use crate::browser::Browser;
use crate::shop;

const JOB: &str = "church-bass-corrected";

async fn press(browser: &Browser, title: &str) {
    browser
        .js(
            "[...document.querySelectorAll('#arrange button')].find(b => b.textContent === arguments[0]).click()",
            vec![json!(title)],
        )
        .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_proposal_is_taken_and_taken_back() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/deck"))).await;
    let before = shop.text(JOB);
    press(&browser, "Arrange").await;
    browser
        .until("proposals stand side by side", "return document.querySelectorAll('#arrange .proposals figure svg').length >= 1 && !!document.querySelector('#arrange .terms')")
        .await;
    assert_eq!(shop.text(JOB), before, "a proposal writes nothing");
    let totals = browser
        .js("return [...document.querySelectorAll('#arrange .terms tr:last-child td.n')].slice(0, 2).map(td => Number(td.textContent.replace('\u{2212}', '-')))", vec![])
        .await;
    let total = |index: usize| totals[index].as_f64().expect("a figure");
    assert!(total(1) <= total(0), "the proposal is no worse: {totals}");
    browser.picture("deck-arranged-laptop").await;
    press(&browser, "Take it").await;
    browser
        .until(
            "it is one edit",
            "return document.querySelector('[data-step=undo] .name')?.textContent.length > 0",
        )
        .await;
    assert_ne!(shop.text(JOB), before);
    browser.js("document.querySelector('[data-step=undo] button').click()", vec![]).await;
    browser
        .until(
            "it is taken back",
            "return document.querySelector('[data-step=redo] .name')?.textContent.length > 0",
        )
        .await;
    assert_eq!(shop.text(JOB), before);
    assert!(browser.complaints().await.is_empty());
}

#[tokio::test(flavor = "multi_thread")]
async fn a_search_is_stopped_and_keeps_the_best() {
    let shop = shop::open(&["wet-dry-touring-corrected"]).await;
    let browser = Browser::start(390, 844, false).await;
    browser.go(&shop.url("/job/wet-dry-touring-corrected/deck")).await;
    press(&browser, "Arrange from scratch").await;
    browser
        .until(
            "it runs",
            "return !!document.querySelector('#arrange progress, #arrange .proposals, #arrange .cures')",
        )
        .await;
    browser.js("[...document.querySelectorAll('#arrange button')].find(b => b.textContent.startsWith('Stop'))?.click()", vec![]).await;
    browser
        .until("it has ended", "return !document.querySelector('#arrange progress') && [...document.querySelectorAll('#arrange button')].some(b => b.textContent === 'Arrange again')")
        .await;
    browser.picture("deck-arranged-phone").await;
}

//! The Change place as a person uses it: a trial is looked at, taken, and taken back.

use serde_json::json;

use crate::browser::Browser;
use crate::shop;

const JOB: &str = "church-bass-corrected";

async fn swap_is_tried_taken_and_undone(width: u32, height: u32, dark: bool) {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(width, height, dark).await;
    browser.go(&shop.url(&format!("/job/{JOB}/change"))).await;
    let before = shop.text(JOB);
    browser.js("document.getElementById('swap-tag').value = 'B4'; document.getElementById('swap-kind').value = 'compact-66x122x50'; document.getElementById('swap-kind').form.requestSubmit()", vec![]).await;
    browser
        .until(
            "the trial",
            "return !!document.getElementById('take') && document.documentElement.dataset.ready === 'yes'",
        )
        .await;
    assert_eq!(
        browser.js("return document.querySelectorAll('.two-plans svg').length", vec![]).await,
        json!(2)
    );
    assert_eq!(shop.text(JOB), before, "a trial writes nothing");
    browser.js("document.getElementById('take').click()", vec![]).await;
    browser
        .until(
            "it is taken",
            "return document.querySelector('[data-step=undo] .name')?.textContent.startsWith('swap B4 for ')",
        )
        .await;
    assert!(shop.text(JOB).contains("kind = \"compact-66x122x50\""));
    assert!(
        browser.js("return !document.getElementById('take')", vec![]).await == json!(true),
        "the trial is over"
    );
    browser.js("document.querySelector('[data-step=undo] button').click()", vec![]).await;
    browser
        .until("it is taken back", "return document.querySelector('[data-step=undo] button').disabled")
        .await;
    assert_eq!(shop.text(JOB), before);
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

#[tokio::test(flavor = "multi_thread")]
async fn a_swap_on_a_laptop() {
    swap_is_tried_taken_and_undone(1440, 900, false).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_swap_on_a_phone() {
    swap_is_tried_taken_and_undone(390, 844, true).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_quote_is_a_pdf_in_three_presses() {
    let shop = shop::open(&[JOB]).await;
    let prices = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../external/estimate/prices.toml");
    std::fs::copy(prices, shop.folder.path().join("prices.toml")).expect("copied");
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url("/")).await;
    browser.js("document.querySelector('.job-card').click()", vec![]).await;
    browser.until("the job", "return document.body.dataset.job !== undefined").await;
    browser.js("[...document.querySelectorAll('#places a')].find(a => a.textContent.startsWith('Papers')).click()", vec![]).await;
    browser.until("its papers", "return document.body.classList.contains('place-papers') && !!document.querySelector('#tools a[href$=\"quote.pdf\"]')").await;
    let kind = "return fetch(document.querySelector('#tools a[href$=\"quote.pdf\"]').href).then(a => `${a.status} ${a.headers.get('content-type')}`)";
    assert_eq!(browser.js(kind, vec![]).await, json!("200 application/pdf"));
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

//! What was typed and not yet saved outlives the page around it, and the program too.

use serde_json::json;

use crate::browser::Browser;
use crate::shop;

const JOB: &str = "church-bass-corrected";

async fn undo_says(browser: &Browser, name: &str) {
    let is =
        format!("return document.querySelector('[data-step=undo] .name')?.textContent === {}", json!(name));
    browser.until(name, &is).await;
}

async fn value(browser: &Browser, selector: &str) -> serde_json::Value {
    browser.js("return document.querySelector(arguments[0]).value", vec![json!(selector)]).await
}

/// Empties a field as a person does, and types.
async fn type_into(browser: &Browser, selector: &str, text: &str) {
    let field = browser.find(selector).await;
    field.click().await.expect("click");
    browser.js("document.querySelector(arguments[0]).select()", vec![json!(selector)]).await;
    field.send_keys(text).await.expect("typed");
}

#[tokio::test(flavor = "multi_thread")]
async fn a_field_is_saved_when_it_is_left_and_nothing_typed_goes_blank() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/brief"))).await;
    // A form that adds is not sent by leaving it: its text waits.
    type_into(&browser, "#want-new", "silent when muted").await;
    type_into(&browser, "#job-player", "Wim Aldery").await;
    type_into(&browser, "#job-number", "B-17\u{e007}").await;
    undo_says(&browser, "number set to B-17").await;
    let text = shop.text(JOB);
    assert!(text.contains("\"Wim Aldery\"") && text.contains("\"B-17\""), "{text}");
    assert_eq!(value(&browser, "#want-new").await, json!("silent when muted"));
    assert_eq!(value(&browser, "#job-player").await, json!("Wim Aldery"));
    // Somebody else's change arrives in mid-word: text and focus stay.
    type_into(&browser, "#brief-music", "quiet so").await;
    let path = shop.folder.path().join(JOB).join("rig.toml");
    std::fs::write(&path, text.replace("B-17", "B-18")).expect("written");
    let other = Browser::start(800, 600, false).await;
    other.go(&shop.url(&format!("/job/{JOB}/brief"))).await;
    type_into(&other, "#job-player", "Ida Renner\u{e007}").await;
    browser.until("it arrives", "return document.querySelector('#job-player').value === 'Ida Renner'").await;
    assert_eq!(value(&browser, "#job-number").await, json!("B-18"));
    assert_eq!(value(&browser, "#brief-music").await, json!("quiet so"));
    assert_eq!(value(&browser, "#want-new").await, json!("silent when muted"));
    assert_eq!(browser.js("return document.activeElement.id", vec![]).await, json!("brief-music"));
    // The whole page goes and comes again.
    browser.find("#want-new").await.click().await.expect("leaves the field");
    undo_says(&browser, "music set to quiet so").await;
    browser.go(&shop.url(&format!("/job/{JOB}/deck"))).await;
    browser.go(&shop.url(&format!("/job/{JOB}/brief"))).await;
    assert_eq!(value(&browser, "#want-new").await, json!("silent when muted"));
    browser.find("#want-new").await.send_keys("\u{e007}").await.expect("enter");
    browser.until("it is added", "return document.querySelector('#want-new').value === ''").await;
    assert!(shop.text(JOB).contains("silent when muted"));
    assert!(browser.complaints().await.is_empty(), "{:?}", browser.complaints().await);
}

#[tokio::test(flavor = "multi_thread")]
async fn a_program_that_is_gone_is_told_and_what_was_typed_is_saved_when_it_is_back() {
    let mut shop = shop::open(&[JOB]).await;
    let listener = tokio::net::TcpListener::bind("127.0.0.1:0").await.expect("a free port");
    shop.address = listener.local_addr().expect("address");
    let (end, ended) = tokio::sync::oneshot::channel::<()>();
    let served = shop.serve(listener, async {
        let _ = ended.await;
    });
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/brief"))).await;
    browser.until("it hears", "return performance.getEntriesByType('resource').length > 0").await;
    browser
        .js("window.since = performance.now(); new MutationObserver(() => { if (document.querySelector('#gone')) window.told ??= performance.now() }).observe(document.body, { childList: true })", vec![])
        .await;
    end.send(()).expect("ends");
    served.await.expect("ends").expect("well");
    browser.until("it is told", "return !!document.querySelector('#gone[role=alert]')").await;
    println!("told after {} ms", browser.js("return Math.round(window.told - window.since)", vec![]).await);
    assert!(browser.text("#gone").await.contains("What you have typed stays"));
    type_into(&browser, "#job-player", "Wim Aldery\u{e007}").await;
    type_into(&browser, "#brief-music", "quiet songs\u{e004}").await;
    let listener = tokio::net::TcpListener::bind(shop.address).await.expect("the same port");
    shop.serve(listener, std::future::pending());
    browser.until("it is back", "return !document.querySelector('#gone')").await;
    browser
        .until(
            "both are saved",
            "return [...document.querySelectorAll('#job-player, #brief-music')].every(f => f.defaultValue === f.value && f.value)",
        )
        .await;
    let text = shop.text(JOB);
    assert!(text.contains("\"Wim Aldery\"") && text.contains("\"quiet songs\""), "{text}");
}

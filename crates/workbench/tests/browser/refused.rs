//! A value that is refused says so at its field, keeps what was typed, and does not look saved.

use serde_json::json;

use crate::browser::Browser;
use crate::shop;

const JOB: &str = "church-bass-corrected";

async fn type_into(browser: &Browser, selector: &str, text: &str) {
    let field = browser.find(selector).await;
    field.click().await.expect("click");
    browser.js("document.querySelector(arguments[0]).select()", vec![json!(selector)]).await;
    field.send_keys(text).await.expect("typed");
}

const MARKED: &str = "const f = document.getElementById('brief-mass_limit'), p = f.form.querySelector('.at-field[role=alert]'); return f.value === '9 kg20 lb' && f.getAttribute('aria-invalid') === 'true' && !!p && p.textContent.startsWith('Not saved.') && f.getAttribute('aria-describedby') === p.id";

#[tokio::test(flavor = "multi_thread")]
async fn a_refused_value_is_marked_at_its_field_until_it_is_mended() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/brief"))).await;
    let before = shop.text(JOB);
    type_into(&browser, "#brief-mass_limit", "9 kg20 lb\u{e004}").await;
    browser.until("it is told at the field", MARKED).await;
    assert_eq!(shop.text(JOB), before);
    assert_eq!(
        browser.js("return document.querySelectorAll('#said .refused').length", vec![]).await,
        json!(0)
    );
    // Another field is saved; the refusal stays.
    type_into(&browser, "#job-player", "Wim Aldery\u{e007}").await;
    browser
        .until(
            "the other is saved",
            "return document.querySelector('[data-step=undo] .name')?.textContent === 'player set to Wim Aldery'",
        )
        .await;
    assert_eq!(browser.js(MARKED, vec![]).await, json!(true), "a success elsewhere wipes nothing");
    // The page goes and comes again.
    browser.go(&shop.url(&format!("/job/{JOB}/gear"))).await;
    browser.go(&shop.url(&format!("/job/{JOB}/brief"))).await;
    assert_eq!(browser.js(MARKED, vec![]).await, json!(true), "nor does a reload");
    browser.picture("refused-1440-light").await;
    type_into(&browser, "#brief-mass_limit", "9\u{e007}").await;
    browser.until("it is saved and no longer marked", "const f = document.getElementById('brief-mass_limit'); return f.defaultValue === '9 kg' && !f.hasAttribute('aria-invalid') && !document.querySelector('.at-field')").await;
    assert!(shop.text(JOB).contains("mass_limit = \"9 kg\""));
}

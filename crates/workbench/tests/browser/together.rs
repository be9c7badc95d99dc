//! Two pages on one job, a stale edit, ticks on a phone.

use serde_json::json;

use crate::browser::Browser;
use crate::shop;

const JOB: &str = "church-bass-corrected";

#[tokio::test(flavor = "multi_thread")]
async fn two_pages_see_each_other() {
    let shop = shop::open(&[JOB]).await;
    let one = Browser::start(1440, 900, false).await;
    let two = Browser::start(1440, 900, false).await;
    one.go(&shop.url(&format!("/job/{JOB}/deck?pick=B4"))).await;
    two.go(&shop.url(&format!("/job/{JOB}/deck?pick=B4"))).await;
    // What is under the focus of the other page is not replaced.
    two.js("document.getElementById('picked-x').focus(); document.getElementById('picked-x').value = '123'; window.field = document.getElementById('picked-x')", vec![]).await;
    one.js("document.getElementById('plan-device-B4').focus()", vec![]).await;
    for kind in ["keyDown", "keyUp"] {
        one.devtools(
            "Input.dispatchKeyEvent",
            json!({ "type": kind, "key": "ArrowUp", "code": "ArrowUp", "windowsVirtualKeyCode": 38 }),
        )
        .await;
    }
    two.until(
        "the other page follows",
        "return document.querySelector('[data-step=undo] .name')?.textContent === 'move B4 1 mm back'",
    )
    .await;
    assert_eq!(two.js("return window.field.isConnected && document.activeElement === window.field && window.field.value", vec![]).await, json!("123"));
    assert_eq!(
        one.js("return document.body.dataset.revision", vec![]).await,
        two.js("return document.body.dataset.revision", vec![]).await
    );
}

#[tokio::test(flavor = "multi_thread")]
async fn a_stale_edit_is_refused_and_shown() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/deck"))).await;
    // Another program changes the document; this page has not heard of it.
    let path = shop.folder.path().join(JOB).join("rig.toml");
    let theirs = shop.text(JOB).replace("title = \"Church bass board\"", "title = \"Changed elsewhere\"");
    std::fs::write(&path, &theirs).expect("written");
    browser.js("document.getElementById('plan-device-B4').focus()", vec![]).await;
    for kind in ["keyDown", "keyUp"] {
        browser
            .devtools(
                "Input.dispatchKeyEvent",
                json!({ "type": kind, "key": "ArrowUp", "code": "ArrowUp", "windowsVirtualKeyCode": 38 }),
            )
            .await;
    }
    browser
        .until(
            "it is told",
            "return document.querySelector('.refused[role=alert]')?.textContent.includes('meanwhile')",
        )
        .await;
    browser
        .until(
            "the page shows today's",
            "return document.querySelector('h1').textContent === 'Changed elsewhere'",
        )
        .await;
    assert_eq!(shop.text(JOB), theirs, "nothing was merged");
    assert_eq!(
        browser
            .js("return document.querySelector('#plan-device-B4').getAttribute('transform')", vec![])
            .await,
        json!(null)
    );
    // The foreign change is one step that can be taken back.
    browser.find("[data-step=undo] button").await.click().await.expect("undo");
    browser
        .until("it is taken back", "return document.querySelector('h1').textContent === 'Church bass board'")
        .await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_tick_on_a_phone_stays() {
    let shop = shop::open(&[JOB]).await;
    let phone = Browser::start(390, 844, false).await;
    phone.go(&shop.url(&format!("/job/{JOB}/build"))).await;
    let first = phone.text("article.act h2").await;
    let size = phone.js("const r = document.querySelector('.tick').getBoundingClientRect(); return [r.width, r.height, r.bottom <= innerHeight]", vec![]).await;
    assert!(
        48.0 <= size[1].as_f64().expect("height") && size[2] == json!(true),
        "the tick is large and in sight: {size}"
    );
    phone.find(".tick").await.click().await.expect("tick");
    phone
        .until(
            "the next act comes",
            &format!("return document.querySelector('article.act h2').textContent !== {}", json!(first)),
        )
        .await;
    phone.go(&shop.url(&format!("/job/{JOB}/build?act=1"))).await;
    assert_eq!(
        phone.js("return document.querySelector('.tick').getAttribute('aria-pressed')", vec![]).await,
        json!("true")
    );
    // Ticks stand outside the document and its undo.
    assert_eq!(
        phone.js("return document.querySelector('[data-step=undo] button').disabled", vec![]).await,
        json!(true)
    );
}

#[tokio::test(flavor = "multi_thread")]
async fn done_is_in_reach_on_every_card_of_a_phone() {
    let job = "wet-dry-touring";
    let shop = shop::open(&[job]).await;
    let phone = Browser::start(390, 844, false).await;
    phone.go(&shop.url(&format!("/job/{job}/build?all=1"))).await;
    let many = phone.js("return document.querySelectorAll('.stage li').length", vec![]).await;
    let many = many.as_u64().expect("acts");
    assert!(40 < many, "{many}");
    let mut longest = 0.0_f64;
    for act in 1..=many {
        phone.go(&shop.url(&format!("/job/{job}/build?act={act}"))).await;
        // Where it is: above the lower edge, below the bar, whole, and not covered by anything.
        let at = phone
            .js("const t = document.querySelector('.tick'), r = t.getBoundingClientRect(), over = document.elementFromPoint(r.x + r.width / 2, r.y + r.height / 2); return [r.top, r.bottom, r.left, r.right, t.contains(over), document.documentElement.scrollHeight]", vec![])
            .await;
        let of = |index: usize| at[index].as_f64().unwrap_or(f64::NAN);
        assert!(
            56.0 < of(0) && of(1) <= 844.0 && 0.0 <= of(2) && of(3) <= 390.0 && at[4] == json!(true),
            "act {act}: {at}"
        );
        longest = longest.max(of(5));
    }
    assert!(844.0 < longest, "at least one card is longer than the screen: {longest}");
}

#[tokio::test(flavor = "multi_thread")]
async fn an_idle_page_sees_what_another_program_saves() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/brief"))).await;
    let path = shop.folder.path().join(JOB).join("rig.toml");
    for title in ["Changed elsewhere", "Changed elsewhere, again"] {
        let text = shop.text(JOB);
        let line = text.lines().find(|line| line.starts_with("title = ")).expect("title").to_owned();
        std::fs::write(&path, text.replacen(&line, &format!("title = \"{title}\""), 1)).expect("written");
        browser
            .until(title, &format!("return document.querySelector('h1').textContent === {}", json!(title)))
            .await;
    }
}

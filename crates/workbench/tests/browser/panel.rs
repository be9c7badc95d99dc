//! The Panel under a hand: a hole is dragged, nudged, and found where it was left.

use serde_json::json;

use crate::browser::Browser;
use crate::shop;

const JOB: &str = "church-bass-corrected";

/// Where the first hole is, from the schedule below the plate.
const PLACE: &str = "return [...document.querySelectorAll('tr[data-key=IN] a.val')].slice(0, 2).map(a => a.textContent).join(', ')";

#[tokio::test(flavor = "multi_thread")]
async fn a_hole_is_dragged_and_nudged() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/panel"))).await;
    let before = browser.js(PLACE, vec![]).await;
    let text = shop.text(JOB);
    let from = browser.middle("[data-hole=IN] .hole").await;
    browser.drag(from, (from.0 + 40.0, from.1), 8).await;
    browser
        .until(
            "one edit",
            "return document.querySelector('[data-step=undo] .name')?.textContent === 'move the hole of PNL.IN'",
        )
        .await;
    browser.until("the schedule follows", &format!("return (() => {{ {PLACE} }})() !== {before}")).await;
    browser.js("document.querySelector('[data-step=undo] button').click()", vec![]).await;
    browser.until("taken back", &format!("return (() => {{ {PLACE} }})() === {before}")).await;
    assert_eq!(shop.text(JOB), text);
    browser.js("document.querySelector('[data-hole=IN] [role=button]').focus()", vec![]).await;
    for _ in 0..3 {
        browser
            .devtools("Input.dispatchKeyEvent", json!({ "type": "keyDown", "key": "ArrowUp", "code": "ArrowUp", "windowsVirtualKeyCode": 38 }))
            .await;
    }
    browser
        .devtools(
            "Input.dispatchKeyEvent",
            json!({ "type": "keyUp", "key": "ArrowUp", "code": "ArrowUp", "windowsVirtualKeyCode": 38 }),
        )
        .await;
    browser
        .until(
            "three up in one step",
            "return document.getElementById('said').textContent.includes('3 mm up')",
        )
        .await;
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

//! Hands on the Deck: what is held stays, what another changed meanwhile is shown, two fingers move the sheet.

use serde_json::json;

use crate::browser::Browser;
use crate::shop;

const JOB: &str = "church-bass-corrected";

/// One event of the mouse.
async fn mouse(browser: &Browser, kind: &str, at: (f64, f64)) {
    let held = i32::from(kind != "mouseReleased");
    browser
        .devtools(
            "Input.dispatchMouseEvent",
            json!({ "type": kind, "x": at.0, "y": at.1, "button": "left", "buttons": held, "clickCount": 1 }),
        )
        .await;
}

/// Fingers on the screen, each with its number.
async fn touch(browser: &Browser, kind: &str, fingers: &[(f64, f64)]) {
    let points: Vec<_> =
        fingers.iter().enumerate().map(|(id, at)| json!({ "x": at.0, "y": at.1, "id": id })).collect();
    browser.devtools("Input.dispatchTouchEvent", json!({ "type": kind, "touchPoints": points })).await;
}

async fn number(browser: &Browser, script: &str) -> f64 {
    browser.js(script, vec![]).await.as_f64().unwrap_or_else(|| panic!("{script}"))
}

#[tokio::test(flavor = "multi_thread")]
async fn a_drop_on_what_another_has_changed_meanwhile_is_refused_and_shown() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/deck"))).await;
    let at = browser.middle("#plan-device-B5 .outline").await;
    mouse(&browser, "mousePressed", at).await;
    mouse(&browser, "mouseMoved", (at.0 + 40.0, at.1)).await;
    browser.until("it is held", "return document.getElementById('live').textContent.includes('B5')").await;
    // Another page moves the same device.
    browser
        .js(
            &format!(
                "return fetch('/job/{JOB}/edit', {{ method: 'POST', headers: {{ accept: 'application/json' }}, body: new URLSearchParams({{ act: 'move', tag: 'B5', dx: '-40', dy: '0', base: document.body.dataset.revision, client: 'other', here: '/job/{JOB}/deck' }}) }}).then(r => r.status)"
            ),
            vec![],
        )
        .await;
    browser.until("it is heard", "return 'waiting' in document.body.dataset").await;
    let theirs = shop.text(JOB);
    mouse(&browser, "mouseMoved", (at.0 + 60.0, at.1)).await;
    mouse(&browser, "mouseReleased", (at.0 + 60.0, at.1)).await;
    browser
        .until("it is told", "return !!document.querySelector('#said .refused[role=alert]')?.textContent.includes('Nothing was saved')")
        .await;
    browser
        .until(
            "theirs is shown",
            "return document.querySelector('[data-step=undo] .name')?.textContent === 'move B5 40 mm left' && !document.querySelector('#plan-device-B5').hasAttribute('transform')",
        )
        .await;
    assert_eq!(shop.text(JOB), theirs, "nothing was added to it");
    assert_eq!(browser.js("return 'waiting' in document.body.dataset", vec![]).await, json!(false));
}

#[tokio::test(flavor = "multi_thread")]
async fn what_was_dropped_is_what_is_picked() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/deck?pick=B4"))).await;
    for (round, tag) in ["B5", "B6", "B5", "B7", "B6"].into_iter().enumerate() {
        let at = browser.middle(&format!("#plan-device-{tag} .outline")).await;
        let by = if round % 2 == 0 { 12.0 } else { -12.0 };
        browser.drag(at, (at.0 + by, at.1), 3).await;
        let is = format!(
            "return document.querySelector('[data-picked]')?.dataset.picked === '{tag}' && document.querySelector('[data-step=undo] .name')?.textContent.startsWith('move {tag} ')"
        );
        browser.until("the device that was dropped is picked", &is).await;
        browser.until("all is told", "return !document.querySelector('[data-later]')").await;
        assert_eq!(
            browser.js(&is, vec![]).await,
            json!(true),
            "and stays picked: {tag}, {:?}",
            browser.js("return location.search", vec![]).await
        );
        assert_eq!(
            browser.js("return document.activeElement.id", vec![]).await,
            json!(format!("plan-device-{tag}")),
            "focus stays with it"
        );
    }
}

/// Where a point of the board is on the screen: its scale, and the place of the sheet's room.
const VIEW: &str = "const p = document.getElementById('plan'), m = p.getScreenCTM(), k = Number(p.dataset.k), at = new DOMPoint(Number(p.dataset.x), Number(p.dataset.y)).matrixTransform(m); return [m.a * k, at.x, at.y, p.getBoundingClientRect().top].map(v => Math.round(v * 50) / 50)";

#[tokio::test(flavor = "multi_thread")]
async fn the_view_stays_until_it_is_fitted() {
    let shop = shop::open(&[JOB]).await;
    for (width, height) in [(1440, 900), (390, 844)] {
        let browser = Browser::start(width, height, false).await;
        browser.go(&shop.url(&format!("/job/{JOB}/deck?pick=B5"))).await;
        let before = browser.js(VIEW, vec![]).await;
        for by in [30.0, -30.0, 24.0] {
            let at = browser.middle("#plan-device-B5 .outline").await;
            mouse(&browser, "mousePressed", at).await;
            mouse(&browser, "mouseMoved", (at.0 + by, at.1 - 20.0)).await;
            browser
                .until(
                    "it is told where it is",
                    "return document.getElementById('live').textContent.includes('moved')",
                )
                .await;
            assert_eq!(browser.js(VIEW, vec![]).await, before, "nothing moves under the hand at {width}");
            let revision = number(&browser, "return Number(document.body.dataset.revision)").await;
            mouse(&browser, "mouseReleased", (at.0 + by, at.1 - 20.0)).await;
            browser
                .until(
                    "it is dropped",
                    &format!("return Number(document.body.dataset.revision) > {revision}"),
                )
                .await;
            browser
                .until(
                    "the drawing follows",
                    "return !document.querySelector('#plan-device-B5').hasAttribute('transform')",
                )
                .await;
            assert_eq!(browser.js(VIEW, vec![]).await, before, "the view stays at {width}");
        }
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn two_fingers_move_and_zoom_the_sheet_and_nothing_else() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(390, 844, false).await;
    browser
        .devtools("Emulation.setTouchEmulationEnabled", json!({ "enabled": true, "maxTouchPoints": 5 }))
        .await;
    browser.go(&shop.url(&format!("/job/{JOB}/deck?pick=B5"))).await;
    let before = shop.text(JOB);
    let scale = "return document.getElementById('plan').getScreenCTM().a";
    // One finger on a device, a second beside it; both spread: nearer, and the device stays.
    let (x, y) = browser.middle("#plan-device-B5 .outline").await;
    let near = number(&browser, scale).await;
    touch(&browser, "touchStart", &[(x, y)]).await;
    touch(&browser, "touchStart", &[(x, y), (x - 40.0, y)]).await;
    for step in 1..=6 {
        let by = f64::from(step) * 6.0;
        touch(&browser, "touchMove", &[(x + by, y), (x - 40.0 - by, y)]).await;
    }
    touch(&browser, "touchEnd", &[]).await;
    let spread = number(&browser, scale).await;
    assert!(1.5 < spread / near, "spread fingers come nearer: {near} to {spread}");
    // Two fingers that go the same way move the sheet under them.
    let at = |what: &'static str| {
        format!(
            "const r = document.querySelector('{what}').getBoundingClientRect(); return r.y + r.height / 2"
        )
    };
    let there = number(&browser, &at("#plan-device-B5 .outline")).await;
    touch(&browser, "touchStart", &[(x, y)]).await;
    touch(&browser, "touchStart", &[(x, y), (x - 60.0, y)]).await;
    for step in 1..=5 {
        let by = f64::from(step) * 8.0;
        touch(&browser, "touchMove", &[(x, y + by), (x - 60.0, y + by)]).await;
    }
    touch(&browser, "touchEnd", &[]).await;
    let moved = number(&browser, &at("#plan-device-B5 .outline")).await;
    assert!((moved - there - 40.0).abs() < 3.0, "the sheet follows: {there} to {moved}");
    assert!((number(&browser, scale).await / spread - 1.0).abs() < 0.02, "and keeps its scale");
    assert_eq!(shop.text(JOB), before, "no device was moved");
    assert_eq!(
        browser.js("return document.querySelector('[data-step=undo] button').disabled", vec![]).await,
        json!(true)
    );
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

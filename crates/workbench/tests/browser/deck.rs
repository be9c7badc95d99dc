//! The Deck under a hand: drag, collide, see it, undo; keys; frames that do not stutter.

use fantoccini::Locator;
use fantoccini::actions::{InputSource, KeyAction, KeyActions};
use fantoccini::key::Key;
use serde_json::json;

use crate::browser::Browser;
use crate::shop;

const JOB: &str = "church-bass-corrected";

fn place_of(text: &str, tag: &str) -> String {
    let from = text.find(&format!("tag = \"{tag}\"")).expect("device");
    let rest = &text[from..];
    let at = rest.find("place = ").expect("place");
    rest[at..].lines().next().expect("line").to_owned()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_drag_into_a_collision_is_seen_and_undone() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/deck"))).await;
    let before = shop.text(JOB);
    let stops = "return [...document.querySelectorAll('#side .f.stop, #side .o.stop')].some(li => li.innerText.includes('B5'))";
    assert_eq!(browser.js(stops, vec![]).await, json!(false));
    // B5 onto its neighbour on the left.
    let from = browser.middle("#plan-device-B5 .outline").await;
    let to = browser.middle("#plan-device-B6 .outline").await;
    browser.drag(from, (to.0 + 8.0, from.1), 12).await;
    browser.until("the finding", stops).await;
    assert_ne!(place_of(&before, "B5"), place_of(&shop.text(JOB), "B5"));
    browser
        .until(
            "undo is offered",
            "return document.querySelector('[data-step=undo] .name')?.textContent.startsWith('move B5')",
        )
        .await;
    browser.find("[data-step=undo] button").await.click().await.expect("undo");
    browser.until("the finding is gone", &stops.replace("return ", "return !")).await;
    assert_eq!(shop.text(JOB), before, "undo gives the very text back");
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

#[tokio::test(flavor = "multi_thread")]
async fn an_arrow_held_for_two_seconds_is_one_step() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/deck"))).await;
    let before = shop.text(JOB);
    browser.js("document.getElementById('plan-device-B7').focus()", vec![]).await;
    // Key repeats of a real keyboard: thirty a second for two seconds.
    for _ in 0..60 {
        browser
            .devtools("Input.dispatchKeyEvent", json!({ "type": "keyDown", "key": "ArrowRight", "code": "ArrowRight", "windowsVirtualKeyCode": 39, "autoRepeat": true }))
            .await;
    }
    browser
        .until("the live figure", "return document.getElementById('live').textContent.includes('+60')")
        .await;
    assert_eq!(shop.text(JOB), before, "nothing is sent while the key is held");
    browser
        .devtools("Input.dispatchKeyEvent", json!({ "type": "keyUp", "key": "ArrowRight", "code": "ArrowRight", "windowsVirtualKeyCode": 39 }))
        .await;
    browser
        .until(
            "one edit",
            "return document.querySelector('[data-step=undo] .name')?.textContent === 'move B7 60 mm right'",
        )
        .await;
    assert_eq!(browser.js("return document.querySelectorAll('.refused').length", vec![]).await, json!(0));
    assert_eq!(
        browser.js("return document.activeElement.id", vec![]).await,
        json!("plan-device-B7"),
        "focus stays"
    );
    browser.js("document.querySelector('[data-step=undo] button').click()", vec![]).await;
    browser
        .until("nothing left to undo", "return document.querySelector('[data-step=undo] button').disabled")
        .await;
    assert_eq!(shop.text(JOB), before);
}

#[tokio::test(flavor = "multi_thread")]
async fn frames_keep_up_with_slow_answers() {
    let shop = shop::open(&["wet-dry-touring"]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url("/job/wet-dry-touring/deck")).await;
    browser.devtools("Network.enable", json!({})).await;
    browser
        .devtools(
            "Network.emulateNetworkConditions",
            json!({ "offline": false, "latency": 200, "downloadThroughput": -1, "uploadThroughput": -1 }),
        )
        .await;
    // The work of a frame is what a move costs the script: timed around each pointer event until styles are due.
    browser
        .js(
            "window.costs = []; let began = 0;
             document.addEventListener('pointermove', () => { began = performance.now() }, true);
             document.addEventListener('pointermove', () => { window.costs.push(performance.now() - began) });",
            vec![],
        )
        .await;
    let first = "#plan [role=button]";
    browser.devtools("Performance.enable", json!({})).await;
    // What a move costs is the same every time; what other work on the machine adds is not: the best of a few
    // drags counts.
    let mut least = f64::INFINITY;
    for round in 1..=6 {
        browser.js("window.costs = []", vec![]).await;
        let before = spent(&browser).await;
        let from = browser.middle(first).await;
        let by = if round % 2 == 1 { 1.0 } else { -1.0 };
        browser.drag(from, (from.0 + 160.0 * by, from.1 + 60.0 * by), 60).await;
        let after = spent(&browser).await;
        browser
            .until(
                "the edit came through",
                &format!("return Number(document.body.dataset.revision) > {round}"),
            )
            .await;
        let costs = browser.js("return window.costs", vec![]).await;
        let mut costs: Vec<f64> =
            costs.as_array().expect("costs").iter().filter_map(serde_json::Value::as_f64).collect();
        costs.sort_by(f64::total_cmp);
        assert!(30 <= costs.len(), "moves were seen: {}", costs.len());
        let moves = u32::try_from(costs.len()).expect("some dozens");
        let parts = [0, 1].map(|part| (after[part] - before[part]) * 1000.0 / f64::from(moves));
        // The driver's own scripts count among all script, so the handler's time stands for ours.
        let each = costs[costs.len() / 2] + parts[0] + parts[1];
        println!(
            "{moves} moves: style {:.2}, layout {:.2} ms each; handler {:.2} ms, at worst {:.2} ms",
            parts[0],
            parts[1],
            costs[costs.len() / 2],
            costs[costs.len() - 1]
        );
        least = least.min(each);
        if least <= 16.0 {
            break;
        }
    }
    assert!(least <= 16.0, "a frame took {least:.1} ms");
}

/// Seconds the page has spent on styles and on layout.
async fn spent(browser: &Browser) -> [f64; 2] {
    let told = browser.devtools("Performance.getMetrics", json!({})).await;
    let metrics = told["metrics"].as_array().cloned().unwrap_or_default();
    let of = |name: &str| {
        let found = metrics.iter().find(|metric| metric["name"] == name);
        found.and_then(|metric| metric["value"].as_f64()).expect("a figure")
    };
    ["RecalcStyleDuration", "LayoutDuration"].map(of)
}

#[tokio::test(flavor = "multi_thread")]
async fn the_keyboard_alone_is_enough() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/deck"))).await;
    let press = |key: Key| {
        KeyActions::new("keys".to_owned())
            .then(KeyAction::Down { value: key.into() })
            .then(KeyAction::Up { value: key.into() })
    };
    let letter = |key: char| {
        KeyActions::new("keys".to_owned())
            .then(KeyAction::Down { value: key })
            .then(KeyAction::Up { value: key })
    };
    // Tab until a device has the focus.
    for _ in 0..60 {
        browser.client.perform_actions(press(Key::Tab)).await.expect("tab");
        let on = browser.js("return document.activeElement.id.startsWith('plan-device-')", vec![]).await;
        if on == json!(true) {
            break;
        }
    }
    let tag = browser.js("return document.activeElement.dataset.device", vec![]).await;
    let tag = tag.as_str().expect("a device has the focus").to_owned();
    assert_ne!(
        browser
            .js(
                "return getComputedStyle(document.activeElement.querySelector('.outline')).strokeWidth",
                vec![]
            )
            .await,
        json!("1.89px"),
        "focus is seen"
    );
    browser.client.perform_actions(press(Key::Enter)).await.expect("pick");
    browser
        .until(
            "it is picked",
            &format!("return document.querySelector('[data-picked]')?.dataset.picked === '{tag}'"),
        )
        .await;
    browser.client.perform_actions(letter('l')).await.expect("lock");
    browser
        .until(
            "it is locked",
            &format!("return document.querySelector('[data-step=undo] .name')?.textContent === 'lock {tag}'"),
        )
        .await;
    browser.client.perform_actions(press(Key::Up)).await.expect("nudge");
    browser
        .until(
            "a locked thing stays",
            "return document.getElementById('said').textContent.includes('locked')",
        )
        .await;
    browser.client.perform_actions(letter('l')).await.expect("unlock");
    browser
        .until(
            "it is free",
            &format!(
                "return document.querySelector('[data-step=undo] .name')?.textContent === 'unlock {tag}'"
            ),
        )
        .await;
    browser.client.perform_actions(letter('r')).await.expect("turn");
    browser
        .until("it is turned", "return document.querySelector('.picked .r')?.textContent.includes('90°')")
        .await;
    browser.client.perform_actions(letter('n')).await.expect("next finding");
    browser.until("a finding has the focus", "return document.activeElement.matches('#side li')").await;
    let undo = KeyActions::new("keys".to_owned())
        .then(KeyAction::Down { value: Key::Control.into() })
        .then(KeyAction::Down { value: 'z' })
        .then(KeyAction::Up { value: 'z' })
        .then(KeyAction::Up { value: Key::Control.into() });
    browser.client.perform_actions(undo).await.expect("undo");
    browser
        .until(
            "it is turned back",
            "return document.querySelector('.picked .r')?.textContent.includes('turn 0°')",
        )
        .await;
    // Every number tells where it comes from.
    browser.js("document.querySelector('.picked a.val').focus()", vec![]).await;
    browser.client.perform_actions(press(Key::Enter)).await.expect("ask");
    browser.until("it is told", "return document.getElementById('where').open && document.getElementById('where').innerText.includes('Comes from')").await;
    browser.client.perform_actions(press(Key::Escape)).await.expect("close");
    browser.until("the answer is put away", "return !document.getElementById('where').open").await;
    assert!(browser.client.find(Locator::Css("#plan")).await.is_ok());
}

#[tokio::test(flavor = "multi_thread")]
async fn padlock_shoe_and_leads_answer_the_pointer() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/deck?pick=B4"))).await;
    // The padlock of the picked device.
    browser.find("[data-lock=B4]").await;
    let at = browser.middle("[data-lock=B4] rect").await;
    browser.drag(at, at, 1).await;
    browser
        .until(
            "it is locked",
            "return document.querySelector('[data-step=undo] .name')?.textContent === 'lock B4'",
        )
        .await;
    assert!(place_of(&shop.text(JOB), "B4").contains("locked = true"));
    // The shoe is laid over when it is asked for.
    let shown = "return getComputedStyle(document.querySelector('#plan .shoe')).display !== 'none'";
    assert_eq!(browser.js(shown, vec![]).await, json!(false));
    browser.find("#show-shoe").await.click().await.expect("shown");
    assert_eq!(browser.js(shown, vec![]).await, json!(true));
    // The sum that takes longer comes by itself.
    browser
        .until("the worst change", "return document.getElementById('sums').innerText.includes('look beyond')")
        .await;
    // A lead leads to its row.
    let at = browser
        .js(
            "const p = document.querySelector('#plan g[data-lead=\"L10\"] path, #plan g[data-lead=\"L10\"] line');
             const m = p.getScreenCTM(), q = p.getPointAtLength(p.getTotalLength() / 2);
             const s = new DOMPoint(q.x, q.y).matrixTransform(m); return [s.x, s.y]",
            vec![],
        )
        .await;
    let at = (at[0].as_f64().expect("x"), at[1].as_f64().expect("y"));
    browser.drag(at, at, 1).await;
    browser
        .until(
            "the row of the lead",
            "return location.pathname.endsWith('/leads') && document.querySelector('#lead-picked th')?.textContent === 'L10'",
        )
        .await;
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

#[tokio::test(flavor = "multi_thread")]
async fn rooms_are_laid_over_the_drawing_when_asked_for() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/deck"))).await;
    for (switch, shape) in [("shoe", ".shoe"), ("service", ".room.service"), ("keep", ".room.keep")] {
        let shown = format!(
            "const all = [...document.querySelectorAll('#plan {shape}')]; return all.length > 0 && all.every(e => getComputedStyle(e).display !== 'none')"
        );
        assert_eq!(browser.js(&shown, vec![]).await, json!(false), "{switch} is off at first");
        browser.js(&format!("document.getElementById('show-{switch}').click()"), vec![]).await;
        browser.until(switch, &shown).await;
    }
    browser.picture("deck-rooms-1440-light").await;
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

#[tokio::test(flavor = "multi_thread")]
async fn the_first_view_on_a_phone_can_be_read() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(390, 844, false).await;
    let smallest = "return Math.min(...[...document.querySelectorAll('#plan text')].map(t => parseFloat(t.getAttribute('font-size') || getComputedStyle(t).fontSize) * Math.hypot(t.getScreenCTM().a, t.getScreenCTM().b)))";
    for place in ["deck", "deck?pick=B4"] {
        browser.go(&shop.url(&format!("/job/{JOB}/{place}"))).await;
        let pixels = browser.js(smallest, vec![]).await.as_f64().expect("pixels");
        assert!(10.9 < pixels, "{pixels} px at {place}");
    }
    let (x, y) = browser.middle("#plan-device-B4 .outline").await;
    assert!(0.0 < x && x < 390.0 && 0.0 < y && y < 844.0, "what is picked is seen: {x}, {y}");
    browser.js("document.querySelector('[data-zoom=fit]').click()", vec![]).await;
    let whole =
        "const p = document.getElementById('plan'); return p.getAttribute('viewBox') === p.dataset.fit";
    assert_eq!(browser.js(whole, vec![]).await, json!(true));
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

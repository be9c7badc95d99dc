//! Power as a person uses it: hang a device elsewhere by pointer and by keys, lock, allocate, take a way out.

use serde_json::json;

use crate::browser::Browser;
use crate::shop;

const JOB: &str = "cabin-board-corrected";

async fn done(browser: &Browser, name: &str) {
    browser
        .until(
            name,
            &format!(
                "return document.querySelector('[data-step=undo] .name')?.textContent === {}",
                json!(name)
            ),
        )
        .await;
}

async fn key(browser: &Browser, key: &str, code: u32) {
    for kind in ["keyDown", "keyUp"] {
        browser
            .devtools(
                "Input.dispatchKeyEvent",
                json!({ "type": kind, "key": key, "code": key, "windowsVirtualKeyCode": code }),
            )
            .await;
    }
}

/// The outlet a device hangs on, as the page shows it.
async fn on(browser: &Browser, tag: &str) -> String {
    let found = browser
        .js("return document.querySelector(`[data-hang=\"${arguments[0]}\"]`)?.closest('[data-outlet]').dataset.outlet ?? ''", vec![json!(tag)])
        .await;
    found.as_str().expect("outlet").to_owned()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_feed_is_moved_by_keys() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/power"))).await;
    assert_eq!(on(&browser, "A1").await, "SUP.1");
    let before = shop.text(JOB);
    browser.js("document.querySelector('[data-hang=A1]').focus()", vec![]).await;
    key(&browser, "Enter", 13).await;
    browser.until("costs stand at every outlet", "return [...document.querySelectorAll('tr[data-outlet] .cost')].every(c => c.textContent.length > 3)").await;
    key(&browser, "ArrowDown", 40).await;
    browser
        .until(
            "the cost is said before it is done",
            "return document.getElementById('hang-live').textContent.startsWith('A1 on SUP.2: ')",
        )
        .await;
    let said = browser.text("#hang-live").await;
    assert!(!said.ends_with("not judged"), "{said}");
    assert_eq!(shop.text(JOB), before, "nothing is written yet");
    // Put back where it was.
    key(&browser, "Escape", 27).await;
    browser.until("it is put back", "return document.getElementById('hang-live').textContent === ''").await;
    assert_eq!(shop.text(JOB), before);
    key(&browser, "Enter", 13).await;
    key(&browser, "ArrowDown", 40).await;
    key(&browser, "Enter", 13).await;
    done(&browser, "feed A1 from SUP.2").await;
    assert_eq!(on(&browser, "A1").await, "SUP.2");
    assert_eq!(
        browser.js("return document.activeElement.dataset.hang", vec![]).await,
        json!("A1"),
        "focus stays with it"
    );
    browser.js("document.querySelector('[data-step=undo] button').click()", vec![]).await;
    browser.until("it is back", "return document.querySelector('[data-step=undo] button').disabled").await;
    assert_eq!(shop.text(JOB), before);
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

#[tokio::test(flavor = "multi_thread")]
async fn a_feed_is_moved_by_hand_then_locked_then_all_are_allocated() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 1600, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/power"))).await;
    let (from, to) =
        (browser.middle("[data-hang=A2]").await, browser.middle("[data-outlet=\"SUP.3\"] .otag").await);
    let rows = "return [...document.querySelectorAll('tr[data-outlet]')].map(r => Math.round(r.getBoundingClientRect().top)).join()";
    let before = browser.js(rows, vec![]).await;
    browser.js("window.tops = new Set(); new MutationObserver(() => window.tops.add([...document.querySelectorAll('tr[data-outlet]')].map(r => Math.round(r.getBoundingClientRect().top)).join())).observe(document.body, { attributes: true, attributeFilter: ['class'] })", vec![]).await;
    browser.drag(from, to, 12).await;
    assert_eq!(
        browser.js("return [...window.tops].slice(0, 1)", vec![]).await,
        json!([before]),
        "rows stay under the hand"
    );
    done(&browser, "feed A2 from SUP.3").await;
    browser.until("it hangs there", "return document.querySelector('[data-hang=A2]').closest('[data-outlet]').dataset.outlet === 'SUP.3'").await;
    // What the engine says follows by itself.
    browser.until("the table follows", "return !document.querySelector('#allocation[data-later]')").await;
    // A device is taken off all outlets, and counted.
    let (from, to) = (browser.middle("[data-hang=A2]").await, browser.middle(".waiting h3").await);
    browser.drag(from, to, 12).await;
    done(&browser, "remove the feed of A2").await;
    browser
        .until("it is counted", "return document.querySelector('#tools').innerText.startsWith('1 without')")
        .await;
    // The lock stays through an allocation.
    browser.js("document.querySelector('[data-key=\"chip-A1\"] form').requestSubmit()", vec![]).await;
    done(&browser, "lock the feed of A1").await;
    let kept = on(&browser, "A1").await;
    browser
        .until("a locked feed is not taken up", "return document.querySelector('[data-hang=A1]').disabled")
        .await;
    browser.js("window.t = performance.now(); [...document.querySelectorAll('#tools form')].find(f => f.elements.act.value === 'allocate').requestSubmit()", vec![]).await;
    browser
        .until("all are fed", "return document.querySelector('#tools').innerText.startsWith('0 without')")
        .await;
    println!("allocated and shown in {} ms", browser.js("return performance.now() - window.t", vec![]).await);
    assert_eq!(on(&browser, "A1").await, kept);
    browser.until("nothing is left to do", "return document.querySelector('#allocation').innerText.includes('The feeds are the best already')").await;
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

#[tokio::test(flavor = "multi_thread")]
async fn an_impossible_board_is_cured_by_a_button() {
    let job = "cabin-board";
    let shop = shop::open(&[job]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{job}/power"))).await;
    browser
        .until(
            "it says so",
            "return document.querySelector('#allocation').innerText.includes('not possible')",
        )
        .await;
    browser.until("whom it is about", "return document.querySelectorAll('.conflicts b').length > 0").await;
    let name = browser.js("return document.querySelector('.cures .rem').innerText", vec![]).await;
    println!("way out: {name}");
    let before = shop.text(job);
    browser.js("document.querySelector('.cures .rem').click()", vec![]).await;
    browser.until("it is possible", "const t = document.querySelector('#allocation'); return !t.hasAttribute('data-later') && !t.innerText.includes('not possible')").await;
    assert_eq!(
        browser.text(".objective tbody tr:first-child td:nth-of-type(1)").await,
        "0",
        "no rule is broken"
    );
    assert_eq!(browser.text(".objective tbody tr:first-child td:nth-of-type(2)").await, "0", "all are fed");
    browser.js("document.querySelector('[data-step=undo] button').click()", vec![]).await;
    browser
        .until(
            "it is impossible again",
            "return document.querySelector('#allocation').innerText.includes('not possible')",
        )
        .await;
    assert_eq!(shop.text(job), before);
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

//! A job from nothing to papers, without touching a file.

use fantoccini::Locator;
use serde_json::json;

use crate::browser::Browser;
use crate::shop;

/// Fills the field with this label text or selector and sends its form.
async fn set(browser: &Browser, selector: &str, value: &str) {
    let field = browser.find(selector).await;
    browser.js("const f = document.querySelector(arguments[0]); f.value = arguments[1]; f.dispatchEvent(new Event('input', { bubbles: true })); f.closest('form').requestSubmit()", vec![json!(selector), json!(value)]).await;
    drop(field);
}

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

#[tokio::test(flavor = "multi_thread")]
async fn from_nothing_to_papers() {
    let shop = shop::open(&[]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url("/")).await;
    browser.find("input[name=title]").await.send_keys("Attic board").await.expect("title");
    browser.find("form[action='/jobs'] button").await.click().await.expect("make");
    browser.until("the brief", "return document.querySelector('h1')?.textContent === 'Attic board'").await;
    let at = |place: &str| shop.url(&format!("/job/attic-board/{place}"));

    set(&browser, "#job-player", "Wim Aldery").await;
    done(&browser, "player set to Wim Aldery").await;
    set(&browser, "#brief-music", "quiet songs in small rooms").await;
    done(&browser, "music set to quiet songs in small rooms").await;
    set(&browser, "#board-kind", "flat-560x330").await;
    done(&browser, "choose the board").await;
    set(&browser, "#want-new", "silent when muted").await;
    done(&browser, "requirement R1").await;

    // Five from the catalogue.
    browser.go(&at("gear?add=catalogue&words=compact")).await;
    for tag in ["TUN", "CMP", "DRV", "DLY"] {
        browser.js("const f = [...document.querySelectorAll('form')].find(f => f.elements.kind?.value === 'compact-73x129x59'); f.elements.tag.value = arguments[0]; f.requestSubmit()", vec![json!(tag)]).await;
        done(&browser, &format!("add {tag}")).await;
    }
    browser.go(&at("gear?add=catalogue&words=brick")).await;
    browser.js("const f = [...document.querySelectorAll('form')].find(f => f.elements.kind?.value === 'brick-6x100-2x400'); f.elements.tag.value = 'SUP'; f.requestSubmit()", vec![]).await;
    done(&browser, "add SUP").await;

    // One measured anew, with its top view growing.
    browser.go(&at("gear?add=measure")).await;
    for (name, value) in [
        ("tag", "OWN"),
        ("title", "buffer in a tin"),
        ("size.width", "60"),
        ("size.depth", "111"),
        ("size.height", "31"),
        ("power.type", "dc"),
        ("power.volts", "9"),
        ("power.current", "8"),
        ("power.sign", "centre-negative"),
        ("port1.offset", "80"),
        ("port1.height", "15"),
        ("port2.offset", "80"),
        ("port2.height", "15"),
        ("port3.offset", "30"),
        ("port3.height", "15"),
    ] {
        browser.js("const f = document.querySelector(`#measure [name=\"${arguments[0]}\"]`); f.value = arguments[1]; f.dispatchEvent(new Event('input', { bubbles: true }))", vec![json!(name), json!(value)]).await;
    }
    browser.until("the top view", "return !!document.querySelector('#measure-view svg') && document.getElementById('measure-view').getAttribute('aria-label').includes('60 mm wide')").await;
    browser.find("#measure .btn.first").await.click().await.expect("add");
    done(&browser, "add OWN, measured").await;

    // One run.
    browser.go(&at("path")).await;
    browser.js("const f = document.querySelector('#new-run form'); f.elements.name.value = 'main'; const s = f.querySelectorAll('[name=stop]'); s[0].value = 'guitar'; s[1].value = 'amp'; f.requestSubmit()", vec![]).await;
    done(&browser, "add run main").await;
    for tag in ["OWN", "TUN", "CMP", "DRV", "DLY"] {
        browser.js("const f = [...document.querySelectorAll('.run form')].find(f => f.elements.how?.value === 'insert'); f.elements.stop.value = arguments[0]; f.requestSubmit()", vec![json!(tag)]).await;
        done(&browser, &format!("insert {tag} into run main")).await;
    }
    assert_eq!(
        browser
            .js("return [...document.querySelectorAll('.strip-of .stand')].map(b => b.textContent)", vec![])
            .await,
        json!(["guitar", "OWN", "TUN", "CMP", "DRV", "DLY", "amp"])
    );
    // The buffer goes one step down the run, by key.
    browser.js("document.querySelectorAll('.strip-of .stand')[1].focus()", vec![]).await;
    browser.devtools("Input.dispatchKeyEvent", json!({ "type": "keyDown", "key": "ArrowLeft", "code": "ArrowLeft", "windowsVirtualKeyCode": 37 })).await;
    browser.until("the order", "return [...document.querySelectorAll('.strip-of .stand')].map(b => b.textContent).join() === 'guitar,TUN,OWN,CMP,DRV,DLY,amp'").await;

    // Placements: typed, and one dragged from beside the board.
    for (tag, x, y) in [
        ("TUN", "450", "20"),
        ("CMP", "330", "20"),
        ("DRV", "210", "20"),
        ("DLY", "90", "20"),
        ("SUP", "40", "200"),
    ] {
        browser.go(&at(&format!("deck?pick={tag}"))).await;
        browser.js("document.getElementById('picked-x').value = arguments[0]; document.getElementById('picked-y').value = arguments[1]; document.getElementById('picked-x').form.requestSubmit()", vec![json!(x), json!(y)]).await;
        done(&browser, &format!("place {tag} at {x} mm, {y} mm")).await;
    }
    browser.go(&at("deck")).await;
    let from = browser.middle("#plan-device-OWN .not-placed").await;
    let to = browser.middle("#plan-deck-main .board-edge").await;
    browser.drag(from, (to.0 + 60.0, to.1 - 60.0), 10).await;
    browser
        .until(
            "it is placed",
            "return document.querySelector('[data-step=undo] .name')?.textContent.startsWith('place OWN at')",
        )
        .await;
    browser.until("nothing waits for a place", "return !document.querySelector('.unplaced')").await;

    // Feeds.
    browser.go(&at("power")).await;
    for tag in ["TUN", "CMP", "DRV", "DLY", "OWN"] {
        let used = browser.js("const s = document.querySelector(`[aria-label='Outlet for ${arguments[0]}']`); const taken = new Set([...document.querySelectorAll('[aria-label^=\"Outlet for\"]')].map(x => x.value)); const o = [...s.options].find(o => o.value && !taken.has(o.value)); s.value = o.value; s.form.requestSubmit(); return o.value", vec![json!(tag)]).await;
        done(&browser, &format!("feed {tag} from {}", used.as_str().expect("an outlet"))).await;
    }
    assert!(browser.text("#tools").await.starts_with("0 without a feed"));

    // A finding is answered for, with a reason.
    browser.go(&at("path")).await;
    let open = browser.js("return document.querySelectorAll('#side .f:not(.struck)').length", vec![]).await;
    if open != json!(0) {
        browser.js("const f = document.querySelector('#side .ans form'); f.elements.reason.value = 'agreed with the player'; f.elements.by.value = 'O. Fenlow'; f.requestSubmit()", vec![]).await;
        browser.until("it is answered", "return !!document.querySelector('.answered') && document.querySelector('.answered').textContent.includes('agreed with the player')").await;
    }

    // Papers.
    browser.go(&at("papers")).await;
    assert_eq!(browser.client.find_all(Locator::Css(".sheets li")).await.expect("sheets").len(), 2);
    let size = browser
        .client
        .execute_async("const done = arguments[arguments.length - 1]; fetch(document.querySelector('a[download]').href).then(r => r.blob()).then(b => done([b.type, b.size]))", vec![])
        .await
        .expect("download");
    assert_eq!(size[0], json!("application/zip"));
    assert!(100 < size[1].as_u64().expect("size"));
    // The work order follows from what was entered.
    browser.go(&at("build")).await;
    assert!(browser.text("#tools").await.contains("0 of"));
    assert_eq!(browser.complaints().await, Vec::<String>::new());
    assert!(shop.text("attic-board").contains("# A new job. Every key is told"), "comments are kept");
}

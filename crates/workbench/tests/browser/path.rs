//! The Path as a person uses it: switch devices on and off, read the figures, take advice and take it back.

use serde_json::json;

use crate::browser::Browser;
use crate::shop;

const JOB: &str = "cabin-board";

const FIGURES: &str = "return document.querySelector('.state-sums').innerText";

async fn key(browser: &Browser, key: &str, code: u32) {
    for kind in ["keyDown", "keyUp"] {
        let text = if key == " " { json!(" ") } else { json!(null) };
        let mut event = json!({ "type": kind, "key": key, "windowsVirtualKeyCode": code });
        if kind == "keyDown" && text != json!(null) {
            event["text"] = text;
        }
        browser.devtools("Input.dispatchKeyEvent", event).await;
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_state_is_chosen_and_the_figures_follow() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/path"))).await;
    browser.find(".band-plot svg").await;
    let before = browser.js(FIGURES, vec![]).await;
    assert!(before.as_str().expect("text").contains("Change at 4 kHz"), "{before}");
    let curve = "return document.querySelector('.wide-plot').outerHTML.length";
    let drawn = browser.js(curve, vec![]).await;
    // By a click; the time to the new drawing is told.
    browser.js("window.t = performance.now(); window.redrawn = null; new MutationObserver(() => { window.redrawn ??= performance.now() - window.t }).observe(document.querySelector('.band-plot'), { subtree: true, childList: true, attributes: true, characterData: true })", vec![]).await;
    let name = browser
        .js("const s = document.querySelector('[data-switch]'); s.focus(); s.click(); return s.dataset.switch", vec![])
        .await;
    let name = name.as_str().expect("a switch").to_owned();
    let is = |on: bool| {
        format!(
            "return document.querySelector('[data-switch=\"{name}\"]').getAttribute('aria-checked') === '{on}'"
        )
    };
    let was_on = before.as_str().expect("text").contains(&name);
    browser.until("it is switched", &is(!was_on)).await;
    browser.until("the plot is drawn anew", "return window.redrawn !== null").await;
    println!("from switch to new plot: {} ms", browser.js("return window.redrawn", vec![]).await);
    assert_ne!(browser.js(FIGURES, vec![]).await, before, "the figures are those of the new state");
    assert_ne!(browser.js(curve, vec![]).await, drawn, "its curve is drawn");
    assert!(browser.client.current_url().await.expect("address").query().is_some_and(|q| q.contains("on=")));
    // By the space bar, on the switch and on the strip.
    browser.js(&format!("document.querySelector('[data-switch=\"{name}\"]').focus()"), vec![]).await;
    key(&browser, " ", 32).await;
    browser.until("it is switched back", &is(was_on)).await;
    browser.js(&format!("document.querySelector('.stand[data-tag=\"{name}\"]').focus()"), vec![]).await;
    key(&browser, " ", 32).await;
    browser.until("the strip switches too", &is(!was_on)).await;
    // A named state, by its line.
    browser.js("document.querySelector('.states li:not(.pick) a').click()", vec![]).await;
    browser.until("the state is picked", "return !!document.querySelector('.states li.pick')").await;
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

/// Six pedals with hard bypass and two metres of cable between each: a buffer helps.
const LONG_LEADS: &str = include_str!("../it/rigs/long-leads.toml");

/// A shop with that job beside an example.
async fn shop_with_long_leads(job: &str) -> shop::Shop {
    let shop = shop::open(&["cabin-board"]).await;
    let folder = shop.folder.path().join(job);
    std::fs::create_dir_all(&folder).expect("a folder");
    std::fs::write(folder.join("rig.toml"), LONG_LEADS).expect("a job");
    shop
}

#[tokio::test(flavor = "multi_thread")]
async fn advice_is_taken_and_taken_back() {
    let job = "long-leads";
    let shop = shop_with_long_leads(job).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{job}/path"))).await;
    browser
        .until("advice comes by itself", "return !!document.querySelector('#buffer-advice li.advice .rem')")
        .await;
    let before = shop.text(job);
    let worst = browser.text(".wherefore").await;
    browser.js("document.querySelector('li.advice .rem').click()", vec![]).await;
    browser
        .until("the buffer stands in the run", "return !!document.querySelector('.stand[data-tag=BUF]')")
        .await;
    browser
        .until(
            "the response follows",
            &format!("const w = document.querySelector('.wherefore'); return !!w && !document.querySelector('[data-later]') && w.innerText !== {}", json!(worst)),
        )
        .await;
    browser
        .until(
            "no more advice",
            "return document.querySelector('#buffer-advice').innerText.includes('No buffer is needed')",
        )
        .await;
    assert!(shop.text(job).contains(&format!("kind = \"{}\"", signal::BUFFER)));
    browser.js("document.querySelector('[data-step=undo] button').click()", vec![]).await;
    browser.until("it is taken out again", "return !document.querySelector('.stand[data-tag=BUF]')").await;
    assert_eq!(shop.text(job), before, "undo gives the very text back");
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

async fn seen(width: u32, height: u32, dark: bool) {
    let shop = shop::open(&["cabin-board", "wet-dry-touring", "theatre-pit"]).await;
    let browser = Browser::start(width, height, dark).await;
    let light = if dark { "dark" } else { "light" };
    for (job, place, name) in [
        ("cabin-board", "path?on=A1%2CA3", "path-state"),
        ("wet-dry-touring", "path", "path-large"),
        ("theatre-pit", "path", "path-silent"),
        ("cabin-board", "power", "power-impossible"),
        ("wet-dry-touring", "power", "power-large"),
    ] {
        browser.go(&shop.url(&format!("/job/{job}/{place}"))).await;
        browser
            .until("nothing is awaited", "return !document.querySelector('[data-wait], [data-later]')")
            .await;
        browser.picture(&format!("{name}-{width}-{light}")).await;
        browser
            .js("document.querySelector('#response, .brick:not(.waiting)')?.scrollIntoView()", vec![])
            .await;
        browser.picture(&format!("{name}-below-{width}-{light}")).await;
        let over = browser.js("return document.documentElement.scrollWidth - innerWidth", vec![]).await;
        assert!(over.as_f64().is_some_and(|over| over <= 0.0), "{job}/{place} at {width} runs out by {over}: {:?}",
            browser.js("return [...document.querySelectorAll('body *')].filter(e => e.getBoundingClientRect().right > innerWidth + 1 && !e.closest('.scroll, svg')).map(e => e.outerHTML.slice(0, 90)).slice(0, 4)", vec![]).await);
    }
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

#[tokio::test(flavor = "multi_thread")]
async fn path_and_power_fit_a_laptop() {
    seen(1440, 900, false).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn path_and_power_fit_a_phone_in_the_dark() {
    seen(390, 844, true).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn path_and_power_fit_a_phone() {
    seen(390, 844, false).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn path_and_power_fit_the_dark() {
    seen(1440, 900, true).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn a_stop_is_dragged_and_taken_out() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/path"))).await;
    let before = shop.text(JOB);
    let order = "return [...document.querySelectorAll('.strip-of')][0].querySelectorAll('.stand').length";
    let stops = browser.js(order, vec![]).await;
    let (from, to) = (
        browser.middle(".strip-of li:nth-child(2) .stand").await,
        browser.middle(".strip-of li:nth-child(3) .stand").await,
    );
    browser.drag(from, to, 8).await;
    browser
        .until(
            "it is moved",
            "return document.querySelector('[data-step=undo] .name')?.textContent.startsWith('move ')",
        )
        .await;
    browser.js("document.querySelector('[data-step=undo] button').click()", vec![]).await;
    browser.until("it is back", "return document.querySelector('[data-step=undo] button').disabled").await;
    browser
        .js("[...document.querySelectorAll('.run form')].find(f => f.elements.how?.value === 'out').requestSubmit()", vec![])
        .await;
    browser
        .until(
            "one stop fewer",
            &format!(
                "return document.querySelector('.strip-of').querySelectorAll('.stand').length === {stops} - 1"
            ),
        )
        .await;
    browser.js("document.querySelector('[data-step=undo] button').click()", vec![]).await;
    browser.until("it is back", "return document.querySelector('[data-step=undo] button').disabled").await;
    assert_eq!(shop.text(JOB), before);
}

fn stops(text: &str, run: &str) -> String {
    let from = text.find(&format!("name = \"{run}\"")).expect("run");
    let rest = &text[from..];
    let at = rest.find("stops = ").expect("stops");
    rest[at..].lines().next().expect("line").to_owned()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_stop_is_carried_into_another_run() {
    let job = "baritone-ambient-corrected";
    let shop = shop::open(&[job]).await;
    let browser = Browser::start(1440, 1400, false).await;
    browser.go(&shop.url(&format!("/job/{job}/path"))).await;
    let before = shop.text(job);
    assert!(stops(&before, "left").contains("\"C3\""));
    let stand = |run: &str, text: &str| format!("[data-run=\"{run}\"] [aria-label^=\"{text},\"]");
    let (from, to) =
        (browser.middle(&stand("left", "C3")).await, browser.middle(&stand("right", "C10.IN_R")).await);
    browser.drag(from, to, 12).await;
    let undo = |name: &str| {
        format!("return document.querySelector('[data-step=undo] .name')?.textContent === '{name}'")
    };
    browser.until("one edit", &undo("move C3 from run left into right")).await;
    assert!(!stops(&shop.text(job), "left").contains("\"C3\""));
    assert!(stops(&shop.text(job), "right").contains("\"C9.OUT_R\", \"C3\", \"C10.IN_R\""));
    browser
        .until(
            "focus goes with it",
            "return document.activeElement?.closest('[data-run]')?.dataset.run === 'right'",
        )
        .await;
    // Back by keys: Shift with an arrow leads to the run above.
    for kind in ["keyDown", "keyUp"] {
        let event = json!({ "type": kind, "key": "ArrowUp", "windowsVirtualKeyCode": 38, "modifiers": 8 });
        browser.devtools("Input.dispatchKeyEvent", event).await;
    }
    browser.until("it is back in its run", &undo("move C3 from run right into left")).await;
    assert!(stops(&shop.text(job), "left").contains("\"C3\""));
    assert_eq!(stops(&shop.text(job), "right"), stops(&before, "right"));
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

#[tokio::test(flavor = "multi_thread")]
async fn an_advised_buffer_is_one_of_the_catalogue() {
    let job = "long-leads";
    let shop = shop_with_long_leads(job).await;
    let kinds = shop.folder.path().join("catalogue");
    std::fs::create_dir_all(&kinds).expect("catalogue");
    let kind = "[device.\"small-buffer\"]\ntitle = \"small buffer\"\nfrom = \"measured\"\n\
                size = { width = \"40 mm\", depth = \"60 mm\", height = \"30 mm\" }\n\
                port.IN = { role = \"in\", z = \"1 Mohm\" }\nport.OUT = { role = \"out\", z = \"100 ohm\" }\n\
                signal = { bypass = \"always-on\", gain = \"0 dB\" }\n";
    std::fs::write(kinds.join("own.toml"), kind).expect("kind");
    std::fs::write(shop.folder.path().join("shop.toml"), "").expect("settings");
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{job}/path"))).await;
    browser.until("advice comes by itself", "return !!document.querySelector('li.advice select')").await;
    let choices = browser
        .js("return [...document.querySelector('li.advice select').options].map(o => o.text)", vec![])
        .await;
    let mut choices: Vec<String> = serde_json::from_value(choices).expect("texts");
    assert_eq!(choices.pop().as_deref(), Some("to be chosen"));
    choices.sort();
    assert_eq!(choices, ["buffer, always on, no foot switch", "small buffer"]);
    browser.js("document.querySelector('li.advice select').value = 'small-buffer'", vec![]).await;
    browser.js("document.querySelector('li.advice .rem').click()", vec![]).await;
    browser
        .until("the buffer stands in the run", "return !!document.querySelector('.stand[data-tag=BUF]')")
        .await;
    let text = shop.text(job);
    assert!(text.contains("kind = \"small-buffer\"") && !text.contains("buffer to be chosen"));
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

#[tokio::test(flavor = "multi_thread")]
async fn what_is_in_no_run_is_carried_or_pressed_into_one() {
    let shop = shop::open(&["church-bass-corrected"]).await;
    let job = "church-bass-corrected";
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{job}/gear?add=catalogue&words=compact"))).await;
    for tag in ["NEW", "OWN"] {
        browser.js("const f = [...document.querySelectorAll('form')].find(f => f.elements.kind?.value === 'compact-66x122x50'); f.elements.tag.value = arguments[0]; f.requestSubmit()", vec![json!(tag)]).await;
        browser
            .until(
                "added",
                &format!(
                    "return document.querySelector('[data-step=undo] .name')?.textContent === 'add {tag}'"
                ),
            )
            .await;
    }
    browser.go(&shop.url(&format!("/job/{job}/path"))).await;
    browser.picture("path-shelf-1440-light").await;
    // One drag is one connection: onto the stop that it comes before.
    let from = browser.middle("[data-shelf=NEW]").await;
    let to = browser.middle("[data-run=main] .stand[data-tag=B5]").await;
    browser.drag(from, to, 8).await;
    let order =
        "return [...document.querySelectorAll('[data-run=main] .stand')].map(b => b.dataset.tag).join()";
    browser.until("it stands before B5", &format!("{order}.includes('B4,NEW,B5')")).await;
    browser.until("it is off the shelf", "return !document.querySelector('[data-shelf=NEW]')").await;
    // One press is one connection too.
    browser.find("[data-shelf=OWN]").await.click().await.expect("press");
    browser.until("it stands before the last", &format!("{order}.endsWith('OWN,amp')")).await;
    assert!(shop.text(job).contains("\"B4\", \"NEW\", \"B5\""));
    // Figures stand in rows: those of a kind at one height along a line of the strip.
    let rows = browser.js("const tops = {}; for (const li of document.querySelectorAll('[data-run=main] > li')) { const y = Math.round(li.getBoundingClientRect().top); for (const dt of li.querySelectorAll('dl > div:not(.gap) > dt')) (tops[`${y} ${dt.textContent}`] ??= new Set()).add(Math.round(dt.getBoundingClientRect().top)); } return Object.entries(tops).filter(([, t]) => t.size > 1).map(([k]) => k)", vec![]).await;
    assert_eq!(rows, json!([]), "rows that are not aligned");
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

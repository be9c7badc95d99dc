//! The leads as a person uses them: one alone, its sums, tied down by hand and by keys, what changed since the print.

use serde_json::json;

use crate::browser::Browser;
use crate::shop;

const JOB: &str = "church-bass-corrected";

/// The number of a lead by its ends is not fixed; this one is signal and laid on every corrected board.
const LEAD: &str = "L07";

fn ties(text: &str) -> Vec<String> {
    text.lines().filter(|line| line.trim_start().starts_with("ties = ")).map(str::to_owned).collect()
}

#[tokio::test(flavor = "multi_thread")]
async fn a_lead_is_seen_alone_with_its_sums() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/leads"))).await;
    // By the drawing.
    browser
        .js(&format!("document.querySelector('#plan [data-lead={LEAD}]').dispatchEvent(new MouseEvent('click', {{ bubbles: true }}))"), vec![])
        .await;
    browser
        .until("it is alone", &format!("const p = document.getElementById('plan'); return p.classList.contains('alone') && p.querySelector('[data-lead={LEAD}]').getAttribute('aria-pressed') === 'true'"))
        .await;
    // Its figures add up to its cut length, which the schedule tells too.
    let figures = "return [...document.querySelectorAll('.picked .sum .n')].map(td => parseFloat(td.innerText.replace(/[\\u202f\\u2009]/g, '')))";
    let figures: Vec<f64> = serde_json::from_value(browser.js(figures, vec![]).await).expect("figures");
    let (cut, parts) = figures.split_last().expect("a cut");
    let sum: f64 = parts.iter().sum();
    assert!(parts.len() >= 4 && sum - 3.0 <= *cut && *cut <= sum + 8.0, "{parts:?} to {cut}");
    let told = browser.text("#lead-picked [data-th=Cut]").await;
    assert!(told.starts_with(&format!("{cut} mm")), "{told}");
    browser.picture("leads-alone-1440-light").await;
    // By the schedule, with keys alone.
    browser.js("const a = [...document.querySelectorAll('.schedule th a')].find(a => a.textContent === 'L03'); a.focus(); a.click()", vec![]).await;
    browser.until("the other", "return document.getElementById('lead-head')?.textContent === 'L03'").await;
    assert_eq!(browser.js("return document.activeElement.textContent", vec![]).await, json!("L03"));
    // By the drawing's own keys.
    browser.js(&format!("document.querySelector('#plan [data-lead={LEAD}]').focus()"), vec![]).await;
    browser
        .devtools(
            "Input.dispatchKeyEvent",
            json!({ "type": "keyDown", "key": "Enter", "windowsVirtualKeyCode": 13 }),
        )
        .await;
    browser
        .until("back", &format!("return document.getElementById('lead-head')?.textContent === '{LEAD}'"))
        .await;
    for (sort, head) in [("By batch", "Batch 1"), ("As they go in", "As they go in"), ("By class", "Signal")]
    {
        browser.js(&format!("[...document.querySelectorAll('.sorting a')].find(a => a.textContent === '{sort}').click()"), vec![]).await;
        browser.until(sort, &format!("return [...document.querySelectorAll('main h2')].some(h => h.textContent.startsWith('{head}'))")).await;
        let rows = browser.js("return document.querySelectorAll('.schedule tbody th').length", vec![]).await;
        let leads = browser.js("return Number(document.querySelector('#tools b').textContent)", vec![]).await;
        assert_eq!(rows, leads, "every lead stands in the schedule once, {sort}");
    }
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

#[tokio::test(flavor = "multi_thread")]
async fn a_lead_is_pulled_over_a_tie_point() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/leads?lead={LEAD}"))).await;
    let before = shop.text(JOB);
    // From a point on the line, 40 pixels to the left.
    let on = browser
        .js(&format!("const l = document.querySelector('#plan [data-lead={LEAD}] .lead-signal'); const p = l.getPointAtLength(l.getTotalLength() / 2).matrixTransform(l.getScreenCTM()); return [p.x, p.y]"), vec![])
        .await;
    let on = (on[0].as_f64().expect("x"), on[1].as_f64().expect("y"));
    browser.drag(on, (on.0 - 40.0, on.1), 8).await;
    browser
        .until("one edit", &format!("return document.querySelector('[data-step=undo] .name')?.textContent.startsWith('tie {LEAD} at ')"))
        .await;
    let tied = ties(&shop.text(JOB));
    assert_eq!(tied.len(), 1, "{tied:?}");
    browser
        .until("it is listed", "return document.querySelectorAll('.picked form.place').length === 2")
        .await;
    browser.until("it is drawn", "return !!document.querySelector('#plan .tied')").await;
    // One more by its figures, then both are untied.
    browser.js("const [x, y] = document.querySelectorAll('.picked form.place input:not([type=hidden])'); x.value = '60'; y.value = '4 in'; x.form.requestSubmit()", vec![]).await;
    browser.until("two", "return document.querySelectorAll('.picked form.place').length === 3").await;
    assert!(ties(&shop.text(JOB))[0].contains("\"60 mm, 4 in\""), "{:?}", ties(&shop.text(JOB)));
    for left in [2, 1] {
        browser.js("document.querySelector('.picked form.place button').click()", vec![]).await;
        browser
            .until(
                "untied",
                &format!("return document.querySelectorAll('.picked form.place').length === {left}"),
            )
            .await;
    }
    assert_eq!(ties(&shop.text(JOB)), Vec::<String>::new());
    for _ in 0..4 {
        browser.js("document.querySelector('[data-step=undo] button').click()", vec![]).await;
    }
    browser
        .until("all is taken back", "return document.querySelector('[data-step=undo] button').disabled")
        .await;
    assert_eq!(shop.text(JOB), before);
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

#[tokio::test(flavor = "multi_thread")]
async fn what_changed_since_the_print_is_told() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/papers"))).await;
    browser.js("const f = document.querySelector('form[action$=freeze]'); f.elements.why.value = 'to the bench'; f.requestSubmit()", vec![]).await;
    browser.until("it is frozen", "return document.querySelector('[data-step=undo] .name')?.textContent.startsWith('begin revision')").await;
    browser.go(&shop.url(&format!("/job/{JOB}/leads"))).await;
    let words = "return [...new Set([...document.querySelectorAll('section[aria-labelledby=since] td[data-th=Result]')].map(td => td.innerText))]";
    assert_eq!(browser.js(words, vec![]).await, json!(["same"]));
    // A device is moved: its leads are made anew, the page tells by itself.
    let form = "const all = new URLSearchParams({ act: 'move', tag: 'B5', dx: '-30', dy: '40', base: document.body.dataset.revision, client: 'other' }); return fetch(location.pathname.replace('leads', 'edit'), { method: 'POST', body: all, headers: { accept: 'application/json' } }).then(a => a.status)";
    assert_eq!(browser.js(form, vec![]).await, json!(200));
    browser
        .until(
            "remake",
            &format!("{}.includes('remake')", words.replace("return ", "return (").replace("))]", "))])")),
        )
        .await;
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

async fn seen(width: u32, height: u32, dark: bool) {
    let job = "wet-dry-touring";
    let shop = shop::open(&[job]).await;
    let browser = Browser::start(width, height, dark).await;
    browser.go(&shop.url(&format!("/job/{job}/leads?lead=L05"))).await;
    let light = if dark { "dark" } else { "light" };
    browser.js("document.querySelector('#looms-drawn').open = true", vec![]).await;
    for (at, part) in [
        ("top", "#plan"),
        ("schedule", ".sorting"),
        ("looms", "#looms"),
        ("drawn", "#looms-drawn"),
        ("cuts", "#cut-plan"),
        ("one", "#lead-head"),
    ] {
        browser.js(&format!("document.querySelector('{part}').scrollIntoView()"), vec![]).await;
        browser.picture(&format!("leads-{at}-{width}-{light}")).await;
    }
    let wide = browser.js("return document.documentElement.scrollWidth - innerWidth", vec![]).await;
    assert!(wide.as_f64().is_some_and(|over| over <= 0.0), "it runs out of the page by {wide}");
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

#[tokio::test(flavor = "multi_thread")]
async fn leads_fit_a_laptop() {
    seen(1440, 900, false).await;
    seen(1440, 900, true).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn leads_fit_a_phone() {
    seen(390, 844, false).await;
    seen(390, 844, true).await;
}

//! The table of devices, edited in place like a spreadsheet.

use serde_json::json;

use crate::browser::Browser;
use crate::shop;

const JOB: &str = "church-bass-corrected";

const UNDO: &str = "return document.querySelector('[data-step=undo] .name')?.textContent";

#[tokio::test(flavor = "multi_thread")]
async fn cells_are_typed_pasted_and_filled() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/gear"))).await;
    let before = shop.text(JOB);
    let wide = browser.js("const t = document.querySelector('[data-sheet]').closest('.scroll'); return t.scrollWidth - t.clientWidth", vec![]).await;
    assert_eq!(wide, json!(0), "no column is cut");
    // Nothing lies over another: each field and the letter behind it stay in their cell.
    let over = browser.js("return [...document.querySelectorAll('[data-sheet] td:has(.cell)')].filter(td => { const box = td.getBoundingClientRect(), all = [...td.querySelectorAll('input:not([type=hidden]), select, .from-of')].map(e => e.getBoundingClientRect()); return all.some((r, i) => r.right > box.right + 1 || (i && r.left < all[i - 1].right - 1)); }).map(td => td.dataset.th)", vec![]).await;
    browser.picture("gear-table-1440-light").await;
    assert_eq!(over, json!([]), "cells that lie over one another");
    // A figure is typed; Enter saves it and goes down the column.
    let mass = "tr[data-key=B4] [data-col='4']";
    browser.find(mass).await.click().await.expect("click");
    browser.js("document.activeElement.select()", vec![]).await;
    browser.find(mass).await.send_keys("431\u{e007}").await.expect("typed");
    browser.until("it is saved", &format!("{UNDO} === 'mass of B4 set to 431 g'")).await;
    assert_eq!(
        browser.js("return document.activeElement.closest('tr').dataset.key", vec![]).await,
        json!("B5")
    );
    assert!(shop.text(JOB).contains("mass = { is = \"431 g\", from = \"measured\" }"));
    // A block of a spreadsheet is one edit; what it says is printed.
    browser.js("const s = document.getElementById('typed-as'); s.value = 'printed'", vec![]).await;
    browser.js("const c = document.querySelector(\"tr[data-key=B5] [data-col='6']\"); c.focus(); c.form.querySelector('[data-typed-as]').value = 'printed'; for (const el of document.querySelectorAll('[data-typed-as]')) el.value = 'printed'; const data = new DataTransfer(); data.setData('text/plain', '9\\t31\\n18\\t32\\n'); c.dispatchEvent(new ClipboardEvent('paste', { clipboardData: data, bubbles: true, cancelable: true }))", vec![]).await;
    browser.until("four cells", &format!("{UNDO} === 'fill 4 cells'")).await;
    let text = shop.text(JOB);
    for wanted in ["\"31 mA\"", "\"32 mA\"", "\"18 V\""] {
        assert!(text.contains(wanted), "{wanted}\n{text}");
    }
    for _ in 0..2 {
        let name = browser.js(UNDO, vec![]).await;
        browser.js("document.querySelector('.bar > [data-step=undo] button').click()", vec![]).await;
        browser.until("it is taken back", &format!("{UNDO} !== {name}")).await;
    }
    assert_eq!(shop.text(JOB), before);
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

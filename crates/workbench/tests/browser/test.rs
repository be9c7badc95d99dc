//! From a recording that is dropped to a sheet that is signed.

use fantoccini::Locator;
use serde_json::json;
use takes::wav::Depth;

use crate::browser::Browser;
use crate::shop;

const JOB: &str = "cabin-board-corrected";

/// What is played, softened by one pole where `hertz` says so, as a file of the folder.
fn recording(folder: &std::path::Path, name: &str, hertz: Option<f64>) -> std::path::PathBuf {
    let path = folder.join(name);
    std::fs::write(&path, crate::recorded::recording(hertz, Depth::Pcm16)).expect("written");
    path
}

#[tokio::test(flavor = "multi_thread")]
async fn from_a_dropped_recording_to_a_signed_sheet() {
    let shop = shop::open(&[JOB]).await;
    let files = tempfile::tempdir().expect("folder");
    let straight = recording(files.path(), "straight.wav", None);
    let board = recording(files.path(), "everything bypassed.wav", Some(4_000.0));
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/test"))).await;
    // The straight lead is chosen, the board's recording is dropped.
    let field = browser.find("#wav").await;
    field.send_keys(&straight.display().to_string()).await.expect("chosen");
    browser.until("the straight lead", "return !!document.querySelector('.t-reference')").await;
    let bytes = std::fs::read(&board).expect("read");
    let text: String = bytes.iter().map(|byte| char::from(*byte)).collect();
    browser.js("window.dropped = arguments[0]", vec![json!(text)]).await;
    browser.js("const bytes = Uint8Array.from(window.dropped, c => c.charCodeAt(0)), data = new DataTransfer(); data.items.add(new File([bytes], 'everything bypassed.wav', { type: 'audio/wav' })); document.querySelector('main').dispatchEvent(new DragEvent('drop', { dataTransfer: data, bubbles: true, cancelable: true }))", vec![]).await;
    browser.until("its plot", "return document.querySelectorAll('.take-plot').length >= 4").await;
    browser.picture("test-take-1440-light").await;
    let side = browser.text("#side").await;
    assert!(side.contains("What would explain it"), "{side}");
    // Every row is answered as a person does it.
    browser.find("#tester").await.send_keys("O. Fenlo\t").await.expect("typed");
    let rows =
        browser.js("return [...document.querySelectorAll('.t')].map(t => t.dataset.row)", vec![]).await;
    let rows: Vec<String> =
        rows.as_array().expect("rows").iter().map(|row| row.as_str().expect("an id").to_owned()).collect();
    assert!(10 < rows.len(), "{rows:?}");
    // The dull board fails at its response, which somebody answers for; what else was recorded passes.
    let answer = "const t = document.querySelector('.t.is-failed'); t.querySelector('details').open = true; t.querySelector('[name=because]').value = 'the player wants it dull'; t.querySelector('details form').requestSubmit()";
    let failed = browser
        .js("return [...document.querySelectorAll('.t.is-failed')].map(t => t.dataset.row)", vec![])
        .await;
    assert_eq!(failed.as_array().map(Vec::len), Some(1), "{failed}");
    assert!(failed[0].as_str().is_some_and(|row| row.starts_with("recorded-response:")), "{failed}");
    browser.js(answer, vec![]).await;
    browser.until("the response is answered for", "return !document.querySelector('.t.is-failed')").await;
    for row in rows.iter().filter(|row| !row.starts_with("recorded-")) {
        let select = format!(".t[data-row={}]", json!(row));
        let is = browser
            .js("const t = document.querySelector(arguments[0]); return [t.querySelector('.t-yes') ? 'yes' : t.querySelector('.unit').textContent, t.querySelector('.t-expected b')?.textContent ?? '']", vec![json!(select)])
            .await;
        let (kind, expected) = (is[0].as_str().expect("kind"), is[1].as_str().expect("expected"));
        if kind == "yes" {
            browser
                .client
                .find(Locator::Css(&format!("{select} .t-yes button")))
                .await
                .expect("yes")
                .click()
                .await
                .expect("click");
        } else {
            let figure = match (kind, expected) {
                ("MΩ", _) => "open",
                ("", _) => "up",
                (_, "") => "1",
                (_, figure) => figure,
            };
            browser
                .find(&format!("{select} .t-found input[type=text]"))
                .await
                .send_keys(&format!("{figure}\u{e007}"))
                .await
                .expect("typed");
        }
        browser
            .until(
                &format!("{row} is answered"),
                &format!("return !document.querySelector({}).classList.contains('is-due')", json!(select)),
            )
            .await;
    }
    assert_eq!(browser.js("return document.querySelectorAll('.is-failed').length", vec![]).await, json!(0));
    browser.find(".signature button").await.click().await.expect("click");
    browser
        .until(
            "it is signed",
            "return document.querySelector('.signature').textContent.includes('Signed by O. Fenlo')",
        )
        .await;
    browser.js("document.querySelector('#said')?.replaceChildren()", vec![]).await;
    browser.picture("test-signed-1440-light").await;
    assert_eq!(browser.complaints().await, Vec::<String>::new());
    for (width, height, dark) in [(1440, 900, true), (390, 844, false), (390, 844, true)] {
        let other = Browser::start(width, height, dark).await;
        other.go(&shop.url(&format!("/job/{JOB}/test"))).await;
        let wide = other.js("return document.documentElement.scrollWidth - innerWidth", vec![]).await;
        assert!(
            wide.as_f64().is_some_and(|over| over <= 0.0),
            "at {width} it runs out of the page by {wide}"
        );
        let light = if dark { "dark" } else { "light" };
        other.picture(&format!("test-signed-{width}-{light}")).await;
        other.js("document.querySelector('.take-plot')?.closest('.plot').scrollIntoView(); document.querySelectorAll('.take-plot')[1]?.scrollIntoView()", vec![]).await;
        other.picture(&format!("test-plot-{width}-{light}")).await;
    }
}

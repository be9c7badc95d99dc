//! A new kind from photographs, with the hands of a person.

use serde_json::json;

use crate::browser::Browser;
use crate::scene::{Lot, Scene, Shot, Side};
use crate::shop;

const JOB: &str = "church-bass-corrected";

/// A shot of few pixels, so that it is drawn soon.
fn small(mut shot: impl FnMut() -> Shot) -> Shot {
    (0..60).map(|_| shot()).find(|shot| shot.width == 1600).expect("one of 1600 pixels")
}

/// Lays pictures of a scene into the page where a kind is measured by photo, and waits until they are. How many actions
/// that took.
pub(crate) async fn laid(browser: &Browser, scene: &Scene, lots: &mut [Lot; 3]) -> usize {
    let folder = tempfile::tempdir().expect("a folder");
    let [above, beside, noise] = lots;
    let shots = [
        ("above", small(|| scene.above(above, 12.0))),
        ("right", small(|| scene.before(beside, Side::Right))),
        ("back", small(|| scene.before(beside, Side::Back))),
    ];
    let mut actions = 0;
    browser
        .until("the page is there", "return document.querySelector('#photo')?.dataset.ready === 'yes'")
        .await;
    if scene.paper == photo::Paper::Letter {
        browser.find("[name=paper][value=letter]").await.click().await.expect("click");
        actions += 1;
    }
    for (view, shot) in &shots {
        let picture = shot.take(scene, noise);
        let path = folder.path().join(format!("{view}.jpg"));
        std::fs::write(&path, pictures::jpeg(&picture, 4000).expect("a file")).expect("written");
        let input = browser.find(&format!("[data-view={view}] input[type=file]")).await;
        input.send_keys(&path.to_string_lossy()).await.expect("chosen");
        actions += 1;
    }
    browser
        .until(
            "it is measured",
            "return !document.querySelector('#photo[aria-busy]') && document.querySelectorAll('.shot .view svg .rim').length === 6 && document.querySelector('#photo-form').elements['size.height'].value !== ''",
        )
        .await;
    actions
}

#[tokio::test(flavor = "multi_thread")]
async fn a_kind_is_measured_by_photo_in_at_most_twenty_actions() {
    let mut lot = Lot(3);
    let scene = Scene::random(&mut lot);
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 900, false).await;
    let mut actions = 0;
    browser.go(&shop.url(&format!("/job/{JOB}/gear?add=measure"))).await;
    browser.find("a[href$='add=photo']").await.click().await.expect("click");
    actions += 1;
    actions += laid(&browser, &scene, &mut [Lot(11), Lot(12), Lot(12)]).await;
    browser.picture("photo").await;
    browser.js("document.querySelector('#photo-flat').scrollIntoView()", vec![]).await;
    browser.picture("photo-squared").await;
    browser.js("document.querySelector('#photo-form').scrollIntoView()", vec![]).await;
    browser.picture("photo-form").await;
    let sizes = browser
        .js("return ['size.width', 'size.depth', 'size.height'].map((name) => Number(document.querySelector('#photo-form').elements[name].value))", vec![])
        .await;
    for (found, truth) in sizes.as_array().expect("three").iter().zip(scene.size) {
        let off = found.as_f64().expect("a number") - truth;
        assert!(off.abs() < 2.5, "{sizes} is not {:?}", scene.size);
    }
    // A corner of the sheet that is dragged by a hair is measured anew.
    browser.js("document.querySelector('#photo').scrollIntoView()", vec![]).await;
    let (x, y) = browser.middle("[data-at='above.corners.2'] circle:not(.grip)").await;
    browser.drag((x, y), (x + 2.0, y), 4).await;
    actions += 1;
    browser.until("it is measured anew", "return !document.querySelector('#photo[aria-busy]')").await;
    for (name, text) in [("title", "Blend box"), ("power.volts", "9"), ("power.current", "30")] {
        let field = browser.find(&format!("#photo-form [name='{name}']")).await;
        field.send_keys(text).await.expect("typed");
        actions += 1;
    }
    for (name, at) in [("power.sign", 1), ("signal.bypass", 1)] {
        browser
            .js("const s = document.querySelector(`#photo-form [name='${arguments[0]}']`); s.selectedIndex = arguments[1]; s.dispatchEvent(new Event('change', { bubbles: true }))", vec![json!(name), json!(at)])
            .await;
        actions += 1;
    }
    browser.find("#photo-form [type=submit]").await.click().await.expect("click");
    actions += 1;
    browser.until("it is kept", "return document.querySelector('#said')?.textContent.includes('measured') || document.body.textContent.includes('Blend box')").await;
    let kept = std::fs::read_to_string(shop.folder.path().join("catalogue/own.toml")).expect("a catalogue");
    assert!(kept.contains("[device.blend-box]"), "{kept}");
    assert!(kept.contains("from = \"photo\"") && kept.contains("note = \"± "), "{kept}");
    for view in ["above", "right", "back", store::PORTRAIT] {
        let picture =
            std::fs::read(shop.folder.path().join(format!("pictures/blend-box/{view}.jpg"))).expect("kept");
        assert!(!picture.windows(4).any(|four| four == b"Exif"));
    }
    println!("{actions} actions");
    assert!(actions <= 20, "{actions}");
    assert!(browser.complaints().await.is_empty(), "{:?}", browser.complaints().await);
}

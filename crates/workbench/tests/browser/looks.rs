//! Every place at both sizes, light and dark: nothing runs out of the page, the script is content.

use crate::browser::Browser;
use crate::shop;

pub(crate) const PLACES: &[&str] = &[
    "brief",
    "gear",
    "gear?add=catalogue",
    "gear?add=measure",
    "gear?add=paste",
    "gear?pick=B4",
    "path",
    "deck",
    "deck?pick=B4",
    "panel",
    "power",
    "leads",
    "leads?lead=L07&sort=batch",
    "build",
    "build?all=1",
    "test",
    "papers",
    "change",
    "change?if=swap&tag=B4&kind=compact-73x129x59",
    "change?if=tour&country=US",
    "fault",
    "fault?symptom=dead",
    "fault?symptom=hum&at=desk&told=into:B5.IN=no",
];

async fn every_place(width: u32, height: u32, dark: bool) {
    let shop = shop::open(&["church-bass", "church-bass-corrected", "wet-dry-touring", "cabin-board"]).await;
    let browser = Browser::start(width, height, dark).await;
    let light = if dark { "dark" } else { "light" };
    browser.go(&shop.url("/")).await;
    browser.picture(&format!("shop-{width}-{light}")).await;
    let prices = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("../../external/estimate/prices.toml");
    std::fs::copy(prices, shop.folder.path().join("prices.toml")).expect("copied");
    browser.go(&shop.url("/orders?job=church-bass-corrected")).await;
    browser.picture(&format!("orders-{width}-{light}")).await;
    let wide = browser.js("return document.documentElement.scrollWidth - innerWidth", vec![]).await;
    assert!(wide.as_f64().is_some_and(|over| over <= 0.0), "orders at {width} run out of the page by {wide}");
    for place in PLACES {
        browser.go(&shop.url(&format!("/job/church-bass/{place}"))).await;
        let name = place.replace(['?', '=', '&'], "-");
        browser.picture(&format!("{name}-{width}-{light}")).await;
        let wide = browser.js("return document.documentElement.scrollWidth - innerWidth", vec![]).await;
        assert!(wide.as_f64().is_some_and(|over| over <= 0.0), "{place} at {width} runs out of the page by {wide}: {:?}",
            browser.js("return [...document.querySelectorAll('body *')].filter(e => e.getBoundingClientRect().right > innerWidth + 1 && !e.closest('.scroll, svg')).map(e => e.outerHTML.slice(0, 90)).slice(0, 4)", vec![]).await);
    }
    let complaints: Vec<String> = browser.complaints().await;
    assert_eq!(complaints, Vec::<String>::new());
}

#[tokio::test(flavor = "multi_thread")]
async fn laptop_light() {
    every_place(1440, 900, false).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn laptop_dark() {
    every_place(1440, 900, true).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn phone_light() {
    every_place(390, 844, false).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn phone_dark() {
    every_place(390, 844, true).await;
}

//! What assistive technology meets: axe-core finds nothing serious in any place.

use serde_json::Value;

use crate::browser::Browser;
use crate::looks::PLACES;
use crate::shop;

fn axe() -> String {
    let target = std::path::Path::new(env!("CARGO_TARGET_TMPDIR")).parent().expect("target folder");
    let file = std::env::var("AXE_CORE")
        .map_or_else(|_| target.join("browser/node_modules/axe-core/axe.min.js"), std::path::PathBuf::from);
    std::fs::read_to_string(&file).unwrap_or_else(|error| panic!("{}: {error}", file.display()))
}

/// The places where most is done, for the two combinations that are not looked at whole.
const MAIN: &[&str] =
    &["brief", "gear", "path", "deck?pick=B4", "power", "leads", "build", "test", "papers", "change?if=amp"];

async fn serious(width: u32, height: u32, dark: bool, places: &[&str]) {
    let axe = axe();
    let shop = shop::open(&["church-bass", "wet-dry-touring"]).await;
    let browser = Browser::start(width, height, dark).await;
    let mut all: Vec<String> = Vec::new();
    let mut addresses = vec!["/".to_owned(), "/job/wet-dry-touring/deck".to_owned()];
    addresses.extend(places.iter().map(|place| format!("/job/church-bass/{place}")));
    for address in addresses {
        browser.go(&shop.url(&address)).await;
        browser.js(&axe, vec![]).await;
        let found = browser
            .client
            .execute_async(
                "const done = arguments[arguments.length - 1];
                 axe.run(document, { resultTypes: ['violations'], iframes: false }).then(r => done(r.violations.filter(v => ['serious', 'critical'].includes(v.impact)).map(v => v.id + ': ' + v.nodes.slice(0, 3).map(n => n.html.slice(0, 140) + ' | ' + (n.any[0]?.message || '')).join(' ;; '))), e => done([String(e)]))",
                vec![],
            )
            .await
            .expect("axe runs");
        for violation in found.as_array().into_iter().flatten() {
            all.push(format!("{address} {}", violation.as_str().unwrap_or_default()));
        }
    }
    assert_eq!(all, Vec::<String>::new(), "{}", Value::from(all.join("\n")));
}

#[tokio::test(flavor = "multi_thread")]
async fn nothing_serious_on_a_laptop() {
    serious(1440, 900, false, PLACES).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn nothing_serious_on_a_phone_in_the_dark() {
    serious(390, 844, true, PLACES).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn nothing_serious_on_a_laptop_in_the_dark() {
    serious(1440, 900, true, MAIN).await;
}

#[tokio::test(flavor = "multi_thread")]
async fn nothing_serious_on_a_phone() {
    serious(390, 844, false, MAIN).await;
}

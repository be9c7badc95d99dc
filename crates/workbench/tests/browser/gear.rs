//! Gear in minutes: a device is complete in a dozen actions, and the list of what to measure takes what was found.

use serde_json::json;

use crate::browser::Browser;
use crate::shop;

const JOB: &str = "church-bass-corrected";
const UNDO: &str = "return document.querySelector('[data-step=undo] .name')?.textContent";

/// A browser that counts what a person does: each field that is filled, each choice, each press of a button is one action.
struct Counted<'a> {
    browser: &'a Browser,
    actions: usize,
}

impl Counted<'_> {
    async fn types(&mut self, selector: &str, text: &str) {
        self.actions += 1;
        let field = self.browser.find(selector).await;
        field.click().await.expect("click");
        self.browser.js("document.activeElement.select?.()", vec![]).await;
        field.send_keys(text).await.expect("typed");
    }

    async fn chooses(&mut self, selector: &str, word: &str) {
        self.actions += 1;
        let script = "const s = document.querySelector(arguments[0]); s.value = arguments[1]; s.dispatchEvent(new Event('change', { bubbles: true }))";
        self.browser.js(script, vec![json!(selector), json!(word)]).await;
    }

    async fn presses(&mut self, selector: &str) {
        self.actions += 1;
        self.browser.find(selector).await.click().await.expect("click");
    }
}

#[tokio::test(flavor = "multi_thread")]
async fn a_device_is_complete_in_twelve_actions() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/gear"))).await;
    let mut person = Counted { browser: &browser, actions: 0 };
    person.presses("a[href$='add=catalogue']").await;
    browser.until("the search", "return document.querySelector('#catalogue-search') !== null").await;
    person.types("#catalogue-search", "overdrive\u{e007}").await;
    let kind = "[name=kind][value=compact-66x122x56]";
    browser.until("it is found", &format!("return document.querySelector('{kind}') !== null")).await;
    let of = |name: &str| format!("form:has({kind}) [name='{name}']");
    person.types(&of("tag"), "DRV").await;
    person.types(&of("title"), "second drive").await;
    person.types(&of("power.volts"), "9").await;
    person.types(&of("power.current"), "12").await;
    person.chooses(&of("power.sign"), "centre-negative").await;
    person.chooses(&of("signal.bypass"), "hard").await;
    person.presses(&format!("form:has({kind}) button")).await;
    browser.until("it is added", &format!("{UNDO} === 'add DRV'")).await;
    let mass = "tr[data-key=DRV] [data-col='4']";
    browser.until("its row", &format!("return document.querySelector(\"{mass}\") !== null")).await;
    person.types(mass, "380\u{e007}").await;
    browser.until("its mass", &format!("{UNDO} === 'mass of DRV set to 380 g'")).await;
    assert!(person.actions <= 12, "{} actions", person.actions);
    // Name, class, size, supply, and where its jacks are: all that a device needs.
    let job = document::read_text("rig.toml", &shop.text(JOB), None).expect("a rig");
    let device = job.rig.device("DRV").expect("it is there");
    assert!(device.title == "second drive" && device.size.value.is_some() && device.mass.value.is_some());
    let power = &device.power;
    assert!(power.nature.value.is_some() && power.volts.value.is_some() && power.current.value.is_some());
    assert!(power.sign.value.is_some() && device.signal.bypass.value.is_some());
    assert_eq!(device.ports.len(), 3);
    assert!(device.ports.iter().all(|port| port.face.value.is_some() && port.offset.value.is_some()));
    println!("a device in {} actions", person.actions);
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

#[tokio::test(flavor = "multi_thread")]
async fn what_decides_is_listed_and_takes_what_was_found() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/gear"))).await;
    browser.find("a[href$='add=first']").await.click().await.expect("click");
    browser.until("the list", "return document.querySelectorAll('.first-list tbody tr').length > 0").await;
    browser.picture("gear-first-1440-light").await;
    let head = browser.text("#first-head").await;
    assert!(head.contains("decide") && head.contains("change nothing that is judged"), "{head}");
    let before = browser.js("return document.querySelectorAll('.first-list tbody tr').length", vec![]).await;
    // The first that the document can take.
    let field = "const f = [...document.querySelectorAll('.first-list form')].find(f => f.elements.field.value.startsWith('device/')); ";
    let address = browser.js(&format!("{field} return f.elements.field.value"), vec![]).await;
    let value = browser
        .js(&format!("{field} return f.closest('tr').querySelector('.faint').textContent"), vec![])
        .await;
    assert!(value.as_str().is_some_and(|value| value.contains("may be")), "{address} {value}");
    assert!(before.as_u64().is_some_and(|rows| 0 < rows), "{before}");
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

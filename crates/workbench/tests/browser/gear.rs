//! Gear in minutes: a device is complete in a dozen actions, and the list of what to measure takes what was found.

use serde_json::json;

use crate::browser::Browser;
use crate::person::Person;
use crate::photo::laid;
use crate::scene::{Lot, Scene};
use crate::shop;

const JOB: &str = "church-bass-corrected";

#[tokio::test(flavor = "multi_thread")]
async fn a_device_is_complete_in_twelve_actions() {
    let shop = shop::open(&[JOB]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url(&format!("/job/{JOB}/gear"))).await;
    let mut person = Person::at(&browser);
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
    person.undoable("add DRV").await;
    let mass = "tr[data-key=DRV] [data-col='4']";
    browser.until("its row", &format!("return document.querySelector(\"{mass}\") !== null")).await;
    person.types(mass, "380\u{e007}").await;
    person.undoable("mass of DRV set to 380 g").await;
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

/// A device from the catalogue by its class: what it is and what it needs, in one row.
async fn by_class(person: &mut Person<'_>, device: &rig::Device) {
    let kind = device.kind.as_deref().expect("a kind");
    let of = |name: &str| format!("form:has([name=kind][value='{kind}']) [name='{name}']");
    person.types(&of("tag"), &device.tag).await;
    person.types(&of("title"), &device.title).await;
    let power = &device.power;
    if device.role == rig::Role::Pedal {
        let volts = power.volts.value.expect("volts");
        person.types(&of("power.volts"), &volts.to_string()).await;
        let draw = power.current.value.map_or_else(String::new, |draw| draw.get().to_string());
        person.types(&of("power.current"), &draw).await;
        person.chooses(&of("power.sign"), power.sign.value.expect("a sign").word()).await;
        person.chooses(&of("signal.bypass"), device.signal.bypass.value.expect("a bypass").word()).await;
    }
    person.presses(&format!("form:has([name=kind][value='{kind}']) button")).await;
    person.undoable(&format!("add {}", device.tag)).await;
}

/// The gear of an example by rows, by class and from a photo, with nothing but the screens.
#[tokio::test(flavor = "multi_thread")]
async fn the_gear_of_a_whole_board_comes_from_the_screens() {
    let example = shop::example("cabin-board");
    let want = document::read_text("rig.toml", &example, None).expect("the example").rig;
    let device = |tag: &str| want.device(tag).expect("it is in the example");
    let shop = shop::open(&[]).await;
    let browser = Browser::start(1440, 900, false).await;
    browser.go(&shop.url("/")).await;
    browser.find("input[name=title]").await.send_keys("Lake board").await.expect("title");
    browser.find("form[action='/jobs'] button").await.click().await.expect("make");
    browser.until("the brief", "return document.querySelector('h1')?.textContent === 'Lake board'").await;
    let at = |place: &str| shop.url(&format!("/job/lake-board/{place}"));
    let mut person = Person::at(&browser);

    // Three as rows of a spreadsheet, with heads in an order of their own, and sizes in centimetres.
    let mut rows = "draw mA;name;tag;class;volts;w (cm);d (cm);h (cm);weight g;polarity;bypass\n".to_owned();
    for tag in ["A1", "A2", "A4"] {
        let device = device(tag);
        let size = device.size.value.expect("a size");
        let cm = [size.width, size.depth, size.height].map(|side| (side.as_mm() / 10.0).to_string());
        let cells = [
            device.power.current.value.expect("a draw").get().to_string(),
            device.title.clone(),
            tag.to_owned(),
            device.kind.clone().expect("a kind"),
            "9".to_owned(),
            cm.join(";"),
            device.mass.value.expect("a mass").get().to_string(),
            device.power.sign.value.expect("a sign").word().to_owned(),
            device.signal.bypass.value.expect("a bypass").word().to_owned(),
        ];
        rows.push_str(&(cells.join(";") + "\n"));
    }
    browser.go(&at("gear?add=paste")).await;
    person.actions += 1;
    browser.js("document.querySelector('#rows').value = arguments[0]", vec![json!(rows)]).await;
    person.presses("form:has(#rows) button").await;
    let add = "form:has(input[name=rows]) .btn.first";
    browser
        .until("they are understood", &format!("return document.querySelector('{add}')?.disabled === false"))
        .await;
    browser.picture("gear-rows").await;
    person.presses(add).await;
    person.undoable("add 3 rows from a spreadsheet").await;

    // Two by their class.
    for (tag, words) in [("A5", "medium"), ("SUP", "brick")] {
        browser.go(&at(&format!("gear?add=catalogue&words={words}"))).await;
        person.actions += 1;
        by_class(&mut person, device(tag)).await;
    }
    // One from photographs.
    browser.go(&at("gear?add=photo")).await;
    person.actions += 1;
    let drive = device("A3");
    let size = drive.size.value.expect("a size");
    let truth = [size.width, size.depth, size.height].map(quantity::Length::as_mm);
    let scene = Scene::sized(&mut Lot(3), Some(truth));
    person.actions += laid(&browser, &scene, &mut [Lot(11), Lot(12), Lot(12)]).await;
    // How far each length may be off, as the page says it; somebody looks at the points where that is much.
    let within = browser
        .js("return ['size.width', 'size.depth', 'size.height'].map((name) => Number(document.querySelector('#photo-form').elements[`within.${name}`].value))", vec![])
        .await;
    let within: Vec<f64> =
        within.as_array().expect("three").iter().filter_map(serde_json::Value::as_f64).collect();
    assert!(within.len() == 3 && within.iter().all(|mm| (0.1..15.0).contains(mm)), "{within:?}");
    for (name, text) in [("tag", "A3"), ("title", &drive.title), ("power.volts", "9"), ("power.current", "8")]
    {
        person.types(&format!("#photo-form [name='{name}']"), text).await;
    }
    person.chooses("#photo-form [name='power.sign']", "centre-negative").await;
    person.chooses("#photo-form [name='signal.bypass']", "hard").await;
    person.presses("#photo-form [type=submit]").await;
    person.undoable("add A3, measured").await;

    let got = document::read(&shop.folder.path().join("lake-board"), None).expect("a rig").rig;
    for tag in ["A1", "A2", "A3", "A4", "A5", "SUP"] {
        let (want, got) = (device(tag), got.device(tag).unwrap_or_else(|| panic!("{tag} is there")));
        assert_eq!(got.title, want.title, "{tag}");
        let (size, truth) = (got.size.value.expect("a size"), want.size.value.expect("a size"));
        let off = [size.width - truth.width, size.depth - truth.depth, size.height - truth.height];
        let off = off.map(|off| off.as_mm().abs());
        let is_near = |(side, off): (usize, &f64)| *off <= if tag == "A3" { within[side] } else { 0.01 };
        assert!(off.iter().enumerate().all(is_near), "{tag}: {size:?} is not {truth:?}, ± {within:?}");
        assert_eq!(got.power.sign.value, want.power.sign.value, "{tag}");
        assert_eq!(got.power.current.value, want.power.current.value, "{tag}");
        assert_eq!(got.signal.bypass.value, want.signal.bypass.value, "{tag}");
        // Of the drive no picture of the left side was taken.
        let unseen = usize::from(tag == "A3");
        assert_eq!(got.ports.len() + unseen, want.ports.len(), "{tag}");
        assert!(got.ports.iter().all(|port| port.face.value.is_some()), "{tag}");
    }
    println!("six devices in {} actions", person.actions);
    assert_eq!(browser.complaints().await, Vec::<String>::new());
}

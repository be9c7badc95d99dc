//! One whole job in the browser, from an empty shop to the handover: what the guide tells, step by step, with its pictures.
//!
//! The pictures lie in `looks` of the tests' folder as `guide-…`; those in `docs/pictures` are copies of them.

use fantoccini::Locator;
use serde_json::{Value, json};

use crate::browser::Browser;
use crate::person::Person;
use crate::shop;

/// The devices as a builder has them in a spreadsheet.
const ROWS: &str = "\
tag\tname\tkind\tvolts\tdraw mA\tpolarity\tbypass\tweight g
TUN\ttuner\tcompact-42x93x52\t9\t45\tcentre-negative\thard\t240
CMP\tcompressor\tcompact-42x93x52\t9\t8\tcentre-negative\thard\t250
OD\toverdrive\tcompact-66x122x56\t9\t12\tcentre-negative\thard\t380
DS\tdistortion\tcompact-66x122x56\t9\t20\tcentre-negative\thard\t390
CHO\tchorus\tcompact-66x122x56\t9\t30\tcentre-negative\tbuffered\t370
BST\tboost\tcompact-42x93x52\t9\t10\tcentre-negative\thard\t230
ECH\techo\tmedium-120x94x58\t9\t150\tcentre-negative\tbuffered\t600
REV\treverb\tmedium-120x94x58\t9\t180\tcentre-negative\tbuffered\t610
";

#[tokio::test(flavor = "multi_thread")]
async fn one_job_from_brief_to_handover() {
    let shop = shop::open(&[]).await;
    let browser = Browser::start(1440, 900, false).await;
    let mut person = Person::at(&browser);
    let at = |place: &str| shop.url(&format!("/job/orchard-board/{place}"));

    // The brief.
    browser.go(&shop.url("/")).await;
    browser.find("input[name=title]").await.send_keys("Orchard board").await.expect("title");
    person.presses("form[action='/jobs'] button").await;
    browser.until("the brief", "return document.querySelector('h1')?.textContent === 'Orchard board'").await;
    for (field, text, done) in [
        ("#job-player", "Mirle Tann", "player set to Mirle Tann"),
        ("#job-workshop", "Hollow Lane Rigs", "workshop set to Hollow Lane Rigs"),
        ("#job-number", "HL-031", "number set to HL-031"),
        ("#brief-mass_limit", "12", "mass limit set to 12 kg"),
    ] {
        person.fills(field, text).await;
        person.undoable(done).await;
    }
    person.chooses("#board-kind", "frame-600x320").await;
    person.undoable("choose the board").await;
    person.chooses("#leads-signal-cable", "patch-4").await;
    person.undoable("cable of leads signal set to patch-4").await;
    person.chooses("#leads-dc-cable", "dc-0.22").await;
    person.undoable("cable of leads dc set to dc-0.22").await;
    person.chooses("#leads-dc-plug", "barrel-2.1-angled").await;
    person.undoable("plug of leads dc set to barrel-2.1-angled").await;
    for (number, wanted) in
        ["The tuner mutes everything.", "A borrowed pedal can be put in after the distortion."]
            .iter()
            .enumerate()
    {
        person.actions += 1;
        browser.find("#want-new").await.send_keys(&format!("{wanted}\u{e007}")).await.expect("typed");
        person.undoable(&format!("requirement R{}", number + 1)).await;
    }
    browser.js("scrollTo(0, 0)", vec![]).await;
    person.picture("brief").await;

    // The gear: rows, then what the workshop adds.
    browser.go(&at("gear?add=paste")).await;
    browser.js("document.querySelector('#rows').value = arguments[0]", vec![json!(ROWS)]).await;
    person.presses("form:has(#rows) button").await;
    let add = "form:has(input[name=rows]) .btn.first";
    browser
        .until("they are understood", &format!("return document.querySelector('{add}')?.disabled === false"))
        .await;
    person.picture("rows").await;
    person.presses(add).await;
    person.undoable("add 8 rows from a spreadsheet").await;
    for (words, kind, tag) in [
        ("panel", "panel-360x40-pit", "PAN"),
        ("brick", "brick-8x100-2x500", "SUP"),
        ("buffer", "buffer-39x93x31", "BUF"),
    ] {
        browser.go(&at(&format!("gear?add=catalogue&words={words}"))).await;
        let of = |name: &str| format!("form:has([name=kind][value='{kind}']) {name}");
        person.fills(&of("[name=tag]"), tag).await;
        if tag == "BUF" {
            person.fills(&of("[name='power.volts']"), "9").await;
            person.fills(&of("[name='power.current']"), "4").await;
            person.chooses(&of("[name='power.sign']"), "centre-negative").await;
        }
        person.presses(&of("button")).await;
        person.undoable(&format!("add {tag}")).await;
    }
    browser.go(&at("gear")).await;
    person.picture("gear").await;

    // The plate loses what this player has no use for.
    browser.go(&at("panel")).await;
    for jack in ["P2 SEND", "P2 RETURN", "P3 SEND", "P3 RETURN", "DI"] {
        person.presses(&format!("button[aria-label='Take away {jack}']")).await;
        person.undoable(&format!("take PAN.{} away", jack.replace(' ', "_"))).await;
    }
    person.picture("panel").await;

    // The path, from the shelf into the run.
    browser.go(&at("path")).await;
    person.presses("#new-run form button").await;
    person.undoable("add run main").await;
    for stop in [
        "PAN.IN",
        "TUN",
        "CMP",
        "BUF",
        "OD",
        "DS",
        "PAN.P1_SEND",
        "PAN.P1_RETURN",
        "CHO",
        "BST",
        "ECH",
        "REV",
        "PAN.OUT",
    ] {
        person.actions += 1;
        let shelf = "const f = [...document.querySelectorAll('form')].filter(f => f.elements.how?.value === 'insert'); const own = f.find(f => f.elements.stop.type === 'hidden' && f.elements.stop.value === arguments[0]) || f.find(f => f.elements.stop.type !== 'hidden'); own.elements.stop.value = arguments[0]; own.requestSubmit()";
        browser.js(shelf, vec![json!(stop)]).await;
        person.undoable(&format!("insert {stop} into run main")).await;
    }
    person.picture("path").await;

    // Outlets first, so that the places leave room for their plugs.
    browser.go(&at("power")).await;
    person.says("Allocate").await;
    browser
        .until(
            "all are fed",
            "return document.querySelector('#tools').textContent.trim().startsWith('0 without')",
        )
        .await;
    person.picture("power").await;
    browser.go(&at("deck")).await;
    person.says("Arrange").await;
    browser.until("proposals", "return [...document.querySelectorAll('#side .btn')].some(b => b.textContent.startsWith('Take')) && !document.querySelector('#side [data-stop], #side [value=stop]')").await;
    person.picture("arrange").await;
    person.actions += 1;
    browser.js("[...document.querySelectorAll('#side .btn')].find(b => b.textContent.startsWith('Take')).click()", vec![]).await;
    browser.until("they are placed", "return !document.querySelector('.unplaced')").await;
    browser.go(&at("leads")).await;
    person.picture("leads").await;
    browser.go(&at("deck")).await;
    person.picture("deck").await;

    // Nothing stops the board.
    let job = document::read(&shop.folder.path().join("orchard-board"), None).expect("a rig");
    let design = design::derive(job.rig, job.limits).laid();
    let stops: Vec<String> = checks::check(&design)
        .into_iter()
        .filter(finding::Finding::is_open_stop)
        .map(|finding| finding.message)
        .collect();
    assert_eq!(stops, Vec::<String>::new());

    // What to measure first, then the papers of a frozen revision.
    browser.go(&at("gear?add=first")).await;
    browser.until("the list", "return document.querySelectorAll('.first-list tbody tr').length > 0").await;
    person.picture("first").await;
    browser.go(&at("papers")).await;
    person.presses("details.revisions summary").await;
    person.fills("form[action$='/freeze'] [name=why]", "as agreed").await;
    person.fills("form[action$='/freeze'] [name=by]", "Mirle Tann").await;
    person.says("Freeze this revision").await;
    browser
        .until("it is frozen", "return document.querySelector('main').textContent.includes('as agreed')")
        .await;
    person.picture("papers").await;

    // The bench: the first acts on a phone.
    let phone = Browser::start(390, 844, false).await;
    phone.go(&at("build")).await;
    phone.picture("guide-build-phone").await;
    for act in 1..=6 {
        phone.until("an act", "return !!document.querySelector('.tick')").await;
        let before = phone.text(".act h2, .act h1, main h2").await;
        phone.find(".tick").await.click().await.expect("tick");
        person.actions += 1;
        phone
            .until(
                &format!("act {act} is done"),
                &format!(
                    "return (document.querySelector('.act h2, .act h1, main h2')?.innerText ?? '') !== {}",
                    json!(before)
                ),
            )
            .await;
    }
    phone.picture("guide-cut-phone").await;

    // The test sheet, row by row, and signed.
    browser.go(&at("test")).await;
    person.fills("#tester", "O. Fenlo").await;
    let rows =
        browser.js("return [...document.querySelectorAll('.t')].map(t => t.dataset.row)", vec![]).await;
    let rows: Vec<String> =
        rows.as_array().expect("rows").iter().filter_map(Value::as_str).map(str::to_owned).collect();
    assert!(30 < rows.len(), "{rows:?}");
    for row in &rows {
        let select = format!(".t[data-row={}]", json!(row));
        let is = browser
            .js("const t = document.querySelector(arguments[0]); return [t.querySelector('.t-yes') ? 'yes' : t.querySelector('.unit').textContent, t.querySelector('.t-expected b')?.textContent ?? '']", vec![json!(select)])
            .await;
        let (kind, expected) = (is[0].as_str().expect("kind"), is[1].as_str().expect("expected"));
        if kind == "yes" {
            let yes =
                browser.client.find(Locator::Css(&format!("{select} .t-yes button"))).await.expect("yes");
            yes.click().await.expect("click");
        } else {
            let figure = match (kind, expected) {
                ("MΩ", _) => "open",
                ("", _) => "up",
                (_, "") => "1",
                (_, figure) => figure,
            };
            let field = browser.find(&format!("{select} .t-found input[type=text]")).await;
            field.send_keys(&format!("{figure}\u{e007}")).await.expect("typed");
        }
        let told = format!("return !document.querySelector({}).classList.contains('is-due')", json!(select));
        browser.until(&format!("{row} is answered"), &told).await;
    }
    assert_eq!(browser.js("return document.querySelectorAll('.is-failed').length", vec![]).await, json!(0));
    browser.find(".signature button").await.click().await.expect("click");
    let signed = "return document.querySelector('.signature').textContent.includes('Signed by O. Fenlo')";
    browser.until("it is signed", signed).await;
    browser.js("scrollTo(0, 0)", vec![]).await;
    person.picture("test").await;

    // Tonight on the phone, and the book for the player.
    phone.go(&at("fault")).await;
    phone.picture("guide-fault-phone").await;
    browser.go(&at("papers")).await;
    let size = browser
        .client
        .execute_async("const done = arguments[arguments.length - 1]; fetch(document.querySelector('a[download]').href).then(r => r.blob()).then(b => done([b.type, b.size]))", vec![])
        .await
        .expect("download");
    assert_eq!(size[0], json!("application/zip"));
    println!(
        "a job of eleven devices up to its papers, less the rows of the test sheet: {} actions",
        person.actions
    );
    assert!(person.actions <= 110, "{}", person.actions);
    assert_eq!(browser.complaints().await, Vec::<String>::new());
    assert_eq!(phone.complaints().await, Vec::<String>::new());
}

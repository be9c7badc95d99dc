//! What people type: bare figures, fractions, dates; what a row of a spreadsheet leaves out.

use axum::http::StatusCode;

use crate::web::{Answer, Web, example, revision};

async fn edit(web: &Web, base: &str, fields: &[(&str, &str)]) -> Answer {
    let mut all = vec![("base", base), ("here", "/job/a/deck")];
    all.extend_from_slice(fields);
    web.send("/job/a/edit", &all).await
}

#[tokio::test]
async fn a_place_is_typed_as_the_page_fills_it() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    let mut base = "1".to_owned();
    for (x, y, unit, wanted) in [
        ("15.75", "15/64", "in", "x = \"15.75 in\", y = \"15/64 in\""),
        ("5 3/4", "\u{2212}1/2", "in", "x = \"5 3/4 in\", y = \"-1/2 in\""),
        ("268,5", "2", "mm", "x = \"268.5 mm\", y = \"2 mm\""),
        ("10 in", "10\u{202f}000", "mm", "x = \"10 in\", y = \"10000 mm\""),
    ] {
        let fields = [("act", "place"), ("tag", "B4"), ("x", x), ("y", y), ("unit", unit)];
        let answer = edit(&web, &base, &fields).await;
        assert_eq!(answer.status, StatusCode::OK, "{x}, {y}: {}", answer.body);
        base = revision(&answer);
        assert!(web.text("a").contains(wanted), "{wanted}");
    }
    let before = web.text("a");
    let refused = edit(&web, &base, &[("act", "place"), ("tag", "B4"), ("x", "left"), ("y", "2")]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(!refused.body.contains('`') && !refused.body.contains("device."), "{}", refused.body);
    assert_eq!(web.text("a"), before);
}

#[tokio::test]
async fn a_bare_figure_has_the_unit_of_its_field() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    let mut base = "1".to_owned();
    for (field, value, wanted) in [
        ("device/B4/power/volts", "9", "\"9 V\""),
        ("device/B4/power/volts", "9 v", "\"9 V\""),
        ("device/B4/power/current", "12", "\"12 mA\""),
        ("device/B4/mass", "431", "\"431 g\""),
        ("device/B4/port/IN/z", "12k", "\"12 kΩ\""),
        ("brief/mass_limit", "9", "mass_limit = \"9 kg\""),
    ] {
        let fields = [("act", "set"), ("field", field), ("value", value), ("from", "measured")];
        let fields = if field.starts_with("brief") { &fields[..3] } else { &fields[..] };
        let answer = edit(&web, &base, fields).await;
        assert_eq!(answer.status, StatusCode::OK, "{field} {value}: {}", answer.body);
        base = revision(&answer);
        assert!(web.text("a").contains(wanted), "{field} {value}\n{}", web.text("a"));
    }
    let page = web.get("/job/a/gear?pick=B4").await.body;
    assert!(
        page.contains("<span class=\"unit\">mA</span>"),
        "the unit that is meant stands beside the field"
    );
}

#[tokio::test]
async fn a_date_is_a_date_and_a_limit_allows_something() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    let before = web.text("a");
    for (field, value, why) in [
        ("job/date", "tomorrow", "not a date"),
        ("brief/due", "30 February 2026", "not a date"),
        ("brief/mass_limit", "0 kg", "no limit"),
        ("brief/mass_limit", "9000000 kg", "no limit"),
        ("brief/mass_limit", "9 kg20 lb", ""),
        ("brief/carriers", "two", ""),
    ] {
        let refused = edit(&web, "1", &[("act", "set"), ("field", field), ("value", value)]).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{field} {value}: {}", refused.body);
        assert!(refused.body.contains(why) && !refused.body.contains('`'), "{}", refused.body);
    }
    assert_eq!(web.text("a"), before);
    let answer = edit(&web, "1", &[("act", "set"), ("field", "job/date"), ("value", "12 May 2026")]).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    assert!(web.text("a").contains("date = \"2026-05-12\""));
    assert!(answer.body.contains("date set to 2026-05-12"), "{}", answer.body);
}

const ROWS: &str = "tag\tname\twidth\tdepth\theight\tvolts\tcurrent\tsign\n\
                    X1\tdrive\t66\t122\t50\t9\t20\tcentre-negative\n\
                    X2\tdelay\t120\t100\t52\t9\t90\tcentre-negative\n\
                    X3\tshim\t\t\t\t\t\t\n";

#[tokio::test]
async fn pasted_rows_have_the_jacks_of_their_class() {
    let web = Web::with(&[("a", "format = 1\n[job]\ntitle = \"rows\"\n[board]\nkind = \"flat-560x330\"\n")]);
    let answer = edit(&web, "1", &[("act", "paste"), ("rows", ROWS), ("from", "printed")]).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    let job = document::read_text("rig.toml", &web.text("a"), None).expect("read");
    for tag in ["X1", "X2"] {
        let device = job.rig.device(tag).expect("device");
        let names: Vec<&str> = device.ports.iter().map(|port| port.name.as_str()).collect();
        assert_eq!(names.len(), 3, "{names:?}");
        for port in &device.ports {
            assert!(port.offset.is_assumed() && port.height.is_assumed(), "{tag}.{}: {port:?}", port.name);
            assert!(port.connector.is_some());
        }
        let size = device.size.value.expect("size");
        let own = |name: &str| device.port(name).and_then(|port| port.offset.value).expect("offset");
        assert!(own("IN") < size.depth && own("DC") < size.width, "jacks are in the wall");
        // A polarity makes it DC, and nobody said so: assumed.
        assert_eq!(device.power.nature.value, Some(rig::Nature::Dc));
        assert!(device.power.nature.is_assumed());
    }
    // What has no size has jacks that stand nowhere yet.
    let shim = job.rig.device("X3").expect("device");
    assert!(shim.ports.len() == 3 && shim.ports.iter().all(|port| port.offset.is_unknown()));
    assert!(shim.power.nature.is_unknown());
    let preview = web.send("/job/a/gear/preview", &[("rows", ROWS)]).await.body;
    assert!(preview.contains("assumed"), "what will be assumed is said before");
}

/// Rows, a run through them and places: the board can be routed and its outlets allocated with nothing measured.
#[tokio::test]
async fn pasted_rows_are_enough_for_a_run_and_for_power() {
    let text = "format = 1\n[job]\ntitle = \"rows\"\n[board]\nkind = \"flat-560x330\"\n\
                [[device]]\ntag = \"SUP\"\nkind = \"brick-6x100-2x400\"\nplace = { x = \"20 mm\", y = \"200 mm\" }\n\
                [source.guitar]\npickup = \"single-coil\"\n[sink.amp]\nkind = \"valve-amp\"\n";
    let kinds = document::Catalogue::standard().entries();
    let id = |family| {
        let entry = kinds.iter().find(|entry| entry.family == family).expect("a kind");
        entry.id.clone()
    };
    let text = text
        .replace("single-coil", &id(document::Family::Pickup))
        .replace("valve-amp", &id(document::Family::Input));
    let web = Web::with(&[("a", &text)]);
    let rows = ROWS.lines().take(3).collect::<Vec<_>>().join("\n");
    let mut base = "1".to_owned();
    for fields in [
        vec![("act", "paste"), ("rows", rows.as_str()), ("from", "printed")],
        vec![("act", "place"), ("tag", "X1"), ("x", "400"), ("y", "20")],
        vec![("act", "place"), ("tag", "X2"), ("x", "150"), ("y", "20")],
        vec![
            ("act", "run"),
            ("name", "main"),
            ("stop", "guitar"),
            ("stop", "X1"),
            ("stop", "X2"),
            ("stop", "amp"),
        ],
        vec![("act", "allocate")],
    ] {
        let answer = edit(&web, &base, &fields).await;
        assert_eq!(answer.status, StatusCode::OK, "{fields:?}: {}", answer.body);
        base = revision(&answer);
    }
    let job = document::read_text("rig.toml", &web.text("a"), None).expect("read");
    assert!(["X1", "X2"].iter().all(|tag| job.rig.device(tag).is_some_and(|device| device.feed.is_some())));
    let design = design::derive(job.rig, job.limits).laid();
    let patch =
        design.leads.iter().find(|lead| lead.name == "X1.OUT > X2.IN").expect("the lead between them");
    assert!(patch.cut.value.is_some(), "{patch:?}");
}

#[tokio::test]
async fn leads_as_usual_take_what_is_made_for_them() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    let page = web.get("/job/a/brief").await.body;
    let choices = |id: &str| {
        let at = page.find(&format!("<select id=\"{id}\"")).expect("select");
        page[at..].split("</select>").next().unwrap_or_default().to_owned()
    };
    let cables = choices("leads-signal-cable");
    assert!(
        cables.contains("value=\"instrument\"") && !cables.contains("dc-0.22") && !cables.contains("mains")
    );
    let plugs = choices("leads-signal-plug");
    assert!(plugs.contains("jack-flat") && !plugs.contains("barrel-") && !plugs.contains("iec-"), "{plugs}");
    let supply = choices("leads-dc-plug");
    assert!(
        supply.contains("barrel-2.1-angled") && !supply.contains("\"jack-flat\"") && !supply.contains("iec-")
    );
    let mains = choices("leads-mains-plug");
    assert!(mains.contains("iec-c13-straight") && mains.contains("plug-g") && !mains.contains("jack-flat"));
    let before = web.text("a");
    for (field, value, why) in [
        ("leads/signal/cable", "dc-0.22", "no cable for signal leads"),
        ("leads/signal/plug", "barrel-2.1-angled", "no plug for signal leads"),
        ("leads/dc/plug", "iec-c13-straight", "no plug for DC leads"),
    ] {
        let refused = edit(&web, "1", &[("act", "set"), ("field", field), ("value", value)]).await;
        assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{field} {value}");
        assert!(refused.body.contains(why), "{}", refused.body);
    }
    assert_eq!(web.text("a"), before);
}

//! Edits over HTTP: what they write, what they refuse, what they answer.

use axum::http::StatusCode;

use crate::web::{Answer, PLACES, Web, example, revision};

async fn edit(web: &Web, base: &str, fields: &[(&str, &str)]) -> Answer {
    let mut all = vec![("base", base), ("here", "/job/a/deck")];
    all.extend_from_slice(fields);
    web.send("/job/a/edit", &all).await
}

#[tokio::test]
async fn every_place_has_a_page() {
    let web = Web::with(&[
        ("a", &example("wet-dry-touring")),
        ("b", "format = 1\n[job]\ntitle = \"nothing yet\"\n"),
    ]);
    for job in ["a", "b"] {
        for place in PLACES {
            let answer = web.get(&format!("/job/{job}/{place}")).await;
            assert_eq!(answer.status, StatusCode::OK, "{job}/{place}");
            assert!(answer.body.contains("id=\"main\""));
        }
    }
    assert_eq!(web.get("/job/a/nowhere").await.status, StatusCode::NOT_FOUND);
    assert_eq!(web.get("/job/c/deck").await.status, StatusCode::NOT_FOUND);
}

#[tokio::test]
async fn a_move_writes_two_numbers_and_keeps_comments() {
    let before = example("church-bass");
    let web = Web::with(&[("a", &before)]);
    let answer = edit(&web, "1", &[("act", "move"), ("tag", "B4"), ("dx", "-3"), ("dy", "54")]).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    assert_eq!(revision(&answer), "2");
    let after = web.text("a");
    let changed: Vec<(&str, &str)> = before.lines().zip(after.lines()).filter(|(a, b)| a != b).collect();
    assert_eq!(
        changed,
        [(
            "place = { deck = \"main\", x = \"268 mm\", y = \"2 mm\" }",
            "place = { deck = \"main\", x = \"265 mm\", y = \"56 mm\" }"
        )]
    );
    assert!(answer.body.contains("move B4 3 mm left, 54 mm back"));
    let undone = web.send("/job/a/undo", &[("base", "2"), ("here", "/job/a/deck")]).await;
    assert_eq!(undone.status, StatusCode::OK);
    assert_eq!(web.text("a"), before);
}

#[tokio::test]
async fn a_stale_edit_is_refused() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    assert_eq!(edit(&web, "1", &[("act", "lock"), ("tag", "B4")]).await.status, StatusCode::OK);
    let before = web.text("a");
    let answer = edit(&web, "1", &[("act", "lock"), ("tag", "B5")]).await;
    assert_eq!(answer.status, StatusCode::CONFLICT);
    assert!(answer.body.contains("\"now\":2"), "{}", answer.body);
    assert_eq!(web.text("a"), before);
}

#[tokio::test]
async fn nonsense_is_refused_and_nothing_written() {
    let before = example("church-bass");
    let web = Web::with(&[("a", &before)]);
    for fields in [
        vec![("act", "fly")],
        vec![("act", "move"), ("tag", "B4"), ("dx", "1e9"), ("dy", "0")],
        vec![("act", "move"), ("tag", "B99"), ("dx", "1"), ("dy", "0")],
        vec![("act", "set"), ("field", "device/B4/mass"), ("value", "12 V")],
        vec![("act", "set"), ("field", "device/B4/wings"), ("value", "2")],
        vec![("act", "set"), ("field", "board/kind"), ("value", "no-such-board")],
        vec![("act", "set"), ("field", "format"), ("value", "99")],
        vec![("act", "rename"), ("tag", "B4"), ("to", "B5")],
        vec![("act", "rename"), ("tag", "B4"), ("to", "a.b")],
        vec![("act", "add"), ("kind", "no-such-kind")],
        vec![("act", "add"), ("kind", "compact-73x129x59"), ("tag", "amp")],
        vec![("act", "feed"), ("tag", "B4"), ("outlet", "SUP.99")],
        vec![("act", "stops"), ("run", "main"), ("how", "move"), ("at", "99"), ("to", "0")],
        vec![("act", "stops"), ("run", "main"), ("how", "insert"), ("at", "1"), ("stop", "no such stop")],
        vec![("act", "accept"), ("rule", "outlet-load"), ("device", "B4"), ("reason", "  ")],
        vec![("act", "cure"), ("rule", "outlet-load"), ("device", "B1")],
        vec![("act", "place"), ("tag", "B4"), ("deck", "attic"), ("x", "1"), ("y", "1")],
    ] {
        let answer = edit(&web, "1", &fields).await;
        assert_eq!(answer.status, StatusCode::UNPROCESSABLE_ENTITY, "{fields:?}: {}", answer.body);
        assert!(answer.body.contains("refused"), "{fields:?}");
    }
    assert_eq!(web.text("a"), before);
}

#[tokio::test]
async fn each_act_does_what_it_says() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    let mut base = 1;
    let acts: Vec<(Vec<(&str, &str)>, &str)> = vec![
        (vec![("act", "add"), ("kind", "compact-66x122x50"), ("title", "spare drive")], "tag = \"A1\""),
        (vec![("act", "rename"), ("tag", "A1"), ("to", "SPR")], "tag = \"SPR\""),
        (
            vec![("act", "place"), ("tag", "SPR"), ("x", "400"), ("y", "200")],
            "x = \"400 mm\", y = \"200 mm\"",
        ),
        (vec![("act", "turn"), ("tag", "SPR")], "turn = 90"),
        (vec![("act", "lock"), ("tag", "SPR")], "locked = true"),
        (
            vec![("act", "set"), ("field", "device/SPR/mass"), ("value", "431 g"), ("from", "measured")],
            "mass = { is = \"431 g\", from = \"measured\" }",
        ),
        (vec![("act", "feed"), ("tag", "SPR"), ("outlet", "SUP.6")], "outlets = [\"SUP.6\"]"),
        (
            vec![("act", "stops"), ("run", "main"), ("how", "insert"), ("at", "3"), ("stop", "SPR")],
            "\"B2\", \"SPR\", \"B4\"",
        ),
        (
            vec![("act", "stops"), ("run", "main"), ("how", "move"), ("at", "3"), ("to", "4")],
            "\"B2\", \"B4\", \"SPR\"",
        ),
        (
            vec![("act", "lead"), ("lead", "B4.OUT > SPR.IN"), ("key", "cut"), ("value", "235")],
            "cut = \"235 mm\"",
        ),
        (
            vec![
                ("act", "end"),
                ("list", "source"),
                ("id", "voice"),
                ("kind", "single-coil"),
                ("lead", "5 m"),
            ],
            "[source.voice]",
        ),
        (vec![("act", "run"), ("name", "second"), ("stop", "voice"), ("stop", "desk")], "name = \"second\""),
        (vec![("act", "run-away"), ("run", "second")], "name = \"main\""),
        (vec![("act", "end-away"), ("list", "source"), ("id", "voice")], "[sink.amp]"),
        (vec![("act", "requirement"), ("text", "It says \"quiet\" and means it.")], "id = \"R6\""),
        (
            vec![
                ("act", "accept"),
                ("rule", "outlet-load"),
                ("device", "B4"),
                ("device", "SUP"),
                ("reason", "he owns it"),
            ],
            "reason = \"he owns it\"",
        ),
        (
            vec![
                ("act", "paste"),
                ("rows", "tag\tname\twidth\nX1\tone\t60\nX2\ttwo\t70\n"),
                ("from", "printed"),
            ],
            "width = \"70 mm\"",
        ),
        (vec![("act", "away"), ("tag", "SPR")], "tag = \"X2\""),
    ];
    for (fields, wanted) in acts {
        let answer = edit(&web, &base.to_string(), &fields).await;
        assert_eq!(answer.status, StatusCode::OK, "{fields:?}: {}", answer.body);
        base += 1;
        let text = web.text("a");
        assert!(text.contains(wanted), "{fields:?}\n{text}");
        assert!(text.contains("# Plate at the back edge"), "comments stay");
    }
    let text = web.text("a");
    assert!(!text.contains("SPR"), "{text}");
    // All of it can be taken back, one by one, to the very text.
    let many = base - 1;
    for _ in 0..many {
        let answer = web.send("/job/a/undo", &[("base", &base.to_string())]).await;
        assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
        base += 1;
    }
    assert_eq!(web.text("a"), example("church-bass"));
}

#[tokio::test]
async fn a_remedy_is_one_press() {
    // An acceptance that matches nothing is cured by taking it away.
    let text = example("church-bass")
        + "\n[[accept]]\nrule = \"clearance\"\ndevices = [\"B4\", \"B5\"]\nreason = \"was so once\"\n";
    let web = Web::with(&[("a", &text)]);
    let page = web.get("/job/a/gear").await.body;
    let at = page.find("name=\"act\" value=\"cure\"").expect("a finding with a remedy");
    let form = &page[at..at + page[at..].find("</form>").expect("form ends")];
    let value = |name: &str| -> Vec<&str> {
        form.split(&format!("name=\"{name}\" value=\""))
            .skip(1)
            .filter_map(|rest| rest.split('"').next())
            .collect()
    };
    let mut fields = vec![("act", "cure"), ("rule", value("rule")[0])];
    fields.extend(value("device").into_iter().map(|device| ("device", device)));
    let answer = edit(&web, "1", &fields).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    assert!(!web.text("a").contains("was so once"), "{}", web.text("a"));
}

#[tokio::test]
async fn only_what_changed_is_sent() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    let page = web.get("/job/a/panel").await.body;
    // Not the deck: a sum of its strip comes later by itself.
    let have: Vec<String> = ["bar", "places", "tools", "main", "side"]
        .into_iter()
        .map(|id| {
            let at = page.find(&format!("id=\"{id}\"")).expect("fragment");
            let rest = &page[at..];
            let hash =
                rest.split("data-hash=\"").nth(1).and_then(|rest| rest.split('"').next()).expect("hash");
            format!("{id}:{hash}")
        })
        .collect();
    let request = axum::http::Request::get("/job/a/panel")
        .header("host", crate::web::HOST)
        .header("accept", "application/json")
        .header("x-have", have.join(","))
        .body(axum::body::Body::empty())
        .expect("request");
    let answer = web.ask(request).await;
    assert!(answer.body.contains("\"fragments\":[]"), "{}", &answer.body[..answer.body.len().min(400)]);
}

#[tokio::test]
async fn a_kind_that_is_kept_is_in_the_catalogue_afterwards() {
    let web = Web::with(&[("a", &example("church-bass"))]);
    let fields = [
        ("base", "1"),
        ("here", "/job/a/gear"),
        ("act", "measure"),
        ("tag", "OWN"),
        ("title", "Tin, small"),
        ("keep", "yes"),
        ("size.width", "60"),
        ("size.depth", "111"),
        ("size.height", "31"),
        ("port1.name", "IN"),
        ("port1.role", "in"),
        ("port1.connector", "jack-6.35-ts"),
        ("port1.face", "right"),
        ("port1.offset", "80"),
    ];
    let answer = web.send("/job/a/measure", &fields).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    assert!(web.text("a").contains("kind = \"tin-small\""));
    let own = std::fs::read_to_string(web.folder.path().join("catalogue/own.toml")).expect("catalogue");
    assert!(own.contains("[device.tin-small]") && own.contains("offset = \"80 mm\""), "{own}");
    assert!(web.get("/job/a/gear?add=catalogue&words=tin").await.body.contains("tin-small"));
}

#[tokio::test]
async fn a_tie_point_is_put_where_it_makes_the_way_longer_by_the_least() {
    let web = Web::with(&[("a", &example("church-bass-corrected"))]);
    let act = async |act: &str, base: &str, more: &[(&str, &str)]| {
        let mut fields = vec![("base", base), ("here", "/job/a/leads"), ("act", act), ("lead", "L07")];
        fields.extend_from_slice(more);
        web.send("/job/a/edit", &fields).await
    };
    let ties = || {
        let text = web.text("a");
        text.lines().find(|line| line.starts_with("ties = ")).map(str::to_owned)
    };
    // L07 runs from B6 at the left to B8 further right: a point left of another comes before it.
    assert_eq!(act("tie", "1", &[("x", "250"), ("y", "160"), ("unit", "mm")]).await.status, StatusCode::OK);
    assert_eq!(act("tie", "2", &[("x", "100 mm"), ("y", "150 mm")]).await.status, StatusCode::OK);
    assert_eq!(ties().as_deref(), Some("ties = [\"100 mm, 150 mm\", \"250 mm, 160 mm\"]"));
    // Inches stay inches, and the others as they stand.
    assert_eq!(
        act("tie", "3", &[("x", "12 1/2 in"), ("y", "6"), ("unit", "in")]).await.status,
        StatusCode::OK
    );
    assert_eq!(
        ties().as_deref(),
        Some("ties = [\"100 mm, 150 mm\", \"250 mm, 160 mm\", \"12 1/2 in, 6 in\"]")
    );
    assert_eq!(act("untie", "4", &[("at", "2")]).await.status, StatusCode::OK);
    // What is no length, no lead or no tie is refused, and nothing is written.
    let before = web.text("a");
    assert_ne!(act("tie", "5", &[("x", "left"), ("y", "1")]).await.status, StatusCode::OK);
    assert_ne!(act("untie", "5", &[("at", "2")]).await.status, StatusCode::OK);
    assert_ne!(act("untie", "5", &[("at", "-1")]).await.status, StatusCode::OK);
    assert_eq!(web.text("a"), before);
    assert_eq!(act("untie", "5", &[("at", "0")]).await.status, StatusCode::OK);
    assert_eq!(ties().as_deref(), Some("ties = [\"250 mm, 160 mm\"]"));
    assert_eq!(act("untie", "6", &[("at", "0")]).await.status, StatusCode::OK);
    assert_eq!(ties(), None);
}

#[tokio::test]
async fn a_stop_moves_between_runs_or_is_refused() {
    let web = Web::with(&[("a", &example("cabin-board-corrected"))]);
    let act = async |base: &str, at: &str, run: &str, into: &str| {
        let fields = [
            ("base", base),
            ("here", "/job/a/path"),
            ("act", "stops"),
            ("how", "move"),
            ("run", run),
            ("into", into),
            ("at", at),
            ("to", "1"),
        ];
        web.send("/job/a/edit", &fields).await
    };
    let before = web.text("a");
    // The feed to the desk has two stops: neither can leave it.
    assert_ne!(act("1", "0", "desk feed", "main").await.status, StatusCode::OK);
    assert_ne!(act("1", "1", "main", "nowhere").await.status, StatusCode::OK);
    assert_ne!(act("1", "99", "main", "desk feed").await.status, StatusCode::OK);
    assert_eq!(web.text("a"), before);
    assert_eq!(act("1", "2", "main", "desk feed").await.status, StatusCode::OK);
    assert!(web.text("a").contains("stops = [\"A5.XLR\", \"A2\", \"desk\"]"));
    assert!(web.text("a").contains("stops = [\"guitar\", \"A1\", \"A3\""));
}

/// A splitter outlives a device at one of its ends: its number, and the letters of its other legs.
#[tokio::test]
async fn a_splitter_outlives_one_of_its_devices() {
    let pedal = |tag: &str| {
        format!(
            "[[device]]\ntag = \"{tag}\"\nkind = \"compact-66x122x50\"\nfeed = {{ outlets = [\"SUP.1\"] }}\n"
        )
    };
    let text = format!(
        "format = 1\n[job]\ntitle = \"splitter\"\n[board]\nkind = \"flat-560x330\"\n[[device]]\ntag = \"SUP\"\nkind = \"brick-4x100-1x500\"\n{}{}{}[[lead]]\nends = [\"SUP.1\", \"A1.DC\", \"A2.DC\", \"A3.DC\"]\ntag = \"D05\"\nlegs = {{ \"A2.DC\" = \"200 mm\", \"A3.DC\" = \"300 mm\" }}\n",
        pedal("A1"),
        pedal("A2"),
        pedal("A3")
    );
    let web = Web::with(&[("a", &text)]);
    let answer = edit(&web, "1", &[("act", "away"), ("tag", "A2")]).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    let after = web.text("a");
    assert!(after.contains("ends = [\"SUP.1\", \"A1.DC\", \"-\", \"A3.DC\"]"), "{after}");
    assert!(after.contains("tag = \"D05\"") && !after.contains("retired"), "{after}");
    assert!(after.contains("\"A3.DC\" = \"300 mm\"") && !after.contains("200 mm"), "{after}");
    let answer = edit(&web, &revision(&answer), &[("act", "away"), ("tag", "A1")]).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    let after = web.text("a");
    assert!(after.contains("ends = [\"SUP.1\", \"-\", \"-\", \"A3.DC\"]"), "{after}");
    assert!(after.contains("tag = \"D05\"") && after.contains("\"A3.DC\" = \"300 mm\""), "{after}");
    // Without its supply nothing is left of it.
    let answer = edit(&web, &revision(&answer), &[("act", "away"), ("tag", "SUP")]).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    assert!(web.text("a").contains("retired = [\"D05\"]"), "{}", web.text("a"));
}

#[tokio::test]
async fn a_lead_that_goes_with_its_device_keeps_its_number_from_others() {
    // The numbers of the example go, so that these are the only ones.
    let own = |line: &&str| !line.starts_with("tag = \"L");
    let mut text: String = example("church-bass").lines().filter(own).flat_map(|line| [line, "\n"]).collect();
    for (end, number) in [("B4.IN", "L90"), ("B3.IN", "L91"), ("B5.IN", "L92")] {
        text = text.replace(&format!("to = \"{end}\"\n"), &format!("to = \"{end}\"\ntag = \"{number}\"\n"));
    }
    let web = Web::with(&[("a", &text)]);
    let answer = edit(&web, "1", &[("act", "away"), ("tag", "B4")]).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    let after = web.text("a");
    assert!(
        after.contains("retired = [\"L90\", \"L91\", \"D03\"]") && !after.contains("from = \"B4.OUT\""),
        "{after}"
    );
    // Its supply lead went too. A second one that goes adds to them.
    let answer = edit(&web, &revision(&answer), &[("act", "away"), ("tag", "B3")]).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    assert!(web.text("a").contains("retired = [\"L90\", \"L91\", \"D03\", \"L92\"]"), "{}", web.text("a"));
}

#[tokio::test]
async fn a_device_that_goes_leaves_what_switched_it() {
    let switching = |name: &str, devices: &str| {
        format!("[[switching]]\nname = \"{name}\"\nway = \"together\"\ndevices = [{devices}]\n")
    };
    let text = example("church-bass")
        + "\n"
        + &switching("solo", "\"B4\", \"B5\", \"B6\"")
        + &switching("quiet", "\"B3\", \"B7\"");
    let web = Web::with(&[("a", &text)]);
    assert!(web.get("/job/a/brief").await.body.contains("Switches that work several"));
    let answer = edit(&web, "1", &[("act", "away"), ("tag", "B4")]).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    assert!(web.text("a").contains("devices = [\"B5\", \"B6\"]"), "{}", web.text("a"));
    // What is left alone is switched by itself.
    let answer = edit(&web, &revision(&answer), &[("act", "away"), ("tag", "B3")]).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    let after = web.text("a");
    assert!(!after.contains("name = \"quiet\"") && after.contains("name = \"solo\""), "{after}");
}

#[tokio::test]
async fn a_wish_is_added_judged_and_taken_away() {
    let text = example("church-bass");
    let web = Web::with(&[("a", &text)]);
    let cases: &[(&[(&str, &str)], &str)] = &[
        (&[("wish", "order"), ("of", "B2, B5")], "{ order = [\"B2\", \"B5\"] }"),
        (&[("wish", "place/front-row"), ("of", "B5")], "{ place = \"front-row\", of = [\"B5\"] }"),
        (&[("wish", "beside"), ("of", "B5 B6")], "{ beside = [\"B5\", \"B6\"] }"),
        (&[("wish", "together"), ("of", "B2,B5,B6")], "{ together = [\"B2\", \"B5\", \"B6\"] }"),
        (
            &[("wish", "apart"), ("of", "B2, B5"), ("measure", "120")],
            "{ apart = [\"B2\", \"B5\"], by = \"120 mm\" }",
        ),
        (
            &[("wish", "spare"), ("measure", "90 × 150 mm")],
            "{ spare = { width = \"90 mm\", depth = \"150 mm\" } }",
        ),
        (&[("wish", "spare"), ("measure", "3x5 in")], "width = \"76.2 mm\", depth = \"127 mm\""),
        (&[("wish", "mass/cased"), ("measure", "12")], "{ mass = \"12 kg\", cased = true }"),
        (&[("wish", "mono"), ("sink", "desk")], "{ mono = \"desk\" }"),
        (&[("wish", "plays"), ("sink", "desk"), ("of", "B5")], "{ plays = \"desk\", without = [\"B5\"] }"),
        (&[("wish", "use/often"), ("of", "B5")], "{ use = \"often\", of = [\"B5\"] }"),
    ];
    let mut base = "1".to_owned();
    for (fields, wanted) in cases {
        let mut form = vec![("act", "wish"), ("id", "R4")];
        form.extend_from_slice(fields);
        let answer = edit(&web, &base, &form).await;
        assert_eq!(answer.status, StatusCode::OK, "{wanted}: {}", answer.body);
        base = revision(&answer);
        assert!(web.text("a").contains(wanted), "{wanted}: {}", web.text("a"));
    }
    let written = web.text("a");
    for (fields, why) in [
        (&[("wish", "order"), ("of", "B2")][..], "two devices or more"),
        (&[("wish", "order"), ("of", "B2, NO1")], "“NO1” is not a device of this board"),
        (&[("wish", "beside"), ("of", "B2, B5, B6")], "name the two"),
        (&[("wish", "apart"), ("of", "B2, B5"), ("measure", "far")], "how far apart"),
        (&[("wish", "spare"), ("measure", "90 mm")], "a width and a depth"),
        (&[("wish", "place/attic"), ("of", "B2")], "there is no wish “place”"),
        (&[("wish", "mono"), ("sink", "moon")], "no amp or desk"),
    ] {
        let mut form = vec![("act", "wish"), ("id", "R4")];
        form.extend_from_slice(fields);
        let answer = edit(&web, &base, &form).await;
        assert!(answer.status.is_client_error() && answer.body.contains(why), "{why}: {}", answer.body);
    }
    assert_eq!(web.text("a"), written, "what is refused changes nothing");
    let answer = edit(&web, &base, &[("act", "wish-away"), ("id", "R4"), ("at", "0")]).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    assert!(web.text("a").len() < written.len());
}

#[tokio::test]
async fn wishes_outlive_edits_of_the_prose_and_go_with_what_they_name() {
    let text = example("church-bass").replace("\"B7\"] }", "\"B7\"], run = \"desk feed\" }");
    let web = Web::with(&[("a", &text)]);
    let page = web.get("/job/a/brief").await.body;
    assert!(page.contains("met: the tuner and mute (B2) at the right end"), "{page}");
    let prose = [("act", "requirement"), ("id", "R1"), ("text", "Mute is found blind.")];
    let answer = edit(&web, "1", &prose).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    let after = web.text("a");
    let wants = "\"Mute is found blind.\", wants = [\n    { place = \"by-feel\", of = [\"B2\"] },";
    assert!(after.contains(wants), "{after}");
    let answer = edit(&web, &revision(&answer), &[("act", "rename"), ("tag", "B2"), ("to", "TUN")]).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    assert!(web.text("a").contains("{ place = \"right-end\", of = [\"TUN\"] }"), "{}", web.text("a"));
    let answer = edit(&web, &revision(&answer), &[("act", "away"), ("tag", "TUN")]).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    assert!(!web.text("a").contains("right-end"), "{}", web.text("a"));
    // The run goes, and the order that was judged on it; what is heard at the desk is another wish.
    let answer = edit(&web, &revision(&answer), &[("act", "run-away"), ("run", "desk feed")]).await;
    assert_eq!(answer.status, StatusCode::OK, "{}", answer.body);
    let after = web.text("a");
    assert!(!after.contains("order = ") && after.contains("mono = \"desk\""), "{after}");
}

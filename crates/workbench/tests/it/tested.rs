//! The Test place: answers are read, judged and kept; a changed lead makes its rows due again; recordings are read or refused.

use axum::body::Body;
use axum::http::{Request, StatusCode, header};
use takes::wav::Depth;

use crate::recorded::recording;
use crate::web::{Answer, HOST, Web};

pub(crate) const RIG: &str = include_str!("rigs/three.toml");

async fn answer(web: &Web, row: &str, is: &str) -> Answer {
    let fields = [("act", "answer"), ("row", row), ("is", is), ("by", "O. Fenlo"), ("here", "/job/a/test")];
    web.send("/job/a/answer", &fields).await
}

/// The ids of all rows, in their order.
async fn rows(web: &Web) -> Vec<String> {
    let page = web.get("/job/a/test").await.body;
    page.split("data-row=\"")
        .skip(1)
        .map(|rest| rest.split('"').next().unwrap_or_default().replace("&gt;", ">").replace("&amp;", "&"))
        .collect()
}

/// How a row stands, as the page has it.
async fn state(web: &Web, row: &str) -> String {
    let page = web.get("/job/a/test").await.body;
    let before = page.split(&format!("data-row=\"{row}\"")).next().expect("the row").to_owned();
    let class = before.rsplit("class=\"t is-").next().expect("its class");
    class.split('"').next().unwrap_or_default().to_owned()
}

#[tokio::test]
async fn an_answer_is_judged_at_once_and_a_changed_lead_is_due_again() {
    let web = Web::with(&[("a", RIG)]);
    assert_eq!(state(&web, "ohm:L02").await, "due");
    // A bare figure is in the unit beside its field, with either sign for the decimals.
    assert_eq!(answer(&web, "ohm:L02", "0,11").await.status, StatusCode::OK);
    assert_eq!(state(&web, "ohm:L02").await, "passed");
    assert_eq!(answer(&web, "ohm:L02", "3 ohm").await.status, StatusCode::OK);
    assert_eq!(state(&web, "ohm:L02").await, "failed");
    let refused = answer(&web, "pf:L02", "38 banana").await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{}", refused.body);
    assert!(refused.body.contains("banana"), "{}", refused.body);
    assert_eq!(state(&web, "pf:L02").await, "due");
    assert_eq!(answer(&web, "leak:L02", "open").await.status, StatusCode::OK);
    assert_eq!(answer(&web, "leak:L02", "").await.status, StatusCode::OK);
    assert_eq!(state(&web, "leak:L02").await, "due", "an answer is taken back");
    assert_eq!(answer(&web, "leak:L02", "200").await.status, StatusCode::OK);
    assert_eq!(
        state(&web, "leak:L02").await,
        "passed",
        "a figure of what is between conductors is in megohms"
    );
    assert_eq!(answer(&web, "no:such", "yes").await.status, StatusCode::NOT_FOUND);
    // The lead is made again, longer.
    let path = web.folder.path().join("a/rig.toml");
    std::fs::write(&path, RIG.replace("30 cm", "90 cm")).expect("written");
    let page = web.get("/job/a/test").await.body;
    assert_eq!(state(&web, "leak:L02").await, "due", "the lead is another one");
    assert!(page.contains("cut 300 mm, is cut 900 mm"), "it says what changed");
}

#[tokio::test]
async fn nothing_is_signed_while_a_row_is_due_and_a_later_answer_undoes_the_signature() {
    let web = Web::with(&[("a", RIG)]);
    let sign = [("act", "sign"), ("by", "O. Fenlo"), ("here", "/job/a/test")];
    let refused = web.send("/job/a/answer", &sign).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY, "{}", refused.body);
    for row in rows(&web).await {
        let figures = ["open", "0.1 ohm", "yes", "up"];
        let mut done = false;
        for figure in figures {
            done = answer(&web, &row, figure).await.status == StatusCode::OK
                && state(&web, &row).await != "failed";
            if done {
                break;
            }
        }
        if !done {
            // Of what has a figure in picofarads, what does not pass is answered for.
            let fields = [
                ("act", "answer"),
                ("row", row.as_str()),
                ("is", "1 pF"),
                ("by", "O. Fenlo"),
                ("because", "the meter is broken"),
                ("here", "/job/a/test"),
            ];
            assert_eq!(web.send("/job/a/answer", &fields).await.status, StatusCode::OK, "{row}");
            assert_eq!(state(&web, &row).await, "answered-for");
        }
    }
    let signed = web.send("/job/a/answer", &sign).await;
    assert_eq!(signed.status, StatusCode::OK, "{}", signed.body);
    let page = web.get("/job/a/test").await.body;
    assert!(
        page.contains("<b>Signed</b> by O. Fenlo") && page.contains("revision B"),
        "signed at its revision"
    );
    answer(&web, "ohm:L02", "0.2 ohm").await;
    let page = web.get("/job/a/test").await.body;
    assert!(page.contains("results have changed since"), "it is another sheet now");
}

async fn drop(web: &Web, name: &str, bytes: Vec<u8>) -> Answer {
    let request = Request::post(format!("/job/a/takes?name={name}"))
        .header(header::HOST, HOST)
        .header(header::ORIGIN, format!("http://{HOST}"))
        .header(header::CONTENT_TYPE, "audio/wav")
        .body(Body::from(bytes))
        .expect("request");
    web.ask(request).await
}

#[tokio::test]
async fn recordings_are_kept_matched_drawn_and_handed_out() {
    let web = Web::with(&[("a", RIG)]);
    let refused = drop(&web, "noise.wav", vec![1; 5_000]).await;
    assert_eq!(refused.status, StatusCode::UNPROCESSABLE_ENTITY);
    assert!(refused.body.contains("no WAV file"), "{}", refused.body);
    assert_eq!(drop(&web, "straight.wav", recording(None, Depth::Pcm24)).await.status, StatusCode::OK);
    let kept = drop(&web, "everything%20bypassed.wav", recording(Some(3_000.0), Depth::Pcm24)).await;
    assert_eq!(kept.status, StatusCode::OK, "{}", kept.body);
    let page = web.get("/job/a/test").await.body;
    assert!(page.contains("by the name of the file"), "its name is that of the state");
    assert!(page.contains("What would explain it"), "a board that is dull is not as expected");
    let svg = web.get("/job/a/takes/everything-bypassed.svg").await;
    assert!(
        svg.body.starts_with("<svg") || svg.body.contains("<svg"),
        "{}",
        &svg.body[..80.min(svg.body.len())]
    );
    assert!(svg.body.contains("measured") && svg.body.contains("expected"));
    assert!(web.get("/job/a/takes/everything-bypassed-silence.svg").await.body.contains("straight lead"));
    let csv = web.get("/job/a/takes/everything-bypassed.csv").await.body;
    assert!(csv.starts_with("frequency_hz,measured_db,expected_db,tolerance_db\n"));
    // One pole at 3 kHz takes 3 dB there.
    let at = |hertz: f64| {
        let line = csv.lines().skip(1).map(|line| line.split(',').map(str::to_owned).collect::<Vec<_>>());
        let near = line.min_by(|a, b| {
            let off = |line: &[String]| libm::log(line[0].parse::<f64>().expect("a figure") / hertz).abs();
            off(a).total_cmp(&off(b))
        });
        near.expect("a line")[1].parse::<f64>().expect("a figure")
    };
    assert!((at(3_000.0) + 3.01).abs() < 0.3, "{}", at(3_000.0));
    assert_eq!(web.get("/job/a/takes/nobody.csv").await.status, StatusCode::NOT_FOUND);
    // What it says are rows of the sheet: dull, the right way round, as quiet as the straight lead, without hum.
    let recorded: Vec<String> =
        rows(&web).await.into_iter().filter(|row| row.starts_with("recorded-")).collect();
    let row = |of: &str| {
        let is_it = |row: &&String| {
            row.starts_with(&format!("recorded-{of}:")) && row.ends_with("everything bypassed")
        };
        recorded.iter().find(is_it).unwrap_or_else(|| panic!("{of} among {recorded:?}")).clone()
    };
    assert_eq!(recorded.len(), 4, "{recorded:?}");
    for (of, is) in [("response", "failed"), ("polarity", "passed"), ("noise", "passed"), ("hum", "passed")] {
        assert_eq!(state(&web, &row(of)).await, is, "{of}");
    }
    // Another lead, and what was recorded is of another board.
    std::fs::write(web.folder.path().join("a/rig.toml"), RIG.replace("30 cm", "90 cm")).expect("written");
    assert_eq!(state(&web, &row("response")).await, "due");
    std::fs::write(web.folder.path().join("a/rig.toml"), RIG).expect("written");
    let dropped = [("act", "drop"), ("name", "everything-bypassed"), ("here", "/job/a/test")];
    assert_eq!(web.send("/job/a/answer", &dropped).await.status, StatusCode::OK);
    assert!(rows(&web).await.iter().all(|row| !row.starts_with("recorded-")), "what is gone says nothing");
    assert_eq!(web.get("/job/a/takes/everything-bypassed.csv").await.status, StatusCode::NOT_FOUND);
}

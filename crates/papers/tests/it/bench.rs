//! Papers at the bench: type that can be read, title blocks that tell one issue from another, leads that harm.

use design::derive;
use papers::{PAPERS, PaperSize, PapersInput, SignalWay, StateLevels};
use quantity::Volts;
use rig::{FeedKind, Limits, Nature, PortRef, Provenance, Rig, Sign};

use super::reading::{sizes, text};
use super::{board, findings, input, one, rigs};

/// Where the strip with the title block begins on an upright and on a lying A4 sheet, from the top.
const STRIP: [f64; 2] = [297.0 - 10.0 - 20.0, 210.0 - 10.0 - 20.0];

#[test]
fn bench_papers_are_set_in_eleven_points_or_more() {
    let (design, findings) = (board(), findings());
    let ways = ways();
    for name in ["brief", "path", "power", "leads", "panel", "bill", "order", "tests", "handover", "findings"]
    {
        let paper = one(&PapersInput { ways: &ways, ..input(&design, &findings, PaperSize::A4) }, name);
        let upright = matches!(name, "order" | "tests" | "handover");
        let strip = STRIP[usize::from(!upright)];
        let all = sizes(&paper.pdf);
        let read: Vec<_> = all.iter().filter(|(_, top, ..)| *top < strip - 2.0).collect();
        assert!(read.len() > 10, "{name} has text to measure: {}", read.len());
        for (page, top, size, words) in read {
            // The bar measures paper, and the signs beside a barrel are a symbol.
            if words.contains("100 mm: measure it") || ["+", "−", "?"].contains(&words.trim()) {
                continue;
            }
            // What goes with the board has its drawings in 8 pt; whoever works from a paper reads 11.
            let least = if name == "handover" { 7.9 } else { 10.9 };
            assert!(*size >= least, "page {page} of {name}, {top:.0} mm down: `{words}` has {size} pt");
        }
    }
}

#[test]
fn every_page_says_which_issue_it_is_and_which_it_replaces() {
    let (design, findings) = (board(), findings());
    for kind in PAPERS {
        let paper = one(&input(&design, &findings, PaperSize::A4), kind.name);
        if kind.name == "pocket" {
            // Folded small, it has no title block: its first small page says which revision it is.
            assert!(text(&paper.pdf, 1, 1).contains("revision C"), "the pocket fold says its revision");
            continue;
        }
        for page in 1..=paper.pages {
            let words = text(&paper.pdf, page, page);
            for wanted in ["Revision", "Supersedes", "all before C"] {
                assert!(words.contains(wanted), "page {page} of {} says `{wanted}`: {words}", kind.name);
            }
            let count = format!("{page} of {}", paper.pages);
            assert!(words.contains(&count), "page {page} of {} counts itself", kind.name);
        }
    }
}

/// `FUZ` behind a crossing lead, `OCT` on two outlets in series, `VOL` on AC.
fn harmful() -> Rig {
    let mut rig = rigs::two_decks();
    for device in &mut rig.devices {
        let Some(feed) = &mut device.feed else { continue };
        match device.tag.as_str() {
            "FUZ" => {
                feed.crossing = true;
                device.power.sign = rigs::measured(Sign::CentrePositive);
            }
            "OCT" => {
                feed.kind = FeedKind::SeriesPair;
                feed.outlets.push(PortRef::new("SUP", "8"));
                device.power.volts = rigs::measured(quantity::Window::exactly(Volts::of(18.0)));
            }
            "VOL" => device.power.nature = rigs::measured(Nature::Ac),
            _ => {}
        }
    }
    let supply = rig.devices.iter_mut().find(|device| device.tag == "SUP").expect("the supply");
    supply.outlets[3].nature = rigs::measured(Nature::Ac);
    rig
}

#[test]
fn leads_that_harm_are_warned_of_and_tagged_at_both_ends() {
    let design = derive(harmful(), Limits::default());
    let power = one(&input(&design, &[], PaperSize::A4), "power");
    let pages = text(&power.pdf, 1, power.pages);
    let line = |words: &str| {
        pages.lines().find(|line| line.contains(words)).unwrap_or_else(|| panic!("`{words}`: {pages}"))
    };
    for (device, never) in [
        ("FUZ", "swaps the polarity for FUZ: put it into no other device"),
        ("FUZ", "is centre positive, for FUZ alone"),
        ("OCT", "carries 18 V, from SUP.3 and SUP.8 in series: put it into OCT"),
        ("VOL", "carries AC for VOL: put it into no other device"),
    ] {
        assert!(line(never).contains(device), "{device} is warned of: {never}");
    }
    // The tags of just these leads, with what they say.
    let lead = |device: &str, outlet: &str| {
        let found = design
            .leads
            .iter()
            .find(|lead| lead.feeds(device) && lead.ends.iter().any(|end| end.port.port == outlet));
        found.unwrap_or_else(|| panic!("a lead from {outlet} to {device}")).tag.clone()
    };
    let wanted = [("FUZ", "2", "CROSSED"), ("OCT", "3", "SERIES"), ("VOL", "4", "AC")];
    for (device, outlet, words) in wanted {
        let tag = lead(device, outlet);
        let from = if device == "OCT" { "SUP.3 + SUP.8".to_owned() } else { format!("SUP.{outlet}") };
        let told = format!("{tag}, {from} to {device}.DC: “{words}”");
        assert!(pages.contains(&told), "the power map says `{told}`: {pages}");
    }
    let tagged = pages.matches("tag every end").count();
    assert_eq!(tagged, wanted.len(), "the list marks these leads and no others: {pages}");
    let labels = one(&input(&design, &[], PaperSize::A4), "labels");
    let tape: String = (1..=labels.pages)
        .map(|page| text(&labels.pdf, page, page))
        .filter(|page| page.contains("Tape, 12 mm wide"))
        .collect();
    let tape = tape.split_whitespace().collect::<Vec<_>>().join(" ");
    // Every end says what arrives there: a crossing lead turns the polarity, a series pair adds the volts.
    let ends = [
        (lead("FUZ", "2"), vec![("", "9 V c− CROSSED"), ("", "9 V c+ CROSSED")]),
        (lead("OCT", "3"), vec![(" A", "9 V c− SERIES"), (" B", "9 V c− SERIES"), (" C", "18 V c− SERIES")]),
    ];
    for (tag, ends) in ends {
        for (leg, carries) in ends {
            let label = format!("{tag}{leg} {carries}");
            assert_eq!(tape.matches(&label).count(), 1, "one end says `{label}`: {tape}");
        }
    }
    let label = format!("{} 9 V AC", lead("VOL", "4"));
    assert_eq!(tape.matches(&label).count(), 2, "both ends say `{label}`: {tape}");
    let plain = one(&input(&board(), &[], PaperSize::A4), "power");
    let pages = text(&plain.pdf, 1, plain.pages);
    for words in ["ag every end", "never without", "never one lead", "never DC"] {
        assert!(!pages.contains(words), "nothing harmful, no `{words}`: {pages}");
    }
}

#[test]
fn what_has_no_feed_stands_on_the_power_map() {
    let mut rig = rigs::two_decks();
    let tuner = rig.devices.iter_mut().find(|device| device.tag == "TUN").expect("the tuner");
    tuner.feed = None;
    let power = one(&input(&derive(rig, Limits::default()), &[], PaperSize::A4), "power");
    let pages = text(&power.pdf, 1, power.pages);
    let after = pages.split("No feed yet").nth(1).expect("a box says so");
    assert!(after.contains("TUN tuner with buffer: needs 9 V, 80 mA"), "{pages}");
}

/// Two ways: one to an amp with everything known, one that nothing passes in one state.
fn ways() -> Vec<SignalWay> {
    // Six to the octave.
    let next = |hertz: &f64| Some(hertz * 1.122_462).filter(|next| *next < 21_000.0);
    let frequencies: Vec<f64> = std::iter::successors(Some(20.0), next).collect();
    let flat = vec![-6.0; frequencies.len()];
    let state = |name: &str, change: Option<f64>| StateLevels {
        name: name.to_owned(),
        on: Vec::new(),
        change_at_4k_db: change,
        tone_change_db: change.map(|db| db + 0.5),
        insertion_loss_1k_db: change.map(|db| 0.25 - db),
    };
    let way = |sink: &str, states: Vec<StateLevels>| SignalWay {
        turned: None,
        source: "guitar".into(),
        sink: sink.to_owned(),
        frequencies: frequencies.clone(),
        reference_db: flat.clone(),
        upper_db: flat.clone(),
        lower_db: frequencies.iter().map(|hertz| -6.0 - hertz / 2000.0).collect(),
        worst_db: frequencies.iter().map(|hertz| -6.0 - hertz / 2000.0).collect(),
        worst_state: vec!["FUZ".into(), "OCT".into()],
        change_at_4k_db: Some(-2.0),
        limits_db: [2.0, 4.0],
        states,
        doubt: None,
        assumed: false,
        left_off: Vec::new(),
        asked: vec![("longest lead from guitar".into(), "4.5 m".into())],
    };
    vec![
        way("stage amp", vec![state("everything off", Some(-1.7)), state("solo", Some(-3.4))]),
        way("house desk", vec![state("everything off", Some(0.3)), state("solo", None)]),
    ]
}

#[test]
fn the_path_shows_the_band_and_the_figures_of_every_state() {
    let mut rig = rigs::two_decks();
    rig.states = vec![rig::State { name: "solo".into(), engaged: vec!["FUZ".into()] }];
    let design = derive(rig, Limits::default());
    let ways = ways();
    let path = one(&PapersInput { ways: &ways, ..input(&design, &[], PaperSize::A4) }, "path");
    let pages = text(&path.pdf, 1, path.pages);
    for wanted in ["worst: FUZ, OCT engaged", "−2.0 dB", "4 kHz", "20 k", "reference", "all states"] {
        assert!(pages.contains(wanted), "the plot says `{wanted}`: {pages}");
    }
    // Both ways have the same curves and share a plot.
    assert_eq!(pages.matches("worst: FUZ").count(), 1, "{pages}");
    assert!(pages.contains("guitar → stage amp, house desk"), "{pages}");
    let row = |way: &str, head: &str| -> Vec<String> {
        let after =
            pages.split(&format!("guitar → {way} ")).nth(1).unwrap_or_else(|| panic!("{way}: {pages}"));
        let line = after.lines().find(|line| line.trim_start().starts_with(head)).expect(head);
        line.split_whitespace()
            .rev()
            .take(2)
            .map(str::to_owned)
            .collect::<Vec<_>>()
            .into_iter()
            .rev()
            .collect()
    };
    assert_eq!(row("stage amp", "4 kHz"), ["−1.7", "−3.4"]);
    assert_eq!(row("stage amp", "treble"), ["−1.2", "−2.9"]);
    assert_eq!(row("stage amp", "level"), ["−1.9", "−3.6"], "half a tenth goes to the even figure");
    assert_eq!(row("house desk", "4 kHz"), ["+0.3", "—"], "nothing arrives in that state");
}

#[test]
fn assumed_draws_are_dotted_on_the_power_map_file() {
    // A dotted line cannot be read back as text; the file says the same in words.
    let design = board();
    let set = papers::tables(&input(&design, &[], PaperSize::A4));
    let list = set.iter().find(|table| table.name == "dc-leads").expect("the list");
    let assumed: Vec<&str> = list.csv.lines().filter(|line| line.ends_with(",assumed")).collect();
    let expected = design
        .rig
        .devices
        .iter()
        .filter(|device| device.feed.is_some() && device.power.current.from == Provenance::Assumed)
        .count();
    assert_eq!(assumed.len(), expected, "{assumed:?}");
}

/// What was found is printed with its verdict, and signed where it was signed; what is due stays a blank.
#[test]
fn the_test_sheet_is_printed_as_it_was_filled_in() {
    let design = board();
    let rows = design::test_rows(&design);
    let kept = |row: &design::TestRow, said: &str, answer: Option<&str>| design::Kept {
        row: row.line.id.clone(),
        said: said.to_owned(),
        by: Some("O. Fenlo".to_owned()),
        on: "2026-05-14".to_owned(),
        revision: "C".to_owned(),
        rests: row.rests_text(),
        answer: answer.map(str::to_owned),
    };
    let of = |key: &str| {
        rows.iter().find(|row| row.line.id.starts_with(key)).unwrap_or_else(|| panic!("a row {key}"))
    };
    let some = vec![
        kept(of("ohm:"), "0.123 Ω", None),
        kept(of("whole:shake"), "no", None),
        kept(of("whole:wiggle"), "no", Some("the plug is the player’s own")),
    ];
    let record = design::TestRecord::new(&design, &some);
    let sheet = |record: &design::TestRecord, name: &'static str| {
        let paper = one(&PapersInput { record: Some(record), ..input(&design, &[], PaperSize::A4) }, name);
        text(&paper.pdf, 1, paper.pages)
    };
    let words = sheet(&record, "tests");
    for wanted in ["0.123 Ω", "FAILS", "answers for it", "1 fails", "1 is answered for", "Not signed"] {
        assert!(words.contains(wanted), "`{wanted}`: {words}");
    }
    let book = sheet(&record, "handover");
    assert!(book.contains("pass so far"), "the client’s book says how far the test is: {book}");
    let mut all: Vec<design::Kept> = rows
        .iter()
        .map(|row| {
            let said = match row.reads {
                design::Reads::YesNo => "yes".to_owned(),
                design::Reads::Words => "up".to_owned(),
                _ => row.written(&design::Answer::Figure(match row.passes {
                    design::Passes::AtMost(most) => most,
                    design::Passes::AtLeast(_) => f64::INFINITY,
                    design::Passes::Between(low, high) => f64::midpoint(low, high),
                    _ => 1.0,
                })),
            };
            kept(row, &said, None)
        })
        .collect();
    let record = design::TestRecord::new(&design, &all);
    assert!(record.can_be_signed(), "{:?}", record.rows.iter().find(|one| !one.state.is_settled()));
    let mut signature = kept(of("ohm:"), "signed", None);
    design::SIGNATURE.clone_into(&mut signature.row);
    signature.rests = record.signs();
    all.push(signature);
    let record = design::TestRecord::new(&design, &all);
    let words = sheet(&record, "tests");
    assert!(words.contains("signed at revision C") && words.contains("O. Fenlo"), "{words}");
    assert!(
        !words.contains("FAILS") && words.contains(&format!("{} of {} rows pass", rows.len(), rows.len()))
    );
}

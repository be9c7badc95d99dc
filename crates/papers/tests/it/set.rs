//! The whole set: the book, what every paper must carry, what one change changes, hostile text.

use std::collections::BTreeSet;

use design::{Making, derive};
use papers::{Binding, PAPERS, PaperSet, PaperSize, PapersInput, RevisionNote, ToneChange, papers};
use quantity::Milliamps;
use rig::{Known, Limits, Provenance, Rig};

use super::reading::{text, words};
use super::{board, findings, input, one, rigs};

fn whole(rig: Rig) -> PaperSet {
    let design = derive(rig, Limits::default());
    let findings = findings();
    papers(&input(&design, &findings, PaperSize::A4), &[]).expect("the set is made")
}

/// Whether a file is bound of several papers.
fn is_bound(name: &str) -> bool {
    Binding::named(name).is_some()
}

#[test]
fn each_binding_holds_its_papers_and_counts_its_pages() {
    let set = whole(rigs::two_decks());
    let names: Vec<&str> = set.papers.iter().map(|paper| paper.name).collect();
    let mut expected = Binding::ALL.map(Binding::name).to_vec();
    expected.extend(PAPERS.iter().map(|kind| kind.name));
    assert_eq!(names, expected, "the bindings first, then the papers in the order of the table");
    let paper = |name: &str| set.papers.iter().find(|paper| paper.name == name).expect("it is made");
    for binding in Binding::ALL {
        let whole = paper(binding.name());
        let kinds: Vec<_> = PAPERS.iter().filter(|kind| kind.bound == Some(binding)).collect();
        assert!(2 <= kinds.len());
        let pages: usize = kinds.iter().map(|kind| paper(kind.name).pages).sum();
        assert_eq!(whole.pages, pages + 1, "the contents, then every paper of {binding:?}");
        let contents = text(&whole.pdf, 1, 1);
        let mut at = 2;
        for kind in kinds {
            let mut lines = contents.lines().filter(|line| line.trim_start().starts_with(kind.title));
            let number = |line: &str| line.split_whitespace().last()?.parse::<usize>().ok();
            let number = lines.find_map(number);
            assert_eq!(number, Some(at), "the page of {}", kind.title);
            let page = text(&whole.pdf, at, at);
            assert!(page.contains(&format!("{} page {at} of {}", binding.name(), whole.pages)), "{page}");
            // The pocket fold is one sheet and counts its small pages.
            assert!(kind.name == "pocket" || page.contains("1 of "), "a part counts its own pages: {page}");
            at += paper(kind.name).pages;
        }
    }
}

#[test]
fn a_binding_alone_is_the_one_of_the_whole_set_and_a_paper_alone_has_no_number_in_it() {
    let design = derive(rigs::two_decks(), Limits::default());
    let findings = findings();
    let made = |only: &[&str]| {
        papers(&input(&design, &findings, PaperSize::A4), only).expect("they are made").papers
    };
    let alone = made(&["client"]);
    assert_eq!(alone.iter().map(|paper| paper.name).collect::<Vec<_>>(), ["client"]);
    let pages = |paper: &papers::Paper| {
        (1..=paper.pages).map(|page| text(&paper.pdf, page, page)).collect::<Vec<_>>()
    };
    let all = made(&[]);
    let whole = all.iter().find(|paper| paper.name == "client").expect("it is made");
    assert_eq!(pages(&alone[0]), pages(whole));
    let one = made(&["fault"]);
    assert_eq!(one.len(), 1);
    assert!(pages(&one[0]).iter().all(|page| !page.contains("client page")));
}

#[test]
fn every_page_that_is_built_from_says_that_stops_are_open() {
    let design = derive(rigs::two_decks(), Limits::default());
    let findings = findings();
    let mark = |name: &str, findings: &[finding::Finding]| {
        let set = papers(&input(&design, findings, PaperSize::A4), &[]).expect("the set");
        let paper = set.papers.into_iter().find(|paper| paper.name == name).expect("it is made");
        let has = |page| text(&paper.pdf, page, page).contains("NOT FOR BUILDING: 2 stops are open");
        ((1..=paper.pages).filter(|&page| has(page)).count(), paper.pages)
    };
    for name in ["bench", "layout", "template", "template-sheet", "leads", "labels", "order"] {
        let (marked, pages) = mark(name, &findings);
        assert_eq!(marked, pages, "every page of {name}");
        assert_eq!(mark(name, &[]).0, 0, "no stop, no mark: {name}");
    }
    assert_eq!(mark("office", &findings).0, 0, "nobody builds from the office's papers");
    let client = one(&input(&design, &findings, PaperSize::A4), "client");
    let pages = text(&client.pdf, 1, client.pages);
    let marked = pages.matches("NOT TO BE HANDED OVER: 2 stops are open").count();
    assert_eq!(marked, client.pages, "every page of what goes with the board");
    let order = one(&input(&design, &findings, PaperSize::A4), "order");
    assert!(text(&order.pdf, 1, 1).contains("HOLD: NOT FOR BUILDING: 2 stops are open"));
}

#[test]
fn the_same_input_gives_the_same_bytes_in_pdf_and_csv() {
    assert!(whole(rigs::two_decks()) == whole(rigs::two_decks()), "byte for byte");
}

#[test]
fn one_draw_changes_its_own_cells_and_no_others() {
    let before = whole(rigs::two_decks());
    let mut rig = rigs::two_decks();
    let tuner = rig.devices.iter_mut().find(|device| device.tag == "TUN").expect("the tuner");
    tuner.power.current = Known::new(Milliamps::of(97.0), Provenance::Printed);
    let after = whole(rig);
    let mut cells = Vec::new();
    for (a, b) in before.tables.iter().zip(&after.tables) {
        assert_eq!(a.name, b.name);
        for (a_line, b_line) in a.csv.lines().zip(b.csv.lines()) {
            for (a_cell, b_cell) in a_line.split(',').zip(b_line.split(',')) {
                if a_cell != b_cell {
                    let subject = a_line.split(',').find(|cell| cell.contains("TUN") || *cell == "SUP");
                    cells.push((
                        a.name,
                        subject.unwrap_or("?").to_owned(),
                        a_cell.to_owned(),
                        b_cell.to_owned(),
                    ));
                }
            }
        }
    }
    let told = |table, subject: &str, from: &str, to: &str| {
        (table, subject.to_owned(), from.to_owned(), to.to_owned())
    };
    assert_eq!(
        cells,
        [
            // Seven devices of 9 V: 483 mA become 500.
            told("supply-loads", "SUP", "4.3", "4.5"),
            told("dc-leads", "TUN; tuner with buffer", "80", "97"),
            told("test-sheet", "TUN", "80", "97"),
        ],
        "nothing else in any table"
    );
    let mut pages = Vec::new();
    for (a, b) in before.papers.iter().zip(&after.papers).filter(|(a, _)| !is_bound(a.name)) {
        let (old, new) = (text(&a.pdf, 1, a.pages), text(&b.pdf, 1, b.pages));
        let changed: Vec<&str> =
            new.lines().zip(old.lines()).filter(|(n, o)| n != o).map(|(n, _)| n).collect();
        if !changed.is_empty() {
            let ours = changed.iter().all(|line| line.contains("97") || line.contains("4.5"));
            assert!(ours, "{}: {changed:?}", a.name);
            pages.push(a.name);
        }
    }
    assert_eq!(pages, ["power", "tests", "handover", "settings"], "the papers that show a draw");
}

/// Words that look like the number of a lead.
fn lead_numbers(page: &str) -> BTreeSet<String> {
    page.split(|c: char| !c.is_ascii_alphanumeric())
        .filter(|word| {
            word.len() == 3
                && word.starts_with(['L', 'D', 'K', 'M'])
                && word[1..].chars().all(|c| c.is_ascii_digit())
        })
        .map(str::to_owned)
        .collect()
}

#[test]
fn every_lead_and_tag_stands_where_it_must_and_no_other() {
    let design = derive(rigs::two_decks(), Limits::default());
    let findings = findings();
    let set = papers(&input(&design, &findings, PaperSize::A4), &[]).expect("the set");
    let page = |name: &str| {
        let paper = set.papers.iter().find(|paper| paper.name == name).expect(name);
        text(&paper.pdf, 1, paper.pages)
    };
    let all: BTreeSet<String> = design.leads.iter().map(|lead| lead.tag.clone()).collect();
    let labelled: BTreeSet<String> = design
        .leads
        .iter()
        .filter(|lead| lead.making != Making::Theirs)
        .map(|lead| lead.tag.clone())
        .collect();
    let of = |power: bool| -> BTreeSet<String> {
        design.leads.iter().filter(|lead| lead.run.is_none() == power).map(|lead| lead.tag.clone()).collect()
    };
    assert_eq!(lead_numbers(&page("leads")), all, "the schedule has every lead");
    assert_eq!(lead_numbers(&page("labels")), labelled, "labels are for what is not the player's own");
    assert_eq!(lead_numbers(&page("path")), of(false), "the path has the leads of runs");
    assert_eq!(lead_numbers(&page("power")), of(true), "the power map those of feeds");
    assert_eq!(lead_numbers(&page("handover")), all, "the book has every lead");
    for name in PAPERS.iter().map(|kind| kind.name) {
        let strange: Vec<String> = lead_numbers(&page(name)).difference(&all).cloned().collect();
        assert!(strange.is_empty(), "{name} names leads that are not there: {strange:?}");
    }
    for device in design.rig.devices.iter().filter(|device| !device.outside) {
        for name in ["approval", "template", "labels", "handover"] {
            // What has no place is on no template.
            if device.place.is_none() && matches!(name, "template" | "approval") {
                continue;
            }
            // What stands on the floor is on no deck.
            let floor = device.place.as_ref().is_some_and(|place| place.deck == rig::FLOOR);
            if name == "template" && floor {
                continue;
            }
            assert!(page(name).contains(&device.tag), "{} is on {name}", device.tag);
        }
    }
}

#[test]
fn assumed_values_are_marked_and_counted() {
    let design = board();
    let set = papers(&input(&design, &[], PaperSize::A4), &[]).expect("the set");
    let count = design::given::count(&design.rig);
    let approval = set.papers.iter().find(|paper| paper.name == "approval").expect("it");
    let page = text(&approval.pdf, 1, approval.pages);
    assert!(count.assumed > 0);
    assert!(page.contains(&count.assumed.to_string()), "the count stands on the approval sheet: {page}");
    let csv = |name: &str| &set.tables.iter().find(|table| table.name == name).expect(name).csv;
    let head = csv("cut-list").lines().next().unwrap_or_default();
    assert!(head.contains("cut assumed"), "estimated lengths say so in the file: {head}");
    let fuzz = csv("dc-leads").lines().find(|line| line.contains("FUZ")).expect("a line for the fuzz");
    assert!(fuzz.ends_with("3,assumed"), "its draw is only assumed: {fuzz}");
}

#[test]
fn bench_papers_have_large_boxes() {
    let (design, findings) = (board(), findings());
    for name in ["leads", "order", "tests"] {
        let paper = one(&input(&design, &findings, PaperSize::A4), name);
        let ticks = super::reading::rectangles(&paper.pdf)
            .into_iter()
            .filter(|r| (r[2] - 6.5).abs() < 0.1 && (r[3] - 6.5).abs() < 0.1)
            .count();
        assert!(ticks >= 4, "{name} has boxes to tick of 6.5 mm, found {ticks}");
    }
}

/// A tag that no word contains by chance is on the papers that must carry it, and on no others.
#[test]
fn a_tag_stands_on_the_papers_that_must_carry_it_and_on_no_others() {
    const TAG: &str = "QZX7";
    let mut rig = rigs::two_decks();
    let rename = |device: &mut String| {
        if device == "OCT" {
            TAG.clone_into(device);
        }
    };
    for device in &mut rig.devices {
        rename(&mut device.tag);
    }
    for run in &mut rig.runs {
        for port in run.stops.iter_mut().flat_map(|stop| [&mut stop.arrives, &mut stop.leaves]).flatten() {
            rename(&mut port.device);
        }
    }
    for lead in &mut rig.leads {
        rename(&mut lead.from.device);
        rename(&mut lead.to.device);
    }
    rig.states.clear();
    let design = derive(rig, Limits::default());
    let set = papers(&input(&design, &[], PaperSize::A4), &[]).expect("the set");
    let carrying: Vec<&str> = set
        .papers
        .iter()
        .filter(|paper| !is_bound(paper.name) && text(&paper.pdf, 1, paper.pages).contains(TAG))
        .map(|paper| paper.name)
        .collect();
    let expected = [
        "path",
        "layout",
        "template",
        "power",
        "leads",
        "labels",
        "order",
        "tests",
        "brief",
        "approval",
        "bill",
        "handover",
        "settings",
        "fault",
        "pocket",
        "template-sheet",
        "labels-wrap",
    ];
    assert_eq!(carrying, expected, "neither panel, revision record nor findings name it");
}

#[test]
fn tone_revisions_and_what_they_replace_are_told() {
    let (design, findings) = (board(), findings());
    let tone = ToneChange {
        change_db: -2.6,
        state: vec!["FUZ".into()],
        sink: "amp".into(),
        turned: None,
        by_tone: false,
        assumed: true,
    };
    let notes = [
        RevisionNote { letter: "B".into(), date: "2026-02-01".into(), why: "first build".into(), by: None },
        RevisionNote {
            letter: "C".into(),
            date: "2026-03-14".into(),
            why: "louder drive".into(),
            by: Some("I. Kestervale".into()),
        },
    ];
    let input =
        PapersInput { tone: Some(&tone), revisions: &notes, ..input(&design, &findings, PaperSize::Letter) };
    let approval = one(&input, "approval");
    assert!(text(&approval.pdf, 1, 1).contains("−2.6 dB"), "with a true minus");
    let record = one(&input, "revision");
    let page = text(&record.pdf, 1, 1);
    for words in ["louder drive", "I. Kestervale", "Supersedes"] {
        assert!(page.contains(words), "{words}: {page}");
    }
}

#[test]
fn nothing_at_all_still_gives_a_set() {
    let design = derive(Rig::default(), Limits::default());
    let set = papers(&input(&design, &[], PaperSize::Letter), &[]).expect("an empty job has papers, too");
    assert!(text(&set.papers[0].pdf, 1, 1).contains("draft"), "it is a draft");
}

fn hostile() -> (Rig, [String; 6]) {
    let nasty = [
        "#import \"x\"".to_owned(),
        "$x$ *b* _i_".to_owned(),
        "<script>alert(1)</script>".to_owned(),
        "=CMD()".to_owned(),
        "\u{202e}desrever\u{202c}".to_owned(),
        "X".repeat(10_000),
    ];
    let mut rig = rigs::two_decks();
    for (device, words) in rig.devices.iter_mut().zip(&nasty) {
        device.title.clone_from(words);
        device.note = Some(words.clone());
        device.serial = Some(words.clone());
    }
    rig.devices[9].tag = "<b>#eval".into();
    for (device, words) in rig.devices.iter_mut().rev().zip(&nasty) {
        device.owner = Some(words.clone());
    }
    rig.job.title = "#panic(\"job\") $y$".into();
    rig.job.player = Some(nasty[5].clone());
    rig.job.drawn_by = Some("=HYPERLINK()".into());
    rig.job.number = Some("#{1+1}".into());
    rig.sources[0].title.clone_from(&nasty[5]);
    rig.brief.note = Some("\t=1+1".into());
    rig.states =
        nasty.iter().map(|words| rig::State { name: words.clone(), engaged: vec![words.clone()] }).collect();
    rig.brief.requirements = nasty
        .iter()
        .map(|words| rig::Requirement { id: "=R".into(), text: words.clone(), wishes: Vec::new() })
        .collect();
    (rig, nasty)
}

#[test]
fn the_approval_sheet_says_under_a_requirement_what_of_it_is_met() {
    let mut rig = rigs::two_decks();
    rig.brief.requirements = ["R1", "R2"]
        .map(|id| rig::Requirement { id: id.into(), text: format!("Prose of {id}."), wishes: Vec::new() })
        .to_vec();
    let design = derive(rig, Limits::default());
    let judged = |wish: &str, verdict| finding::Judged {
        requirement: "R1".into(),
        wish: wish.into(),
        verdict,
        about: Vec::new(),
        assumed: Vec::new(),
    };
    let evidence = finding::Evidence::words("behind", "in front");
    let wishes = [
        judged("the tuner at the right end", finding::Verdict::Met),
        judged("the fuzz first", finding::Verdict::NotMet { why: "TUN comes before FUZ".into(), evidence }),
        judged(
            "room for one more",
            finding::Verdict::NotKnown { missing: "place of OCT".into(), lacks: Vec::new() },
        ),
    ];
    let approval = one(&PapersInput { wishes: &wishes, ..input(&design, &[], PaperSize::A4) }, "approval");
    let page = text(&approval.pdf, 1, approval.pages);
    for words in [
        "met: the tuner at the right end",
        "not met: the fuzz first; TUN comes before FUZ",
        "not judged: room for one more; missing: place of OCT",
        "Prose of R2.",
    ] {
        assert!(page.contains(words), "{words}: {page}");
    }
}

#[test]
fn hostile_text_is_text_and_stays_on_its_page() {
    let (rig, nasty) = hostile();
    let design = derive(rig, Limits::default());
    let findings: Vec<finding::Finding> = nasty
        .iter()
        .map(|words| {
            finding::Finding::new("rule", finding::Severity::Look, words.as_str()).remedy(words.as_str())
        })
        .collect();
    let set = papers(&input(&design, &findings, PaperSize::A4), &[]).expect("it is set");
    for paper in set.papers.iter().filter(|paper| !is_bound(paper.name)) {
        for page in 1..=paper.pages {
            for ([left, top, right, bottom], word) in words(&paper.pdf, page) {
                // Tiles cut what lies across their edge, and the large sheet is larger.
                if paper.name.starts_with("template") {
                    continue;
                }
                let inside = 0.0 <= left && 0.0 <= top && right <= 1192.0 && bottom <= 843.0;
                assert!(
                    inside,
                    "`{word}` leaves page {page} of {}: {left} {top} {right} {bottom}",
                    paper.name
                );
            }
        }
        let all = text(&paper.pdf, 1, paper.pages);
        assert!(!all.contains('\u{202e}'), "marks of direction are gone from {}", paper.name);
    }
    let findings_page = set.papers.iter().find(|paper| paper.name == "findings").expect("it");
    let all = text(&findings_page.pdf, 1, findings_page.pages);
    for words in
        ["#import \"x\"", "$x$ *b* _i_", "<script>alert(1)</script>", "=CMD()", "#panic(\"job\")", "#{1+1}"]
    {
        assert!(all.contains(words), "`{words}` is printed as it is");
    }
    for table in &set.tables {
        assert!(table.csv.ends_with("\r\n") && !table.csv.contains('\u{202e}'), "{}", table.name);
        for row in rows(&table.csv) {
            for field in row {
                assert!(
                    !field.starts_with(['=', '+', '@', '\t', '\r']),
                    "{}: `{field}` would run in a spreadsheet",
                    table.name
                );
                let minus = field.starts_with('-') && field.parse::<f64>().is_err();
                assert!(!minus, "{}: `{field}` would run in a spreadsheet", table.name);
            }
        }
    }
}

/// A reader of RFC 4180, for the test alone.
fn rows(csv: &str) -> Vec<Vec<String>> {
    let (mut out, mut row, mut field, mut quoted) = (Vec::new(), Vec::new(), String::new(), false);
    let mut chars = csv.chars().peekable();
    while let Some(c) = chars.next() {
        match (c, quoted) {
            ('"', true) if chars.peek() == Some(&'"') => {
                field.push('"');
                chars.next();
            }
            ('"', _) => quoted = !quoted,
            (',', false) => row.push(std::mem::take(&mut field)),
            ('\r', false) => {}
            ('\n', false) => {
                row.push(std::mem::take(&mut field));
                out.push(std::mem::take(&mut row));
            }
            (c, _) => field.push(c),
        }
    }
    out
}

#[test]
fn every_row_of_a_table_has_as_many_fields_as_its_head() {
    let (rig, _) = hostile();
    for set in [whole(rigs::two_decks()), whole(rig)] {
        for table in &set.tables {
            let rows = rows(&table.csv);
            assert!(rows.iter().all(|row| row.len() == rows[0].len()), "{}", table.name);
        }
    }
}

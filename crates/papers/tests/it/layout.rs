//! The layout sheet.

use design::{Design, derive};
use finding::Finding;
use papers::{LayoutInput, PAPERS, Paper, PaperSize, layout_sheet, papers};
use rig::Limits;

use super::reading::{rectangles, text, words};
use super::{board, findings, rigs};

fn made(design: &Design, findings: &[Finding], paper: PaperSize) -> Paper {
    layout_sheet(&input(design, findings, paper)).expect("the sheet is set")
}

fn input<'a>(design: &'a Design, findings: &'a [Finding], paper: PaperSize) -> LayoutInput<'a> {
    LayoutInput { design, findings, paper, program_version: "0.1.0", input_hash: "3f9a41c2" }
}

#[test]
fn the_check_bar_measures_a_hundred_millimetres_on_both_papers() {
    let (design, findings) = (board(), findings());
    for size in [PaperSize::A4, PaperSize::Letter] {
        let paper = made(&design, &findings, size);
        let bars: Vec<[f64; 4]> = rectangles(&paper.pdf)
            .into_iter()
            .filter(|r| (r[3] - 2.0).abs() < 0.05 && (9.0..=101.0).contains(&r[2]))
            .collect();
        let whole = bars.iter().find(|r| r[2] > 90.0).expect("the outline of the bar is there");
        assert!((whole[2] - 100.0).abs() <= 0.1, "the bar is {} mm long", whole[2]);
        let fields = bars.iter().filter(|r| (r[2] - 10.0).abs() <= 0.1).count();
        assert!(fields >= 10, "its ten fields are 10 mm each, found {fields}");
    }
}

#[test]
fn the_plan_is_true_to_the_scale_it_states() {
    let paper = made(&board(), &findings(), PaperSize::A4);
    assert!(text(&paper.pdf, 1, 1).contains("1 : 5"), "the scale is stated");
    let fits = |w: f64, h: f64| {
        rectangles(&paper.pdf).iter().any(|r| (r[2] - w / 5.0).abs() < 0.05 && (r[3] - h / 5.0).abs() < 0.05)
    };
    assert!(fits(600.0, 300.0), "the front deck is as large as it is");
    assert!(fits(600.0, 150.0), "so is the rear one");
}

#[test]
fn the_same_input_gives_the_same_bytes() {
    let (design, findings) = (board(), findings());
    let once = made(&design, &findings, PaperSize::A4);
    assert!(once.pdf == made(&design, &findings, PaperSize::A4).pdf, "two renders are equal to the byte");
    let other = LayoutInput { input_hash: "00000000", ..input(&design, &findings, PaperSize::A4) };
    assert!(once.pdf != layout_sheet(&other).expect("it is set").pdf, "another input is another file");
}

#[test]
fn pages_carry_what_was_found_and_which_leads_there_are() {
    let (design, findings) = (board(), findings());
    let paper = made(&design, &findings, PaperSize::A4);
    assert_eq!(paper.pages, 4, "the sheet, findings, two pages of leads");
    let front = text(&paper.pdf, 1, 1);
    for words in
        ["Layout, all decks", "J-0207-LAY", "for approval", "Mass, cased", "Assumed values", "1 of 4"]
    {
        assert!(front.contains(words), "the front says `{words}`");
    }
    let findings_page = text(&paper.pdf, 2, 2);
    for words in [
        "Stop",
        "Look",
        "Note",
        "move OCT 12 mm to the left",
        "−9 mm",
        "≥ 0 mm",
        "Cannot judge: lacks",
        "device.MOD.power.sign",
        "Answered for by O. Fenlow: the player plays in socks",
        "Never lift a protective earth",
    ] {
        assert!(findings_page.contains(words), "the findings say `{words}`");
    }
    let leads = text(&paper.pdf, 3, 4);
    for lead in &design.leads {
        assert!(leads.contains(&lead.tag), "{} is listed", lead.tag);
    }
    for words in ["estimated", "player’s own", "soldered", "exit", "SUP.5", "baritone guitar"] {
        assert!(leads.contains(words), "the leads say `{words}`");
    }
    assert_eq!(leads.matches("straight mm").count(), 2, "the head of the list repeats");
}

#[test]
fn a_hyphen_never_stands_for_a_minus() {
    let paper = made(&board(), &findings(), PaperSize::A4);
    let all = text(&paper.pdf, 1, paper.pages);
    let faked = all.split_whitespace().find(|word| {
        word.strip_prefix('-').is_some_and(|rest| rest.starts_with(|c: char| c.is_ascii_digit()))
    });
    assert_eq!(faked, None, "negative figures carry U+2212");
}

#[test]
fn without_date_or_revision_it_is_a_draft() {
    let mut rig = rigs::two_decks();
    rig.job.date = None;
    let paper = made(&derive(rig, Limits::default()), &[], PaperSize::A4);
    let front = text(&paper.pdf, 1, 1);
    assert!(front.contains("draft") && !front.contains("for approval"), "the status says so");
    assert!(text(&paper.pdf, 2, 2).contains("No findings."), "an empty list says that it is empty");
    assert!(!String::from_utf8_lossy(&paper.pdf).contains("/CreationDate"), "no date is invented");
}

#[test]
fn nothing_at_all_still_gives_a_sheet() {
    let paper = made(&derive(rig::Rig::default(), Limits::default()), &[], PaperSize::Letter);
    assert_eq!(paper.pages, 3, "sheet, findings, leads");
    assert!(text(&paper.pdf, 1, 1).contains("draft"), "it is a draft");
}

#[test]
fn hostile_text_is_text_and_stays_in_its_place() {
    let long = "X".repeat(10_000);
    let nasty = [
        "#import \"x\"",
        "$x$ *b* _i_",
        "<script>alert(1)</script>",
        "=CMD()",
        "\u{202e}desrever\u{202c}",
        long.as_str(),
    ];
    let mut rig = rigs::two_decks();
    for (device, words) in rig.devices.iter_mut().zip(nasty) {
        device.title = words.to_owned();
    }
    rig.devices[9].tag = "<b>#eval".into();
    rig.job.title = "#panic(\"job\") $y$".into();
    rig.job.player = Some(long.clone());
    rig.job.drawn_by = Some("=HYPERLINK()".into());
    rig.job.number = Some("#{1+1}".into());
    rig.sources[0].title.clone_from(&long);
    let design = derive(rig, Limits::default());
    let mut findings: Vec<Finding> = nasty
        .iter()
        .map(|words| Finding::new("rule", finding::Severity::Look, *words).remedy(*words))
        .collect();
    findings.extend(findings.clone());
    let paper = made(&design, &findings, PaperSize::A4);
    let all = text(&paper.pdf, 1, paper.pages);
    for words in
        ["#import \"x\"", "$x$ *b* _i_", "<script>alert(1)</script>", "=CMD()", "#panic(\"job\")", "#{1+1}"]
    {
        assert!(all.contains(words), "`{words}` is printed as it is");
    }
    assert!(!all.contains('\u{202e}'), "marks of direction are gone");
    for page in 1..=paper.pages {
        for ([left, top, right, bottom], word) in words(&paper.pdf, page) {
            let inside = 0.0 <= left && right <= 842.0 && 0.0 <= top && bottom <= 596.0;
            assert!(inside, "`{word}` is on page {page}");
            // Only the names of the grid and the foot stand outside the frame.
            let framed = 56.0 <= left && right <= 815.0 && 28.0 <= top && bottom <= 569.0;
            assert!(framed || word.chars().count() < 15, "`{word}` is within the frame of page {page}");
        }
    }
}

#[test]
fn a_long_list_leaves_no_row_alone() {
    let findings: Vec<Finding> = (0..60)
        .map(|n| {
            Finding::new("rule", finding::Severity::Note, format!("remark number {n:03}")).remedy("read it")
        })
        .collect();
    let paper = made(&board(), &findings, PaperSize::A4);
    for page in 2..=paper.pages {
        let rows = text(&paper.pdf, page, page).matches("remark number").count();
        assert_ne!(rows, 1, "page {page} has more than one row of the list, or none");
    }
}

#[test]
fn the_table_of_papers_makes_them_all() {
    let (design, findings) = (board(), findings());
    let all = papers(&input(&design, &findings, PaperSize::A4)).expect("all are set");
    let names: Vec<&str> = all.iter().map(|paper| paper.name).collect();
    assert_eq!(names, PAPERS.iter().map(|kind| kind.name).collect::<Vec<_>>(), "in the order of the table");
}

//! The layout sheet.

use design::{Design, derive};
use finding::Finding;
use papers::{Paper, PaperSize, PapersInput};
use rig::Limits;

use super::reading::{rectangles, text};
use super::{board, findings, input, one, rigs};

fn made(design: &Design, findings: &[Finding], paper: PaperSize) -> Paper {
    one(&input(design, findings, paper), "layout")
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
    let other = PapersInput { input_hash: "00000000", ..input(&design, &findings, PaperSize::A4) };
    assert!(once.pdf != one(&other, "layout").pdf, "another input is another file");
}

#[test]
fn the_front_says_what_is_to_be_agreed() {
    let (design, findings) = (board(), findings());
    let paper = made(&design, &findings, PaperSize::A4);
    // A board this wide has its plan on a sheet of its own, and what is to be agreed on the next.
    assert_eq!(paper.pages, 2, "the plan, and what is told beside it");
    let both = text(&paper.pdf, 1, 2);
    for words in
        ["Layout, all decks", "J-0207-LAY", "for approval", "Mass, cased", "Assumed values", "2 of 2"]
    {
        assert!(both.contains(words), "the sheets say `{words}`");
    }
}

#[test]
fn findings_carry_figures_margins_and_who_answers() {
    let (design, findings) = (board(), findings());
    let paper = one(&input(&design, &findings, PaperSize::A4), "findings");
    let page = text(&paper.pdf, 1, 1);
    for words in [
        "Stop",
        "Look",
        "Note",
        "move OCT 12 mm to the left",
        "−9 mm",
        "≥ 0 mm",
        "Not checked. Find out: polarity of MOD",
        "Answered for by O. Fenlow on the whole job",
        "in socks",
    ] {
        assert!(page.contains(words), "the findings say `{words}`");
    }
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
    let design = derive(rigs::two_decks(), Limits::default());
    let none = one(&input(&design, &[], PaperSize::A4), "findings");
    assert!(text(&none.pdf, 1, 1).contains("No findings."), "an empty list says that it is empty");
    assert!(!String::from_utf8_lossy(&paper.pdf).contains("/CreationDate"), "no date is invented");
}

#[test]
fn a_long_list_leaves_no_row_alone() {
    let findings: Vec<Finding> = (0..60)
        .map(|n| {
            Finding::new("rule", finding::Severity::Note, format!("remark number {n:03}")).remedy("read it")
        })
        .collect();
    let paper = one(&input(&board(), &findings, PaperSize::A4), "findings");
    assert!(paper.pages > 2, "the list is long");
    for page in 1..=paper.pages {
        let rows = text(&paper.pdf, page, page).matches("remark number").count();
        assert!(rows > 1, "page {page} has more than one row of the list");
    }
}

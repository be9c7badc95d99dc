//! The 100 mm check bar, read back from the PDF by a reader that is not ours.

use external::{example, examples, python};

/// Rectangles of a page of the layout sheet in millimetres: x, y, width, height.
fn rectangles(folder: &std::path::Path, paper: papers::PaperSize) -> Vec<[f64; 4]> {
    let job = document::read(folder, None).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
    let design = design::derive(job.rig, job.limits);
    let findings = checks::check(&design);
    let input = papers::PapersInput::new(&design, &findings, paper);
    let set = papers::papers(&input, &["layout"]).expect("the sheet");
    let sheet = set.papers.first().expect("one paper");
    let dir = tempfile::tempdir().expect("a folder");
    let file = dir.path().join("layout.pdf");
    std::fs::write(&file, &sheet.pdf).expect("written");
    let out = python("geometry/pdf_lines.py").arg(&file).arg("0").output().expect("Python runs");
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    serde_json::from_slice(&out.stdout).expect("JSON")
}

/// The bar's length: from the left edge of its first field to the right edge of its last.
///
/// Fields are rectangles of 10 mm beside each other on one line.
fn bar(found: &[[f64; 4]]) -> Option<f64> {
    let fields: Vec<&[f64; 4]> = found.iter().filter(|r| (r[2] - 10.0).abs() < 0.05 && r[3] < 4.0).collect();
    fields.iter().find_map(|first| {
        let row: Vec<f64> = fields.iter().filter(|r| (r[1] - first[1]).abs() < 0.01).map(|r| r[0]).collect();
        let left = row.iter().copied().fold(f64::INFINITY, f64::min);
        let right = row.iter().copied().fold(f64::NEG_INFINITY, f64::max) + 10.0;
        let whole =
            (0..10).all(|field| row.iter().any(|x| (x - left - 10.0 * f64::from(field)).abs() < 0.05));
        whole.then_some(right - left)
    })
}

#[test]
fn the_bar_measures_100_mm_on_every_sheet() {
    for folder in examples() {
        let length = bar(&rectangles(&folder, papers::PaperSize::A4));
        assert!(length.is_some_and(|mm| (mm - 100.0).abs() <= 0.1), "{}: {length:?}", folder.display());
    }
}

#[test]
fn the_bar_measures_100_mm_on_letter_paper_too() {
    let length = bar(&rectangles(&example("church-bass"), papers::PaperSize::Letter));
    assert!(length.is_some_and(|mm| (mm - 100.0).abs() <= 0.1), "{length:?}");
}

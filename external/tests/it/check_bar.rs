//! The 100 mm check bar, read back from the PDF by a reader that is not ours.

use external::{example, examples, python};

/// Rectangles of a page of the layout sheet in millimetres: x, y, width, height.
fn rectangles(folder: &std::path::Path, paper: papers::PaperSize) -> Vec<[f64; 4]> {
    let job = document::read(folder, None).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
    let design = design::derive(job.rig, job.limits);
    let findings = checks::check(&design);
    let input =
        papers::LayoutInput { design: &design, findings: &findings, paper, program_version: "test", input_hash: "00" };
    let sheet = papers::layout_sheet(&input).expect("the sheet");
    let dir = tempfile::tempdir().expect("a folder");
    let file = dir.path().join("layout.pdf");
    std::fs::write(&file, sheet.pdf).expect("written");
    let out = python("geometry/pdf_lines.py").arg(&file).arg("0").output().expect("Python runs");
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    serde_json::from_slice(&out.stdout).expect("JSON")
}

#[test]
fn the_bar_measures_100_mm_on_every_sheet() {
    for folder in examples() {
        let found = rectangles(&folder, papers::PaperSize::A4);
        let bar = found.iter().any(|r| (r[2] - 100.0).abs() <= 0.1 && r[3] < 6.0);
        assert!(bar, "{}: no bar of 100 mm", folder.display());
        let fields = found.iter().filter(|r| (r[2] - 10.0).abs() <= 0.05 && r[3] < 6.0).count();
        assert!(5 <= fields, "{}: {fields} fields of 10 mm", folder.display());
    }
}

#[test]
fn the_bar_measures_100_mm_on_letter_paper_too() {
    let found = rectangles(&example("church-bass"), papers::PaperSize::Letter);
    assert!(found.iter().any(|r| (r[2] - 100.0).abs() <= 0.1 && r[3] < 6.0));
}

//! Papers and drawings read back by programs that are not ours: ezdxf for DXF, PyMuPDF for PDF.

use std::path::Path;

use design::{Design, Plate, derive, plates};
use external::{example, examples, python};
use serde_json::Value;

fn read(folder: &Path) -> Design {
    let job = document::read(folder, None).unwrap_or_else(|error| panic!("{}: {error}", folder.display()));
    derive(job.rig, job.limits)
}

fn run(script: &str, arguments: &[&std::ffi::OsStr]) -> Value {
    let out = python(script).args(arguments).output().expect("Python runs");
    assert!(out.status.success(), "{}", String::from_utf8_lossy(&out.stderr));
    serde_json::from_slice(&out.stdout).expect("JSON")
}

fn dxf(text: &str) -> Value {
    let dir = tempfile::tempdir().expect("a folder");
    let file = dir.path().join("drawing.dxf");
    std::fs::write(&file, text).expect("written");
    run("papers/dxf_holes.py", &[file.as_os_str()])
}

/// Holes as x, y, diameter in millimetres, sorted.
fn scheduled(plate: &Plate) -> Vec<[f64; 3]> {
    let mut out: Vec<[f64; 3]> = plate
        .holes
        .iter()
        .filter_map(design::Hole::as_round)
        .map(|hole| [hole.x, hole.y, hole.diameter].map(quantity::Length::as_mm))
        .collect();
    // The screws beside a hole are drilled, too.
    for hole in &plate.holes {
        let (Some(x), Some(y)) = (hole.x.value, hole.y.value) else { continue };
        let of = |one: &design::Fixing| [x + one.x, y + one.y, one.diameter].map(quantity::Length::as_mm);
        out.extend(hole.fixings.iter().map(of));
    }
    out.sort_by(|a, b| a[0].total_cmp(&b[0]));
    out
}

fn triples(value: &Value) -> Vec<[f64; 3]> {
    let mut out: Vec<[f64; 3]> = value
        .as_array()
        .into_iter()
        .flatten()
        .map(|one| [0, 1, 2].map(|index| one[index].as_f64().expect("a number")))
        .collect();
    out.sort_by(|a, b| a[0].total_cmp(&b[0]));
    out
}

#[test]
fn holes_in_the_dxf_are_those_of_the_schedule() {
    let (mut seen, mut rectangles) = (0, 0);
    for folder in examples() {
        let design = read(&folder);
        for plate in plates(&design) {
            let drawing = drawing::panel(&design, &plate, drawing::PlateSide::Front);
            let found = dxf(&drawing::dxf(&drawing));
            assert_eq!(found["version"], "AC1009", "R12");
            assert_eq!(found["errors"], serde_json::json!([]), "{}", folder.display());
            let (holes, wanted) = (triples(&found["holes"]), scheduled(&plate));
            assert_eq!(holes.len(), wanted.len(), "{}", folder.display());
            for (hole, wanted) in holes.iter().zip(&wanted) {
                let near = hole.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 1e-4);
                assert!(near, "{}: {hole:?} is {wanted:?}", folder.display());
                seen += 1;
            }
            let cutouts: Vec<[f64; 4]> =
                serde_json::from_value(found["cutouts"].clone()).expect("rectangles");
            let sawn: Vec<[f64; 4]> = plate
                .holes
                .iter()
                .filter_map(design::Hole::as_cut_out)
                .map(|hole| [hole.x, hole.y, hole.width, hole.height].map(quantity::Length::as_mm))
                .collect();
            assert_eq!(cutouts.len(), sawn.len(), "{}", folder.display());
            for (cutout, wanted) in cutouts.iter().zip(&sawn) {
                let near = cutout.iter().zip(wanted).all(|(a, b)| (a - b).abs() < 1e-4);
                assert!(near, "{}: {cutout:?} is {wanted:?}", folder.display());
                rectangles += 1;
            }
            let size = [plate.width, plate.height].map(|l| l.value.map_or(0.0, quantity::Length::as_mm));
            let corners = found["outline"][0].as_array().expect("an outline");
            for corner in corners {
                let x = corner[0].as_f64().expect("x");
                let y = corner[1].as_f64().expect("y");
                let on = (x.abs() < 1e-4 || (x - size[0]).abs() < 1e-4)
                    && (y.abs() < 1e-4 || (y - size[1]).abs() < 1e-4);
                assert!(on, "the plate lies with its datum at nought: {corner}");
            }
            let layers = found["layers"].as_array().expect("layers");
            for layer in ["CUT", "DRILL", "PILOT", "DIMENSION"] {
                assert!(layers.iter().any(|name| name == layer), "{layer}");
            }
        }
    }
    assert!(seen > 20 && rectangles > 2, "there were holes to compare: {seen}, cut-outs: {rectangles}");
}

#[test]
fn every_drawing_of_every_example_opens() {
    for folder in examples() {
        let design = read(&folder);
        let scale = drawing::Scale::one_to(5);
        let drawings = [drawing::plan(&design, None, scale), drawing::side(&design, scale)];
        for drawing in drawings {
            let found = dxf(&drawing::dxf(&drawing));
            assert_eq!(found["errors"], serde_json::json!([]), "{} of {}", drawing.name, folder.display());
        }
    }
}

#[test]
fn hostile_text_is_text_in_a_dxf() {
    let mut design = read(&example("church-bass"));
    let long = "W".repeat(10_000);
    let nasty = [
        "%%u100%%%",
        "$x$ #import",
        "<script>alert(1)</script>",
        "=CMD()",
        "Größe ⌀ 9,5",
        "back\\slash ^J",
        "0\r\nEOF",
        "\u{202e}desrever\u{202c} \u{200f}mark",
        &long,
    ];
    let mut rig = design.rig.clone();
    for (device, words) in rig.devices.iter_mut().zip(nasty) {
        device.tag = words.to_owned();
        words.clone_into(&mut device.title);
    }
    design = derive(rig, design.limits);
    let drawing = drawing::overview(&design, drawing::Scale::one_to(1));
    let found = dxf(&drawing::dxf(&drawing));
    assert_eq!(found["errors"], serde_json::json!([]));
    let texts: Vec<&str> =
        found["texts"].as_array().into_iter().flatten().filter_map(Value::as_str).collect();
    for words in ["%%u100%%%", "$x$ #import", "=CMD()", "Größe ⌀ 9,5"] {
        assert!(texts.contains(&words), "`{words}` is a text: {texts:?}");
    }
    assert!(texts.iter().any(|text| text.starts_with("desrever mark")), "no mark of direction: {texts:?}");
    assert!(texts.iter().any(|text| text.contains("WWWWWWWW")), "the long one is there: {texts:?}");
    assert!(texts.iter().all(|text| text.chars().count() < 256), "as long as R12 may have it");
    assert!(texts.iter().any(|text| text.starts_with("0 EOF")), "a line break ends nothing: {texts:?}");
}

#[test]
fn two_distances_of_holes_are_true_on_paper() {
    for name in ["church-bass", "theatre-pit"] {
        let design = read(&example(name));
        let input = papers::PapersInput::new(&design, &[], papers::PaperSize::A4);
        let set = papers::papers(&input, &["panel"]).expect("the paper");
        let dir = tempfile::tempdir().expect("a folder");
        let file = dir.path().join("panel.pdf");
        std::fs::write(&file, &set.papers[0].pdf).expect("written");
        let circles = triples(&run("papers/pdf_circles.py", &[file.as_os_str(), "0".as_ref()]));
        let plate = plates(&design).into_iter().next().expect("a plate");
        let wanted = scheduled(&plate);
        // Circles with the diameters of the schedule, left to right: the front stands first on the page.
        let mut found: Vec<[f64; 3]> = circles
            .into_iter()
            .filter(|circle| wanted.iter().any(|hole| (hole[2] - circle[2]).abs() < 0.05))
            .collect();
        let top = found.iter().map(|circle| circle[1]).fold(f64::INFINITY, f64::min);
        found.retain(|circle| circle[1] < top + 30.0);
        // A wide plate is printed in pieces: the first has those that stand farthest left.
        let from_left = |a: &[f64; 3], b: &[f64; 3]| a[0].total_cmp(&b[0]).then(a[1].total_cmp(&b[1]));
        found.sort_by(from_left);
        let mut wanted = wanted;
        wanted.sort_by(from_left);
        let least = if name == "church-bass" { wanted.len() } else { 4 };
        assert!(least <= found.len() && found.len() <= wanted.len(), "{name}: {found:?}");
        for far in [1, found.len() - 1] {
            let true_distance = wanted[far][0] - wanted[0][0];
            let printed = found[far][0] - found[0][0];
            assert!((true_distance - printed).abs() <= 0.1, "{name}: {printed} for {true_distance}");
        }
    }
}

#[test]
fn every_tile_has_a_bar_that_measures() {
    let design = read(&example("church-bass"));
    for paper in [papers::PaperSize::A4, papers::PaperSize::Letter] {
        let input = papers::PapersInput::new(&design, &[], paper);
        let set = papers::papers(&input, &["template", "template-sheet"]).expect("the papers");
        for paper in &set.papers {
            let dir = tempfile::tempdir().expect("a folder");
            let file = dir.path().join("template.pdf");
            std::fs::write(&file, &paper.pdf).expect("written");
            for page in 0..paper.pages {
                let found: Vec<[f64; 4]> = serde_json::from_value(run(
                    "geometry/pdf_lines.py",
                    &[file.as_os_str(), page.to_string().as_ref()],
                ))
                .expect("rectangles");
                let whole = found.iter().any(|r| (r[2] - 100.0).abs() <= 0.1 && (r[3] - 2.0).abs() <= 0.1);
                assert!(whole, "page {page} of {} has a rectangle of 100 mm", paper.name);
            }
        }
    }
}

/// A builder, an office and a client read the three bindings: nothing runs into anything, nothing leaves a sheet, no page is
/// nearly empty, no type is too small to read.
#[test]
fn every_page_can_be_read() {
    for folder in examples().into_iter().filter(|folder| folder.to_string_lossy().ends_with("-corrected")) {
        let design = read(&folder);
        let input = papers::PapersInput::new(&design, &[], papers::PaperSize::A4);
        let set = papers::papers(&input, &["bench", "office", "client"]).expect("the bindings");
        for paper in &set.papers {
            let dir = tempfile::tempdir().expect("a folder");
            let file = dir.path().join("binding.pdf");
            std::fs::write(&file, &paper.pdf).expect("written");
            let pages = run("papers/pages.py", &[file.as_os_str()]);
            let pages = pages.as_array().expect("pages");
            assert_eq!(pages.len(), paper.pages, "{}", paper.name);
            for (index, page) in pages.iter().enumerate() {
                let place = format!("{} of {}, page {}", paper.name, folder.display(), index + 1);
                assert_eq!(page["over"], serde_json::json!([]), "{place}: texts that run into each other");
                assert_eq!(page["outside"], serde_json::json!([]), "{place}: texts that leave the sheet");
                let least = page["least"][0].as_f64().expect("a size");
                assert!(LEAST_TYPE <= least, "{place}: {}", page["least"]);
            }
        }
    }
}

/// The smallest type on paper, in points.
const LEAST_TYPE: f64 = 7.9;

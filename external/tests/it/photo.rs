//! The sheet, the camera and the lens against pictures that NumPy and SciPy draw.

use external::peer;
use photo::{Paper, Picture, View, find_sheet, homography};
use serde_json::Value;

fn numbers(value: &Value) -> Vec<f64> {
    value
        .as_array()
        .expect("a list")
        .iter()
        .flat_map(|v| v.as_f64().map_or_else(|| numbers(v), |x| vec![x]))
        .collect()
}

fn quad(value: &Value) -> [[f64; 2]; 4] {
    let all = numbers(value);
    std::array::from_fn(|k| [all[2 * k], all[2 * k + 1]])
}

#[test]
fn sheets_drawn_by_scipy_are_found_with_their_camera_and_lens() {
    let folder = tempfile::tempdir().expect("a folder");
    let (mut corner, mut bend, mut place, mut tilt, mut matrix) = (0.0f64, 0.0f64, 0.0f64, 0.0f64, 0.0f64);
    for seed in 1..=4u32 {
        let path = folder.path().join("pixels");
        let (is_content, said) =
            peer("photo/peer.py", &[&seed.to_string(), path.to_str().expect("a path")], "");
        assert!(is_content, "{said}");
        let truth: Value = serde_json::from_str(&said).expect("JSON");
        let picture = Picture::new(1600, 1200, std::fs::read(&path).expect("pixels")).expect("a picture");
        let sheet =
            find_sheet(&picture, Paper::A4, View::Above, None, truth["focal_35"].as_f64()).expect("found");
        for (found, wanted) in sheet.corners.iter().zip(quad(&truth["corners"])) {
            corner = corner.max((found[0] - wanted[0]).abs()).max((found[1] - wanted[1]).abs());
        }
        bend = bend.max((sheet.camera.bend() - truth["bend"].as_f64().expect("a number")).abs());
        tilt = tilt.max((sheet.camera.tilt() - truth["tilt"].as_f64().expect("a number")).abs());
        for (found, wanted) in sheet.camera.position().iter().zip(numbers(&truth["position"])) {
            place = place.max((found - wanted).abs());
        }
        let h = homography(&quad(&truth["from"]), &quad(&truth["to"])).expect("four points");
        for (found, wanted) in h.iter().flatten().zip(numbers(&truth["homography"])) {
            matrix = matrix.max((found - wanted).abs());
        }
    }
    println!(
        "corner {corner:.2} px, bend {bend:.4}, tilt {tilt:.2}°, place {place:.1} mm, matrix {matrix:.1e}"
    );
    assert!(corner < 0.3, "{corner} px");
    assert!(bend < 0.002, "{bend}");
    assert!(tilt < 0.1, "{tilt}°");
    assert!(place < 2.0, "{place} mm");
    assert!(matrix < 1e-8, "{matrix}");
}

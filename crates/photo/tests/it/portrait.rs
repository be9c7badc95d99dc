//! The device alone, brought square: as large as it is, and nothing of it outside.

use photo::{Above, Picture, View, find_sheet, portrait};

use crate::scene::{Lot, Scene, real};

/// Millimetres about the device, and dots to a millimetre.
const ABOUT: f64 = 4.0;
const DOTS: f64 = 4.0;

/// The codes of the dot nearest to a place.
fn code(picture: &Picture, across: f64, down: f64) -> [f64; 3] {
    #[expect(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "dots of a picture")]
    let [column, row] = [across, down].map(|v| v.round().max(0.0) as usize);
    let from = (row * picture.width() + column) * 3;
    [0, 1, 2].map(|k| f64::from(picture.rgb()[from + k]))
}

#[test]
fn a_device_that_was_laid_askew_stands_straight_and_as_large_as_it_is() {
    let mut lot = Lot(20_261_201);
    let mut made = 0;
    while made < 6 {
        let scene = Scene::random(&mut lot);
        let shot = scene.above(&mut lot, 15.0);
        let picture = shot.take(&scene, &mut lot);
        let Ok(sheet) = find_sheet(&picture, scene.paper, View::Above, None, Some(shot.focal_35)) else {
            continue;
        };
        let [w, d, h] = scene.size;
        let outline =
            [[0.0, 0.0], [w, 0.0], [w, d], [0.0, d]].map(|[x, y]| shot.project(scene.world([x, y, h])));
        let above = Above { sheet, outline, by_hand: true };
        let alone = portrait(&picture, &above, h, ABOUT, DOTS).expect("a portrait");
        made += 1;
        for (dots, side) in [(alone.width(), w), (alone.height(), d)] {
            let mm = real(dots) / DOTS - 2.0 * ABOUT;
            assert!((mm - side).abs() < 1.0 + 0.01 * side, "{mm} is not {side}");
        }
        // The four corners of the top edge lie where they should: what the camera saw there stands there.
        let at = |x: f64, y: f64| {
            code(&alone, (x + ABOUT) * DOTS - 0.5, real(alone.height()) - (y + ABOUT) * DOTS - 0.5)
        };
        for (x, y) in [(0.25 * w, 0.5 * d), (0.75 * w, 0.5 * d), (0.5 * w, 0.92 * d), (0.1 * w, 0.1 * d)] {
            let [across, down] = shot.project(scene.world([x, y, h]));
            let seen = code(&picture, across, down);
            let off = at(x, y).into_iter().zip(seen).map(|(a, b)| (a - b).abs()).fold(0.0, f64::max);
            // Half a millimetre off, where printing begins, is another colour: nearly all must agree.
            assert!(off < 90.0, "at {x:.0}, {y:.0}: {off}");
        }
    }
}

#[test]
fn an_edge_without_size_makes_no_portrait() {
    let mut lot = Lot(7);
    let (scene, shot, picture) = loop {
        let scene = Scene::random(&mut lot);
        let shot = scene.above(&mut lot, 5.0);
        let picture = shot.take(&scene, &mut lot);
        if find_sheet(&picture, scene.paper, View::Above, None, None).is_ok() {
            break (scene, shot, picture);
        }
    };
    let sheet = find_sheet(&picture, scene.paper, View::Above, None, None).expect("found before");
    let corner = shot.project(scene.world([10.0, 10.0, 0.0]));
    let above = Above { sheet, outline: [corner; 4], by_hand: true };
    assert!(portrait(&picture, &above, 40.0, ABOUT, DOTS).is_none());
}

//! Pictures that will not do are refused by name.

use photo::{Paper, Picture, Refusal, View, find_sheet};

use crate::scene::{Lot, Scene, Shot};

fn scene() -> (Scene, Shot) {
    let mut lot = Lot(5);
    let scene = Scene::random(&mut lot);
    let mut shot = scene.above(&mut lot, 8.0);
    while shot.width != 1600 {
        shot = scene.above(&mut lot, 8.0);
    }
    (scene, shot)
}

fn refusal(scene: &Scene, shot: &Shot, paper: Paper) -> Refusal {
    let picture = shot.take(scene, &mut Lot(9));
    let why =
        find_sheet(&picture, paper, View::Above, None, Some(shot.focal_35)).expect_err("it will not do");
    assert!(!why.to_string().is_empty() && !why.remedy().is_empty() && !why.word().is_empty());
    why
}

#[test]
fn blurred_dark_tilted_and_coarse_pictures_say_so() {
    let (scene, shot) = scene();
    let paper = scene.paper;
    let why = refusal(&scene, &Shot { blur: 5.0, ..shot.clone() }, paper);
    assert!(matches!(why, Refusal::Blurred(_)), "{why}");
    let why = refusal(&scene, &Shot { exposure: 0.03, noise: 0.0005, ..shot.clone() }, paper);
    assert!(matches!(why, Refusal::TooDark(_)), "{why}");
    let mut lot = Lot(2);
    let mut tilted = scene.above(&mut lot, 40.0);
    while tilted.tilt < 33.0 || tilted.width != 1600 {
        tilted = scene.above(&mut lot, 40.0);
    }
    let why = refusal(&scene, &tilted, paper);
    assert!(matches!(why, Refusal::TooTilted(_)), "{why}");
    let coarse = Shot { width: 560, height: 420, focal: shot.focal * 0.35, blur: 0.5, ..shot.clone() };
    let why = refusal(&scene, &coarse, paper);
    assert!(matches!(why, Refusal::TooFewPixels(_) | Refusal::Blurred(_)), "{why}");
    let other = if paper == Paper::A4 { Paper::Letter } else { Paper::A4 };
    let why = refusal(&scene, &shot, other);
    assert!(matches!(why, Refusal::WrongPaper(..)), "{why}");
    // The camera moved aside by half a sheet.
    let aside = Shot { position: [shot.position[0] + 190.0, shot.position[1], shot.position[2]], ..shot };
    let why = refusal(&scene, &aside, paper);
    assert!(matches!(why, Refusal::NotWhole | Refusal::NoSheet), "{why}");
}

/// Bright rectangles on a dark ground.
fn flat(rectangles: &[[usize; 4]]) -> Picture {
    let (width, height) = (1200, 900);
    let mut lot = Lot(1);
    let mut rgb = Vec::new();
    for y in 0..height {
        for x in 0..width {
            let is_paper =
                rectangles.iter().any(|[l, t, r, b]| (*l..*r).contains(&x) && (*t..*b).contains(&y));
            let code = if is_paper { 222 } else { 50 } + u8::try_from(lot.next() % 6).expect("small");
            rgb.extend([code; 3]);
        }
    }
    Picture::new(width, height, rgb).expect("three bytes for each pixel")
}

#[test]
fn no_sheet_two_sheets_and_crossed_corners_say_so() {
    let find = |picture: &Picture, corners| find_sheet(picture, Paper::A4, View::Above, corners, None);
    assert_eq!(find(&flat(&[]), None).expect_err("nothing there"), Refusal::NoSheet);
    let two = flat(&[[60, 200, 560, 553], [640, 200, 1140, 553]]);
    assert_eq!(find(&two, None).expect_err("two"), Refusal::TwoSheets);
    let one = flat(&[[100, 100, 1090, 800]]);
    assert!(find(&one, None).is_ok(), "{:?}", find(&one, None).err());
    let crossed = [[100.0, 100.0], [101.0, 101.0], [102.0, 102.0], [103.0, 103.0]];
    assert_eq!(find(&one, Some(crossed)).expect_err("a line"), Refusal::CornersCross);
    let wild = [[f64::NAN, 0.0], [1e300, 0.0], [0.0, 1e300], [0.0, 0.0]];
    assert_eq!(find(&one, Some(wild)).expect_err("no corners"), Refusal::CornersCross);
    // Roughly dragged corners find the edges.
    let rough = [[112.0, 812.0], [1080.0, 790.0], [1095.0, 108.0], [92.0, 91.0]];
    let sheet = find(&one, Some(rough)).expect("found");
    assert!(
        (sheet.corners[2][0] - 1089.5).abs() < 1.0 && (sheet.corners[2][1] - 99.5).abs() < 1.0,
        "{:?}",
        sheet.corners
    );
}

//! What comes out of pictures beside what was put into the scenes.

use std::fmt::Write as _;

use photo::{Above, Before, Face, Length, Picture, Shot, measure, propose};

use crate::scene::{Lot, Scene, Side};

/// Writes a picture for eyes, where the environment names a folder.
fn show(picture: &Picture, name: &str, marks: &[[f64; 2]]) {
    let Ok(folder) = std::env::var("BOARDWRIGHT_PICTURES") else { return };
    let side = |n: usize| u32::try_from(n).expect("small");
    let (w, h) = (side(picture.width()), side(picture.height()));
    let mut image = image::RgbImage::from_raw(w, h, picture.rgb().to_vec()).expect("pixels");
    for mark in marks {
        for k in -14i32..=14 {
            #[expect(clippy::cast_possible_truncation, reason = "pixels")]
            let (x, y) = (mark[0].round() as i32, mark[1].round() as i32);
            for (x, y) in [(x + k, y), (x, y + k)] {
                if let (Ok(x), Ok(y)) = (u32::try_from(x), u32::try_from(y))
                    && x < w
                    && y < h
                {
                    image.put_pixel(x, y, image::Rgb([255, 0, 255]));
                }
            }
        }
    }
    image.save(format!("{folder}/{name}.jpg")).expect("written");
}

/// The same after a phone has written it: JPEG of a quality from 70 to 95.
fn compressed(picture: &Picture, lot: &mut Lot) -> Picture {
    let side = |n: usize| u32::try_from(n).expect("small");
    let quality = 70 + u8::try_from(lot.next() % 26).expect("small");
    let mut file = Vec::new();
    image::ImageEncoder::write_image(
        image::codecs::jpeg::JpegEncoder::new_with_quality(&mut file, quality),
        picture.rgb(),
        side(picture.width()),
        side(picture.height()),
        image::ColorType::Rgb8.into(),
    )
    .expect("written");
    let image = image::load_from_memory_with_format(&file, image::ImageFormat::Jpeg).expect("read");
    Picture::new(picture.width(), picture.height(), image.into_rgb8().into_raw()).expect("pixels")
}

#[derive(Default)]
struct Tally {
    scenes: u32,
    refused: u32,
    unfound: u32,
    lengths: u32,
    /// Those of them that are said to be sure, and how many of these are near.
    sure: u32,
    near: u32,
    covered: u32,
    within: f64,
    /// What is told of each, for who asks.
    log: String,
}

impl Tally {
    fn count(&mut self, what: &str, found: Length, truth: f64, loud: bool) {
        let off = found.mm - truth;
        self.lengths += 1;
        self.sure += u32::from(found.is_sure());
        self.near += u32::from(found.is_sure() && off.abs() <= 1.0 + 0.005 * truth);
        self.covered += u32::from(off.abs() <= found.within);
        self.within += found.within;
        if loud {
            let mark = if off.abs() <= found.within { ' ' } else { '!' };
            let _ = writeln!(
                self.log,
                "  {mark} {what} {truth:.1}: {:.2} ± {:.2}, off {off:.2}",
                found.mm, found.within
            );
        }
    }
}

fn one(seed: u64, [automatic, unsure, by_hand]: [&mut Tally; 3], loud: bool) {
    let mut lot = Lot(seed);
    let scene = Scene::random(&mut lot);
    automatic.scenes += 1;
    by_hand.scenes += 1;
    let above = scene.above(&mut lot, 20.0);
    let top = compressed(&above.take(&scene, &mut lot), &mut lot);
    let sides: Vec<_> = [(Face::Right, Side::Right), (Face::Back, Side::Back)]
        .into_iter()
        .map(|(face, side)| {
            let shot = scene.before(&mut lot, side);
            let picture = compressed(&shot.take(&scene, &mut lot), &mut lot);
            (face, side, shot, picture)
        })
        .collect();
    let mut said = |focal: f64| (lot.unit() < 0.7).then_some(focal);
    let first = Shot { picture: &top, focal_35: said(above.focal_35), corners: None };
    let others: Vec<(Face, Shot<'_>)> = sides
        .iter()
        .map(|(face, _, shot, picture)| {
            (*face, Shot { picture, focal_35: said(shot.focal_35), corners: None })
        })
        .collect();
    let proposal = match propose(scene.paper, first, &others) {
        Ok(proposal) => proposal,
        Err(refused) => {
            if loud {
                let _ = writeln!(automatic.log, "{seed}: picture {}: {}", refused.picture, refused.why);
            }
            let picture = if refused.picture == 0 { &top } else { &sides[refused.picture - 1].3 };
            show(picture, &format!("{seed}-{}-refused", refused.picture), &[]);
            automatic.refused += 1;
            by_hand.refused += 1;
            return;
        }
    };
    let [w, d, h] = scene.size;
    let mut proposed = Vec::new();
    let mut dragged = Vec::new();
    for ((face, side, shot, picture), (sheet, found)) in sides.iter().zip(&proposal.before) {
        let jack = scene.jacks.iter().find(|j| j.side == *side).expect("a jack");
        let place = |along: f64, high: f64, out: f64| {
            let p = match side {
                Side::Right => [w + out, along, high],
                Side::Back => [along, d + out, high],
                Side::Left => [-out, along, high],
                Side::Front => [along, -out, high],
            };
            shot.project(scene.world(p))
        };
        let long = if *side == Side::Back { w } else { d };
        let (l, r) = if *side == Side::Right || *side == Side::Front { (0.0, long) } else { (long, 0.0) };
        // What a person would drag to: the true points, a little off.
        // With the loupe a point is placed within a pixel or so.
        let hand = 0.6 * crate::scene::real(shot.width) / 1600.0;
        let mut shaken = |p: [f64; 2]| p.map(|v| v + hand * lot.normal());
        let corners =
            [place(l, 0.0, 0.0), place(r, 0.0, 0.0), place(r, h, 0.0), place(l, h, 0.0)].map(&mut shaken);
        let truth = place(jack.along, jack.high, 1.5);
        dragged.push(Before {
            face: *face,
            sheet: sheet.clone(),
            corners,
            jacks: vec![shaken(truth)],
            by_hand: true,
        });
        let marks: Vec<[f64; 2]> = found
            .iter()
            .flat_map(|f| f.corners.iter().chain(&f.jacks).copied())
            .chain(sheet.corners)
            .collect();
        show(picture, &format!("{seed}-{face:?}"), &marks);
        if let Some(found) = found {
            // The proposal nearest to the true jack: whoever looks removes the others.
            let far = |p: &[f64; 2]| {
                ((p[0] - truth[0]) * (p[0] - truth[0]) + (p[1] - truth[1]) * (p[1] - truth[1])).sqrt()
            };
            let nearest = found.jacks.iter().copied().min_by(|a, b| far(a).total_cmp(&far(b)));
            let jacks = nearest.into_iter().filter(|p| far(p) < 40.0 * hand).collect();
            proposed.push(Before { jacks, ..found.clone() });
        }
    }
    let marks: Vec<[f64; 2]> =
        proposal.above.iter().flat_map(|a| a.outline).chain(proposal.sheet.corners).collect();
    show(&top, &format!("{seed}-top"), &marks);
    match &proposal.above {
        Some(above) if proposed.len() == 2 && proposal.doubt.is_none() => {
            if loud {
                let apart = photo::contradiction(above, &proposed);
                let _ = writeln!(automatic.log, "{seed} seen {:.2} apart {apart:.1}", proposal.seen);
            }
            let found = measure(above, &proposed, None);
            if proposal.is_sure {
                tally(automatic, &scene, &found, loud);
            } else {
                let _ = writeln!(automatic.log, "  unsure");
                unsure.scenes += 1;
                tally(unsure, &scene, &found.unsure(), loud);
                automatic.log += &std::mem::take(&mut unsure.log);
            }
        }
        _ => {
            if loud {
                let _ = writeln!(
                    automatic.log,
                    "{seed}: to be dragged, {:?} mm apart, seen {:.2}",
                    proposal.doubt, proposal.seen
                );
            }
            automatic.unfound += 1;
        }
    }
    let hand = 0.6 * crate::scene::real(above.width) / 1600.0;
    let outline = [[0.0, 0.0], [w, 0.0], [w, d], [0.0, d]]
        .map(|[x, y]| above.project(scene.world([x, y, h])).map(|v| v + hand * lot.normal()));
    let found = measure(&Above { sheet: proposal.sheet.clone(), outline, by_hand: true }, &dragged, None);
    tally(by_hand, &scene, &found, false);
}

fn tally(to: &mut Tally, scene: &Scene, found: &photo::Measures, loud: bool) {
    to.count("width", found.width, scene.size[0], loud);
    to.count("depth", found.depth, scene.size[1], loud);
    to.count("height", found.height.expect("sides"), scene.size[2], loud);
    for jack in &found.jacks {
        let truth = scene
            .jacks
            .iter()
            .find(|j| format!("{:?}", j.side) == format!("{:?}", jack.face))
            .expect("a jack");
        to.count("along", jack.along, truth.along, loud);
        to.count("high", jack.high, truth.high, loud);
    }
}

/// Scenes of the ordinary run, and how many lengths they have: none was used to choose a constant.
const ORDINARY: [u64; 2] = [60_001, 60_002];
const ORDINARY_LENGTHS: [u32; 2] = [12, 14];

/// At most one length in twenty is off, or is not where it is said to be.
#[test]
fn lengths_of_random_scenes_are_within_what_is_said() {
    let first: u64 = std::env::var("BOARDWRIGHT_SEED").ok().and_then(|n| n.parse().ok()).unwrap_or(1);
    let soak: Option<u64> = std::env::var("BOARDWRIGHT_SOAK").ok().and_then(|n| n.parse().ok());
    let loud = std::env::var("BOARDWRIGHT_LOUD").is_ok();
    let seeds = soak.map_or(ORDINARY.to_vec(), |count| (first..first + count).collect());
    let mut all: [Tally; 3] = Default::default();
    for seed in seeds {
        one(seed, all.each_mut(), loud);
        print!("{}", std::mem::take(&mut all[0].log));
    }
    for (name, t) in ["proposed", "proposed as unsure", "dragged"].iter().zip(&all) {
        let n = f64::from(t.lengths.max(1));
        println!(
            "soak: {name}: {} scenes, {} refused, {} not found; {} lengths, {} of them sure and of these {:.1} % within 1 mm + 0.5 %, {:.1} % of all within what is said, ± {:.2} mm in the mean",
            t.scenes,
            t.refused,
            t.unfound,
            t.lengths,
            t.sure,
            f64::from(t.near) * 100.0 / f64::from(t.sure.max(1)),
            f64::from(t.covered) * 100.0 / n,
            t.within / n
        );
    }
    let [sure, unsure, dragged] = all;
    if soak.is_none() {
        assert_eq!([sure.lengths, dragged.lengths], ORDINARY_LENGTHS);
    }
    for (name, t) in [("proposed", &sure), ("dragged", &dragged)] {
        // Of a dozen none.
        let most = t.lengths / 20;
        assert!(4 * t.lengths <= 5 * t.sure, "{name}: {} of {} lengths are sure", t.sure, t.lengths);
        let (off, outside) = (t.sure - t.near, t.lengths - t.covered);
        assert!(20 * off <= t.sure, "{name}: {off} of {} are off", t.sure);
        assert!(outside <= most, "{name}: {outside} of {} are not where they are said to be", t.lengths);
    }
    // Most pictures do; the others say why.
    let left = sure.refused + sure.unfound + unsure.scenes;
    assert!(5 * left <= 2 * sure.scenes, "{left} of {} scenes are not proposed surely", sure.scenes);
}

//! Files that are whole, damaged and meant to harm.

use photo::Picture;
use pictures::{KEPT, Unreadable, jpeg, read, smaller};

/// A picture of slopes and stripes.
fn sample(width: usize, height: usize) -> Picture {
    let mut rgb = Vec::new();
    for y in 0..height {
        for x in 0..width {
            rgb.extend([x, y, x * y / 7].map(|v| u8::try_from(v % 251).expect("small")));
        }
    }
    Picture::new(width, height, rgb).expect("three bytes for each")
}

fn random(seed: &mut u64) -> usize {
    *seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
    usize::try_from(*seed >> 33).expect("31 bits")
}

/// The EXIF block of a JPEG that says how it is turned, its focal length, and where it was taken.
fn with_exif(jpeg: &[u8], orientation: u8) -> Vec<u8> {
    let mut tiff = b"II*\0\x08\0\0\0".to_vec();
    let entry = |tag: u16, kind: u16, count: u32, value: u32| {
        let mut out = Vec::new();
        out.extend(tag.to_le_bytes());
        out.extend(kind.to_le_bytes());
        out.extend(count.to_le_bytes());
        out.extend(value.to_le_bytes());
        out
    };
    tiff.extend(3u16.to_le_bytes());
    tiff.extend(entry(0x0112, 3, 1, u32::from(orientation)));
    tiff.extend(entry(0x8769, 4, 1, 50));
    tiff.extend(entry(0x8825, 4, 1, 68));
    tiff.extend(0u32.to_le_bytes());
    tiff.extend(1u16.to_le_bytes());
    tiff.extend(entry(0xa405, 3, 1, 26));
    tiff.extend(0u32.to_le_bytes());
    tiff.extend(1u16.to_le_bytes());
    tiff.extend(entry(0x0001, 2, 2, u32::from(b'N')));
    tiff.extend(0u32.to_le_bytes());
    let mut out = jpeg[..2].to_vec();
    out.extend([0xff, 0xe1]);
    out.extend(u16::try_from(tiff.len() + 8).expect("small").to_be_bytes());
    out.extend(b"Exif\0\0");
    out.extend(tiff);
    out.extend(&jpeg[2..]);
    out
}

#[test]
fn a_turned_picture_stands_upright_and_its_focal_length_is_known() {
    let file = with_exif(&jpeg(&sample(320, 240), KEPT).expect("written"), 6);
    let taken = read(&file).expect("a picture");
    assert_eq!((taken.picture.width(), taken.picture.height()), (240, 320));
    assert_eq!(taken.focal_35, Some(26.0));
}

#[test]
fn what_is_kept_says_neither_where_nor_when() {
    let file = with_exif(&jpeg(&sample(320, 240), KEPT).expect("written"), 1);
    assert!(file.windows(4).any(|four| four == b"Exif"));
    let kept = jpeg(&read(&file).expect("a picture").picture, KEPT).expect("written");
    assert!(!kept.windows(4).any(|four| four == b"Exif"));
    assert_eq!(read(&kept).expect("a picture").focal_35, None);
}

#[test]
fn a_smaller_copy_has_the_side_that_was_asked_for_and_the_same_mean() {
    let large = sample(1000, 700);
    let copy = smaller(&large, 250);
    assert_eq!((copy.width(), copy.height()), (250, 175));
    let mean = |p: &Picture| p.rgb().iter().map(|v| u64::from(*v)).sum::<u64>() / p.rgb().len() as u64;
    assert!(mean(&large).abs_diff(mean(&copy)) <= 1);
}

#[test]
fn other_files_and_bombs_are_refused_by_name() {
    assert_eq!(read(b"hello").expect_err("text"), Unreadable::Kind);
    assert_eq!(read(&[]).expect_err("nothing"), Unreadable::Kind);
    // A PNG that says it has 60 000 × 60 000 pixels.
    let mut bomb = b"\x89PNG\r\n\x1a\n\0\0\0\x0dIHDR".to_vec();
    bomb.extend(60_000u32.to_be_bytes());
    bomb.extend(60_000u32.to_be_bytes());
    bomb.extend([8, 2, 0, 0, 0, 0, 0, 0, 0]);
    assert!(read(&bomb).is_err());
    assert!(matches!(
        read(&jpeg(&sample(60, 60), KEPT).expect("written")),
        Err(Unreadable::TooFewPixels(60, 60))
    ));
}

#[test]
fn damaged_and_hostile_files_never_panic() {
    let count: usize = std::env::var("BOARDWRIGHT_SOAK").ok().and_then(|n| n.parse().ok()).unwrap_or(150);
    let mut seed: u64 = std::env::var("BOARDWRIGHT_SEED").ok().and_then(|n| n.parse().ok()).unwrap_or(1);
    let small = sample(240, 210);
    let whole = jpeg(&small, KEPT).expect("written");
    let mut png = Vec::new();
    image::ImageEncoder::write_image(
        image::codecs::png::PngEncoder::new(&mut png),
        small.rgb(),
        240,
        210,
        image::ColorType::Rgb8.into(),
    )
    .expect("written");
    let mut webp = Vec::new();
    image::ImageEncoder::write_image(
        image::codecs::webp::WebPEncoder::new_lossless(&mut webp),
        small.rgb(),
        240,
        210,
        image::ColorType::Rgb8.into(),
    )
    .expect("written");
    let files = [with_exif(&whole, 3), whole, png, webp];
    let (mut read_all_the_same, mut refused) = (0, 0);
    for _ in 0..count {
        let mut file = files[random(&mut seed) % files.len()].clone();
        match random(&mut seed) % 5 {
            0 => file.truncate(random(&mut seed) % file.len()),
            1 => {
                // Sizes and lengths near the beginning.
                let near = file.len().min(64);
                for _ in 0..3 {
                    let at = random(&mut seed) % near;
                    file[at] = [0, 1, 0x7f, 0x80, 0xff][random(&mut seed) % 5];
                }
            }
            2 => {
                let at = random(&mut seed) % file.len();
                let more = file[at..].to_vec();
                file.extend(more);
            }
            _ => {
                for _ in 0..=random(&mut seed) % 40 {
                    let at = random(&mut seed) % file.len();
                    file[at] = u8::try_from(random(&mut seed) % 256).expect("a byte");
                }
            }
        }
        match read(&file) {
            Ok(taken) => {
                let pixels = taken.picture.width() * taken.picture.height();
                assert!(pixels <= 3300 * 3300, "{pixels} pixels");
                read_all_the_same += 1;
            }
            Err(why) => {
                assert!(!why.to_string().is_empty());
                refused += 1;
            }
        }
    }
    println!(
        "soak: {count} damaged files: {refused} refused, {read_all_the_same} read all the same, no panic"
    );
    assert!(0 < refused && 0 < read_all_the_same);
}

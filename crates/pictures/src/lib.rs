//! Picture files read within limits, and smaller copies of them without what they say of place and time.
//!
//! What comes in may be anything: the kind of file is told from its first bytes, its size is looked at before a pixel is
//! read, and the reader may take so much memory and no more. What is kept is pixels alone, written anew.

use std::io::Cursor;

use image::codecs::jpeg::{JpegDecoder, JpegEncoder};
use image::codecs::png::PngDecoder;
use image::codecs::webp::WebPDecoder;
use image::metadata::Orientation;
use image::{ColorType, DynamicImage, ImageDecoder, ImageEncoder, Limits};
use photo::Picture;

/// The largest file that is read, in bytes: a phone's picture of fifty megapixels has half of it.
pub const LARGEST_FILE: usize = 24 * 1024 * 1024;
/// The most pixels to a side.
pub const LONGEST_SIDE: u32 = 10_000;
/// The most pixels.
pub const MOST_PIXELS: u64 = 52_000_000;
/// The most memory that reading may take, in bytes.
const MOST_MEMORY: u64 = MOST_PIXELS * 8;
/// Pixels of the longer side that measuring works with; larger pictures are made smaller.
const WORKING: usize = 3300;
/// Pixels of the longer side of what is kept.
pub const KEPT: usize = 1600;

/// Why a file is no picture that can be read.
#[derive(Debug, thiserror::Error, PartialEq, Eq)]
pub enum Unreadable {
    /// Too many bytes.
    #[error("a picture has at most 24 MB, and this file {0} MB")]
    TooLarge(usize),
    /// Another kind of file.
    #[error("this is no JPEG, PNG or WebP picture; most phones can save as JPEG")]
    Kind,
    /// Too many pixels.
    #[error("{0} × {1} pixels are more than is read here; save it smaller")]
    TooManyPixels(u32, u32),
    /// Damaged, or it asks for more memory than it has pixels.
    #[error("the picture cannot be read: {0}")]
    Damaged(String),
    /// Fewer pixels than can say anything.
    #[error("{0} × {1} pixels are too few to measure by")]
    TooFewPixels(u32, u32),
}

/// A picture that was read.
#[derive(Debug, Clone)]
pub struct Taken {
    /// Its pixels, upright, made smaller where there were very many.
    pub picture: Picture,
    /// The focal length it names, in mm as for film of 36 × 24 mm.
    pub focal_35: Option<f64>,
}

/// Reads a picture.
pub fn read(bytes: &[u8]) -> Result<Taken, Unreadable> {
    if LARGEST_FILE < bytes.len() {
        return Err(Unreadable::TooLarge(bytes.len() / 1024 / 1024));
    }
    let damaged = |error: image::ImageError| Unreadable::Damaged(error.to_string());
    if bytes.starts_with(&[0xff, 0xd8, 0xff]) {
        decoded(JpegDecoder::new(Cursor::new(bytes)).map_err(damaged)?, bytes)
    } else if bytes.starts_with(b"\x89PNG\r\n\x1a\n") {
        decoded(PngDecoder::with_limits(Cursor::new(bytes), limits()).map_err(damaged)?, bytes)
    } else if bytes.starts_with(b"RIFF") && bytes.get(8..12) == Some(b"WEBP".as_slice()) {
        decoded(WebPDecoder::new(Cursor::new(bytes)).map_err(damaged)?, bytes)
    } else {
        Err(Unreadable::Kind)
    }
}

fn limits() -> Limits {
    let mut limits = Limits::default();
    limits.max_image_width = Some(LONGEST_SIDE);
    limits.max_image_height = Some(LONGEST_SIDE);
    limits.max_alloc = Some(MOST_MEMORY);
    limits
}

fn decoded(mut decoder: impl ImageDecoder, bytes: &[u8]) -> Result<Taken, Unreadable> {
    let (width, height) = decoder.dimensions();
    let pixels = u64::from(width) * u64::from(height);
    if LONGEST_SIDE < width.max(height) || MOST_PIXELS < pixels {
        return Err(Unreadable::TooManyPixels(width, height));
    }
    if width.min(height) < 200 {
        return Err(Unreadable::TooFewPixels(width, height));
    }
    // A file of few bytes that says it has many pixels is no photograph.
    if u64::try_from(bytes.len()).unwrap_or(u64::MAX) * 2000 < pixels {
        return Err(Unreadable::Damaged("it has far fewer bytes than its pixels need".to_owned()));
    }
    let damaged = |error: image::ImageError| Unreadable::Damaged(error.to_string());
    decoder.set_limits(limits()).map_err(damaged)?;
    let orientation = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let mut image = DynamicImage::from_decoder(decoder).map_err(damaged)?;
    image.apply_orientation(orientation);
    let image = image.into_rgb8();
    let (width, height) = (wide(image.width()), wide(image.height()));
    let picture = Picture::new(width, height, image.into_raw())
        .ok_or_else(|| Unreadable::Damaged("it has fewer pixels than it says".to_owned()))?;
    let picture = if WORKING < width.max(height) { smaller(&picture, WORKING) } else { picture };
    Ok(Taken { picture, focal_35: focal_35(bytes) })
}

fn wide(side: u32) -> usize {
    usize::try_from(side).unwrap_or(usize::MAX)
}

/// The focal length in mm as for film of 36 × 24 mm, where the file says it (EXIF, CIPA DC-008, tag 0xA405; from memory).
fn focal_35(bytes: &[u8]) -> Option<f64> {
    let exif = exif::Reader::new().read_from_container(&mut Cursor::new(bytes)).ok()?;
    let field = exif.get_field(exif::Tag::FocalLengthIn35mmFilm, exif::In::PRIMARY)?;
    field.value.get_uint(0).map(f64::from).filter(|mm| (8.0..300.0).contains(mm))
}

/// A copy whose longer side has `long` pixels: each the mean of what it covers.
#[must_use]
pub fn smaller(picture: &Picture, long: usize) -> Picture {
    let (width, height) = (picture.width(), picture.height());
    let most = width.max(height);
    if most <= long {
        return picture.clone();
    }
    let scaled = |side: usize| (side * long / most).max(1);
    let (to_width, to_height) = (scaled(width), scaled(height));
    let mut rgb = Vec::with_capacity(to_width * to_height * 3);
    let pixels = picture.rgb();
    for y in 0..to_height {
        let rows = y * height / to_height..((y + 1) * height / to_height).max(y * height / to_height + 1);
        for x in 0..to_width {
            let columns = x * width / to_width..((x + 1) * width / to_width).max(x * width / to_width + 1);
            let mut sum = [0u32; 3];
            let mut count = 0u32;
            for row in rows.clone() {
                for column in columns.clone() {
                    let at = (row * width + column) * 3;
                    for (sum, code) in sum.iter_mut().zip(&pixels[at..at + 3]) {
                        *sum += u32::from(*code);
                    }
                    count += 1;
                }
            }
            rgb.extend(sum.map(|sum| u8::try_from((sum + count / 2) / count).unwrap_or(u8::MAX)));
        }
    }
    Picture::new(to_width, to_height, rgb).unwrap_or_else(|| picture.clone())
}

/// The bytes of a JPEG of at most `long` pixels to a side. Nothing of the file it came from is in it but what one sees: neither
/// place nor date nor the name of the camera.
pub fn jpeg(picture: &Picture, long: usize) -> Result<Vec<u8>, Unreadable> {
    let copy = smaller(picture, long);
    let side = |n: usize| u32::try_from(n).unwrap_or(u32::MAX);
    let mut out = Vec::new();
    JpegEncoder::new_with_quality(&mut out, 85)
        .write_image(copy.rgb(), side(copy.width()), side(copy.height()), ColorType::Rgb8.into())
        .map_err(|error| Unreadable::Damaged(error.to_string()))?;
    Ok(out)
}

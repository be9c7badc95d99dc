//! Pixels in memory.

use crate::numbers::{index, real};

/// A picture: red, green and blue of each pixel, row by row from the top, as sRGB codes them.
#[derive(Debug, Clone)]
pub struct Picture {
    width: usize,
    height: usize,
    rgb: Vec<u8>,
}

impl Picture {
    /// A picture of `width` × `height` pixels; `None` when `rgb` has not three bytes for each.
    pub fn new(width: usize, height: usize, rgb: Vec<u8>) -> Option<Self> {
        let wanted = width.checked_mul(height)?.checked_mul(3)?;
        (0 < width && 0 < height && rgb.len() == wanted).then_some(Self { width, height, rgb })
    }

    /// Pixels in a row.
    pub fn width(&self) -> usize {
        self.width
    }

    /// Rows.
    pub fn height(&self) -> usize {
        self.height
    }

    /// All bytes, row by row.
    pub fn rgb(&self) -> &[u8] {
        &self.rgb
    }

    /// Half of its diagonal, in pixels: the unit of radial distortion.
    pub(crate) fn half_diagonal(&self) -> f64 {
        (real(self.width) * real(self.width) + real(self.height) * real(self.height)).sqrt() / 2.0
    }

    pub(crate) fn at(&self, x: usize, y: usize) -> [u8; 3] {
        let at = (y * self.width + x) * 3;
        [self.rgb[at], self.rgb[at + 1], self.rgb[at + 2]]
    }

    /// The codes between pixels, 0 to 255; `None` outside. Pixel centres have whole coordinates.
    pub(crate) fn between(&self, [x, y]: [f64; 2]) -> Option<[f64; 3]> {
        if !(0.0 <= x && 0.0 <= y && x < real(self.width - 1) && y < real(self.height - 1)) {
            return None;
        }
        let (left, top) = (index(x), index(y));
        let (a, b) = (x - real(left), y - real(top));
        let corner = |dx: usize, dy: usize| self.at(left + dx, top + dy);
        let [p, q, r, s] = [corner(0, 0), corner(1, 0), corner(0, 1), corner(1, 1)];
        Some(std::array::from_fn(|c| {
            let upper = f64::from(p[c]) * (1.0 - a) + f64::from(q[c]) * a;
            let lower = f64::from(r[c]) * (1.0 - a) + f64::from(s[c]) * a;
            upper * (1.0 - b) + lower * b
        }))
    }
}

/// One value for each pixel of a small copy.
#[derive(Debug, Clone)]
pub(crate) struct Grey {
    pub(crate) width: usize,
    pub(crate) height: usize,
    pub(crate) values: Vec<f32>,
}

impl Grey {
    pub(crate) fn at(&self, x: usize, y: usize) -> f64 {
        f64::from(self.values[y * self.width + x])
    }

    pub(crate) fn near(&self, [x, y]: [f64; 2]) -> Option<f64> {
        let (x, y) = (x + 0.5, y + 0.5);
        if !(0.0 <= x && 0.0 <= y && x < real(self.width) && y < real(self.height)) {
            return None;
        }
        Some(self.at(index(x), index(y)))
    }
}

/// A small copy of a picture whose longer side has at most `long` pixels, and how many pixels of the picture one of it is.
/// Its pixel (x, y) lies at ((x + ½) · scale − ½, …) of the picture.
pub(crate) fn small(picture: &Picture, long: usize) -> (Vec<[f32; 3]>, usize, usize, f64) {
    let factor = picture.width.max(picture.height).div_ceil(long).max(1);
    let (width, height) = ((picture.width / factor).max(1), (picture.height / factor).max(1));
    let mut out = Vec::with_capacity(width * height);
    let count = real(factor * factor);
    for y in 0..height {
        for x in 0..width {
            let mut sum = [0u32; 3];
            for row in y * factor..((y + 1) * factor).min(picture.height) {
                for column in x * factor..((x + 1) * factor).min(picture.width) {
                    let pixel = picture.at(column, row);
                    for c in 0..3 {
                        sum[c] += u32::from(pixel[c]);
                    }
                }
            }
            out.push(sum.map(|value| single(f64::from(value) / count)));
        }
    }
    (out, width, height, real(factor))
}

/// A number in half the memory: seven digits are more than a pixel has.
#[expect(clippy::cast_possible_truncation, reason = "pixel values need no more digits")]
pub(crate) fn single(value: f64) -> f32 {
    value as f32
}

/// Light from the code of a pixel, 0 to 1 (IEC 61966-2-1, sRGB, from memory).
pub(crate) fn light(code: f64) -> f64 {
    let c = code / 255.0;
    if c <= 0.04045 { c / 12.92 } else { libm::pow((c + 0.055) / 1.055, 2.4) }
}

/// How bright a colour looks, of linear parts (Rec. 709 weights, from memory).
pub(crate) fn luma([r, g, b]: [f64; 3]) -> f64 {
    0.2126 * r + 0.7152 * g + 0.0722 * b
}

//! A picture made square: the sheet as it lies, or the device alone, to scale.

use crate::measure::Above;
use crate::numbers::{index, real};
use crate::picture::Picture;
use crate::sheet::Sheet;

/// The sheet and `around` mm about it, seen from straight above, with so many dots to a millimetre. The back is up. `None`
/// where nothing is asked for.
pub fn squared(picture: &Picture, sheet: &Sheet, around: f64, dots: f64) -> Option<Picture> {
    drawn(picture, sheet.size, around, dots, |[x, y]| sheet.camera.project([x, y, 0.0]))
}

/// The device alone and `around` mm about it, seen from straight above with its front down: the picture from above on the
/// level of its top edge, which stands `height` mm above the sheet. `None` where the edge has no size.
pub fn portrait(picture: &Picture, above: &Above, height: f64, around: f64, dots: f64) -> Option<Picture> {
    let camera = &above.sheet.camera;
    let [front_left, front_right, back_right, back_left] =
        above.outline.map(|corner| camera.on_level(corner, height)).map(|[x, y, _]| [x, y]);
    let apart = |a: [f64; 2], b: [f64; 2]| libm::hypot(a[0] - b[0], a[1] - b[1]);
    let size = [
        f64::midpoint(apart(front_left, front_right), apart(back_left, back_right)),
        f64::midpoint(apart(front_left, back_left), apart(front_right, back_right)),
    ];
    if !size.iter().all(|side| (LEAST..MOST).contains(side)) {
        return None;
    }
    // Between its four corners, and on beyond them, so that what was laid askew stands straight.
    drawn(picture, size, around, dots, |[x, y]| {
        let (s, t) = (x / size[0], y / size[1]);
        let at = |axis: usize| {
            (1.0 - t) * ((1.0 - s) * front_left[axis] + s * front_right[axis])
                + t * ((1.0 - s) * back_left[axis] + s * back_right[axis])
        };
        camera.project([at(0), at(1), height])
    })
}

/// Sides of a device that can be drawn, in mm.
const LEAST: f64 = 15.0;
const MOST: f64 = 700.0;

/// A rectangle of this size in mm with `around` mm about it, its front down: each dot is what stands in the picture where
/// `found` says.
fn drawn(
    picture: &Picture,
    size: [f64; 2],
    around: f64,
    dots: f64,
    found: impl Fn([f64; 2]) -> [f64; 2],
) -> Option<Picture> {
    let [width, height] = size.map(|side| index((side + 2.0 * around) * dots));
    let mut rgb = Vec::with_capacity(width * height * 3);
    for row in 0..height {
        let y = size[1] + around - (real(row) + 0.5) / dots;
        for column in 0..width {
            let x = (real(column) + 0.5) / dots - around;
            let code = picture.between(found([x, y])).unwrap_or([128.0; 3]);
            rgb.extend(code.map(|code| u8::try_from(index(code.round())).unwrap_or(u8::MAX)));
        }
    }
    Picture::new(width, height, rgb)
}

//! A picture made square: the sheet as it lies, to scale.

use crate::numbers::{index, real};
use crate::picture::Picture;
use crate::sheet::Sheet;

/// The sheet and `around` mm about it, seen from straight above, with so many dots to a millimetre. The back is up. `None`
/// where nothing is asked for.
pub fn squared(picture: &Picture, sheet: &Sheet, around: f64, dots: f64) -> Option<Picture> {
    let [width, height] = sheet.size.map(|side| index((side + 2.0 * around) * dots));
    let mut rgb = Vec::with_capacity(width * height * 3);
    for row in 0..height {
        let y = sheet.size[1] + around - (real(row) + 0.5) / dots;
        for column in 0..width {
            let x = (real(column) + 0.5) / dots - around;
            let code = picture.between(sheet.camera.project([x, y, 0.0])).unwrap_or([128.0; 3]);
            rgb.extend(code.map(|code| u8::try_from(index(code.round())).unwrap_or(u8::MAX)));
        }
    }
    Picture::new(width, height, rgb)
}

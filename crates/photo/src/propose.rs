//! All pictures of one device together: what is seen in one helps to read the others.

use crate::measure::{Above, Before, Face, measure};
use crate::outline::{Known, find_outline};
use crate::picture::Picture;
use crate::sheet::{Paper, Quad, Refusal, Sheet, View, find_sheet};
use crate::side::find_side;

/// A picture as it comes in.
#[derive(Debug, Clone, Copy)]
pub struct Shot<'a> {
    /// Its pixels.
    pub picture: &'a Picture,
    /// The focal length that it names, in mm as for film of 36 × 24 mm.
    pub focal_35: Option<f64>,
    /// Corners of the sheet that somebody dragged.
    pub corners: Option<Quad>,
}

/// Which picture will not do, and why: 0 is the one from above, then the sides in their order.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Refused {
    /// The picture.
    pub picture: usize,
    /// What is wrong with it.
    pub why: Refusal,
}

/// What is proposed of all pictures; points that could not be found are left out.
#[derive(Debug, Clone)]
pub struct Proposal {
    /// The sheet in the picture from above.
    pub sheet: Sheet,
    /// The top edge, where it was found.
    pub above: Option<Above>,
    /// Each side picture with its sheet and, where it was found, the face.
    pub before: Vec<(Sheet, Option<Before>)>,
    /// By how many mm the pictures contradict one another, where that is more than they can: then points lie on something
    /// else than the device and want to be dragged.
    pub doubt: Option<f64>,
}

fn far(a: [f64; 3], b: [f64; 3]) -> f64 {
    ((a[0] - b[0]) * (a[0] - b[0]) + (a[1] - b[1]) * (a[1] - b[1])).sqrt()
}

/// The most that pictures of one device contradict one another, in mm: what rounded edges may hide. *Common practice, no
/// source.*
pub const MOST_APART: f64 = 7.0;

/// By how many mm faces differ from the outline, or heights from one another; the latter count twice, as they are shorter.
pub fn contradiction(above: &Above, before: &[Before]) -> f64 {
    let found = measure(above, before, None);
    let mut most = 0.0f64;
    let mut heights = Vec::new();
    for side in before {
        let [a, b] = [side.corners[0], side.corners[1]].map(|p| side.sheet.camera.on_level(p, 0.0));
        let is_wide = matches!(side.face, Face::Front | Face::Back);
        let wanted = if is_wide { found.width } else { found.depth };
        most = most.max((far(a, b) - wanted.mm).abs());
        let alone = Before { jacks: Vec::new(), ..side.clone() };
        heights.extend(measure(above, &[alone], None).height.map(|height| height.mm));
    }
    let span =
        heights.iter().copied().fold(0.0, f64::max) - heights.iter().copied().fold(f64::INFINITY, f64::min);
    if heights.is_empty() { most } else { most.max(2.0 * span) }
}

/// Proposes all points of all pictures.
pub fn propose(paper: Paper, above: Shot<'_>, sides: &[(Face, Shot<'_>)]) -> Result<Proposal, Refused> {
    let sheet_of = |k: usize, shot: &Shot<'_>, view| {
        find_sheet(shot.picture, paper, view, shot.corners, shot.focal_35)
            .map_err(|why| Refused { picture: k, why })
    };
    let sheet = sheet_of(0, &above, View::Above)?;
    let sheets = sides
        .iter()
        .enumerate()
        .map(|(k, (_, shot))| sheet_of(k + 1, shot, View::Side))
        .collect::<Result<Vec<_>, _>>()?;
    let first = find_outline(above.picture, &sheet, Known::default());
    let mut known = Known::default();
    let mut found: Vec<Option<Before>> = Vec::new();
    if let Some(outline) = first {
        let p = outline.map(|p| sheet.camera.on_level(p, 0.0));
        let (width, depth) = (far(p[0], p[1]), far(p[0], p[3]));
        for ((face, shot), sheet_there) in sides.iter().zip(&sheets) {
            let is_wide = matches!(face, Face::Front | Face::Back);
            let (wide, deep) = if is_wide { (width, depth) } else { (depth, width) };
            let side = find_side(shot.picture, sheet_there, wide, deep, sheet.camera.height());
            found.push(side.map(|side| {
                if is_wide {
                    known.width = Some(side.wide);
                } else {
                    known.depth = Some(side.wide);
                }
                Before {
                    face: *face,
                    sheet: sheet_there.clone(),
                    corners: side.face,
                    jacks: side.jacks,
                    by_hand: false,
                }
            }));
        }
    }
    found.resize(sheets.len(), None);
    let seen: Vec<Before> = found.iter().flatten().cloned().collect();
    let outline = match first {
        Some(outline) if !seen.is_empty() => {
            let rough = Above { sheet: sheet.clone(), outline, by_hand: false };
            known.height = measure(&rough, &seen, None).height.map(|h| h.mm);
            find_outline(above.picture, &sheet, known)
        }
        other => other,
    };
    let above = outline.map(|outline| Above { sheet: sheet.clone(), outline, by_hand: false });
    let doubt = above.as_ref().map_or(0.0, |above| contradiction(above, &seen));
    Ok(Proposal {
        above,
        doubt: (MOST_APART < doubt).then_some(doubt),
        sheet,
        before: sheets.into_iter().zip(found).collect(),
    })
}

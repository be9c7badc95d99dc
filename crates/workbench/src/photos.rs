//! Pictures that somebody measures by, for as long as they are looked at.

use std::collections::VecDeque;
use std::sync::Arc;

use photo::{Above, Paper, Quad, Sheet, View};
use pictures::Taken;

/// How many pictures are held at once: five sides and one more, each of a third of a phone's picture's pixels.
const MOST: usize = 6;
/// How many sheets that were found are held.
const MOST_SHEETS: usize = 24;

/// What a sheet was found by: the picture, the paper, from where, and corners that were dragged.
type Asked = (String, Paper, View, Option<[[u64; 2]; 4]>);

/// Pictures and what was found in them; those that were asked for last.
#[derive(Default)]
pub(crate) struct Photos {
    taken: VecDeque<(String, Arc<Taken>)>,
    sheets: VecDeque<(Asked, Sheet)>,
    tops: VecDeque<(String, Above, f64)>,
}

fn asked(id: &str, paper: Paper, view: View, corners: Option<Quad>) -> Asked {
    (id.to_owned(), paper, view, corners.map(|c| c.map(|p| p.map(f64::to_bits))))
}

impl Photos {
    /// Holds a picture.
    pub(crate) fn hold(&mut self, id: &str, taken: Arc<Taken>) {
        self.taken.retain(|(known, _)| known != id);
        self.taken.push_back((id.to_owned(), taken));
        while MOST < self.taken.len() {
            self.taken.pop_front();
        }
    }

    /// A picture that is held still.
    pub(crate) fn get(&self, id: &str) -> Option<Arc<Taken>> {
        self.taken.iter().find(|(known, _)| known == id).map(|(_, taken)| Arc::clone(taken))
    }

    /// A sheet that was found so already.
    pub(crate) fn sheet(&self, id: &str, paper: Paper, view: View, corners: Option<Quad>) -> Option<Sheet> {
        let asked = asked(id, paper, view, corners);
        self.sheets.iter().find(|(known, _)| *known == asked).map(|(_, sheet)| sheet.clone())
    }

    /// The sheet that was found last in a picture from above.
    pub(crate) fn last_sheet(&self, id: &str) -> Option<Sheet> {
        let last =
            self.sheets.iter().rev().find(|((known, _, view, _), _)| known == id && *view == View::Above);
        last.map(|(_, sheet)| sheet.clone())
    }

    /// Holds the top edge that was measured last in a picture from above, and its height over the sheet in mm.
    pub(crate) fn measured(&mut self, id: &str, above: Above, height: f64) {
        self.tops.retain(|(known, ..)| known != id);
        self.tops.push_back((id.to_owned(), above, height));
        while MOST < self.tops.len() {
            self.tops.pop_front();
        }
    }

    /// The top edge and its height, as measured last.
    pub(crate) fn top(&self, id: &str) -> Option<(Above, f64)> {
        let last = self.tops.iter().find(|(known, ..)| known == id);
        last.map(|(_, above, height)| (above.clone(), *height))
    }

    /// Holds a sheet that was found.
    pub(crate) fn found(&mut self, id: &str, paper: Paper, view: View, corners: Option<Quad>, sheet: &Sheet) {
        self.sheets.push_back((asked(id, paper, view, corners), sheet.clone()));
        while MOST_SHEETS < self.sheets.len() {
            self.sheets.pop_front();
        }
    }
}

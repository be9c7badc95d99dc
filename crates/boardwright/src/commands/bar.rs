//! How far a search is, on one line.

use layout::{Progress, Report};

use crate::shell;

/// Places of the bar that shows how far the search is.
const BAR: u64 = 30;

/// Shows how far the search is.
pub(super) struct Bar;

impl Progress for Bar {
    fn round(&self, report: &Report) {
        let done = (BAR * report.moves / report.planned.max(1)).min(BAR);
        let bar: String = (0..BAR).map(|place| if place < done { '#' } else { '.' }).collect();
        let best =
            report.best.map_or_else(|| "nothing fits yet".to_owned(), |best| format!("best {best:.0}"));
        shell::progress(&format!("[{bar}] {} of {} moves, {best}", report.moves, report.planned));
    }
}

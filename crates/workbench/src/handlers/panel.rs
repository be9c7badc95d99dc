//! The Panel.

use super::beside;
use crate::pages::frame::{Head, Page};
use crate::pages::panel::Panel;
use crate::read::Read;

pub(crate) fn page(head: Head, read: &Read) -> Page {
    let panel = Panel { head: &head, design: &read.design, plates: design::plates(&read.design) };
    let (tools, main) = (panel.tools(), panel.main());
    let side = beside(&head, read, None);
    Page { tools, main: Some(main), side, sums: None, head }
}

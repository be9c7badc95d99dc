//! The Panel.

use document::Family;

use super::beside;
use crate::pages::frame::{Head, Page};
use crate::pages::panel::Panel;
use crate::read::Read;

pub(crate) fn page(head: Head, read: &Read) -> Page {
    let panel = Panel {
        head: &head,
        design: &read.design,
        plates: design::plates(&read.design),
        connectors: super::kinds(&read.job, Family::Connector),
    };
    let (tools, main) = (panel.tools(), panel.main());
    let side = beside(&head, read, None);
    Page { tools, main: Some(main), side, sums: None, head }
}

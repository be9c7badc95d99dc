//! The Brief.

use document::Family;

use super::{beside, kinds};
use crate::pages::brief::Brief;
use crate::pages::frame::{Head, Page};
use crate::read::Read;

pub(crate) fn page(head: Head, read: &Read) -> Page {
    let rig = &read.design.rig;
    let brief = Brief {
        head: &head,
        job: &read.job,
        requirements: &rig.brief.requirements,
        sinks: &rig.sinks,
        judged: checks::wishes(&read.design),
        boards: kinds(&read.job, Family::Board),
    };
    let (tools, main) = (Brief::tools(), brief.main());
    let side = beside(&head, read, None);
    Page { tools, main: Some(main), side, sums: None, head }
}

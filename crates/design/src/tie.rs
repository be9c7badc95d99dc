//! Tie points of a lead: where one more belongs among those it has.

use quantity::Length;
use rig::geometry::port_point;

use crate::{Design, Lead};

/// The tie points of a lead with one more, put where it makes the line from end to end longer by the least.
///
/// An end without a place counts as nowhere, so that a first point simply stands alone.
pub fn tied(design: &Design, lead: &Lead, at: [Length; 2]) -> Vec<[Length; 2]> {
    let end = |end: &crate::LeadEndAt| {
        let device = design.rig.device(&end.port.device)?;
        port_point(&design.rig, device, &end.port.port).map(|[x, y, _]| [x, y])
    };
    let mut points: Vec<Option<[Length; 2]>> = vec![end(lead.from())];
    points.extend(lead.ties.iter().copied().map(Some));
    points.push(end(lead.to()));
    let way = |a: Option<[Length; 2]>, b: Option<[Length; 2]>| match (a, b) {
        (Some(a), Some(b)) => {
            let (x, y) = ((a[0] - b[0]).as_mm(), (a[1] - b[1]).as_mm());
            (x * x + y * y).sqrt()
        }
        _ => 0.0,
    };
    let detour = |index: usize| {
        way(points[index], Some(at)) + way(Some(at), points[index + 1])
            - way(points[index], points[index + 1])
    };
    let place = (0..=lead.ties.len()).min_by(|a, b| detour(*a).total_cmp(&detour(*b))).unwrap_or(0);
    let mut ties = lead.ties.clone();
    ties.insert(place, at);
    ties
}

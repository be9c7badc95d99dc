//! A lead on the bench says how its second plug is turned, in words and by where the tip points.

use design::{Clocking, clocking, derive};
use drawing::{Item, making};
use rig::Limits;

use crate::rigs;

/// Every rectangle of a drawing: top and bottom.
fn rects(items: &[Item], out: &mut Vec<[f64; 2]>) {
    for item in items {
        match item {
            Item::Rect { area, .. } => out.push([area.top, area.bottom]),
            Item::Group(group) => rects(&group.items, out),
            _ => {}
        }
    }
}

#[test]
fn tips_that_are_opposite_point_up_and_down() {
    let design = derive(rigs::two_decks(), Limits::default());
    let (mut up, mut down) = (0, 0);
    for lead in &design.leads {
        let Some(drawn) = making(&design, lead) else {
            assert!(lead.is_joined() || lead.ends.len() != 2, "{} has no picture", lead.tag);
            continue;
        };
        let Clocking::Turned(degrees) = clocking(&design.rig, lead) else { continue };
        let mut all = Vec::new();
        rects(&drawn.items, &mut all);
        let foot = all.iter().map(|[_, bottom]| *bottom).fold(f64::MIN, f64::max);
        // What hangs below the bodies is a tip that points down.
        match degrees {
            0 => {
                assert!(drawn.title.ends_with("tips alike"), "{}", drawn.title);
                up += 1;
            }
            180 => {
                assert!(drawn.title.ends_with("tips opposite"), "{}", drawn.title);
                assert!(all.iter().filter(|[_, bottom]| (bottom - foot).abs() < 1e-9).count() == 1);
                down += 1;
            }
            _ => assert!(drawn.title.contains("second tip"), "{}", drawn.title),
        }
    }
    assert!(0 < up + down, "some lead of the board has two angled plugs");
}

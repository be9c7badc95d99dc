//! Room that is kept free for what comes later.

use quantity::Length;
use rig::geometry::BoxClass;
use rig::{Limits, Rig, Wish};

use super::{Cell, Item, Model};

/// A free place that the brief wants.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Spare {
    /// Width, depth, and the height that a foot wants over it.
    size: [Length; 3],
    /// The deck; any where it is left out.
    deck: Option<String>,
}

/// The free places that a brief wants, the largest first.
pub(crate) fn spares(rig: &Rig, limits: &Limits) -> Vec<Spare> {
    let wishes = rig.brief.requirements.iter().flat_map(|requirement| &requirement.wishes);
    let mut out: Vec<Spare> = wishes
        .filter_map(|wish| match wish {
            Wish::Spare { width, depth, deck } => {
                Some(Spare { size: [*width, *depth, limits.foot_room], deck: deck.clone() })
            }
            _ => None,
        })
        .collect();
    let area = |spare: &Spare| spare.size[0].as_mm() * spare.size[1].as_mm();
    out.sort_by(|a, b| area(b).total_cmp(&area(a)));
    out
}

impl Model {
    /// The same with room kept free: bodies that are no devices, behind all items.
    pub(crate) fn with_spares(&self, spares: &[Spare]) -> Self {
        let mut model = self.clone();
        for spare in spares {
            let size = spare.size.map(Length::nm);
            let is_meant = |deck: &str| spare.deck.as_ref().is_none_or(|name| name == deck);
            let surfaces = self.surfaces.iter().enumerate();
            let tops = surfaces.filter(|(_, s)| !s.under && !s.is_floor && is_meant(&s.deck));
            let ways: Vec<(usize, u8)> = tops.map(|(index, _)| (index, 0)).collect();
            if ways.is_empty() {
                continue;
            }
            let mut cells: [Vec<Cell>; 4] = Default::default();
            cells[0].push(Cell::plain(BoxClass::Body, size));
            model.items.push(Item {
                device: usize::MAX,
                tag: String::new(),
                size,
                movable: true,
                home: None,
                ways,
                cells,
                ends: Vec::new(),
                switches: Default::default(),
                feet: Default::default(),
                sole: 0,
                rim: None,
                mass: 0,
                used: 0,
                is_foot_operated: false,
                has_treadle: false,
                is_forgotten: false,
                is_brick: false,
                could_hang: false,
                minds_fields: false,
                has_aerial: false,
                is_spare: true,
            });
            model.wires_at.push(Vec::new());
            model.made_at.push(Vec::new());
        }
        model
    }
}

//! Masses and their sums.

use finding::Field;
use quantity::Grams;
use rig::{Known, Provenance, Rig};

/// One thing that weighs.
#[derive(Debug, Clone)]
pub struct MassItem {
    /// Its tag or name.
    pub name: String,
    /// The value in the document.
    pub field: Field,
    /// Its mass.
    pub mass: Known<Grams>,
}

/// The masses of a rig.
#[derive(Debug, Clone)]
pub struct Mass {
    /// Every thing that weighs, the case last.
    pub items: Vec<MassItem>,
    /// Sum of what is known, without the case.
    pub bare: Grams,
    /// Sum of what is known, with the case.
    pub cased: Grams,
    /// The worst provenance among the items.
    pub from: Provenance,
}

/// Lists and sums the masses of board, devices, extras and case.
pub(crate) fn mass(rig: &Rig) -> Mass {
    let mut items =
        vec![MassItem { name: "board".into(), field: Field::new(["board", "mass"]), mass: rig.board.mass }];
    for device in rig.devices.iter().filter(|device| !device.outside) {
        items.push(MassItem {
            name: device.tag.clone(),
            field: Field::device(&device.tag, "mass"),
            mass: device.mass,
        });
    }
    for device in &rig.devices {
        let adaptor = device.feed.as_ref().and_then(|feed| feed.adaptor.as_ref());
        if let Some(adaptor) = adaptor.filter(|adaptor| !adaptor.mass.is_unknown()) {
            items.push(MassItem {
                name: format!("adaptor of {}", device.tag),
                field: Field::device(&device.tag, "feed.adaptor.mass"),
                mass: adaptor.mass,
            });
        }
    }
    for (name, mass) in &rig.extra_mass {
        items.push(MassItem { name: name.clone(), field: Field::new(["mass", name]), mass: *mass });
    }
    let bare = items.iter().filter_map(|item| item.mass.value).sum();
    let mut cased = bare;
    if let Some(case) = &rig.board.case {
        cased += case.mass.value.unwrap_or(Grams::ZERO);
        items.push(MassItem {
            name: "case".into(),
            field: Field::new(["board", "case", "mass"]),
            mass: case.mass,
        });
    }
    let from = items.iter().map(|item| item.mass.from).max().unwrap_or_default();
    Mass { items, bare, cased, from }
}

/// The mass as it travels, in words: `12.4 kg`; `≥ 12.4 kg` where the mass of some part is not known.
pub fn travel_mass(mass: &Mass) -> String {
    let lacks = mass.items.iter().any(|item| item.mass.is_unknown());
    let least = if lacks { "≥ " } else { "" };
    format!("{least}{:.1} kg", mass.cased.get() / 1000.0)
}

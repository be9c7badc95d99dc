//! Boards with more devices than there is room for.

use rig::{Rig, Sign};

use crate::rigs::{Dice, brick, device, digital, outlet, printed, rig};

/// Sixty devices on four bricks of eight outlets, so many of a hundred analogue ones that may share: more than there is
/// room for.
pub(crate) fn overfull(seed: u64, analogue: i64) -> Rig {
    let mut dice = Dice::new(seed);
    let mut devices = Vec::new();
    for number in 0..4 {
        let outlets = (1..=8)
            .map(|place| {
                let strong = 5 < place;
                let settings: &[(f64, f64)] =
                    if strong { &[(9.0, 500.0), (12.0, 400.0), (18.0, 250.0)] } else { &[(9.0, 100.0)] };
                let mut one = outlet(&place.to_string(), settings);
                one.series = printed(strong);
                one
            })
            .collect();
        devices.push(brick(&format!("S{number}"), outlets));
    }
    for number in 0..60 {
        let tag = format!("A{number}");
        let (low, high) = dice.of(&[
            (9.0, 9.0),
            (9.0, 9.0),
            (9.0, 9.0),
            (9.0, 9.0),
            (9.0, 9.0),
            (9.0, 9.0),
            (9.0, 18.0),
            (12.0, 12.0),
            (18.0, 18.0),
            (24.0, 24.0),
        ]);
        let mut made = if dice.chance(analogue) {
            device(&tag, low, high, dice.of(&[5.0, 10.0, 20.0, 35.0, 50.0, 80.0, 95.0]))
        } else {
            digital(&tag, low, high, dice.of(&[60.0, 90.0, 120.0, 180.0, 250.0, 300.0, 350.0, 450.0]))
        };
        if dice.chance(8) {
            made.power.sign = printed(Sign::CentrePositive);
        }
        devices.push(made);
    }
    rig(devices)
}

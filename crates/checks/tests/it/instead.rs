//! A brick in the place of another: whether it fits is judged where that hangs.

use document::edit::apply;
use power::Cure;

/// A small brick under a deck with a block beside it, and a device that it cannot feed.
const SMALL: &str = r#"
format = 1
[job]
title = "near"
mains = { volts = "230 V", hertz = "50 Hz" }
[board]
title = "big"
deck.main = { size = { width = "1000 mm", depth = "640 mm" }, thickness = "3 mm", clear_below = "90 mm" }
[leads]
dc = { cable = "dc-0.5", plug = "barrel-2.1-angled" }
mains = { cable = "mains", plug = "iec-c13-angled" }

[[device]]
tag = "S1"
role = "brick"
from = "printed"
size = { width = "100 mm", depth = "90 mm", height = "40 mm" }
bracket = "3 mm"
power = { type = "mains", volts = "100 V to 240 V" }
port.MAINS = { role = "mains", connector = "iec-c14", face = "left", offset = "45 mm", height = "16 mm" }
place = { x = "@X mm", y = "300 mm", under = true }
total = "5 W"
outlet.1 = { type = "dc", setting = [{ volts = "9 V", current = "100 mA" }], sign = "centre-negative", isolation = "isolated", series = false, parallel = false, connector = "barrel-5.5-2.1", face = "front", offset = "50 mm", height = "12 mm" }

[[device]]
tag = "BLK"
role = "other"
from = "printed"
size = { width = "200 mm", depth = "90 mm", height = "40 mm" }
bracket = "3 mm"
power = { type = "none" }
place = { x = "@Y mm", y = "300 mm", under = true }

[[device]]
tag = "B"
from = "printed"
size = { width = "70 mm", depth = "120 mm", height = "50 mm" }
power = { type = "dc", volts = "18 V", current = "80 mA", class = "digital", sign = "centre-negative", positive_ground = false, surge = "80 mA" }
port.DC = { role = "power", connector = "barrel-5.5-2.1", face = "back", offset = "35 mm", height = "10 mm" }
signal = { gain = "0 dB" }
place = { x = "220 mm", y = "40 mm" }

[[device]]
tag = "STRIP"
role = "strip"
outside = true
power = { type = "none" }
port.S1 = { role = "mains", connector = "fixed" }

[[run]]
name = "m"
carries = "mains"
stops = ["STRIP.S1", "S1.MAINS"]
"#;

/// The cures that put one brick in the place of S1, and the stops of what touches what once each is pressed.
fn replaced(x: u32, block: u32) -> Vec<(Cure, Vec<String>)> {
    let text = SMALL.replace("@X", &x.to_string()).replace("@Y", &block.to_string());
    let job = document::read_text("rig.toml", &text, None).expect("a rig");
    let (kinds, cables) = (job.catalogue.devices(), job.catalogue.cables());
    let found = design::derive(job.rig, job.limits).feeds_with(&kinds, &cables, None);
    // Every brick of the catalogue is wider; a converter is not.
    let instead = found.cures.into_iter().filter(|cure| cure.name.starts_with("replace S1 by a “brick"));
    let pressed = instead.map(|cure| {
        let after = apply(&text, cure.edit.as_ref().expect("it can be pressed")).expect("applies");
        let job = document::read_text("rig.toml", &after, None).expect("a rig");
        let findings = checks::check_stated(&design::derive(job.rig, job.limits));
        let stops = findings.into_iter().filter(finding::Finding::is_open_stop);
        let touching =
            stops.filter(|stop| stop.devices.iter().any(|tag| tag == "S1") && stop.rule != "no-feed");
        (cure, touching.map(|stop| format!("{}: {}", stop.rule, stop.message)).collect())
    });
    pressed.collect()
}

#[test]
fn a_brick_in_the_place_of_another_fits_where_that_hangs() {
    // 20 mm beside a block, at the edge of the board, and with room all around.
    for (x, block) in [(200, 320), (890, 100)] {
        let tight = replaced(x, block);
        assert!(!tight.is_empty(), "at {x}");
        for (cure, stops) in &tight {
            assert!(!cure.fits, "{} at {x}", cure.name);
            assert!(cure.name.contains("move it to where there is room under the deck"), "{}", cure.name);
            assert!(!stops.is_empty(), "{} at {x}: pressed as it is nothing is in the way", cure.name);
        }
    }
    let free = replaced(200, 780);
    assert!(!free.is_empty());
    for (cure, stops) in &free {
        assert!(cure.fits && !cure.name.contains("move it"), "{}", cure.name);
        assert_eq!(stops, &[""; 0], "{}", cure.name);
    }
}

//! Wire tables and lead drop against the standards, by the cables that documents name and the loss that supply-drop and the
//! search for feeds count.

use power::lead_drop::{loop_uohm, lost_pv, volts_from_picovolts};
use quantity::{Length, Milliamps, Ohms};
use rig::{FeedKind, LeadClass};

use crate::chain::{design, near};

/// Resistance of a metre of a catalogue's cable.
fn cable(id: &str) -> Ohms {
    let text = format!("format = 1\njob = {{ title = \"t\" }}\nleads = {{ dc = {{ cable = \"{id}\" }} }}\n");
    let design = design(&text);
    let cable = design.rig.cables.get(&LeadClass::Dc).expect("the cable");
    cable.resistance_per_metre.value.expect("its resistance")
}

/// Millivolts lost along both conductors of a lead, contacts left out.
fn lost(id: &str, milliamps: f64, millimetres: i64) -> f64 {
    let loops = loop_uohm(Length::from_mm(millimetres), cable(id));
    let at = |loops: i64| {
        let current = power::microamps(Milliamps::of(milliamps));
        volts_from_picovolts(lost_pv(FeedKind::Single, current, &[loops])).get() * 1000.0
    };
    at(loops) - at(0)
}

#[test]
fn the_catalogues_cables_have_the_resistance_of_the_standards() {
    // AWG 24 and 26 as a wire chart prints them [src:ASTM-B258]; copper over 0.22 mm² [src:IEC-60028]; 0.5 and 0.75 mm² of
    // class 5, at most [src:IEC-60228]. Ω/km at 20 °C.
    for (id, per_km, by) in [
        ("instrument", 84.20, 0.002),
        ("patch-4", 133.86, 0.002),
        ("balanced-4", 133.86, 0.002),
        ("dc-0.22", 17.241 / 0.22, 0.002),
        ("balanced", 17.241 / 0.22, 0.002),
        ("midi", 17.241 / 0.22, 0.002),
        ("dc-0.5", 39.0, 1e-9),
        ("mains", 26.0, 1e-9),
    ] {
        near(cable(id).get() * 1000.0 / per_km, 1.0, by);
    }
    // A cable may not claim less than solid copper of its section has.
    for (id, square_mm) in [("dc-0.5", 0.5), ("mains", 0.75)] {
        assert!(17.241 / square_mm <= cable(id).get() * 1000.0, "{id}");
    }
}

#[test]
fn drop_along_a_lead() {
    // Ohm's law, out and back: 0.5 A over 0.5 m of 24 AWG 42.1 mV; 1 A over 0.5 m of 0.5 mm² class 5 39.0 mV; 0.5 A over
    // 0.6 m of 26 AWG 80.4 mV.
    near(lost("instrument", 500.0, 500), 42.1, 0.05);
    near(lost("dc-0.5", 1000.0, 500), 39.0, 0.05);
    near(lost("patch-4", 500.0, 600), 80.4, 0.05);
}

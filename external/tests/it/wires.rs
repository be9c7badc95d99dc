//! Wire tables and lead drop against the standards.

use signal::wire::{
    Conductor, at_temperature, awg_area, awg_diameter, awg_of_area, copper_per_km, largest_per_km, lead_drop,
    longest_lead,
};

#[test]
fn american_gauges() {
    // ASTM B258: gauge, diameter mm, section mm², Ω/km at 20 °C as wire charts print them.
    let rows = [
        (18.0, 1.0237, 0.8230, 20.95),
        (20.0, 0.8118, 0.5176, 33.31),
        (22.0, 0.6438, 0.3255, 52.96),
        (24.0, 0.5106, 0.2047, 84.21),
        (26.0, 0.4049, 0.1288, 133.90),
        (28.0, 0.3211, 0.0810, 212.92),
        (30.0, 0.2546, 0.0509, 338.55),
    ];
    for (gauge, diameter, area, ohms) in rows {
        let near = |found: f64, wanted: f64| {
            assert!((found - wanted).abs() / wanted < 1e-3, "{gauge}: {found} for {wanted}");
        };
        near(awg_diameter(gauge), diameter);
        near(awg_area(gauge), area);
        near(copper_per_km(awg_area(gauge)), ohms);
    }
    assert!((awg_of_area(0.25) - 23.14).abs() < 0.01 && (awg_of_area(0.5) - 20.15).abs() < 0.01);
}

#[test]
fn largest_resistances_of_the_standard() {
    // IEC 60228: 0.5, 0.75, 1.0 and 1.5 mm²; classes 1–2, 5–6, 5–6 tinned.
    for (section, solid, flexible, tinned) in
        [(0.5, 36.0, 39.0, 40.1), (0.75, 24.5, 26.0, 26.7), (1.0, 18.1, 19.5, 20.0), (1.5, 12.1, 13.3, 13.7)]
    {
        assert_eq!(largest_per_km(section, Conductor::Class1To2), Some(solid));
        assert_eq!(largest_per_km(section, Conductor::Class5To6), Some(flexible));
        assert_eq!(largest_per_km(section, Conductor::Class5To6Tinned), Some(tinned));
    }
    // IEC 60028: copper at 50 °C against 20 °C.
    assert!((at_temperature(1.0, 50.0) - 1.1179).abs() < 1e-4);
}

#[test]
fn drop_along_a_lead() {
    // 0.5 A over 0.5 m of 24 AWG from 9 V: 42.1 mV, 0.468 %; 1 A over 0.5 m of 0.5 mm² class 5: 39.0 mV.
    assert!((lead_drop(0.5, 0.5, 84.2) * 1e3 - 42.1).abs() < 0.1);
    assert!((lead_drop(0.5, 0.5, 84.2) / 9.0 - 0.004_68).abs() < 1e-5);
    assert!((lead_drop(1.0, 0.5, 39.0) * 1e3 - 39.0).abs() < 0.1);
    assert!((longest_lead(0.27, 0.5, 84.2) - 3.2067).abs() < 1e-3);
}

#[test]
fn the_catalogues_dc_cables_are_what_the_standard_allows() {
    // A cable of the catalogue may not claim more resistance than IEC 60228 or VDE 0295 allow, nor less than copper.
    let job = document::read_text(
        "rig.toml",
        "format = 1\njob = { title = \"t\" }\nleads = { dc = { cable = \"dc-0.5\" } }\n",
        None,
    )
    .unwrap_or_else(|error| panic!("{error}"));
    let cable = job.rig.cables.get(&rig::LeadClass::Dc).expect("the cable");
    let per_km = cable.resistance_per_metre.value.expect("its resistance").get() * 1000.0;
    assert!(per_km <= 40.1 && copper_per_km(0.5) <= per_km, "{per_km}");
}

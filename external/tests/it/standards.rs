//! Sheets, panels, baggage and connectors against published sizes.

use quantity::{Grams, Length, Quantity};

fn mm(text: &str) -> f64 {
    Length::parse(text).unwrap_or_else(|error| panic!("{error}")).as_mm()
}

#[test]
fn drawing_sheets() {
    // ISO 216 and ISO 5457: A4 is 210 × 297 mm. Letter is 8 1/2 × 11 in.
    assert_eq!(papers::PaperSize::A4.landscape_mm(), (297.0, 210.0));
    let letter = papers::PaperSize::Letter.landscape_mm();
    assert!((letter.0 - mm("11 in")).abs() < 1e-9 && (letter.1 - mm("8 1/2 in")).abs() < 1e-9);
}

#[test]
fn inches_and_pounds() {
    // International yard and pound agreement (1959): 25.4 mm and 453.592 37 g.
    assert!((mm("62 in") - 1574.8).abs() < 1e-9, "the linear size of checked baggage");
    assert!((mm("3/8 in") - 9.525).abs() < 1e-9 && (mm("15/32 in") - 11.906_25).abs() < 1e-9);
    assert!((Grams::parse("50 lb").unwrap_or_else(|e| panic!("{e}")).get() - 22_679.618_5).abs() < 1e-6);
}

#[test]
fn baggage_sums() {
    // 23 kg is the usual limit of a checked piece; the rule weighs the cased board of the touring example against it.
    let job =
        document::read(&external::example("wet-dry-touring"), None).unwrap_or_else(|error| panic!("{error}"));
    let design = design::derive(job.rig, job.limits);
    let sum: f64 = design.mass.items.iter().filter_map(|item| item.mass.value).map(Grams::get).sum();
    assert!((design.mass.cased.get() - sum).abs() < 1e-6);
    assert!((sum - 38_070.0).abs() < 100.0, "38.1 kg in the brief: {sum}");
}

fn hole(connector: &str) -> f64 {
    let text = format!(
        "format = 1\njob = {{ title = \"t\" }}\n[[device]]\ntag = \"P\"\nport.X = {{ role = \"through\", connector = \"{connector}\", face = \"back\", offset = \"20 mm\" }}\n"
    );
    let job = document::read_text("rig.toml", &text, None).unwrap_or_else(|error| panic!("{error}"));
    let port =
        job.rig.device("P").and_then(|device| device.port("X")).and_then(|port| port.connector.clone());
    port.and_then(|connector| connector.hole.value).expect("a hole").as_mm()
}

#[test]
fn holes_of_common_connectors() {
    // Flange connectors of 26 × 31 mm want a hole of 24 mm (makers' drawings, not kept); 3/8-32 bushes one of 9.5 mm and a
    // little more.
    assert!((hole("xlr-3-male") - 24.0).abs() < 0.3, "{}", hole("xlr-3-male"));
    let jack = hole("jack-6.35-ts");
    assert!((mm("3/8 in")..=10.0).contains(&jack), "{jack}");
}

#[test]
fn the_flange_connectors_hole_pattern() {
    // Screws at ±9.5, ±12 mm of a 24 mm hole: diagonal 30.610 mm, web 1.555 mm to a 3.5 mm hole (makers' drawings).
    let diagonal = (19.0_f64 * 19.0 + 24.0 * 24.0).sqrt();
    assert!((diagonal - 30.610).abs() < 0.005);
    let web = diagonal / 2.0 - f64::midpoint(hole("xlr-3-male"), 3.5);
    assert!((web - 1.555).abs() < 0.005, "{web}");
    // Two of them at 30 mm leave a web of 6 mm, which the panel rule lets pass; at 26 mm it stops.
    for (pitch, stops) in [(30, false), (26, true)] {
        let text = format!(
            "format = 1\njob = {{ title = \"t\" }}\n[[device]]\ntag = \"P\"\nrole = \"panel\"\nsize = {{ width = \"200 mm\", depth = \"3 mm\", height = \"60 mm\" }}\n\
             port.A = {{ role = \"through\", connector = \"xlr-3-male\", face = \"back\", offset = \"60 mm\", height = \"30 mm\" }}\n\
             port.B = {{ role = \"through\", connector = \"xlr-3-male\", face = \"back\", offset = \"{} mm\", height = \"30 mm\" }}\n",
            60 + pitch
        );
        let job = document::read_text("rig.toml", &text, None).unwrap_or_else(|error| panic!("{error}"));
        let findings = checks::check(&design::derive(job.rig, job.limits));
        assert_eq!(
            findings.iter().any(|f| f.rule == "panel-holes" && !f.is_unchecked()),
            stops,
            "{pitch} mm"
        );
    }
}

#[test]
fn colour_letters() {
    // IEC 60757 letters in the order of the resistor code of IEC 60062.
    let letters: Vec<&str> = design::DIGITS.iter().map(|colour| colour.letters()).collect();
    assert_eq!(letters, ["BK", "BN", "RD", "OG", "YE", "GN", "BU", "VT", "GY", "WH"]);
    let sleeves: Vec<&str> = design::sleeves("L07").iter().map(|colour| colour.letters()).collect();
    assert_eq!(sleeves, ["BK", "VT"]);
}

#[test]
fn die_cast_boxes() {
    // The ids speak of the outside size in millimetres, as calipers read it; the size must be what the id says.
    let job = document::read_text("rig.toml", "format = 1\njob = { title = \"t\" }\n", None)
        .unwrap_or_else(|e| panic!("{e}"));
    let boxes: Vec<String> = job
        .catalogue
        .entries()
        .into_iter()
        .map(|entry| entry.id)
        .filter(|id| id.starts_with("die-cast-"))
        .collect();
    assert!(6 <= boxes.len());
    for id in boxes {
        let text =
            format!("format = 1\njob = {{ title = \"t\" }}\n[[device]]\ntag = \"B\"\nkind = \"{id}\"\n");
        let job = document::read_text("rig.toml", &text, None).unwrap_or_else(|error| panic!("{error}"));
        let size = job.rig.device("B").and_then(|device| device.size.value).expect("a size");
        let mut told: Vec<f64> =
            id.trim_start_matches("die-cast-").split('x').map(|n| n.parse().expect("a number")).collect();
        let mut found = vec![size.width.as_mm(), size.depth.as_mm(), size.height.as_mm()];
        told.sort_by(f64::total_cmp);
        found.sort_by(f64::total_cmp);
        for (a, b) in told.iter().zip(&found) {
            assert!((a - b).abs() <= 1.0, "{id}: {found:?}");
        }
    }
}

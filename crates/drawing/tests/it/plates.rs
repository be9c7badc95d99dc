//! Panels and tiles: what is cut is drawn as it is cut, and no tile that is needed is left out.

use design::{Design, plates};
use drawing::{Drawing, Item, PlateSide, SheetRect, Style, Tiling, dxf, panel, printed, template, tile_map};
use quantity::Length;
use rig::Role;

use super::{groups, of, rigs};

/// The board of two decks with a mains inlet of 27 × 20 mm beside a round hole.
fn inlet() -> Design {
    let mut rig = rigs::two_decks();
    let panel = rig.devices.iter_mut().find(|device| device.role == Role::Panel).expect("the panel");
    let port = panel.ports.iter_mut().find(|port| port.name == "MAINS").expect("the inlet");
    let connector = port.connector.as_mut().expect("it has a connector");
    connector.hole = rigs::measured(rigs::mm(27));
    connector.hole_height = rigs::measured(rigs::mm(20));
    of(rig)
}

#[test]
fn a_long_legend_stands_whole_above_its_hole() {
    let mut rig = rigs::two_decks();
    let panel = rig.devices.iter_mut().find(|device| device.role == Role::Panel).expect("the panel");
    let said = "RETURN FROM THE STEREO ECHO";
    panel.ports[0].legend = Some(said.into());
    let design = of(rig);
    let plate = plates(&design).into_iter().next().expect("a plate");
    let hole = plate.holes.iter().find(|hole| hole.legend == said).expect("its hole");
    assert_eq!(panel_words(&design, &plate, &hole.port), said);
}

/// The words of a legend on the drawing, from its top line down.
fn panel_words(design: &Design, plate: &design::Plate, hole: &str) -> String {
    let drawing = panel(design, plate, PlateSide::Front);
    let group = groups(&drawing).into_iter().find(|group| group.id.ends_with(hole)).expect("its group");
    let mut lines: Vec<(f64, String)> = group
        .items
        .iter()
        .filter_map(|item| match item {
            Item::Text(text) if text.content.chars().any(char::is_alphabetic) => {
                Some((text.at.y, text.content.clone()))
            }
            _ => None,
        })
        .collect();
    lines.sort_by(|a, b| a.0.total_cmp(&b.0));
    lines.into_iter().map(|(_, words)| words).collect::<Vec<_>>().join(" ")
}

#[test]
fn a_cut_out_is_a_rectangle_on_drawing_and_file() {
    let design = inlet();
    let plate = plates(&design).into_iter().next().expect("a plate");
    for side in [PlateSide::Front, PlateSide::Rear] {
        let drawing = panel(&design, &plate, side);
        let holes = groups(&drawing);
        let mains = holes.iter().find(|group| group.id.contains("MAINS")).expect("its group");
        let area = mains.items.iter().find_map(|item| match item {
            Item::Rect { area, style: Style::Hole, .. } => Some(*area),
            _ => None,
        });
        let area = area.expect("a rectangle is cut");
        assert!((area.width() - 27.0).abs() < 1e-9 && (area.height() - 20.0).abs() < 1e-9, "{area:?}");
        let words: Vec<&str> = drawing.texts().iter().map(|text| text.content.as_str()).collect();
        assert!(words.contains(&"27 × 20, 2 × ⌀ 3.2"), "its size stands on it, and its screws: {words:?}");
        let file = dxf(&drawing);
        let cut = file.matches("POLYLINE\r\n  8\r\nCUT").count();
        assert_eq!(cut, 2, "the plate and its cut-out, closed polylines that are cut");
        assert!(file.contains("$INSUNITS\r\n 70\r\n4"), "millimetres");
        assert!(file.contains("%%c") && !file.contains("\\U+2300"), "the sign of a diameter as R12 has it");
    }
}

/// The layers of a file with how many things each has.
fn layers(file: &str) -> std::collections::BTreeMap<String, usize> {
    let mut out = std::collections::BTreeMap::new();
    let lines: Vec<&str> = file.split("\r\n").collect();
    for two in lines.windows(2).filter(|two| two[0] == "  8") {
        *out.entry(two[1].to_owned()).or_default() += 1;
    }
    out
}

#[test]
fn a_plate_for_a_machine_has_its_layers_and_every_legend_as_strokes() {
    let design = inlet();
    let plate = plates(&design).into_iter().next().expect("a plate");
    let drawing = drawing::plate_file(&design, &plate);
    let file = dxf(&drawing);
    let names: Vec<String> = layers(&file).into_keys().collect();
    assert_eq!(names, ["CUT", "DIMENSION", "DRILL", "ENGRAVE", "PILOT"]);
    let text = file.matches("TEXT\r\n  8\r\nENGRAVE").count();
    assert_eq!(text, 0, "no font is needed");
    // Extents hold all that is cut: the plate from its corner.
    let after = |name: &str, code: &str| -> f64 {
        let rest = file.split(name).nth(1).expect(name);
        let rest = rest.split(&format!("\r\n {code}\r\n")).nth(1).expect(code);
        rest.split("\r\n").next().expect("a value").parse().expect("a number")
    };
    let (wide, high) =
        (plate.width.value.expect("width").as_mm(), plate.height.value.expect("height").as_mm());
    assert!(after("$EXTMIN", "10") <= 0.0 && after("$EXTMIN", "20") <= 0.0);
    assert!(wide <= after("$EXTMAX", "10") && high <= after("$EXTMAX", "20"));
    let svg = drawing::layered(&drawing);
    for layer in ["CUT", "DIMENSION", "DRILL", "ENGRAVE", "PILOT"] {
        assert_eq!(svg.matches(&format!("<g id=\"{layer}\">")).count(), 1, "{layer}");
    }
    assert!(!svg.contains("PlateGround") && svg.starts_with("<svg"));
}

#[test]
fn what_is_screwed_to_a_plate_has_its_screws() {
    let mut rig = rigs::two_decks();
    let panel = rig.devices.iter_mut().find(|device| device.role == Role::Panel).expect("the panel");
    let port = panel.ports.iter_mut().find(|port| port.name == "OUT").expect("the jack");
    let connector = port.connector.as_mut().expect("it has a connector");
    connector.family = rig::ConnectorFamily::Xlr;
    connector.hole = rigs::measured(rigs::mm(24));
    let design = of(rig);
    let plate = plates(&design).into_iter().next().expect("a plate");
    let hole = plate.holes.iter().find(|hole| hole.port == "OUT").expect("the hole");
    let apart = |part: fn(&design::Fixing) -> Length| (part(&hole.fixings[0]) - part(&hole.fixings[1])).abs();
    assert_eq!(
        (apart(|fixing| fixing.x), apart(|fixing| fixing.y)),
        (rigs::mm(19), rigs::mm(24)),
        "the usual flange"
    );
    for side in [PlateSide::Front, PlateSide::Rear] {
        let drawing = panel_of(&design, &plate, side);
        let words: Vec<&str> = drawing.texts().iter().map(|text| text.content.as_str()).collect();
        assert!(words.contains(&"⌀ 24, 2 × ⌀ 3.2"), "{words:?}");
    }
}

fn panel_of(design: &Design, plate: &design::Plate, side: PlateSide) -> Drawing {
    panel(design, plate, side)
}

#[test]
fn material_beside_a_cut_out_is_counted_from_its_edges() {
    let design = inlet();
    let plate = plates(&design).into_iter().next().expect("a plate");
    let hole = |name: &str| plate.holes.iter().find(|hole| hole.port == name).expect("the hole");
    // By hand: the plate is 120 × 46; OUT, 10 mm round, at 62 along and 24 up, the inlet at 98 along, 24 up.
    assert_eq!(
        hole("MAINS").edge,
        Some(rigs::mm(120 - 98) - Length::from_nm(13_500_000)),
        "27 wide, from the side"
    );
    let web = rigs::mm(98 - 62 - 5) - Length::from_nm(13_500_000);
    assert_eq!(hole("MAINS").web.map(|(web, _)| web), Some(web));
    assert_eq!(hole("OUT").web.map(|(web, _)| web), Some(web), "the same from the other side");
    assert_eq!(hole("MAINS").as_round(), None, "nobody drills a rectangle");
}

fn tiles() -> Vec<(Drawing, Tiling)> {
    let design = of(rigs::two_decks());
    design
        .rig
        .board
        .decks
        .iter()
        .map(|deck| template(&design, deck))
        .flat_map(|drawing| {
            [(257.0, 140.0), (168.0, 225.0), (60.0, 60.0)]
                .map(|(wide, high)| (drawing.clone(), Tiling::of(&drawing, wide, high, 6.0)))
        })
        .collect()
}

/// Where a tile lies on the whole drawing: columns from the left, rows from the foot.
fn place(drawing: &Drawing, tiling: &Tiling, row: u32, column: u32) -> SheetRect {
    let (left, bottom) = (f64::from(column) * tiling.wide, drawing.height_mm - f64::from(row) * tiling.high);
    SheetRect { left, top: bottom - tiling.high, right: left + tiling.wide, bottom }
}

#[test]
fn every_cross_to_prick_is_on_a_printed_tile() {
    for (drawing, tiling) in tiles() {
        let shown = printed(&drawing, &tiling);
        let mut crosses = 0;
        for group in groups(&drawing).into_iter().filter(|group| group.device.is_some()) {
            for item in &group.items {
                let Item::Line { from, to, style: Style::Narrow } = item else { continue };
                let at = from.half_way(*to);
                let on = (0_u32..).zip(&shown).any(|(row, line)| {
                    (0_u32..).zip(line).any(|(column, is)| {
                        let area = place(&drawing, &tiling, row, column);
                        *is && area.grown(0.5).overlaps(&SheetRect::around(at, 0.01, 0.01))
                    })
                });
                assert!(on, "{} has a cross at {at:?} on no tile", group.id);
                crosses += 1;
            }
        }
        assert!(crosses >= 8, "there were crosses: {crosses}");
    }
}

#[test]
fn every_printed_tile_lies_against_another_on_the_way_to_the_datum() {
    let mut left_out = 0;
    for (drawing, tiling) in tiles() {
        let shown = printed(&drawing, &tiling);
        assert!(shown[0][0], "the tile with the datum is printed");
        for (row, line) in shown.iter().enumerate() {
            for (column, is) in line.iter().enumerate() {
                left_out += usize::from(!is);
                let touches = (row > 0 && shown[row - 1][column]) || (column > 0 && line[column - 1]);
                assert!(!is || touches || (row, column) == (0, 0), "tile {row} {column} hangs in the air");
            }
        }
    }
    assert!(left_out > 0, "small tiles of a half empty deck are left out");
}

#[test]
fn the_map_names_the_tiles_that_are_printed() {
    for (drawing, tiling) in tiles() {
        let shown = printed(&drawing, &tiling);
        let map = tile_map(&drawing, &tiling, 250.0, 130.0);
        assert!(map.width_mm <= 252.0 && map.height_mm <= 132.0, "it fits");
        let named = map.texts().iter().filter(|text| text.content.starts_with("tile ")).count();
        assert_eq!(named, shown.iter().flatten().filter(|is| **is).count());
    }
}

//! Text of a document is data: escaped, cleaned, fitted; each tag is on the plan once.

use std::collections::BTreeSet;

use drawing::{Scale, Theme, plan, side, svg, text};
use proptest::prelude::*;

use super::{groups, of, rigs, small};

#[test]
fn every_tag_is_on_the_plan_once() {
    let design = of(rigs::two_decks());
    let drawing = plan(&design, None, Scale::one_to(5));
    let texts = drawing.texts();
    for device in design.rig.devices.iter().filter(|device| !device.outside) {
        let count = texts.iter().filter(|text| text.content == device.tag).count();
        assert_eq!(count, 1, "{} is written once", device.tag);
    }
    for lead in design.leads.iter().filter(|lead| lead.class != rig::LeadClass::Dc) {
        let count = texts.iter().filter(|text| text.content == lead.tag).count();
        assert_eq!(count, 1, "{} is written once", lead.tag);
    }
    for outlet in 1..=7 {
        let name = format!("SUP.{outlet}");
        assert_eq!(texts.iter().filter(|text| text.content == name).count(), 1, "{name} is written once");
    }
}

#[test]
fn texts_do_not_overlap() {
    let design = of(rigs::two_decks());
    let drawing = plan(&design, None, Scale::one_to(5));
    let texts = drawing.texts();
    for (index, a) in texts.iter().enumerate() {
        for b in texts.iter().skip(index + 1) {
            let shared = a.area().grown(-0.1).shared(&b.area().grown(-0.1));
            assert!(shared <= 0.0, "`{}` and `{}` share {shared:.2} mm²", a.content, b.content);
        }
    }
}

#[test]
fn ids_are_unique() {
    let mut rig = rigs::two_decks();
    let long = "x".repeat(10_000);
    rig.devices[0].tag.clone_from(&long);
    rig.devices[1].tag = format!("{long}y");
    let drawing = plan(&of(rig), None, Scale::one_to(5));
    let mut seen = BTreeSet::new();
    for group in groups(&drawing) {
        assert!(group.id.len() < 200, "an id stays short");
        let fresh = seen.insert(group.id.clone());
        // A device under a deck has an outline and a label of its own, with different ids.
        assert!(fresh, "{} is used once", group.id);
    }
}

#[test]
fn markup_and_control_characters_stay_text() {
    let mut rig = small::one("<script>alert(1)</script>", "a & b \"quoted\" \u{7}\u{0}\u{202e}reversed]]>");
    rig.job.title = "</svg><x>".into();
    rig.board.decks[0].name = "\"><img src=x>".into();
    if let Some(place) = &mut rig.devices[0].place {
        place.deck = "\"><img src=x>".into();
    }
    let design = of(rig);
    for drawing in [plan(&design, None, Scale::one_to(1)), side(&design, Scale::one_to(1))] {
        for theme in [Theme::Paper, Theme::Screen] {
            let svg = svg(&drawing, theme);
            assert!(!svg.contains("<script") && !svg.contains("<img"), "nothing of the tag became markup");
            assert!(svg.contains("&lt;script"), "the tag is there as text");
            let stray = svg.chars().find(|c| (c.is_control() && *c != '\n') || *c == '\u{202e}');
            assert_eq!(stray, None, "control characters are gone");
        }
    }
}

#[test]
fn ten_thousand_characters_are_shortened() {
    let design = of(small::one(&"W".repeat(10_000), &"no end ".repeat(2000)));
    let drawing = plan(&design, None, Scale::one_to(5));
    assert!(drawing.width_mm < 120.0, "the sheet does not grow with a tag");
    for text in drawing.texts() {
        assert!(text.content.chars().count() < 60, "`{}` is short", text.content);
    }
}

#[test]
fn nothing_known_draws_nothing_but_does_not_fail() {
    let design = of(rig::Rig::default());
    for drawing in [plan(&design, None, Scale::one_to(5)), plan(&design, Some("none"), Scale::one_to(5))] {
        assert!(svg(&drawing, Theme::Screen).starts_with("<svg"), "an empty sheet is a sheet");
    }
    assert!(svg(&side(&design, Scale::one_to(5)), Theme::Paper).ends_with("</svg>\n"), "so is an empty view");
}

#[test]
fn accents_do_not_make_towers() {
    let tower = format!("Z{}", "\u{301}".repeat(500));
    assert!(text::clean(&tower).chars().count() <= 3, "two marks stay");
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    /// What is fitted is no wider than its place, whatever it is.
    #[test]
    fn fitted_text_fits(words in any::<String>(), most in 0.0..60.0_f64) {
        let fitted = text::fit(&words, text::SMALL, drawing::Weight::Bold, most);
        prop_assert!(text::width(&fitted, text::SMALL, drawing::Weight::Bold) <= most + 1e-9);
        for line in text::wrap(&words, text::SMALL, drawing::Weight::Regular, most, 3) {
            prop_assert!(text::width(&line, text::SMALL, drawing::Weight::Regular) <= most + 1e-9);
        }
    }

    /// Places, turns and names nobody would choose still give the same bytes twice, well formed.
    #[test]
    fn same_design_same_bytes(x in -900_i64..900, y in -900_i64..900, quarters in 0_u8..4, tag in any::<String>()) {
        let mut rig = rigs::two_decks();
        if let Some(place) = &mut rig.devices[2].place {
            place.x = rigs::mm(x);
            place.y = rigs::mm(y);
            place.quarters = quarters;
        }
        rig.devices[3].tag = tag;
        let design = of(rig);
        let once = svg(&plan(&design, None, Scale::one_to(5)), Theme::Screen);
        prop_assert_eq!(&once, &svg(&plan(&design, None, Scale::one_to(5)), Theme::Screen));
        prop_assert_eq!(once.matches("<g ").count(), once.matches("</g>").count());
        prop_assert!(!once.contains("NaN") && !once.contains("inf\""));
    }
}

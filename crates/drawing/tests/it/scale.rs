//! Things are where they are, as large as they are, at every scale.

use drawing::{Item, Scale, SheetRect, Style, check_bar, plan, side};

use super::{groups, of, rigs, small};

fn outline(drawing: &drawing::Drawing, tag: &str) -> SheetRect {
    let groups = groups(drawing);
    let items =
        groups.iter().filter(|group| group.device.as_deref() == Some(tag)).flat_map(|group| &group.items);
    let mut found = items.filter_map(|item| match item {
        Item::Rect { area, style: Style::Outline | Style::Hidden, .. } => Some(*area),
        _ => None,
    });
    found.next().expect("the device has an outline")
}

fn near(a: f64, b: f64) -> bool {
    (a - b).abs() < 1e-6
}

#[test]
fn bodies_are_true_to_scale_and_stand_where_they_stand() {
    let design = of(rigs::two_decks());
    for n in [1, 2, 5, 10] {
        let drawing = plan(&design, None, Scale::one_to(n));
        let k = 1.0 / f64::from(n);
        for shown in [("TUN", 470, 20, 73, 129), ("OCT", 212, 24, 98, 120), ("DLY", 70, 316, 126, 100)] {
            let (tag, x, y, w, d) = shown;
            let area = outline(&drawing, tag);
            assert!(near(area.width(), f64::from(w) * k), "{tag} is as wide as it is at 1:{n}");
            assert!(near(area.height(), f64::from(d) * k), "{tag} is as deep as it is at 1:{n}");
            assert!(near(area.left - drawing.datum.x, f64::from(x) * k), "{tag} stands where it stands");
            assert!(near(drawing.datum.y - area.bottom, f64::from(y) * k), "the back is up on the sheet");
        }
    }
}

#[test]
fn a_turned_body_is_drawn_turned() {
    let mut rig = small::one("TUN", "tuner");
    if let Some(place) = &mut rig.devices[0].place {
        place.quarters = 1;
    }
    let drawing = plan(&of(rig), None, Scale::one_to(1));
    let area = outline(&drawing, "TUN");
    assert!(near(area.width(), 120.0) && near(area.height(), 100.0), "width and depth change places");
}

#[test]
fn view_a_shows_depth_and_height() {
    let drawing = side(&of(rigs::two_decks()), Scale::one_to(2));
    let area = outline(&drawing, "TUN");
    assert!(near(area.width(), 129.0 / 2.0), "its depth lies along the view");
    assert!(near(area.height(), 55.0 / 2.0), "its height is upright");
}

#[test]
fn everything_lies_on_the_sheet() {
    let design = of(rigs::two_decks());
    for drawing in [plan(&design, None, Scale::one_to(5)), plan(&design, Some("rear"), Scale::one_to(5))] {
        for group in groups(&drawing) {
            for item in &group.items {
                if let Item::Rect { area, .. } = item {
                    assert!(
                        0.0 <= area.left && area.right <= drawing.width_mm,
                        "{} is on the sheet",
                        group.id
                    );
                    assert!(
                        0.0 <= area.top && area.bottom <= drawing.height_mm,
                        "{} is on the sheet",
                        group.id
                    );
                }
            }
        }
    }
}

#[test]
fn the_check_bar_measures_a_hundred_millimetres() {
    let bar = check_bar();
    let widest = bar
        .items
        .iter()
        .filter_map(|item| match item {
            Item::Rect { area, .. } => Some(area.width()),
            _ => None,
        })
        .fold(0.0, f64::max);
    assert!(near(widest, 100.0), "the bar is 100 mm long on the sheet");
    let fields =
        bar.items.iter().filter(|item| matches!(item, Item::Rect { area, .. } if near(area.width(), 10.0)));
    assert_eq!(fields.count(), 10, "it has ten fields of 10 mm");
}

//! The band of switching states: curves lie where the axes say, whatever the figures are.

use drawing::text::BENCH;
use drawing::{BandCurves, Drawing, Item, Point, Style, Theme, band, svg};
use proptest::prelude::*;

use super::groups;

const LOW: f64 = 20.0;

/// Twelve to the octave from 20 Hz up to 20 480 Hz.
fn frequencies() -> Vec<f64> {
    (0..=120).map(|k| LOW * libm::exp2(f64::from(k) / 12.0)).collect()
}

fn curves<'a>(
    frequencies: &'a [f64],
    reference: &'a [f64],
    upper: &'a [f64],
    lower: &'a [f64],
) -> BandCurves<'a> {
    BandCurves {
        title: "guitar to amp",
        frequencies,
        reference_db: reference,
        upper_db: upper,
        lower_db: lower,
        worst_db: lower,
        worst_state: "all off",
        is_exact: true,
        change_at_4k_db: Some(-2.5),
        look_db: 2.0,
        stop_db: 4.0,
    }
}

fn drawn(offset: f64) -> (Vec<f64>, Vec<f64>, Drawing) {
    let frequencies = frequencies();
    let reference: Vec<f64> = frequencies.iter().map(|hertz| offset - hertz / 4000.0).collect();
    let lower: Vec<f64> = frequencies.iter().map(|hertz| offset - hertz / 4000.0 * 3.5).collect();
    let drawing = band(&curves(&frequencies, &reference, &reference, &lower), 180.0, 110.0, BENCH);
    (reference, lower, drawing)
}

/// The pieces of a style in one of the two plots.
fn pieces<'a>(drawing: &'a Drawing, plot: &str, wanted: Style) -> Vec<&'a [Point]> {
    let groups = groups(drawing);
    let group = groups.iter().find(|group| group.id == format!("band-plot-{plot}")).expect("the plot");
    group
        .items
        .iter()
        .filter_map(|item| match item {
            Item::Path { points, style, .. } if *style == wanted => Some(points.as_slice()),
            _ => None,
        })
        .collect()
}

/// Where a figure stands: the middle of its digits, from their tops to the line they stand on.
fn figure(drawing: &Drawing, content: &str, plot: usize) -> Point {
    let found: Vec<Point> = drawing
        .texts()
        .into_iter()
        .filter(|text| text.content == content)
        .map(|text| Point::new(text.area().centre().x, f64::midpoint(text.area().top, text.at.y)))
        .collect();
    *found.get(plot).unwrap_or_else(|| panic!("`{content}` stands there: {found:?}"))
}

#[test]
fn curves_lie_where_the_axes_say() {
    let (reference, lower, drawing) = drawn(-7.0);
    // Two figures of each axis give its measure.
    let (hundred, thousand) = (figure(&drawing, "100", 0).x, figure(&drawing, "1 k", 0).x);
    let decade = thousand - hundred;
    let x = |hertz: f64| thousand + decade * libm::log10(hertz / 1000.0);
    let (zero, below) = (figure(&drawing, "0", 1).y, figure(&drawing, "−4", 0).y);
    let y = |db: f64| zero + (below - zero) * db / -4.0;
    let worst = pieces(&drawing, "change", Style::Curve);
    let points: Vec<Point> = worst.concat();
    let mut seen = 0;
    for (index, hertz) in
        frequencies().into_iter().enumerate().filter(|(_, hertz)| (50.0..15_000.0).contains(hertz))
    {
        let change = lower[index] - reference[index];
        let Some(point) = points.iter().find(|point| (point.x - x(hertz)).abs() < 0.05) else { continue };
        assert!((point.y - y(change)).abs() < 0.05, "{change:.2} dB at {hertz:.0} Hz lies at {point:?}");
        seen += 1;
    }
    assert!(60 < seen, "the curve has its points: {seen}");
}

#[test]
fn the_reference_is_the_zero_of_the_change() {
    let (_, _, drawing) = drawn(-7.0);
    let zero = figure(&drawing, "0", 1).y;
    let reference = pieces(&drawing, "change", Style::Reference).concat();
    assert!(!reference.is_empty(), "it is drawn");
    assert!(reference.iter().all(|point| (point.y - zero).abs() < 0.05), "and lies at zero");
}

#[test]
fn a_level_common_to_all_moves_nothing() {
    let (one, other) = (drawn(-7.0).2, drawn(-40.0).2);
    assert_eq!(svg(&one, Theme::Paper), svg(&other, Theme::Paper));
}

#[test]
fn it_says_what_it_shows() {
    let (_, _, drawing) = drawn(0.0);
    let texts: Vec<&str> = drawing.texts().into_iter().map(|text| text.content.as_str()).collect();
    for wanted in ["reference", "all states", "worst: all off", "4 kHz", "−2.5 dB", "20", "20 k", "Hz", "dB"]
    {
        assert!(texts.contains(&wanted), "`{wanted}` stands there: {texts:?}");
    }
    assert!(
        (drawing.width_mm - 180.0).abs() < 0.01 && (drawing.height_mm - 110.0).abs() < 0.01,
        "as asked for"
    );
    for (index, a) in drawing.texts().iter().enumerate() {
        for b in drawing.texts().iter().skip(index + 1) {
            let shared = a.area().grown(-0.1).shared(&b.area().grown(-0.1));
            assert!(shared <= 0.0, "`{}` and `{}` share {shared:.2} mm²", a.content, b.content);
        }
    }
}

#[test]
fn the_drawing_as_text() {
    let frequencies = [20.0, 1000.0, 4000.0, 20_000.0];
    let curves =
        curves(&frequencies, &[0.0, 0.0, 3.0, -9.0], &[0.0, 0.0, 2.0, -8.0], &[0.0, -1.0, 0.5, -12.0]);
    insta::assert_snapshot!(svg(&band(&curves, 120.0, 80.0, BENCH), Theme::Screen));
}

#[test]
fn nothing_known_and_nothing_friendly() {
    let bad = [f64::NAN, f64::INFINITY, f64::NEG_INFINITY, 1e300, -1e300];
    let frequencies = [0.0, -1.0, 20.0, 4000.0, f64::INFINITY];
    let title = format!("<script>\u{202e}{}", "W".repeat(10_000));
    let hostile = BandCurves {
        title: &title,
        worst_state: &title,
        change_at_4k_db: Some(f64::NAN),
        ..curves(&frequencies, &bad, &bad, &bad)
    };
    let empty = curves(&[], &[], &[], &[]);
    for curves in [&hostile, &empty] {
        let drawing = band(curves, 180.0, 110.0, BENCH);
        let svg = svg(&drawing, Theme::Screen);
        assert!(
            !svg.contains("NaN") && !svg.contains("inf") && !svg.contains("<script"),
            "only plain figures"
        );
        assert!(!svg.contains('\u{202e}'), "no mark of direction");
        assert!((drawing.width_mm - 180.0).abs() < 0.01, "nothing leaves the sheet");
    }
}

proptest! {
    #![proptest_config(ProptestConfig { cases: 64, failure_persistence: None, ..ProptestConfig::default() })]

    /// No curve leaves its plot, and no point leaves the sheet.
    #[test]
    fn curves_stay_within(levels in proptest::collection::vec(-200.0..200.0_f64, 121)) {
        let frequencies = frequencies();
        let reference = vec![0.0; 121];
        let upper: Vec<f64> = levels.iter().map(|db| db + 3.0).collect();
        let drawing = band(&curves(&frequencies, &reference, &upper, &levels), 160.0, 100.0, BENCH);
        for plot in ["level", "change"] {
            let groups = groups(&drawing);
            let group = groups.iter().find(|group| group.id == format!("band-plot-{plot}")).expect("the plot");
            let Some(Item::Rect { area, .. }) = group.items.first() else { panic!("its ground comes first") };
            for style in [Style::Curve, Style::Reference, Style::Envelope] {
                for point in pieces(&drawing, plot, style).concat() {
                    let inside = area.left - 1e-6 <= point.x && point.x <= area.right + 1e-6
                        && area.top - 1e-6 <= point.y && point.y <= area.bottom + 1e-6;
                    prop_assert!(inside, "{point:?} in {area:?}");
                }
            }
        }
    }
}

#[test]
fn an_envelope_of_some_states_is_not_called_that_of_all() {
    let frequencies = frequencies();
    let level: Vec<f64> = frequencies.iter().map(|_| 0.0).collect();
    let exact = curves(&frequencies, &level, &level, &level);
    let said = |curves: &BandCurves<'_>| svg(&band(curves, 180.0, 110.0, BENCH), Theme::Screen);
    assert!(said(&exact).contains("all states") && !said(&exact).contains("tried"));
    let some = said(&BandCurves { is_exact: false, ..exact });
    assert!(!some.contains("all states"));
    assert!(some.contains("states tried, not all") && some.contains("worst of those tried: all off"));
    let bound = said(&BandCurves { is_exact: false, worst_db: &[], ..exact });
    assert!(!bound.contains("all states") && bound.contains("bounds, not exact"));
}

//! Small drawings as text: one matter each.

use drawing::{Scale, Theme, check_bar, plan, severity_mark, side, svg};
use finding::Severity;

use super::{of, small};

#[test]
fn one_device_on_paper() {
    let design = of(small::one("TUN", "tuner with buffer"));
    insta::assert_snapshot!(svg(&plan(&design, None, Scale::one_to(5)), Theme::Paper));
}

#[test]
fn one_device_on_a_screen() {
    let design = of(small::one("TUN", "tuner with buffer"));
    insta::assert_snapshot!(svg(&plan(&design, None, Scale::of(100, 378)), Theme::Screen));
}

#[test]
fn one_device_from_the_right() {
    let design = of(small::one("TUN", "tuner with buffer"));
    insta::assert_snapshot!(svg(&side(&design, Scale::one_to(5)), Theme::Paper));
}

#[test]
fn marks() {
    let mut all = svg(&check_bar(), Theme::Paper);
    for severity in [Severity::Stop, Severity::Look, Severity::Note] {
        all.push_str(&svg(&severity_mark(severity, 3.2), Theme::Paper));
    }
    insta::assert_snapshot!(all);
}

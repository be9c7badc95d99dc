//! Measuring a new kind from photographs: pictures with points on them, and what they come to.

use document::Entry;
use maud::{Markup, html};
use rig::Word as _;

use super::frame::Head;

/// From where pictures are taken: the word, what the page calls it, what to do.
const VIEWS: [(&str, &str, &str); 5] = [
    (
        "above",
        "From above",
        "device in the middle of the sheet, front towards you; half a metre up, all four corners in",
    ),
    (
        "right",
        "Right side",
        "from half a metre before the right side, a little above it, all four corners in",
    ),
    ("left", "Left side", "the same from the left"),
    ("back", "Back", "the same from behind"),
    ("front", "Front", "only where it has jacks"),
];

/// The panel.
pub(super) fn photo(head: &Head, connectors: &[Entry], roles: &[&str]) -> Markup {
    let unit = if head.unit == quantity::LengthUnit::Inch { "in" } else { "mm" };
    let to = |rest: &str| format!("/job/{}/{rest}", head.job);
    let field = |name: &str, label: &str, unit: &str| {
        html! { label.figure { span { (label) } input name=(name) size="6" inputmode="decimal" autocomplete="off"; span.unit { (unit) } } }
    };
    let choice = |name: &str, label: &str, options: &[&str]| {
        html! { label.figure { span { (label) } select name=(name) { option value="" {} @for option in options { option { (option) } } } } }
    };
    html! {
        section.panel.photo #photo aria-labelledby="photo-head" data-to=(to("photo")) data-unit=(unit) {
            h2 #photo-head { "Measure a new kind from photos" span { "the sheet says how large all else is" } }
            div.row role="radiogroup" aria-label="Sheet" {
                "Sheet "
                label.check { input type="radio" name="paper" value="a4" checked; " A4" }
                label.check { input type="radio" name="paper" value="letter"; " Letter" }
                span.grow {}
                a href={ (head.to(head.place)) "?add=measure" } { "Type the sizes instead" }
            }
            p.none { "Lay the device on a whole sheet. Take one picture from above, and one from each side with jacks. Pictures stay in this shop, smaller and without place or date." }
            div.shots {
                @for (view, name, how) in VIEWS {
                    figure.shot data-view=(view) {
                        figcaption { b { (name) } " " span.faint { (how) } }
                        label.drop {
                            span { "Choose, take or drop a picture" }
                            input type="file" accept="image/jpeg,image/png,image/webp" capture="environment" aria-label={ "Picture: " (name) };
                        }
                        div.view hidden {}
                        p.told role="status" {}
                        div.row.after hidden {
                            button.btn.small type="button" data-again="" { "Find again" }
                            @if view != "above" { button.btn.small type="button" data-jack="" { "Add a jack" } }
                            button.btn.small type="button" data-other="" { "Another picture" }
                        }
                    }
                }
            }
            figure.squared #photo-flat hidden {
                figcaption { b { "Squared" } " " span.faint { "solid: top edge as the picture shows it; dashed: brought down to the sheet by its height; cross: below the camera" } }
                div.view {}
            }
            dl.told.sums #photo-sums aria-label="What the pictures say of themselves" {}
            form #photo-form method="post" action=(to("measure")) data-live="" hidden {
                (head.edit_fields("measure"))
                input type="hidden" name="unit" value=(unit);
                input type="hidden" name="keep" value="yes";
                @for (view, ..) in VIEWS { input type="hidden" name={ "picture." (view) }; }
                div.cols {
                    fieldset {
                        legend { "Size, measured from photo" }
                        @for (key, label) in [("size.width", "Width"), ("size.depth", "Depth"), ("size.height", "Height")] {
                            label.figure { span { (label) } input name=(key) size="6" inputmode="decimal" autocomplete="off"; span.unit { (unit) } }
                            input type="hidden" name={ "within." (key) };
                            p.faint.within data-of=(key) {}
                        }
                        p.faint { "± is meant to hold in 95 of 100 once every point lies on its edge: look at each before you keep it. What you type over is measured by hand." }
                    }
                    fieldset {
                        legend { "Device" }
                        label.figure { span { "What it is" } input name="title" size="20" maxlength="80" required; }
                        label.figure { span { "Tag" } input name="tag" size="8" maxlength="24" placeholder="next free"; }
                        (field("knobs", "Knobs above", unit))
                        (field("power.volts", "Volts", "V"))
                        (field("power.current", "Draws", "mA"))
                        (choice("power.sign", "Polarity", rig::Sign::WORDS))
                        (choice("signal.bypass", "Bypass", rig::Bypass::WORDS))
                    }
                }
                div.scroll tabindex="0" role="region" aria-label="Jacks" {
                    table.list.ports {
                        caption { "Jacks. Along: from the front edge on left and right, from the left edge on front and back." }
                        thead { tr { th scope="col" { "Name" } th scope="col" { "For" } th scope="col" { "Connector" } th scope="col" { "Side" } th scope="col" { "Along" } th scope="col" { "High" } th scope="col" { span.sr { "Remove" } } } }
                        tbody #photo-jacks {}
                    }
                }
                div.row { button.btn.first type="submit" { "Keep as a kind of this shop" } span.faint { "and add it to this job; pictures stay in the shop" } }
            }
            template #photo-jack {
                tr {
                    td { input data-name="name" size="6" maxlength="24" aria-label="Name of the jack"; }
                    td { select data-name="role" aria-label="Use of the jack" { option value="" {} @for word in roles { option { (word) } } } }
                    td { select data-name="connector" aria-label="Connector" { option value="" {} @for entry in connectors { option value=(entry.id) { (entry.title) } } } }
                    td { input data-name="face" size="5" readonly aria-label="Side"; }
                    td { input data-name="offset" size="6" inputmode="decimal" aria-label="Along"; " " span.faint data-within="offset" {} input type="hidden" data-of="offset"; }
                    td { input data-name="height" size="6" inputmode="decimal" aria-label="High"; " " span.faint data-within="height" {} input type="hidden" data-of="height"; }
                    td { button.btn.small type="button" data-drop="" { "Remove" } }
                }
            }
        }
    }
}

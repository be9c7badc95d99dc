//! The Panel: holes placed to scale on their plate, depth behind, legend.

use design::{Design, Hole, Plate};
use document::Entry;
use drawing::{Drawing, PlateSide};
use finding::Field;
use maud::{Markup, html};
use quantity::Length;
use rig::{Known, Word as _};

use super::frame::Head;
use super::marks::letter;
use super::value::{known_length, length, query};

/// The page.
pub(crate) struct Panel<'a> {
    pub(crate) head: &'a Head,
    pub(crate) design: &'a Design,
    pub(crate) plates: Vec<Plate>,
    pub(crate) connectors: Vec<Entry>,
}

impl Panel<'_> {
    pub(crate) fn tools(&self) -> Markup {
        let holes: usize = self.plates.iter().map(|plate| plate.holes.len()).sum();
        html! { span { b { (self.plates.len()) } @if self.plates.len() == 1 { " plate, " } @else { " plates, " } b { (holes) } " holes" } span.grow {} span.faint { "Seen from the FRONT, the side plugs go in from. Datum: lower left corner." } }
    }

    pub(crate) fn main(&self) -> Markup {
        html! {
            div.page {
                @if self.plates.is_empty() { p.none { "No panel on this board. Add one in Gear: a device whose role is panel." } }
                @for plate in &self.plates { (self.plate(plate)) }
            }
        }
    }

    fn plate(&self, plate: &Plate) -> Markup {
        let head = self.head;
        let side = plate.face.word();
        html! {
            section.plate data-key={ (plate.panel) "." (side) } {
                h2 { (plate.panel) ", " (side) span { "FRONT" } }
                @let front = drawing::panel(self.design, plate, PlateSide::Front);
                (drawn(head, &front, plate))
                p.faint { "Drag a hole, or pick it and press an arrow key: 1 mm, with Shift 10 mm." }
                (behind(head, &front, plate))
                div.scroll tabindex="0" role="region" aria-label={ "Holes of " (plate.panel) } {
                table.list.stack {
                    thead { tr { th scope="col" { "No." } th scope="col" { "Legend" } th scope="col" { "Connector" } th.n scope="col" { "x" } th.n scope="col" { "y" } th.n scope="col" { "Hole" } th.n scope="col" { "Behind" } th scope="col" { "Sleeve" } th scope="col" { "Values" } th scope="col" { span.sr { "Take away" } } } }
                    tbody { @for hole in &plate.holes { (Self::hole(head, plate, hole)) } }
                } }
                (self.more(plate))
            }
        }
    }

    /// A jack more on this plate, or a pair of them that opens the path.
    fn more(&self, plate: &Plate) -> Markup {
        let head = self.head;
        let unit = if head.unit == quantity::LengthUnit::Inch { "in" } else { "mm" };
        html! {
            form.row.jack method="post" action=(head.edit_to()) data-live="" data-clear="" {
                (head.edit_fields("jack"))
                input type="hidden" name="tag" value=(plate.panel);
                input type="hidden" name="face" value=(plate.face.word());
                input type="hidden" name="unit" value=(unit);
                label { span { "Add a jack" } input name="legend" size="10" maxlength="24" required placeholder="what is printed"; }
                label { span { "Connector" } select name="connector" { @for entry in &self.connectors { option value=(entry.id) selected[entry.id == "jack-6.35-ts"] { (entry.title) } } } }
                label { span { "From the left, " (unit) } input name="x" size="7" inputmode="decimal" placeholder="widest gap"; }
                label { span { "Up, " (unit) } input name="y" size="7" inputmode="decimal" placeholder="half-way"; }
                label { span { "As" } select name="pair" { option value="" { "one jack" } option value="yes" { "send and return" } } }
                label { span { "Normal of that pair" } select name="normal" { option value="" { "find out" } @for word in rig::Normal::WORDS { option { (word) } } } }
                button.btn.small type="submit" { "Add" }
            }
        }
    }

    fn hole(head: &Head, plate: &Plate, hole: &Hole) -> Markup {
        let port = |key: &str| Field::device(&plate.panel, "port").below(&hole.port).below(key);
        html! {
            tr data-key=(hole.port) {
                th scope="row" { (hole.number) }
                td data-th="Legend" { b { (hole.legend) } }
                td.wide data-th="Jack" { (hole.connector) }
                td.n data-th="x" { (known_length(head, &port("offset"), &hole.x)) }
                td.n data-th="y" { (known_length(head, &port("height"), &hole.y)) }
                td.n data-th="Hole" { @if let Some(diameter) = hole.diameter.value { "⌀ " (drill(head, diameter)) " " (letter(hole.diameter.from)) } @else { "unknown" } }
                td.n data-th="Behind" { (known_length(head, &port("behind"), &hole.behind)) }
                td data-th="Sleeve" { @match hole.insulated.value { Some(true) => "insulated", Some(false) => "bonded", None => "unknown" } " " (letter(hole.insulated.from)) }
                td { a href={ (head.to(super::frame::Place::Gear)) "?pick=" (query(&plate.panel)) "#values" } { "change" span.sr { " " (hole.port) } } }
                td {
                    form method="post" action=(head.edit_to()) data-live="" {
                        (head.edit_fields("jack-away"))
                        input type="hidden" name="tag" value=(plate.panel);
                        input type="hidden" name="port" value=(hole.port);
                        button.plain type="submit" aria-label={ "Take away " (hole.legend) } { "Take away" }
                    }
                }
            }
        }
    }
}

/// A hole as wide as it is: a drill that is chosen by the nearest mark of a tape may be too small.
fn drill(head: &Head, diameter: Length) -> String {
    match head.unit {
        quantity::LengthUnit::Millimetre => length(diameter, head.unit).0,
        quantity::LengthUnit::Inch => format!("{} in", crate::units::thousandths(diameter)),
    }
}

/// The drilling drawing of the plate, with its holes as things to move: one drawing unit is one millimetre.
fn drawn(head: &Head, front: &Drawing, plate: &Plate) -> Markup {
    if plate.width.is_unknown() || plate.height.is_unknown() {
        return html! { p.none { "The plate cannot be drawn: its size is unknown." } };
    }
    let holes: Vec<(String, String)> =
        plate.holes.iter().map(|hole| (hole.port.clone(), said(head, hole))).collect();
    super::drawn::plate(front, &plate.panel, &holes)
}

/// A hole in words, for whoever does not see it.
fn said(head: &Head, hole: &Hole) -> String {
    let at = |known: &Known<Length>| {
        known.value.map_or("unknown".to_owned(), |value| {
            let (figure, unit) = length(value, head.unit);
            format!("{figure} {unit}")
        })
    };
    format!("hole {}, {}: {} right, {} up", hole.number, hole.legend, at(&hole.x), at(&hole.y))
}

/// What stands behind the plate, seen from above: the wall, and each jack as deep as it reaches.
///
/// It lies under the drawing of the FRONT, hole beneath hole.
fn behind(head: &Head, front: &Drawing, plate: &Plate) -> Markup {
    let width = plate.width.value.map_or(0.0, Length::as_mm);
    let deepest =
        plate.holes.iter().filter_map(|hole| hole.behind.value).map(Length::as_mm).fold(0.0, f64::max);
    if width <= 0.0 || deepest <= 0.0 {
        return html! { p.none { "How deep the jacks reach behind the plate is unknown." } };
    }
    let wall = plate.thickness.value.map_or(1.0, Length::as_mm).max(0.8);
    let number = |value: f64| format!("{value:.2}");
    html! {
        figure.behind {
            figcaption { "Behind the wall, from above: jacks with the room they need. The plug of the client’s lead stands out in front." }
            svg.drawing.plate-drawing viewBox={ (number(-front.datum.x)) " " (number(-wall - 3.0)) " " (number(front.width_mm)) " " (number(deepest + wall + 12.0)) } role="img" aria-label={ "depth behind " (plate.panel) } {
                rect.wall x="0" y=(number(-wall)) width=(number(width)) height=(number(wall)) {}
                @for hole in &plate.holes {
                    @if let (Some(round), Some(deep)) = (hole.as_round(), hole.behind.value) {
                        @let (x, wide, deep_mm) = (round.x, round.diameter.as_mm() + 6.0, deep.as_mm());
                        rect.jack x=(number(x.as_mm() - wide / 2.0)) y="0" width=(number(wide)) height=(number(deep_mm)) {}
                        text x=(number(x.as_mm())) y=(number(deep_mm / 2.0 + 1.5)) text-anchor="middle" font-size="4.2" font-weight="700" { (hole.number) }
                        text x=(number(x.as_mm())) y=(number(deep_mm + 5.0)) text-anchor="middle" font-size="4.2" { (length(deep, head.unit).0) }
                    }
                }
            }
        }
    }
}

//! The Panel: holes placed to scale on their plate, depth behind, legend.

use design::{Hole, Plate};
use finding::Field;
use maud::{Markup, html};

use super::frame::Head;
use super::marks::letter;
use super::value::{known_length, query};

/// The page.
pub(crate) struct Panel<'a> {
    pub(crate) head: &'a Head,
    pub(crate) plates: Vec<Plate>,
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
                (drawn(plate))
                div.scroll tabindex="0" role="region" aria-label={ "Holes of " (plate.panel) } {
                table.list {
                    thead { tr { th scope="col" { "No." } th scope="col" { "Legend" } th scope="col" { "Connector" } th.n scope="col" { "x" } th.n scope="col" { "y" } th.n scope="col" { "Hole" } th.n scope="col" { "Behind" } th scope="col" { "Sleeve" } th scope="col" { "Place" } } }
                    tbody { @for hole in &plate.holes { (Self::hole(head, plate, hole)) } }
                } }
            }
        }
    }

    fn hole(head: &Head, plate: &Plate, hole: &Hole) -> Markup {
        let port = |key: &str| Field::device(&plate.panel, "port").below(&hole.port).below(key);
        html! {
            tr data-key=(hole.port) {
                th scope="row" { (hole.number) }
                td { b { (design::legend(&hole.port)) } }
                td { (hole.connector) }
                td.n { (known_length(head, &port("offset"), &hole.x)) }
                td.n { (known_length(head, &port("height"), &hole.y)) }
                td.n { @if let Some(diameter) = hole.diameter.value { "⌀ " (super::value::length(diameter, head.unit).0) " " (letter(hole.diameter.from)) } @else { "unknown" } }
                td.n { (known_length(head, &port("behind"), &hole.behind)) }
                td { @match hole.insulated.value { Some(true) => "insulated", Some(false) => "bonded", None => "unknown" } " " (letter(hole.insulated.from)) }
                td { a href={ (head.to(super::frame::Place::Gear)) "?pick=" (query(&plate.panel)) "#values" } { "change" span.sr { " " (hole.port) } } }
            }
        }
    }
}

/// The plate to scale: its outline, holes with numbers, datum. One drawing unit is one millimetre.
fn drawn(plate: &Plate) -> Markup {
    let (Some(width), Some(height)) = (plate.width.value, plate.height.value) else {
        return html! { p.none { "The plate cannot be drawn: its size is unknown." } };
    };
    let (w, h) = (width.as_mm(), height.as_mm());
    let number = |value: f64| format!("{value:.2}");
    let label = format!("plate of {}, {} by {}, {} holes", plate.panel, width, height, plate.holes.len());
    html! {
        svg.drawing.plate-drawing viewBox={ (number(-6.0)) " " (number(-6.0)) " " (number(w + 12.0)) " " (number(h + 16.0)) } role="img" aria-label=(label) {
            rect.outline x="0" y="0" width=(number(w)) height=(number(h)) rx="1" {}
            path.datum d={ "M-3 " (number(h)) "H3M0 " (number(h - 3.0)) "V" (number(h + 3.0)) } {}
            @for hole in &plate.holes {
                @if let (Some(x), Some(y)) = (hole.x.value, hole.y.value) {
                    @let (cx, cy) = (x.as_mm(), h - y.as_mm());
                    @if let Some(diameter) = hole.diameter.value {
                        circle.hole cx=(number(cx)) cy=(number(cy)) r=(number(diameter.as_mm() / 2.0)) {}
                    }
                    path.cross d={ "M" (number(cx - 2.0)) " " (number(cy)) "h4M" (number(cx)) " " (number(cy - 2.0)) "v4" } {}
                    text x=(number(cx)) y=(number(h + 5.0)) text-anchor="middle" font-size="3.2" { (hole.number) " " (design::legend(&hole.port)) }
                }
            }
        }
    }
}

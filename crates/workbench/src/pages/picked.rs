//! What is picked, in figures: place, size, ports with their leads, feed.

use design::Design;
use finding::Field;
use maud::{Markup, html};
use quantity::{Length, LengthUnit};
use rig::{Device, FLOOR, Known};

use super::frame::Head;
use super::marks::{letters, padlock};
use super::value::{derived_length, known, known_length, packed, query};

/// The picked device beside the drawing.
pub(crate) struct Picked<'a> {
    pub(crate) head: &'a Head,
    pub(crate) design: &'a Design,
    pub(crate) device: &'a Device,
    pub(crate) to_lid: Option<Length>,
}

/// One lead end at a port, in words.
struct Row {
    port: String,
    lead: Option<(String, String)>,
    spare: Option<(Length, &'static str)>,
}

impl Picked<'_> {
    fn rows(&self) -> Vec<Row> {
        let tag = &self.device.tag;
        self.device
            .ports
            .iter()
            .filter_map(|port| {
                let lead = self.design.leads.iter().find(|lead| {
                    lead.ends.iter().any(|end| end.port.device == *tag && end.port.port == port.name)
                });
                let spare = lead.and_then(|lead| {
                    let (cut, needed) = (lead.cut.value?, lead.needed.value?);
                    if lead.made && !lead.outside {
                        let spare = design::spare(lead).unwrap_or(cut - needed);
                        Some((spare, if spare < Length::ZERO { "remake" } else { "reaches" }))
                    } else {
                        Some((needed, if lead.laid || lead.outside { "needs" } else { "estimated" }))
                    }
                });
                lead?;
                Some(Row {
                    port: port.name.clone(),
                    lead: lead.map(|lead| (lead.tag.clone(), lead.name.clone())),
                    spare,
                })
            })
            .collect()
    }

    fn act(&self, act: &str, title: &str, key: &str, pressed: Option<bool>) -> Markup {
        html! {
            form method="post" action=(self.head.edit_to()) data-live="" {
                (self.head.edit_fields(act))
                input type="hidden" name="tag" value=(self.device.tag);
                button.btn.small type="submit" aria-pressed=[pressed.map(|on| if on { "true" } else { "false" })] {
                    (title) @if !key.is_empty() { kbd { (key) } }
                }
            }
        }
    }

    fn place(&self) -> Markup {
        let head = self.head;
        let board = &self.design.rig.board;
        let unit = if head.unit == LengthUnit::Inch { "in" } else { "mm" };
        let shown = |length: Length| super::value::length(length, head.unit).0.replace('\u{2212}', "-");
        let place = self.device.place.as_ref();
        let (x, y) = place.map_or(("0".to_owned(), "0".to_owned()), |place| (shown(place.x), shown(place.y)));
        html! {
            form.place method="post" action=(head.edit_to()) data-live="" {
                (head.edit_fields("place"))
                input type="hidden" name="tag" value=(self.device.tag);
                input type="hidden" name="unit" value=(unit);
                span.label { "Place" }
                @if board.decks.len() > 1 || place.is_some_and(|place| place.deck == FLOOR) {
                    select name="deck" aria-label="Deck" {
                        @for name in board.decks.iter().map(|deck| deck.name.as_str()).chain([FLOOR]) {
                            option value=(name) selected[place.is_some_and(|place| place.deck == name)] { (name) }
                        }
                    }
                }
                input #picked-x name="x" size="6" inputmode="decimal" aria-label={ "x in " (unit) } value=(x);
                input #picked-y name="y" size="6" inputmode="decimal" aria-label={ "y in " (unit) } value=(y);
                span.unit { (unit) }
                button.btn.small type="submit" { @if place.is_some() { "Set" } @else { "Place it" } }
            }
        }
    }

    pub(crate) fn html(&self) -> Markup {
        let head = self.head;
        let device = self.device;
        let tag = &device.tag;
        let field = |keys: &str| Field::device(tag, keys);
        let place = device.place.as_ref();
        let size = |key: &str, value: Option<Length>| {
            let known = Known { value, from: device.size.from };
            known_length(head, &field("size").below(key), &known)
        };
        html! {
            section.picked aria-labelledby="picked-head" data-picked=(tag) {
                header {
                    h2 #picked-head { (tag) }
                    span.kind { (device.title) }
                    span.r {
                        @if let Some(place) = place {
                            (place.deck) @if place.under { ", under" } ", turn " (90 * u32::from(place.quarters)) "°"
                            @if place.locked { " " (padlock()) }
                        } @else { "not placed yet" }
                    }
                }
                (self.place())
                @if let Some(place) = place {
                    div.acts {
                        (self.act("turn", "Turn", "R", None))
                        (self.act("lock", "Lock", "L", Some(place.locked)))
                        (self.act("under", "Under the deck", "U", Some(place.under)))
                        (self.act("unplace", "Take off", "", None))
                    }
                }
                table {
                    tbody {
                        tr {
                            th scope="row" { "Size" }
                            td.n {
                                (size("width", device.size.value.map(|s| s.width)))
                                " × " (size("depth", device.size.value.map(|s| s.depth)))
                                " × " (size("height", device.size.value.map(|s| s.height)))
                            }
                        }
                        tr { th scope="row" { "Knobs" } td.n { (known_length(head, &field("knobs"), &device.knobs)) } }
                        tr { th scope="row" { "Mass" } td.n { (known(head, &field("mass"), &device.mass)) } }
                        @if let Some(room) = self.to_lid {
                            tr { th scope="row" { "To the lid" } td.n { (derived_length(head, "lid", tag, room)) } }
                        }
                        @if device.power.current.value.is_some() {
                            tr { th scope="row" { "Draws" } td.n { (known(head, &field("power.current"), &device.power.current)) } }
                        }
                    }
                }
                @let rows = self.rows();
                @if !rows.is_empty() {
                    table.j {
                        tbody {
                            @for row in &rows {
                                tr {
                                    th scope="row" { (row.port) }
                                    td {
                                        @if let Some((lead, id)) = &row.lead {
                                            a href={ (head.to(super::frame::Place::Leads)) "?lead=" (query(id)) } { (lead) }
                                            @if let Some((_, word)) = row.spare { " " (word) }
                                        }
                                    }
                                    td.n {
                                        @if let (Some((lead, _)), Some((length, _))) = (&row.lead, row.spare) {
                                            (derived_length(head, "lead", lead, length))
                                        }
                                    }
                                }
                            }
                        }
                    }
                }
                (letters())
                p.more {
                    a href={ (head.to(super::frame::Place::Gear)) "?pick=" (query(tag)) } { "All its values" }
                    " \u{b7} "
                    a href={ "/job/" (head.job) "/where?field=" (query(&packed(&field("size.width")))) } data-where="" { "Where sizes come from" }
                }
            }
        }
    }
}

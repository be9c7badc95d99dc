//! One lead: its way and what its cut length is made of, its plugs, what it is near to.

use design::{Lead, Routes, end_words};
use drawing::Drawing;
use finding::{Field, Severity};
use leads::End;
use maud::{Markup, html};
use quantity::LengthUnit;

use super::drawn::still;
use super::frame::Head;
use super::leads::Row;
use super::marks::{severity, tick};
use super::value::{packed, query, rounded};
use crate::laid::Way;

/// The picked lead.
pub(crate) struct One<'a> {
    pub(crate) head: &'a Head,
    pub(crate) lead: &'a Lead,
    pub(crate) row: &'a Row<'a>,
    /// All ways, when they are known by now.
    pub(crate) routes: Option<&'a Routes>,
    pub(crate) design: &'a design::Design,
}

/// Width of the sketch of a lead with a joint.
const JOINT_MM: f64 = 150.0;

impl One<'_> {
    /// A ring around every bend that is too sharp.
    pub(crate) fn marks(&self, plan: &Drawing) -> Markup {
        let k = plan.scale.factor();
        let at =
            |x: f64, y: f64| (format!("{:.2}", plan.datum.x + x * k), format!("{:.2}", plan.datum.y - y * k));
        let ties = self.lead.ties.iter().map(|tie| at(tie[0].as_mm(), tie[1].as_mm()));
        let sharp = self.row.ways.iter().flat_map(|way| {
            let corners = way.laid.path.iter().skip(1).zip(&way.laid.radii);
            corners.filter(move |(_, radius)| **radius < way.wanted.radius_mm - 0.1)
        });
        html! {
            @for (corner, _) in sharp {
                @let (x, y) = at(corner[0], corner[1]);
                circle.sharp aria-hidden="true" cx=(x) cy=(y) r="2.4" {}
            }
            @for (x, y) in ties { circle.tied aria-hidden="true" cx=(x) cy=(y) r="1.2" {} }
        }
    }

    fn figure(&self, mm: f64) -> String {
        rounded(mm, self.head.unit)
    }

    fn end(&self, end: &End, of: &design::LeadEndAt) -> Markup {
        html! {
            tr {
                th scope="row" { "At " (of.port) }
                td {
                    (end_words(of))
                    @if let Some(exit) = end.exit { ", exit " (exit) @if end.proposed { " " span.faint { "(proposed)" } } }
                }
                td.n { @match end.allowance_mm { Some(mm) => { (self.figure(mm)) } None => { span.faint { "open" } } } }
            }
        }
    }

    /// The part of a leg that lies in the joint.
    fn in_joint(&self, end: &End) -> Markup {
        html! {
            tr { th scope="row" { "In the joint" } td {} td.n { @if let Some(mm) = end.allowance_mm { (self.figure(mm)) } } }
        }
    }

    /// How its ends hang together: the sketch of its wires.
    fn joint(&self) -> Markup {
        html! {
            p.more { (self.lead.shape.word()) ", " (self.lead.ends.len()) " plugs, one joint" }
            @if let Some(sketch) = drawing::joint(self.design, self.lead, JOINT_MM) { div.scroll tabindex="0" role="region" aria-label={ "Wires of " (self.lead.tag) } { (still(&sketch, "drawing joint")) } }
        }
    }

    fn sum(&self, leg: usize, way: Way<'_>) -> Markup {
        let (laid, wanted) = (way.laid, way.wanted);
        html! {
            table.sum {
                tbody {
                    tr { th scope="row" { "Route" } td { @if laid.estimated { span.faint { "estimated" } } @else { "with its bends" } } td.n { (self.figure(laid.route_mm)) } }
                    (self.end(&wanted.from, &self.lead.ends[leg]))
                    @if self.lead.is_joined() { (self.in_joint(&wanted.to)) } @else { (self.end(&wanted.to, self.lead.to())) }
                    tr { th scope="row" { "Slack" } td {} td.n { (self.figure(laid.slack_mm)) } }
                    @if 0.0 < laid.service_mm { tr { th scope="row" { "Service" } td { "to take it out, or over a hinge" } td.n { (self.figure(laid.service_mm)) } } }
                    tr.total { th scope="row" { @if self.row.is_bought() { "Needs" } @else { "Cut" } } td { "rounded up" } td.n { b { (self.figure(laid.cut_mm)) } } }
                    @if let Some(made) = wanted.made_mm { tr { th scope="row" { "Made" } td {} td.n { (self.figure(made)) } } }
                    @if let Some(spare) = laid.spare_mm {
                        tr { th scope="row" { "To spare" } td { @if spare < 0.0 { (severity(Severity::Stop, 14)) " remake" } @else { (tick()) " reaches" } } td.n { (self.figure(spare)) } }
                    }
                }
            }
            table.j {
                tbody {
                    tr {
                        th scope="row" { "Sharpest bend" }
                        td { @if self.row.is_sharp() { (severity(Severity::Look, 14)) " least " (self.figure(wanted.radius_mm)) } @else { (tick()) " within " (self.figure(wanted.radius_mm)) } }
                        td.n { (format!("{:.1}", laid.tightest_mm)) " mm" }
                    }
                    tr { th scope="row" { "Clocking" } td {} td.n { (wanted.clocking.as_deref().unwrap_or("open")) } }
                    tr { th scope="row" { "Capacitance" } td {} td.n { @match laid.capacitance_pf { Some(pf) => { (format!("{pf:.0}")) " pF" } None => { "unknown" } } } }
                    tr { th scope="row" { "Resistance" } td { "one core" } td.n { @match laid.resistance_ohm { Some(ohm) => { (format!("{ohm:.3}")) " Ω" } None => { "unknown" } } } }
                }
            }
        }
    }

    /// What it runs beside, and the holes it goes through.
    fn company(&self, routes: &Routes) -> Markup {
        let tag = &self.lead.tag;
        let to = |tag: &str| format!("{}?lead={}", self.head.to(self.head.place), query(tag));
        let near = routes.outcome.near.iter().filter(|near| near.one == *tag || near.other == *tag);
        let through = routes.outcome.passing.iter().filter(|hole| hole.leads.contains(tag));
        html! {
            ul.company {
                @for near in near {
                    @let other = if near.one == *tag { &near.other } else { &near.one };
                    li { (severity(Severity::Look, 14)) " beside " a href=(to(other)) data-pick="" { (other) } " for " (self.figure(near.parallel_mm)) ", " (self.figure(near.distance_mm)) " apart; wanted " (self.figure(near.wanted_mm)) }
                }
                @for hole in through {
                    li { "through " (hole.hole) @if hole.too_wide.contains(tag) { ": " (severity(Severity::Look, 14)) " its plugs do not pass; solder one end after" } }
                }
            }
        }
    }

    pub(crate) fn html(&self) -> Markup {
        let lead = self.lead;
        let place = self.row.ways.first().map(|way| {
            let loom = way.laid.loom.map(|loom| format!("loom {loom}"));
            let batch = self.row.batch.map(|batch| format!("batch {batch}"));
            loom.into_iter().chain(batch).collect::<Vec<_>>().join(", ")
        });
        html! {
            section.picked aria-labelledby="lead-head" {
                header {
                    h2 #lead-head { (lead.tag) }
                    span.kind { (lead.route_words()) }
                    @if let Some(place) = place { span.r { (place) } }
                }
                @if lead.is_joined() { (self.joint()) }
                @for way in &self.row.ways {
                    @let leg = lead.leg_of(&way.laid.id).unwrap_or(0);
                    @if lead.is_joined() { h3 { "Leg " (lead.ends[leg].letter) ", from " (lead.ends[leg].port) } }
                    (self.sum(leg, *way))
                }
                @match (self.row.ways.first(), self.row.why_not) {
                    (Some(_), _) => {}
                    (None, Some(why)) => { p.more { "Not laid: " (why) "." } }
                    (None, None) => {
                        p.more { "Its way is being laid. Until then, from the straight line:" }
                        table { tbody { tr { th scope="row" { "Cut" } td.n { (self.row.cut(self.head)) } } } }
                    }
                }
                @if let Some(routes) = self.routes { (self.company(routes)) }
                @if !lead.outside { (self.ties()) }
            }
        }
    }

    /// Where the lead is tied down, in the order of its way, and a form for one more.
    fn ties(&self) -> Markup {
        let head = self.head;
        let unit = if head.unit == LengthUnit::Inch { "in" } else { "mm" };
        let tag = &self.lead.tag;
        let field = Field::new(["lead", &self.row.id, "ties"]);
        html! {
            p.more { a href={ "/job/" (head.job) "/where?field=" (query(&packed(&field))) } data-where="" { "Tie points" } }
            @for (index, tie) in self.lead.ties.iter().enumerate() {
                form.place method="post" action=(head.edit_to()) data-live="" {
                    (head.edit_fields("untie"))
                    input type="hidden" name="lead" value=(tag);
                    input type="hidden" name="at" value=(index);
                    span.label { "tied at " (tie[0]) ", " (tie[1]) }
                    button.btn.small type="submit" { "Untie" }
                }
            }
            form.place method="post" action=(head.edit_to()) data-live="" data-clear="" {
                (head.edit_fields("tie"))
                input type="hidden" name="lead" value=(tag);
                input type="hidden" name="unit" value=(unit);
                span.label { "Tie at" }
                input name="x" size="6" inputmode="decimal" required aria-label={ "x in " (unit) };
                input name="y" size="6" inputmode="decimal" required aria-label={ "y in " (unit) };
                button.btn.small type="submit" { "Tie" }
            }
        }
    }
}

//! Power: bricks with their outlets and what hangs on each, bars of load, and what still wants a feed.

use design::{Design, OutletLoad, feed_state, outlet_words};
use finding::Field;
use maud::{Markup, html};
use rig::{Device, FeedKind, Isolation, Outlet, PortRef, Role};

use super::allocate::{Allocate, chip};
use super::frame::Head;
use super::marks::letters;
use super::value::{derived, known, packed};

/// The page.
pub(crate) struct Power<'a> {
    pub(crate) head: &'a Head,
    pub(crate) design: &'a Design,
    pub(crate) picked: Option<&'a str>,
    /// What the engine says, where it has been asked.
    pub(crate) allocate: Option<Allocate<'a>>,
}

impl Power<'_> {
    fn bricks(&self) -> Vec<&Device> {
        let devices = &self.design.rig.devices;
        devices.iter().filter(|device| device.role == Role::Brick || !device.outlets.is_empty()).collect()
    }

    fn hungry(&self) -> Vec<&Device> {
        let devices = &self.design.rig.devices;
        devices
            .iter()
            .filter(|device| {
                // What is unknown may well want a feed; only what is known to need none is left out.
                let needs = match device.power.nature.value {
                    Some(nature) => !matches!(nature, rig::Nature::None | rig::Nature::Mains),
                    None => device.role == Role::Pedal && !device.outside,
                };
                (needs || device.feed.is_some()) && device.outlets.is_empty()
            })
            .collect()
    }

    pub(crate) fn tools(&self) -> Markup {
        let waiting = self.hungry().iter().filter(|device| device.feed.is_none()).count();
        html! {
            span { b { (waiting) } " without a feed" }
            form method="post" action=(self.head.edit_to()) data-live="" {
                (self.head.edit_fields("allocate"))
                button.btn.small.first type="submit" title="Write the best feeds into the document; locked ones stay" { "Allocate" }
            }
            span.live #hang-live role="status" {}
            span.grow {}
            (letters())
        }
    }

    pub(crate) fn main(&self) -> Markup {
        let bricks = self.bricks();
        html! {
            div.page {
                section #allocation data-apart="" data-later=[self.allocate.is_none().then_some("")] {
                    @if let Some(allocate) = &self.allocate { (allocate.html(self.head)) }
                }
                h2 { "Supplies" span { "drag a device to another outlet, or take it up by Enter and choose by arrows" } }
                (self.waiting())
                @if bricks.is_empty() { p.none { "No supply yet. Add a brick in Gear; its outlets then stand here." } }
                @for brick in &bricks { (self.brick(brick)) }
                h2 { "Feeds" span { "pairs, crossings, settings by hand" } }
                div.scroll tabindex="0" role="region" aria-label="Table of feeds" {
                table.list.feeds.stack {
                    thead { tr { th scope="col" { "Device" } th.n scope="col" { "Wants" } th.n scope="col" { "Draws" } th scope="col" { "Polarity" } th scope="col" { "Gets" } th scope="col" { "Outlet" } } }
                    tbody { @for device in self.hungry() { (self.feed(device, &bricks)) } }
                } }
            }
        }
    }

    fn load(&self, port: &PortRef) -> Option<&OutletLoad> {
        self.design.outlets.iter().find(|load| load.outlet == *port)
    }

    fn brick(&self, brick: &Device) -> Markup {
        let head = self.head;
        html! {
            section.brick data-key=(brick.tag) aria-label={ "Supply " (brick.tag) } {
                h3 { (brick.tag) " " span.faint { (brick.title) } @if brick.total.value.is_some() { span.r { "all at once " (known(head, &Field::device(&brick.tag, "total"), &brick.total)) } } }
                div.scroll tabindex="0" role="region" aria-label={ "Outlets of " (brick.tag) } { table.list.outlets.stack {
                    thead { tr { th scope="col" { "Outlet" } th scope="col" { "Set to" } th.hangs scope="col" { "Feeds" } th scope="col" { "Load" } th.n scope="col" { "Draw" } th.n scope="col" { "Gives" } th.n scope="col" { "Margin" } th scope="col" { "Negative" } th.cost-head scope="col" { "If hung here" } } }
                    tbody { @for outlet in &brick.outlets { (self.outlet(brick, outlet)) } }
                } }
            }
        }
    }

    fn outlet(&self, brick: &Device, outlet: &Outlet) -> Markup {
        let head = self.head;
        let port = PortRef::new(&brick.tag, &outlet.name);
        let load = self.load(&port);
        let name = port.to_string();
        let limit = load.map(|load| load.limit).or_else(|| outlet.setting().map(|setting| setting.current));
        let drawn = load.and_then(|load| load.load.value);
        let gives = limit.and_then(|limit| limit.value);
        html! {
            tr data-key=(name) data-outlet=(name) {
                th scope="row" { span.otag { (name) } }
                td data-th="Set to" {
                    @if outlet.settings.len() > 1 {
                        form.row method="post" action=(head.edit_to()) data-live="" {
                            (head.edit_fields("set"))
                            input type="hidden" name="field" value=(packed(&Field::device(&brick.tag, "outlet").below(&outlet.name).below("set")));
                            input type="hidden" name="name" value={ "set outlet " (name) };
                            select name="value" aria-label={ "Volts of outlet " (name) } data-auto="" {
                                option value="" selected[outlet.set.value.is_none()] { "not set" }
                                @for setting in &outlet.settings { option value=(setting.volts) selected[outlet.set.value == Some(setting.volts)] { (setting.volts) } }
                            }
                            button.btn.small type="submit" { "Set" }
                        }
                    } @else { (outlet_words(brick, outlet)) }
                }
                td.hangs.wide {
                    @let on = self.on(&port);
                    @if on.is_empty() { span.faint { "spare" } }
                    @for device in on { (chip(head, device)) }
                }
                td.wide {
                    @if let (Some(drawn), Some(gives)) = (drawn, gives) {
                        @let share = if gives.get() > 0.0 { 100.0 * drawn.get() / gives.get() } else { 0.0 };
                        (bar(share))
                    }
                }
                td.n data-th="Draw" { @if let Some(drawn) = drawn { (derived(head, "load", &name, &format!("{:.0}", drawn.get()), "mA")) } @else if load.is_some() { (derived(head, "load", &name, "unknown", "")) } }
                td.n data-th="Gives" { @if let Some(limit) = limit { (known(head, &Field::device(&brick.tag, "outlet").below(&outlet.name).below("setting"), &limit)) } }
                td.n data-th="Margin" { @if let (Some(drawn), Some(gives)) = (drawn, gives) { b { (super::value::minus(format!("{:.0}", gives.get() - drawn.get()))) } " " span.unit { "mA" } } }
                td data-th="Negative" { @match outlet.isolation.value { Some(Isolation::Isolated) => "own", Some(Isolation::Joined) => "joined", None => "unknown" } }
                td.cost {}
            }
        }
    }

    /// The devices whose feed names an outlet.
    fn on(&self, port: &PortRef) -> Vec<&Device> {
        let names = |device: &&Device| device.feed.as_ref().is_some_and(|feed| feed.outlets.contains(port));
        self.design.rig.devices.iter().filter(names).collect()
    }

    /// What hangs on no outlet, and where a device is put that shall have none.
    fn waiting(&self) -> Markup {
        let none: Vec<&Device> = self.hungry().into_iter().filter(|device| device.feed.is_none()).collect();
        html! {
            section.brick.waiting data-key="none" data-outlet="" aria-label="Without an outlet" {
                h3 { "Without an outlet" }
                p { @if none.is_empty() { span.faint { "nothing" } } @for device in none { (chip(self.head, device)) " " } }
            }
        }
    }

    fn feed(&self, device: &Device, bricks: &[&Device]) -> Markup {
        let head = self.head;
        let tag = &device.tag;
        let field = |keys: &str| Field::device(tag, keys);
        let gets = feed_state(&self.design.rig, device);
        let current = |index: usize| {
            device
                .feed
                .as_ref()
                .and_then(|feed| feed.outlets.get(index))
                .map(ToString::to_string)
                .unwrap_or_default()
        };
        let kind = device.feed.as_ref().map_or(FeedKind::Single, |feed| feed.kind);
        let options = |chosen: String| {
            html! {
                option value="" selected[chosen.is_empty()] { "none" }
                @for brick in bricks {
                    @for outlet in &brick.outlets {
                        @let name = PortRef::new(&brick.tag, &outlet.name).to_string();
                        option value=(name) selected[name == chosen] { (name) ", " (outlet_words(brick, outlet)) }
                    }
                }
                @if kind == FeedKind::Adaptor && !chosen.is_empty() { option value=(chosen) selected { (chosen) } }
            }
        };
        html! {
            tr .pick[self.picked == Some(tag)] data-key=(tag) {
                th scope="row" { (tag) " " span.faint { (device.title) } }
                td.n data-th="Wants" { (known(head, &field("power.volts"), &device.power.volts)) }
                td.n data-th="Draws" { (known(head, &field("power.current"), &device.power.current)) }
                td data-th="Polarity" { @if let Some(sign) = device.power.sign.value { (sign.word().replace('-', " ")) } @else { "unknown" } }
                td data-th="Gets" { @match &gets {
                    Some(state) => { (state.volts.value.map_or("unknown".to_owned(), |v| v.to_string())) @if let Some(sign) = state.sign.value { ", " (sign.word().replace('-', " ")) } }
                    None => { span.faint { "nothing" } }
                } }
                td.wide {
                    form.row method="post" action=(head.edit_to()) data-live="" {
                        (head.edit_fields("feed"))
                        input type="hidden" name="tag" value=(tag);
                        select name="outlet" aria-label={ "Outlet for " (tag) } { (options(current(0))) }
                        @if kind == FeedKind::SeriesPair || kind == FeedKind::ParallelPair || self.picked == Some(tag) {
                            select name="outlet" aria-label={ "Second outlet for " (tag) } { (options(current(1))) }
                            select name="type" aria-label={ "How the outlets of " (tag) " are joined" } {
                                @for word in [FeedKind::Single, FeedKind::SeriesPair, FeedKind::ParallelPair, FeedKind::Adaptor] { option value=(word.word()) selected[kind == word] { (word.word()) } }
                            }
                        } @else { input type="hidden" name="type" value=(kind.word()); }
                        label.check { input type="checkbox" name="crossing" value="yes" checked[device.feed.as_ref().is_some_and(|feed| feed.crossing)]; " crossing lead" }
                        button.btn.small type="submit" aria-label={ "Feed " (tag) } { "Feed" }
                    }
                }
            }
        }
    }
}

/// A bar of load: full width is all the outlet gives. Its figure stands beside it.
fn bar(share: f64) -> Markup {
    let wide = share.clamp(0.0, 100.0);
    let word = format!("{share:.0} %");
    let class = if share > 100.0 {
        "load over"
    } else if share > 80.0 {
        "load high"
    } else {
        "load"
    };
    html! {
        svg class=(class) viewBox="0 0 124 12" width="124" height="12" role="img" aria-label={ "loaded to " (word) } {
            rect.all x="0.5" y="1.5" width="100" height="9" {}
            rect.part x="0.5" y="1.5" width=(format!("{wide:.1}")) height="9" {}
            path.mark d="M80.5 0v12" {}
        }
        span.share { (word) }
    }
}

//! What stands around every place: bar, places, findings, sums.

use finding::{Finding, Severity};
use maud::{DOCTYPE, Markup, PreEscaped, html};
use quantity::LengthUnit;
use serde_json::{Value, json};

use super::marks::{counted, severity, shapes};
use crate::hash::hash_of;
use crate::statics::stamp;

/// A place of the workbench.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Place {
    Brief,
    Gear,
    Path,
    Deck,
    Panel,
    Power,
    Leads,
    Build,
    Test,
    Papers,
    Change,
}

impl Place {
    pub(crate) const ALL: [Self; 11] = [
        Self::Brief,
        Self::Gear,
        Self::Path,
        Self::Deck,
        Self::Panel,
        Self::Power,
        Self::Leads,
        Self::Build,
        Self::Test,
        Self::Papers,
        Self::Change,
    ];

    /// The word in its address.
    pub(crate) fn word(self) -> &'static str {
        match self {
            Self::Brief => "brief",
            Self::Gear => "gear",
            Self::Path => "path",
            Self::Deck => "deck",
            Self::Panel => "panel",
            Self::Power => "power",
            Self::Leads => "leads",
            Self::Build => "build",
            Self::Test => "test",
            Self::Papers => "papers",
            Self::Change => "change",
        }
    }

    pub(crate) fn title(self) -> &'static str {
        match self {
            Self::Brief => "Brief",
            Self::Gear => "Gear",
            Self::Path => "Path",
            Self::Deck => "Deck",
            Self::Panel => "Panel",
            Self::Power => "Power",
            Self::Leads => "Leads",
            Self::Build => "Build",
            Self::Test => "Test",
            Self::Papers => "Papers",
            Self::Change => "Change",
        }
    }

    pub(crate) fn of(word: &str) -> Option<Self> {
        Self::ALL.into_iter().find(|place| place.word() == word)
    }

    /// Whether a finding belongs beside this place, by what it points at.
    pub(crate) fn concerns(self, finding: &Finding) -> bool {
        let keys: Vec<&str> = finding
            .marks
            .first()
            .map(|mark| mark.field.parts().iter().map(String::as_str).collect())
            .unwrap_or_default();
        home(finding.rule, &keys) == self
    }
}

/// The place where a finding is looked into: by its rule, else by the value it points at.
fn home(rule: &str, keys: &[&str]) -> Place {
    match rule {
        "mass" | "baggage-mass" | "tipping" | "mains-voltage" | "mains-frequency" => return Place::Brief,
        "clearance" | "board-edge" | "board-parts" | "clear-height" | "lid-height" | "case-foam"
        | "not-placed" | "row-distance" | "switch-distance" | "aerial-distance" | "field-distance"
        | "service-port" | "fastening" | "passage-edge" | "foot-room" => return Place::Deck,
        "panel-holes" => return Place::Panel,
        "plug-fit" | "lead-short" | "lead-long" | "lead-label" | "lead-apart" | "lead-bend" | "lead-way"
        | "lead-over-edge" | "loom-level" | "passage-fill" | "crossing-lead" => {
            return Place::Leads;
        }
        "no-feed" | "outlet-load" | "outlet-setting" | "brick-load" | "brick-heat" | "shared-outlet"
        | "start-surge" | "supply-barrel" | "supply-drop" | "supply-nature" | "supply-sign"
        | "supply-voltage" | "pair" | "loose-adaptor" | "unisolated-outlet" | "positive-ground" => {
            return Place::Power;
        }
        _ => {}
    }
    match keys {
        ["device", _, "power" | "feed" | "outlet" | "bank", ..] => Place::Power,
        ["device", _, "place", ..] | ["board", ..] => Place::Deck,
        ["device", _, "port", _, "offset" | "face" | "height", ..]
        | ["device", _, "size" | "mass" | "knobs", ..]
        | ["accept", ..] => Place::Gear,
        ["lead" | "leads", ..] => Place::Leads,
        ["brief" | "job", ..] => Place::Brief,
        _ => Place::Path,
    }
}

/// What every part of a page needs to know of the job.
#[derive(Debug, Clone)]
pub(crate) struct Head {
    pub(crate) job: String,
    pub(crate) title: String,
    pub(crate) number: Option<String>,
    pub(crate) player: Option<String>,
    pub(crate) letter: Option<String>,
    pub(crate) revision: u64,
    pub(crate) undo: Option<String>,
    pub(crate) redo: Option<String>,
    pub(crate) unit: LengthUnit,
    pub(crate) place: Place,
    /// The query of the address this page stands at, without its question mark.
    pub(crate) query: String,
    /// Whether the engines have not been asked yet, so that the page asks again for what they say.
    pub(crate) later: bool,
    pub(crate) open: [usize; 3],
    pub(crate) by_place: Vec<(Place, Option<Severity>, usize)>,
}

impl Head {
    /// The address of this page.
    pub(crate) fn here(&self) -> String {
        let place = self.place.word();
        if self.query.is_empty() {
            format!("/job/{}/{place}", self.job)
        } else {
            format!("/job/{}/{place}?{}", self.job, self.query)
        }
    }

    pub(crate) fn to(&self, place: Place) -> String {
        format!("/job/{}/{}", self.job, place.word())
    }

    /// The fields that every edit carries.
    pub(crate) fn edit_fields(&self, act: &str) -> Markup {
        html! {
            input type="hidden" name="act" value=(act);
            input type="hidden" name="base" value=(self.revision);
            input type="hidden" name="here" value=(self.here());
        }
    }

    /// The address edits go to.
    pub(crate) fn edit_to(&self) -> String {
        format!("/job/{}/edit", self.job)
    }
}

/// A page of a job: its fragments can be swapped one by one.
#[derive(Debug)]
pub(crate) struct Page {
    pub(crate) head: Head,
    pub(crate) tools: Markup,
    /// Left out where it takes long and the page asks for it next.
    pub(crate) main: Option<Markup>,
    pub(crate) side: Markup,
    pub(crate) sums: Option<Markup>,
}

impl Page {
    fn fragments(&self) -> Vec<(&'static str, String)> {
        let mut all = vec![
            ("bar", bar(&self.head).into_string()),
            ("places", places(&self.head).into_string()),
            ("tools", self.tools.clone().into_string()),
            ("side", self.side.clone().into_string()),
        ];
        if let Some(main) = &self.main {
            all.push(("main", main.clone().into_string()));
        }
        if let Some(sums) = &self.sums {
            all.push(("sums", sums.clone().into_string()));
        }
        all
    }

    /// The fragments as data, without those the page has already. `have` is `bar:hash,main:hash`.
    pub(crate) fn data(&self, have: &str, said: Option<&str>) -> Value {
        let known: Vec<(&str, &str)> = have.split(',').filter_map(|part| part.split_once(':')).collect();
        let fragments: Vec<Value> = self
            .fragments()
            .into_iter()
            .filter_map(|(id, html)| {
                let hash = short(&html);
                if known.contains(&(id, hash.as_str())) {
                    return None;
                }
                Some(json!({ "id": id, "hash": hash, "html": html }))
            })
            .collect();
        json!({
            "revision": self.head.revision,
            "job": self.head.job,
            "here": self.head.here(),
            "said": said,
            "later": self.head.later || self.main.is_none(),
            "fragments": fragments,
        })
    }

    /// The whole page.
    pub(crate) fn html(&self) -> String {
        let head = &self.head;
        let class = format!("place-{}", head.place.word());
        let fragments: Vec<(&str, String, String)> = self
            .fragments()
            .into_iter()
            .map(|(id, html)| {
                let hash = short(&html);
                (id, html, hash)
            })
            .collect();
        let part = |id: &str| {
            fragments
                .iter()
                .find(|(name, _, _)| *name == id)
                .map(|(_, html, hash)| (PreEscaped(html.clone()), hash.clone()))
                .unwrap_or_default()
        };
        let (bar, bar_hash) = part("bar");
        let (places, places_hash) = part("places");
        let (tools, tools_hash) = part("tools");
        let (main, main_hash) = part("main");
        let (side, side_hash) = part("side");
        let (sums, sums_hash) = part("sums");
        document(
            Some(head.place),
            &format!("{}, {}", head.place.title(), head.title),
            &html! {
                body.{ "job " (class) } data-job=(head.job) data-revision=(head.revision) data-here=(head.here())
                    data-unit=(if head.unit == LengthUnit::Inch { "inch" } else { "mm" }) {
                    (shapes())
                    a.skip href="#main" { "To the drawing" }
                    header #bar.bar data-hash=(bar_hash) { (bar) }
                    nav #places.places data-hash=(places_hash) aria-label="Places" { (places) }
                    section #tools.tools data-hash=(tools_hash) aria-label="Tools" { (tools) }
                    main #main data-hash=(main_hash) tabindex="-1" { (main) }
                    aside #side data-hash=(side_hash) aria-label="Findings and what is picked" { (side) }
                    @if self.sums.is_some() {
                        section #sums.sums data-hash=(sums_hash) aria-label="Sums" { (sums) }
                    }
                    div #said.said role="status" aria-live="polite" {}
                    dialog #where aria-label="Where a number comes from" {}
                }
            },
        )
    }
}

fn short(html: &str) -> String {
    hash_of(std::iter::once(html)).chars().take(16).collect()
}

/// Test has styles and a script of its own, which no other page loads; Change has styles.
fn document(place: Option<Place>, title: &str, body: &Markup) -> String {
    if place == Some(Place::Test) {
        with_head(title, &["places.css", "test.css"], Some("test.js"), body)
    } else if place == Some(Place::Change) {
        with_head(title, &["places.css", "change.css"], Some("main.js"), body)
    } else {
        with_head(title, &["places.css"], Some("main.js"), body)
    }
}

/// A page that stands for itself, with a style sheet of its own and no script: for a phone in a hurry.
pub(crate) fn alone(title: &str, style: &str, body: &Markup) -> String {
    with_head(title, &[style], None, body)
}

/// A whole document, with these styles beside those that all pages have.
fn with_head(title: &str, styles: &[&str], script: Option<&str>, body: &Markup) -> String {
    let at = |name: &str| format!("/static/{}/{name}", stamp());
    html! {
        (DOCTYPE)
        html lang="en" {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                title { (title) " · Boardwright" }
                link rel="icon" type="image/svg+xml" href=(at("mark.svg"));
                @for style in ["look.css"].iter().chain(styles) { link rel="stylesheet" href=(at(style)); }
                @if let Some(script) = script { script type="module" src=(at(script)) {} }
            }
            (body)
        }
    }
    .into_string()
}

/// A page without a job: the shop, an error.
pub(crate) fn bare(title: &str, main: &Markup) -> String {
    document(
        None,
        title,
        &html! {
            body.bare {
                (shapes())
                header.bar { a.mark href="/" { "Boardwright" } }
                main #main { (main) }
            }
        },
    )
}

fn bar(head: &Head) -> Markup {
    let step = |word: &str, title: &str, name: &Option<String>, keys: &str| {
        let to = format!("/job/{}/{word}", head.job);
        html! {
            form method="post" action=(to) data-live="" data-step=(word) {
                input type="hidden" name="base" value=(head.revision);
                input type="hidden" name="here" value=(head.here());
                button.btn type="submit" disabled[name.is_none()] title=[name.as_ref().map(|name| format!("{title}: {name}"))] {
                    (title)
                    @if let Some(name) = name { span.name { (name) } }
                    @if !keys.is_empty() { kbd { (keys) } }
                }
            }
        }
    };
    let draft = head.letter.as_deref().map_or("draft".to_owned(), |letter| format!("{letter} draft"));
    html! {
        a.mark href="/" { "Boardwright" }
        details.menu {
            summary aria-label="Places" { span aria-hidden="true" { "☰" } }
            div.drop { (links(head)) div.rest { (units(head)) (step("redo", "Redo", &head.redo, "")) } }
        }
        b.at aria-hidden="true" { (head.place.title()) }
        h1 { (head.title) }
        p.meta {
            (head.number.as_deref().unwrap_or(""))
            @if head.number.is_some() && head.player.is_some() { ", " }
            (head.player.as_deref().unwrap_or(""))
        }
        span.rev { (draft) }
        span.grow {}
        (step("undo", "Undo", &head.undo, "Ctrl Z"))
        (step("redo", "Redo", &head.redo, "Ctrl Y"))
        (units(head))
        p.counts aria-label="Open findings" {
            @for (of, count) in [Severity::Stop, Severity::Look, Severity::Note].into_iter().zip(head.open) {
                (counted(of, count))
            }
        }
    }
}

/// The one switch of the unit of length.
fn units(head: &Head) -> Markup {
    html! {
        form.seg method="post" action="/unit" role="group" aria-label="Unit of length" {
            input type="hidden" name="here" value=(head.here());
            @for (unit, word) in [(LengthUnit::Millimetre, "mm"), (LengthUnit::Inch, "inch")] {
                button type="submit" name="unit" value=(word) aria-pressed=(if head.unit == unit { "true" } else { "false" }) { (word) }
            }
        }
    }
}

fn links(head: &Head) -> Markup {
    html! {
        ul {
            li { a href="/" { span { "Shop" } } }
            li.gap aria-hidden="true" {}
            @for (place, worst, count) in &head.by_place {
                li {
                    a href=(head.to(*place)) aria-current=[(*place == head.place).then_some("page")] {
                        span { (place.title()) }
                        @if let Some(worst) = worst {
                            span.c { (count) " " (severity(*worst, 13)) span.sr { " open, worst " (worst.word()) } }
                        }
                    }
                }
            }
        }
    }
}

fn places(head: &Head) -> Markup {
    html! {
        (links(head))
        dl.keys {
            @if head.place == Place::Deck {
                dt { "nudge 1 mm" } dd { "arrows" }
                dt { "10 mm" } dd { "Shift" }
                dt { "turn" } dd { "R" }
                dt { "lock" } dd { "L" }
                dt { "under, over" } dd { "U" }
                dt { "fit" } dd { "F" }
            }
            @if head.place == Place::Path {
                dt { "move stop" } dd { "arrows" }
                dt { "other run" } dd { "Shift ↑ ↓" }
                dt { "remove" } dd { "Delete" }
                dt { "on or off" } dd { "Space" }
            }
            @if head.place == Place::Leads {
                dt { "alone" } dd { "Enter" }
                dt { "fit" } dd { "F" }
            }
            @if head.place == Place::Power {
                dt { "take, hang" } dd { "Enter" }
                dt { "outlet" } dd { "arrows" }
            }
            dt { "next finding" } dd { "N" }
            dt { "undo" } dd { "Ctrl Z" }
        }
    }
}

//! What is told when a number is asked where it comes from.

use document::format::Shape;
use finding::Field;
use maud::{Markup, html};
use quantity::{Grams, Length, LengthUnit, Quantity};
use rig::Provenance;

use crate::handlers::Query;
use crate::pages::findings::sentence;
use crate::pages::value::{length, unpacked};
use crate::read::Read;

/// The answer as a fragment; `None` when nothing is known of it.
pub(crate) fn tell(read: &Read, query: &Query, unit: LengthUnit) -> Option<Markup> {
    if let Some(rule) = query.get("rule") {
        return checks::explain(rule).map(|page| html! { h2 { "Rule " (rule) } pre { (page) } });
    }
    if let Some(word) = query.get("field") {
        return Some(written(read, &unpacked(word)));
    }
    derived(read, query.get("sum")?, query.get("of").unwrap_or(""), unit)
}

fn origin(from: Provenance) -> &'static str {
    match from {
        Provenance::Measured => "measured in the workshop",
        Provenance::Photo => "measured from photo",
        Provenance::Printed => "printed on the device or in its manual",
        Provenance::Computed => "computed from other values, none of them assumed",
        Provenance::Assumed => "assumed: taken from custom or a guess; it shows on every paper",
        Provenance::Unknown => "nobody knows it yet",
    }
}

fn written(read: &Read, field: &Field) -> Markup {
    let found = read.job.written(field);
    let at = found.as_ref().map_or_else(|| read.job.locate(field), |written| written.at.clone());
    let place = read.job.files.place(&at);
    let place =
        place.rsplit_once("/catalogue/").map_or(place.clone(), |(_, rest)| format!("catalogue/{rest}"));
    html! {
        h2 { (sentence(&field.words())) }
        dl.rows {
            div { dt { "Value" } dd { b { (found.as_ref().map_or_else(|| "not written".to_owned(), |written| shown(field, &written.text))) } } }
            @if let Some(doc) = crate::format_at::key_at(field).map(|key| key.doc) { div { dt { "What it is" } dd { (doc) } } }
            @if let Some(written) = &found { div { dt { "Comes from" } dd { (origin(written.from)) } } }
            div { dt { @if found.is_some() { "Written in" } @else { "Belongs in" } } dd { (place) } }
        }
    }
}

/// A written value as the tables show it: a mass in the unit that leaves a short figure, all else as it is written.
fn shown(field: &Field, text: &str) -> String {
    let is_mass = crate::format_at::key_at(field)
        .is_some_and(|key| matches!(&key.shape, Shape::Measure(measure) if measure.name == Grams::NAME));
    match text.parse::<Grams>() {
        Ok(mass) if is_mass => mass.to_string(),
        _ => text.to_owned(),
    }
}

/// A figure that follows from others: how, from what, by which source.
struct Told {
    head: String,
    value: String,
    how: &'static str,
    source: &'static str,
    from: Vec<(String, String)>,
}

fn derived(read: &Read, sum: &str, of: &str, unit: LengthUnit) -> Option<Markup> {
    let told = match sum {
        "mass" => mass(read),
        "assumed" => assumed(read),
        "lead" | "cut" => lead(read, of, unit)?,
        "load" => load(read, of)?,
        "gap" => gap(read, of, unit)?,
        "lid" => lid(read, of, unit)?,
        "place" => place(read, of, unit)?,
        "change" => Told {
            head: "Worst change at 4 kHz".to_owned(),
            value: String::new(),
            how: "Level at 4 kHz at the end of the way, against the same guitar straight into the same amp by the player’s usual lead, in the switching state where it differs most. Small signals, linear; a stated figure stands in for what is unknown, and `boardwright signal` names each.",
            source: "nodal analysis of pickup, pots, leads, jacks and inputs; the sources of its figures are in docs/sources.md",
            from: vec![("Way".to_owned(), of.to_owned())],
        },
        "ends" => Told {
            head: "Sources and sinks".to_owned(),
            value: String::new(),
            how: "They stand outside the board; their leads and plugs are the client’s and are not made here. Their values are in the document under source and sink.",
            source: "common practice, no source",
            from: Vec::new(),
        },
        "change-4k" | "tone" | "insertion" | "level" | "resonance" => Told {
            head: match sum {
                "change-4k" => "Change at 4 kHz",
                "tone" => "Change of tone, 4 kHz against 1 kHz",
                "insertion" => "Insertion loss at 1 kHz",
                "level" => "Level at 1 kHz",
                _ => "Resonance of coil and leads",
            }
            .to_owned(),
            value: String::new(),
            how: "Complex nodal analysis of coil, pots, leads, switch contacts, stray capacitance, inputs and outputs in the state looked at; a device’s own gain counts as 0 dB. The reference is the same guitar straight into the amp by its usual lead.",
            source: "nodal analysis; values of the document, and usual figures (common practice, no source) where it says nothing",
            from: Vec::new(),
        },
        _ => return None,
    };
    Some(html! {
        h2 { (told.head) }
        dl.rows {
            @if !told.value.is_empty() { div { dt { "Value" } dd { b { (told.value) } } } }
            div { dt { "How" } dd { (told.how) } }
            div { dt { "Source" } dd { (told.source) } }
        }
        @if !told.from.is_empty() {
            table.list { tbody { @for (name, value) in &told.from { tr { th scope="row" { (name) } td.n { (value) } } } } }
        }
    })
}

fn show(value: Length, unit: LengthUnit) -> String {
    let (figure, unit) = length(value, unit);
    format!("{figure} {unit}")
}

fn mass(read: &Read) -> Told {
    let mass = &read.design.mass;
    Told {
        head: "Mass, cased".to_owned(),
        value: format!("{:.3} kg", mass.cased.get() / 1000.0),
        how: "Sum of board, devices on it, things listed by name, and the case. What is unknown is left out and counted.",
        source: "addition",
        from: mass
            .items
            .iter()
            .map(|item| {
                let value = item
                    .mass
                    .value
                    .map_or("unknown".to_owned(), |grams| format!("{grams}, {}", item.mass.from.word()));
                (item.name.clone(), value)
            })
            .collect(),
    }
}

fn assumed(read: &Read) -> Told {
    let rig = &read.design.rig;
    let all = design::given::count(rig);
    Told {
        head: "Assumed values".to_owned(),
        value: format!("{} of {}", all.assumed, all.given),
        how: "Every value of the rig that carries where it comes from; plugs and cables used on many leads count once. Measure a value and write it down, and it leaves this count.",
        source: "count over the resolved rig",
        from: rig
            .devices
            .iter()
            .map(|device| {
                let count = design::given::count_device(device);
                (
                    format!("{} {}", device.tag, device.title),
                    format!("{} assumed, {} unknown", count.assumed, count.unknown),
                )
            })
            .collect(),
    }
}

fn lead(read: &Read, tag: &str, unit: LengthUnit) -> Option<Told> {
    let lead = read.shown().leads.iter().find(|lead| lead.tag == tag)?;
    let limits = &read.design.limits;
    let said = |value: Option<Length>| value.map_or("unknown".to_owned(), |value| show(value, unit));
    let mut from = vec![
        ("From".to_owned(), lead.words_of(rig::geometry::EndKind::From)),
        ("To".to_owned(), lead.words_of(rig::geometry::EndKind::To)),
        ("Straight line".to_owned(), said(lead.straight.value)),
        ("Wanted".to_owned(), format!("{}, {}", said(lead.needed.value), lead.needed.from.word())),
        ("Cut".to_owned(), format!("{}, {}", said(lead.cut.value), lead.cut.from.word())),
        ("Slack, share".to_owned(), limits.slack_share.to_string()),
        ("Slack, least".to_owned(), show(limits.plug_allowance_least, unit)),
        ("Rounded up to".to_owned(), show(limits.cut_rounding, unit)),
    ];
    if lead.laid {
        for (leg, way) in read.shown().routes().ways(lead) {
            let name = if lead.is_joined() {
                format!("Way of leg {}, with its bends", lead.ends[leg].letter)
            } else {
                "Way, with its bends".to_owned()
            };
            from.push((name, crate::pages::value::rounded(way.route_mm, unit)));
        }
    } else {
        from.push(("Longer than straight".to_owned(), format!("× {}", design::PULL)));
    }
    let rests: Vec<String> = design::rests_on(read.shown(), lead).iter().map(finding::Field::words).collect();
    if !rests.is_empty() {
        from.push(("Rests on, not measured".to_owned(), rests.join("; ")));
    }
    if let Some(spare) = design::spare(lead) {
        from.push(("To spare".to_owned(), show(spare, unit)));
    }
    Some(Told {
        head: format!("Lead {tag}"),
        value: said(lead.cut.value),
        how: if lead.laid {
            "The way it is laid, its bends as arcs, plus the cable used up inside each plug, plus slack, rounded up. A lead that is made has the length it was cut to."
        } else {
            "Straight line between the two jacks times 1.5, plus the cable used up inside each plug, plus slack, rounded up. A lead that is made has the length it was cut to."
        },
        source: if lead.laid {
            "geometry of the way; slack and rounding are common practice, no source"
        } else {
            "geometry (along the axes instead of across is at most √2), the rest common practice, no source"
        },
        from,
    })
}

fn load(read: &Read, outlet: &str) -> Option<Told> {
    let load = read.design.outlets.iter().find(|load| load.outlet.to_string() == outlet)?;
    let rig = &read.design.rig;
    Some(Told {
        head: format!("Load of outlet {outlet}"),
        value: load.load.value.map_or("unknown".to_owned(), |value| value.to_string()),
        how: "Sum of the draws of the devices it feeds; a parallel pair carries half on each outlet, a series pair all of it on both. One unknown draw makes the sum unknown.",
        source: "Kirchhoff’s current law",
        from: load
            .devices
            .iter()
            .filter_map(|tag| rig.device(tag))
            .map(|device| {
                let current = device.power.current;
                let value = current
                    .value
                    .map_or("unknown".to_owned(), |value| format!("{value}, {}", current.from.word()));
                (device.tag.clone(), value)
            })
            .collect(),
    })
}

fn gap(read: &Read, number: &str, unit: LengthUnit) -> Option<Told> {
    let gap = drawing::gaps(&read.design).into_iter().find(|gap| gap.number.to_string() == number)?;
    let (a, b) = gap.ends();
    Some(Told {
        head: format!("Gap {number}"),
        value: show(gap.found, unit),
        how: "The largest of the separations along x, y and z between two boxes; negative where they want the same place.",
        source: "geometry; the least room is a limit of the workshop",
        from: vec![
            (
                "Between".to_owned(),
                if b.is_empty() { format!("{a} and the lid") } else { format!("{a} and {b}") },
            ),
            ("Least".to_owned(), show(gap.least, unit)),
            ("Left over".to_owned(), show(gap.spare, unit)),
            ("Rests on assumed sizes".to_owned(), if gap.assumed { "yes" } else { "no" }.to_owned()),
        ],
    })
}

fn lid(read: &Read, tag: &str, unit: LengthUnit) -> Option<Told> {
    use drawing::GapKind;
    let gap = drawing::gaps(&read.design)
        .into_iter()
        .find(|gap| matches!(&gap.kind, GapKind::Lid { device } if device == tag))?;
    Some(Told {
        head: format!("{tag} to the lid"),
        value: show(gap.found, unit),
        how: "Inside height of the lid less the highest point of the device: body, knobs or open treadle, plugs.",
        source: "geometry",
        from: vec![("Least for foam".to_owned(), show(gap.least, unit))],
    })
}

fn place(read: &Read, tag: &str, unit: LengthUnit) -> Option<Told> {
    let device = read.design.rig.device(tag)?;
    let place = device.place.as_ref()?;
    Some(Told {
        head: format!("Place of {tag}"),
        value: format!("{}, {}", show(place.x, unit), show(place.y, unit)),
        how: "The front left corner of the turned body, from the deck’s front left corner as the player sees it; x to the right, y to the back.",
        source: "stated in the document",
        from: vec![("Deck".to_owned(), place.deck.clone())],
    })
}

//! Drawings on a page: the very drawings of the papers, made so that they can be picked and dragged.

use design::Design;
use drawing::{Drawing, Scale, Theme};
use maud::{Markup, PreEscaped};

/// Width of a sheet in millimetres at which the smallest letters come out at eleven pixels in the drawing's room.
const SHEET: f64 = 214.0;

/// A scale at which things so wide fill a sheet.
pub(crate) fn scale_for(width_mm: f64, sheet: f64) -> Scale {
    let life = (width_mm.max(60.0) / sheet * 1000.0).round();
    #[expect(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "boards are at most metres wide"
    )]
    let life = life.clamp(1.0, 1e6) as u32;
    Scale::of(1000, life)
}

/// The plan of all decks or one, at a scale that leaves room for plugs, dimensions and what stands beside.
pub(crate) fn plan(design: &Design, deck: Option<&str>) -> Drawing {
    let extent = match deck.and_then(|deck| design.rig.board.deck(deck)) {
        Some(deck) => deck.extent(),
        None => design.rig.board.extent(),
    };
    let beside: f64 = design
        .rig
        .devices
        .iter()
        .filter(|device| device.place.is_none() && !device.outside)
        .filter_map(|device| Some(device.size.value?.width.as_mm() + 10.0))
        .fold(0.0, f64::max);
    let wide = extent.width.as_mm() * 1.12 + 40.0 + beside;
    let deep = (extent.depth.as_mm() + 110.0) * 1.6;
    drawing::plan(design, deck, scale_for(wide.max(deep), SHEET))
}

/// Width of a sheet of which two stand beside one another in the drawing's room.
const HALF: f64 = 118.0;

/// The plans before and after a change, at one scale.
pub(crate) fn pair(before: &Design, after: &Design, change: &change::RevisionChange) -> [Drawing; 2] {
    let wide = |design: &Design| {
        let extent = design.rig.board.extent();
        (extent.width.as_mm() * 1.1 + 40.0).max((extent.depth.as_mm() + 60.0) * 1.4)
    };
    drawing::compared(before, after, change, scale_for(wide(before).max(wide(after)), HALF))
}

/// A drawing for looking at only.
pub(crate) fn still(drawing: &Drawing, class: &str) -> Markup {
    let text = drawing::svg(drawing, Theme::Screen);
    let Some((root, body)) = split(&text) else { return PreEscaped(String::new()) };
    let box_of = format!("0 0 {:.3} {:.3}", drawing.width_mm, drawing.height_mm);
    let label = attribute(root, "aria-label");
    // The parts are told by the tables beside it; the picture is one thing to a screen reader.
    let body = body.replace(" role=\"img\" aria-label=", " data-label=");
    let body = unnamed(&body);
    PreEscaped(format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"{class}\" viewBox=\"{box_of}\" role=\"img\" aria-label=\"{label}\">{body}"
    ))
}

/// The board with what is left of a search lit, and the place where to try marked. Everything else stands back.
pub(crate) fn lit(drawing: &Drawing, leads: &[&str], devices: &[&str], at: &str) -> Markup {
    let whole = still(drawing, "drawing lit").into_string();
    let escaped = |text: &str| maud::html! { (text) }.into_string();
    let [leads, devices] = [leads, devices].map(|all| all.iter().map(|one| escaped(one)).collect::<Vec<_>>());
    let at = escaped(at);
    let mut out = String::with_capacity(whole.len());
    for line in whole.split_inclusive('\n') {
        let (lead, device) = (attribute(line, "data-lead"), attribute(line, "data-device"));
        let is_group = line.starts_with("<g") && !(lead.is_empty() && device.is_empty());
        if !is_group {
            out.push_str(line);
            continue;
        }
        let own = if lead.is_empty() { device } else { lead };
        let is_left =
            leads.iter().any(|one| one == lead) || lead.is_empty() && devices.iter().any(|one| one == device);
        let class = match (own == at, is_left) {
            (true, _) => "here",
            (_, true) => "left",
            _ => "back",
        };
        out.push_str(&line.replacen("<g", &format!("<g class=\"{class}\""), 1));
    }
    PreEscaped(out)
}

/// What a drawing the size of a thumb leaves out: letters, leads, marks.
const LEFT_OUT: &[&str] = &[
    "ground",
    "dimension",
    "balloon",
    "outlet-tag",
    "plug",
    "bend",
    "mark",
    "severity-shape",
    "severity-sign",
    "tab",
    "contact",
    "clash",
    "hair",
    "wide",
    "narrow",
];

/// A drawing the size of a thumb: bodies on their board.
pub(crate) fn thumb(drawing: &Drawing) -> Markup {
    let whole = still(drawing, "drawing small").into_string();
    let mut out = String::with_capacity(whole.len() / 4);
    // How deep within a group that is left out.
    let mut deep = 0_usize;
    for line in whole.split_inclusive('\n') {
        let text = line.trim_start();
        let opens = text.starts_with("<g") && !text.ends_with("/>\n");
        let closes = text.starts_with("</g>");
        if 0 < deep {
            deep = if opens { deep + 1 } else { deep - usize::from(closes) };
            continue;
        }
        let class = attribute(text, "class");
        let is_out = class.split(' ').any(|class| LEFT_OUT.contains(&class));
        if opens && (text.contains(" data-lead=") || is_out) {
            deep = 1;
        } else if !(text.starts_with("<text") || (!opens && !closes && text.ends_with("/>\n") && is_out)) {
            out.push_str(line);
        }
    }
    PreEscaped(out)
}

/// The plan of the leads: each lead is a button. Where one is picked, the others stand back. `over` is laid above.
pub(crate) fn routed(drawing: &Drawing, picked: Option<&str>, over: &Markup) -> Markup {
    let class = if picked.is_some() { "drawing routes alone" } else { "drawing routes" };
    // A lead that dips below a deck has a second piece there. Its button is the piece that lies above, with the plugs,
    // where there is one.
    let is_second = |line: &str, body: &str| {
        let above = attribute(line, "id").replacen("plan-lead-below-", "plan-lead-", 1);
        line.starts_with("<g id=\"plan-lead-below-") && body.contains(&format!("<g id=\"{above}\""))
    };
    worked_on(drawing, class, "leads as they are laid", over, |line, body| {
        let tag = line.contains(" data-lead=\"").then(|| attribute(line, "data-lead"))?;
        let is_picked = picked.is_some_and(|picked| maud::html! { (picked) }.0 == tag);
        Some(if is_second(line, body) { Part::Second(is_picked) } else { Part::Button(is_picked) })
    })
}

/// The plan as something to work on: devices are buttons, the sheet knows where the board lies.
/// `over` is laid above everything.
pub(crate) fn live(drawing: &Drawing, picked: Option<&str>, over: &Markup) -> Markup {
    let picked = picked.map(|tag| format!(" data-device=\"{}\"", maud::html! { (tag) }.0));
    // Labels and leads repeat what tables and buttons say.
    worked_on(drawing, "drawing", "to scale", over, |line, _| {
        let is_picked = picked.as_ref().is_some_and(|picked| line.contains(picked.as_str()));
        line.starts_with("<g id=\"plan-device-").then_some(Part::Button(is_picked))
    })
}

/// What a group of a plan is to who works on it, and whether it is picked.
enum Part {
    /// A button.
    Button(bool),
    /// More of a button that stands elsewhere.
    Second(bool),
}

/// A plan that knows where the board lies, with some of its groups as buttons; the others say nothing of themselves.
fn worked_on(
    drawing: &Drawing,
    class: &str,
    what: &str,
    over: &Markup,
    part: impl Fn(&str, &str) -> Option<Part>,
) -> Markup {
    let text = drawing::svg(drawing, Theme::Screen);
    let Some((root, body)) = split(&text) else { return PreEscaped(String::new()) };
    let label = attribute(root, "aria-label");
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" id=\"plan\" class=\"{class}\" viewBox=\"0 0 {:.3} {:.3}\" role=\"group\" \
         aria-label=\"{label}, {what}\" data-x=\"{:.4}\" data-y=\"{:.4}\" data-k=\"{:.6}\">",
        drawing.width_mm,
        drawing.height_mm,
        drawing.datum.x,
        drawing.datum.y,
        drawing.scale.factor()
    );
    for line in body.split_inclusive('\n') {
        let with = match line.starts_with("<g ").then(|| part(line, body)) {
            None => {
                out.push_str(line);
                continue;
            }
            Some(Some(Part::Button(is))) => {
                format!(" role=\"button\" tabindex=\"0\" aria-pressed=\"{is}\" aria-label=")
            }
            Some(Some(Part::Second(is))) => {
                format!(" aria-hidden=\"true\" data-pressed=\"{is}\" data-label=")
            }
            Some(None) => " data-label=".to_owned(),
        };
        out.push_str(&line.replacen(" role=\"img\" aria-label=", &with, 1));
    }
    let end = out.rfind("</svg>").unwrap_or(out.len());
    out.insert_str(end, &over.0);
    PreEscaped(out)
}

/// A plate whose holes are buttons: each with its port and what it says of itself.
pub(crate) fn plate(drawing: &Drawing, panel: &str, holes: &[(String, String)]) -> Markup {
    let text = drawing::svg(drawing, Theme::Screen);
    let Some((root, body)) = split(&text) else { return PreEscaped(String::new()) };
    let label = attribute(root, "aria-label");
    let escaped = |text: &str| maud::html! { (text) }.into_string();
    let mut out = format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" class=\"drawing plate-drawing\" viewBox=\"0 0 {:.3} {:.3}\" role=\"group\" \
         aria-label=\"{label}\" data-plate=\"{}\">",
        drawing.width_mm,
        drawing.height_mm,
        escaped(panel)
    );
    // The circle of a hole is the button: words within one would have to be its name.
    let mut button: Option<String> = None;
    for line in body.split_inclusive('\n') {
        let port = holes.iter().find(|(port, _)| {
            line.starts_with("<g id=\"panel-hole-")
                && attribute(line, "aria-label") == escaped(&format!("{panel}.{port}"))
        });
        if let Some((port, said)) = port {
            let (port, said) = (escaped(port), escaped(said));
            out.push_str(&format!("<g class=\"hole-of\" data-hole=\"{port}\">\n"));
            button = Some(format!("<circle role=\"button\" tabindex=\"0\" aria-label=\"{said}\" "));
        } else if let Some(begin) = button.take_if(|_| line.starts_with("<circle ")) {
            out.push_str(&line.replacen("<circle ", &begin, 1));
        } else {
            out.push_str(&line.replacen(" role=\"img\" aria-label=", " data-label=", 1));
        }
    }
    PreEscaped(out)
}

fn split(text: &str) -> Option<(&str, &str)> {
    let at = text.find('>')?;
    Some((&text[..at], &text[at + 1..]))
}

/// An attribute's text as it stands, escaped.
fn attribute<'a>(tag: &'a str, name: &str) -> &'a str {
    let start = format!("{name}=\"");
    tag.split_once(&start).and_then(|(_, rest)| rest.split_once('"')).map_or("", |(value, _)| value)
}

/// Without ids, so that a small picture does not clash with a large one on the same page.
fn unnamed(body: &str) -> String {
    let mut out = String::with_capacity(body.len());
    for line in body.split_inclusive('\n') {
        match line.strip_prefix("<g id=\"") {
            Some(rest) => {
                let rest = rest.split_once('"').map_or(rest, |(_, rest)| rest);
                out.push_str("<g");
                out.push_str(rest);
            }
            None => out.push_str(line),
        }
    }
    out
}

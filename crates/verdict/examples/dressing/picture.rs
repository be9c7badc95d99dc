//! A board from above with its leads.

use std::fmt::Write;

use leads::{Input, Outcome, chords};

use crate::figures::colour;

pub(crate) fn svg(input: &Input, outcome: &Outcome) -> String {
    let (left, back) = (input.low[0], input.high[1]);
    let (wide, deep) = (input.high[0] - input.low[0], input.high[1] - input.low[1]);
    let mut out = format!(
        "<svg xmlns='http://www.w3.org/2000/svg' width='{:.0}' height='{:.0}' viewBox='0 0 {wide:.1} {deep:.1}'><rect width='100%' height='100%' fill='#fff'/>",
        wide * 2.0,
        deep * 2.0
    );
    let rect = |out: &mut String, low: [f64; 2], high: [f64; 2], style: &str| {
        let _ = write!(
            out,
            "<rect x='{:.1}' y='{:.1}' width='{:.1}' height='{:.1}' {style}/>",
            low[0] - left,
            back - high[1],
            high[0] - low[0],
            high[1] - low[1]
        );
    };
    for [x, y, right, rear] in &input.decks {
        rect(&mut out, [*x, *y], [*right, *rear], "fill='#f3efe4' stroke='#333'");
    }
    for hole in &input.holes {
        rect(&mut out, [hole.low[0], hole.low[1]], [hole.high[0], hole.high[1]], "fill='#fff' stroke='#888'");
    }
    let lowest_deck = input.bodies.iter().filter(|body| body.what == "sheet").map(|body| body.low[2]);
    let lowest_deck = lowest_deck.fold(f64::INFINITY, f64::min);
    for body in input.bodies.iter().filter(|body| body.what != "sheet") {
        let style = match (body.what, body.high[2] <= lowest_deck) {
            (_, true) => "fill='none' stroke='#999' stroke-dasharray='3 2'",
            ("body", _) => "fill='#ffffffcc' stroke='#222'",
            ("plug", _) => "fill='#0001' stroke='#666' stroke-width='0.6'",
            ("rail", _) => "fill='#0000000a' stroke='#bbb' stroke-width='0.5'",
            _ => "fill='none' stroke='#bbb' stroke-width='0.5'",
        };
        rect(&mut out, [body.low[0], body.low[1]], [body.high[0], body.high[1]], style);
        if body.what == "body" {
            let _ = write!(
                out,
                "<text x='{:.1}' y='{:.1}' font-size='9' font-family='sans-serif'>{}</text>",
                f64::midpoint(body.low[0], body.high[0]) - left - 8.0,
                back - f64::midpoint(body.low[1], body.high[1]),
                body.owner.replace('&', "+").replace('<', "(")
            );
        }
    }
    for laid in &outcome.leads {
        let wanted = &input.leads[laid.lead];
        let line = chords(&laid.path, &laid.radii);
        for part in line.windows(2) {
            let under = part[0][2].max(part[1][2]) <= lowest_deck + 1.0;
            let _ = write!(
                out,
                "<line x1='{:.1}' y1='{:.1}' x2='{:.1}' y2='{:.1}' stroke='{}' stroke-width='{:.1}' stroke-linecap='round' opacity='{}'/>",
                part[0][0] - left,
                back - part[0][1],
                part[1][0] - left,
                back - part[1][1],
                colour(wanted.class),
                if under { 1.2 } else { wanted.diameter_mm * 0.6 },
                if under { 0.6 } else { 0.8 }
            );
        }
        let middle = line[line.len() / 2];
        let _ = write!(
            out,
            "<text x='{:.1}' y='{:.1}' font-size='6' fill='#b00' font-family='sans-serif'>{}</text>",
            middle[0] - left,
            back - middle[1],
            laid.id
        );
    }
    out + "</svg>"
}

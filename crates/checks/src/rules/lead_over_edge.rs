//! Leads that run outside the board.

use design::{Design, rests_on};
use finding::{Evidence, Field, Finding, Severity};
use leads::{End, Laid, Point, Wanted, chords};
use quantity::Length;

use super::CUSTOM;
use crate::compare::{Basis, longer};
use crate::group::{leads_of, together};
use crate::holes::{Hole, holes};
use crate::words::shown;
use crate::{Page, Rule};

const ID: &str = "lead-over-edge";

/// The rule.
pub(crate) static RULE: Rule = Rule {
    id: ID,
    title: "leads that run outside the board",
    severity: Severity::Stop,
    since: "0.1",
    pains: &[41, 48],
    limits: &[],
    page: Page {
        what: "Every lead that is laid, with its bends and half its thickness, seen from above: how far it runs outside the \
               outline of the deck, or outside the smallest rectangle around all decks where there are several. Beyond the \
               room that the case leaves at that edge, and farther than its own plugs stand, it is a stop; where the case \
               is not known there is no such room.",
        why: "What hangs over the edge is crushed in the case or torn off by a hand.",
        source: CUSTOM,
        example: "D01 goes from the underside to A1.DC around the back edge, 10 mm outside the board: the deck has no passage.",
        remedy: "give the deck a passage, or move or turn the device, so that the lead stays inside",
    },
    check,
};

fn check(design: &Design) -> Vec<Finding> {
    let outline = Outline::of(design);
    let mut out = Vec::new();
    let mut proposed: Option<Vec<Hole<'_>>> = None;
    for laid in &design.routes().outcome.leads {
        let Some(lead) = design.lead_of(&laid.id) else { continue };
        let wanted = design.routes().input.leads.get(laid.lead).filter(|wanted| wanted.id == laid.id);
        let Some(Farthest { far_mm, plugs_mm, edge, along_mm }) = outline.farthest(laid, wanted) else {
            continue;
        };
        let far = Length::from_mm_rounded(far_mm.round());
        if !longer(far, Length::ZERO, Basis::Measured) {
            continue;
        }
        let room = room(design, edge);
        // Where a plug stands outside itself, that is what `board-edge` speaks of.
        let is_stop = longer(far, room, Basis::Measured) && plugs_mm + room.as_mm() + EDGE_MM < far_mm;
        let ends: Vec<&String> = lead.ends.iter().map(|end| &end.port.device).collect();
        let over = format!("lead {} runs {} outside the board", laid.id, shown(far));
        let message = if is_stop {
            let place = shown(Length::from_mm_rounded(along_mm.round()));
            format!("{over} over its {} edge, {place} from its {}", edge.word(), edge.along())
        } else {
            over
        };
        let severity = if is_stop { Severity::Stop } else { Severity::Look };
        let mut finding = Finding::new(ID, severity, message)
            .on_leads([&laid.id])
            .about(ends.iter().copied())
            .with(Evidence::at_most(far, if is_stop { room } else { Length::ZERO }))
            .assuming(rests_on(design, lead));
        for end in ends {
            finding = finding.at(Field::device(end, "place"), "");
        }
        if is_stop {
            let holes = proposed.get_or_insert_with(|| holes(design));
            let helps = holes.iter().find(|hole| hole.proposed.mends.contains(&laid.id));
            finding = match (helps, wanted.and_then(|wanted| looking_out(wanted, edge))) {
                (Some(hole), _) => finding
                    .remedy(format!("cut {}: the lead then stays on the board", hole.words()))
                    .cured_by(hole.edit()),
                (None, Some(port)) => finding.remedy(format!(
                    "turn the plug at {port}: its cable leaves towards that edge; or move its device {} away from it",
                    shown(far)
                )),
                (None, None) => finding,
            };
        }
        out.push(finding);
    }
    let told = together(out, |cases| format!("leads {} run outside the board", leads_of(cases)));
    told.into_iter().collect()
}

/// So much farther than its plugs is farther.
const EDGE_MM: f64 = 1.0;

/// An edge of the board.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
enum Edge {
    Left,
    Front,
    Right,
    Back,
}

impl Edge {
    fn word(self) -> &'static str {
        match self {
            Self::Left => "left",
            Self::Front => "front",
            Self::Right => "right",
            Self::Back => "back",
        }
    }

    /// The edge that places along it are measured from.
    fn along(self) -> &'static str {
        match self {
            Self::Left | Self::Right => "front",
            Self::Front | Self::Back => "left",
        }
    }

    /// The direction out of the board.
    fn out(self) -> [f64; 2] {
        match self {
            Self::Left => [-1.0, 0.0],
            Self::Front => [0.0, -1.0],
            Self::Right => [1.0, 0.0],
            Self::Back => [0.0, 1.0],
        }
    }
}

/// The room that the case leaves at an edge; none where it is not known.
fn room(design: &Design, edge: Edge) -> Length {
    let board = &design.rig.board;
    let Some(case) = &board.case else { return Length::ZERO };
    let extent = board.extent();
    let (inside, own) = match edge {
        Edge::Left | Edge::Right => (case.inside_width.value, extent.width),
        Edge::Front | Edge::Back => (case.inside_depth.value, extent.depth),
    };
    inside.map_or(Length::ZERO, |inside| (inside - own).half().max(Length::ZERO))
}

/// The port whose plug lets its cable out towards an edge.
fn looking_out(wanted: &Wanted, edge: Edge) -> Option<&str> {
    let out = edge.out();
    let looks = |end: &&End| 0.5 < end.out[0] * out[0] + end.out[1] * out[1];
    [&wanted.from, &wanted.to].into_iter().find(looks).map(|end| end.port.as_str())
}

/// Where a lead comes farthest outside.
struct Farthest {
    far_mm: f64,
    /// How far its own plugs stand outside.
    plugs_mm: f64,
    edge: Edge,
    /// How far along the edge.
    along_mm: f64,
}

/// What counts as the board, seen from above: rectangles, in millimetres.
struct Outline(Vec<[f64; 4]>);

impl Outline {
    fn of(design: &Design) -> Self {
        let decks = &design.rig.board.decks;
        let rects = decks.iter().flat_map(rig::Deck::shape_on_board);
        let rects: Vec<[f64; 4]> = rects
            .map(|rect| [rect.x, rect.y, rect.x + rect.width, rect.y + rect.depth].map(Length::as_mm))
            .collect();
        if decks.len() < 2 {
            return Self(rects);
        }
        // From one deck to another a lead goes through the air between them: that is inside.
        let around =
            rects.into_iter().reduce(|a, b| [a[0].min(b[0]), a[1].min(b[1]), a[2].max(b[2]), a[3].max(b[3])]);
        Self(around.into_iter().collect())
    }

    /// Where a lead comes farthest outside; nothing where it stays inside.
    fn farthest(&self, laid: &Laid, wanted: Option<&Wanted>) -> Option<Farthest> {
        let own = |at: Point| self.beyond(at).map_or(0.0, |(far, _)| far);
        let plugs_mm = wanted.map_or(0.0, |wanted| own(wanted.from.at).max(own(wanted.to.at)));
        let half = wanted.map_or(0.0, |wanted| wanted.diameter_mm / 2.0);
        let mut out: Option<Farthest> = None;
        for at in chords(&laid.path, &laid.radii) {
            let Some((far, edge)) = self.beyond(at) else { continue };
            let along_mm = if edge.out()[0] == 0.0 { at[0] } else { at[1] };
            let far_mm = far + half;
            if out.as_ref().is_none_or(|known| known.far_mm < far_mm) {
                out = Some(Farthest { far_mm, plugs_mm, edge, along_mm });
            }
        }
        out
    }

    /// How far a place lies outside, and over which edge of the rectangle that is nearest; nothing inside.
    fn beyond(&self, at: Point) -> Option<(f64, Edge)> {
        let apart = |[left, front, right, back]: &[f64; 4]| {
            let over = [
                (left - at[0], Edge::Left),
                (front - at[1], Edge::Front),
                (at[0] - right, Edge::Right),
                (at[1] - back, Edge::Back),
            ];
            let (dx, dy) = (over[0].0.max(over[2].0).max(0.0), over[1].0.max(over[3].0).max(0.0));
            let farthest = over.into_iter().reduce(|a, b| if a.0 < b.0 { b } else { a });
            farthest.map(|(_, edge)| (libm::hypot(dx, dy), edge))
        };
        let nearest = self.0.iter().filter_map(apart).reduce(|a, b| if b.0 < a.0 { b } else { a });
        nearest.filter(|(far, _)| 0.0 < *far)
    }
}

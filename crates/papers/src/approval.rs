//! The approval sheet: what the player agrees to, and signs.

use design::{Design, given};
use drawing::{Scale, overview, side};
use finding::Verdict;
use rig::FeedKind;

use crate::block::{Block, Pair, Table, blank, cell, pair, share, tick, ticks, wide};
use crate::part::Part;
use crate::sheet::{Lie, scales};
use crate::words::{OpenFindings, bare_mass, never, outlets_used, travel_mass};
use crate::{PapersInput, text};

/// Room for the plan and the view on upright sheets, and on lying ones.
const PLAN: f64 = 112.0;
const VIEW: f64 = 54.0;
const LYING_PLAN: f64 = 106.0;
const LYING_VIEW: f64 = 40.0;
/// Room between the two.
const BETWEEN: f64 = 8.0;
/// The smallest scale that is good enough for an upright sheet.
const GOOD: f64 = 0.2;

/// The paper: upright where the plan then has a good scale, else lying.
pub(crate) fn approval(input: &PapersInput<'_>) -> Part {
    let design = input.design;
    let part = |lie| Part::blocks(input, "approval", text::APPROVAL, "-APP", lie, Vec::new());
    let (upright, lying) = (part(Lie::Portrait), part(Lie::Landscape));
    let room = |part: &Part| part.sheet.room().0 - 1.5;
    let draw = |scale| overview(design, scale);
    let (plan, scale) = largest(room(&upright), PLAN, draw);
    let (wide_plan, wide_scale) = largest(room(&lying), LYING_PLAN, draw);
    let lies = scale.factor() < GOOD && scale.factor() < wide_scale.factor();
    let (plan, scale, mut part) = if lies { (wide_plan, wide_scale, lying) } else { (plan, scale, upright) };
    let (side, side_scale) =
        largest(room(&part), if lies { LYING_VIEW } else { VIEW }, |scale| side(design, scale));
    let mut blocks = vec![Block::Title(text::APPROVAL)];
    // On a lying sheet the view stands beside the plan where both have room.
    let both = plan.width_mm + side.width_mm + BETWEEN <= room(&part);
    let plan_head = format!("{} {scale}", text::PLAN);
    let view_head = format!("{} {side_scale}", text::VIEW_A);
    if lies && both {
        blocks.push(Block::Beside([(plan, plan_head), (side.clone(), view_head.clone())]));
    } else {
        blocks.push(Block::Figure(plan, plan_head));
    }
    let view = Block::Figure(side, view_head);
    if !lies {
        blocks.push(view.clone());
    }
    blocks.push(Block::Pairs(sums(input), if lies { 3 } else { 2 }, if lies { 33.0 } else { 38.0 }, 11.0));
    blocks.push(Block::Break);
    if lies && !both {
        blocks.push(view);
    }
    blocks.push(Block::Head(text::APPROVAL_TOLD.to_owned(), String::new()));
    blocks.push(Block::Table(requirements(input)));
    let warnings = never(design);
    if !warnings.is_empty() {
        blocks.push(Block::Boxed(text::NEVER.to_owned(), warnings, 11.0));
    }
    blocks.push(Block::Boxed(text::TOLD.to_owned(), told(design), 11.0));
    blocks.push(Block::Words(text::APPROVAL_WORDS.to_owned()));
    blocks.push(Block::Sign(vec![text::PLAYER_SIGNS, text::WORKSHOP_SIGNS, text::DATE_BLANK]));
    part.body = crate::part::Body::Blocks(blocks);
    part
}

fn largest(wide: f64, high: f64, draw: impl Fn(Scale) -> drawing::Drawing) -> (drawing::Drawing, Scale) {
    let mut last = None;
    for scale in scales() {
        let drawing = draw(scale);
        if drawing.width_mm <= wide && drawing.height_mm <= high {
            return (drawing, scale);
        }
        last = Some((drawing, scale));
    }
    last.unwrap_or_else(|| (draw(Scale::one_to(1)), Scale::one_to(1)))
}

fn sums(input: &PapersInput<'_>) -> Vec<Pair> {
    let design = input.design;
    let mut rows = vec![pair(text::MASS_BARE, bare_mass(design).bold())];
    if design.rig.board.case.is_some() {
        rows.push(pair(text::MASS_CASED, travel_mass(design).bold()));
    }
    let tone = match input.tone {
        Some(tone) => cell(text::decibels(tone.change_db))
            .bold()
            .assumed(tone.assumed)
            .line(text::tone_state(&tone.state, &tone.sink, tone.turned.as_deref(), tone.by_tone)),
        None => cell(text::NOT_COMPUTED).faint(),
    };
    rows.push(pair(text::WORST_TONE, tone));
    let count = given::count(&design.rig);
    rows.push(pair(
        text::ASSUMED_VALUES,
        cell(count.assumed.to_string()).bold().line(text::of_count(count.given)),
    ));
    let (used, all) = outlets_used(design);
    rows.push(pair(text::OUTLETS_USED, cell(format!("{used}")).bold().line(text::of_count(all))));
    let open = OpenFindings::of(input.findings);
    let counts = text::finding_counts(open.stops, open.looks, open.notes);
    let below = [text::unchecked_count(open.unchecked), text::answered_count(open.answered)];
    let counts = below.into_iter().fold(cell(counts), crate::block::Cell::line);
    rows.push(pair(text::OPEN_FINDINGS, counts));
    let lead = design.rig.sources.iter().find(|source| source.lead.value.is_some());
    let lead = lead.map_or_else(blank, |source| {
        crate::block::known(source.lead, |length| format!("{:.1} m", length.as_mm() / 1000.0))
    });
    rows.push(pair(text::GUITAR_LEAD, lead));
    rows.push(pair(text::PRICE, input.priced.as_ref().map_or_else(blank, crate::money::to_pay)));
    rows
}

/// Every requirement with a box: met, as agreed. Under it stands what of it was judged; that is no promise of the rest,
/// so the box stays.
fn requirements(input: &PapersInput<'_>) -> Table {
    let mut table = Table::new(
        "",
        11.0,
        vec![wide(text::NUMBER_SHORT, 16.0), share(text::WANTED, 1.0), ticks(text::TICK_MET)],
    );
    for requirement in &input.design.rig.brief.requirements {
        let judged = input.wishes.iter().filter(|judged| judged.requirement == requirement.id);
        let wanted = judged.fold(cell(requirement.text.clone()), |cell, judged| {
            cell.line(match &judged.verdict {
                Verdict::Met => text::wish_met(&judged.wish),
                Verdict::NotMet { why, .. } => text::wish_not_met(&judged.wish, why),
                Verdict::NotKnown { missing, .. } => text::wish_not_judged(&judged.wish, missing),
            })
        });
        table.row([cell(requirement.id.clone()).bold(), wanted, tick()]);
    }
    table.none = text::NO_REQUIREMENTS;
    table
}

/// What the player must be told, as far as it follows from the design.
fn told(design: &Design) -> Vec<String> {
    let rig = &design.rig;
    let mut out =
        vec![text::TELL_ASSUMED.to_owned(), text::TELL_OPENED.to_owned(), text::TELL_ORDER.to_owned()];
    if rig
        .devices
        .iter()
        .any(|device| device.feed.as_ref().is_some_and(|feed| feed.kind == FeedKind::Adaptor))
    {
        out.push(text::TELL_ADAPTORS.to_owned());
    }
    match rig.job.mains {
        Some(mains) => out.push(text::tell_mains(&mains.volts.to_string(), &mains.hertz.to_string())),
        None => out.push(text::TELL_MAINS_UNKNOWN.to_owned()),
    }
    out.push(text::TELL_TIGHTEN.to_owned());
    out
}

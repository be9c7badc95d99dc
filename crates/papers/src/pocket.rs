//! The pocket fold: one sheet that is cut once and folded to eight small pages.

use design::Design;
use drawing::{Weight, text as measure};
use rig::{Device, Role};

use crate::handover::{arrivals, jack_words, start_acts};
use crate::part::{Body, Part};
use crate::sheet::{Lie, PT};
use crate::words::never;
use crate::{PapersInput, fault, text};

/// Type of the small pages, in points.
const SIZE: f64 = 9.0;
/// What stands off the edges of a small page, in millimetres.
const EDGE: f64 = 6.0;
/// From one line to the next, in points.
const LEADING: f64 = 12.0;

/// One small page: its head and its lines.
pub(crate) struct Leaf {
    pub(crate) head: String,
    pub(crate) lines: Vec<String>,
}

/// The paper: eight pages in reading order.
pub(crate) fn pocket(input: &PapersInput<'_>) -> Part {
    let design = input.design;
    let mut part = Part::blocks(input, "pocket", text::POCKET, "-PKT", Lie::Landscape, Vec::new());
    let (wide, high) = (part.sheet.width / 4.0 - 2.0 * EDGE, part.sheet.height / 2.0 - 2.0 * EDGE);
    let most = lines_in(high);
    let leaves = [
        front(design),
        Leaf { head: text::PLUG_IN.to_owned(), lines: plug_in(design) },
        Leaf { head: text::SWITCH_ON.to_owned(), lines: switch_on(design) },
        Leaf { head: text::SWITCHES.to_owned(), lines: switches(design) },
        Leaf { head: text::STATES.to_owned(), lines: states(design) },
        Leaf { head: text::SUPPLIES.to_owned(), lines: supplies(design) },
        Leaf { head: text::FAULT.to_owned(), lines: fault::pocket(input) },
        last(design),
    ];
    part.body = Body::Folded(leaves.into_iter().map(|leaf| leaf.fitted(wide, most)).collect());
    part
}

/// How many lines of type a small page holds under its head.
fn lines_in(high: f64) -> usize {
    let fits = ((high - 9.0) / (LEADING * PT)).floor().clamp(1.0, 60.0);
    (1..=60_u8).take_while(|count| f64::from(*count) <= fits).count()
}

impl Leaf {
    /// As many of its lines as its page holds; what is left out stands in the book, and that is said.
    fn fitted(mut self, wide: f64, most: usize) -> Self {
        let rows =
            |line: &String| measure::wrap(line, SIZE * PT, Weight::Regular, wide, most + 1).len().max(1);
        let mut room = most;
        let total: usize = self.lines.iter().map(rows).sum();
        if total <= most {
            return self;
        }
        let kept = self
            .lines
            .iter()
            .take_while(|line| {
                let wanted = rows(line);
                let fits = wanted < room;
                room = room.saturating_sub(wanted);
                fits
            })
            .count();
        self.lines.truncate(kept);
        self.lines.push(text::MORE_IN_BOOK.to_owned());
        self
    }
}

fn front(design: &Design) -> Leaf {
    let job = &design.rig.job;
    let mut lines = Vec::new();
    lines.extend(job.player.as_deref().map(text::for_player));
    let revision = job.revision.as_deref().unwrap_or(text::DASH);
    lines.push(text::number_and_revision(job.number.as_deref().unwrap_or(text::DASH), revision));
    lines.extend(job.workshop.clone());
    lines.push(String::new());
    lines.push(text::PHONE_BLANK.to_owned());
    lines.push(String::new());
    lines.push(text::FOLD_HOW.to_owned());
    Leaf { head: job.title.clone(), lines }
}

fn plug_in(design: &Design) -> Vec<String> {
    arrivals(design)
        .iter()
        .map(|one| text::pocket_plug(one.number, &one.theirs, &jack_words(design, one.port.as_ref())))
        .collect()
}

fn switch_on(design: &Design) -> Vec<String> {
    let acts = start_acts(design);
    let mut out: Vec<String> =
        acts.into_iter().enumerate().map(|(index, (_, words))| format!("{}. {words}", index + 1)).collect();
    out.push(text::SWITCH_OFF.to_owned());
    out
}

/// What each switch does, a line for each device that is stepped on.
fn switches(design: &Design) -> Vec<String> {
    crate::handover::foot_words(design)
        .into_iter()
        .map(|(device, words)| format!("{}: {words}", device.tag))
        .collect()
}

fn states(design: &Design) -> Vec<String> {
    let of = |state: &rig::State| {
        let on =
            if state.engaged.is_empty() { text::EVERYTHING_OFF.to_owned() } else { state.engaged.join(", ") };
        format!("{}: {on}", state.name)
    };
    let lines: Vec<String> = design.rig.states.iter().map(of).collect();
    if lines.is_empty() { vec![text::NO_STATES.to_owned()] } else { lines }
}

fn supplies(design: &Design) -> Vec<String> {
    let fed = |device: &&Device| device.feed.is_some() && device.role != Role::Strip;
    let mut out: Vec<String> = design
        .rig
        .devices
        .iter()
        .filter(fed)
        .filter_map(|device| {
            let feed = device.feed.as_ref()?;
            let volts = design::feed_state(&design.rig, device).and_then(|state| state.volts.value);
            let outlets: Vec<String> = feed.outlets.iter().map(ToString::to_string).collect();
            let own = feed.kind == rig::FeedKind::Adaptor;
            let from = if own { text::ADAPTOR.to_owned() } else { outlets.join(" + ") };
            let volts = volts.filter(|_| !own).map(|volts| volts.to_string()).unwrap_or_default();
            Some(text::pocket_feed(&device.tag, &from, &volts))
        })
        .collect();
    out.extend(never(design));
    out
}

fn last(design: &Design) -> Leaf {
    let mut lines = vec![text::NEVER_LIFT_SENTENCE.to_owned(), text::POCKET_NEW.to_owned()];
    let mass = crate::words::travel_mass(design).words;
    lines.push(text::pocket_mass(&mass));
    lines.push(String::new());
    lines.push(text::POCKET_NOTES.to_owned());
    Leaf { head: text::KEEP_IN_MIND.to_owned(), lines }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_full_page_says_that_the_book_has_more() {
        let lines = |count: usize| (0..count).map(|line| format!("line {line}")).collect::<Vec<_>>();
        let leaf = |count: usize| Leaf { head: String::new(), lines: lines(count) }.fitted(60.0, 10);
        assert_eq!(leaf(10).lines.len(), 10);
        let cut = leaf(11).lines;
        assert_eq!((cut.len(), cut.last().map(String::as_str)), (10, Some(text::MORE_IN_BOOK)));
    }
}

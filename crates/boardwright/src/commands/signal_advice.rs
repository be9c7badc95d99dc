//! Where buffers would help, as text.

use std::fmt::Write;

use signal::level::figure;
use signal::{Advice, AdviceStatus, Outcome, Way};

/// How the search for buffers ended, and what it found.
pub(super) fn told_advice(out: &mut String, outcome: &Outcome, junction_limit: f64, asked: Option<&str>) {
    let advice = &outcome.advice;
    let over_all = if asked.is_some() { "over all states: " } else { "" };
    let howls = outcome.ways.is_empty() && outcome.rings.iter().any(signal::Ring::howls);
    if advice.status == AdviceStatus::NothingArrives && howls {
        let _ = writeln!(out, "buffers are not judged: no level means anything while a ring howls");
    } else {
        let _ = writeln!(out, "{over_all}{}", ended(advice));
    }
    if advice.status == AdviceStatus::NoneNeeded {
        // The search looks at whole ways, and with what needs the bare pickup bypassed: a single junction may lose more.
        let worst = |one: &&signal::Junction| !one.bare && !one.listens && one.against.is_empty();
        let lossy = outcome.junctions.iter().filter(worst).max_by(|a, b| a.loss_db.total_cmp(&b.loss_db));
        if let Some(one) = lossy.filter(|one| junction_limit < one.loss_db) {
            let _ = writeln!(
                out,
                "  {} into {} loses {} dB all the same, with {}: `boardwright check` says what helps there",
                one.from,
                one.to,
                db(one.loss_db),
                signal::engaged_words(&one.state)
            );
        }
        for note in outcome.notes.iter().filter(|note| note.starts_with("no signal reaches")) {
            let _ = writeln!(out, "  on the ways that signal takes, that is: {note}");
        }
        if outcome.ways.iter().any(|way| way.turned_down) {
            let _ = writeln!(
                out,
                "  judged by its tone: a volume pedal stands turned down, and takes level on purpose"
            );
        } else if outcome.ways.iter().any(|way| way.adds_up) {
            let _ = writeln!(
                out,
                "  judged by its tone where branches add up: how loud that is is set there, and what is lost is told above"
            );
        } else if outcome.ways.iter().any(signal::Way::is_judged_by_tone) {
            let _ = writeln!(
                out,
                "  into a desk it is judged by its tone: the gain there makes up for level, and what is lost is told above"
            );
        }
    }
    let cancelled = outcome.branches.iter().find(|one| one.meets.is_some() && one.opposite == Some(true));
    if let Some(at) = cancelled.and_then(|one| one.meets.as_ref()) {
        let _ = writeln!(
            out,
            "  branches of opposite polarity meet at {at}: that comes first, no buffer mends it"
        );
    }
    if advice.status == AdviceStatus::Proven
        && advice.alternatives.first().is_some_and(|first| advice.size_tried < first.places.len())
    {
        let _ = writeln!(out, "  others of that size may keep them too: not every one was tried");
    }
    if let Some(by) = &advice.by_wish {
        let verb =
            if advice.asks.len() == 1 { ("it does", "it does not") } else { ("they do", "they do not") };
        for (answer, advice) in [(verb.0, &by.wanted), (verb.1, &by.not_wanted)] {
            let _ = writeln!(out, "  if {answer}: {}", ended(advice));
            told_places(out, "  ", advice);
            told_help(out, "  ", advice, outcome);
        }
    } else {
        for field in &advice.asks {
            let _ = writeln!(out, "  find out first, as its input is low: {}", field.words());
        }
    }
    told_places(out, "", advice);
    told_help(out, "", advice, outcome);
    if let ([_, ..], AdviceStatus::NoneFound | AdviceStatus::CutShort) =
        (advice.spared.as_slice(), advice.status)
    {
        let verb = if advice.spared.len() == 1 { "needs or may need" } else { "need or may need" };
        let _ = writeln!(
            out,
            "  places before {} are left out, which {verb} the bare pickup",
            advice.spared.join(" and ")
        );
    }
    let judged = !matches!(advice.status, AdviceStatus::NotAsked | AdviceStatus::NothingArrives);
    if judged && !advice.rests_on.is_empty() {
        let words: Vec<String> = advice.rests_on.iter().map(finding::Field::words).collect();
        let _ = writeln!(out, "  as far as usual figures hold for what is not known: {}", words.join(", "));
    }
}

fn told_places(out: &mut String, indent: &str, advice: &Advice) {
    if advice.by_states_tried && !advice.alternatives.is_empty() {
        let _ = writeln!(out, "{indent}  held against the worst states found: there are too many to try all");
    }
    for alternative in &advice.alternatives {
        let places: Vec<String> = alternative.places.iter().map(ToString::to_string).collect();
        let _ = writeln!(out, "{indent}  a buffer {}", places.join(" and "));
    }
    if !advice.alternatives.is_empty() {
        let _ = writeln!(
            out,
            "{indent}  a buffer is `{}` of the catalogue, its draw still to be found out",
            signal::BUFFER
        );
    }
}

/// The place that helps most where none is enough.
fn told_help(out: &mut String, indent: &str, advice: &Advice, outcome: &Outcome) {
    let Some(found) = &advice.helps else { return };
    let places: Vec<String> = found.places.iter().map(ToString::to_string).collect();
    let (before, after) = (advice.before, found.after);
    let by_tone = outcome.ways.iter().filter(|way| !way.aside).all(Way::is_judged_by_tone);
    let what = if by_tone { "of tone" } else { "of treble" };
    let _ = writeln!(
        out,
        "{indent}  not enough, but what helps most: a buffer {}; largest change {what} {} dB then, {} dB now; level at 1 kHz {} dB \
         lost then, {} dB now",
        places.join(" and "),
        db(after.change_at_4k_db),
        db(before.change_at_4k_db),
        db(after.loss_1k_db.max(0.0)),
        db(before.loss_1k_db.max(0.0))
    );
}

/// How the search for buffers ended, in words.
fn ended(advice: &Advice) -> String {
    match advice.status {
        AdviceStatus::Depends => {
            format!(
                "which buffers are needed depends on {}: find that out first, the input is low",
                advice.asked_words()
            )
        }
        AdviceStatus::CutShort if advice.by_states_tried => {
            "no buffer is needed in any state tried, and there are too many to try all".to_owned()
        }
        other => status(other, advice.rests_on.is_empty()).to_owned(),
    }
}

/// How the search for buffers ended; where values are unknown nothing is called proven without saying so.
fn status(status: AdviceStatus, known: bool) -> &'static str {
    match (status, known) {
        (AdviceStatus::NotAsked, _) => "buffers were not asked for",
        (AdviceStatus::Depends, _) => "which buffers are needed depends on what is not known",
        (AdviceStatus::NothingArrives, _) => "buffers are not judged: no signal reaches an amp or desk",
        (AdviceStatus::NoneNeeded, true) => "no buffer is needed",
        (AdviceStatus::NoneNeeded, false) => "no buffer is needed as far as is known",
        (AdviceStatus::Proven, true) => "the smallest sets of buffers that keep the limits, proven:",
        (AdviceStatus::Proven, false) => {
            "the smallest sets of buffers that keep the limits, proven for usual figures only:"
        }
        (AdviceStatus::NoneFound, true) => {
            "no set of buffers in the leads on the board keeps the limits: every one was tried"
        }
        (AdviceStatus::NoneFound, false) => {
            "no set of buffers in the leads on the board keeps the limits with usual figures: every one was tried"
        }
        (AdviceStatus::NotProven, _) => "a good set of buffers, not proven smallest:",
        (AdviceStatus::CutShort, _) => {
            "no set of buffers was found that keeps the limits; not all could be judged"
        }
    }
}

/// A level to a tenth of a decibel, which is what a meter reads.
fn db(value: f64) -> String {
    figure(value, 1)
}

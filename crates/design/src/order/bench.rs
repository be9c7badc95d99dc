//! What is done before anything is cut, and the making of leads, batch by batch.

use ::build::What;
use quantity::Length;

use super::rates;
use super::stage::{AtHand, Deciding, Stage, names};
use super::world::World;
use crate::making::{END_CAPTIVE, END_SOLDERED, END_TERMINALS};
use crate::{Batch, Design, Lead, Making, batches, spans};

pub(super) fn prepare(design: &Design, deciding: Option<Deciding>) -> Stage {
    let mut stage = Stage::new("prepare", "Before anything is cut");
    let words = |count: usize, one: &str, more: &str| {
        if count == 1 { one.to_owned() } else { more.replace("{}", &count.to_string()) }
    };
    let (values, minutes) = match deciding {
        Some(Deciding { values, minutes }) => {
            ((values, words(values, "the 1 value that decides", "the {} values that decide")), minutes)
        }
        None => {
            let assumed = crate::given::count(&design.rig).assumed;
            ((assumed, words(assumed, "the 1 assumed value", "what is assumed ({} values)")), rates::MEASURE)
        }
    };
    if 0 < values.0 {
        let text = format!("Measure {} (measuring sheet) and put them into the job", values.1);
        let step = stage.act("measure", minutes, text).hand(names(&["calliper", "scale", "ohmmeter"]));
        step.gives(What::Prepared, "");
    }
    stage
        .act("photograph", rates::PHOTOGRAPH, "Photograph every device from above and its inner switches")
        .gives(What::Prepared, "");
    stage
        .act("batteries", rates::BATTERIES, "Take all batteries out; bag them with the feet that come off")
        .gives(What::Prepared, "");
    let is_open = |lead: &Lead| (0..lead.parts().len()).any(|leg| !lead.is_cut(leg));
    if design.leads.iter().any(|lead| is_open(lead) && is_strung(design, lead)) {
        let text = "Tape the 1:1 template down, lay a string along the way of each lead whose length is dotted, correct \
                    the cut list";
        let step = stage.act("string", rates::STRING, text);
        step.hand(names(&["1:1 template", "string", "tape"])).gives(What::Prepared, "");
    }
    let step = stage.hold("hold:approved", 0, "Approval sheet signed by the player");
    step.wants(What::Prepared, "").gives(What::Approved, "");
    stage
}

/// Whether the length of a lead has to be checked by string before it is cut: whether it rests on what nobody measured. The
/// answer is the same once it is cut.
pub(crate) fn is_strung(design: &Design, lead: &Lead) -> bool {
    let rests = lead.needed.is_assumed() || !crate::rests::rests_uncut(design, lead).is_empty();
    lead.making == Making::Made && rests
}

/// A name for a batch that does not change when other batches come or go.
fn batch_id(batch: &Batch) -> String {
    let cable = batch.cable.as_deref().unwrap_or("open");
    format!("{}/{cable}/{}", batch.class.word(), batch.ends.join("/"))
}

pub(super) fn leads(design: &Design, world: &World) -> Stage {
    let mut stage = Stage::new("leads", "Leads, batch by batch");
    for batch in batches(design) {
        let all: Vec<&Lead> = batch.leads.iter().filter_map(|index| design.leads.get(*index)).collect();
        let tags: Vec<&str> = all.iter().map(|lead| lead.tag.as_str()).collect();
        let count = minutes_for(tags.len(), 1);
        let key = batch_id(&batch);
        let span = spans(&tags);
        let number = batch.number;
        // What is pulled through a hole that its finished plug does not pass is finished on the board.
        let pulled: Vec<&str> = tags.iter().copied().filter(|tag| world.is_pulled(tag)).collect();
        let finished: Vec<&str> = tags.iter().copied().filter(|tag| !world.is_pulled(tag)).collect();
        let (text, of_cable) = cutting(&all, &span, of_batch(&batch, batch.length - cut_of(&all)));
        let step = stage.act(format!("cut:{key}"), rates::CUT * count, format!("Batch {number}: {text}"));
        step.of(tags.iter().copied()).hand(of_cable).tool("cutter");
        for tag in &tags {
            step.gives(What::Cut, tag);
        }
        let text = format!("Batch {number}: number sleeves and shells on, {}", ends_words(&batch));
        let step = stage.act(format!("sleeve:{key}"), rates::SLEEVE * count, text);
        step.of(tags.iter().copied()).hand(plugs(&batch, tags.len())).tool("cutter");
        for tag in &tags {
            step.wants(What::Cut, tag).gives(What::Sleeved, tag);
        }
        let open = match pulled.len() {
            0 => String::new(),
            1 => format!("; of {} one end only: it is pulled through its hole first", spans(&pulled)),
            _ => format!("; of {} one end only: they are pulled through their holes first", spans(&pulled)),
        };
        let minutes = rates::SOLDER * count - minutes_for(pulled.len(), rates::FINISH - rates::METER);
        let text = format!("Batch {number}: strip and solder {span}, clocked as listed{open}");
        let step = stage.act(format!("solder:{key}"), minutes, text);
        step.of(tags.iter().copied()).tool("iron");
        for tag in &tags {
            step.wants(What::Sleeved, tag).gives(What::Soldered, tag);
        }
        if finished.is_empty() {
            continue;
        }
        let is_wired = batch.ends.iter().any(|end| [END_SOLDERED, END_TERMINALS].contains(&end.as_str()));
        let text = if is_wired {
            format!(
                "Batch {number}: wiggle, pull at the plug; metered when its bare end is soldered to the panel"
            )
        } else if pulled.is_empty() {
            format!("Batch {number}: meter, wiggle, pull; fill in the test sheet")
        } else {
            format!("Batch {number}, {}: meter, wiggle, pull; fill in the test sheet", spans(&finished))
        };
        let step = stage.act(format!("meter:{key}"), minutes_for(finished.len(), rates::METER), text);
        step.of(finished.iter().copied()).tool("meter");
        for tag in &finished {
            step.wants(What::Soldered, tag).gives(What::Metered, tag);
        }
    }
    stage
}

/// The cable that a batch is cut from, as far as it is known what and how much.
fn of_batch(batch: &Batch, length: Length) -> AtHand {
    match &batch.cable {
        None => AtHand::Thing("cable: which, is not decided".to_owned()),
        Some(cable) if batch.unknown == batch.leads.len() => {
            AtHand::Thing(format!("{cable}, lengths not known"))
        }
        Some(cable) if 0 < batch.unknown => AtHand::Thing(format!(
            "{}, and {} not known",
            AtHand::Cable(cable.clone(), length).words(),
            batch.unknown
        )),
        Some(cable) => AtHand::Cable(cable.clone(), length),
    }
}

fn minutes_for(count: usize, each: u32) -> u32 {
    each * u32::try_from(count).unwrap_or(u32::MAX)
}

/// The plugs of so many leads of a batch. What is soldered behind a jack needs none at hand.
fn plugs(batch: &Batch, leads: usize) -> Vec<AtHand> {
    let mut out: Vec<AtHand> = Vec::new();
    let is_plug = |end: &&String| ![END_SOLDERED, END_TERMINALS, END_CAPTIVE].contains(&end.as_str());
    for end in batch.ends.iter().filter(is_plug) {
        let alike = batch.ends.iter().filter(|other| *other == end).count();
        let some = AtHand::Count(end.clone(), alike * leads);
        if !out.contains(&some) {
            out.push(some);
        }
    }
    out
}

/// What of some leads is cut already.
fn cut_of(leads: &[&Lead]) -> Length {
    leads.iter().map(|lead| lead.cut_by_now()).sum()
}

/// What is left to cut of a batch, in words, and the cable for it. A lead of which only a leg is new is cut there alone.
fn cutting(leads: &[&Lead], span: &str, of_cable: AtHand) -> (String, Vec<AtHand>) {
    let names = |is_cut: bool| {
        let names: Vec<String> = leads
            .iter()
            .flat_map(|lead| {
                let parts = lead.parts();
                let own: Vec<String> = parts
                    .iter()
                    .enumerate()
                    .filter(|(leg, _)| lead.is_cut(*leg) == is_cut)
                    .map(|(_, part)| part.clone())
                    .collect();
                if own.len() == parts.len() { vec![lead.tag.clone()] } else { own }
            })
            .collect();
        spans(&names.iter().map(String::as_str).collect::<Vec<_>>())
    };
    let (open, done) = (names(false), names(true));
    match (open.is_empty(), done.is_empty()) {
        (_, true) => (format!("cut {span} to length"), vec![of_cable]),
        (true, false) => (format!("{span}: cut already; check the lengths"), Vec::new()),
        (false, false) => (format!("cut {open} to length; cut already: {done}"), vec![of_cable]),
    }
}

fn ends_words(batch: &Batch) -> String {
    match batch.ends.len() {
        2 if batch.ends.iter().any(|end| end == END_SOLDERED || end == END_TERMINALS) => {
            "at the plug and at the bare end".to_owned()
        }
        2 => "both ends".to_owned(),
        count => format!("all {count} ends, and the sleeve of the joint"),
    }
}

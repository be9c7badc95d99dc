//! From places for buffers to the edit that puts them into the runs.

use finding::{Change, Edit, Field, Value};
use rig::Rig;

use crate::input::{BufferPlace, Config};

/// The kind of the catalogue that is the buffer which advice reckons with: its impedances are those of [`Config`].
pub const BUFFER: &str = "buffer-39x93x31";

/// The edit that puts a buffer into every run that passes each of these places, as a device still to be chosen: its
/// ports are those the advice reckoned with, its size and draw are left open for the builder.
///
/// `None` where a place is on no run.
pub fn fit_buffers(rig: &Rig, config: &Config, places: &[BufferPlace]) -> Option<Edit> {
    let mut stops: Vec<Vec<String>> =
        rig.runs.iter().map(|run| run.stops.iter().map(|stop| stop.text.clone()).collect()).collect();
    let mut tags: Vec<String> = Vec::new();
    let mut changes = Vec::new();
    let mut retired = Vec::new();
    for place in places {
        let tag = free_tag(rig, &tags)?;
        let mut found = false;
        for (run, texts) in rig.runs.iter().zip(&mut stops) {
            for pair in run.stops.windows(2) {
                if pair[0].leaves.as_ref() != Some(&place.from) || pair[1].arrives.as_ref() != Some(&place.to)
                {
                    continue;
                }
                // What was put in before stands between them by now; the nearer end is the one that was meant.
                let before = texts.windows(2).position(|now| now[1] == pair[1].text);
                let Some(at) = before else { continue };
                texts.insert(at + 1, tag.clone());
                found = true;
            }
        }
        if !found {
            return None;
        }
        changes.extend(device(&tag, config));
        let known = rig
            .leads
            .iter()
            .find(|lead| lead.branches.is_empty() && lead.from == place.from && lead.to == place.to);
        if let Some(lead) = known {
            changes.push(Change::remove(Field::lead(&lead.name(), "")));
            // Its labels bear its number still: no other lead may get it.
            retired.extend(lead.tag.clone());
        }
        tags.push(tag);
    }
    for (run, texts) in rig.runs.iter().zip(stops) {
        if texts.len() != run.stops.len() {
            changes.push(Change::set(Field::run(&run.name, "stops"), texts));
        }
    }
    if !retired.is_empty() {
        let all = rig.retired.iter().cloned().chain(retired);
        changes.push(Change::set(Field::new(["leads", "retired"]), Value::list(all)));
    }
    let places: Vec<String> = places.iter().map(ToString::to_string).collect();
    Some(Edit::new(format!("put a buffer {}", places.join(" and ")), changes))
}

/// A buffer as advice takes it: always on, unity gain, its impedances assumed.
fn device(tag: &str, config: &Config) -> Vec<Change> {
    let ohms = |ohms: f64| quantity::Ohms::new(ohms).unwrap_or_default().to_string();
    [
        ("title", "buffer to be chosen".to_owned()),
        ("from", "assumed".to_owned()),
        ("port.IN.role", "in".to_owned()),
        ("port.IN.z", ohms(config.buffer_input)),
        ("port.OUT.role", "out".to_owned()),
        ("port.OUT.z", ohms(config.buffer_output)),
        ("signal.bypass", "always-on".to_owned()),
        ("signal.gain", "0 dB".to_owned()),
    ]
    .into_iter()
    .map(|(keys, to)| Change::set(Field::device(tag, keys), to))
    .collect()
}

fn free_tag(rig: &Rig, taken: &[String]) -> Option<String> {
    let is_free = |tag: &String| !rig.has_name(tag) && !taken.contains(tag);
    (1..=99).map(|number| if number == 1 { "BUF".to_owned() } else { format!("BUF{number}") }).find(is_free)
}

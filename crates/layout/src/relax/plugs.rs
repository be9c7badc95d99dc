//! Smaller plugs of the stock.

use quantity::Length;
use rig::geometry::lead_ends;
use rig::{PlugKind, PlugSpec, Rig};

use super::tried::{Told, Tried};
use crate::model::{Model, put};
use crate::{Config, Freedom, Input};

/// Smaller plugs of the stock: at the ends that bar the device, at one device's ends, then wherever they fit.
pub(super) fn plugs(
    input: &Input,
    config: &Config,
    wrong: &[String],
    barring: &[usize],
    tried: &mut Tried<'_>,
) {
    if input.stock.is_empty() || config.freedom.plugs {
        return;
    }
    let free = Config { freedom: Freedom { plugs: true, ..config.freedom }, ..config.clone() };
    let model = Model::new(input, config);
    let mut groups: Vec<Vec<usize>> = vec![barring.to_vec()];
    groups.extend(wrong.iter().map(|tag| {
        (0..model.lead_ends.len()).filter(|lead| model.lead_ends[*lead].port.device == *tag).collect()
    }));
    for (number, ends) in groups.iter().enumerate() {
        // The client's own leads are asked about only where nothing else helps.
        let Some((changed, names)) = with_smaller(input, &model, ends, number == 0) else { continue };
        let at = &model.lead_ends[ends[0]].port;
        let whose = if number == 0 { at.to_string() } else { at.device.clone() };
        let name = format!("smaller plugs at {whose}: {}", names.join(", "));
        let changes = plug_changes(&input.rig, &changed.rig, &model);
        let told = Told::of("plug", name).about(&at.device).writing(Some(changes));
        if tried.attempt(&changed, config, &told) {
            return;
        }
    }
    tried.attempt(input, &free, &Told::of("plug", "other plugs of the stock, wherever they help"));
}

/// The plugs that differ between two rigs, as changes.
fn plug_changes(before: &Rig, after: &Rig, model: &Model) -> Vec<finding::Change> {
    let mut out: Vec<finding::Change> = Vec::new();
    for ((old, new), entry) in model.lead_ends.iter().zip(lead_ends(after)).zip(&model.entries) {
        let id = |spec: &PlugSpec| spec.plug.as_ref().map(|plug| plug.id.clone());
        let [field, _] = entry.fields(before);
        if let Some(to) = id(&new.plug).filter(|to| id(&old.plug).as_ref() != Some(to))
            && out.iter().all(|change| *change.field() != field)
        {
            out.push(finding::Change::set(field, to));
        }
    }
    out
}

/// The input with the smallest plug of the stock at each of these lead ends, and the ids of the plugs; `None` when none is
/// smaller. The client's own leads keep theirs unless `own_leads`.
fn with_smaller(
    input: &Input,
    model: &Model,
    ends: &[usize],
    own_leads: bool,
) -> Option<(Input, Vec<String>)> {
    let mut changed = input.clone();
    let leads = rig::leads(&input.rig);
    let mut names = Vec::new();
    for &lead in ends {
        let end = &model.lead_ends[lead];
        let Some(now) = &end.plug.plug else { continue };
        let Some(connector) = input.rig.port(&end.port).and_then(|port| port.connector.as_ref()) else {
            continue;
        };
        let bulk = |plug: &PlugKind| {
            let nm = |known: rig::Known<Length>| known.value.map_or(i64::MAX / 8, Length::nm);
            nm(plug.width).saturating_add(nm(plug.depth))
        };
        let fits = |plug: &&PlugKind| plug.fits.contains(&connector.id) && bulk(plug) < bulk(now);
        // A made lead keeps the plugs that it has.
        let made = leads[end.lead].is_made();
        let outside = end.other.port.is_empty() && input.rig.device(&end.other.device).is_none();
        let smaller = input.stock.iter().filter(fits).min_by_key(|plug| (bulk(plug), plug.id.clone()));
        let Some(smaller) = smaller.filter(|_| (own_leads || !outside) && !end.inner && !made) else {
            continue;
        };
        if let Some(spec) = put(&mut changed.rig, &model.entries[lead]) {
            spec.plug = Some(smaller.clone());
        }
        if !names.contains(&smaller.id) {
            names.push(smaller.id.clone());
        }
    }
    (!names.is_empty()).then_some((changed, names))
}

//! Made leads along which too much is lost, and what they could be made anew of.

use rig::FeedKind;

use crate::input::Input;
use crate::lead_drop::Grade;
use crate::model::dropped;
use crate::remade::Remade;
use crate::thicker::Thicker;

/// What a lead could be made anew of, what loses least last: its own cable (`None`) where it would be shorter, thicker ones.
pub(crate) fn cables_for(cables: &[Thicker], remade: &Remade) -> Vec<Option<Thicker>> {
    let is_thicker = |cable: &&Thicker| cable.per_metre.get() < remade.per_metre.get();
    let mut thicker: Vec<&Thicker> = cables.iter().filter(is_thicker).collect();
    thicker.sort_by(|a, b| b.per_metre.get().total_cmp(&a.per_metre.get()));
    let own = remade.is_shorter().then_some(None);
    own.into_iter().chain(thicker.into_iter().cloned().map(Some)).collect()
}

/// The made leads that could be made anew and along which too much is lost as they are.
pub(crate) fn lossy(input: &Input) -> Vec<&Remade> {
    input.remade.iter().filter(|lead| is_lossy(input, lead)).collect()
}

/// Whether too much is lost along it as it was cut, for a device that hangs on it: so that it is why this goes without.
pub(crate) fn is_lossy(input: &Input, lead: &Remade) -> bool {
    lead.devices().iter().filter_map(|tag| input.need(tag)).any(|need| {
        let device = &input.needs[need];
        let Some(present) = &device.present else { return false };
        let is_here =
            |outlet: &usize| lead.ways.iter().any(|way| way.device == device.tag && way.outlet == *outlet);
        if present.outlets.is_empty() || !present.outlets.iter().all(is_here) {
            return false;
        }
        let shares = |other: &&crate::Need| {
            other
                .present
                .as_ref()
                .is_some_and(|other| other.kind == FeedKind::Single && other.outlets == present.outlets)
        };
        let current = match present.kind {
            FeedKind::Single => input.needs.iter().filter(shares).map(|other| other.current_ua).sum(),
            _ => device.current_ua,
        };
        let times = if present.kind == FeedKind::SeriesPair { 2 } else { 1 };
        let of = &input.outlets[present.outlets[0]];
        let suits = |mv: &i64| device.low_mv <= times * mv && times * mv <= device.high_mv;
        let most = of.settings.iter().map(|setting| setting.mv).filter(suits).max();
        most.is_some_and(|mv| {
            dropped(input, need, present.kind, &present.outlets, mv, current) == Grade::Stop
        })
    })
}

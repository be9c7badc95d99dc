//! What the model needs and says of its quote, for the estimate engine.

use estimate::{
    Amount, BillGroup, Choice, Currency, Discount, Money, Need, PartsOnHand, Prices, Quote, Terms,
};
use leads::CableCuts;
use quantity::Length;

use crate::{BillLine, Design, Lead, Making, Shelf, bill, cut_plans};

fn need(line: BillLine) -> Need {
    let BillLine { needed, waste, .. } = line;
    Need {
        key: line.key,
        title: line.item,
        group: line.group,
        needed,
        left: line.left,
        waste: if waste.is_like(needed) { waste } else { needed.with(0) },
        serves: line.serves,
        theirs: line.theirs,
        estimated: line.estimated,
        open: line.open,
        from_stock: None,
    }
}

/// Every line of the bill of materials: the one count that quotes, orders and papers rest on.
pub fn needs(design: &Design) -> Vec<Need> {
    bill(design).into_iter().map(need).collect()
}

/// What holds these devices alone, as needs.
pub fn fastener_needs(design: &Design, tags: &[&str]) -> Vec<Need> {
    crate::bill::fastened(design, tags).into_iter().map(need).collect()
}

/// The same with what the shop's reels and offcuts cover of each cable, as the cut plan has it: a reel covers the pieces that
/// can be cut from it, not metres. What is taken goes off the shelf, so that the next job finds what is left.
pub fn needs_from(design: &Design, shelf: &mut Shelf) -> Vec<Need> {
    let mut needs = needs(design);
    let plans = cut_plans(design, shelf);
    for need in needs.iter_mut().filter(|need| need.group == BillGroup::Cable) {
        let plan = plans.iter().find(|plan| plan.cable.as_deref() == Some(need.key.as_str()));
        need.from_stock = Some(match plan {
            Some(plan) => Amount::Length(Length::from_mm(covered(plan, need, shelf))),
            // Nothing of it is left to cut.
            None => need.needed.with(0),
        });
    }
    needs
}

/// How much of a cable stock covers, millimetres: its pieces, and what is added as waste where no piece is missing. Takes it
/// off the shelf.
fn covered(plan: &CableCuts, need: &Need, shelf: &mut Shelf) -> i64 {
    // Where there is no such cable the plan counts on an endless reel, which nobody has.
    if !shelf.cable.iter().any(|one| one.cable == need.key) {
        return 0;
    }
    let mut used = 0;
    for step in &plan.plan.steps {
        let mm = plan.pieces[step.piece].mm;
        used += mm;
        let source = &plan.sources[step.source].id;
        if let Some(one) = shelf.cable.iter_mut().find(|one| one.id == *source) {
            one.mm = one.mm.map(|left| left - mm);
        }
    }
    let wanted = need.to_get().units().div_euclid(1_000_000);
    if plan.plan.missing.is_empty() {
        let mut waste = (wanted - used).max(0);
        for one in shelf.cable.iter_mut().filter(|one| one.cable == need.key) {
            let taken = one.mm.map_or(waste, |left| left.clamp(0, waste));
            one.mm = one.mm.map(|left| left - taken);
            waste -= taken;
            used += taken;
        }
    }
    used.min(wanted)
}

/// What the job says of its quote. A sum that is taken off is read in the given currency; one with digits beyond its
/// minor unit takes nothing off.
pub fn terms(design: &Design, currency: &Currency) -> Terms {
    let (job, quote) = (&design.rig.job, &design.rig.quote);
    let sum = quote.discount_sum.and_then(|sum| sum.minor(currency.decimals));
    Terms {
        number: job.number.clone(),
        date: job.date.clone(),
        revision: job.revision.clone(),
        title: job.title.clone(),
        client: job.player.clone(),
        workshop: job.workshop.clone(),
        discount: match (quote.discount, sum) {
            (Some(share), _) => Discount::Share(share),
            (None, Some(sum)) => Discount::Sum(Money(sum)),
            (None, None) => Discount::None,
        },
        discount_for: quote.discount_for.clone(),
        margin: quote.margin,
        valid: quote.valid.clone(),
        ready: quote.ready.clone(),
        excluded: quote.excluded.clone(),
    }
}

/// The quote of a design at these prices, with what the shop has on its shelf and in its drawers.
pub fn quote(design: &Design, prices: &Prices, on_hand: &PartsOnHand, shelf: &Shelf) -> Quote {
    estimate::quote(&estimate::Input {
        needs: &needs_from(design, &mut shelf.clone()),
        acts: &crate::acts(design),
        prices,
        on_hand,
        terms: &terms(design, &prices.currency),
        choices: &choices(design),
    })
}

/// What the client may choose, with the parts and the work of each.
pub fn choices(design: &Design) -> Vec<Choice> {
    design.rig.quote.options.iter().map(|option| choice(design, option)).collect()
}

fn choice(design: &Design, option: &rig::QuoteOption) -> Choice {
    let part = |key: &str, needed: Amount| Need {
        serves: option.title.clone(),
        ..Need::new(key, BillGroup::Power, needed)
    };
    let mut add: Vec<Need> =
        option.pieces.iter().map(|(key, count)| part(key, Amount::Pieces(i64::from(*count)))).collect();
    add.extend(option.lengths.iter().map(|(key, length)| part(key, Amount::Length(*length))));
    let mut spare: Vec<&Lead> = Vec::new();
    for tag in &option.spare_leads {
        match design.leads.iter().find(|lead| lead.tag == *tag && lead.making == Making::Made) {
            Some(lead) => spare.push(lead),
            // It has no price, so that the option says that it is missing.
            None => add.push(part(&format!("spare of {tag}, which is not made here"), Amount::Pieces(1))),
        }
    }
    for lead in &spare {
        let cable = lead.cable.as_ref().map_or("cable not decided", |cable| cable.id.as_str());
        add.push(Need {
            group: BillGroup::Cable,
            open: crate::bill::open_lengths(lead.cut.value.map_or(&[lead.tag.as_str()][..], |_| &[])),
            ..part(cable, Amount::Length(lead.cut.value.unwrap_or(Length::ZERO)))
        });
        for end in lead.ends.iter().filter(|end| end.has_plug()) {
            let plug = end.plug.plug.as_ref().map_or("plug not decided", |plug| plug.id.as_str());
            add.push(Need { group: BillGroup::Plugs, ..part(plug, Amount::Pieces(1)) });
        }
    }
    Choice {
        title: option.title.clone(),
        add,
        without: option.without.clone(),
        acts: crate::work::made(&spare),
        minutes: option.minutes,
        minutes_less: option.minutes_less,
    }
}

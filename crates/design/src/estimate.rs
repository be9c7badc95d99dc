//! What the model needs and says of its quote, for the estimate engine.

use estimate::{Amount, BillGroup, Choice, Currency, Discount, Money, Need, Terms};
use quantity::Length;

use crate::{BillLine, Design, Lead, Making, bill};

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
    }
}

/// Every line of the bill of materials: the one count that quotes, orders and papers rest on.
pub fn needs(design: &Design) -> Vec<Need> {
    bill(design).into_iter().map(need).collect()
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

/// What the client may choose, with the parts and the work of each.
pub fn choices(design: &Design) -> Vec<Choice> {
    design.rig.quote.options.iter().map(|option| choice(design, option)).collect()
}

fn choice(design: &Design, option: &rig::QuoteOption) -> Choice {
    let part = |key: &str, needed: Amount| Need {
        key: key.to_owned(),
        title: key.to_owned(),
        group: BillGroup::Power,
        needed,
        waste: needed.with(0),
        left: None,
        serves: option.title.clone(),
        theirs: false,
        estimated: false,
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

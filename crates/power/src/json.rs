//! An outcome as JSON, for `boardwright feed --format json` and for outside checkers.

use rig::{Class, PowerNeed, Sign};

use crate::input::{milliamps, watts};
use crate::outcome::{BankLine, BrickLine, Cure, FedBy, FeedLine, MainsLine, Objective, Outcome, OutletLine};
use crate::wire::{self, Given};

/// The outcome, with all that is needed to reckon it again.
pub fn json(outcome: &Outcome) -> wire::Feeds<'_> {
    let looks = outcome.looks.iter().map(|look| wire::Look {
        what: look.what.word(),
        about: &look.about,
        words: &look.words,
    });
    wire::Feeds {
        status: outcome.status.word(),
        objective: objective(&outcome.objective),
        bound: objective(&outcome.bound),
        cost: crate::cost::cost(outcome),
        looks: looks.collect(),
        feeds: outcome.feeds.iter().map(feed).collect(),
        outlets: outcome.outlets.iter().map(outlet).collect(),
        mains: outcome.mains.iter().map(mains).collect(),
        banks: outcome.banks.iter().map(bank).collect(),
        bricks: outcome.bricks.iter().map(brick).collect(),
        distances_mm: distances(outcome),
        locks: outcome.locks.iter().map(|(device, outlets)| wire::Lock { device, outlets }).collect(),
        unmade: &outcome.unmade,
        assumed: assumed(outcome),
        unchecked: unchecked(outcome),
        unserved: unserved(outcome),
        conflict: conflicts(outcome),
        cures: outcome.cures.iter().map(cure).collect(),
        cures_cut_short: outcome.cures_cut_short,
        cures_untold: outcome.untold.count,
        cures_untold_counted: outcome.untold.is_counted,
        cures_cheapest_proven: !outcome.untold.is_open
            && outcome.cures.first().is_some_and(|cure| cure.leaves.is_empty()),
    }
}

fn objective(objective: &Objective) -> wire::Objective {
    wire::Objective {
        looks: objective.looks,
        special_leads: objective.special,
        margin_permille: objective.margin_permille,
        length_mm: objective.length_mm,
    }
}

fn feed(feed: &FeedLine) -> wire::Feed<'_> {
    wire::Feed {
        device: &feed.device,
        kind: feed.kind.word(),
        outlets: feed.outlets.iter().map(fed_by).collect(),
        load_ma: milliamps(feed.load_ua),
        limit_ma: feed.limit_ua.map(milliamps),
        margin_permille: feed.margin_permille,
        why: &feed.why,
        lost_v: feed.lost.map(quantity::Volts::get),
        requirement: requirement(&feed.requirement),
        lead: leads(feed),
    }
}

fn fed_by(outlet: &FedBy) -> wire::FedBy<'_> {
    wire::FedBy {
        brick: &outlet.brick,
        outlet: &outlet.outlet,
        setting_v: volts(outlet.setting_mv),
        sign: outlet.sign.map(Sign::word),
    }
}

fn leads(feed: &FeedLine) -> Vec<wire::FeedLead<'_>> {
    let to = match &feed.inlet {
        Some(inlet) => format!("{}.{inlet}", feed.device),
        None => feed.device.clone(),
    };
    let one = |from: String, distance_mm: Option<i64>| wire::FeedLead {
        from,
        to: to.clone(),
        distance_mm,
        special: feed.special(),
        crossing: feed.crossing,
        barrel_adaptor: feed.barrel_adaptor.as_deref(),
    };
    match &feed.socket {
        Some(socket) => vec![one(socket.to_string(), None)],
        None => feed
            .outlets
            .iter()
            .map(|outlet| one(format!("{}.{}", outlet.brick, outlet.outlet), outlet.distance_mm))
            .collect(),
    }
}

fn outlet(line: &OutletLine) -> wire::Outlet<'_> {
    wire::Outlet {
        brick: &line.brick,
        outlet: &line.outlet,
        setting_v: volts(line.setting_mv),
        devices: &line.devices,
        load_ma: milliamps(line.load_ua),
        up_to: line.up_to,
        limit_ma: milliamps(line.limit_ua),
        free_ma: milliamps(line.free_ua),
        margin_permille: line.margin_permille,
        load_w: watts(line.load_nw),
        kept: line.kept,
    }
}

fn mains(line: &MainsLine) -> wire::Mains<'_> {
    wire::Mains {
        at: line.at.as_deref(),
        takers: &line.takers,
        load_w: watts(line.load_nw),
        up_to: line.up_to,
        load_va: watts(line.load_nva),
        load_ma: line.load_ua.map(milliamps),
        mains_v: line.mains_mv.map(volts),
        power_factor_ratio: Given { is: Some(crate::mains::POWER_FACTOR.get()), from: "assumed" },
    }
}

fn bank(bank: &BankLine) -> wire::Bank<'_> {
    wire::Bank {
        brick: &bank.brick,
        bank: &bank.bank,
        load_ma: milliamps(bank.load_ua),
        up_to: bank.up_to,
        limit_ma: milliamps(bank.limit_ua),
        load_w: watts(bank.load_nw),
    }
}

fn brick(brick: &BrickLine) -> wire::Brick<'_> {
    let from = if brick.efficiency_assumed { "assumed" } else { "document" };
    wire::Brick {
        brick: &brick.brick,
        load_w: watts(brick.load_nw),
        up_to: brick.up_to,
        takes_va: brick.takes_nva.map(watts),
        limit_w: brick.limit_nw.map(watts),
        load_ma: milliamps(brick.load_ua),
        takes_w: watts(brick.takes_nw),
        heat_w: watts(brick.heat_nw),
        efficiency_ratio: Given { is: Some(crate::cost::ratio(brick.efficiency_ppm)), from },
        intake_gives_w: brick.intake_nw.map(watts),
        used: brick.used,
        outlets: brick.outlets,
    }
}

fn distances(outcome: &Outcome) -> Vec<wire::Distance<'_>> {
    let each = outcome.distances.iter().map(|(device, outlet, way)| wire::Distance {
        device,
        outlet,
        distance_mm: *way,
    });
    each.collect()
}

fn assumed(outcome: &Outcome) -> Vec<wire::Assumed<'_>> {
    let each = outcome.assumed.iter().map(|assumed| wire::Assumed {
        device: &assumed.device,
        field: assumed.field.to_string(),
        words: &assumed.words,
    });
    each.collect()
}

fn unchecked(outcome: &Outcome) -> Vec<wire::Unchecked<'_>> {
    let each = outcome.unchecked.iter().map(|unchecked| wire::Unchecked {
        brick: &unchecked.brick,
        outlet: &unchecked.outlet,
        lacks: unchecked.fields.iter().map(ToString::to_string).collect(),
        words: &unchecked.words,
    });
    each.collect()
}

fn unserved(outcome: &Outcome) -> Vec<wire::Unserved<'_>> {
    let each = outcome.unserved.iter().map(|unserved| wire::Unserved {
        device: &unserved.device,
        why: &unserved.why,
        lacks: unserved.lacks.iter().map(ToString::to_string).collect(),
    });
    each.collect()
}

fn conflicts(outcome: &Outcome) -> Vec<wire::Conflict<'_>> {
    let each = outcome.conflicts.iter().map(|conflict| wire::Conflict {
        devices: &conflict.devices,
        words: &conflict.words,
        irreducible: conflict.irreducible,
        smallest: conflict.smallest,
    });
    each.collect()
}

fn cure(cure: &Cure) -> wire::Cure<'_> {
    let price = &cure.price;
    wire::Cure {
        name: &cure.name,
        kinds: cure.change.brings().iter().map(|candidate| candidate.kind.as_str()).collect(),
        leaves: &cure.leaves,
        fits: cure.fits,
        unpriced: price.unpriced,
        money_minor: price.money,
        buys: price.buys,
        unweighed: price.unweighed,
        mass_g: price.mass_g,
        space_mm2: price.space_mm2,
        unmade: price.unmade,
        work: price.work,
        refed: &cure.refed,
        follows: &cure.follows,
        pressable: cure.edit.is_some(),
    }
}

fn volts(mv: i64) -> f64 {
    crate::assignment::real(mv) / 1000.0
}

fn requirement(need: &PowerNeed) -> wire::Requirement {
    let class = |class: Class| match class {
        Class::Analogue => "analogue",
        Class::Digital => "digital",
    };
    wire::Requirement {
        nature: Given::of(need.nature, rig::Nature::word),
        volts_v: Given::of(need.volts, |window| [window.low().get(), window.high().get()]),
        current_ma: Given::of(need.current, quantity::Milliamps::get),
        surge_ma: Given::of(need.surge, quantity::Milliamps::get),
        sign: Given::of(need.sign, Sign::word),
        class: Given::of(need.class, class),
        positive_ground: Given::of(need.positive_ground, |positive| positive),
    }
}

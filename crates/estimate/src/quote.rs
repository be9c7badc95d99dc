//! What a client reads: lines in four groups, sums, options and what they would change.

use quantity::Share;

use crate::{
    Act, Amount, BillGroup, BillLine, Missing, Money, Need, OWN_ADAPTOR, PartsOnHand, Prices, Stage, Totals,
    WorkLine, bill, days_after, mul_div_rounded, totals, work,
};

/// What is taken off all lines together.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum Discount {
    /// Nothing.
    #[default]
    None,
    /// A share of them.
    Share(Share),
    /// A sum.
    Sum(Money),
}

/// What a job says of its quote.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Terms {
    /// The job's number.
    pub number: Option<String>,
    /// The job's date, as written.
    pub date: Option<String>,
    /// The revision.
    pub revision: Option<String>,
    /// What the rig is called.
    pub title: String,
    /// The client.
    pub client: Option<String>,
    /// The workshop.
    pub workshop: Option<String>,
    /// What is taken off.
    pub discount: Discount,
    /// Why.
    pub discount_for: Option<String>,
    /// Another margin than the shop's.
    pub margin: Option<Share>,
    /// Until when it holds, where the job says so.
    pub valid: Option<String>,
    /// When it is ready, in words.
    pub ready: Option<String>,
    /// What is not included beyond what the shop excludes.
    pub excluded: Vec<String>,
}

/// Something the client may take or leave.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Choice {
    /// What it is.
    pub title: String,
    /// What it needs beyond the rest.
    pub add: Vec<Need>,
    /// Keys of needs that fall away.
    pub without: Vec<String>,
    /// Acts of the shop's rates that come with it.
    pub acts: Vec<Act>,
    /// Minutes of other work.
    pub minutes: u32,
    /// Minutes that fall away.
    pub minutes_less: u32,
}

/// What a quote is made from.
#[derive(Debug, Clone, Copy)]
pub struct Input<'a> {
    /// Parts.
    pub needs: &'a [Need],
    /// Work.
    pub acts: &'a [Act],
    /// The shop's prices.
    pub prices: &'a Prices,
    /// The shop's stock.
    pub on_hand: &'a PartsOnHand,
    /// What the job says.
    pub terms: &'a Terms,
    /// What the client may choose.
    pub choices: &'a [Choice],
}

/// The four groups of a quote.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum ClientGroup {
    /// What the client brings.
    Own,
    /// Board, case, supplies.
    Supplied,
    /// Leads, panel, small parts.
    Parts,
    /// Work.
    Work,
}

impl ClientGroup {
    /// Every group in order.
    pub const ALL: [Self; 4] = [Self::Own, Self::Supplied, Self::Parts, Self::Work];

    /// What a client reads.
    pub fn title(self) -> &'static str {
        match self {
            Self::Own => "Your own gear, fitted and wired",
            Self::Supplied => "Gear we supply",
            Self::Parts => "Leads, panel, small parts",
            Self::Work => "Work",
        }
    }

    /// The word for other programs.
    pub fn word(self) -> &'static str {
        match self {
            Self::Own => "own",
            Self::Supplied => "supplied",
            Self::Parts => "parts",
            Self::Work => "work",
        }
    }
}

/// What stands in the column of quantities.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Title {
    /// Pieces or a length.
    Amount(Amount),
    /// All of it.
    Set,
    /// Minutes of work.
    Minutes(u32),
}

/// One line that a client reads.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct QuoteLine {
    /// Its group.
    pub group: ClientGroup,
    /// What it is.
    pub title: String,
    /// How much of it.
    pub quantity: Title,
    /// What one costs, where that times the quantity is the line.
    pub each: Option<Money>,
    /// What it costs, without tax.
    pub net: Money,
    /// Its tax class.
    pub tax: String,
    /// Whether a price in it is missing, so that it costs more.
    pub at_least: bool,
}

/// What a choice costs.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ChoicePrice {
    /// Its letter.
    pub letter: String,
    /// What it is.
    pub title: String,
    /// Difference without tax.
    pub net: Money,
    /// Difference of tax.
    pub tax: Money,
    /// Difference of what is paid.
    pub difference: Money,
    /// What is paid with it.
    pub to_pay: Money,
    /// Difference of minutes.
    pub minutes: i64,
    /// Whether a price in it is missing.
    pub at_least: bool,
}

/// A quote; an invoice has the same figures.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Quote {
    /// What the job says.
    pub terms: Terms,
    /// Until when it holds, in words; empty where nobody says.
    pub valid: String,
    /// The priced bill.
    pub bill: Vec<BillLine>,
    /// The work.
    pub work: Vec<WorkLine>,
    /// What the client reads.
    pub lines: Vec<QuoteLine>,
    /// The sums.
    pub totals: Totals,
    /// Minutes of all work.
    pub minutes: u32,
    /// What has no price: the total is then *at least* that.
    pub missing: Vec<Missing>,
    /// The choices.
    pub choices: Vec<ChoicePrice>,
}

impl Quote {
    /// Whether something has no price, so that all sums are lower bounds.
    pub fn is_at_least(&self) -> bool {
        !self.missing.is_empty()
    }

    /// Whether a larger sum is to be taken off than all lines come to, so that only these are.
    pub fn is_discount_cut(&self) -> bool {
        matches!(self.terms.discount, Discount::Sum(sum) if self.totals.lines < sum)
    }

    /// The sum of one group.
    pub fn sum(&self, group: ClientGroup) -> Money {
        self.lines.iter().filter(|line| line.group == group).map(|line| line.net).sum()
    }
}

/// The quote of a job, with its choices.
pub fn quote(input: &Input<'_>) -> Quote {
    let mut quote = plain(input.needs, input.acts, input);
    quote.choices = input
        .choices
        .iter()
        .enumerate()
        .map(|(at, choice)| {
            let needs: Vec<Need> = input
                .needs
                .iter()
                .filter(|need| !choice.without.contains(&need.key))
                .chain(&choice.add)
                .cloned()
                .collect();
            let acts = chosen_acts(input.acts, choice);
            let with = plain(&needs, &acts, input);
            let change = difference(&quote, &with);
            let new_gaps = with.missing.iter().any(|gap| !quote.missing.contains(gap));
            ChoicePrice {
                letter: letter(at),
                title: choice.title.clone(),
                net: change.net,
                tax: change.tax,
                difference: change.to_pay,
                to_pay: with.totals.to_pay,
                minutes: change.minutes,
                at_least: new_gaps,
            }
        })
        .collect();
    quote
}

fn letter(at: usize) -> String {
    u8::try_from(at)
        .ok()
        .filter(|at| *at < 26)
        .map_or_else(|| (at + 1).to_string(), |at| char::from(b'A' + at).to_string())
}

/// The acts with those of a choice; what falls away comes off the last acts first.
fn chosen_acts(acts: &[Act], choice: &Choice) -> Vec<Act> {
    let mut out = acts.to_vec();
    let mut less = choice.minutes_less;
    for act in out.iter_mut().rev() {
        let off = less.min(act.minutes);
        act.minutes -= off;
        less -= off;
    }
    out.extend(choice.acts.iter().cloned());
    if 0 < choice.minutes {
        out.push(Act {
            operation: "option".to_owned(),
            title: choice.title.clone(),
            stage: Stage::Option,
            units: 1,
            minutes: choice.minutes,
        });
    }
    out
}

/// What changes from one quote to another.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct QuoteDifference {
    /// Minutes.
    pub minutes: i64,
    /// Without tax.
    pub net: Money,
    /// Tax.
    pub tax: Money,
    /// What is paid.
    pub to_pay: Money,
}

/// What the second costs beyond the first.
pub fn difference(before: &Quote, after: &Quote) -> QuoteDifference {
    QuoteDifference {
        minutes: i64::from(after.minutes) - i64::from(before.minutes),
        net: after.totals.net - before.totals.net,
        tax: after.totals.tax - before.totals.tax,
        to_pay: after.totals.to_pay - before.totals.to_pay,
    }
}

fn plain(needs: &[Need], acts: &[Act], input: &Input<'_>) -> Quote {
    let Input { prices, terms, .. } = *input;
    let margin = terms.margin.unwrap_or(prices.margin);
    let bill = bill(needs, prices, margin, &mut input.on_hand.clone());
    let work = work(acts, prices);
    let mut missing: Vec<Missing> = bill.iter().filter_map(|line| line.missing.clone()).collect();
    let mut lines = own(&bill);
    lines.extend(supplied(&bill));
    lines.extend(parts(&bill, prices));
    lines.extend(working(&work, prices, &mut missing));
    for line in lines.iter().filter(|line| line.group != ClientGroup::Own && !line.tax.is_empty()) {
        let gap = Missing {
            key: format!("tax {}", line.tax),
            title: format!("tax class {}", line.tax),
            why: "the price file does not define it".to_owned(),
        };
        if prices.tax_rate(&line.tax).is_none() && !missing.contains(&gap) {
            missing.push(gap);
        }
    }
    let nets: Vec<(&str, Money)> = lines
        .iter()
        .filter(|line| line.group != ClientGroup::Own && (!line.tax.is_empty() || line.net != Money::ZERO))
        .map(|line| (line.tax.as_str(), line.net))
        .collect();
    let all: Money = nets.iter().map(|(_, net)| *net).sum();
    let discount = match terms.discount {
        Discount::None => Money::ZERO,
        Discount::Share(share) => Money(mul_div_rounded(
            all.0,
            i128::from(share.millionths()),
            i128::from(Share::WHOLE),
            prices.rounding,
        )),
        Discount::Sum(sum) => sum.min(all),
    };
    let totals = totals(&nets, discount, prices);
    let valid = terms.valid.clone().or_else(|| {
        let days = prices.valid_days;
        if days == 0 {
            return None;
        }
        let until = terms.date.as_deref().and_then(|date| days_after(date, days));
        Some(until.map_or_else(|| format!("for {days} days from its date"), |until| format!("until {until}")))
    });
    let minutes = work.iter().map(|line| line.minutes).sum();
    let (terms, valid) = (terms.clone(), valid.unwrap_or_default());
    Quote { terms, valid, bill, work, lines, totals, minutes, missing, choices: Vec::new() }
}

/// What the client brings: one line, no charge.
fn own(bill: &[BillLine]) -> Vec<QuoteLine> {
    let own: Vec<String> = bill
        .iter()
        .filter(|line| line.need.theirs && line.need.key != OWN_ADAPTOR)
        .map(|line| format!("{} {}", line.need.serves, line.need.title))
        .collect();
    if own.is_empty() {
        return Vec::new();
    }
    let count = i64::try_from(own.len()).unwrap_or(i64::MAX);
    vec![QuoteLine {
        group: ClientGroup::Own,
        title: own.join(", "),
        quantity: Title::Amount(Amount::Pieces(count)),
        each: None,
        net: Money::ZERO,
        tax: String::new(),
        at_least: false,
    }]
}

/// Board, case, supplies and devices that we supply: a line each.
fn supplied(bill: &[BillLine]) -> Vec<QuoteLine> {
    bill.iter()
        .filter(|line| {
            !line.need.theirs
                && matches!(line.need.group, BillGroup::Board | BillGroup::Power | BillGroup::Devices)
        })
        .map(|line| {
            let net = line.net.unwrap_or_default();
            let units = line.wanted.units();
            let each = Some(net.0).filter(|net| 0 < units && net % units == 0).map(|net| Money(net / units));
            QuoteLine {
                group: ClientGroup::Supplied,
                title: line.need.title.clone(),
                quantity: Title::Amount(line.wanted),
                each: each.filter(|_| line.net.is_some()),
                net,
                tax: line.tax.clone(),
                at_least: line.missing.is_some(),
            }
        })
        .collect()
}

/// Leads, panel and small parts: a set each, one for each tax class in it.
fn parts(bill: &[BillLine], prices: &Prices) -> Vec<QuoteLine> {
    let set = |group: BillGroup| match group {
        BillGroup::Cable | BillGroup::Plugs => Some("Leads: cable and plugs"),
        BillGroup::Leads => Some("Ready-made leads and adaptors"),
        BillGroup::Panel => Some("Panel with its jacks"),
        BillGroup::Small => Some("Fastening, sleeves, labels, small parts"),
        BillGroup::Board | BillGroup::Devices | BillGroup::Power => None,
    };
    let mut out: Vec<QuoteLine> = Vec::new();
    let ours = bill.iter().filter(|line| !line.need.theirs);
    for (line, title) in ours.filter_map(|line| Some((line, set(line.need.group)?))) {
        let at = out.iter().position(|set| set.title == title && set.tax == line.tax);
        let at = at.unwrap_or_else(|| {
            out.push(QuoteLine {
                group: ClientGroup::Parts,
                title: title.to_owned(),
                quantity: Title::Set,
                each: None,
                net: Money::ZERO,
                tax: line.tax.clone(),
                at_least: false,
            });
            out.len() - 1
        });
        out[at].net += line.net.unwrap_or_default();
        out[at].at_least |= line.missing.is_some();
    }
    // Sets of several tax classes say which part this is.
    let titles: Vec<String> = out.iter().map(|set| set.title.clone()).collect();
    for at in 1..out.len() {
        if !out[at].tax.is_empty() && titles[..at].contains(&titles[at]) {
            let class = prices.taxes.iter().find(|tax| tax.name == out[at].tax);
            let class = class.map_or(out[at].tax.as_str(), |tax| tax.title.as_str());
            out[at].title = format!("{}, taxed as {class}", titles[at]);
        }
    }
    // A set whose parts all lack a price shows with the one that has some.
    for at in (0..out.len()).rev() {
        let bare = out[at].tax.is_empty() && out[at].net == Money::ZERO;
        let title = out[at].title.clone();
        if bare
            && let Some(to) = out.iter().position(|set| set.title.starts_with(&title) && !set.tax.is_empty())
        {
            out[to].at_least = true;
            out.remove(at);
        }
    }
    out
}

/// Work at the shop's rate: a line for each stage, of options and changes one for each act.
fn working(work: &[WorkLine], prices: &Prices, missing: &mut Vec<Missing>) -> Vec<QuoteLine> {
    let mut stages: Vec<Stage> = work.iter().map(|line| line.stage).collect();
    stages.sort_unstable();
    stages.dedup();
    let mut parts: Vec<(String, u32)> = Vec::new();
    for stage in stages {
        let of_it = work.iter().filter(|line| line.stage == stage);
        if matches!(stage, Stage::Option | Stage::Change) {
            parts.extend(of_it.map(|line| (line.title.clone(), line.minutes)));
        } else {
            parts.push((stage.title().to_owned(), of_it.map(|line| line.minutes).sum()));
        }
    }
    let mut out = Vec::new();
    for (title, minutes) in parts.into_iter().filter(|(_, minutes)| 0 < *minutes) {
        let net =
            prices.hour.map(|hour| Money(mul_div_rounded(hour.0, i128::from(minutes), 60, prices.rounding)));
        out.push(QuoteLine {
            group: ClientGroup::Work,
            title,
            quantity: Title::Minutes(minutes),
            each: prices.hour,
            net: net.unwrap_or_default(),
            tax: prices.work_tax.clone().filter(|_| net.is_some()).unwrap_or_default(),
            at_least: net.is_none(),
        });
    }
    if prices.hour.is_none() && !out.is_empty() {
        missing.push(Missing {
            key: "hour".to_owned(),
            title: "an hour of work".to_owned(),
            why: "the price file does not say what it costs".to_owned(),
        });
    }
    if prices.hour.is_some() && prices.work_tax.is_none() && !out.is_empty() {
        missing.push(Missing {
            key: "work_tax".to_owned(),
            title: "the tax class of work".to_owned(),
            why: "the price file does not say it".to_owned(),
        });
    }
    out
}

//! Words of quote, invoice and change order.

pub(crate) const QUOTE: &str = "Quote";
pub(crate) const INVOICE: &str = "Invoice";
pub(crate) const CHANGE_ORDER: &str = "Change order";
pub(crate) const OPTIONS: &str = "Options";
pub(crate) const OPTIONS_NOTE: &str = "each on its own; tick what you want";
pub(crate) const OPTION: &str = "Option";
pub(crate) const TICK_WANTED: &str = "take";
pub(crate) const QUANTITY: &str = "quantity";
pub(crate) const EACH: &str = "each";
pub(crate) const LINE_SUM: &str = "sum";
pub(crate) const ONE_SET: &str = "1 set";
pub(crate) const NO_CHARGE: &str = "no charge";
pub(crate) const NO_PRICE: &str = "no price";
pub(crate) const AT_LEAST: &str = "at least";
pub(crate) const WITH_TAX: &str = "tax included";
pub(crate) const SUM_OF_LINES: &str = "Sum of all lines";
pub(crate) const NET: &str = "Net";
pub(crate) const TAX: &str = "Tax";
pub(crate) const RATE_UNKNOWN: &str = "rate unknown";
pub(crate) const ROUNDING: &str = "Rounding";
pub(crate) const TO_PAY: &str = "To pay";
pub(crate) const DIFFERENCE: &str = "difference";
pub(crate) const DEPOSIT: &str = "Deposit";
pub(crate) const DEPOSIT_PAID: &str = "Deposit, due with the signature";
pub(crate) const STILL_TO_PAY: &str = "Balance, due on handover";
pub(crate) const BALANCE_DUE: &str = "Balance";
pub(crate) const ON_HANDOVER: &str = "on handover";
pub(crate) const VALID: &str = "Valid";
pub(crate) const READY: &str = "Ready";
pub(crate) const BUILT_TO: &str = "Built to";
pub(crate) const NOT_INCLUDED: &str = "Not included";
pub(crate) const TERMS: &str = "Terms";
pub(crate) const WITHOUT_PRICE: &str = "Not priced yet, so that the total is at least what it says";
pub(crate) const CHANGED_LEADS: &str = "Leads that change";
pub(crate) const CHANGE_COSTS: &str = "What it costs on top";
pub(crate) const BEFORE: &str = "Before";
pub(crate) const AFTER: &str = "After";
pub(crate) const LEAD_SHORT: &str = "Lead";
pub(crate) const BECAME: &str = "Becomes";
pub(crate) const JOINS: &str = "Joins";
pub(crate) const PLACE: &str = "place";
pub(crate) const DRAWN_ANEW: &str = "stays as it lies; drawn otherwise";
pub(crate) const LENGTH_OPEN: &str = "length not known";
pub(crate) const NEW_STOPS: &str = "Stops that this change brings: to be settled before anything is built";
pub(crate) const DISCOUNT_CUT: &str = "more than the sum of all lines was asked for";
pub(crate) const NO_DISCOUNT: &str = "The discount of the job is not taken off this change.";
pub(crate) const WHOLE_BEFORE: &str = "Whole job before";
pub(crate) const WHOLE_AFTER: &str = "Whole job after";
pub(crate) const WHOLE_NOTE: &str = "quoted anew, as if it were built like this from the start";
pub(crate) const PRICES_DIFFER: &str = "Of it, other prices";
pub(crate) const ALL_LEADS_STAY: &str = "all leads stay";
pub(crate) const HOLES: &str = "Holes";
pub(crate) const PAPERS_VOID: &str = "Papers void";
pub(crate) const PAPERS_GOOD: &str = "Papers still good";
pub(crate) const TESTS_AGAIN: &str = "Tests";

pub(crate) const SUMS: &str = "sums";
pub(crate) const RUN_OF: &str = "run";
pub(crate) const FEED_OF: &str = "feed of";

pub(crate) fn outlet_of(outlet: &str) -> String {
    format!("outlet {outlet}")
}

pub(crate) fn sum_at_least(sum: &str, code: &str) -> String {
    format!("at least {sum} {code}")
}

pub(crate) fn discount(why: Option<&str>) -> String {
    why.map_or_else(|| "Discount".to_owned(), |why| format!("Discount, {why}"))
}

pub(crate) fn tax_of(title: &str, rate: &str, basis: &str) -> String {
    format!("{title}, {rate} of {basis}")
}

pub(crate) fn with_signature(share: &str) -> String {
    format!("{share}, with your signature")
}

pub(crate) fn requirements_range(first: &str, last: &str) -> String {
    if first == last { format!("{first} of the brief") } else { format!("{first} to {last} of the brief") }
}

pub(crate) fn hours(minutes: u32) -> String {
    match (minutes / 60, minutes % 60) {
        (0, rest) => format!("{rest} min"),
        (hours, 0) => format!("{hours} h"),
        (hours, rest) => format!("{hours} h {rest:02}"),
    }
}

pub(crate) fn changed_from(from: &str) -> String {
    format!(
        "What changes from {from} to what is drawn now. Signed, it is built like this; unsigned, {from} stands."
    )
}

pub(crate) fn of_kind(title: &str, kind: &str) -> String {
    if kind.is_empty() { title.to_owned() } else { format!("{title}, catalogue {kind}") }
}

pub(crate) fn became(became: &change::Became) -> &'static str {
    match became {
        change::Became::Reaches { .. } => "is moved",
        change::Became::Altered { .. } => "is altered",
        change::Became::Remade { .. } => "is made again",
        change::Became::New => "is new",
        change::Became::Gone { .. } => "goes",
        change::Became::Unclear { .. } => "not decided",
        change::Became::Redrawn { .. } | change::Became::Stays => "stays",
    }
}

pub(crate) fn renumbered(tag: &str) -> String {
    format!("was {tag}, new labels")
}

pub(crate) fn made_anew(why: &str, cuts: &str) -> String {
    format!("{why}; new {cuts}")
}

pub(crate) fn to_spare(length: &str) -> String {
    format!("{length} to spare")
}

pub(crate) fn offcut_of(length: &str) -> String {
    format!("an offcut of {length}")
}

pub(crate) fn holes_changed(drill: usize, blank: usize) -> String {
    format!("{drill} to drill, {blank} to blank")
}

pub(crate) fn labels_changed(on: usize, off: usize) -> String {
    format!("{on} go on, {off} come off")
}

pub(crate) fn tests_changed(again: usize, stand: usize) -> String {
    format!("{again} to make, {stand} results stand")
}

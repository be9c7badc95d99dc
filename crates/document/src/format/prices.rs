//! A shop's prices, rates and words for quotes, `prices.toml`.

use super::{LENGTH, SHARE, SUM, Shape, Table, key, must};

/// A shop's prices, `prices.toml`.
pub static PRICES: Table = Table {
    name: "prices",
    doc: "What a shop pays and asks. Sums are without tax and carry no unit: the currency is the shop's.",
    keys: &[
        must("currency", Shape::Tag, "Three letters, ISO 4217: `EUR`."),
        key("decimals", Shape::Count(3), "Decimals of its minor unit. Left out: as ISO 4217 has them."),
        key(
            "rounding",
            Shape::Words(&["half-up", "half-even"]),
            "What is done with half a minor unit. Left out: half-up.",
        ),
        key(
            "step",
            Shape::Measure(SUM),
            "What is paid is a multiple of this: `0.05` where small coins are gone.",
        ),
        key("hour", Shape::Measure(SUM), "An hour of work."),
        key("work_tax", Shape::Tag, "The tax class of work."),
        key("margin", Shape::Measure(SHARE), "What is put on what is bought. Left out: nothing."),
        key("deposit", Shape::Measure(SHARE), "What is paid with the signature, of all that is paid."),
        key("valid_days", Shape::Count(999), "Days a quote holds from its date."),
        key("excluded", Shape::List(&Shape::Text), "What no quote includes, a sentence each."),
        key("terms", Shape::List(&Shape::Text), "Terms that each quote prints, a sentence each."),
        key("note", Shape::Text, "A remark on each quote, such as that prices are invented."),
        key("tax", Shape::Named(&TAX), "Classes of tax."),
        key("item", Shape::Tables(&ITEM, "name"), "What is bought."),
        key(
            "rate",
            Shape::Tables(&RATE, "operation"),
            "Minutes the shop plans, where they differ from ours.",
        ),
        key(
            "logged",
            Shape::Tables(&LOGGED, ""),
            "Minutes written down at the bench. They refine what is planned.",
        ),
    ],
};

static TAX: Table = Table {
    name: "tax class",
    doc: "One class of tax.",
    keys: &[
        must("rate", Shape::Measure(SHARE), "Its rate."),
        key("title", Shape::Text, "What a client reads. Left out: its name."),
    ],
};

static ITEM: Table = Table {
    name: "item",
    doc: "One thing that is bought. A pack holds `pieces` or a `length`; left out, one piece.",
    keys: &[
        must("name", Shape::Tag, "What the shop calls it."),
        must(
            "serves",
            Shape::List(&Shape::Text),
            "The parts it serves: catalogue ids of devices, boards, cables, plugs and connectors, and the words that \
             `boardwright quote` shows for the rest.",
        ),
        key("pieces", Shape::Count(1_000_000), "Pieces in a pack."),
        key("length", Shape::Measure(LENGTH), "Length in a pack: a reel."),
        must("price", Shape::Measure(SUM), "What a pack costs."),
        key("sale", Shape::Measure(SUM), "What a client pays for a pack. Left out: price and margin."),
        must("date", Shape::Text, "When that price was seen."),
        must("supplier", Shape::Text, "Who sells it."),
        key("number", Shape::Text, "The supplier's own number for it."),
        must("tax", Shape::Tag, "Its tax class."),
    ],
};

static RATE: Table = Table {
    name: "rate",
    doc: "Minutes for one of an operation. `boardwright quote` lists the operations.",
    keys: &[
        must("operation", Shape::Tag, "The operation: `lead-signal`."),
        must("minutes", Shape::Count(100_000), "Minutes for one."),
    ],
};

static LOGGED: Table = Table {
    name: "logged minutes",
    doc: "What an operation took.",
    keys: &[
        must("operation", Shape::Tag, "The operation."),
        must("job", Shape::Text, "The folder of the job."),
        must("minutes", Shape::Count(100_000), "Minutes in all."),
        must("units", Shape::Count(100_000), "How often it was done in them."),
        must("date", Shape::Text, "When."),
    ],
};

//! Small whole jobs for the page of the format. A test reads each and checks that nothing in it is a stop.

/// A whole job that shows how one thing is written.
#[derive(Debug, Clone, Copy)]
pub struct Example {
    /// Its name.
    pub name: &'static str,
    /// What it shows.
    pub title: &'static str,
    /// What to see in it.
    pub words: &'static str,
    /// The document.
    pub text: &'static str,
}

macro_rules! examples {
    ($($name:literal, $title:literal, $words:literal;)*) => {
        &[$(Example {
            name: $name,
            title: $title,
            words: $words,
            text: include_str!(concat!("examples/", $name, ".toml")),
        },)*]
    };
}

/// Every example, in the order of the page.
pub const EXAMPLES: &[Example] = examples! {
    "insert", "An insert on one jack, with its Y lead",
        "`send` and `return` name the same jack of three contacts, and `wiring` says which contact sends. The run leaves \
         the jack and comes back there: the two legs make one lead with a TRS plug at the insert.";
    "splitter", "Two devices on one outlet",
        "Each device's feed names the same outlet. Sharing is for analogue devices that draw little and have the same \
         polarity.";
    "series-pair", "18 V from two outlets",
        "A series pair needs two isolated outlets with the same setting, and the maker's leave (`series = true`).";
    "own-adaptor", "A device's own adaptor in a strip",
        "The feed names the socket of the strip. The adaptor is measured upright, its prongs from its left edge and its base; \
         in the socket it turns about them. What its body covers stays empty, and the papers say so. Its captive lead ends \
         in the plug named at `plug`. `sockets` writes a row of sockets at once; `boardwright kinds household` lists the \
         patterns. The strip's own lead names the panel's gland on its way and stays one lead. A wall is a strip that \
         stands outside; give it the household socket of the place (`socket-g` in the United Kingdom), not `fixed`.";
    "brick-on-strip", "A brick on a strip",
        "What has a mains inlet is not fed: it takes a ready-made lead, which is a run that carries mains, from a socket of the \
         strip to the inlet.";
    "audition-point", "An audition point on a panel",
        "Send and return are two jacks of the panel with a normal between. The run names send, then return; a guest device \
         is plugged in from outside and is in no run.";
    "taken-away", "A port and a switch taken away",
        "`absent = true` takes away what the kind brings: a port, an outlet, a switch, an insert or a loop. A run, a lead, \
         a feed or an insert that still refers to it is a problem with its line.";
    "legend", "Legends of a panel",
        "`legend` is what is printed at the jack. The name of the jack stays what runs and leads refer to.";
    "fastening", "What holds the devices",
        "Strip and pads are counted by area, screws and clamps by number. `[fasten]` in `shop.toml` holds for every device \
         that says nothing else.";
    "wishes", "What a requirement wants",
        "Beside its prose a requirement lists in `wants` what of it can be judged. Each wish says one thing. `check` tells \
         what is not met and why, or what to measure first, and the approval sheet says it of each; prose alone is left to \
         the client's tick.";
};

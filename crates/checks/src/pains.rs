//! The sixty pains of the trade, numbered; rules name the ones they answer.

/// One pain: its number and what is said at the bench or on the phone.
#[derive(Debug, Clone, Copy)]
pub struct Pain {
    /// Its number, for good.
    pub number: u8,
    /// What goes wrong, in one line.
    pub text: &'static str,
}

const fn pain(number: u8, text: &'static str) -> Pain {
    Pain { number, text }
}

/// All of them, by number.
pub const PAINS: &[Pain] = &[
    pain(1, "nobody knows which outlet is for which pedal"),
    pain(2, "whine where digital and analogue share a supply"),
    pain(3, "a digital pedal restarts or does not start"),
    pain(4, "plus and minus the wrong way round, the pedal is dead"),
    pain(5, "a positive-ground fuzz shorts the whole board"),
    pain(6, "an AC adaptor in a DC pedal"),
    pain(7, "a 9 V pedal on 12 V or on an unregulated lump"),
    pain(8, "18 V or 24 V is needed and no outlet has it"),
    pain(9, "each outlet is fine, the brick as a whole gives up"),
    pain(10, "a long thin supply lead and a flat-sounding pedal"),
    pain(11, "barrel plugs that do not fit, or fit loosely"),
    pain(12, "the brick does not go under the frame"),
    pain(13, "the supply is too hot on a summer stage"),
    pain(14, "the wrong mains abroad"),
    pain(15, "adaptors that fall out of the strip"),
    pain(16, "two amps hum together"),
    pain(17, "hum only with the desk or the computer connected"),
    pain(18, "a wah or fuzz beside the supply hums"),
    pain(19, "a signal lead lies along a mains or DC lead"),
    pain(20, "squeal where in and out share one multicore"),
    pain(21, "ticking or a clock tone"),
    pain(22, "the wireless drops out on the board"),
    pain(23, "a pop when a bypass is stepped on"),
    pain(24, "noise that only comes up in the song's loud state"),
    pain(25, "a fuzz sounds wrong after a buffer"),
    pain(26, "a dark sound through a long bypassed chain"),
    pain(27, "quieter with everything off, or one pedal drops the level"),
    pain(28, "a tuner output or splitter dulls the sound"),
    pain(29, "a volume pedal of the wrong value"),
    pain(30, "a pedal clips in the amp's loop"),
    pain(31, "thin when both amps, or dry and wet, are on"),
    pain(32, "a hollow mix of a dry path and a late one"),
    pain(33, "the house takes one feed and half the sound is gone"),
    pain(34, "a passive piezo sounds thin"),
    pain(35, "phantom power hurts an output"),
    pain(36, "the echo's tail is cut when its loop goes out"),
    pain(37, "leads a few centimetres too short"),
    pain(38, "a nest of leads too long"),
    pain(39, "plugs collide between side jacks"),
    pain(40, "a side plug hangs over the edge or hits the case"),
    pain(41, "a plug at the back strikes the next row"),
    pain(42, "the lid does not close"),
    pain(43, "two switches under one shoe"),
    pain(44, "the toe moves the knobs of the front row"),
    pain(45, "USB, battery or trim switch cannot be reached"),
    pain(46, "the board tips when the back row is stamped on"),
    pain(47, "pedals come off on tour"),
    pain(48, "a lead crushed under a pedal or over a sharp edge"),
    pain(49, "over the carrier's limit, or too heavy for one"),
    pain(50, "a panel jack hits what is behind, or the holes are mirrored"),
    pain(51, "an expression pedal jumps or works half-way"),
    pain(52, "two units on one MIDI channel"),
    pain(53, "3.5 mm MIDI of two kinds does not talk"),
    pain(54, "some units miss the change"),
    pain(55, "amp switching the wrong way, or it hums"),
    pain(56, "too many foot presses in one moment of the song"),
    pain(57, "the client swaps a pedal a week before delivery"),
    pain(58, "nobody knows what a job really earned"),
    pain(59, "two plugs short the evening before"),
    pain(60, "a stranger must mend it tonight and nobody knows which lead"),
];

//! What may not stand so, as figures and in words.

use quantity::Length;

/// Something that may not stand so.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord)]
pub struct Breach {
    /// What is broken: `conflict`, `edge`, `deck`, `lid`, `clear-height`, `switches`, `foot-room`, `locked` or `not-placed`.
    pub what: &'static str,
    /// The things it is about, as words.
    pub about: Vec<String>,
    /// The room there is and the room wanted; `None` where nothing can be measured, as of what stands wholly beside a deck.
    pub room: Option<Room>,
}

/// How much room there is where more is wanted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Room {
    /// The room found; negative where two things share room, or one stands over an edge.
    pub found: Length,
    /// The room wanted.
    pub wanted: Length,
}

/// What a tape reads.
const TAPE: i64 = 500_000;

/// A length without its sign as a tape reads it: to half a millimetre, and never as nothing.
pub(crate) fn tape(length: Length) -> String {
    let half_steps = (length.abs().nm() + TAPE / 2) / TAPE;
    match (half_steps, length == Length::ZERO) {
        (0, false) => "less than 0.5 mm".to_owned(),
        _ => Length::from_nm(half_steps * TAPE).to_string(),
    }
}

impl Breach {
    pub(super) fn of(what: &'static str, about: Vec<String>, room: impl Into<Option<Room>>) -> Self {
        Self { what, about, room: room.into() }
    }

    /// What is wrong, in one line.
    pub fn words(&self) -> String {
        let name = |index: usize| self.about.get(index).map_or("", String::as_str);
        let (a, b) = (name(0), name(1));
        let said = match self.room {
            Some(room) => self.measured(a, b, room),
            None => return self.plain(a, b),
        };
        match self.room.filter(|room| Length::ZERO < room.wanted && Length::ZERO <= room.found) {
            Some(room) => format!("{said}, minimum {}", tape(room.wanted)),
            None => said,
        }
    }

    /// The words of a breach that has no depth.
    fn plain(&self, a: &str, b: &str) -> String {
        match self.what {
            "edge" => format!("{a} stands beside the board"),
            "deck" => format!("{a} stands beside {b}"),
            "locked" => format!("{a} is locked and would be moved"),
            "not-placed" => format!("{a} has no place"),
            what => format!("{what}: {}", self.about.join(" and ")),
        }
    }

    fn measured(&self, a: &str, b: &str, Room { found, wanted }: Room) -> String {
        let (room, below) = (tape(found), found < Length::ZERO);
        match (self.what, below) {
            ("conflict", true) => format!("{a} and {b} overlap by {room}"),
            ("conflict" | "switches", _) => format!("{a} and {b} are {room} apart"),
            ("edge", true) if wanted < Length::ZERO => {
                format!("{a} stands {room} over the edge of the board, maximum {}", tape(wanted))
            }
            ("edge", true) => format!("{a} stands {room} over the edge of the board"),
            ("edge", false) => format!("{a} is {room} from the edge of the board"),
            ("deck", _) => format!("{a} stands {room} over the edge of {b}"),
            ("lid", true) => format!("{a} is {room} too high for the lid"),
            ("lid", false) => format!("{a} is {room} below the lid"),
            ("clear-height", true) => format!("{a} hangs {room} lower than the deck leaves room"),
            ("clear-height", false) => format!("{a} hangs {room} above what lies below it"),
            ("foot-room", true) => format!("{a} reaches {room} into {b} above it"),
            ("foot-room", false) => format!("{a} has {room} for the foot below {b}"),
            _ => format!("{}: {} has {room}", self.what, self.about.join(" and ")),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn said(what: &'static str, room: Option<(f64, f64)>) -> String {
        let room = room.map(|(found, wanted)| Room {
            found: Length::from_mm_rounded(found),
            wanted: Length::from_mm_rounded(wanted),
        });
        Breach::of(what, vec!["A".to_owned(), "B".to_owned()], room).words()
    }

    #[test]
    fn each_breach_is_said_with_what_a_tape_reads() {
        for (what, room, words) in [
            ("conflict", Some((-59.2, 0.0)), "A and B overlap by 59 mm"),
            ("conflict", Some((-0.000_001, 2.0)), "A and B overlap by less than 0.5 mm"),
            ("conflict", Some((1.0, 2.0)), "A and B are 1 mm apart, minimum 2 mm"),
            ("conflict", Some((0.0, 2.0)), "A and B are 0 mm apart, minimum 2 mm"),
            ("edge", Some((-12.4, 0.0)), "A stands 12.5 mm over the edge of the board"),
            ("edge", Some((-12.4, -5.0)), "A stands 12.5 mm over the edge of the board, maximum 5 mm"),
            ("edge", Some((1.0, 3.0)), "A is 1 mm from the edge of the board, minimum 3 mm"),
            ("edge", None, "A stands beside the board"),
            ("deck", Some((-118.0, 0.0)), "A stands 118 mm over the edge of B"),
            ("deck", None, "A stands beside B"),
            ("lid", Some((3.0, 10.0)), "A is 3 mm below the lid, minimum 10 mm"),
            ("clear-height", Some((-7.0, 0.0)), "A hangs 7 mm lower than the deck leaves room"),
            ("switches", Some((40.0, 60.0)), "A and B are 40 mm apart, minimum 60 mm"),
            ("foot-room", Some((20.0, 100.0)), "A has 20 mm for the foot below B, minimum 100 mm"),
            ("locked", None, "A is locked and would be moved"),
            ("not-placed", None, "A has no place"),
        ] {
            assert_eq!(said(what, room), words);
        }
    }
}

//! A phone at the bench: its address, as text and as a code that a camera reads.

use std::fmt::Write;

use maud::{Markup, html};
use qrcode::{Color, QrCode};

use super::frame::bare;
use crate::access::May;

/// Modules of white that a code has around it: ISO/IEC 18004 asks for four.
const QUIET: usize = 4;

/// An address with its code.
pub(crate) struct Address {
    text: String,
    /// One step of the pen for each dark module, and how many modules a side has; `None` where it is too long for any code.
    code: Option<(String, usize)>,
}

impl Address {
    pub(crate) fn new(text: String) -> Self {
        let code = QrCode::new(text.as_bytes()).ok().map(|code| {
            let side = code.width();
            let mut steps = String::new();
            for (place, color) in code.to_colors().into_iter().enumerate() {
                if color == Color::Dark {
                    let _ = write!(steps, "M{} {}h1v1h-1z", place % side + QUIET, place / side + QUIET);
                }
            }
            (steps, side + 2 * QUIET)
        });
        Self { text, code }
    }

    fn html(&self) -> Markup {
        html! {
            figure.code {
                @if let Some((steps, side)) = &self.code {
                    // Dark on light in every theme, as cameras expect it.
                    svg role="img" aria-label="The address as a code for a camera" viewBox={ "0 0 " (side) " " (side) } shape-rendering="crispEdges" {
                        rect width=(side) height=(side) fill="#fff" {}
                        path d=(steps) fill="#000" {}
                    }
                }
                figcaption { code { (self.text) } }
            }
        }
    }
}

/// The page.
pub(crate) struct Phone {
    pub(crate) may: May,
    pub(crate) addresses: Vec<Address>,
}

impl Phone {
    pub(crate) fn html(&self) -> String {
        let does = match self.may {
            May::Look => "looks at everything and changes nothing",
            May::Change => "can do all that you can: tick, measure, change, print",
        };
        bare(
            "A phone at the bench",
            &html! {
                div.page.shop {
                    h1 { "A phone at the bench" }
                    p { "Hold the phone's camera over the code, or type the address. Whoever opens it " (does) "." }
                    p.faint { "It opens once, within a quarter of an hour. The phone must be in the same network; what passes there is not encrypted." }
                    @if 1 < self.addresses.len() { p.faint { "This machine has several addresses. Take the one of the network that the phone is in." } }
                    div.codes { @for address in &self.addresses { (address.html()) } }
                    p { a.btn href="/" { "Back to the shop" } }
                }
            },
        )
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    /// What a camera's program makes of the picture as drawn.
    #[test]
    fn the_code_says_the_address() {
        let text = "http://192.0.2.7:4680/enter/00112233445566778899aabbccddeeff".to_owned();
        let (steps, side) = Address::new(text.clone()).code.expect("short enough");
        let mut dark = vec![false; side * side];
        for step in steps.split_terminator("h1v1h-1z") {
            let (x, y) = step.trim_start_matches('M').split_once(' ').expect("two");
            let [x, y] = [x, y].map(|value| value.parse::<usize>().expect("a number"));
            dark[y * side + x] = true;
        }
        let inner = side - 2 * QUIET;
        let grid = rqrr::SimpleGrid::from_func(inner, |x, y| dark[(y + QUIET) * side + x + QUIET]);
        let (_, read) = rqrr::Grid::new(grid).decode().expect("it reads");
        assert_eq!(read, text);
        let is_quiet = |x: usize, y: usize| {
            [x, y].into_iter().all(|at| (QUIET..side - QUIET).contains(&at)) || !dark[y * side + x]
        };
        assert!((0..side).all(|y| (0..side).all(|x| is_quiet(x, y))), "four modules of white around it");
    }
}

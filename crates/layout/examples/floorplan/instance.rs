//! The files of published instances, as the GSRC and MCNC suites lay them out: `.blocks` with `hardrectilinear` blocks and
//! terminals, `.nets` with `NetDegree : n` and a pin a line, `.pl` with the places of the terminals.
//!
//! Every pin lies in the middle of its block. Pads lie at the file's coordinates, or are scaled linearly onto the outline,
//! whose corner is at nought.

use std::collections::BTreeMap;

use anyhow::{Context as _, Result, bail};

use super::relations::{Net, Problem};

/// The room to lay the blocks in.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Outline {
    /// Width and height.
    Given([i64; 2]),
    /// A square with this share of room besides the blocks.
    Whitespace(f64),
}

/// An instance as its files have it.
#[derive(Debug, Clone, Default, PartialEq)]
pub(crate) struct Instance {
    /// The blocks' names, in the order of the file.
    pub(crate) names: Vec<String>,
    pub(crate) blocks: Vec<[i64; 2]>,
    /// The places of the terminals that nets name.
    pads: BTreeMap<String, [f64; 2]>,
    /// Pins by name, net by net.
    nets: Vec<Vec<String>>,
}

/// The lines of a file that say something: no heads, no remarks.
fn lines(text: &str) -> impl Iterator<Item = Vec<&str>> {
    text.lines()
        .map(|line| line.split('#').next().unwrap_or_default())
        .map(|line| line.split_whitespace().collect::<Vec<&str>>())
        .filter(|words| {
            !words.is_empty() && words[0] != "UCSC" && words[0] != "UCLA" && !words[0].starts_with("Num")
        })
}

impl Instance {
    /// Reads the three files.
    pub(crate) fn read(blocks: &str, nets: &str, places: &str) -> Result<Self> {
        let mut instance = Self::default();
        let mut terminals = Vec::new();
        for words in lines(blocks) {
            match words.as_slice() {
                [name, "hardrectilinear", rest @ ..] => {
                    instance
                        .blocks
                        .push(size_of(rest).with_context(|| format!("block {name} is no rectangle"))?);
                    instance.names.push((*name).to_owned());
                }
                [name, "terminal"] => terminals.push(*name),
                [name, kind, ..] => bail!("{name} is a {kind}; only hard rectangles and terminals are read"),
                _ => bail!("`{}` is no line of a blocks file", words.join(" ")),
            }
        }
        for words in lines(places) {
            if let [name, x, y, ..] = words.as_slice()
                && terminals.contains(name)
            {
                let number =
                    |word: &str| word.parse::<f64>().with_context(|| format!("`{word}` is no number"));
                instance.pads.insert((*name).to_owned(), [number(x)?, number(y)?]);
            }
        }
        let known: std::collections::BTreeSet<&str> = instance.names.iter().map(String::as_str).collect();
        for words in lines(nets) {
            if words[0].starts_with("NetDegree") {
                instance.nets.push(Vec::new());
                continue;
            }
            let Some(net) = instance.nets.last_mut() else { bail!("a pin stands before the first net") };
            if !known.contains(words[0]) && !instance.pads.contains_key(words[0]) {
                bail!(
                    "net {} names {}, which is no block and no placed terminal",
                    instance.nets.len(),
                    words[0]
                );
            }
            net.push(words[0].to_owned());
        }
        Ok(instance)
    }

    /// The problem for an outline, with pads as filed or scaled onto it.
    pub(crate) fn problem(&self, outline: Outline, scaled: bool, rotate: bool) -> Result<Problem> {
        let area: i64 = self.blocks.iter().map(|block| block[0] * block[1]).sum();
        let outline = match outline {
            Outline::Given(outline) => outline,
            #[expect(
                clippy::cast_precision_loss,
                clippy::cast_possible_truncation,
                reason = "areas of instances are far below 2^53"
            )]
            Outline::Whitespace(share) => [(area as f64 * (1.0 + share)).sqrt().floor() as i64; 2],
        };
        if outline.iter().any(|side| *side <= 0) {
            bail!("an outline of {} × {} holds nothing", outline[0], outline[1]);
        }
        let ends = |axis: usize| {
            let all = || self.pads.values().map(|pad| pad[axis]);
            (all().fold(f64::INFINITY, f64::min), all().fold(f64::NEG_INFINITY, f64::max))
        };
        let ends = [ends(0), ends(1)];
        #[expect(
            clippy::cast_precision_loss,
            clippy::cast_possible_truncation,
            reason = "pads lie on a grid of whole numbers"
        )]
        let place = |pad: &[f64; 2]| -> [i64; 2] {
            std::array::from_fn(|axis| {
                let (low, high) = ends[axis];
                let at = if scaled && low < high {
                    (pad[axis] - low) / (high - low) * outline[axis] as f64
                } else {
                    pad[axis]
                };
                at.round() as i64
            })
        };
        let index: BTreeMap<&str, usize> =
            self.names.iter().enumerate().map(|(i, name)| (name.as_str(), i)).collect();
        let nets = self
            .nets
            .iter()
            .map(|pins| Net {
                blocks: pins.iter().filter_map(|pin| index.get(pin.as_str()).copied()).collect(),
                pads: pins
                    .iter()
                    .filter(|pin| !index.contains_key(pin.as_str()))
                    .map(|pin| place(&self.pads[pin]))
                    .collect(),
            })
            .collect();
        Ok(Problem { outline, blocks: self.blocks.clone(), rotate, nets })
    }
}

/// Width and height around corners such as `4 (0, 0) (0, 133) (336, 133) (336, 0)`.
fn size_of(words: &[&str]) -> Result<[i64; 2]> {
    let text = words.join(" ").replace(['(', ')', ','], " ");
    let mut numbers = text
        .split_whitespace()
        .map(|word| word.parse::<f64>().with_context(|| format!("`{word}` is no number")));
    let corners = numbers.next().context("it has no corners")??;
    let numbers = numbers.collect::<Result<Vec<f64>>>()?;
    if (corners - 4.0).abs() > 1e-9 || numbers.len() != 8 {
        bail!("it has other than four corners");
    }
    let extent = |axis: usize| {
        let all = || numbers.iter().skip(axis).step_by(2).copied();
        all().fold(f64::NEG_INFINITY, f64::max) - all().fold(f64::INFINITY, f64::min)
    };
    // Where a side is no whole number, the block is taken as the next larger.
    #[expect(clippy::cast_possible_truncation, reason = "sides of blocks are small")]
    let size = [extent(0).ceil() as i64, extent(1).ceil() as i64];
    if size.iter().any(|side| *side <= 0) {
        bail!("it has no area");
    }
    Ok(size)
}

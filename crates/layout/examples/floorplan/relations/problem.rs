//! Rectangles in an outline, with nets between their middles and fixed pads.

use std::collections::BTreeMap;

/// A net between blocks and pads.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(crate) struct Net {
    /// The blocks it touches.
    pub(crate) blocks: Vec<usize>,
    /// The pads it touches.
    pub(crate) pads: Vec<[i64; 2]>,
}

/// A problem of placing blocks: no two may share room, none may stand over the outline.
///
/// Coordinates are whole numbers; the outline's corner is at nought.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub(crate) struct Problem {
    /// Width and height of the outline.
    pub(crate) outline: [i64; 2],
    /// Width and height of each block.
    pub(crate) blocks: Vec<[i64; 2]>,
    /// Whether blocks may take quarter turns.
    pub(crate) rotate: bool,
    /// The nets; a pin lies in the middle of its block.
    pub(crate) nets: Vec<Net>,
}

/// Where a block lies.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(crate) struct Laid {
    /// Left edge.
    pub(crate) x: i64,
    /// Lower edge.
    pub(crate) y: i64,
    /// Its width as laid.
    pub(crate) width: i64,
    /// Its height as laid.
    pub(crate) height: i64,
}

/// Half the perimeter around each net's pins, added up; in doubled units, so that middles are whole numbers.
pub(crate) fn wire_length_doubled(problem: &Problem, laid: &[Laid]) -> i64 {
    let middle =
        |block: usize| [2 * laid[block].x + laid[block].width, 2 * laid[block].y + laid[block].height];
    let span = |net: &Net, axis: usize| {
        let pins = || {
            let blocks = net.blocks.iter().map(|block| middle(*block)[axis]);
            blocks.chain(net.pads.iter().map(|pad| 2 * pad[axis]))
        };
        pins().max().unwrap_or(0) - pins().min().unwrap_or(0)
    };
    problem.nets.iter().map(|net| span(net, 0) + span(net, 1)).sum()
}

/// The area that blocks share, and the area outside the outline.
pub(crate) fn faults(problem: &Problem, laid: &[Laid]) -> (i64, i64) {
    let mut overlap = 0;
    for (index, a) in laid.iter().enumerate() {
        for b in &laid[index + 1..] {
            let across = (a.x + a.width).min(b.x + b.width) - a.x.max(b.x);
            let along = (a.y + a.height).min(b.y + b.height) - a.y.max(b.y);
            if 0 < across && 0 < along {
                overlap += across * along;
            }
        }
    }
    let outside = laid.iter().map(|at| {
        let across = (at.x + at.width).min(problem.outline[0]) - at.x.max(0);
        let along = (at.y + at.height).min(problem.outline[1]) - at.y.max(0);
        at.width * at.height - across.max(0) * along.max(0)
    });
    (overlap, outside.sum())
}

/// What two nets have in common that pull alike: blocks, and the range of pads by axis.
type Alike = (Vec<usize>, [(i64, i64); 2]);

/// The nets as the search wants them: doubled coordinates, pads as a range, nets alike taken together.
#[derive(Debug, Clone)]
pub(crate) struct Nets {
    /// For each net its blocks, one after the other.
    pub(crate) blocks: Vec<u32>,
    /// Where each net begins among them, and the end.
    pub(crate) starts: Vec<u32>,
    /// The range of the pads by axis; empty ranges are the wrong way round.
    pub(crate) pads: [Vec<(i64, i64)>; 2],
    pub(crate) weights: Vec<i64>,
    /// The nets at each block.
    pub(crate) at: Vec<Vec<u32>>,
}

impl Nets {
    pub(crate) fn new(problem: &Problem) -> Self {
        let mut nets: BTreeMap<Alike, i64> = BTreeMap::new();
        for net in &problem.nets {
            let mut blocks = net.blocks.clone();
            blocks.sort_unstable();
            blocks.dedup();
            let range = |axis: usize| {
                let pads = || net.pads.iter().map(|pad| 2 * pad[axis]);
                (pads().min().unwrap_or(i64::MAX), pads().max().unwrap_or(i64::MIN))
            };
            if blocks.is_empty() || blocks.len() == 1 && net.pads.is_empty() {
                continue;
            }
            *nets.entry((blocks, [range(0), range(1)])).or_default() += 1;
        }
        let mut out = Self {
            blocks: Vec::new(),
            starts: vec![0],
            pads: [Vec::new(), Vec::new()],
            weights: Vec::new(),
            at: vec![Vec::new(); problem.blocks.len()],
        };
        for (index, ((blocks, pads), weight)) in nets.into_iter().enumerate() {
            for block in blocks {
                out.at[block].push(u32::try_from(index).unwrap_or(u32::MAX));
                out.blocks.push(u32::try_from(block).unwrap_or(u32::MAX));
            }
            out.starts.push(u32::try_from(out.blocks.len()).unwrap_or(u32::MAX));
            out.pads[0].push(pads[0]);
            out.pads[1].push(pads[1]);
            out.weights.push(weight);
        }
        out
    }

    pub(crate) fn count(&self) -> usize {
        self.weights.len()
    }

    pub(crate) fn blocks_of(&self, net: usize) -> &[u32] {
        &self.blocks[self.starts[net] as usize..self.starts[net + 1] as usize]
    }

    /// The weighted span of a net along an axis, of doubled middles.
    pub(crate) fn span(&self, net: usize, axis: usize, middles: &[i64]) -> i64 {
        let (mut low, mut high) = self.pads[axis][net];
        for block in self.blocks_of(net) {
            let at = middles[*block as usize];
            low = low.min(at);
            high = high.max(at);
        }
        (high - low) * self.weights[net]
    }
}

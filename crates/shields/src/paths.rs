//! Ways through the graph.

use crate::input::Input;

/// Which piece each hangs together with, by the joins that stand.
pub(crate) fn roots(pieces: usize, input: &Input, stands: &[bool]) -> Vec<usize> {
    let mut up: Vec<usize> = (0..pieces).collect();
    for (join, _) in input.joins.iter().zip(stands).filter(|(_, stands)| **stands) {
        let (a, b) = (root(&mut up, join.a), root(&mut up, join.b));
        // The smaller stands for both, so that nothing depends on the order of the joins.
        up[a.max(b)] = a.min(b);
    }
    (0..pieces).map(|at| root(&mut up, at)).collect()
}

/// The piece that stands for all that one hangs together with.
fn root(up: &mut [usize], mut at: usize) -> usize {
    while up[at] != at {
        up[at] = up[up[at]];
        at = up[at];
    }
    at
}

/// The joins of a shortest way between two pieces, in order; of ways as short the one whose joins come first by name.
pub(crate) fn way(input: &Input, from: usize, to: usize) -> Option<Vec<usize>> {
    let mut order: Vec<usize> = (0..input.joins.len()).collect();
    order.sort_by(|a, b| input.joins[*a].id.cmp(&input.joins[*b].id));
    let mut came: Vec<Option<(usize, usize)>> = vec![None; input.pieces.len()];
    let mut queue = std::collections::VecDeque::from([from]);
    while let Some(piece) = queue.pop_front() {
        if piece == to {
            break;
        }
        for at in &order {
            let join = &input.joins[*at];
            let next = if join.a == piece {
                join.b
            } else if join.b == piece {
                join.a
            } else {
                continue;
            };
            if next != from && came[next].is_none() {
                came[next] = Some((*at, piece));
                queue.push_back(next);
            }
        }
    }
    let mut out = Vec::new();
    let mut at = to;
    while at != from {
        let (join, before) = came[at]?;
        out.push(join);
        at = before;
    }
    out.reverse();
    Some(out)
}

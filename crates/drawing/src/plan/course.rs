//! The way of a lead as a router found it: corners in space with the radius it is bent to at each.

use leads::chords;

use crate::way::Spot;

/// How finely a way is looked at where decks end, in true millimetres.
const LOOK: f64 = 4.0;

/// The line of a way from above, in millimetres of the board's frame, cut where it passes below a deck or comes up again;
/// with each piece, whether it is below. What runs straight up or down is a point.
pub(crate) fn seen_from_above(
    path: &[[f64; 3]],
    radii: &[f64],
    is_below: impl Fn([f64; 3]) -> bool,
) -> Vec<(Vec<Spot>, bool)> {
    let mut out: Vec<(Vec<Spot>, bool)> = Vec::new();
    for pair in chords(path, radii).windows(2) {
        // Long pieces are looked at in steps, so that the cut lies where the deck ends.
        let way = [0, 1, 2].map(|axis| pair[1][axis] - pair[0][axis]);
        let steps = (way.iter().map(|part| part * part).sum::<f64>().sqrt() / LOOK).ceil().max(1.0);
        let at = |step: f64| [0, 1, 2].map(|axis| pair[0][axis] + way[axis] * step / steps);
        let mut step = 0.0;
        while step < steps {
            let (from, to) = (at(step), at(step + 1.0));
            let below = is_below(at(step + 0.5));
            match out.last_mut() {
                Some((spots, same)) if *same == below => spots.push((to[0], to[1])),
                _ => out.push((vec![(from[0], from[1]), (to[0], to[1])], below)),
            }
            step += 1.0;
        }
    }
    out
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_bend_begins_and_ends_where_its_radius_says() {
        let line = chords(&[[0.0, 0.0, 5.0], [100.0, 0.0, 5.0], [100.0, 50.0, 5.0]], &[20.0]);
        let line: Vec<Spot> = line.into_iter().map(|[x, y, _]| (x, y)).collect();
        assert_eq!(line.len(), 2 + 9);
        let near = |a: Spot, b: Spot| (a.0 - b.0).abs() < 1e-9 && (a.1 - b.1).abs() < 1e-9;
        assert!(near(line[1], (80.0, 0.0)) && near(line[9], (100.0, 20.0)), "{line:?}");
        // Every point of the arc lies its radius from the centre.
        for spot in &line[1..10] {
            let (x, y) = (spot.0 - 80.0, spot.1 - 20.0);
            assert!((x * x + y * y - 400.0).abs() < 1e-6, "{spot:?}");
        }
    }

    #[test]
    fn what_runs_upwards_is_a_point() {
        let pieces = seen_from_above(&[[7.0, 3.0, 0.0], [7.0, 3.0, 90.0]], &[], |[.., z]| z < 40.0);
        assert_eq!(pieces.iter().map(|(_, below)| *below).collect::<Vec<_>>(), [true, false]);
        assert!(pieces.iter().flat_map(|(spots, _)| spots).all(|spot| *spot == (7.0, 3.0)), "{pieces:?}");
    }
}

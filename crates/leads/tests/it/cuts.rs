//! The cut plan of the workshop.

use leads::cut::{CutEffort, CutPlan, Piece, Source, plan};

fn pieces(lengths: &[i64]) -> Vec<Piece> {
    lengths.iter().enumerate().map(|(at, &mm)| Piece { id: format!("L{at:02}"), mm }).collect()
}

fn offcut(mm: i64) -> Source {
    Source { id: format!("offcut of {mm} mm"), mm: Some(mm), reel: false }
}

fn reel(mm: Option<i64>) -> Source {
    Source { id: "reel".to_owned(), mm, reel: true }
}

/// No two pieces share cable, none runs past an end, all are there.
pub(crate) fn judge(pieces: &[Piece], sources: &[Source], kerf: i64, plan: &CutPlan) {
    assert_eq!(plan.steps.len() + plan.missing.len(), pieces.len());
    for pair in plan.steps.windows(2).filter(|pair| pair[0].source == pair[1].source) {
        assert!(pair[0].offset_mm + pieces[pair[0].piece].mm + kerf <= pair[1].offset_mm, "{pair:?}");
    }
    for step in &plan.steps {
        let end = step.offset_mm + pieces[step.piece].mm;
        assert!(sources[step.source].mm.is_none_or(|mm| end <= mm), "{step:?}");
    }
    let fresh: i64 = plan
        .steps
        .iter()
        .filter(|step| sources[step.source].reel)
        .map(|step| pieces[step.piece].mm + kerf)
        .sum();
    assert!(plan.missing.is_empty() && fresh == plan.fresh_mm || !plan.missing.is_empty());
}

#[test]
fn offcuts_are_used_up_before_the_reel() {
    let (pieces, sources) = (pieces(&[300, 300, 400, 250, 500]), [reel(None), offcut(700), offcut(560)]);
    let plan = plan(&pieces, &sources, 0, 200, &CutEffort::standard());
    judge(&pieces, &sources, 0, &plan);
    // 400 + 300 and 300 + 250 are cut from the offcuts; 500 remain.
    assert_eq!((plan.fresh_mm, plan.waste_mm, plan.is_proven()), (500, 10, true));
}

#[test]
fn the_last_piece_of_an_offcut_needs_no_cut_behind_it() {
    let (pieces, sources) = (pieces(&[100, 100]), [offcut(202), reel(None)]);
    let plan = plan(&pieces, &sources, 2, 50, &CutEffort::standard());
    judge(&pieces, &sources, 2, &plan);
    assert_eq!((plan.fresh_mm, plan.waste_mm), (0, 0));
}

#[test]
fn what_no_source_can_give_is_missing() {
    let (pieces, sources) = (pieces(&[900, 100]), [offcut(300), reel(Some(500))]);
    let plan = plan(&pieces, &sources, 0, 50, &CutEffort::standard());
    assert_eq!((plan.missing, plan.steps.len()), (vec![0], 1));
}

#[test]
fn small_drawers_agree_with_trying_everything() {
    let mut seed = 7_u64;
    let mut next = |below: i64| {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        i64::try_from(seed >> 33).expect("small") % below
    };
    for _ in 0..150 {
        let kerf = next(3);
        let lengths: Vec<i64> = (0..6).map(|_| 100 + 5 * next(60)).collect();
        let wanted = pieces(&lengths);
        let sources =
            [offcut(200 + 5 * next(80)), offcut(200 + 5 * next(80)), offcut(300 + 5 * next(80)), reel(None)];
        let plan = plan(&wanted, &sources, kerf, 150, &CutEffort::standard());
        judge(&wanted, &sources, kerf, &plan);
        assert!(plan.is_proven());
        let rooms: Vec<i64> = sources[..3].iter().filter_map(|source| source.mm).collect();
        let best = all(&lengths, &mut [0; 3], &rooms, kerf, 150, 0);
        assert_eq!((plan.fresh_mm, plan.waste_mm), best, "{lengths:?} from {rooms:?}, kerf {kerf}");
    }
}

/// Least fresh, then least scrap, over every way to share the pieces out.
fn all(left: &[i64], used: &mut [i64; 3], rooms: &[i64], kerf: i64, keep: i64, fresh: i64) -> (i64, i64) {
    let Some((&first, rest)) = left.split_first() else {
        let scrap = used
            .iter()
            .zip(rooms)
            .filter(|(used, _)| 0 < **used)
            .map(|(used, room)| (room - used).max(0))
            .filter(|&remainder| remainder < keep)
            .sum();
        return (fresh, scrap);
    };
    let mut best = all(rest, used, rooms, kerf, keep, fresh + first + kerf);
    for at in 0..3 {
        if used[at] + first <= rooms[at] {
            used[at] += first + kerf;
            best = best.min(all(rest, used, rooms, kerf, keep, fresh));
            used[at] -= first + kerf;
        }
    }
    best
}

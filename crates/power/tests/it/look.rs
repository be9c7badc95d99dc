//! x

use power::*;
use crate::rigs;

#[test]
fn look() {
    let limits = rig::Limits::default();
    for seed in 0..std::env::var("N").ok().and_then(|n| n.parse().ok()).unwrap_or(20u64) {
        let rig = rigs::board(seed);
        let input = Input::from_rig(&rig, &limits);
        let mut times = vec![];
        let t = std::time::Instant::now();
        let mut c = Config::standard(); c.nodes_length = 0;
        let o = solve(&input, &c);
        times.push(t.elapsed().as_millis());
        let t = std::time::Instant::now();
        let o2 = solve(&input, &Config::standard());
        times.push(t.elapsed().as_millis());
        println!("{seed} {:?} {:?} {:?} b {:?} nodes {} conf {:?} {:?} cures {}", times, o.status, o2.objective, o2.bound, o.nodes, o.conflicts.iter().map(|c| c.devices.len()).collect::<Vec<_>>(), o.conflicts.first().map(|c| &c.words), o.cures.len());
    }
}

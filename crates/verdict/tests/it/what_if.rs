//! What if: the answer leaves alone all that the question is not about.

use std::path::Path;

use document::Job;
use verdict::{WhatIf, what_if};

use crate::held::{check, read};

fn example(name: &str) -> Job {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples").join(name).join("rig.toml");
    read(&std::fs::read_to_string(path).expect("an example"))
}

/// The job as the answer leaves it.
fn tried(job: &Job, ask: &WhatIf) -> Result<Job, String> {
    let edit = what_if(job, &check(job), ask)?;
    let text = document::edit::apply(job.text(), &edit).map_err(|error| error.to_string())?;
    Ok(read(&text))
}

fn asked(text: &str) -> WhatIf {
    text.parse().unwrap_or_else(|error| panic!("{error}"))
}

/// Places and feeds of all devices but these are as they were.
fn stays(before: &Job, after: &Job, but: &[&str]) {
    for device in before.rig.devices.iter().filter(|device| !but.contains(&device.tag.as_str())) {
        let then = after.rig.device(&device.tag).unwrap_or_else(|| panic!("{} is gone", device.tag));
        let at = |device: &rig::Device| {
            let outlets = device.feed.as_ref().map(|feed| feed.outlets.clone());
            (format!("{:?}", device.place), outlets)
        };
        assert_eq!(at(then), at(device), "{}", device.tag);
    }
}

const EXAMPLES: [&str; 3] = ["church-bass-corrected", "cabin-board-corrected", "wet-dry-touring-corrected"];

#[test]
fn one_more_device_leaves_all_others_where_they_are() {
    for name in EXAMPLES {
        let job = example(name);
        let after = tried(&job, &asked("add compact-42x93x52")).unwrap_or_else(|why| panic!("{name}: {why}"));
        assert_eq!(after.rig.devices.len(), job.rig.devices.len() + 1, "{name}");
        stays(&job, &after, &[]);
        for device in &job.rig.devices {
            let ask = WhatIf::Add { kind: "compact-42x93x52".to_owned(), after: Some(device.tag.clone()) };
            if let Ok(after) = tried(&job, &ask) {
                stays(&job, &after, &[]);
                let stops = |job: &Job| job.rig.runs.iter().map(|run| run.stops.len()).sum::<usize>();
                assert_eq!(stops(&after), stops(&job) + 1, "{name}: after {}", device.tag);
                break;
            }
        }
    }
}

#[test]
fn a_swap_keeps_tag_runs_and_everything_else() {
    let job = example("church-bass-corrected");
    let after = tried(&job, &asked("swap B4 compact-66x122x50")).expect("a swap");
    stays(&job, &after, &["B4"]);
    let device = after.rig.device("B4").expect("it is there");
    assert_eq!(device.kind.as_deref(), Some("compact-66x122x50"));
    assert!(device.place.is_some(), "a smaller one has room where the old one stood");
    let stops = |job: &Job| {
        let texts = job.rig.runs.iter().flat_map(|run| &run.stops).map(|stop| stop.text.clone());
        texts.collect::<Vec<_>>()
    };
    assert_eq!(stops(&after), stops(&job));
}

#[test]
fn a_second_amp_goes_along_a_lead_with_the_first() {
    for name in EXAMPLES {
        let job = example(name);
        let after = tried(&job, &WhatIf::Amp).unwrap_or_else(|why| panic!("{name}: {why}"));
        assert_eq!(after.rig.sinks.len(), job.rig.sinks.len() + 1, "{name}");
        assert_eq!(after.rig.devices.len(), job.rig.devices.len(), "{name}");
        stays(&job, &after, &[]);
    }
}

#[test]
fn a_tour_moves_nothing() {
    for name in EXAMPLES {
        let job = example(name);
        let tour = tried(&job, &asked("tour Japan")).unwrap_or_else(|why| panic!("{name}: {why}"));
        assert_eq!(tour.rig.brief.countries.len(), job.rig.brief.countries.len() + 1, "{name}");
        stays(&job, &tour, &[]);
    }
}

/// Outlets of bricks that feed nothing.
fn free_outlets(job: &Job) -> usize {
    let all = job.rig.devices.iter().flat_map(|device| {
        device.outlets.iter().map(move |outlet| format!("{}.{}", device.tag, outlet.name))
    });
    let used: Vec<String> = job
        .rig
        .devices
        .iter()
        .filter_map(|device| device.feed.as_ref())
        .flat_map(|feed| feed.outlets.iter().map(ToString::to_string))
        .collect();
    all.filter(|outlet| !used.contains(outlet)).count()
}

#[test]
fn one_more_outlet_is_a_free_one_or_is_refused() {
    for (name, free) in [("church-bass-corrected", true), ("cabin-board-corrected", false)] {
        let job = example(name);
        assert_eq!(0 < free_outlets(&job), free, "{name}");
        match tried(&job, &asked("outlet 9V 100mA")) {
            Ok(after) => {
                assert!(free, "{name}: an outlet that is taken");
                stays(&job, &after, &[]);
                let fresh = after.rig.devices.iter().find(|device| job.rig.device(&device.tag).is_none());
                let feed = fresh.and_then(|device| device.feed.as_ref()).expect("it is fed");
                assert_eq!(feed.outlets.len(), 1, "{name}");
                assert_eq!(free_outlets(&after), free_outlets(&job) - 1, "{name}");
            }
            Err(why) => {
                assert!(!free, "{name}: {why}");
                assert!(why.contains("no outlet that is free gives 9V and 100mA"), "{name}: {why}");
            }
        }
    }
}

#[test]
fn what_cannot_be_asked_is_refused_in_words() {
    let job = example("church-bass-corrected");
    for (ask, why) in [
        ("swap Z9 compact-66x122x50", "there is no device `Z9`"),
        ("swap B4 nothing-like-it", "the catalogue has no kind `nothing-like-it`"),
        ("swap B2 compact-73x129x59", "B2 is of that kind already"),
        ("add compact-66x122x50 after SUP", "no run of signal goes on from `SUP`"),
        ("tour GB", "GB is on the tour list already"),
    ] {
        let refused = tried(&job, &asked(ask)).err().unwrap_or_else(|| panic!("{ask} was answered"));
        assert!(refused.contains(why), "{ask}: {refused}");
    }
    for odd in ["", "swap", "add a b c", "fly", "tour"] {
        assert!(odd.parse::<WhatIf>().is_err(), "{odd}");
    }
}

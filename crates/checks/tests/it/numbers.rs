//! Issued numbers stay, whatever comes, goes or moves; and every count of plugs, ends and labels is the same count.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt::Write as _;

use design::Design;
use document::edit::apply;

use crate::leads::counts_agree;

/// A throw of dice (Knuth, MMIX constants): enough for choosing shapes.
pub(crate) struct Dice(pub(crate) u64);

impl Dice {
    pub(crate) fn below(&mut self, end: usize) -> usize {
        self.0 = self.0.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        usize::try_from(self.0 >> 33).unwrap_or(0) % end.max(1)
    }
}

/// A pedal of a chain: its tag, whether it has an insert on one jack with a device of its own in it, and its feed.
#[derive(Clone)]
struct Pedal {
    tag: String,
    insert: bool,
    feed: Feed,
}

#[derive(Clone)]
enum Feed {
    None,
    Single(usize),
    Series(usize),
    /// The outlet of a pedal before it, which both then share.
    Shared(usize),
}

/// A rig without one line for any lead; numbers that were issued before are written down as they are.
#[derive(Clone)]
pub(crate) struct Plan {
    pedals: Vec<Pedal>,
    /// Numbers that were issued, by the ends of their leads.
    issued: BTreeMap<String, Issued>,
    next: usize,
}

#[derive(Clone)]
struct Issued {
    ends: Vec<String>,
    is_joined: bool,
    tag: String,
}

impl Plan {
    pub(crate) fn random(dice: &mut Dice) -> Self {
        let mut plan = Plan { pedals: Vec::new(), issued: BTreeMap::new(), next: 0 };
        for _ in 0..2 + dice.below(5) {
            plan.insert(dice);
        }
        plan
    }

    /// Outlets that no pedal names.
    fn free(&self) -> Vec<usize> {
        let used: BTreeSet<usize> = self
            .pedals
            .iter()
            .flat_map(|pedal| match pedal.feed {
                Feed::None => vec![],
                Feed::Single(outlet) | Feed::Shared(outlet) => vec![outlet],
                Feed::Series(first) => vec![first, first + 1],
            })
            .collect();
        (1..=12).filter(|outlet| !used.contains(outlet)).collect()
    }

    fn insert(&mut self, dice: &mut Dice) {
        let free = self.free();
        let feed = match (dice.below(5), free.first()) {
            (0, _) | (_, None) => Feed::None,
            // A shared outlet is one that a single feed names already.
            (1, Some(first)) => {
                let singles: Vec<usize> = self
                    .pedals
                    .iter()
                    .filter_map(|pedal| match pedal.feed {
                        Feed::Single(outlet) => Some(outlet),
                        _ => None,
                    })
                    .collect();
                match singles.get(dice.below(singles.len())) {
                    Some(outlet) => Feed::Shared(*outlet),
                    None => Feed::Single(*first),
                }
            }
            (2, Some(_)) => match free.windows(2).find(|pair| pair[0] + 1 == pair[1]) {
                Some(pair) => Feed::Series(pair[0]),
                None => Feed::None,
            },
            (_, Some(first)) => Feed::Single(*first),
        };
        let at = dice.below(self.pedals.len() + 1);
        let tag = format!("D{}", self.next);
        self.next += 1;
        self.pedals.insert(at, Pedal { tag, insert: dice.below(4) == 0, feed });
    }

    /// Gives the last pedal that shares an outlet one of its own; the outlet that it leaves.
    fn apart(&mut self) -> Option<usize> {
        let free = *self.free().first()?;
        let at = self.pedals.iter().rposition(|pedal| matches!(pedal.feed, Feed::Shared(_)))?;
        let Feed::Shared(left) = self.pedals[at].feed else { return None };
        self.pedals[at].feed = Feed::Single(free);
        Some(left)
    }

    pub(crate) fn text(&self) -> String {
        let mut text = String::from(
            "format = 1\n[job]\ntitle = \"random\"\n[source.guitar]\npickup = \"single-coil\"\nlead = \"5 m\"\nplug = \"jack-straight\"\n[sink.amp]\nkind = \"amp\"\nlead = \"8 m\"\nplug = \"jack-straight\"\n[board]\nkind = \"riser-950x380\"\n",
        );
        let tags: BTreeSet<&str> = self.pedals.iter().map(|pedal| pedal.tag.as_str()).collect();
        let stands = |issued: &&Issued| {
            issued.ends.iter().all(|end| {
                let device = end.split('.').next().unwrap_or_default();
                let of_pedal = device.strip_prefix('X').map_or(device, |of| of);
                tags.contains(of_pedal) || ["guitar", "amp", "SUP"].contains(&of_pedal)
            })
        };
        let retired: Vec<String> = self
            .issued
            .values()
            .filter(|issued| !stands(issued))
            .map(|issued| format!("\"{}\"", issued.tag))
            .collect();
        let _ = write!(
            text,
            "[leads]\nsignal = {{ cable = \"patch-4\" }}\ndc = {{ cable = \"dc-0.22\", plug = \"barrel-2.1-angled\" }}\nretired = [{}]\n",
            retired.join(", ")
        );
        text += "[[device]]\ntag = \"SUP\"\nkind = \"brick-8x100-4x500\"\n";
        for outlet in 1..=12 {
            let _ = writeln!(text, "outlet.{outlet}.series = true");
        }
        let mut runs = String::new();
        for pedal in &self.pedals {
            let tag = &pedal.tag;
            let _ = writeln!(text, "[[device]]\ntag = \"{tag}\"\nkind = \"compact-66x122x50\"");
            if pedal.insert {
                text += "port.INS = { role = \"send\", connector = \"jack-6.35-trs\", face = \"left\", offset = \"30 mm\", height = \"20 mm\" }\ninsert.L = { send = \"INS\", return = \"INS\", normal = \"full\", wiring = \"tip-send\" }\n";
            }
            let volts = if matches!(pedal.feed, Feed::Series(_)) { 18 } else { 9 };
            let _ = writeln!(
                text,
                "power = {{ type = \"dc\", volts = \"{volts} V\", current = \"10 mA\", sign = \"centre-negative\", class = \"analogue\" }}"
            );
            match pedal.feed {
                Feed::None => {}
                Feed::Single(outlet) | Feed::Shared(outlet) => {
                    let _ = writeln!(text, "feed = {{ outlets = [\"SUP.{outlet}\"] }}");
                }
                Feed::Series(first) => {
                    let _ = writeln!(
                        text,
                        "feed = {{ type = \"series-pair\", outlets = [\"SUP.{first}\", \"SUP.{}\"] }}",
                        first + 1
                    );
                }
            }
            if pedal.insert {
                let _ = writeln!(
                    text,
                    "[[device]]\ntag = \"X{tag}\"\nkind = \"compact-66x122x50\"\npower = {{ type = \"none\" }}"
                );
                let _ = writeln!(
                    runs,
                    "[[run]]\nname = \"insert-{tag}\"\nstops = [\"{tag}.INS\", \"X{tag}\", \"{tag}.INS\"]"
                );
            }
        }
        let stops: Vec<String> = self.pedals.iter().map(|pedal| format!("\"{}\"", pedal.tag)).collect();
        let _ = writeln!(
            text,
            "[[run]]\nname = \"main\"\nplug = \"jack-flat\"\nstops = [\"guitar\", {}, \"amp\"]",
            stops.join(", ")
        );
        text += &runs;
        for issued in self.issued.values().filter(stands) {
            let ends: Vec<String> = issued.ends.iter().map(|end| format!("\"{end}\"")).collect();
            let ends = match (&ends[..], issued.is_joined) {
                ([from, to], false) => format!("from = {from}\nto = {to}"),
                _ => format!("ends = [{}]", ends.join(", ")),
            };
            let _ = writeln!(text, "[[lead]]\n{ends}\ntag = \"{}\"", issued.tag);
        }
        text
    }
}

fn derived(text: &str) -> Design {
    match document::read_text("rig.toml", text, None) {
        Ok(job) => design::derive(job.rig, job.limits),
        Err(document::ReadError::Problems { problems, .. }) => panic!("{problems:#?}\n{text}"),
        Err(error) => panic!("{error}"),
    }
}

/// Issues what has no number yet, and takes down every number with the ends of its lead as the document names them.
fn issue(plan: &mut Plan) -> Design {
    let text = plan.text();
    let after =
        apply(&text, &design::issue_edit(&derived(&text))).unwrap_or_else(|error| panic!("{error}\n{text}"));
    let design = derived(&after);
    for lead in &design.leads {
        assert!(lead.issued, "{} has no number\n{after}", lead.name);
        let spec = design.rig.leads.iter().find(|spec| spec.name() == lead.name).expect("it is written");
        let ends: Vec<String> = spec.ends().map(ToString::to_string).collect();
        let is_joined = spec.is_joined();
        plan.issued.retain(|_, issued| issued.tag != lead.tag);
        plan.issued.insert(lead.name.clone(), Issued { ends, is_joined, tag: lead.tag.clone() });
    }
    design
}

/// The letters of the legs of leads with a joint, by the number of the lead and the port.
fn letters_of(design: &Design) -> BTreeMap<(String, String), char> {
    let joined = design.leads.iter().filter(|lead| lead.is_joined());
    let ends = joined.flat_map(|lead| lead.ends.iter().map(|end| (lead.tag.clone(), end)));
    ends.map(|(tag, end)| ((tag, end.port.to_string()), end.letter)).collect()
}

/// The splitter keeps number and letters when a device at one of its ends is fed from elsewhere, whatever order the devices
/// stand in, and where the entry says that an end is gone.
#[test]
fn legs_keep_their_letters() {
    let pedal = |tag: &str, outlet: u32| {
        format!(
            "[[device]]\ntag = \"{tag}\"\nkind = \"compact-66x122x50\"\nfeed = {{ outlets = [\"SUP.{outlet}\"] }}\n"
        )
    };
    let rig = |devices: &[(&str, u32)], ends: &str| {
        let devices: String = devices.iter().map(|(tag, outlet)| pedal(tag, *outlet)).collect();
        format!(
            "format = 1\n[job]\ntitle = \"splitter\"\n[board]\nkind = \"flat-560x330\"\n[[device]]\ntag = \"SUP\"\nkind = \"brick-4x100-1x500\"\n{devices}[[lead]]\nends = [{ends}]\ntag = \"D05\"\n"
        )
    };
    let whole = "\"SUP.1\", \"A1.DC\", \"A2.DC\", \"A3.DC\"";
    let told = |devices: &[(&str, u32)], ends: &str| -> Vec<String> {
        let design = derived(&rig(devices, ends));
        let lead = design.leads.iter().find(|lead| lead.tag == "D05").expect("it keeps its number");
        let mut legs: Vec<String> =
            (0..lead.ends.len()).map(|leg| format!("{} {}", lead.part(leg), lead.ends[leg].port)).collect();
        legs.sort();
        legs
    };
    let all = ["D05 A SUP.1", "D05 B A1.DC", "D05 C A2.DC", "D05 D A3.DC"];
    assert_eq!(told(&[("A1", 1), ("A2", 1), ("A3", 1)], whole), all);
    assert_eq!(told(&[("A3", 1), ("A2", 1), ("A1", 1)], whole), all);
    let three = ["D05 A SUP.1", "D05 B A1.DC", "D05 D A3.DC"];
    assert_eq!(told(&[("A3", 1), ("A2", 2), ("A1", 1)], whole), three);
    let gone = "\"SUP.1\", \"A1.DC\", \"-\", \"A3.DC\"";
    assert_eq!(told(&[("A3", 1), ("A1", 1)], gone), three);
    // With two ends left it is still the lead that was made with a joint, whether the entry says so or not.
    let two = ["D05 A SUP.1", "D05 D A3.DC"];
    assert_eq!(told(&[("A3", 1)], "\"SUP.1\", \"-\", \"-\", \"A3.DC\""), two);
    assert_eq!(told(&[("A3", 1), ("A2", 2), ("A1", 3)], whole), two);
    // Who comes anew takes the next letter, not that of the one that is gone.
    let four = ["D05 A SUP.1", "D05 B A1.DC", "D05 D A3.DC", "D05 E A4.DC"];
    assert_eq!(told(&[("A4", 1), ("A3", 1), ("A1", 1)], gone), four);
}

/// A device that comes to a made splitter gets a leg; the others stay as they are cut. A plain lead that is cut and gets a
/// joint is told, and made again.
#[test]
fn a_new_leg_is_cut_alone() {
    let text = |entry: &str, fed: &[&str]| {
        let devices: Vec<String> = fed
            .iter()
            .map(|tag| {
                format!(
                    "[[device]]\ntag = \"{tag}\"\nkind = \"compact-66x122x50\"\nfeed = {{ outlets = [\"SUP.1\"] }}\nplace = {{ x = \"{} mm\", y = \"20 mm\" }}\n",
                    tag[1..].parse::<u32>().expect("a number") * 120
                )
            })
            .collect();
        let devices = devices.concat();
        format!(
            "format = 1\n[job]\ntitle = \"splitter\"\n[board]\nkind = \"flat-560x330\"\n[leads]\ndc = {{ cable = \"dc-0.22\", plug = \"barrel-2.1-angled\" }}\n\
             [[device]]\ntag = \"SUP\"\nkind = \"brick-4x100-1x500\"\nplace = {{ x = \"200 mm\", y = \"230 mm\" }}\n{devices}[[lead]]\n{entry}\n"
        )
    };
    let pieces = |design: &Design| -> Vec<String> {
        let plans = design::cut_plans(design, &design::Shelf::default());
        plans.iter().flat_map(|plan| plan.pieces.iter().map(|piece| piece.id.clone())).collect()
    };
    let made = "ends = [\"SUP.1\", \"A1.DC\", \"A3.DC\"]\ntag = \"D05\"\nlegs = { \"SUP.1\" = \"900 mm\", \"A1.DC\" = \"800 mm\", \"A3.DC\" = \"700 mm\" }";
    assert_eq!(pieces(&derived(&text(made, &["A1", "A3"])).laid()), [""; 0]);
    let grown = text(made, &["A2", "A1", "A3"]);
    let issued = apply(&grown, &design::issue_edit(&derived(&grown))).expect("numbers");
    assert!(issued.contains("ends = [\"SUP.1\", \"A1.DC\", \"A3.DC\", \"A2.DC\"]"), "{issued}");
    let design = derived(&issued).laid();
    assert_eq!(pieces(&design), ["D05 D"]);
    let none = design::Shelf::default();
    let cut = design::cut_edit(
        &design.rig,
        &design::cut_by(&design, &none, &design::cut_plans(&design, &none)),
        true,
    );
    let after = apply(&issued, &cut).expect("cut");
    assert!(
        ["900 mm", "800 mm", "700 mm", "\"A2.DC\" = "].iter().all(|said| after.contains(said)),
        "{after}"
    );
    assert!(derived(&after).leads.iter().any(|lead| lead.tag == "D05" && lead.made));

    let plain = "from = \"SUP.1\"\nto = \"A1.DC\"\ntag = \"D05\"\ncut = \"400 mm\"\nto_exit = \"left\"";
    let grown = text(plain, &["A1", "A3"]);
    let told = checks::check(&derived(&grown).laid());
    assert!(
        told.iter().any(|finding| finding
            .message
            .starts_with("lead D05 is cut to 400 mm as a plain lead, and goes to A3.DC too")),
        "{told:#?}"
    );
    let issued = apply(&grown, &design::issue_edit(&derived(&grown))).expect("numbers");
    assert!(!issued.contains("400 mm") && issued.contains("exits = { \"A1.DC\" = \"left\" }"), "{issued}");
    assert_eq!(pieces(&derived(&issued).laid()), ["D05 A", "D05 B", "D05 C"]);
}

/// A made lead with a joint is judged leg by leg; and devices that stand together on one that is made stay together, though
/// little is known of one of them.
#[test]
fn a_made_splitter_is_judged_and_kept() {
    let rig = |legs: &str| {
        format!(
            "format = 1\n[job]\ntitle = \"splitter\"\n[board]\nkind = \"flat-560x330\"\n[leads]\ndc = {{ cable = \"dc-0.22\", plug = \"barrel-2.1-angled\" }}\n\
             [[device]]\ntag = \"SUP\"\nkind = \"brick-4x100-1x500\"\nplace = {{ x = \"200 mm\", y = \"230 mm\" }}\n\
             [[device]]\ntag = \"A1\"\nkind = \"compact-66x122x50\"\npower = {{ type = \"dc\", volts = \"9 V\", current = \"9 mA\", sign = \"centre-negative\", class = \"analogue\", positive_ground = false }}\nfeed = {{ outlets = [\"SUP.1\"] }}\nplace = {{ x = \"440 mm\", y = \"20 mm\" }}\n\
             [[device]]\ntag = \"A3\"\nkind = \"compact-66x122x50\"\npower = {{ type = \"dc\", volts = \"9 V\", current = \"9 mA\", sign = \"centre-negative\", class = \"analogue\" }}\nfeed = {{ outlets = [\"SUP.1\"] }}\nplace = {{ x = \"160 mm\", y = \"20 mm\" }}\n\
             [[lead]]\nends = [\"SUP.1\", \"A1.DC\", \"A3.DC\"]\ntag = \"D05\"\nlegs = {{ {legs} }}\n"
        )
    };
    let told = |legs: &str| -> Vec<String> {
        let findings = checks::check(&derived(&rig(legs)).laid());
        let short = findings.into_iter().filter(|finding| finding.rule == "lead-short");
        short.map(|finding| format!("{} {}", finding.severity.word(), finding.message)).collect()
    };
    let long = "\"SUP.1\" = \"900 mm\", \"A1.DC\" = \"900 mm\", \"A3.DC\" = \"900 mm\"";
    assert_eq!(told(long), [""; 0]);
    let short = told(&long.replace("\"A1.DC\" = \"900 mm\"", "\"A1.DC\" = \"20 mm\""));
    assert!(
        short.len() == 1 && short[0].starts_with("stop lead D05 B is cut to 20 mm, at least "),
        "{short:?}"
    );
    let design = derived(&rig(long));
    let outcome = design.feeds();
    let verdict = power::verify::verify(design.power_input(), &outcome.allocation);
    assert!(verdict.breaches.is_empty() && outcome.unserved.is_empty(), "{:?}", verdict.breaches);
    assert_eq!(outcome.allocation, power::stated(design.power_input()));
}

#[test]
fn issued_numbers_never_move() {
    let seeds = std::env::var("BOARDWRIGHT_SOAK").ok().and_then(|budget| budget.parse().ok()).unwrap_or(60);
    let first: u64 = std::env::var("BOARDWRIGHT_SEED").ok().and_then(|seed| seed.parse().ok()).unwrap_or(1);
    let (mut kept, mut joined, mut apart, mut lettered, mut grown) = (0, 0, 0, 0, 0);
    for seed in first..first + seeds {
        let mut dice = Dice(seed);
        let mut plan = Plan::random(&mut dice);
        let design = issue(&mut plan);
        counts_agree(&format!("seed {seed}"), &design);
        let mut letters = letters_of(&design);
        joined += design.leads.iter().filter(|lead| lead.is_joined()).count();
        for step in 0..6 {
            let before = plan.issued.clone();
            let mut shrunk = None;
            match dice.below(4) {
                3 => shrunk = plan.apart(),
                0 => plan.insert(&mut dice),
                1 if 1 < plan.pedals.len() => {
                    let gone = dice.below(plan.pedals.len());
                    plan.pedals.remove(gone);
                }
                _ => {
                    let from = dice.below(plan.pedals.len());
                    let pedal = plan.pedals.remove(from);
                    let to = dice.below(plan.pedals.len() + 1);
                    plan.pedals.insert(to, pedal);
                }
            }
            let design = issue(&mut plan);
            counts_agree(&format!("seed {seed}, step {step}"), &design);
            if let Some(outlet) = shrunk {
                // What is left on the outlet is the lead that was there.
                let from = format!("SUP.{outlet}");
                let is_there = |issued: &&Issued| issued.ends.contains(&from);
                let had = before.values().find(is_there).map(|issued| issued.tag.as_str());
                let has =
                    design.leads.iter().find(|lead| lead.ends.iter().any(|end| end.port.to_string() == from));
                assert_eq!(has.map(|lead| lead.tag.as_str()), had, "seed {seed}: {from}");
                apart += 1;
            }
            // A leg keeps its letter, whichever others come or go.
            let now = letters_of(&design);
            for (end, letter) in &now {
                let was = letters.get(end);
                assert!(was.is_none_or(|was| was == letter), "seed {seed}: {end:?} was {was:?}, is {letter}");
                lettered += usize::from(was.is_some());
            }
            letters = now;
            let mut seen = BTreeSet::new();
            for lead in &design.leads {
                assert!(seen.insert(&lead.tag), "seed {seed}: {} twice", lead.tag);
                match before.get(&lead.name) {
                    Some(issued) => {
                        assert_eq!(lead.tag, issued.tag, "seed {seed}: {}", lead.name);
                        kept += 1;
                    }
                    None => {
                        // A lead that got a joint, or another leg, keeps its number; no other lead gets one that was issued.
                        let had = before.values().find(|issued| issued.tag == lead.tag);
                        let is_it = had.is_some_and(|issued| {
                            let has = |end: &String| lead.ends.iter().any(|own| own.port.to_string() == *end);
                            issued.ends.iter().filter(|end| has(end)).count() >= 2
                        });
                        assert!(had.is_none() || is_it, "seed {seed}: {} comes back", lead.tag);
                        grown += usize::from(is_it);
                    }
                }
            }
        }
    }
    assert!(1000 < kept && 60 < joined, "{kept} numbers kept, {joined} leads with a joint");
    assert!(5 < grown, "{grown} leads got another end");
    assert!(5 < apart, "{apart} splitters lost an end");
    assert!(300 < lettered, "{lettered} legs kept their letters");
    println!("soak: {seeds} rigs from seed {first}, {kept} issued numbers kept through six changes each");
}

//! Commands as typed.

use std::path::Path;
use std::process::{Command, Output};

use crate::jobs::example;

pub(crate) fn boardwright(arguments: &[&str]) -> Output {
    Command::new(env!("CARGO_BIN_EXE_boardwright"))
        .args(arguments)
        .env("NO_COLOR", "1")
        .output()
        .expect("it runs")
}

pub(crate) fn out(output: &Output) -> String {
    String::from_utf8_lossy(&output.stdout).into_owned()
}

pub(crate) fn err(output: &Output) -> String {
    String::from_utf8_lossy(&output.stderr).into_owned()
}

/// Text without what differs from machine to machine.
fn settled(text: &str) -> String {
    text.replace(&example("").display().to_string(), "examples/")
}

pub(crate) fn path(path: &Path) -> &str {
    path.to_str().expect("a plain path")
}

#[test]
fn exit_codes_are_as_documented() {
    let planted = example("cabin-board");
    let corrected = example("cabin-board-corrected");
    assert_eq!(boardwright(&["check", path(&planted)]).status.code(), Some(1));
    assert_eq!(boardwright(&["check", path(&corrected)]).status.code(), Some(0));
    assert_eq!(boardwright(&["check", "no-such-folder"]).status.code(), Some(2));
    assert_eq!(boardwright(&["chekc"]).status.code(), Some(2));
    assert_eq!(boardwright(&["--help"]).status.code(), Some(0));
    assert_eq!(boardwright(&["explain", "outlet-lod"]).status.code(), Some(2));
}

#[test]
fn findings_are_shown_three_ways() {
    let folder = example("cabin-board");
    let mut told = String::new();
    for format in ["text", "line"] {
        told.push_str(&format!(
            "--format {format}\n{}\n",
            settled(&out(&boardwright(&["check", path(&folder), "--format", format])))
        ));
    }
    insta::assert_snapshot!(told);
    let json = out(&boardwright(&["check", path(&folder), "--format", "json"]));
    let value: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    assert_eq!(value["schema"], "boardwright.findings.2");
    let findings = value["findings"].as_array().expect("a list");
    let lines = out(&boardwright(&["check", path(&folder), "--format", "line"]));
    assert_eq!(findings.len(), lines.lines().count(), "each finding once in every form");
    for finding in findings {
        for key in [
            "rule",
            "severity",
            "message",
            "devices",
            "spans",
            "found",
            "allowed",
            "margin",
            "source",
            "assumed",
            "remedy",
            "edit",
            "accepted",
            "touched",
            "leads",
            "measure",
            "not_checked",
        ] {
            assert!(finding.get(key).is_some(), "{key} in {finding}");
        }
        assert!(!finding["spans"].as_array().expect("spans").is_empty(), "{finding}");
    }
}

#[test]
fn a_slip_is_shown_with_its_line() {
    let folder = tempfile::tempdir().expect("a folder");
    let file = folder.path().join("rig.toml");
    std::fs::write(
        &file,
        "format = 1\n\n[job]\ntitle = \"t\"\n\n[board]\nmass = 950\nkind = \"frame-480x19\"\n",
    )
    .expect("written");
    let output = boardwright(&["check", path(folder.path())]);
    assert_eq!(output.status.code(), Some(2));
    assert!(out(&output).is_empty(), "data alone goes to standard output");
    insta::assert_snapshot!(err(&output).replace(path(folder.path()), "JOB"));
}

#[test]
fn explain_tells_a_rule_and_lists_them() {
    let list = out(&boardwright(&["explain"]));
    assert_eq!(list.lines().count(), checks::RULES.len());
    let page = out(&boardwright(&["explain", "outlet-load"]));
    for head in ["What", "Why", "Source", "Example", "What to do"] {
        assert!(page.contains(head), "{page}");
    }
    assert!(err(&boardwright(&["explain", "outlet-lod"])).contains("outlet-load"));
}

#[test]
fn a_new_job_is_made_and_checked() {
    let folder = tempfile::tempdir().expect("a folder");
    let blank = folder.path().join("blank");
    assert_eq!(boardwright(&["new", path(&blank), "--title", "Ferry board"]).status.code(), Some(0));
    let text = std::fs::read_to_string(blank.join("rig.toml")).expect("made");
    assert!(text.contains("title = \"Ferry board\""), "{text}");
    assert_eq!(
        boardwright(&["check", path(&blank)]).status.code(),
        Some(0),
        "{}",
        err(&boardwright(&["check", path(&blank)]))
    );
    assert_eq!(boardwright(&["new", path(&blank)]).status.code(), Some(2), "nothing is overwritten");
    // Beside a job every folder is a job of one shop: what the shop could not keep is not made.
    for name in [
        "catalogue",
        "~stock",
        "con",
        "a.toml",
        &blank.file_name().expect("named").to_string_lossy().to_uppercase(),
    ] {
        let job = blank.with_file_name(name);
        let told = boardwright(&["new", path(&job)]);
        assert_eq!(told.status.code(), Some(2), "{name}");
        assert!(!job.join("rig.toml").exists(), "{name}");
    }
    assert_eq!(std::fs::read_to_string(blank.join("rig.toml")).expect("still there"), text);
    let copy = folder.path().join("copy");
    assert_eq!(boardwright(&["new", path(&copy), "--from", "cabin-board"]).status.code(), Some(0));
    assert_eq!(boardwright(&["check", path(&copy)]).status.code(), Some(1));
}

#[test]
fn an_acceptance_answers_for_a_finding() {
    let folder = tempfile::tempdir().expect("a folder");
    let job = folder.path().join("job");
    boardwright(&["new", path(&job), "--from", "cabin-board"]);
    let lines = out(&boardwright(&["check", path(&job), "--format", "line"]));
    let stops = lines.lines().filter(|line| line.contains(": stop[")).count();
    let wrong = boardwright(&["accept", path(&job), "outlet-load", "--devices", "A1", "--reason", "x"]);
    assert_eq!(wrong.status.code(), Some(2));
    assert!(err(&wrong).contains("A5"), "{}", err(&wrong));
    let json = out(&boardwright(&["check", path(&job), "--format", "json"]));
    let value: serde_json::Value = serde_json::from_str(&json).expect("JSON");
    let finding = value["findings"]
        .as_array()
        .and_then(|all| all.iter().find(|f| f["rule"] == "outlet-load"))
        .expect("planted")
        .clone();
    let devices: Vec<&str> =
        finding["devices"].as_array().expect("devices").iter().map(|d| d.as_str().expect("a tag")).collect();
    let accepted = boardwright(&[
        "accept",
        path(&job),
        "outlet-load",
        "--devices",
        &devices.join(","),
        "--reason",
        "a larger brick is ordered",
        "--by",
        "O. Fenlow",
    ]);
    assert_eq!(accepted.status.code(), Some(0), "{}", err(&accepted));
    let lines = out(&boardwright(&["check", path(&job), "--format", "line"]));
    assert!(lines.lines().any(|line| line.contains("stop[outlet-load] (answered)")), "{lines}");
    assert_eq!(
        lines.lines().filter(|line| line.contains(": stop[")).count(),
        stops,
        "it is shown, not hidden"
    );
    assert!(lines.lines().all(|line| !line.contains("[acceptance]")), "{lines}");
}

#[test]
fn one_answer_covers_the_whole_job_and_is_told_with_what_it_covers() {
    let folder = tempfile::tempdir().expect("a folder");
    let job = folder.path().join("job");
    boardwright(&["new", path(&job), "--from", "cabin-board"]);
    // Exactly one of the three says what is covered.
    let none = boardwright(&["accept", path(&job), "lead-over-edge", "--reason", "x"]);
    let both = boardwright(&[
        "accept",
        path(&job),
        "lead-over-edge",
        "--whole-job",
        "--class",
        "dc",
        "--reason",
        "x",
    ]);
    let idle = boardwright(&["accept", path(&job), "lead-over-edge", "--class", "mains", "--reason", "x"]);
    for wrong in [none, both, idle] {
        assert_eq!(wrong.status.code(), Some(2), "{}", err(&wrong));
    }
    let reason = "tied down there, nobody catches it";
    let done = boardwright(&["accept", path(&job), "lead-over-edge", "--class", "dc", "--reason", reason]);
    assert_eq!(done.status.code(), Some(0), "{}", err(&done));
    let text = std::fs::read_to_string(job.join("rig.toml")).expect("still there");
    assert!(text.contains("rule = \"lead-over-edge\"\nclass = \"dc\""), "{text}");
    let told = out(&boardwright(&["check", path(&job)]));
    assert!(told.contains("the answer to lead-over-edge for every dc lead covers: lead D05 runs"), "{told}");
    assert!(!told.contains("[acceptance]"), "{told}");
}

#[test]
fn papers_and_exports_are_written_the_same_twice() {
    let folder = tempfile::tempdir().expect("a folder");
    let rig = example("church-bass-corrected");
    let mut all = Vec::new();
    for name in ["one", "two"] {
        let dir = folder.path().join(name);
        let output = boardwright(&["papers", path(&rig), "--out", path(&dir)]);
        assert_eq!(output.status.code(), Some(0), "{}", err(&output));
        let pdf = std::fs::read(dir.join("layout.pdf")).expect("the sheet");
        assert!(pdf.starts_with(b"%PDF-"));
        all.push((pdf, std::fs::read_to_string(dir.join("manifest.json")).expect("the manifest")));
    }
    assert!(all[0] == all[1], "same input, same bytes");
    let svg = out(&boardwright(&["export", path(&rig), "--as", "svg", "--scale", "1:5"]));
    assert!(svg.starts_with("<svg") || svg.starts_with("<?xml"), "{}", &svg[..60.min(svg.len())]);
    let json: serde_json::Value =
        serde_json::from_str(&out(&boardwright(&["export", path(&rig), "--as", "json"]))).expect("JSON");
    assert_eq!(json["schema"], design::RESOLVED_SCHEMA);
}

#[test]
fn a_binding_is_written_as_one_archive_with_its_manifest() {
    let folder = tempfile::tempdir().expect("a folder");
    let rig = example("cabin-board-corrected");
    let written = ["one", "two"].map(|name| {
        let dir = folder.path().join(name);
        let output = boardwright(&["papers", path(&rig), "--only", "client", "--zip", "--out", path(&dir)]);
        assert!(matches!(output.status.code(), Some(0 | 1)), "{}", err(&output));
        let files: Vec<_> = std::fs::read_dir(&dir)
            .expect("a folder")
            .map(|file| file.expect("a file").file_name())
            .collect();
        assert_eq!(files, ["papers.zip"]);
        std::fs::read(dir.join("papers.zip")).expect("the archive")
    });
    assert!(written[0] == written[1], "same input, same bytes");
    // Nothing is packed, so that names and the manifest stand in it as they are.
    let holds = |wanted: &str| written[0].windows(wanted.len()).any(|at| at == wanted.as_bytes());
    assert!(written[0].starts_with(b"PK"));
    for wanted in
        ["client.pdf", "manifest.json", "%PDF-", "\"file\": \"client.pdf\"", "boardwright.manifest.1"]
    {
        assert!(holds(wanted), "{wanted}");
    }
}

/// In a shop the command line writes through the journal, so that the workbench can take it back.
#[test]
fn a_written_allocation_can_be_taken_back_in_a_shop() -> anyhow::Result<()> {
    let shop = tempfile::tempdir()?;
    let job = shop.path().join("bass");
    std::fs::create_dir(&job)?;
    std::fs::copy(example("church-bass").join("rig.toml"), job.join("rig.toml"))?;
    let before = std::fs::read_to_string(job.join("rig.toml"))?;
    let store = store::Store::open(shop.path())?;
    store.state("bass")?;
    let output = boardwright(&["feed", path(&job), "--write"]);
    assert_eq!(output.status.code(), Some(0), "{}", err(&output));
    let after = std::fs::read_to_string(job.join("rig.toml"))?;
    assert_ne!(before, after);
    let history = store.history("bass")?;
    assert!(history.iter().any(|entry| entry.name.starts_with("feed ")), "{history:?}");
    store.step("bass", None, store::HistoryStep::Undo)?;
    assert_eq!(std::fs::read_to_string(job.join("rig.toml"))?, before);
    Ok(())
}

/// The text of a paper in a folder.
pub(crate) fn printed(folder: &Path, paper: &str) -> String {
    let pdf = folder.join(format!("{paper}.pdf"));
    let output = Command::new("pdftotext").arg("-layout").arg(&pdf).arg("-").output();
    out(&output.expect("pdftotext (of poppler-utils) runs"))
}

#[test]
fn papers_carry_the_revisions_of_the_journal() {
    let shop = tempfile::tempdir().expect("a folder");
    let job = shop.path().join("ferry");
    std::fs::create_dir(&job).expect("a job");
    let text =
        std::fs::read_to_string(example("cabin-board-corrected").join("rig.toml")).expect("an example");
    // A document that names no revision: the journal alone knows.
    let text: String =
        text.lines().filter(|line| !line.starts_with("revision")).flat_map(|line| [line, "\n"]).collect();
    let document = job.join("rig.toml");
    std::fs::write(&document, &text).expect("written");
    let papers = |name: &str| {
        let dir = shop.path().join(name);
        let output =
            boardwright(&["papers", path(&job), "--only", "revision,layout,fault", "--out", path(&dir)]);
        assert_eq!(output.status.code(), Some(0), "{}", err(&output));
        dir
    };
    let none = papers("none");
    assert!(!shop.path().join(".boardwright").exists(), "no journal is made by looking for one");
    assert!(printed(&none, "revision").contains("draft"), "without a revision it is a draft");
    // Printing issued the numbers of the leads: they stand in the document from now on.
    let text = std::fs::read_to_string(&document).expect("the document");
    assert!(text.contains("tag = \"L01\""), "{text}");

    let store = store::Store::open(shop.path()).expect("a shop");
    let frozen = |text: &str| store::Revision {
        text: text.to_owned(),
        kinds: String::new(),
        settings: String::new(),
        program: "0.1.0".into(),
    };
    store.freeze("ferry", "A", "first drawing", None, &frozen("something else")).expect("frozen");
    store.freeze("ferry", "B", "a softer delay", Some("D. Halse"), &frozen(&text)).expect("frozen");
    let day: String =
        store.revisions("ferry").expect("revisions").last().expect("B").at.chars().take(10).collect();
    let issued = papers("issued");
    let record = printed(&issued, "revision");
    for wanted in ["first drawing", "a softer delay", "D. Halse", day.as_str()] {
        assert!(record.contains(wanted), "the record says `{wanted}`: {record}");
    }
    for paper in ["revision", "layout"] {
        let words = printed(&issued, paper);
        assert!(words.contains(&day) && !words.contains("draft"), "{paper} is issued: {words}");
    }
    let record = record.split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(record.contains("Supersedes A"), "it replaces the one before: {record}");
    let manifest = std::fs::read_to_string(issued.join("manifest.json")).expect("the manifest");
    assert!(manifest.contains("\"revision\": \"B\""), "{manifest}");

    std::fs::write(&document, format!("{text}\n# one more remark\n")).expect("written");
    let edited = papers("edited");
    let words = printed(&edited, "layout");
    assert!(words.contains("draft"), "edited since B, so it is none of them: {words}");
    let record = printed(&edited, "revision").split_whitespace().collect::<Vec<_>>().join(" ");
    assert!(record.contains("Supersedes B"), "and replaces the last: {record}");
}

#[test]
fn leads_are_told_with_ways_cut_lengths_and_what_each_is_cut_from() {
    let folder = example("church-bass-corrected");
    let told = boardwright(&["leads", path(&folder), "--format", "json"]);
    assert_eq!(told.status.code(), Some(0), "{}", err(&told));
    let value: serde_json::Value = serde_json::from_str(&out(&told)).expect("JSON");
    assert_eq!(value["schema"], "boardwright.leads.1");
    let leads = value["leads"].as_array().expect("a list");
    let lead = leads.iter().find(|lead| lead["id"] == "L03").expect("it is laid");
    let (route, cut) = (lead["route_mm"].as_f64().expect("mm"), lead["cut_mm"].as_f64().expect("mm"));
    assert!(route + 65.0 <= cut && cut < route + 80.0, "{route} mm of way, cut to {cut} mm");
    let cuts = value["cut_plan"].as_array().expect("a list");
    assert!(cuts.iter().any(|step| step["lead"] == "L03" && step["piece_mm"].as_f64() == Some(cut)));
    assert_eq!(value["waste_mm"], value["waste_bound_mm"]);
}

/// A cut plan is booked in the shop's stock, and taken back from another run of the program.
#[test]
fn a_booked_cut_plan_goes_from_the_stock_and_comes_back() -> anyhow::Result<()> {
    let shop = tempfile::tempdir()?;
    let job = shop.path().join("bass");
    std::fs::create_dir(&job)?;
    std::fs::copy(example("church-bass-corrected").join("rig.toml"), job.join("rig.toml"))?;
    let stock = |rest: &[&str]| {
        let mut all = vec!["stock", path(shop.path())];
        all.extend(rest);
        boardwright(&all)
    };
    let unknown = stock(&["--add", "R1", "no-such", "25 m"]);
    assert_eq!(unknown.status.code(), Some(2));
    assert!(err(&unknown).contains("the catalogue has no cable `no-such`"), "{}", err(&unknown));
    for row in [["R1", "patch-4", "25 m"], ["D1", "dc-0.22", "50 m"], ["B1", "balanced", "10 m"]] {
        let [name, cable, length] = row;
        assert_eq!(stock(&["--add", name, cable, length]).status.code(), Some(0));
    }
    assert_eq!(stock(&["--offcut", "--add", "O1", "patch-4", "640 mm"]).status.code(), Some(0));
    let file = shop.path().join("stock.toml");
    let before = std::fs::read_to_string(&file)?;

    assert_eq!(boardwright(&["number", path(&job), "--write"]).status.code(), Some(0));
    let document = std::fs::read_to_string(job.join("rig.toml"))?;

    let told = boardwright(&["leads", path(&job), "--format", "json", "--book"]);
    assert_eq!(told.status.code(), Some(0), "{}", err(&told));
    let value: serde_json::Value = serde_json::from_str(&out(&told))?;
    let cuts = value["cut_plan"].as_array().map(Vec::as_slice).unwrap_or_default();
    let taken = |source: &str| -> i64 {
        cuts.iter().filter(|cut| cut["source"] == source).filter_map(|cut| cut["piece_mm"].as_i64()).sum()
    };
    assert!(0 < taken("O1"), "the offcut is used first: {cuts:?}");
    let text = std::fs::read_to_string(&file)?;
    let after = document::read_stock("stock.toml", &text)?.held;
    for (name, had) in [("R1", 25_000), ("D1", 50_000), ("B1", 10_000)] {
        let left = after.iter().find(|held| held.name == name).and_then(|held| held.length);
        assert_eq!(left, Some(quantity::Length::from_mm(had - taken(name))), "{name}");
    }

    // That it is cut is a fact of the document from now on, piece by piece.
    let said = document::read(&job, None)?.rig;
    for cut in cuts {
        let (lead, mm) = (cut["lead"].as_str().unwrap_or_default(), cut["piece_mm"].as_i64());
        let (tag, leg) = lead.split_once(' ').unwrap_or((lead, ""));
        let spec = said.leads.iter().find(|spec| spec.tag.as_deref() == Some(tag));
        let spec = spec.unwrap_or_else(|| panic!("{tag} has an entry"));
        let at = spec
            .legs
            .iter()
            .find(|(end, _)| spec.place_of(end).is_some_and(|at| "ABCDEF"[at..].starts_with(leg)));
        let length = if leg.is_empty() { spec.cut } else { at.map(|(_, cut)| *cut) };
        assert_eq!(
            length.map(quantity::Length::as_mm),
            mm.map(|mm| quantity::Length::from_mm(mm).as_mm()),
            "{lead}"
        );
    }

    // What is cut is not cut again, and booking again takes nothing.
    let again = boardwright(&["leads", path(&job), "--book"]);
    assert!(err(&again).contains("nothing to book: every lead that is made here is cut"), "{}", err(&again));
    assert!(out(&again).contains("cut and booked: "), "{}", out(&again));
    assert_eq!(std::fs::read_to_string(&file)?, text);

    assert!(err(&stock(&["--undo"])).contains("taken back: cut the leads of Church bass board"));
    assert_eq!(std::fs::read_to_string(&file)?, before);
    assert_eq!(std::fs::read_to_string(job.join("rig.toml"))?, document, "the document follows");
    assert!(err(&stock(&["--redo"])).contains("made again"));
    assert!(document::read(&job, None)?.rig.leads.iter().any(|spec| spec.cut.is_some()));
    Ok(())
}

#[test]
fn kinds_are_found_by_what_they_are() {
    let list = |words: &[&str]| {
        let mut arguments = vec!["kinds"];
        arguments.extend(words);
        let output = boardwright(&arguments);
        assert_eq!(output.status.code(), Some(0), "{words:?}");
        String::from_utf8(output.stdout).expect("text")
    };
    for (word, id) in [
        ("small", "compact-42x93x52"),
        ("overdrive", "compact-66x122x50"),
        ("treadle", "treadle-90x265x68"),
        ("brick", "brick-8x100"),
        ("plug", "jack-flat"),
        ("cable", "patch-4"),
        ("board", "frame-480x190"),
        ("pickup", "humbucker"),
    ] {
        let text = list(&[word]);
        assert!(text.lines().any(|line| line.split_whitespace().nth(1) == Some(id)), "{word}: {text}");
        assert!(text.lines().count() < list(&[]).lines().count(), "{word} leaves nothing out");
    }
    let json: serde_json::Value =
        serde_json::from_str(&list(&["volume", "treadle", "--format", "json"])).expect("JSON");
    let first = &json["kinds"][0];
    assert_eq!(first["size_mm"], serde_json::json!([90.0, 265.0, 68.0]));
    assert_eq!(first["jacks"][2], serde_json::json!({ "name": "TUNER", "role": "out" }));
    assert_eq!(boardwright(&["kinds", "harpsichord"]).status.code(), Some(2));

    // Of one kind every port is listed with its place, so that a job can override it.
    let volume = list(&["treadle-90x265x68"]);
    let tuner = volume.lines().find(|line| line.starts_with("TUNER")).expect("its ports are listed");
    let cells: Vec<&str> = tuner.split_whitespace().collect();
    assert_eq!(cells, ["TUNER", "out", "jack-6.35-ts", "left", "187", "mm", "20", "mm"]);
    assert!(!list(&["treadle"]).contains("jack-6.35-ts"), "a list of several leaves the ports out");
    assert_eq!(first["ports"][2]["offset"], "187 mm");
}

#[test]
fn papers_that_cannot_be_written_leave_those_before() {
    let folder = tempfile::tempdir().expect("a folder");
    let out = folder.path().join("papers");
    let rig = example("cabin-board");
    let print = || boardwright(&["papers", path(&rig), "--only", "fault", "--out", path(&out)]);
    print();
    let before = std::fs::read(out.join("fault.pdf")).expect("it is there");
    assert!(!before.is_empty());
    // Nothing can be written where a folder stands.
    std::fs::create_dir(out.join(".fault.pdf.new")).expect("made");
    let told = print();
    assert_eq!(told.status.code(), Some(2));
    assert!(err(&told).contains("cannot write `fault.pdf`; what was there before stands"), "{}", err(&told));
    assert_eq!(std::fs::read(out.join("fault.pdf")).expect("still there"), before);
}

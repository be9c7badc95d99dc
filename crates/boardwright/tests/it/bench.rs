//! `boardwright bench` as a process: it starts, prints its address, and loses nothing when it is killed.

use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc;
use std::time::Duration;

/// A running workbench; killed when dropped.
pub(crate) struct Running {
    pub(crate) child: Child,
    pub(crate) host: String,
}

impl Drop for Running {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

pub(crate) fn start(arguments: &[&str], home: Option<&Path>) -> Running {
    let mut command = Command::new(env!("CARGO_BIN_EXE_boardwright"));
    if let Some(home) = home {
        command.env("HOME", home).env_remove("XDG_CONFIG_HOME");
    }
    let mut child = command
        .arg("bench")
        .stdin(Stdio::null())
        .args(arguments)
        .args(["--port", "0", "--no-open"])
        .stdout(Stdio::piped())
        .stderr(Stdio::null())
        .spawn()
        .expect("starts");
    let mut line = String::new();
    let out = child.stdout.take().expect("standard output");
    BufReader::new(out).read_line(&mut line).expect("an address");
    let host = line.trim().trim_start_matches("http://").trim_end_matches('/').to_owned();
    assert!(host.starts_with("127.0.0.1:"), "{line}");
    Running { child, host }
}

/// One request; `None` when the connection broke before the whole answer was there.
pub(crate) fn ask(host: &str, method: &str, path: &str, body: &str) -> Option<(u16, String)> {
    let mut stream = TcpStream::connect(host).ok()?;
    let request = format!(
        "{method} {path} HTTP/1.1\r\nHost: {host}\r\nOrigin: http://{host}\r\nAccept: application/json\r\n\
         Content-Type: application/x-www-form-urlencoded\r\nContent-Length: {}\r\nConnection: close\r\n\r\n{body}",
        body.len()
    );
    stream.write_all(request.as_bytes()).ok()?;
    let mut answer = Vec::new();
    stream.read_to_end(&mut answer).ok()?;
    let answer = String::from_utf8_lossy(&answer).into_owned();
    let (head, rest) = answer.split_once("\r\n\r\n")?;
    let status = head.split(' ').nth(1)?.parse().ok()?;
    let length = head
        .lines()
        .find_map(|line| line.to_lowercase().strip_prefix("content-length: ").map(str::to_owned))
        .and_then(|length| length.trim().parse::<usize>().ok());
    (length.is_none_or(|length| length == rest.len())).then(|| (status, rest.to_owned()))
}

pub(crate) fn revision(answer: &str) -> u64 {
    let value: serde_json::Value = serde_json::from_str(answer).expect("data");
    value["revision"].as_u64().expect("a revision")
}

/// Where B4 stands, in millimetres from the left.
fn stands(shop: &Path) -> i64 {
    let job = document::read(&shop.join("job"), None).expect("the document can be read");
    let place = job.rig.device("B4").and_then(|device| device.place.clone()).expect("B4 has a place");
    place.x.nm() / 1_000_000
}

#[cfg(target_os = "linux")]
#[test]
fn without_a_shop_it_keeps_one_among_the_documents() {
    let home = tempfile::tempdir().expect("home");
    let bench = start(&[], Some(home.path()));
    let (status, page) = ask(&bench.host, "GET", "/", "").expect("answers");
    assert_eq!(status, 200);
    assert!(page.contains("No job yet") && page.contains("Copies of examples"), "{page}");
    let (status, _) = ask(&bench.host, "POST", "/jobs", "from=church-bass").expect("answers");
    assert_eq!(status, 303);
    let kept = home.path().join("Documents/Boardwright shop/church-bass/rig.toml");
    assert!(std::fs::read_to_string(&kept).expect("kept").contains("Church bass board"));
    drop(bench);
    let again = start(&[], Some(home.path()));
    let (status, _) = ask(&again.host, "GET", "/job/church-bass/deck", "").expect("answers");
    assert_eq!(status, 200);
}

/// The workbench with these arguments and this variable, which refuses to start; what it says.
fn refused(shop: &Path, more: &[&str], variable: Option<&str>) -> String {
    let mut command = Command::new(env!("CARGO_BIN_EXE_boardwright"));
    command
        .arg("bench")
        .arg(shop)
        .args(["--port", "0", "--no-open"])
        .args(more)
        .env_remove("BOARDWRIGHT_TOKEN");
    if let Some(token) = variable {
        command.env("BOARDWRIGHT_TOKEN", token);
    }
    let told = command.output().expect("runs");
    assert_eq!(told.status.code(), Some(2), "{more:?} {variable:?}");
    String::from_utf8_lossy(&told.stderr).into_owned()
}

#[test]
fn beyond_this_machine_it_wants_a_token_that_nobody_else_can_read() {
    let folder = tempfile::tempdir().expect("folder");
    let file = folder.path().join("token");
    let named = file.display().to_string();
    std::fs::write(&file, "short\n").expect("written");
    let beyond = ["--listen", "0.0.0.0"];
    let with_file = ["--listen", "0.0.0.0", "--token-file", named.as_str()];
    for (more, variable, says) in [
        (&beyond[..], None, "--token-file"),
        (&beyond[..], Some("short"), "at least 16"),
        (&beyond[..], Some(""), "at least 16"),
        (&["--token", "abcdefghijklmnop"][..], None, "--token-file"),
        (&["--token", "abcdefghijklmnop", "--listen", "0.0.0.0"][..], None, "lists the programs"),
    ] {
        let said = refused(folder.path(), more, variable);
        assert!(said.contains("token") && said.contains(says), "{more:?}: {said}");
    }
    #[cfg(unix)]
    {
        use std::os::unix::fs::PermissionsExt;
        let mode =
            |mode| std::fs::set_permissions(&file, std::fs::Permissions::from_mode(mode)).expect("set");
        std::fs::write(&file, "abcdefghijklmnop\n").expect("written");
        for open in [0o644, 0o640, 0o604, 0o660] {
            mode(open);
            let said = refused(folder.path(), &with_file, None);
            assert!(said.contains("chmod 600"), "{open:o}: {said}");
        }
        mode(0o600);
        std::fs::write(&file, "short\n").expect("written");
        assert!(refused(folder.path(), &with_file, None).contains("at least 16"));
    }
}

#[test]
fn a_token_is_made_where_there_is_none_and_stands_in_no_address() {
    let folder = tempfile::tempdir().expect("folder");
    let file = folder.path().join("token");
    let shop = folder.path().join("shop");
    std::fs::create_dir(&shop).expect("folder");
    let arguments = [&*shop.display().to_string(), "--token-file", &*file.display().to_string()];
    let bench = start(&arguments, None);
    let token = std::fs::read_to_string(&file).expect("made");
    let token = token.trim();
    assert_eq!(token.len(), 24);
    let (host, path) = bench.host.split_once('/').expect("an address that opens");
    assert!(path.starts_with("enter/") && !bench.host.contains(token), "{}", bench.host);
    #[cfg(target_os = "linux")]
    {
        let seen = std::fs::read(format!("/proc/{}/cmdline", bench.child.id())).expect("listed");
        assert!(!String::from_utf8_lossy(&seen).contains(token), "in the list of programs");
    }
    assert_eq!(ask(host, "GET", "/", "").expect("answers").0, 403);
    assert_eq!(ask(host, "GET", &format!("/?token={token}"), "").expect("answers").0, 403);
    assert_eq!(ask(host, "GET", &format!("/{path}"), "").expect("answers").0, 303);
    assert_eq!(ask(host, "GET", &format!("/{path}"), "").expect("answers").0, 403, "it opens once");
    assert_eq!(ask(host, "POST", "/enter", &format!("token={token}")).expect("answers").0, 303);
    // The same token is taken the next time.
    let host = host.to_owned();
    drop(bench);
    let again = start(&arguments, None);
    let (now, _) = again.host.split_once('/').expect("an address that opens");
    assert_ne!(host, now);
    assert_eq!(ask(now, "POST", "/enter", &format!("token={token}")).expect("answers").0, 303);
}

/// `BOARDWRIGHT_KILLS` sets how often; the soak asks for two hundred.
#[test]
fn killed_in_the_middle_of_edits_nothing_is_lost() {
    let kills: u64 = std::env::var("BOARDWRIGHT_KILLS").ok().and_then(|text| text.parse().ok()).unwrap_or(20);
    let folder = tempfile::tempdir().expect("folder");
    let shop = folder.path().to_path_buf();
    std::fs::create_dir_all(shop.join("job")).expect("job");
    let example = Path::new(env!("CARGO_MANIFEST_DIR")).join("../../examples/church-bass/rig.toml");
    std::fs::copy(example, shop.join("job/rig.toml")).expect("copied");
    let mut acknowledged = stands(&shop);
    let mut made = 0_u64;
    // A plain sequence of moments, the same on every run.
    let mut seed = 0x2545_F491_4F6C_DD1D_u64;
    for round in 0..kills {
        let mut bench = start(&[&shop.display().to_string()], None);
        let (status, page) = ask(&bench.host, "GET", "/job/job/deck", "").expect("answers");
        assert_eq!(status, 200, "round {round}");
        let mut base = revision(&page);
        seed ^= seed << 13;
        seed ^= seed >> 7;
        seed ^= seed << 17;
        let moment = Duration::from_micros(2_000 + seed % 180_000);
        let (done, told) = mpsc::channel::<()>();
        let host = bench.host.clone();
        let editing = std::thread::spawn(move || {
            let mut acknowledged = 0_i64;
            loop {
                let body = format!("act=move&tag=B4&dx=1&dy=0&base={base}&here=/job/job/deck");
                match ask(&host, "POST", "/job/job/edit", &body) {
                    Some((200, answer)) => {
                        acknowledged += 1;
                        base = revision(&answer);
                    }
                    Some((status, answer)) => panic!("{status}: {answer}"),
                    None => break,
                }
            }
            drop(done);
            acknowledged
        });
        // Nothing comes on this channel: the wait ends at the moment chosen.
        let _ = told.recv_timeout(moment);
        bench.child.kill().expect("killed");
        bench.child.wait().expect("gone");
        let count = editing.join().expect("edits");
        made += u64::try_from(count).unwrap_or(0);
        let now = stands(&shop);
        // An edit whose answer was under way may have been made; none that was acknowledged may be missing.
        assert!(
            now == acknowledged + count || now == acknowledged + count + 1,
            "round {round}: {count} acknowledged from {acknowledged}, now at {now}"
        );
        acknowledged = now;
        let left: Vec<_> = std::fs::read_dir(shop.join("job")).expect("job").flatten().collect();
        assert!(left.len() <= 2, "at most one temporary file is left: {left:?}");
    }
    println!("soak: {kills} kills, {made} acknowledged edits, none lost");
    assert!(kills < made, "edits were made: {made}");
    // Everything is still one line of history that can be taken back.
    let bench = start(&[&shop.display().to_string()], None);
    let (_, page) = ask(&bench.host, "GET", "/job/job/deck", "").expect("answers");
    let body = format!("base={}&here=/job/job/deck", revision(&page));
    let (status, _) = ask(&bench.host, "POST", "/job/job/undo", &body).expect("answers");
    assert_eq!(status, 200);
    assert_eq!(stands(&shop), acknowledged - 1);
}

//! `boardwright bench`: the workbench in the browser.

use std::io::IsTerminal;
use std::net::{IpAddr, SocketAddr};
use std::path::{Path, PathBuf};
use std::sync::Arc;

use anyhow::{Context, bail};
use papers::{Binding, PAPERS, PaperSet, PaperSize, PapersInput, RevisionNote};
use workbench::{Access, Bench, May, Order, PaperEntry, Papers, Printed, PrintedFrom};

use crate::args::Bench as Options;
use crate::commands::new::{BLANK, EXAMPLES};
use crate::commands::token;
use crate::loaded::VERSION;
use crate::shell::{self, Outcome};

pub(crate) fn run(options: &Options) -> anyhow::Result<Outcome> {
    let folder = match &options.shop {
        Some(folder) => {
            if !folder.is_dir() {
                bail!("`{}` is not a folder; a shop is a folder of jobs", folder.display());
            }
            folder.clone()
        }
        None => match own_shop()? {
            Some(folder) => folder,
            None => return Ok(Outcome::Clean),
        },
    };
    let (host, token) = address(options)?;
    let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(2).enable_all().build()?;
    runtime.block_on(async {
        let listener = tokio::net::TcpListener::bind(SocketAddr::new(host, options.port))
            .await
            .with_context(|| format!("cannot listen on {host}, port {}", options.port))?;
        let port = listener.local_addr()?.port();
        let mut access = Access::loopback(port);
        let shown = SocketAddr::new(host, port).to_string();
        if host.is_unspecified() {
            // Bound to every address there is no one name to insist on; the token guards alone.
            access.hosts.clear();
        } else if !host.is_loopback() {
            access.hosts = vec![shown];
        } else if !access.hosts.contains(&shown) {
            access.hosts.push(shown);
        }
        let is_guarded = token.is_some();
        access.token = token;
        let hosts = reached(host);
        let others = hosts.iter().filter(|host| !host.is_loopback());
        access.phones = others.map(|host| format!("http://{}", SocketAddr::new(*host, port))).collect();
        let bench = Bench::open(&folder, Arc::new(Printer), access)?;
        if let Some(told) = bench.told() {
            shell::say(&format!("boardwright: {told}"));
        }
        let at = |host: IpAddr| {
            format!("http://{}{}", SocketAddr::new(host, port), bench.link(May::Change).as_deref().unwrap_or("/"))
        };
        let all: Vec<String> = hosts.iter().map(|host| at(*host)).collect();
        shell::data(&all.iter().fold(String::new(), |out, address| out + address + "\n"))?;
        if is_guarded {
            shell::say(
                "boardwright: each address opens once, within a quarter of an hour; after that the page asks for the token",
            );
        }
        if host.is_unspecified() && all.len() == 1 {
            shell::say("boardwright: this machine is in no network by which a phone could reach it");
        }
        shell::say(&format!("boardwright: the shop is {}; Ctrl C ends", folder.display()));
        if !options.no_open {
            // One of its own: the printed ones are for other browsers.
            open(&hosts.last().map_or_else(String::new, |host| at(*host)));
        }
        let stop = async {
            // Without a signal handler the program is ended from outside, which is safe too.
            let _ = tokio::signal::ctrl_c().await;
        };
        tokio::select! {
            served = workbench::serve(bench, listener, std::future::pending()) => served?,
            () = stop => {}
        }
        anyhow::Ok(())
    })?;
    Ok(Outcome::Clean)
}

/// The addresses by which the workbench is reached: first those that a phone can use, last the one for this machine.
fn reached(host: IpAddr) -> Vec<IpAddr> {
    if !host.is_unspecified() {
        return vec![host];
    }
    let mut all = workbench::addresses();
    // Bound to all addresses of the fourth version, those of the sixth do not answer.
    all.retain(|address| host.is_ipv6() || address.is_ipv4());
    all.push(IpAddr::from([127, 0, 0, 1]));
    all
}

/// The address to listen on, and the token to ask for. One beyond this machine needs a token; on this machine it is
/// asked for when it is given.
fn address(options: &Options) -> anyhow::Result<(IpAddr, Option<String>)> {
    if options.token.is_some() {
        bail!(
            "a token on the command line is read by everybody who lists the programs of this machine; put it into a file and \
             name that: `--token-file FILE` makes one when it is not there"
        );
    }
    let host = options.listen.unwrap_or(IpAddr::from([127, 0, 0, 1]));
    let token = token::token(options.token_file.as_deref())?;
    if token.is_none() && !host.is_loopback() {
        bail!(
            "an address beyond this machine needs a token: name its file with `--token-file FILE`, made when it is not there"
        );
    }
    Ok((host, token))
}

/// The folder of one's own shop among the user's documents.
const OWN_SHOP: &str = "Boardwright shop";

/// One's own shop, among the user's documents, made when it is not there; `None` where somebody who was asked said no.
fn own_shop() -> anyhow::Result<Option<PathBuf>> {
    let Some(home) = std::env::home_dir().filter(|home| home.is_dir()) else {
        bail!("nobody says where your documents are; name a folder: `boardwright bench SHOP`");
    };
    let folder = documents(&home).join(OWN_SHOP);
    if folder.is_dir() {
        return Ok(Some(folder));
    }
    // Started from a menu nobody can be asked; what is made is said on the page.
    if std::io::stdin().is_terminal() && !agreed(&folder)? {
        return Ok(None);
    }
    std::fs::create_dir_all(&folder).with_context(|| format!("cannot make `{}`", folder.display()))?;
    Ok(Some(folder))
}

/// Where somebody keeps documents: as the desktop has it (`user-dirs.dirs` of the XDG desktops), else `Documents`.
fn documents(home: &Path) -> PathBuf {
    let config = std::env::var_os("XDG_CONFIG_HOME").map_or_else(|| home.join(".config"), PathBuf::from);
    let said = document::edit::read_plain_text(&config.join("user-dirs.dirs")).unwrap_or_default();
    let line = said.lines().find_map(|line| line.trim().strip_prefix("XDG_DOCUMENTS_DIR="));
    let path = line.map(|path| path.trim_matches('"')).map(|path| match path.strip_prefix("$HOME") {
        Some(rest) => home.join(rest.trim_start_matches('/')),
        None => PathBuf::from(path),
    });
    path.filter(|path| path.is_absolute()).unwrap_or_else(|| home.join("Documents"))
}

/// Asks whether the shop's folder may be made.
fn agreed(folder: &Path) -> anyhow::Result<bool> {
    shell::say(&format!("boardwright: your shop is kept in `{}`. Make that folder? [Y/n]", folder.display()));
    let mut answer = String::new();
    std::io::stdin().read_line(&mut answer).context("no answer")?;
    Ok(matches!(answer.trim().to_lowercase().as_str(), "" | "y" | "yes"))
}

/// Name and text of every example, in name order.
fn examples() -> Vec<(String, String)> {
    let mut out: Vec<(String, String)> = EXAMPLES
        .dirs()
        .filter_map(|folder| {
            let text = folder.get_file(folder.path().join("rig.toml"))?.contents_utf8()?;
            Some((folder.path().display().to_string(), text.to_owned()))
        })
        .collect();
    out.sort();
    out
}

/// Opens the browser where there is one; whoever has none has the address.
fn open(address: &str) {
    let program = if cfg!(target_os = "macos") {
        "open"
    } else if cfg!(target_os = "windows") {
        "explorer"
    } else if Path::new("/usr/bin/xdg-open").exists() {
        "xdg-open"
    } else {
        return;
    };
    let quiet = std::process::Stdio::null;
    // Best effort: the address is printed.
    let _ = std::process::Command::new(program)
        .arg(address)
        .env_remove(token::VARIABLE)
        .stdout(quiet())
        .stderr(quiet())
        .spawn();
}

/// The printed set, for the workbench.
struct Printer;

impl Printer {
    fn set(
        only: &[&str],
        from: &PrintedFrom<'_>,
        change: Option<papers::ChangeOrder<'_>>,
    ) -> Result<PaperSet, String> {
        let notes: Vec<RevisionNote> = from
            .revisions
            .iter()
            .map(|entry| RevisionNote {
                letter: entry.letter.clone(),
                date: entry.at.chars().take(10).collect(),
                why: entry.why.clone(),
                by: entry.by.clone(),
            })
            .collect();
        let heard = super::papers::heard(from.design);
        let prices =
            super::priced::priced_in(from.shop, from.job, from.text).map_err(|error| format!("{error:#}"))?;
        let quote = super::priced::quote_of(from.design, &prices);
        let wishes = checks::wishes(from.design);
        let first = super::papers::what_decides(from.design, only);
        let photographs = super::photographs::photographs(Some(from.shop), from.design);
        let (repairs, mended) = shell::journal_of(from.shop)
            .and_then(|store| super::mended::of(store.as_ref(), from.job))
            .map_err(|error| format!("{error:#}"))?;
        let input = PapersInput {
            repairs: &repairs,
            mended: &mended,
            photographs: &photographs,
            measuring: first.as_ref(),
            priced: prices.known.then_some(papers::Priced { quote: &quote, prices: &prices.prices }),
            change,
            tone: heard.tone.as_ref(),
            ways: &heard.ways,
            signal_notes: &heard.notes,
            program_version: VERSION,
            input_hash: from.inputs,
            revisions: &notes,
            record: Some(from.record),
            plots: from.plots,
            shelf: from.shelf,
            wishes: &wishes,
            ..PapersInput::new(from.design, from.findings, PaperSize::A4)
        };
        papers::papers(&input, only).map_err(|error| error.to_string())
    }
}

impl Papers for Printer {
    fn list(&self) -> Vec<PaperEntry> {
        let bound = Binding::ALL.map(|binding| PaperEntry { name: binding.name(), title: binding.title() });
        let each = PAPERS
            .iter()
            .chain(papers::INTAKE_PAPERS)
            .map(|kind| PaperEntry { name: kind.name, title: kind.title });
        bound.into_iter().chain(each).collect()
    }

    fn of_money(&self) -> Vec<PaperEntry> {
        let all = papers::MONEY_PAPERS.iter().filter(|kind| kind.name != "change-order");
        all.map(|kind| PaperEntry { name: kind.name, title: kind.title }).collect()
    }

    fn make(&self, name: &str, from: &PrintedFrom<'_>) -> Result<Printed, String> {
        let paper = Self::set(&[name], from, None)?.papers.into_iter().find(|paper| paper.name == name);
        let paper = paper.ok_or(match name {
            "quote" => "the shop has no prices.toml: it says what things cost",
            "invoice" => "an invoice needs a price for all of the job; the quote names what has none",
            _ => "there is no such paper",
        })?;
        Ok(Printed { pdf: paper.pdf, pages: paper.pages })
    }

    fn change_order(&self, from: &PrintedFrom<'_>, order: &Order<'_>) -> Result<Printed, String> {
        let change = papers::ChangeOrder {
            from: order.from,
            before: order.before,
            change: order.change,
            priced: papers::Priced { quote: order.quote, prices: order.prices },
            whole: order.whole,
            repriced: order.repriced,
        };
        let set = Self::set(&["change-order"], from, Some(change))?;
        let paper = set.papers.into_iter().next().ok_or("there is no change to print")?;
        Ok(Printed { pdf: paper.pdf, pages: paper.pages })
    }

    fn all(&self, from: &PrintedFrom<'_>) -> Result<Vec<(String, Vec<u8>)>, String> {
        let set = Self::set(&[], from, None)?;
        let files = super::papers::files(&set, from.design.rig.job.revision.as_deref(), from.inputs);
        let files = files.map_err(|error| error.to_string())?;
        Ok(files.into_iter().map(|(name, bytes)| (name, bytes.into_owned())).collect())
    }

    fn beginnings(&self) -> Vec<(String, String)> {
        let mut out = vec![("blank".to_owned(), BLANK.to_owned())];
        out.extend(examples());
        out
    }
}

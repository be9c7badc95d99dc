//! The typesetter's whole world: embedded templates and fonts, and the virtual files of one set.

use std::collections::BTreeMap;
use std::num::NonZeroUsize;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicUsize, Ordering};

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration, Label, Smart};
use typst::introspection::Introspector;
use typst::layout::PageRanges;
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::{LazyHash, PicoStr};
use typst::{Library, LibraryExt, World};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, PdfStandard, PdfStandards, Timestamp};

use crate::PaperError;

/// What all papers share: templates by path.
const TEMPLATES: &[(&str, &str)] = &[
    ("/sheet.typ", include_str!("../templates/sheet.typ")),
    ("/layout.typ", include_str!("../templates/layout.typ")),
    ("/blocks.typ", include_str!("../templates/blocks.typ")),
    ("/set.typ", include_str!("../templates/set.typ")),
];

struct Shared {
    library: LazyHash<Library>,
    book: LazyHash<FontBook>,
    fonts: Vec<Font>,
}

/// Library and fonts, read once.
fn shared() -> &'static Shared {
    static SHARED: OnceLock<Shared> = OnceLock::new();
    SHARED.get_or_init(|| {
        let files: [&'static [u8]; 5] = [
            notosans::REGULAR_TTF,
            notosans::BOLD_TTF,
            notosans::ITALIC_TTF,
            dejavu::sans::regular(),
            dejavu::sans::bold(),
        ];
        let fonts: Vec<Font> = files.into_iter().flat_map(|file| Font::iter(Bytes::new(file))).collect();
        Shared {
            library: LazyHash::new(Library::builder().build()),
            book: LazyHash::new(FontBook::from_fonts(&fonts)),
            fonts,
        }
    })
}

/// Papers to be set together, one part after the other: `data.json` and drawings.
pub(crate) struct Job<'a> {
    /// Virtual files by path.
    pub(crate) files: BTreeMap<String, Vec<u8>>,
    /// Identifies the document: a hash of everything that goes into it.
    pub(crate) ident: String,
    /// Name and version of the program.
    pub(crate) creator: String,
    /// Date of issue as written, `2026-03-14`; none for a draft.
    pub(crate) date: Option<&'a str>,
    /// The files that are made of it.
    pub(crate) wanted: Vec<Wanted>,
}

/// A file made of parts that follow each other.
pub(crate) struct Wanted {
    /// Its name.
    pub(crate) name: &'static str,
    /// Its first part.
    pub(crate) first: &'static str,
    /// Its last part.
    pub(crate) last: &'static str,
}

/// A file made from some or all pages.
pub(crate) struct Printed {
    /// Its name.
    pub(crate) name: &'static str,
    /// How many pages it has.
    pub(crate) pages: usize,
    /// The PDF.
    pub(crate) pdf: Vec<u8>,
}

/// The template that sets all parts.
const MAIN: &str = "/set.typ";

struct PaperWorld {
    main: FileId,
    files: BTreeMap<String, Bytes>,
}

fn file_id(path: &str) -> Option<FileId> {
    Some(RootedPath::new(VirtualRoot::Project, VirtualPath::new(path).ok()?).intern())
}

impl PaperWorld {
    fn template(path: &str) -> Option<&'static str> {
        TEMPLATES.iter().find(|(name, _)| *name == path).map(|(_, text)| *text)
    }
}

impl World for PaperWorld {
    fn library(&self) -> &LazyHash<Library> {
        &shared().library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &shared().book
    }

    fn main(&self) -> FileId {
        self.main
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        let path = id.get().vpath().get_with_slash();
        // Only embedded templates are source; nothing of a job ever is.
        let text = Self::template(path).ok_or_else(|| FileError::NotFound(path.into()))?;
        Ok(Source::new(id, text.to_owned()))
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        let path = id.get().vpath().get_with_slash();
        if let Some(text) = Self::template(path) {
            return Ok(Bytes::from_string(text));
        }
        self.files.get(path).cloned().ok_or_else(|| FileError::NotFound(path.into()))
    }

    fn font(&self, index: usize) -> Option<Font> {
        shared().fonts.get(index).cloned()
    }

    fn today(&self, _offset: Option<Duration>) -> Option<Datetime> {
        None
    }
}

/// Sets all parts once, and writes each and the whole as PDF.
pub(crate) fn set(job: Job<'_>) -> Result<Vec<Printed>, PaperError> {
    let typeset = |reason: String| PaperError::Typeset { paper: "set", reason };
    let main = file_id(MAIN).ok_or_else(|| typeset(format!("no path {MAIN}")))?;
    let files = job.files.into_iter().map(|(path, bytes)| (path, Bytes::new(bytes))).collect();
    let world = PaperWorld { main, files };
    let document = typst::compile::<PagedDocument>(&world).output.map_err(|errors| typeset(told(&errors)))?;
    let all = document.pages().len();
    let mut wanted: Vec<Ranged> = Vec::new();
    for Wanted { name, first, last } in &job.wanted {
        let page = |at: &str, part: &str| page_of(&document, &format!("{at}-{part}"));
        let pages = page("begin", first).zip(page("finish", last));
        let (first, last) = pages.ok_or_else(|| typeset(format!("{name} has no pages")))?;
        wanted.push((name, first, last));
    }
    let creator = job.creator;
    let (ident, timestamp) = (job.ident, job.date.and_then(timestamp));
    let write = |(name, first, last): &Ranged| {
        let (first, last) = (*first, *last);
        let is_whole = last - first + 1 == all;
        let options = |standards: PdfStandards, tagged: bool| PdfOptions {
            ident: Smart::Custom(format!("{ident}/{name}")),
            creator: Smart::Custom(Some(creator.clone())),
            timestamp,
            page_ranges: (!is_whole)
                .then(|| PageRanges::new(vec![NonZeroUsize::new(first)..=NonZeroUsize::new(last)])),
            standards,
            // A range of a document's pages cannot be tagged.
            tagged,
            ..PdfOptions::default()
        };
        // What is kept for years: dated, whole, with its structure. What no reader of such a file could show, such as a letter
        // that no font has, makes it a plain one.
        let kept = (is_whole && timestamp.is_some()).then(|| PdfStandards::new(KEPT).ok()).flatten();
        let kept = kept.and_then(|standards| typst_pdf::pdf(&document, &options(standards, true)).ok());
        let pdf = match kept {
            Some(pdf) => pdf,
            None => typst_pdf::pdf(&document, &options(PdfStandards::default(), false))
                .map_err(|errors| PaperError::Write { paper: name, reason: told(&errors) })?,
        };
        Ok(Printed { name, pages: last - first + 1, pdf })
    };
    let out = in_turns(&wanted, write);
    // The typesetter remembers what it has set; a program that runs for weeks must let go of it.
    typst::comemo::evict(4);
    out
}

/// The name of a file, its first page and its last.
type Ranged = (&'static str, usize, usize);

/// The standards that a finished binding keeps: ISO 19005-2 with its structure, and ISO 14289-1.
const KEPT: &[PdfStandard] = &[PdfStandard::A_2a, PdfStandard::Ua_1];

/// Works through a list on all processors; the order stays that of the list.
pub(crate) fn in_turns<I: Sync, O: Send>(
    list: &[I],
    work: impl Fn(&I) -> Result<O, PaperError> + Sync,
) -> Result<Vec<O>, PaperError> {
    let next = AtomicUsize::new(0);
    let workers = std::thread::available_parallelism().map_or(1, NonZeroUsize::get).min(list.len().max(1));
    let mut done: Vec<(usize, Result<O, PaperError>)> = std::thread::scope(|scope| {
        let hands: Vec<_> = (0..workers)
            .map(|_| {
                scope.spawn(|| {
                    let mut mine = Vec::new();
                    loop {
                        let index = next.fetch_add(1, Ordering::Relaxed);
                        let Some(one) = list.get(index) else { break mine };
                        mine.push((index, work(one)));
                    }
                })
            })
            .collect();
        hands.into_iter().flat_map(|hand| hand.join().unwrap_or_default()).collect()
    });
    done.sort_by_key(|(index, _)| *index);
    if done.len() < list.len() {
        return Err(PaperError::Write { paper: "set", reason: "a worker stopped".to_owned() });
    }
    done.into_iter().map(|(_, made)| made).collect()
}

/// The page on which a mark stands.
fn page_of(document: &PagedDocument, label: &str) -> Option<usize> {
    let introspector: &dyn Introspector = document.introspector().as_ref();
    let label = Label::new(PicoStr::intern(label))?;
    let location = introspector.query_label(label).ok()?.location()?;
    introspector.page(location).map(NonZeroUsize::get)
}

fn told(errors: &[typst::diag::SourceDiagnostic]) -> String {
    errors.iter().map(|error| error.message.as_str()).collect::<Vec<_>>().join("; ")
}

/// A written date as a time stamp; nothing when it is no date.
fn timestamp(date: &str) -> Option<Timestamp> {
    let mut parts = date.split('-');
    let year = parts.next()?.parse().ok()?;
    let month = parts.next()?.parse().ok()?;
    let day = parts.next()?.parse().ok()?;
    if parts.next().is_some() {
        return None;
    }
    Some(Timestamp::new_utc(Datetime::from_ymd_hms(year, month, day, 0, 0, 0)?))
}

//! The typesetter's whole world: embedded templates and fonts, and the virtual files of one paper.

use std::collections::BTreeMap;
use std::sync::OnceLock;

use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration, Smart};
use typst::syntax::{FileId, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};
use typst_layout::PagedDocument;
use typst_pdf::{PdfOptions, Timestamp};

use crate::{Paper, PaperError};

/// What all papers share: templates by path.
const TEMPLATES: &[(&str, &str)] = &[
    ("/sheet.typ", include_str!("../templates/sheet.typ")),
    ("/layout.typ", include_str!("../templates/layout.typ")),
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

/// One paper to be set: its template and its own files, such as `data.json` and drawings.
pub(crate) struct Job<'a> {
    /// Name of the paper.
    pub(crate) name: &'static str,
    /// Path of its template.
    pub(crate) template: &'static str,
    /// Virtual files by path.
    pub(crate) files: BTreeMap<&'static str, Vec<u8>>,
    /// Identifies the document: a hash of everything that goes into it.
    pub(crate) ident: String,
    /// Name and version of the program.
    pub(crate) creator: String,
    /// Date of issue as written, `2026-03-14`; none for a draft.
    pub(crate) date: Option<&'a str>,
}

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

/// Sets the paper and writes it as PDF.
pub(crate) fn set(job: Job<'_>) -> Result<Paper, PaperError> {
    let name = job.name;
    let typeset = |reason: String| PaperError::Typeset { paper: name, reason };
    let main = file_id(job.template).ok_or_else(|| typeset(format!("no path {}", job.template)))?;
    let files = job.files.into_iter().map(|(path, bytes)| (path.to_owned(), Bytes::new(bytes))).collect();
    let world = PaperWorld { main, files };
    let document = typst::compile::<PagedDocument>(&world).output.map_err(|errors| typeset(told(&errors)))?;
    let options = PdfOptions {
        ident: Smart::Custom(job.ident),
        creator: Smart::Custom(Some(job.creator)),
        timestamp: job.date.and_then(timestamp),
        ..PdfOptions::default()
    };
    let pdf = typst_pdf::pdf(&document, &options)
        .map_err(|errors| PaperError::Write { paper: name, reason: told(&errors) })?;
    // The typesetter remembers what it has set; a program that runs for weeks must let go of it.
    typst::comemo::evict(4);
    Ok(Paper { name, pages: document.pages().len(), pdf })
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

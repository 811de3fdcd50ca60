//! All that the typesetter may see: one template, the document as JSON, the fonts that are built in.
//! No folder, no network, no packages, no clock.

use chrono::{DateTime, Datelike, Timelike, Utc};
use std::sync::LazyLock;
use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime, Duration};
use typst::syntax::{FileId, PathError, RootedPath, Source, VirtualPath, VirtualRoot};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

const TEMPLATE: &str = include_str!("statement.typ");

/// What every document shares; read once.
struct Shared {
    library: LazyHash<Library>,
    fonts: Vec<Font>,
    book: LazyHash<FontBook>,
}

static SHARED: LazyLock<Shared> = LazyLock::new(|| {
    let fonts: Vec<Font> = typst_assets::fonts().flat_map(|data| Font::iter(Bytes::new(data))).collect();
    let book = LazyHash::new(FontBook::from_fonts(&fonts));
    Shared { library: LazyHash::new(Library::default()), fonts, book }
});

/// The template and one document.
pub(super) struct Desk {
    template: Source,
    data: (FileId, Bytes),
    made: Option<Datetime>,
}

impl Desk {
    /// Lays one document, as JSON, before the typesetter.
    pub(super) fn new(json: Vec<u8>, made: DateTime<Utc>) -> Result<Self, PathError> {
        let id =
            |name| VirtualPath::new(name).map(|path| RootedPath::new(VirtualRoot::Project, path).intern());
        Ok(Self {
            template: Source::new(id("statement.typ")?, TEMPLATE.to_owned()),
            data: (id("statement.json")?, Bytes::new(json)),
            made: datetime(made),
        })
    }

    /// The instant of knowledge, which is the document's date.
    pub(super) const fn made(&self) -> Option<Datetime> {
        self.made
    }
}

fn datetime(made: DateTime<Utc>) -> Option<Datetime> {
    let small = |number: u32| u8::try_from(number).ok();
    Datetime::from_ymd_hms(
        made.year(),
        small(made.month())?,
        small(made.day())?,
        small(made.hour())?,
        small(made.minute())?,
        small(made.second())?,
    )
}

impl World for Desk {
    fn library(&self) -> &LazyHash<Library> {
        &SHARED.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &SHARED.book
    }

    fn main(&self) -> FileId {
        self.template.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.template.id() { Ok(self.template.clone()) } else { Err(absent(id)) }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        if id == self.data.0 { Ok(self.data.1.clone()) } else { Err(absent(id)) }
    }

    fn font(&self, index: usize) -> Option<Font> {
        SHARED.fonts.get(index).cloned()
    }

    fn today(&self, _: Option<Duration>) -> Option<Datetime> {
        self.made
    }
}

fn absent(id: FileId) -> FileError {
    FileError::NotFound(id.vpath().get_without_slash().into())
}

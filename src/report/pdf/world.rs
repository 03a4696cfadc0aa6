//! What the typesetter can see: its template, the page's data, the pictures, its fonts. No disk, no network, no clock.
use crate::report::page::Picture;
use std::collections::{BTreeSet, HashMap};
use std::sync::LazyLock;
use typst::diag::{FileError, FileResult};
use typst::foundations::{Bytes, Datetime};
use typst::syntax::{FileId, Source, VirtualPath};
use typst::text::{Font, FontBook};
use typst::utils::LazyHash;
use typst::{Library, LibraryExt, World};

struct Fonts {
    all: Vec<Font>,
    book: LazyHash<FontBook>,
}

static FONTS: LazyLock<Fonts> = LazyLock::new(|| {
    let all: Vec<Font> = typst_assets::fonts().flat_map(|bytes| Font::iter(Bytes::new(bytes))).collect();
    let book = LazyHash::new(FontBook::from_fonts(&all));
    Fonts { all, book }
});

/// Everything that lies before the typesetter.
pub struct Desk {
    library: LazyHash<Library>,
    template: Source,
    files: HashMap<FileId, Bytes>,
}

impl Desk {
    pub fn new<'p>(data: &str, pictures: impl Iterator<Item = &'p Picture>) -> Desk {
        let id = |name: &str| FileId::new(None, VirtualPath::new(name));
        let mut files: HashMap<FileId, Bytes> = pictures.map(|p| (id(&p.file), Bytes::new(p.jpeg.clone()))).collect();
        files.insert(id("page.json"), Bytes::from_string(data.to_owned()));
        let template = Source::new(id("page.typ"), include_str!("page.typ").to_owned());
        Desk { library: LazyHash::new(Library::default()), template, files }
    }

    /// The characters of a text that none of the fonts has.
    pub fn unprintable(&self, text: &str) -> Vec<char> {
        let shown: BTreeSet<char> = text.chars().filter(|c| !c.is_control()).collect();
        let has =
            |c: char| (0..FONTS.all.len()).any(|at| FONTS.book.info(at).is_some_and(|f| f.coverage.contains(c as u32)));
        shown.into_iter().filter(|&c| !has(c)).collect()
    }
}

impl World for Desk {
    fn library(&self) -> &LazyHash<Library> {
        &self.library
    }

    fn book(&self) -> &LazyHash<FontBook> {
        &FONTS.book
    }

    fn main(&self) -> FileId {
        self.template.id()
    }

    fn source(&self, id: FileId) -> FileResult<Source> {
        if id == self.template.id() { Ok(self.template.clone()) } else { Err(not_here(id)) }
    }

    fn file(&self, id: FileId) -> FileResult<Bytes> {
        self.files.get(&id).cloned().ok_or_else(|| not_here(id))
    }

    fn font(&self, index: usize) -> Option<Font> {
        FONTS.all.get(index).cloned()
    }

    /// A report is the same whenever it is printed.
    fn today(&self, _: Option<i64>) -> Option<Datetime> {
        None
    }
}

fn not_here(id: FileId) -> FileError {
    FileError::NotFound(id.vpath().as_rootless_path().to_owned())
}

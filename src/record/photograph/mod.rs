//! The photographs of a visit: copied in and never changed, with when they were taken.
mod camera;
mod fit;
mod place;

use super::file::{self, read_json, write_json};
use super::note::{free_name, hash, tidy_name};
use super::{Added, Error, Visit};
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};

pub use camera::is_picture;
pub use place::{Found, How, Placed, place};

const VERSION: u32 = 1;
const CURE: &str = "move photos.json away and add the photographs again: the files in photos/ stay as they are";

/// One photograph in `photos.json`.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Photograph {
    /// File name in `photos/`.
    pub name: String,
    pub sha256: String,
    pub bytes: u64,
    /// When it was taken by the camera's own clock, if the camera wrote that down.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    pub taken: Option<jiff::Timestamp>,
    /// How the camera was turned (EXIF, 1 to 8; 1 is upright).
    pub turn: u8,
}

/// `photos.json`.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
struct PhotoList {
    version: u32,
    /// What has to be added to the camera's clock, in seconds, if a person said so.
    #[serde(skip_serializing_if = "Option::is_none", default)]
    clock_offset_s: Option<i64>,
    photographs: Vec<Photograph>,
}

impl Visit {
    fn photo_list_path(&self) -> PathBuf {
        self.root().join("photos.json")
    }

    /// Where a photograph lies.
    pub fn photograph_path(&self, name: &str) -> PathBuf {
        self.root().join("photos").join(name)
    }

    fn photo_list(&self) -> Result<PhotoList, Error> {
        let path = self.photo_list_path();
        if !path.exists() {
            return Ok(PhotoList { version: VERSION, ..PhotoList::default() });
        }
        let list = read_json::<PhotoList>(&path, VERSION, CURE)?;
        match list.photographs.iter().find(|p| tidy_name(&p.name) != p.name) {
            None => Ok(list),
            Some(bad) => {
                let what = format!("'{}' is no name of a file in photos/", bad.name.escape_debug());
                Err(Error::Damaged { path, line: 1, what, cure: CURE })
            }
        }
    }

    /// The photographs in the order taken; those of an unknown time come last.
    pub fn photographs(&self) -> Result<Vec<Photograph>, Error> {
        let mut photographs = self.photo_list()?.photographs;
        photographs.sort_by(|a, b| (a.taken.is_none(), a.taken, &a.name).cmp(&(b.taken.is_none(), b.taken, &b.name)));
        Ok(photographs)
    }

    /// What a person said has to be added to the camera's clock.
    pub fn clock_offset(&self) -> Result<Option<jiff::SignedDuration>, Error> {
        Ok(self.photo_list()?.clock_offset_s.map(jiff::SignedDuration::from_secs))
    }

    /// Keeps what has to be added to the camera's clock; nothing means that it is to be found.
    pub fn set_clock_offset(&self, offset: Option<jiff::SignedDuration>) -> Result<(), Error> {
        let _lock = self.lock()?;
        let list = PhotoList { clock_offset_s: offset.map(|o| o.as_secs()), ..self.photo_list()? };
        write_json(&self.photo_list_path(), &list)
    }

    /// Copies a file in as a photograph, unless it is in already or is none.
    pub fn add_photograph(&self, from: &Path) -> Result<Added<Photograph>, Error> {
        let name = from.file_name().map(|n| n.to_string_lossy()).unwrap_or_default();
        let mut photograph = camera::inspect(from, &tidy_name(&name))?;
        let _lock = self.lock()?;
        let mut list = self.photo_list()?;
        if let Some(known) = list.photographs.iter().find(|p| p.sha256 == photograph.sha256) {
            return Ok(Added::Known(known.clone()));
        }
        let listed = |name: &str| list.photographs.iter().any(|p| p.name.eq_ignore_ascii_case(name));
        let known_name = photograph.name.clone();
        // A copy that a program was ended after is the same bytes under the same name: it is listed now.
        let there = self.photograph_path(&known_name);
        let left_over = !listed(&known_name) && there.exists() && hash(&there)? == photograph.sha256;
        if !left_over {
            photograph.name = free_name(&known_name, |name| listed(name) || self.photograph_path(name).exists());
            self.copy_whole(from, &self.photograph_path(&photograph.name), &photograph.sha256)?;
        }
        list.photographs.push(photograph.clone());
        write_json(&self.photo_list_path(), &list)?;
        Ok(Added::New(photograph))
    }

    /// Copies the bytes, and makes sure that they are the ones that were inspected.
    pub(super) fn copy_whole(&self, from: &Path, to: &Path, sha256: &str) -> Result<(), Error> {
        let folder = to.parent().unwrap_or(self.root());
        std::fs::create_dir_all(folder).map_err(Error::write(folder))?;
        let mut part = file::part(folder).map_err(Error::write(to))?;
        let mut source = std::fs::File::open(from).map_err(Error::read(from))?;
        std::io::copy(&mut source, &mut part).map_err(Error::write(to))?;
        if hash(part.path())? != sha256 {
            let what = "it changed while it was being copied".to_owned();
            return Err(Error::BadNote { path: from.to_owned(), what, cure: "wait until it is finished, then add it" });
        }
        // Where a recording does not say when it was made, its file does; a note that is not listed yet must not lose that.
        if let Ok(changed) = source.metadata().and_then(|about| about.modified()) {
            part.as_file().set_modified(changed).map_err(Error::write(to))?;
        }
        file::keep(part, to)
    }
}

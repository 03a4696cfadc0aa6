//! What lies in a folder of a store; names that are no paths are singled out, and cost nothing but themselves.
use super::address::check;
use super::{Bucket, Error};
use jiff::Timestamp;
use object_store::list::{PaginatedListOptions, PaginatedListResult, PaginatedListStore};
use object_store::{Error as Cause, ObjectMeta, path};

/// Names that the store gives at a time, the most that S3 allows.
const PAGE: usize = 1000;
/// A folder with more names that are no paths is somebody's attack, or none of ours.
const MOST_REFUSED: usize = 100;

/// One object.
#[derive(Debug, Clone, PartialEq)]
pub struct Object {
    /// Below the folder that was listed.
    pub name: String,
    pub bytes: u64,
    pub modified: Timestamp,
    /// Another one whenever the object changes.
    pub tag: String,
}

/// All that was found.
#[derive(Debug, Default)]
pub struct Listing {
    /// Sorted by name.
    pub objects: Vec<Object>,
    /// Whole names that are no paths, each with the reason.
    pub refused: Vec<Error>,
}

/// How far a listing has come.
#[derive(Debug, Clone, Default)]
struct At {
    token: Option<String>,
    after: Option<String>,
}

impl Bucket {
    /// What lies in a folder below this one, at any depth.
    pub fn list(&self, below: &str) -> Result<Listing, Error> {
        let folder = if below.is_empty() {
            self.address.clone()
        } else {
            self.allow(below)?;
            self.address.join(below)
        };
        let prefix = if folder.folder.is_empty() { String::new() } else { format!("{}/", folder.folder) };
        let (mut listing, mut at, mut most) = (Listing::default(), At::default(), PAGE);
        loop {
            match self.page(&prefix, &at, most) {
                Ok(page) => {
                    listing.take(&prefix, page.result.objects);
                    let Some(token) = page.page_token else { break };
                    at = At { token: Some(token), after: None };
                }
                // One bad name spoils the page that it is on, so the page is halved until it is alone.
                Err(Cause::InvalidPath { .. }) if most > 1 => most = most.div_ceil(2),
                Err(Cause::InvalidPath { source }) => {
                    let key = whole(&source);
                    at = At { token: None, after: Some(key.clone()) };
                    most = PAGE;
                    let what = check(key.strip_prefix(&prefix).unwrap_or(&key)).err().unwrap_or("its name is no path");
                    listing.refused.push(Error::Key { key, what });
                }
                Err(source) => return Err(Error::of(&folder.to_string(), source)),
            }
            if listing.refused.len() > MOST_REFUSED {
                return Err(Error::Keys { folder: folder.to_string(), most: MOST_REFUSED });
            }
        }
        listing.objects.sort_by(|a, b| a.name.cmp(&b.name));
        Ok(listing)
    }

    /// Asks for one name, which tells whether the store answers, and gives what is asked.
    pub fn reach(&self) -> Result<(), Error> {
        match self.page(&self.address.folder, &At::default(), 1) {
            Ok(_) | Err(Cause::InvalidPath { .. }) => Ok(()),
            Err(source) => Err(Error::of(&self.address.to_string(), source)),
        }
    }

    fn page(&self, prefix: &str, at: &At, most: usize) -> Result<PaginatedListResult, Cause> {
        let At { token, after } = at.clone();
        let options =
            PaginatedListOptions { offset: after, page_token: token, max_keys: Some(most), ..Default::default() };
        self.wait(self.store.list_paginated(Some(prefix), options))
    }
}

impl Listing {
    fn take(&mut self, prefix: &str, found: Vec<ObjectMeta>) {
        for about in found {
            let key = about.location.to_string();
            let Some(name) = key.strip_prefix(prefix) else { continue };
            // Some tools put an empty object where they want a folder to be seen; its name ended in a slash.
            if about.size == 0 && !name.rsplit('/').next().unwrap_or(name).contains('.') {
                continue;
            }
            if let Err(what) = check(name) {
                self.refused.push(Error::Key { key, what });
                continue;
            }
            let modified = Timestamp::from_second(about.last_modified.timestamp()).unwrap_or_default();
            let tag = about.e_tag.unwrap_or_default();
            self.objects.push(Object { name: name.to_owned(), bytes: about.size, modified, tag });
        }
    }

    /// The object of a name, if it is there.
    pub fn find(&self, name: &str) -> Option<&Object> {
        let at = self.objects.binary_search_by(|object| object.name.as_str().cmp(name)).ok()?;
        self.objects.get(at)
    }
}

/// The whole name of an object that is no path.
fn whole(error: &path::Error) -> String {
    match error {
        path::Error::EmptySegment { path } | path::Error::BadSegment { path, .. } => path.clone(),
        other => other.to_string(),
    }
}

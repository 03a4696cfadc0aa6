//! A visit of the store in a person's hands: fetched into a folder of theirs, and returned when they are done.
use super::copy::Files;
use super::{Address, Bucket, Copy, Error};
use crate::record::{Visit, read_json, write_json};
use serde::{Deserialize, Serialize};
use std::path::{Path, PathBuf};

const VERSION: u32 = 1;
const NAME: &str = ".store.json";
const CURE: &str = "fetch the visit into another folder";

/// `.store.json`: where a folder was fetched from, and what it then was.
#[derive(Debug, Serialize, Deserialize)]
struct Origin {
    version: u32,
    address: String,
    files: Files,
}

/// What became of a visit's files.
#[derive(Debug)]
pub struct Moved {
    pub address: Address,
    pub files: usize,
    /// Objects that are no files of a visit.
    pub refused: Vec<Error>,
}

/// Fetches a visit into a new folder, or what is new of it into one that it was fetched into before.
pub fn fetch_visit(address: Address, dir: &Path) -> Result<Moved, Error> {
    let known = match origin(dir) {
        Ok(known) if known.address != address.to_string() => {
            return Err(Error::Elsewhere { path: dir.to_owned(), found: known.address });
        }
        Ok(known) => known.files,
        Err(Error::Unfetched { .. }) if !is_empty(dir) => return Err(Error::Taken { path: dir.to_owned() }),
        Err(Error::Unfetched { .. }) => Files::new(),
        Err(error) => return Err(error),
    };
    let bucket = Bucket::open(address.clone())?;
    let listing = bucket.list("")?;
    if listing.find("visit.toml").is_none() {
        return Err(Error::Missing { object: bucket.told("visit.toml") });
    }
    std::fs::create_dir_all(dir).map_err(Error::write(dir))?;
    let _lock = Visit::open(dir).ok().map(|visit| visit.lock()).transpose()?;
    let mut copy = Copy::new(&bucket, "", dir);
    copy.files = known;
    let done = copy.fetch(listing.objects.iter());
    // Whatever came of it: what is here is known, and the same command goes on.
    keep(dir, &address, &copy)?;
    Ok(Moved { address, files: done?, refused: listing.refused })
}

/// Puts what was changed in a fetched folder back to where it came from.
pub fn return_visit(dir: &Path) -> Result<Moved, Error> {
    let origin = origin(dir)?;
    let address = Address::parse(&origin.address)?;
    let bucket = Bucket::open(address.clone())?;
    let _lock = Visit::open(dir)?.lock()?;
    let mut copy = Copy::new(&bucket, "", dir);
    copy.files = origin.files;
    let done = copy.put(&|| true);
    keep(dir, &address, &copy)?;
    Ok(Moved { address, files: done?, refused: Vec::new() })
}

fn origin(dir: &Path) -> Result<Origin, Error> {
    let path: PathBuf = dir.join(NAME);
    if !path.exists() {
        return Err(Error::Unfetched { path: dir.to_owned() });
    }
    Ok(read_json(&path, VERSION, CURE)?)
}

fn keep(dir: &Path, address: &Address, copy: &Copy) -> Result<(), Error> {
    let origin = Origin { version: VERSION, address: address.to_string(), files: copy.files.clone() };
    Ok(write_json(&dir.join(NAME), &origin)?)
}

fn is_empty(dir: &Path) -> bool {
    std::fs::read_dir(dir).map_or(true, |mut entries| entries.next().is_none())
}

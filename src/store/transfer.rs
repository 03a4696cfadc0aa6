//! Objects into files, and files into objects.
use super::{Bucket, Error, Object};
use crate::record::{hash, part};
use object_store::path::Path as Key;
use object_store::{
    Attribute, Attributes, Error as Cause, MultipartUpload, ObjectMeta, ObjectStore, PutMode, PutMultipartOptions,
    PutOptions, PutResult, UpdateVersion,
};
use std::borrow::Cow;
use std::fs::File;
use std::io::{Read, Write};
use std::path::Path;
use std::time::{Duration, SystemTime, UNIX_EPOCH};

/// A file larger than this goes up in pieces of this size, so that a slow line has to hold for one piece only.
const PIECE: u64 = 8 << 20;
/// How often a file is put that does not go up, and how long is waited between.
const TRIES: u32 = 3;
const NAP: Duration = Duration::from_millis(500);
/// Where the time of a file is kept, as seconds; other tools that copy files keep it under this name too.
const MTIME: Attribute = Attribute::Metadata(Cow::Borrowed("mtime"));

/// Asks whether this program may still put what it made.
pub type Still<'a> = &'a dyn Fn() -> bool;

/// What may lie where an object is put.
#[derive(Debug, Clone, PartialEq)]
pub enum Over {
    Nothing,
    /// The object that has this tag.
    Tag(String),
}

impl Bucket {
    /// Fetches an object into a file, whole or not at all, with the time that it had as a file. Gives its tag.
    pub fn fetch(&self, object: &Object, to: &Path) -> Result<String, Error> {
        let folder = to.parent().unwrap_or(Path::new("."));
        std::fs::create_dir_all(folder).map_err(Error::write(folder))?;
        let mut file = part(folder).map_err(Error::write(to))?;
        let mut room = object.bytes;
        let large = |found| Error::Size { object: self.told(&object.name), found, wanted: object.bytes };
        let (about, attributes) = self.read(&object.name, |block| {
            room = room.checked_sub(block.len() as u64).ok_or_else(|| large(object.bytes + 1))?;
            file.write_all(block).map_err(Error::write(to))
        })?;
        if room > 0 {
            return Err(large(object.bytes - room));
        }
        file.as_file().set_modified(time_of(&about, &attributes)).map_err(Error::write(to))?;
        file.persist(to).map_err(|e| Error::Write { path: to.to_owned(), source: e.error })?;
        Ok(about.e_tag.unwrap_or_default())
    }

    /// Puts a file, whole or not at all, unless somebody else was quicker. Gives its tag. What lies there already, of the
    /// same bytes, is as good.
    pub fn put(&self, name: &str, from: &Path, over: &Over, still: Still) -> Result<String, Error> {
        let mut tried = 0;
        loop {
            tried += 1;
            let put = self.put_once(name, from, over, still);
            match put {
                Err(Error::Changed { .. }) if self.is_same(name, from)? => {
                    return Ok(self.tag(name)?.unwrap_or_default());
                }
                Err(Error::Failed { .. }) if tried < TRIES => std::thread::sleep(NAP * tried),
                other => return other,
            }
        }
    }

    fn is_same(&self, name: &str, file: &Path) -> Result<bool, Error> {
        match self.hash(name) {
            Ok(there) => Ok(there == hash(file)?),
            // It was taken away meanwhile.
            Err(Error::Missing { .. }) => Ok(false),
            Err(error) => Err(error),
        }
    }

    fn put_once(&self, name: &str, from: &Path, over: &Over, still: Still) -> Result<String, Error> {
        let mut file = File::open(from).map_err(Error::read(from))?;
        let about = file.metadata().map_err(Error::read(from))?;
        let attributes = attributes(about.modified().ok());
        let (key, failed) = (self.key(name)?, |source| Error::of(&self.told(name), source));
        if !still() {
            return Err(Error::Lost { object: self.told(name) });
        }
        let put = if about.len() > PIECE {
            self.put_pieces(name, &key, &mut file, attributes, over, still)?
        } else {
            let mut bytes = Vec::new();
            file.take(PIECE + 1).read_to_end(&mut bytes).map_err(Error::read(from))?;
            self.put_bytes(&key, bytes, attributes, over).map_err(failed)?
        };
        Ok(put.e_tag.unwrap_or_default())
    }

    fn put_bytes(&self, key: &Key, bytes: Vec<u8>, attributes: Attributes, over: &Over) -> Result<PutResult, Cause> {
        let mode = match over {
            Over::Nothing => PutMode::Create,
            Over::Tag(tag) => PutMode::Update(UpdateVersion { e_tag: Some(tag.clone()), version: None }),
        };
        let bytes = object_store::PutPayload::from(bytes);
        let options = |mode| PutOptions { mode, attributes: attributes.clone(), ..PutOptions::default() };
        match self.wait(self.store.put_opts(key, bytes.clone(), options(mode))) {
            // Whoever switched conditions off has a store that knows none; then the lease alone guards what is there.
            Err(Cause::NotImplemented { .. }) => {
                self.wait(self.store.put_opts(key, bytes, options(PutMode::Overwrite)))
            }
            other => other,
        }
    }

    /// A large file, piece by piece; there is no condition for these, so what lies there is looked at before, and whether
    /// this program may still do it is asked after the last piece.
    fn put_pieces(
        &self,
        name: &str,
        key: &Key,
        file: &mut File,
        attributes: Attributes,
        over: &Over,
        still: Still,
    ) -> Result<PutResult, Error> {
        let there = self.tag(name)?.map_or(Over::Nothing, Over::Tag);
        if there != *over {
            return Err(Error::Changed { object: self.told(name) });
        }
        let failed = |source| Error::of(&self.told(name), source);
        let options = PutMultipartOptions { attributes, ..PutMultipartOptions::default() };
        let mut upload = self.wait(self.store.put_multipart_opts(key, options)).map_err(failed)?;
        let put = self.put_each(name, file, upload.as_mut()).and_then(|()| match still() {
            true => self.wait(upload.complete()).map_err(failed),
            false => Err(Error::Lost { object: self.told(name) }),
        });
        if put.is_err() {
            // Pieces that stay behind are nobody's object; the store may clear them away.
            let _ = self.wait(upload.abort());
        }
        put
    }

    fn put_each(&self, name: &str, file: &mut File, upload: &mut dyn MultipartUpload) -> Result<(), Error> {
        loop {
            let mut piece = Vec::new();
            file.take(PIECE).read_to_end(&mut piece).map_err(Error::read(Path::new(name)))?;
            if piece.is_empty() {
                return Ok(());
            }
            self.wait(upload.put_part(piece.into())).map_err(|source| Error::of(&self.told(name), source))?;
        }
    }
}

fn attributes(modified: Option<SystemTime>) -> Attributes {
    let since = modified.and_then(|time| time.duration_since(UNIX_EPOCH).ok());
    let text = since.map(|since| format!("{}.{:09}", since.as_secs(), since.subsec_nanos()));
    Attributes::from_iter(text.map(|text| (MTIME, text)))
}

/// When an object was changed as a file, if it says so; else when it was put.
fn time_of(about: &ObjectMeta, attributes: &Attributes) -> SystemTime {
    let put = u64::try_from(about.last_modified.timestamp()).unwrap_or_default();
    let kept = attributes.get(&MTIME).and_then(|text| seconds(text));
    UNIX_EPOCH + kept.unwrap_or(Duration::from_secs(put))
}

/// Seconds since 1970 with a fraction; a number that a file cannot have for its time is none.
fn seconds(text: &str) -> Option<Duration> {
    let (whole, fraction) = text.split_once('.').unwrap_or((text, ""));
    let whole: u64 = whole.parse().ok().filter(|seconds| *seconds < 1 << 36)?;
    let digits: String = fraction.chars().chain(std::iter::repeat('0')).take(9).collect();
    Some(Duration::new(whole, digits.parse().ok()?))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_time_of_a_file_outlives_the_store() {
        let time = UNIX_EPOCH + Duration::new(1_773_489_600, 50);
        let kept = attributes(Some(time));
        assert_eq!(kept.get(&MTIME).map(|text| text.to_string()).as_deref(), Some("1773489600.000000050"));
        assert_eq!(seconds("1773489600.000000050"), Some(Duration::new(1_773_489_600, 50)));
        assert_eq!(seconds("1773489600.5"), Some(Duration::new(1_773_489_600, 500_000_000)));
        assert_eq!(seconds("1773489600"), Some(Duration::from_secs(1_773_489_600)));
        for bad in ["", "-1", "x", "99999999999999999999", "1.x"] {
            assert_eq!(seconds(bad), None, "{bad}");
        }
    }
}

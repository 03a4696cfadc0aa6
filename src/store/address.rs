//! Where in a store something lies, and which names of objects are paths.
use super::Error;
use std::fmt;

/// What every address in a store begins with.
pub const SCHEME: &str = "s3://";
/// The longest name of one file that common file systems take, in bytes.
const LONGEST: usize = 255;

/// A folder in a store: a bucket, and what the names of the objects in it begin with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Address {
    pub bucket: String,
    /// Without a slash at either end; empty for the whole bucket.
    pub folder: String,
}

impl Address {
    /// Reads `s3://BUCKET/FOLDER`.
    pub fn parse(given: &str) -> Result<Address, Error> {
        let refuse = |what| Error::Address { given: given.to_owned(), what };
        let rest = given.strip_prefix(SCHEME).ok_or_else(|| refuse("it does not begin with s3://"))?;
        let (bucket, folder) = rest.split_once('/').unwrap_or((rest, ""));
        let plain = |b: u8| b.is_ascii_lowercase() || b.is_ascii_digit() || b".-".contains(&b);
        if !(3..=63).contains(&bucket.len()) || !bucket.bytes().all(plain) {
            return Err(refuse("a bucket's name is 3 to 63 small letters, digits, dots and hyphens"));
        }
        let folder = folder.strip_suffix('/').unwrap_or(folder);
        if !folder.is_empty() {
            check(folder).map_err(refuse)?;
        }
        Ok(Address { bucket: bucket.to_owned(), folder: folder.to_owned() })
    }

    /// A folder or an object below this one; `name` was checked.
    pub fn join(&self, name: &str) -> Address {
        let folder = if self.folder.is_empty() { name.to_owned() } else { format!("{}/{name}", self.folder) };
        Address { bucket: self.bucket.clone(), folder }
    }

    /// The last part of the name.
    pub fn name(&self) -> &str {
        let last = self.folder.rsplit('/').next().unwrap_or_default();
        if last.is_empty() { &self.bucket } else { last }
    }

    /// Whether one of the two lies in the other.
    pub fn overlaps(&self, other: &Address) -> bool {
        let within = |a: &str, b: &str| b.is_empty() || a == b || a.starts_with(&format!("{b}/"));
        let (a, b) = (&self.folder, &other.folder);
        self.bucket == other.bucket && (within(a, b) || within(b, a))
    }
}

impl fmt::Display for Address {
    fn fmt(&self, f: &mut fmt::Formatter) -> fmt::Result {
        write!(f, "{SCHEME}{}", self.bucket)?;
        if self.folder.is_empty() { Ok(()) } else { write!(f, "/{}", self.folder) }
    }
}

/// Whether the name of an object, or a part of it, can be a path here: it then leads nowhere but downwards.
pub fn check(name: &str) -> Result<(), &'static str> {
    for part in name.split('/') {
        match part {
            "" => return Err("a part of its name is empty"),
            "." | ".." => return Err("its name leads out of its folder with '.' or '..'"),
            _ if part.len() > LONGEST => return Err("a part of its name is longer than 255 bytes"),
            _ if part.contains('\\') => return Err("its name holds a backslash"),
            _ if part.chars().any(char::is_control) => return Err("its name holds a control character"),
            _ => {}
        }
    }
    Ok(())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn an_address_is_a_bucket_and_a_folder() {
        let of = |bucket: &str, folder: &str| Address { bucket: bucket.into(), folder: folder.into() };
        assert_eq!(Address::parse("s3://office/visits/2026/").unwrap(), of("office", "visits/2026"));
        assert_eq!(Address::parse("s3://office").unwrap(), of("office", ""));
        assert_eq!(Address::parse("s3://office/a b").unwrap().to_string(), "s3://office/a b");
        // Names of buckets as the S3 user guide has them: small letters, digits, dots, hyphens, 3 to 63 (from memory).
        for bad in
            ["office", "s3://", "s3://Of", "s3://../x", "s3://office//x", "s3://office/../x", "s3://office/a\u{7}"]
        {
            assert!(matches!(Address::parse(bad), Err(Error::Address { .. })), "{bad}");
        }
    }

    #[test]
    fn a_folder_within_another_overlaps_it_and_a_longer_name_does_not() {
        let overlap = |a: &str, b: &str| Address::parse(a).unwrap().overlaps(&Address::parse(b).unwrap());
        assert!(overlap("s3://office/a", "s3://office/a/b") && overlap("s3://office", "s3://office/a"));
        assert!(!overlap("s3://office/a", "s3://office/ab") && !overlap("s3://office/a", "s3://other/a"));
    }

    #[test]
    fn no_name_of_an_object_leads_elsewhere() {
        for good in ["a.wav", "Ida Example/visit 00/Küche #2.wav", "..a/b..", "100%/[x].m4a"] {
            assert_eq!(check(good), Ok(()), "{good}");
        }
        for bad in ["", "/etc/passwd", "a//b", "../a", "a/..", "a/./b", "a\\..\\b", "a\u{7}b", "a\u{85}b", "a/"] {
            assert!(check(bad).is_err(), "{bad:?}");
        }
        assert!(check(&"x".repeat(256)).is_err());
    }
}

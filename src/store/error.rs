//! What can go wrong with a store, each with its cure.
use object_store::Error as Cause;
use std::path::{Path, PathBuf};

/// What a store says of an error may be a whole page; this much is told.
const LONGEST: usize = 200;

/// What a store answers to keys that it does not know or that may not do what is asked, as S3's reference has it (from
/// memory).
const REFUSALS: [&str; 5] =
    ["AccessDenied", "InvalidAccessKeyId", "SignatureDoesNotMatch", "ExpiredToken", "InvalidToken"];

/// Why something could not be had from the store, or put there.
#[derive(Debug, thiserror::Error)]
#[non_exhaustive]
pub enum Error {
    #[error("'{given}' is no address in a store: {what}; write s3://BUCKET/FOLDER")]
    Address { given: String, what: &'static str },
    #[error("'{key}' in the store is left alone: {what}; give the object another name, such as folder/name.wav")]
    Key { key: String, what: &'static str },
    #[error("more than {most} objects in '{folder}' have names that are no paths; give them other names")]
    Keys { folder: String, most: usize },
    #[error(
        "the store is not encrypted, since AWS_ENDPOINT_URL is '{endpoint}'; use https, or set AWS_ALLOW_HTTP=true in a \
         network of your own"
    )]
    Plain { endpoint: String },
    #[error("the store cannot be used as the AWS_ variables say ({why}); look at them")]
    Setting { why: String },
    #[error("the bucket of '{object}' is not in the store; make it, or correct the address")]
    NoBucket { object: String },
    #[error("'{object}' is not in the store; put it there, then run the same command again")]
    Missing { object: String },
    #[error(
        "the store refuses '{object}' to this program ({why}); look at AWS_ACCESS_KEY_ID, AWS_SECRET_ACCESS_KEY, AWS_REGION and \
         what the key may do"
    )]
    Refused { object: String, why: String },
    #[error("somebody else changed '{object}' in the store meanwhile; it was left as it is: fetch it anew")]
    Changed { object: String },
    #[error("'{object}' is {found} bytes and was {wanted} when it was listed; run the same command again")]
    Size { object: String, found: u64, wanted: u64 },
    #[error("this machine does not hold the work on '{object}' any more; nothing is to be done: another has it")]
    Lost { object: String },
    #[error(
        "{wanted} bytes are needed in the scratch folder, and {most} may be; allow more with --scratch, or make the visit \
         smaller"
    )]
    Large { wanted: u64, most: u64 },
    #[error(
        "the store does not give or take '{object}' ({why}); look whether it runs, at AWS_ENDPOINT_URL and at the network, then run \
         the same command again"
    )]
    Failed { object: String, why: String },
    #[error("cannot write '{}'; free some space or make the folder writable", path.display())]
    Write { path: PathBuf, source: std::io::Error },
    #[error("cannot read '{}'; check that it exists and that you may read it", path.display())]
    Read { path: PathBuf, source: std::io::Error },
    #[error("'{}' was not fetched from a store; fetch the visit with hearsheet visit fetch", path.display())]
    Unfetched { path: PathBuf },
    #[error("'{}' is fetched from '{found}'; choose another folder", path.display())]
    Elsewhere { path: PathBuf, found: String },
    #[error("'{}' holds something else already; choose a new folder", path.display())]
    Taken { path: PathBuf },
    #[error(transparent)]
    Record(#[from] crate::record::Error),
}

impl Error {
    /// What the store says of an object.
    pub(super) fn of(object: &str, source: Cause) -> Error {
        let (object, why) = (object.to_owned(), why(&source));
        match source {
            _ if why.contains("NoSuchBucket") => Error::NoBucket { object },
            _ if REFUSALS.iter().any(|code| why.starts_with(code)) => Error::Refused { object, why },
            Cause::NotFound { .. } => Error::Missing { object },
            Cause::PermissionDenied { .. } | Cause::Unauthenticated { .. } => Error::Refused { object, why },
            Cause::AlreadyExists { .. } | Cause::Precondition { .. } => Error::Changed { object },
            _ => Error::Failed { object, why },
        }
    }

    pub(super) fn write(path: &Path) -> impl FnOnce(std::io::Error) -> Error {
        let path = path.to_owned();
        move |source| Error::Write { path, source }
    }

    pub(super) fn read(path: &Path) -> impl FnOnce(std::io::Error) -> Error {
        let path = path.to_owned();
        move |source| Error::Read { path, source }
    }
}

/// What lies at the bottom of an error, in a few words; what is above repeats it, with the whole request.
pub(super) fn why(error: &dyn std::error::Error) -> String {
    let mut last = error;
    while let Some(below) = last.source() {
        last = below;
    }
    let text = last.to_string();
    let tagged = |tag: &str| Some(text.split_once(&format!("<{tag}>"))?.1.split_once(&format!("</{tag}>"))?.0);
    let text = match (tagged("Code"), tagged("Message")) {
        (Some(code), Some(message)) => format!("{code}: {message}"),
        _ => text,
    };
    text.chars().map(|c| if c.is_control() { ' ' } else { c }).take(LONGEST).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn of_an_answer_only_what_it_says_is_told() {
        let answer =
            "Server returned 404: <Error><Code>NoSuchBucket</Code>\n<Message>No such bucket.</Message></Error>";
        let below = || Cause::Generic { store: "S3", source: answer.into() };
        assert_eq!(why(&below()), "NoSuchBucket: No such bucket.");
        assert!(matches!(Error::of("s3://office/x", below()), Error::NoBucket { .. }));
        let long = Cause::Generic { store: "S3", source: "x\n".repeat(1000).into() };
        assert_eq!(why(&long).len(), LONGEST);
        assert!(
            Error::of("s3://office/x", long)
                .to_string()
                .starts_with("the store does not give or take 's3://office/x' (x x")
        );
    }
}

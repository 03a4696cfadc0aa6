//! One folder of a store, and how it is reached.
use super::address::check;
use super::error::why;
use super::{Address, Error};
use futures_util::StreamExt;
use object_store::aws::{AmazonS3, AmazonS3Builder, AmazonS3ConfigKey};
use object_store::path::Path as Key;
use object_store::{
    Attributes, BackoffConfig, ClientConfigKey, Error as Cause, ObjectMeta, ObjectStoreExt, RetryConfig,
};
use sha2::{Digest, Sha256};
use std::path::Path;
use std::time::Duration;
use tokio::runtime::Runtime;

/// How long one request may take, and how long an answer may stand still.
const LIMITS: [(ClientConfigKey, &str); 3] = [
    (ClientConfigKey::Timeout, "10min"),
    (ClientConfigKey::ReadTimeout, "30s"),
    (ClientConfigKey::ConnectTimeout, "5s"),
];

/// A folder in a store, reached with the AWS_ variables of the environment.
pub struct Bucket {
    pub address: Address,
    pub(super) store: AmazonS3,
    /// Of its own, so that nothing waits for the store but who asks it.
    runtime: Option<Runtime>,
}

impl Drop for Bucket {
    fn drop(&mut self) {
        // Wherever this is dropped: an ordinary end may not be waited for in the midst of other work.
        if let Some(runtime) = self.runtime.take() {
            runtime.shutdown_background();
        }
    }
}

impl Bucket {
    /// Reaches nothing yet.
    pub fn open(address: Address) -> Result<Bucket, Error> {
        // Who calls first decides for the program; a second call changes nothing.
        let _ = rustls::crypto::ring::default_provider().install_default();
        let mut settings = AmazonS3Builder::from_env().with_bucket_name(&address.bucket).with_retry(retries());
        for (key, value) in LIMITS {
            settings = settings.with_config(AmazonS3ConfigKey::Client(key), value);
        }
        let said = |key| settings.get_config_value(&key);
        let endpoint = said(AmazonS3ConfigKey::S3Endpoint).or_else(|| said(AmazonS3ConfigKey::Endpoint));
        let plain = said(AmazonS3ConfigKey::Client(ClientConfigKey::AllowHttp)).is_some_and(|said| said == "true");
        if let Some(endpoint) = endpoint.filter(|endpoint| endpoint.starts_with("http://") && !plain) {
            return Err(Error::Plain { endpoint });
        }
        let store = settings.build().map_err(|error| Error::Setting { why: why(&error) })?;
        let runtime = tokio::runtime::Builder::new_multi_thread().worker_threads(1).enable_all().build();
        let runtime = runtime.map_err(Error::write(Path::new("the memory of this machine")))?;
        Ok(Bucket { address, store, runtime: Some(runtime) })
    }

    /// Waits for an answer; not to be called where other tasks run.
    pub(super) fn wait<T>(&self, answer: impl Future<Output = Result<T, Cause>>) -> Result<T, Cause> {
        match &self.runtime {
            Some(runtime) => runtime.block_on(answer),
            None => Err(Cause::NotSupported { source: "the store was closed".into() }),
        }
    }

    /// How an object is told.
    pub fn told(&self, name: &str) -> String {
        self.address.join(name).to_string()
    }

    /// Refuses a name that leads elsewhere than downwards.
    pub fn allow(&self, name: &str) -> Result<(), Error> {
        check(name).map_err(|what| Error::Key { key: name.to_owned(), what })
    }

    pub(super) fn key(&self, name: &str) -> Result<Key, Error> {
        self.allow(name)?;
        let key = self.address.join(name).folder;
        Key::parse(&key).map_err(|source| Error::of(&key, source.into()))
    }

    /// Whether there is an object of this name.
    pub fn has(&self, name: &str) -> Result<bool, Error> {
        Ok(self.tag(name)?.is_some())
    }

    pub(super) fn tag(&self, name: &str) -> Result<Option<String>, Error> {
        let key = self.key(name)?;
        match self.wait(self.store.head(&key)) {
            Ok(about) => Ok(Some(about.e_tag.unwrap_or_default())),
            Err(Cause::NotFound { .. }) => Ok(None),
            Err(source) => Err(Error::of(&self.told(name), source)),
        }
    }

    /// Hands on the bytes of an object as they come, no more than were announced.
    pub(super) fn read(
        &self,
        name: &str,
        mut take: impl FnMut(&[u8]) -> Result<(), Error>,
    ) -> Result<(ObjectMeta, Attributes), Error> {
        let key = self.key(name)?;
        let failed = |source| Error::of(&self.told(name), source);
        let got = self.wait(self.store.get(&key)).map_err(failed)?;
        let (about, attributes) = (got.meta.clone(), got.attributes.clone());
        let mut blocks = got.into_stream();
        let mut length = 0;
        while let Some(block) = self.wait(async { blocks.next().await.transpose() }).map_err(failed)? {
            length += block.len() as u64;
            if length > about.size {
                break;
            }
            take(&block)?;
        }
        if length == about.size {
            return Ok((about, attributes));
        }
        Err(Error::Size { object: self.told(name), found: length, wanted: about.size })
    }

    /// The sha256 of an object, as of a file.
    pub fn hash(&self, name: &str) -> Result<String, Error> {
        let mut hasher = Sha256::new();
        self.read(name, |block| {
            hasher.update(block);
            Ok(())
        })?;
        Ok(hasher.finalize().iter().map(|b| format!("{b:02x}")).collect())
    }
}

/// A store that does not answer is asked again for half a minute or so.
fn retries() -> RetryConfig {
    let backoff =
        BackoffConfig { init_backoff: Duration::from_millis(200), max_backoff: Duration::from_secs(5), base: 2.0 };
    RetryConfig { backoff, max_retries: 5, retry_timeout: Duration::from_secs(60) }
}

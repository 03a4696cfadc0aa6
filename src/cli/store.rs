//! Addresses in a store, where this program was built to reach one.
use hearsheet::batch::Depot;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

/// Whether something given for a folder is an address in a store.
pub fn is_address(given: &Path) -> bool {
    given.to_str().is_some_and(|given| given.starts_with("s3://"))
}

/// What `hearsheet visit fetch` was given.
#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet visit fetch s3://office/visits/larkspur-41 larkspur-41\n\n\
    Settle it here as any visit, then put it back with: hearsheet visit return larkspur-41\n\
    Run again, it brings what is new in the store; what was changed here stays. A draft that was made anew meanwhile comes \
    without what was decided here: hearsheet draft makes it with that.")]
pub struct Fetch {
    /// The visit in the store
    #[arg(value_name = "s3://BUCKET/FOLDER")]
    address: String,
    /// A new folder, or the one that it was fetched into before
    dir: PathBuf,
}

/// What `hearsheet visit return` was given.
#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet visit return larkspur-41\n\n\
    Only what was changed goes back, and nothing over what somebody else changed meanwhile.")]
pub struct Return {
    /// The folder that the visit was fetched into
    dir: PathBuf,
}

#[cfg(feature = "store")]
pub use there::*;

#[cfg(feature = "store")]
mod there {
    use super::*;
    use anyhow::bail;
    use hearsheet::confirm::text::clean;
    use hearsheet::store::{Address, fetch_visit, return_visit};

    /// The store that recordings and visits lie in; `most` gigabytes of it may be on this machine.
    pub fn depot(source: &Path, out: &Path, most: u64) -> anyhow::Result<Depot> {
        if !(is_address(source) && is_address(out)) {
            bail!("one of '{}' and '{}' lies in a store; let both, or none", source.display(), out.display());
        }
        let address = |given: &Path| Address::parse(&given.to_string_lossy());
        Ok(Depot::store(address(source)?, address(out)?, most << 30)?)
    }

    /// Fetches a visit.
    pub fn fetch(args: &Fetch) -> anyhow::Result<ExitCode> {
        let moved = fetch_visit(Address::parse(&args.address)?, &args.dir)?;
        println!("{} files of '{}' came to '{}'", moved.files, moved.address, args.dir.display());
        for refused in &moved.refused {
            eprintln!("hearsheet: {}", clean(&refused.to_string()));
        }
        Ok(ExitCode::from(u8::from(!moved.refused.is_empty())))
    }

    /// Puts a visit back.
    pub fn give_back(args: &Return) -> anyhow::Result<ExitCode> {
        let moved = return_visit(&args.dir)?;
        println!("{} files of '{}' went to '{}'", moved.files, args.dir.display(), moved.address);
        Ok(ExitCode::SUCCESS)
    }
}

#[cfg(not(feature = "store"))]
pub use missing::*;

#[cfg(not(feature = "store"))]
mod missing {
    use super::*;
    use anyhow::bail;

    const LACKS: &str = "this hearsheet was built without stores such as s3://; build one that reaches them with: cargo \
                         install --path . --features store";

    pub fn depot(_: &Path, _: &Path, _: u64) -> anyhow::Result<Depot> {
        bail!(LACKS)
    }

    pub fn fetch(_: &Fetch) -> anyhow::Result<ExitCode> {
        bail!(LACKS)
    }

    pub fn give_back(_: &Return) -> anyhow::Result<ExitCode> {
        bail!(LACKS)
    }
}

//! `hearsheet verify`: whether a signed visit is as it was signed.
use hearsheet::confirm::text::clean;
use hearsheet::record::{Alteration, Visit};
use std::path::PathBuf;
use std::process::ExitCode;

/// What `hearsheet verify` was given.
#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet verify larkspur-41\n\n\
    Exit codes: 0 as signed, 1 not signed, or changed since as work goes on, 2 something signed was altered.\n\
    A seal's hash stands in the report; compare the two, since whoever may rewrite the folder may rewrite its seals.")]
pub struct Args {
    /// The visit's folder
    dir: PathBuf,
}

/// Checks every signature and tells what is not as it was.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    let visit = Visit::open(&args.dir)?;
    let seals = visit.seals()?;
    for seal in &seals {
        let at = seal.at.strftime("%Y-%m-%d %H:%M:%SZ");
        println!("revision {} signed by {}, {at}, seal {}", seal.revision, clean(&seal.by), seal.hash());
    }
    let found = visit.verify()?;
    for alteration in &found {
        match alteration {
            Alteration::Broken(what) => println!("ALTERED: {}", clean(what)),
            Alteration::Since(what) => println!("after signing: {}", clean(what)),
        }
    }
    let broken = found.iter().any(|a| matches!(a, Alteration::Broken(_)));
    Ok(ExitCode::from(match (broken, found.is_empty(), seals.is_empty()) {
        (true, ..) => 2,
        (_, _, true) => {
            println!("not signed; sign with: hearsheet confirm {} --sign NAME", args.dir.display());
            1
        }
        (_, false, _) => 1,
        (_, true, _) => {
            println!("everything is as it was signed");
            0
        }
    }))
}

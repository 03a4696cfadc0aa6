//! Which recordings belong to which visit, and which are the same.
use super::fence::plain;
use super::manifest::{self, Entry};
use super::{Error, Failure, Found, Scan};
use crate::record::{NoteKind, kind_of};
use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet, HashMap};
use std::ffi::OsStr;
use std::path::{Path, PathBuf};

/// What tells which visit a recording belongs to.
#[derive(Debug, Clone, PartialEq)]
pub enum By {
    /// The folder that it lies in. Files that lie in none are one visit, if `loose` says so and there are no others.
    Folder { loose: bool },
    /// What stands before the first underscore of its name.
    Name,
    /// A list, as CSV or TOML.
    Manifest(PathBuf),
}

/// What is known of a visit before its notes are heard.
#[derive(Debug, Clone, Default, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Known {
    pub property: String,
    pub client: String,
    pub inspector: String,
    /// The day of the first recording where nobody says.
    pub date: Option<Date>,
    /// The code to judge by; the usual one if empty.
    pub standard: String,
}

/// One file that is to become a note.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Source {
    /// Path below the folder of recordings.
    pub path: PathBuf,
    pub bytes: u64,
    pub sha256: String,
}

impl Source {
    /// The path as it is told.
    pub fn name(&self) -> String {
        self.path.to_string_lossy().into_owned()
    }
}

/// One visit and its files.
#[derive(Debug, Clone, PartialEq)]
pub struct Planned {
    /// Folder below the root of the visits.
    pub folder: String,
    pub known: Known,
    pub files: Vec<Source>,
}

/// A recording that is another one's copy.
#[derive(Debug, Clone, PartialEq)]
pub struct Same {
    pub file: String,
    pub visit: String,
    pub of: String,
}

/// All that there is to do.
#[derive(Debug, Default)]
pub struct Plan {
    pub visits: Vec<Planned>,
    pub same: Vec<Same>,
    pub refused: Vec<Failure>,
    pub left_alone: usize,
}

/// What lies in the visits already.
#[derive(Debug, Default)]
pub struct Taken {
    /// Visit and note of each recording, by hash.
    pub recordings: HashMap<String, (String, String)>,
    /// The visits' folders.
    pub visits: BTreeSet<String>,
}

/// Tells the sha256 of a file that was found.
pub type Hash<'a> = &'a dyn Fn(&Found) -> Result<String, Failure>;

impl Plan {
    /// Sorts what was found into visits. Everything that depends on an order goes by that of the names, so that a batch
    /// that was stopped makes the same plan again.
    pub fn make(scan: Scan, root: &Path, by: &By, hash: Hash, taken: &Taken) -> Result<Plan, Error> {
        let mut plan = Plan { refused: scan.refused, left_alone: scan.left_alone, ..Plan::default() };
        let groups = match by {
            By::Folder { loose } => without_inner(by_folder(scan.files, root, *loose, &mut plan), taken),
            By::Name => by_name(scan.files),
            By::Manifest(path) => by_manifest(scan.files, root, manifest::read(path)?, &mut plan),
        };
        let mut seen: HashMap<String, (String, String)> = HashMap::new();
        for (folder, (known, files)) in groups {
            let mut planned = Planned { folder, known, files: Vec::new() };
            for found in files {
                plan.take(&mut planned, found, hash, taken, &mut seen);
            }
            if !planned.files.is_empty() {
                plan.visits.push(planned);
            }
        }
        Ok(plan)
    }

    /// Takes a file into its visit, unless it cannot be read or is a copy of one that is in.
    fn take(
        &mut self,
        planned: &mut Planned,
        found: Found,
        hash: Hash,
        taken: &Taken,
        seen: &mut HashMap<String, (String, String)>,
    ) {
        let file = found.name();
        let sha256 = match hash(&found) {
            Ok(sha256) => sha256,
            Err(failure) => return self.refused.push(failure),
        };
        // Two people may type the same few words; nobody makes the same recording twice. Nothing is a copy of nothing.
        let alike = match (kind_of(&found.path), found.bytes) {
            (_, 0) => file.clone(),
            (NoteKind::Recording, _) => sha256.clone(),
            (NoteKind::Text, _) => format!("{} {sha256}", planned.folder),
        };
        let elsewhere = taken.recordings.get(&alike).filter(|(visit, _)| *visit != planned.folder);
        if let Some((visit, of)) = elsewhere.or(seen.get(&alike)) {
            return self.same.push(Same { file, visit: visit.clone(), of: of.clone() });
        }
        seen.insert(alike, (planned.folder.clone(), file));
        planned.files.push(Source { path: found.path, bytes: found.bytes, sha256 });
    }
}

type Groups = BTreeMap<String, (Known, Vec<Found>)>;

fn by_folder(files: Vec<Found>, root: &Path, loose: bool, plan: &mut Plan) -> Groups {
    let mut groups = Groups::new();
    let is_loose = |found: &Found| found.path.parent().is_none_or(|parent| parent.as_os_str().is_empty());
    let one_visit = loose && files.iter().all(is_loose);
    for found in files {
        let below: Vec<&OsStr> = match (is_loose(&found), one_visit) {
            (false, _) => found.path.parent().into_iter().flat_map(Path::iter).collect(),
            (true, true) => root.file_name().into_iter().collect(),
            (true, false) => Vec::new(),
        };
        match below.split_last() {
            Some((name, above)) => {
                let folder = below.iter().map(|name| plain(name)).collect::<Vec<_>>().join("/");
                let group = groups.entry(folder).or_insert_with(|| (known_of(name, above), Vec::new()));
                group.1.push(found);
            }
            None => {
                let cure = "put it into a folder named after its visit, or say --by name";
                plan.refused.push(Failure::new(&found.name(), "it lies in no visit's folder", cure));
            }
        }
    }
    groups
}

/// Folders within a visit's folder belong to that visit.
fn without_inner(groups: Groups, taken: &Taken) -> Groups {
    let mut outer = Groups::new();
    // A folder comes before those within it.
    for (folder, (known, files)) in groups {
        let mut above = folder.match_indices('/').map(|(at, _)| &folder[..at]);
        let visit = above.find(|above| outer.contains_key(*above) || taken.visits.contains(*above));
        let visit = visit.unwrap_or(&folder).to_owned();
        outer.entry(visit).or_insert_with(|| (known, Vec::new())).1.extend(files);
    }
    outer
}

fn by_name(files: Vec<Found>) -> Groups {
    let mut groups = Groups::new();
    for found in files {
        let stem = found.path.file_stem().unwrap_or_default().to_string_lossy().into_owned();
        let name = stem.split_once('_').map_or(stem.as_str(), |(before, _)| before);
        let above: Vec<&OsStr> = found.path.parent().into_iter().flat_map(Path::iter).collect();
        let folders = above.iter().map(|name| plain(name)).chain([plain(OsStr::new(name))]);
        let folder = folders.collect::<Vec<_>>().join("/");
        let known = known_of(OsStr::new(name), &above);
        groups.entry(folder).or_insert_with(|| (known, Vec::new())).1.push(found);
    }
    groups
}

fn by_manifest(files: Vec<Found>, root: &Path, entries: Vec<Entry>, plan: &mut Plan) -> Groups {
    let mut groups = Groups::new();
    let mut free: BTreeMap<PathBuf, Found> = files.into_iter().map(|found| (found.path.clone(), found)).collect();
    for entry in entries {
        for (path, refusal) in entry.bad_paths(root) {
            let cure = "let the manifest name a file below the folder of recordings";
            plan.refused.push(Failure::new(&path.to_string_lossy(), refusal, cure));
        }
        let Ok(folder) = entry.folder() else { continue };
        for path in entry.good_paths(root) {
            let named: Vec<PathBuf> =
                free.keys().filter(|p| **p == path || p.parent() == Some(path.as_path())).cloned().collect();
            if named.is_empty() && !plan.refused.iter().any(|f| Path::new(&f.file).starts_with(&path)) {
                let reason = "the manifest names it, and it is not there, or is no recording, or was named before";
                plan.refused.push(Failure::new(
                    &path.to_string_lossy(),
                    reason,
                    "correct the manifest or add the file",
                ));
            }
            let group = groups.entry(folder.clone()).or_insert_with(|| (entry.known.clone(), Vec::new()));
            group.1.extend(named.iter().filter_map(|path| free.remove(path)));
        }
    }
    plan.left_alone += free.len();
    groups
}

/// What the names of folders tell: the visit's own its property, the one above its inspector, a date its day.
fn known_of(name: &OsStr, above: &[&OsStr]) -> Known {
    let text = |name: &OsStr| crate::confirm::text::clean(&name.to_string_lossy());
    let names: Vec<String> = above.iter().map(|name| text(name)).collect();
    let property = text(name);
    let date = date_in(&property).or_else(|| names.iter().rev().find_map(|name| date_in(name)));
    let inspector = names.into_iter().rev().find(|name| date_in(name).is_none()).unwrap_or_default();
    Known { property, inspector, date, ..Known::default() }
}

/// A day written as 2026-03-14 anywhere in a name.
fn date_in(name: &str) -> Option<Date> {
    let bytes = name.as_bytes();
    let windows = bytes.windows(10).filter(|w| w.iter().all(|b| b.is_ascii_digit() || *b == b'-'));
    windows.filter(|w| w[4] == b'-' && w[7] == b'-').find_map(|w| std::str::from_utf8(w).ok()?.parse().ok())
}

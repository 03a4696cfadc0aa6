//! A batch whose recordings and visits lie in a store: each job is done on this machine's scratch folder.
use super::depot::{Depot, Work};
use super::memory::Budget;
use super::outline::{Outline, TELLING};
use super::scan::{is_passed_over, is_taken};
use super::step::Stand;
use super::{Done, Error, Failure, Found, Job, Scan, Source, Step, Taken};
use crate::confirm::{Gauge, side_by_side};
use crate::record::{Note, NoteKind, Visit};
use crate::store::{Address, Bucket, Copy, Error as Fault, Listing, Object, Scratch};
use std::collections::{BTreeMap, BTreeSet};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use std::time::{Duration, UNIX_EPOCH};

/// How often a job is done anew because somebody else changed the visit meanwhile.
const TRIES: usize = 3;
/// What no draft is made of: sound and pictures, and what is printed.
const HEAVY: [&str; 3] = ["notes/", "photos/", "report/"];

/// Two folders of a store, and the room for what is brought from them.
pub struct Store {
    recordings: Bucket,
    visits: Bucket,
    scratch: Scratch,
    room: Budget,
    most: u64,
    /// Tells folders of the scratch apart that are needed for a moment.
    looks: AtomicU64,
}

/// A folder of the scratch that is empty before and gone after.
struct Bench(PathBuf);

impl Bench {
    fn at(path: PathBuf) -> Bench {
        let _ = std::fs::remove_dir_all(&path);
        Bench(path)
    }
}

impl Drop for Bench {
    fn drop(&mut self) {
        let _ = std::fs::remove_dir_all(&self.0);
    }
}

impl Depot {
    /// Recordings and visits in a store; what is brought from there fills at most so many bytes of this machine's disk.
    pub fn store(recordings: Address, visits: Address, most: u64) -> Result<Depot, Error> {
        if recordings.overlaps(&visits) {
            let path = |address: &Address| PathBuf::from(address.to_string());
            return Err(Error::Nested { source_dir: path(&recordings), out: path(&visits) });
        }
        let (recordings, visits) = (Bucket::open(recordings)?, Bucket::open(visits)?);
        let scratch = Scratch::make()?;
        Ok(Depot(Arc::new(Store {
            recordings,
            visits,
            scratch,
            room: Budget::of(most),
            most,
            looks: AtomicU64::default(),
        })))
    }
}

impl Work for Store {
    fn source(&self, hand: &str) -> PathBuf {
        self.scratch.path().join(hand).join("in").join(self.recordings.address.name())
    }

    fn out(&self, hand: &str) -> PathBuf {
        self.scratch.path().join(hand).join("out")
    }

    fn reach(&self) -> Result<(), Error> {
        self.recordings.reach()?;
        Ok(self.visits.reach()?)
    }

    fn scan(&self) -> Result<Scan, Error> {
        let Listing { objects, refused } = self.recordings.list("")?;
        let refused = refused.iter().map(refusal).collect();
        let mut scan = Scan { refused, ..Scan::default() };
        for object in objects.into_iter().filter(|object| !object.name.split('/').any(is_passed_over)) {
            let path = PathBuf::from(&object.name);
            if is_taken(&path) {
                scan.files.push(Found { path, bytes: object.bytes, modified: object.modified });
            } else {
                scan.left_alone += 1;
            }
        }
        scan.files.sort_by(|a, b| a.path.cmp(&b.path));
        Ok(scan)
    }

    fn hash(&self, found: &Found) -> Result<String, Failure> {
        let name = found.name();
        self.recordings.hash(&name).map_err(|fault| Failure::of(&name, &fault))
    }

    fn taken(&self) -> Result<Taken, Error> {
        let visits: Vec<String> = self.visits_in(&self.visits.list("")?);
        let mut taken = Taken::default();
        // A visit that cannot be read counts for nothing here; who works on it is told.
        let notes = side_by_side(&visits, |folder| self.notes(folder).unwrap_or_default());
        for (folder, notes) in visits.into_iter().zip(notes) {
            for note in notes.into_iter().filter(|note| note.kind == NoteKind::Recording) {
                taken.recordings.insert(note.sha256, (folder.clone(), note.name));
            }
            taken.visits.insert(folder);
        }
        Ok(taken)
    }

    fn work(&self, stand: &mut Stand, job: &Job, still: &dyn Fn() -> bool) -> Done {
        let note = job.note().map(|note| format!("/notes/{}", note.name)).unwrap_or_default();
        let mut done = None;
        for _ in 0..TRIES {
            match self.try_once(stand, job, still) {
                Err(Fault::Changed { .. }) if still() => {}
                other => {
                    done = Some(other);
                    break;
                }
            }
        }
        let file = format!("{}{note}", job.visit);
        let mut done = match done {
            Some(Ok(done)) => done,
            Some(Err(fault)) => Done::Failed(Failure::of(&file, &fault)),
            None => {
                let reason = format!("somebody else changed the visit each of {TRIES} times");
                Done::Failed(Failure::new(&file, &reason, "run the same command again when nobody else works on it"))
            }
        };
        let (source, out) = (stand.source, stand.out);
        failures_of(&mut done).iter_mut().for_each(|failure| self.tell_of_store(failure, source, out));
        done
    }

    fn look_at(&self, gauge: &Gauge, folder: &str) -> Result<Option<Outline>, Error> {
        self.visits.allow(folder)?;
        let bench = Bench::at(self.look());
        let listing = self.visits.list(folder)?;
        if listing.find("visit.toml").is_none() {
            return Ok(None);
        }
        let dir = bench.0.join(folder);
        self.copy(folder, &dir).fetch(listing.objects.iter().filter(|object| !object.name.contains('/')))?;
        listing.objects.iter().try_for_each(|object| stand_in(object, &dir)).map_err(Error::write(&dir))?;
        let stamp = stamp(&listing);
        Ok(Outline::of(gauge, &bench.0, folder).map(|outline| Outline { stamp, ..outline }))
    }

    fn stamps(&self) -> Result<BTreeMap<String, String>, Error> {
        let listing = self.visits.list("")?;
        let stamp_of = |folder: String| {
            let tag = |name: &&str| listing.find(&format!("{folder}/{name}")).map_or("", |object| &object.tag);
            let stamp = TELLING.iter().map(tag).collect::<Vec<_>>().join(", ");
            (folder, stamp)
        };
        Ok(self.visits_in(&listing).into_iter().map(stamp_of).collect())
    }
}

impl Store {
    fn copy(&self, folder: &str, dir: &Path) -> Copy<'_> {
        Copy::new(&self.visits, folder, dir)
    }

    fn look(&self) -> PathBuf {
        self.scratch.path().join(format!("look-{}", self.looks.fetch_add(1, Ordering::Relaxed)))
    }

    /// The folders that hold a `visit.toml`; what lies within a visit is none.
    fn visits_in(&self, listing: &Listing) -> Vec<String> {
        let folders = listing.objects.iter().filter_map(|object| object.name.strip_suffix("/visit.toml"));
        let folders: BTreeSet<&str> = folders.filter(|folder| !folder.split('/').any(is_passed_over)).collect();
        let outer = |folder: &&&str| !above(folder).any(|above| folders.contains(above));
        folders.iter().filter(outer).map(|folder| (*folder).to_owned()).collect()
    }

    fn notes(&self, folder: &str) -> Result<Vec<Note>, Box<dyn std::error::Error>> {
        let bench = Bench::at(self.look());
        let listing = self.visits.list(folder)?;
        let wanted = ["visit.toml", "notes.json"];
        let wanted = listing.objects.iter().filter(|object| wanted.contains(&object.name.as_str()));
        self.copy(folder, &bench.0).fetch(wanted)?;
        Ok(Visit::open(&bench.0)?.notes()?)
    }

    fn try_once(&self, stand: &mut Stand, job: &Job, still: &dyn Fn() -> bool) -> Result<Done, Fault> {
        self.visits.allow(&job.visit)?;
        let (_source, _out) = (Bench::at(stand.source.to_owned()), Bench::at(stand.out.to_owned()));
        for above in above(&job.visit) {
            if self.visits.has(&format!("{above}/visit.toml"))? {
                let key = job.visit.clone();
                return Err(Fault::Key { key, what: "it lies within another visit's folder" });
            }
        }
        let mut copy = self.copy(&job.visit, &stand.out.join(&job.visit));
        let listing = self.visits.list(&job.visit)?;
        let light: Vec<&Object> = listing.objects.iter().filter(|object| is_light(&job.step, &object.name)).collect();
        let mut weight = sum(light.iter().map(|object| object.bytes));
        let small = self.room.bytes(self.fits(weight)?);
        copy.fetch(light.into_iter())?;
        drop(small);
        let there = listed(&stand.out.join(&job.visit));
        let heavy: Vec<&Object> = listing.objects.iter().filter(|object| needs(&job.step, object, &there)).collect();
        let files = new_files(&job.step, &there);
        // A recording lies in the scratch twice: as it came, and as a note.
        weight = weight.saturating_add(sum(heavy.iter().map(|object| object.bytes)));
        weight = weight.saturating_add(sum(files.iter().map(|file| file.bytes)).saturating_mul(2));
        let _share = self.room.bytes(self.fits(weight)?);
        copy.fetch(heavy.into_iter())?;
        let (job, failures) = self.bring(stand.source, job, files);
        let mut done = stand.work(&job);
        copy.put(still)?;
        if let Done::Gathered { failures: told, .. } = &mut done {
            told.extend(failures);
        }
        Ok(done)
    }

    fn fits(&self, wanted: u64) -> Result<u64, Fault> {
        if wanted > self.most { Err(Fault::Large { wanted, most: self.most }) } else { Ok(wanted) }
    }

    /// Brings the recordings of a visit; the job that is left has those that came.
    fn bring(&self, to: &Path, job: &Job, files: Vec<Source>) -> (Job, Vec<Failure>) {
        let (mut came, mut failures) = (Vec::new(), Vec::new());
        for file in files {
            let name = file.name();
            let object = Object {
                name: name.clone(),
                bytes: file.bytes,
                modified: jiff::Timestamp::default(),
                tag: String::new(),
            };
            // The queue is not to be trusted with names: only one that can be a path is asked for.
            match self.recordings.allow(&name).and_then(|()| self.recordings.fetch(&object, &to.join(&name))) {
                Ok(_) => came.push(file),
                Err(fault) => failures.push(Failure::of(&name, &fault)),
            }
        }
        let step = match &job.step {
            Step::Gather { known, .. } => Step::Gather { known: known.clone(), files: came },
            other => other.clone(),
        };
        (Job { step, ..job.clone() }, failures)
    }

    /// Puts the store's names in the place of those in the scratch.
    fn tell_of_store(&self, failure: &mut Failure, source: &Path, out: &Path) {
        for (path, address) in [(source, &self.recordings.address), (out, &self.visits.address)] {
            let (path, address) = (format!("{}/", path.display()), format!("{address}/"));
            for text in [&mut failure.file, &mut failure.reason, &mut failure.cure] {
                *text = text.replace(&path, &address);
            }
        }
    }
}

fn refusal(fault: &Fault) -> Failure {
    match fault {
        Fault::Key { key, .. } => Failure::of(key, fault),
        _ => Failure::of("", fault),
    }
}

fn failures_of(done: &mut Done) -> &mut [Failure] {
    match done {
        Done::Gathered { failures, .. } | Done::Drafted { failures, .. } => failures,
        Done::Failed(failure) => std::slice::from_mut(failure),
        Done::Heard => &mut [],
    }
}

fn sum(bytes: impl Iterator<Item = u64>) -> u64 {
    bytes.fold(0, u64::saturating_add)
}

/// The folders above one, the outermost first.
fn above(folder: &str) -> impl Iterator<Item = &str> {
    folder.match_indices('/').map(|(at, _)| &folder[..at])
}

/// Whether a step needs one of a visit's files whatever notes there are.
fn is_light(step: &Step, name: &str) -> bool {
    match step {
        Step::Hear(note) => ["visit.toml", "notes.json", &format!("transcripts/{}.json", note.name)].contains(&name),
        Step::Gather { .. } => !name.contains('/'),
        Step::Draft => !HEAVY.iter().any(|heavy| name.starts_with(heavy)),
    }
}

/// An empty file in the place of a transcript, of which an outline tells only when it was written.
fn stand_in(object: &Object, dir: &Path) -> std::io::Result<()> {
    if !object.name.starts_with("transcripts/") {
        return Ok(());
    }
    let path = dir.join(&object.name);
    std::fs::create_dir_all(path.parent().unwrap_or(dir))?;
    let since = Duration::from_secs(u64::try_from(object.modified.as_second()).unwrap_or_default());
    std::fs::File::create(&path)?.set_modified(UNIX_EPOCH + since)
}

fn stamp(listing: &Listing) -> String {
    let tag = |name: &&str| listing.find(name).map_or("", |object| &object.tag);
    TELLING.iter().map(tag).collect::<Vec<_>>().join(", ")
}

/// The notes of a visit that was brought; one that cannot be read has none, and its step tells why.
fn listed(dir: &Path) -> Vec<Note> {
    Visit::open(dir).and_then(|visit| visit.notes()).unwrap_or_default()
}

/// Whether a step needs one of the heavy objects: to hear a note, that note; to gather, those that are on no list yet.
fn needs(step: &Step, object: &Object, there: &[Note]) -> bool {
    let Some(name) = object.name.strip_prefix("notes/") else { return false };
    match step {
        Step::Hear(note) => note.name == name,
        Step::Gather { .. } => !there.iter().any(|note| note.name == name),
        Step::Draft => false,
    }
}

/// The recordings of a step that are not in the visit yet.
fn new_files(step: &Step, there: &[Note]) -> Vec<Source> {
    let Step::Gather { files, .. } = step else { return Vec::new() };
    files.iter().filter(|file| !there.iter().any(|note| note.sha256 == file.sha256)).cloned().collect()
}

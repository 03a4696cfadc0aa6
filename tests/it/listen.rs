//! `hearsheet listen` from the outside: the real capture path without a sound card, sudden ends, spoken commands.
use super::sound;
use super::visit::Visit;
use serde_json::Value;
use std::collections::BTreeSet;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::{Child, Command, Output, Stdio};
use std::time::{Duration, Instant};

fn project(name: &str) -> PathBuf {
    PathBuf::from(env!("CARGO_MANIFEST_DIR")).join(name)
}

fn samples(path: &Path) -> Vec<i16> {
    let mut reader = hound::WavReader::open(path).unwrap_or_else(|e| panic!("{}: {e}", path.display()));
    reader.samples::<i16>().map(|s| s.unwrap()).collect()
}

fn bytes(samples: &[i16]) -> Vec<u8> {
    samples.iter().flat_map(|s| s.to_le_bytes()).collect()
}

fn listen(visit: &Visit, args: &[&str]) -> Command {
    let mut command = visit.command(&["listen", "v", "--plain", "--no-tone", "--threads", "1"]);
    command.args(args).env("HEARSHEET_MODELS", project("models")).stdout(Stdio::piped()).stderr(Stdio::piped());
    command
}

/// The end of a sample, from "The relief valve is there" to "End of note", as a file of its own in the visit's folder.
fn excerpt(visit: &Visit) -> (PathBuf, Vec<i16>) {
    let sound = samples(&project("samples/garage.wav"))[580_000..].to_vec();
    let path = visit.path("excerpt.wav");
    sound::write(&path, sound.iter().copied());
    (path, sound)
}

/// The recordings in the visit, in order of their names.
fn notes(visit: &Visit) -> Vec<PathBuf> {
    let folder = std::fs::read_dir(visit.path("v/notes")).unwrap();
    let mut notes: Vec<PathBuf> = folder.map(|e| e.unwrap().path()).filter(|p| p.extension().is_some()).collect();
    notes.retain(|p| p.extension().is_some_and(|e| e == "wav"));
    notes.sort();
    notes
}

/// The facts of a visit, as `item component.attribute = value`.
fn facts(visit: &Visit) -> BTreeSet<String> {
    let record: Value = serde_json::from_slice(&std::fs::read(visit.path("v/record.json")).unwrap()).unwrap();
    let line = |f: &Value| format!("{} {}.{} = {}", f["item"], f["component"], f["attribute"], f["value"]);
    record["facts"].as_array().unwrap().iter().map(line).collect()
}

/// What `hearsheet draft` makes of the file itself.
fn drafted(file: &Path) -> BTreeSet<String> {
    let visit = Visit::new();
    let run = |args: &[&str]| visit.command(args).env("HEARSHEET_MODELS", project("models")).output().unwrap();
    assert!(run(&["visit", "add", "v", file.to_str().unwrap()]).status.success());
    let done = run(&["draft", "v", "--threads", "1"]);
    assert_eq!(done.status.code(), Some(1), "{done:?}");
    facts(&visit)
}

fn text(bytes: &[u8]) -> String {
    String::from_utf8_lossy(bytes).into_owned()
}

/// A configuration for ALSA in which recording plays a file and playing is silence.
fn alsa(visit: &Visit, recording: &[i16]) -> PathBuf {
    let raw = visit.path("microphone.raw");
    std::fs::write(&raw, bytes(recording)).unwrap();
    let config = format!(
        "pcm.nothing {{ type null }}\n\
         pcm.!default {{ type file slave.pcm nothing file \"/dev/null\" infile \"{}\" format raw\n\
         hint {{ show on description \"A recording\" }} }}\n",
        raw.display()
    );
    let path = visit.path("alsa.conf");
    std::fs::write(&path, config).unwrap();
    path
}

#[cfg(all(feature = "sound", target_os = "linux"))]
#[test]
fn the_microphone_gives_the_same_facts_as_the_file_and_is_kept_bit_for_bit() {
    let visit = Visit::new();
    let (file, spoken) = excerpt(&visit);
    // The plugins `file` and `null` are part of ALSA's own library.
    let config = alsa(&visit, &spoken);
    let seconds = format!("{}", spoken.len() as f64 / 16_000.0);
    let done = listen(&visit, &["--for", &seconds]).env("ALSA_CONFIG_PATH", &config).output().unwrap();
    // A draft is there, and needs a person.
    assert_eq!(done.status.code(), Some(1), "{}\n{}", text(&done.stdout), text(&done.stderr));
    let notes = notes(&visit);
    assert_eq!(notes.len(), 1);
    assert!(samples(&notes[0]) == spoken, "the recording is not what the microphone gave");
    let (heard, wanted) = (facts(&visit), drafted(&file));
    // Relief valve and its pipe: there, PVC, downhill, to a drain.
    assert!(wanted.len() >= 5, "{wanted:?}");
    assert!(heard.symmetric_difference(&wanted).count() <= 1, "{:?}", heard.symmetric_difference(&wanted));
    let told = text(&done.stdout);
    assert!(told.contains("heard: ") && told.contains("obeyed: end of note"), "{told}");
}

#[cfg(all(feature = "sound", target_os = "linux"))]
#[test]
fn microphones_are_listed_and_one_that_is_not_there_is_an_error_with_its_cure() {
    let visit = Visit::new();
    let config = alsa(&visit, &[0; 16_000]);
    let listed = visit.command(&["listen", "--list-devices"]).env("ALSA_CONFIG_PATH", &config).output().unwrap();
    assert!(listed.status.success() && text(&listed.stdout).contains("default"), "{listed:?}");
    let none = listen(&visit, &["--device", "loft"]).env("ALSA_CONFIG_PATH", &config).output().unwrap();
    assert_eq!(none.status.code(), Some(2));
    let said = text(&none.stderr);
    assert!(said.contains("'loft'") && said.contains("--list-devices"), "{said}");
}

fn fed(visit: &Visit, sound: &[u8], args: &[&str]) -> Output {
    let mut child = listen(visit, &[&["--from", "-"], args].concat()).stdin(Stdio::piped()).spawn().unwrap();
    let mut to = child.stdin.take().unwrap();
    let sound = sound.to_vec();
    let feeder = std::thread::spawn(move || {
        // A program that ends early closes its end; what it says then is looked at by the test.
        let _ = to.write_all(&sound);
    });
    let done = child.wait_with_output().unwrap();
    feeder.join().unwrap();
    done
}

#[test]
fn another_recorder_may_feed_it_and_every_sample_is_kept_with_a_hash() {
    let visit = Visit::new();
    let (file, spoken) = excerpt(&visit);
    let done = fed(&visit, &std::fs::read(&file).unwrap(), &[]);
    assert_eq!(done.status.code(), Some(1), "{}", text(&done.stderr));
    assert!(samples(&notes(&visit)[0]) == spoken);
    let heard = facts(&visit);
    assert_eq!(heard, drafted(&file));
    let list: Value = serde_json::from_slice(&std::fs::read(visit.path("v/notes.json")).unwrap()).unwrap();
    let hash = hearsheet::record::hash(&notes(&visit)[0]).unwrap();
    assert_eq!(list["notes"][0]["sha256"], Value::from(hash));
    // A draft made again hears nothing anew: the words are kept.
    let kept = std::fs::read(visit.path("v/record.json")).unwrap();
    let again = visit.command(&["draft", "v"]).env("HEARSHEET_MODELS", project("models")).output().unwrap();
    assert_eq!(again.status.code(), Some(1));
    assert!(std::fs::read(visit.path("v/record.json")).unwrap() == kept);
}

#[test]
fn without_a_speech_model_the_sound_is_kept_all_the_same() {
    let visit = Visit::new();
    let sound = samples(&project("samples/garage.wav"));
    let mut command = listen(&visit, &["--from", "-"]);
    command.env("HEARSHEET_MODELS", visit.path("none")).stdin(Stdio::piped());
    let mut child = command.spawn().unwrap();
    child.stdin.take().unwrap().write_all(&bytes(&sound[..160_000])).unwrap();
    let done = child.wait_with_output().unwrap();
    assert_eq!(done.status.code(), Some(2));
    assert!(text(&done.stdout).contains("the sound is kept"), "{}", text(&done.stdout));
    assert!(text(&done.stderr).contains("hearsheet model get"), "{}", text(&done.stderr));
    assert!(samples(&notes(&visit)[0]) == sound[..160_000]);
}

/// Feeds a ramp in real time until the moment comes, then kills; gives how many samples were fed by then.
fn killed_after(visit: &Visit, moment: Duration) -> usize {
    let mut child: Child = listen(visit, &["--from", "-"]).stdin(Stdio::piped()).stdout(Stdio::null()).spawn().unwrap();
    let mut to = child.stdin.take().unwrap();
    // A busy machine may take a while to start the program; the clock runs from when it listens.
    const FIRST: usize = 1600;
    to.write_all(&bytes(&(0..FIRST).map(|n| n as i16).collect::<Vec<_>>())).unwrap();
    let asked = Instant::now();
    while !visit.path("v/notes").exists() || notes(visit).is_empty() {
        assert!(asked.elapsed() < Duration::from_secs(30), "no note was begun");
        std::thread::sleep(Duration::from_millis(10));
    }
    let begun = Instant::now();
    let mut fed = FIRST;
    while begun.elapsed() < moment {
        let due = FIRST + (begun.elapsed().as_secs_f64() * 16_000.0) as usize;
        let piece: Vec<i16> = (fed..due).map(|n| (n % 30_000) as i16).collect();
        to.write_all(&bytes(&piece)).unwrap();
        fed = due;
        std::thread::sleep(Duration::from_millis(10));
    }
    child.kill().unwrap();
    child.wait().unwrap();
    fed
}

#[test]
fn a_sudden_end_costs_at_most_the_last_second_and_every_file_opens() {
    // HEARSHEET_KILLS=30 asks for more.
    let kills: u64 = std::env::var("HEARSHEET_KILLS").ok().and_then(|n| n.parse().ok()).unwrap_or(3);
    let mut seed = u64::from(std::process::id());
    for _ in 0..kills {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1_442_695_040_888_963_407);
        let moment = Duration::from_millis(1500 + (seed >> 33) % 3000);
        let visit = Visit::new();
        let fed = killed_after(&visit, moment);
        let left = notes(&visit);
        assert_eq!(left.len(), 1, "killed after {moment:?}");
        // Any reader of WAV files opens it as it was left; hound is one.
        let as_left = samples(&left[0]);
        assert!(fed - as_left.len() <= 16_000, "{} of {fed} samples, killed after {moment:?}", as_left.len());
        // The next command mends and lists it; then not even the last second is missing, save what was in the pipe.
        let run = visit.command(&["draft", "v", "--threads", "1"]).env("HEARSHEET_MODELS", project("models")).output();
        assert_ne!(run.unwrap().status.code(), Some(2));
        let mended = samples(&left[0]);
        assert!(mended.len() >= as_left.len());
        assert!(mended.iter().enumerate().all(|(n, s)| *s == (n % 30_000) as i16), "it is the sound that was fed");
        let list = std::fs::read_to_string(visit.path("v/notes.json")).unwrap();
        assert!(list.contains(left[0].file_name().unwrap().to_str().unwrap()), "{list}");
    }
}

#[test]
fn a_note_that_is_being_spoken_is_left_alone_by_a_draft_made_meanwhile() {
    let visit = Visit::new();
    let mut child = listen(&visit, &["--from", "-"]).stdin(Stdio::piped()).spawn().unwrap();
    let mut to = child.stdin.take().unwrap();
    to.write_all(&bytes(&[100; 16_000])).unwrap();
    let begun = Instant::now();
    while !visit.path("v/notes").exists() || notes(&visit).is_empty() {
        assert!(begun.elapsed() < Duration::from_secs(30), "no note was begun");
        std::thread::sleep(Duration::from_millis(20));
    }
    let run = visit.command(&["draft", "v", "--threads", "1"]).env("HEARSHEET_MODELS", project("models")).output();
    assert_ne!(run.unwrap().status.code(), Some(2));
    assert!(!visit.path("v/notes.json").exists(), "it is not listed while it grows");
    to.write_all(&bytes(&[100; 16_000])).unwrap();
    drop(to);
    assert!(child.wait_with_output().unwrap().status.code().is_some());
    assert_eq!(samples(&notes(&visit)[0]).len(), 32_000);
    assert!(std::fs::read_to_string(visit.path("v/notes.json")).unwrap().contains("\"length_ms\": 2000"));
}

#[cfg(unix)]
#[test]
fn a_request_to_end_closes_the_note_and_makes_the_draft() {
    let visit = Visit::new();
    let mut child = listen(&visit, &["--from", "-"]).stdin(Stdio::piped()).spawn().unwrap();
    let mut to = child.stdin.take().unwrap();
    let (_, spoken) = excerpt(&visit);
    to.write_all(&bytes(&spoken)).unwrap();
    std::thread::sleep(Duration::from_millis(1500));
    let asked = Command::new("kill").args(["-INT", &child.id().to_string()]).status().unwrap();
    assert!(asked.success());
    let done = child.wait_with_output().unwrap();
    drop(to);
    assert_eq!(done.status.code(), Some(1), "{}", text(&done.stderr));
    assert!(visit.path("v/record.json").exists());
    assert!(samples(&notes(&visit)[0]) == spoken);
}

use super::*;
use crate::audio::tests::record_tone;
use crate::record::About;

/// Has no model.
struct Deaf;

impl Ears for Deaf {
    fn model(&mut self) -> Result<String, Cause> {
        Err("no model".into())
    }

    fn hear(&mut self, _: &Path, _: &[[u64; 2]], _: &mut dyn Memory) -> Result<Transcript, Cause> {
        Err("no model".into())
    }
}

/// Hears one word in every recording and counts how often it was asked.
struct Counting(usize, &'static str);

impl Ears for Counting {
    fn model(&mut self) -> Result<String, Cause> {
        Ok(self.1.to_owned())
    }

    fn hear(&mut self, _: &Path, _: &[[u64; 2]], _: &mut dyn Memory) -> Result<Transcript, Cause> {
        self.0 += 1;
        Ok(Transcript { model: self.1.to_owned(), ..Transcript::from_text("Hello.") })
    }
}

fn visit() -> (tempfile::TempDir, Visit) {
    let folder = tempfile::tempdir().unwrap();
    let about = About::new("41 Larkspur Lane", "2026-03-14".parse().unwrap());
    let visit = Visit::create(&folder.path().join("visit"), about).unwrap();
    (folder, visit)
}

fn add(visit: &Visit, folder: &Path, name: &str, text: &str) {
    let path = folder.join(name);
    std::fs::write(&path, text).unwrap();
    visit.add(&path).unwrap();
}

/// A second of a tone, as a recording.
fn add_tone(visit: &Visit, folder: &Path) {
    let path = folder.join("tone.wav");
    record_tone(&path, 1);
    visit.add(&path).unwrap();
}

fn make(visit: &Visit, ears: &mut Counting) -> Draft {
    Draft::make(visit, ears, &mut |_| ()).unwrap()
}

#[test]
fn a_recording_is_heard_once_and_again_only_by_another_model() {
    let (folder, visit) = visit();
    add_tone(&visit, folder.path());
    let mut ears = Counting(0, "small");
    make(&visit, &mut ears);
    make(&visit, &mut ears);
    assert_eq!(ears.0, 1, "the second draft uses what was kept");
    let mut other = Counting(0, "large");
    make(&visit, &mut other);
    assert_eq!(other.0, 1);
}

#[test]
fn what_was_heard_elsewhere_is_used_where_there_is_no_model() {
    let (folder, visit) = visit();
    add_tone(&visit, folder.path());
    let deaf = Draft::make(&visit, &mut Deaf, &mut |_| ()).unwrap();
    assert_eq!(deaf.problems.len(), 1, "nothing has been heard yet");
    make(&visit, &mut Counting(0, "small"));
    let deaf = Draft::make(&visit, &mut Deaf, &mut |_| ()).unwrap();
    assert_eq!((deaf.problems.len(), deaf.transcripts.len()), (0, 1));
}

#[test]
fn what_another_program_left_half_written_is_gone_once_the_draft_is_saved() {
    let (folder, visit) = visit();
    add(&visit, folder.path(), "a.txt", "No pan.");
    let draft = make(&visit, &mut Counting(0, "one"));
    let left = visit.root().join("transcripts/.part-left");
    std::fs::write(&left, "{").unwrap();
    draft.save().unwrap();
    assert!(!left.exists());
    assert_eq!(std::fs::read_dir(left.parent().unwrap()).unwrap().count(), 1, "the transcript itself stays");
}

#[test]
fn one_bad_note_does_not_stop_the_others() {
    let (folder, visit) = visit();
    add(&visit, folder.path(), "a.txt", "Nice dog.");
    add(&visit, folder.path(), "b.txt", "Second note.");
    std::fs::write(visit.note_path("a.txt"), "Changed.").unwrap();
    std::fs::write(visit.note_path("c.wav"), "RIFF").unwrap();
    let draft = make(&visit, &mut Counting(0, ""));
    assert_eq!(draft.transcripts.keys().collect::<Vec<_>>(), ["b.txt"]);
    assert_eq!(draft.problems.len(), 2, "{:?}", draft.problems);
    assert!(draft.problems[1].to_string().contains("bytes have changed"), "{}", draft.problems[1]);
}

#[test]
fn a_damaged_transcript_is_refused_and_the_rest_drafted() {
    let (folder, visit) = visit();
    add(&visit, folder.path(), "a.txt", "Nice dog.");
    add(&visit, folder.path(), "b.txt", "Second note.");
    make(&visit, &mut Counting(0, ""));
    let notes = visit.notes().unwrap();
    let a = notes.iter().find(|n| n.name == "a.txt").unwrap();
    std::fs::write(visit.transcript_path(a), "{\"version\": 1,\n \"words\": oops}").unwrap();
    let draft = make(&visit, &mut Counting(0, ""));
    let problem = draft.problems[0].to_string();
    assert!(problem.contains("a.txt.json' line 2"), "{problem}");
    assert_eq!(draft.transcripts.len(), 1);
}

#[test]
fn a_note_laid_into_the_folder_by_hand_is_taken_in() {
    let (_folder, visit) = visit();
    std::fs::write(visit.note_path("by-hand.txt"), "Nice dog.").unwrap();
    assert_eq!(make(&visit, &mut Counting(0, "")).transcripts.len(), 1);
    assert_eq!(visit.notes().unwrap()[0].name, "by-hand.txt");
}

//! What the program says and sounds, and the care that it never hears itself.
use super::board::Board;
use super::event::Trouble;
use crate::audio::RATE;
use crate::record::{Error, Visit};
use std::f32::consts::TAU;
use std::path::PathBuf;
use std::process::{Command, Stdio};
use std::sync::mpsc::Receiver;

/// What is to be sounded.
#[derive(Debug, Clone, PartialEq)]
pub enum Utterance {
    /// An answer in words, or so many short tones where nothing can speak.
    Say { text: String, tones: usize },
    /// Something is wrong.
    Alarm,
}

/// What can make a sound.
pub trait Mouth {
    /// Speaks and returns when it is done; false where it can't.
    fn say(&mut self, text: &str) -> bool;
    /// Plays samples at 16 kHz and returns when they are over; false where it can't.
    fn play(&mut self, samples: &[i16]) -> bool;
}

/// Utters one thing after another; all that is recorded meanwhile is marked as its own voice.
pub fn run(visit: &Visit, board: &Board, mouth: &mut dyn Mouth, wishes: &Receiver<Utterance>) -> Result<(), Error> {
    for wish in wishes {
        board.begin_voice(visit)?;
        match &wish {
            Utterance::Say { text, tones } => {
                let _ = mouth.say(text) || mouth.play(&beeps(660.0, (*tones).clamp(1, MOST_TONES)));
            }
            Utterance::Alarm => {
                mouth.play(&[tone(880.0), tone(587.0), tone(880.0)].concat());
            }
        }
        board.end_voice(visit)?;
    }
    Ok(())
}

/// Whether a trouble wants ears as well as eyes: all of them do.
pub fn alarm(_: &Trouble) -> Utterance {
    Utterance::Alarm
}

/// More tones than this nobody counts.
const MOST_TONES: usize = 6;
const TONE_MS: usize = 120;
const GAP_MS: usize = 90;

fn beeps(hertz: f32, count: usize) -> Vec<i16> {
    let gap = vec![0; GAP_MS * RATE as usize / 1000];
    (0..count).flat_map(|_| [tone(hertz), gap.clone()].concat()).collect()
}

/// A short tone that begins and ends softly, so that it does not click.
fn tone(hertz: f32) -> Vec<i16> {
    let count = TONE_MS * RATE as usize / 1000;
    let ramp = count / 8;
    let loud = |at: usize| (at.min(count - at) as f32 / ramp as f32).min(1.0) * 9000.0;
    (0..count).map(|at| (loud(at) * (TAU * hertz * at as f32 / RATE as f32).sin()) as i16).collect()
}

/// The machine's own mouth: a program that speaks, if there is one, and whatever plays samples.
pub struct Machine {
    speaker: Option<(PathBuf, &'static [&'static str])>,
    play: fn(&[i16]) -> Result<(), String>,
}

/// Programs that speak, the one that shares the sound device with others first.
const SPEAKERS: [(&str, &[&str]); 2] = [("spd-say", &["--wait", "--"]), ("espeak-ng", &["--"])];

impl Machine {
    /// `aloud` looks for a program that speaks.
    pub fn new(aloud: bool, play: fn(&[i16]) -> Result<(), String>) -> Self {
        let path = std::env::var_os("PATH").unwrap_or_default();
        let find = |name: &str| std::env::split_paths(&path).map(|folder| folder.join(name)).find(|p| p.is_file());
        let speaker = SPEAKERS.iter().filter(|_| aloud).find_map(|(name, options)| Some((find(name)?, *options)));
        Machine { speaker, play }
    }
}

impl Mouth for Machine {
    fn say(&mut self, text: &str) -> bool {
        let Some((program, options)) = &self.speaker else { return false };
        let mut command = Command::new(program);
        command.args(*options).arg(text).stdin(Stdio::null()).stdout(Stdio::null()).stderr(Stdio::null());
        let spoken = command.status().is_ok_and(|status| status.success());
        if !spoken {
            self.speaker = None;
        }
        spoken
    }

    fn play(&mut self, samples: &[i16]) -> bool {
        (self.play)(samples).is_ok()
    }
}

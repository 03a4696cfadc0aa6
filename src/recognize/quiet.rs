//! Where in one stretch nobody speaks, by its loudness: finer than the detector of speech, which keeps margins.
use crate::audio::RATE;

/// Loudness is measured in frames of 10 ms, over three of them.
const FRAME: usize = RATE as usize / 100;
const FRAME_MS: u64 = 10;
/// Shorter dips lie within words: a stop before it bursts, a breath.
const SHORTEST_MS: u64 = 350;
/// Speech stands out from what is around it by this much power (12 dB), or nothing can be told.
const CONTRAST: f32 = 16.0;
/// Quiet is what has at most so much of the background's power (4 dB) ...
const BACKGROUND: f32 = 2.5;
/// ... or of the loudest speech's (34 dB below it).
const LOUDEST: f32 = 4e-4;

/// The quiet parts in milliseconds from the stretch's start: that before anybody speaks, the pauses, that after.
pub fn find(samples: &[i16]) -> Vec<(u64, u64)> {
    let runs = runs(samples).unwrap_or_default();
    let last_ms = runs.last().map_or(0, |run| run.to_ms);
    let is_pause = |run: &Run| run.from_ms == 0 || run.to_ms == last_ms || run.to_ms - run.from_ms >= SHORTEST_MS;
    runs.iter().filter(|run| !run.loud && is_pause(run)).map(|run| (run.from_ms, run.to_ms)).collect()
}

/// A part that is loud or quiet throughout.
struct Run {
    loud: bool,
    from_ms: u64,
    to_ms: u64,
}

/// The loud and the quiet parts by turns; none where speech does not stand out.
fn runs(samples: &[i16]) -> Option<Vec<Run>> {
    let power = smooth(&samples.chunks_exact(FRAME).map(power).collect::<Vec<f32>>());
    let most = most(&power)?;
    let mut to_ms = 0;
    let run = |run: &[f32]| {
        let from_ms = to_ms;
        to_ms += run.len() as u64 * FRAME_MS;
        Run { loud: run[0] > most, from_ms, to_ms }
    };
    Some(power.chunk_by(|a, b| (*a <= most) == (*b <= most)).map(run).collect())
}

/// How many single words are spoken one by one, each with silence around it; none where anybody says more in one breath.
pub fn words_apart(samples: &[i16]) -> Option<usize> {
    let mut bursts: Vec<(u64, u64)> = Vec::new();
    for run in runs(samples)?.iter().filter(|run| run.loud) {
        match bursts.last_mut().filter(|last| run.from_ms - last.1 < APART_MS) {
            Some(last) => last.1 = run.to_ms,
            None => bursts.push((run.from_ms, run.to_ms)),
        }
    }
    bursts.retain(|(from, to)| to - from >= CLICK_MS);
    bursts.iter().all(|(from, to)| to - from <= WORD_MS).then_some(bursts.len())
}

/// A silence this long parts two words spoken one by one; a shorter one lies within a word.
const APART_MS: u64 = 130;
/// Shorter bursts are clicks.
const CLICK_MS: u64 = 80;
/// No single digit lasts longer.
const WORD_MS: u64 = 800;

/// The most power of what is still quiet.
fn most(power: &[f32]) -> Option<f32> {
    let mut sorted = power.to_owned();
    sorted.sort_by(f32::total_cmp);
    let share = |percent: usize| sorted.get(sorted.len() * percent / 100).copied();
    // A silence that was made, not recorded, has no power at all.
    let (background, loudest) = (share(10)?.max(1.0), share(95)?);
    (loudest >= CONTRAST * background).then_some((BACKGROUND * background).max(LOUDEST * loudest))
}

fn power(frame: &[i16]) -> f32 {
    frame.iter().map(|s| f32::from(*s) * f32::from(*s)).sum::<f32>() / frame.len() as f32
}

fn smooth(power: &[f32]) -> Vec<f32> {
    let near = |at: usize| &power[at.saturating_sub(1)..(at + 2).min(power.len())];
    (0..power.len()).map(|at| near(at).iter().sum::<f32>() / near(at).len() as f32).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    /// Hiss of this size between -1 and 1 times it.
    fn hiss(ms: usize, size: f32) -> Vec<i16> {
        let mut seed = 1_u32;
        let mut next = || {
            seed = seed.wrapping_mul(1_664_525).wrapping_add(1_013_904_223);
            (seed >> 8) as f32 / (1 << 23) as f32 - 1.0
        };
        (0..ms * RATE as usize / 1000).map(|_| (next() * size) as i16).collect()
    }

    #[test]
    fn edges_and_long_pauses_are_found_to_a_frame_and_dips_are_not() {
        for background in [0.0, 100.0, 1000.0] {
            let parts = [(300, background), (900, 8000.0), (200, background), (500, 8000.0), (400, background)];
            let parts = parts.into_iter().chain([(700, 8000.0), (600, background)]);
            let sound: Vec<i16> = parts.flat_map(|(ms, size)| hiss(ms, size)).collect();
            // Smoothing hears a frame of speech on either side.
            assert_eq!(find(&sound), [(0, 290), (1910, 2290), (3010, 3600)], "{background}");
        }
    }

    #[test]
    fn words_spoken_one_by_one_are_counted_and_more_in_one_breath_is_not() {
        let spoken = |lengths: &[(usize, usize)]| -> Vec<i16> {
            let quiet = |ms| hiss(ms, 100.0);
            let parts = lengths.iter().flat_map(|(ms, after)| [hiss(*ms, 8000.0), quiet(*after)]);
            [vec![quiet(300)], parts.collect()].concat().concat()
        };
        assert_eq!(words_apart(&spoken(&[(400, 250), (500, 250), (300, 400)])), Some(3));
        // A click of 30 ms is none, and a silence of 80 ms lies within a word.
        assert_eq!(words_apart(&spoken(&[(400, 250), (30, 250), (200, 80), (200, 400)])), Some(2));
        assert_eq!(words_apart(&spoken(&[(400, 250), (1500, 400)])), None, "one and a half seconds are a phrase");
        assert_eq!(words_apart(&hiss(3000, 500.0)), None, "nothing stands out");
    }

    #[test]
    fn nothing_is_told_of_what_does_not_stand_out() {
        assert_eq!(find(&hiss(3000, 500.0)), []);
        assert_eq!(find(&[hiss(1000, 500.0), hiss(1000, 1000.0)].concat()), []);
        assert_eq!(find(&[]), []);
    }
}

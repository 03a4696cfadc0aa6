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
    let power = smooth(&samples.chunks_exact(FRAME).map(power).collect::<Vec<f32>>());
    let Some(most) = most(&power) else { return Vec::new() };
    let mut quiet = Vec::new();
    let mut at = 0;
    for run in power.chunk_by(|a, b| (*a <= most) == (*b <= most)) {
        let (from, to) = (at, at + run.len());
        at = to;
        let at_edge = from == 0 || to == power.len();
        if run[0] <= most && (at_edge || run.len() as u64 * FRAME_MS >= SHORTEST_MS) {
            quiet.push((from as u64 * FRAME_MS, to as u64 * FRAME_MS));
        }
    }
    quiet
}

/// How many single words are spoken one by one, each with silence around it; none where anybody says more in one breath.
pub fn words_apart(samples: &[i16]) -> Option<usize> {
    let power = smooth(&samples.chunks_exact(FRAME).map(power).collect::<Vec<f32>>());
    let most = most(&power)?;
    let mut bursts: Vec<(usize, usize)> = Vec::new();
    let mut at = 0;
    for run in power.chunk_by(|a, b| (*a <= most) == (*b <= most)) {
        let (from, to) = (at, at + run.len());
        at = to;
        if run[0] <= most {
            continue;
        }
        match bursts.last_mut().filter(|last| ((from - last.1) as u64) * FRAME_MS < APART_MS) {
            Some(last) => last.1 = to,
            None => bursts.push((from, to)),
        }
    }
    bursts.retain(|(from, to)| ((to - from) as u64) * FRAME_MS >= CLICK_MS);
    let short = bursts.iter().all(|(from, to)| ((to - from) as u64) * FRAME_MS <= WORD_MS);
    short.then_some(bursts.len())
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
    fn nothing_is_told_of_what_does_not_stand_out() {
        assert_eq!(find(&hiss(3000, 500.0)), []);
        assert_eq!(find(&[hiss(1000, 500.0), hiss(1000, 1000.0)].concat()), []);
        assert_eq!(find(&[]), []);
    }
}

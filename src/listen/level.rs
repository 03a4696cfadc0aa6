//! How loud it is, and what is wrong with the sound.
use crate::audio::growing::Form;

/// What can be told from the samples alone.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Fault {
    /// Not even noise: a microphone that is switched off, or nothing plugged in.
    Muted,
    /// Tops cut off: too loud for the microphone.
    Clipped,
    /// Somebody spoke, and could hardly be heard.
    Quiet,
}

/// 66 dB below the loudest possible; every microphone that is on makes more noise.
const MUTED_PEAK: u16 = 16;
const MUTED_MS: u64 = 2000;
/// A cut top stays at full scale for some samples; one sample may be chance.
const CLIPPED_RUN: usize = 3;
const FULL: u16 = 32_700;
/// A fault that has passed is shown a while longer, so that it can be read.
const SHOWN_MS: u64 = 4000;
/// 36 dB below the loudest possible: the loudest sample of a statement spoken at arm's length lies well above.
const QUIET_PEAK: u16 = 520;

/// Follows the samples as they come.
#[derive(Debug, Clone, Default)]
pub struct Meter {
    /// The loudest sample lately; it falls by half in a fifth of a second.
    pub peak: u16,
    heard_ms: u64,
    silent_ms: u64,
    run: usize,
    clipped_at: Option<u64>,
    quiet_at: Option<u64>,
}

impl Meter {
    /// Takes in the next samples.
    pub fn push(&mut self, samples: &[i16], form: Form) {
        let frames = samples.len() as u64 / u64::from(form.channels.max(1));
        let loudest = samples.iter().map(|s| s.unsigned_abs()).max().unwrap_or(0);
        let ms = form.ms(frames);
        let fallen = f32::from(self.peak) * 0.5f32.powf(ms as f32 / 200.0);
        self.peak = loudest.max(fallen as u16);
        self.heard_ms += ms;
        self.silent_ms = if loudest < MUTED_PEAK { self.silent_ms + ms } else { 0 };
        for sample in samples {
            self.run = if sample.unsigned_abs() >= FULL { self.run + 1 } else { 0 };
            if self.run >= CLIPPED_RUN {
                self.clipped_at = Some(self.heard_ms);
            }
        }
    }

    /// Takes in how loud the loudest sample of a statement was.
    pub fn spoken(&mut self, peak: u16) {
        self.quiet_at = (peak < QUIET_PEAK).then_some(self.heard_ms);
    }

    /// What is wrong now.
    pub fn fault(&self) -> Option<Fault> {
        let lately = |at: Option<u64>| at.is_some_and(|at| self.heard_ms - at <= SHOWN_MS);
        if self.silent_ms >= MUTED_MS {
            Some(Fault::Muted)
        } else if lately(self.clipped_at) {
            Some(Fault::Clipped)
        } else {
            lately(self.quiet_at).then_some(Fault::Quiet)
        }
    }

    /// The level as a share of a bar that shows 60 dB.
    pub fn share(&self) -> f32 {
        let db = 20.0 * (f32::from(self.peak).max(1.0) / 32_768.0).log10();
        (1.0 + db / 60.0).clamp(0.0, 1.0)
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    const FORM: Form = Form { rate: 16_000, channels: 1 };

    fn after(seconds: f32, sample: impl Fn(usize) -> i16) -> Meter {
        let mut meter = Meter::default();
        let samples: Vec<i16> = (0..(16_000.0 * seconds) as usize).map(sample).collect();
        samples.chunks(320).for_each(|chunk| meter.push(chunk, FORM));
        meter
    }

    #[test]
    fn a_switched_off_microphone_is_told_after_two_seconds_and_a_quiet_room_is_not() {
        assert_eq!(after(1.9, |_| 0).fault(), None);
        assert_eq!(after(2.0, |_| 0).fault(), Some(Fault::Muted));
        // Noise at -60 dB, as in a quiet room: 33 of 32768.
        assert_eq!(after(10.0, |n| if n % 2 == 0 { 33 } else { -33 }).fault(), None);
    }

    #[test]
    fn cut_tops_are_told_and_one_loud_sample_is_not() {
        let sine = |loud: f32| move |n: usize| (loud * (n as f32 * 0.2).sin()).clamp(-32_767.0, 32_767.0) as i16;
        assert_eq!(after(1.0, sine(32_000.0)).fault(), None);
        assert_eq!(after(1.0, sine(60_000.0)).fault(), Some(Fault::Clipped));
        assert_eq!(after(1.0, |n| if n == 5 { 32_767 } else { 100 }).fault(), None);
    }

    #[test]
    fn clipping_is_shown_for_a_while_and_then_no_longer() {
        let mut meter = after(1.0, |_| 32_767);
        assert_eq!(meter.fault(), Some(Fault::Clipped));
        (0..250).for_each(|_| meter.push(&[1000; 320], FORM));
        assert_eq!(meter.fault(), None);
    }

    #[test]
    fn a_faint_statement_is_told() {
        let mut meter = after(1.0, |_| 200);
        meter.spoken(400);
        assert_eq!(meter.fault(), Some(Fault::Quiet));
        meter.spoken(4000);
        assert_eq!(meter.fault(), None);
    }

    #[test]
    fn the_bar_shows_sixty_decibels() {
        // Full scale is the whole bar; 30 dB below (32768 / 31.6 = 1036) is half of it.
        assert!(after(0.1, |_| i16::MAX).share() > 0.99);
        assert!((after(0.1, |_| 1036).share() - 0.5).abs() < 0.01);
    }
}

//! The engine's callbacks, with all `unsafe` but the one call of `src/cli/memory.rs`.
//!
//! Safety, as a whole: [`run`] hands the engine a pointer to a [`Hooks`] that it borrows for the length of the call.
//! The engine uses the pointer only inside `whisper_full_with_state`, which returns before `run` does, and `params`,
//! which holds the pointer, is consumed there. The engine may call from several threads at once (one a beam), so the
//! callbacks take `Hooks` by shared reference, and what they change lies behind a lock. The engine guarantees, for its
//! pinned version (whisper.cpp 1.8.3, `whisper_process_logits`), that `tokens` points to `count` entries (or anywhere,
//! if `count` is zero) and `logits` to one float a vocabulary entry, both unshared while the callback runs. A panic
//! can't cross into C: an `extern "C"` function aborts instead, and the code below has no indexing that could fail.
#![allow(unsafe_code, reason = "the engine's callbacks are C functions")]

use super::digits::Digits;
use super::pull::Pull;
use std::collections::HashMap;
use std::ffi::{c_int, c_void};
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::{Mutex, PoisonError};
use whisper_rs::whisper_rs_sys::{whisper_context, whisper_state, whisper_token_data};
use whisper_rs::{FullParams, WhisperError, WhisperState};

/// Log-probabilities below this are not kept; a token that unlikely is never told as sure.
pub const FLOOR: f32 = -9.0;

/// What the callbacks need, and what they note down.
pub struct Hooks<'a> {
    pull: Option<&'a Pull>,
    vocabulary: usize,
    /// The token that ends a text; those below it are text, those above it times and other signs.
    end_of_text: u32,
    stop: &'a AtomicBool,
    /// The only texts that may be written, if not all may.
    only: Option<(&'a Digits, usize)>,
    /// After each run of text tokens, what the model itself thought of the next one, before any bonus.
    thoughts: Mutex<HashMap<u64, Vec<(u32, f32)>>>,
}

impl<'a> Hooks<'a> {
    pub fn new(pull: Option<&'a Pull>, vocabulary: usize, end_of_text: u32, stop: &'a AtomicBool) -> Self {
        Hooks { pull, vocabulary, end_of_text, stop, only: None, thoughts: Mutex::default() }
    }

    /// The same, but only so many digits may be written, and nothing pulls.
    pub fn only(self, digits: &'a Digits, count: usize) -> Self {
        Hooks { pull: None, only: Some((digits, count)), ..self }
    }

    /// The model's own log-probability of a text token after others, among all text tokens.
    pub fn thought(&self, before: &[u32], token: u32) -> Option<f32> {
        let thoughts = self.thoughts.lock().unwrap_or_else(PoisonError::into_inner);
        let next = thoughts.get(&key(before))?;
        Some(next.iter().find(|(t, _)| *t == token).map_or(FLOOR, |(_, p)| *p))
    }

    fn filter(&self, before: &[u32], logits: &mut [f32]) {
        let before: &[u32] = &before.iter().copied().filter(|t| *t < self.end_of_text).collect::<Vec<_>>();
        // Times are left out: how sure the model is of a pause here says nothing of the word.
        let thought = think(logits.get(..=self.end_of_text as usize).unwrap_or(logits));
        self.thoughts.lock().unwrap_or_else(PoisonError::into_inner).insert(key(before), thought);
        if let Some((digits, count)) = self.only {
            digits.keep(before, count, self.end_of_text as usize, logits);
        }
        for (token, bonus) in self.pull.map(|pull| pull.bonuses(before)).unwrap_or_default() {
            if let Some(logit) = logits.get_mut(token as usize) {
                *logit += bonus;
            }
        }
    }
}

/// Runs the engine over one window with the hooks in place.
pub fn run(
    state: &mut WhisperState,
    mut params: FullParams,
    hooks: &Hooks,
    samples: &[f32],
) -> Result<(), WhisperError> {
    let pointer = std::ptr::from_ref(hooks).cast_mut().cast::<c_void>();
    // SAFETY: see the head of this file; `hooks` outlives `full`, and the callbacks only share it.
    unsafe {
        params.set_filter_logits_callback(Some(filter_logits));
        params.set_filter_logits_callback_user_data(pointer);
        params.set_abort_callback(Some(is_stopped));
        params.set_abort_callback_user_data(pointer);
    }
    state.full(params, samples)
}

unsafe extern "C" fn filter_logits(
    _: *mut whisper_context,
    _: *mut whisper_state,
    tokens: *const whisper_token_data,
    count: c_int,
    logits: *mut f32,
    user_data: *mut c_void,
) {
    // SAFETY: `user_data` is the `Hooks` of the running `run`.
    let hooks = unsafe { &*user_data.cast_const().cast::<Hooks>() };
    let count = usize::try_from(count).unwrap_or(0);
    let before: Vec<u32> = if count == 0 {
        Vec::new()
    } else {
        // SAFETY: the engine passes its own vector of `count` tokens.
        unsafe { std::slice::from_raw_parts(tokens, count) }.iter().map(|t| t.id.unsigned_abs()).collect()
    };
    // SAFETY: the engine passes its decoder's own copy of the logits, one a vocabulary entry.
    let logits = unsafe { std::slice::from_raw_parts_mut(logits, hooks.vocabulary) };
    hooks.filter(&before, logits);
}

unsafe extern "C" fn is_stopped(user_data: *mut c_void) -> bool {
    // SAFETY: `user_data` is the `Hooks` of the running `run`.
    let hooks = unsafe { &*user_data.cast_const().cast::<Hooks>() };
    hooks.stop.load(Ordering::Relaxed)
}

/// The log-probabilities that matter, from logits.
fn think(logits: &[f32]) -> Vec<(u32, f32)> {
    let most = logits.iter().copied().fold(f32::NEG_INFINITY, f32::max);
    // Logits 16 below the largest add less than a thousandth, all together.
    let sum: f32 = logits.iter().filter(|l| **l > most - 16.0).map(|l| (l - most).exp()).sum();
    let all = most + sum.ln();
    let likely = logits.iter().zip(0..).filter(|(l, _)| **l - all > FLOOR);
    likely.map(|(l, token)| (token, l - all)).collect()
}

/// A run of tokens as one number (FNV-1a).
fn key(tokens: &[u32]) -> u64 {
    tokens.iter().fold(0xcbf2_9ce4_8422_2325, |hash, t| (hash ^ u64::from(*t)).wrapping_mul(0x0100_0000_01b3))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn thoughts_are_the_softmax_of_the_logits() {
        // ln(2/7), ln(4/7) and ln(1/7): three logits ln 2, ln 4, ln 1; the fourth is ruled out.
        let thought = think(&[2f32.ln(), 4f32.ln(), 0.0, f32::NEG_INFINITY]);
        let wanted = [(0, (2.0f32 / 7.0).ln()), (1, (4.0f32 / 7.0).ln()), (2, (1.0f32 / 7.0).ln())];
        assert_eq!(thought.len(), 3);
        for ((token, p), (wanted_token, wanted_p)) in thought.iter().zip(wanted) {
            assert_eq!(*token, wanted_token);
            assert!((p - wanted_p).abs() < 1e-5, "{p} {wanted_p}");
        }
    }
}

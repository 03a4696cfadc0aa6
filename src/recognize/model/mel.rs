//! The mel filterbank that the model was trained with.
//!
//! Slaney's scale and normalisation (M. Slaney, Auditory Toolbox, 1998), as the reference library librosa computes
//! it for 16 kHz, a Fourier transform of 400 and 80 bands.

/// Bands of the bank.
pub const BANDS: usize = 80;
/// Bins of the Fourier transform.
pub const BINS: usize = 201;
const RATE: f64 = 16_000.0;
const FFT: f64 = 400.0;

/// Slaney's scale: linear to 1000 Hz at three mels in 200 Hz, then 27 logarithmic steps in a factor of 6.4.
const HZ_PER_MEL: f64 = 200.0 / 3.0;
const BREAK_HZ: f64 = 1000.0;
const BREAK_MEL: f64 = BREAK_HZ / HZ_PER_MEL;

/// The triangles, band by band.
pub fn filterbank() -> Vec<f32> {
    let top = to_mel(RATE / 2.0);
    let edges: Vec<f64> = (0..BANDS + 2).map(|n| to_hz(top * n as f64 / (BANDS + 1) as f64)).collect();
    let mut bank = Vec::with_capacity(BANDS * BINS);
    for edge in edges.windows(3) {
        for bin in 0..BINS {
            let hz = bin as f64 * RATE / FFT;
            let rising = (hz - edge[0]) / (edge[1] - edge[0]);
            let falling = (edge[2] - hz) / (edge[2] - edge[1]);
            // Each triangle has the same area.
            bank.push((rising.min(falling).max(0.0) * 2.0 / (edge[2] - edge[0])) as f32);
        }
    }
    bank
}

fn step() -> f64 {
    6.4f64.ln() / 27.0
}

fn to_mel(hz: f64) -> f64 {
    if hz < BREAK_HZ { hz / HZ_PER_MEL } else { BREAK_MEL + (hz / BREAK_HZ).ln() / step() }
}

fn to_hz(mel: f64) -> f64 {
    if mel < BREAK_MEL { mel * HZ_PER_MEL } else { BREAK_HZ * ((mel - BREAK_MEL) * step()).exp() }
}

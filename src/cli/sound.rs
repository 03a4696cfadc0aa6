//! Playing the words behind a fact, where the program was built with sound.

/// Plays samples at the recogniser's rate and returns when they are over.
#[cfg(feature = "sound")]
pub fn play(samples: &[i16]) -> Result<(), String> {
    use rodio::buffer::SamplesBuffer;
    use std::num::NonZero;

    let silent = |e: String| format!("no sound comes out of this machine: {e}");
    let mut sink = rodio::DeviceSinkBuilder::open_default_sink().map_err(|e| silent(e.to_string()))?;
    sink.log_on_drop(false);
    let rate = NonZero::new(hearsheet::audio::RATE).ok_or_else(|| silent("no rate".to_owned()))?;
    let floats: Vec<f32> = samples.iter().map(|&s| f32::from(s) / 32768.0).collect();
    let player = rodio::Player::connect_new(sink.mixer());
    player.append(SamplesBuffer::new(NonZero::<u16>::MIN, rate, floats));
    player.sleep_until_end();
    Ok(())
}

/// Tells how the words can be heard all the same.
#[cfg(not(feature = "sound"))]
pub fn play(_: &[i16]) -> Result<(), String> {
    Err("this program was built without sound; hearsheet clip DIR FACT writes the words to a file".to_owned())
}

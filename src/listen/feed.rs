//! Sound that another program records: from standard input, or from a file that grows.
use super::sink::Sound;
use crate::audio::growing::{Form, form_in};
use std::fs::File;
use std::io::{self, Read};
use std::path::Path;
use std::sync::mpsc::SyncSender;
use std::time::{Duration, Instant};

/// Bytes taken at a time; at 16 kHz a tenth of a second.
const CHUNK: usize = 3200;
/// A growing file is looked at this often.
const LOOK: Duration = Duration::from_millis(50);
/// A header longer than this is none.
const MOST_CHUNKS: usize = 64;

/// Why sound could not be taken.
#[derive(Debug, thiserror::Error)]
pub enum Error {
    #[error("cannot read '{name}'; check that it is there and may be read")]
    Read { name: String, source: io::Error },
    #[error("'{name}' is a WAV that does not hold 16-bit samples; have the recorder write 16-bit ones")]
    Form { name: String },
}

/// A file that another program is still writing; it has ended when it has not grown for a while.
pub struct Tail {
    file: File,
    patience: Duration,
}

impl Tail {
    /// Follows a file from its beginning.
    pub fn open(path: &Path, patience: Duration) -> Result<Tail, Error> {
        let name = path.display().to_string();
        let file = File::open(path).map_err(|source| Error::Read { name, source })?;
        Ok(Tail { file, patience })
    }
}

impl Read for Tail {
    fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
        let begun = Instant::now();
        loop {
            let count = self.file.read(buffer)?;
            if count > 0 || begun.elapsed() >= self.patience {
                return Ok(count);
            }
            std::thread::sleep(LOOK);
        }
    }
}

/// Hands sound on until it ends or nobody takes it; a WAV's header tells how it is laid out, else `form` does.
pub fn pour(name: &str, mut source: impl Read, form: Form, to: &SyncSender<Sound>) -> Result<(), Error> {
    let failed = |source| Error::Read { name: name.to_owned(), source };
    let mut head = read_up_to(&mut source, 12).map_err(failed)?;
    let form = if head.starts_with(b"RIFF") && head.ends_with(b"WAVE") {
        head.clear();
        skip_header(&mut source).map_err(failed)?.ok_or_else(|| Error::Form { name: name.to_owned() })?
    } else {
        form
    };
    if to.send(Sound::Form(form)).is_err() {
        return Ok(());
    }
    let frame = usize::try_from(form.frame_bytes()).unwrap_or(2);
    let mut bytes = head;
    let mut chunk = vec![0; CHUNK.next_multiple_of(frame)];
    loop {
        let whole = bytes.len() - bytes.len() % frame;
        let samples: Vec<i16> = bytes.drain(..whole).as_slice().chunks_exact(2).map(le).collect();
        if !samples.is_empty() && to.send(Sound::Samples(samples)).is_err() {
            return Ok(());
        }
        match source.read(&mut chunk) {
            Ok(0) => return Ok(()),
            Ok(count) => bytes.extend_from_slice(&chunk[..count]),
            Err(error) if error.kind() == io::ErrorKind::Interrupted => {}
            Err(error) => return Err(failed(error)),
        }
    }
}

fn le(bytes: &[u8]) -> i16 {
    i16::from_le_bytes([bytes[0], bytes[1]])
}

/// Reads the chunks of a WAV up to its sound.
fn skip_header(source: &mut impl Read) -> io::Result<Option<Form>> {
    let mut form = None;
    for _ in 0..MOST_CHUNKS {
        let head = read_up_to(source, 8)?;
        if head.len() < 8 {
            return Ok(None);
        }
        let size = u64::from(u32::from_le_bytes([head[4], head[5], head[6], head[7]]));
        match &head[..4] {
            b"data" => return Ok(form),
            b"fmt " => {
                let fields = read_up_to(source, size.next_multiple_of(2))?;
                form = fields.first_chunk().and_then(form_in);
            }
            _ => {
                io::copy(&mut source.by_ref().take(size.next_multiple_of(2)), &mut io::sink())?;
            }
        }
    }
    Ok(None)
}

fn read_up_to(source: &mut impl Read, count: u64) -> io::Result<Vec<u8>> {
    let mut bytes = Vec::new();
    source.take(count).read_to_end(&mut bytes)?;
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use std::sync::mpsc::sync_channel;

    const FORM: Form = Form { rate: 16_000, channels: 1 };

    /// Gives its bytes a few at a time, as a pipe does.
    struct Drip<'a>(&'a [u8], usize);

    impl Read for Drip<'_> {
        fn read(&mut self, buffer: &mut [u8]) -> io::Result<usize> {
            let count = self.1.min(self.0.len()).min(buffer.len());
            buffer[..count].copy_from_slice(&self.0[..count]);
            self.0 = &self.0[count..];
            Ok(count)
        }
    }

    fn poured(bytes: &[u8], form: Form, drip: usize) -> (Form, Vec<i16>) {
        let (to, from) = sync_channel(100_000);
        pour("-", Drip(bytes, drip), form, &to).unwrap();
        drop(to);
        let (mut told, mut all) = (form, Vec::new());
        for sound in from {
            match sound {
                Sound::Form(form) => told = form,
                Sound::Samples(samples) => all.extend(samples),
                other => panic!("{other:?}"),
            }
        }
        (told, all)
    }

    #[test]
    fn raw_samples_come_through_however_the_pipe_cuts_them() {
        let samples: Vec<i16> = (0..5000).map(|n| (n * 13) as i16).collect();
        let bytes: Vec<u8> = samples.iter().flat_map(|s| s.to_le_bytes()).collect();
        for drip in [1, 3, 4096, 100_000] {
            assert_eq!(poured(&bytes, FORM, drip), (FORM, samples.clone()));
        }
        // Half a frame of two channels at the end is no sound.
        let stereo = Form { rate: 48_000, channels: 2 };
        assert_eq!(poured(&bytes[..1002], stereo, 7).1, samples[..500]);
    }

    #[test]
    fn the_header_of_a_wav_is_believed_rather_than_the_options() {
        let bytes = std::fs::read("samples/garage.wav").unwrap();
        let (form, samples) = poured(&bytes, Form { rate: 8000, channels: 2 }, 997);
        assert_eq!(form, FORM);
        let expected: Vec<i16> =
            hound::WavReader::open("samples/garage.wav").unwrap().samples::<i16>().map(|s| s.unwrap()).collect();
        assert_eq!(samples, expected);
    }

    #[test]
    fn a_wav_of_other_samples_is_refused() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.wav");
        let spec = hound::WavSpec {
            channels: 1,
            sample_rate: 16_000,
            bits_per_sample: 24,
            sample_format: hound::SampleFormat::Int,
        };
        hound::WavWriter::create(&path, spec).unwrap().finalize().unwrap();
        let (to, _from) = sync_channel(10);
        let refused = pour("a.wav", File::open(&path).unwrap(), FORM, &to).unwrap_err();
        assert!(matches!(refused, Error::Form { .. }), "{refused}");
    }

    #[test]
    fn a_growing_file_is_followed_to_where_it_stops_growing() {
        let folder = tempfile::tempdir().unwrap();
        let path = folder.path().join("a.raw");
        std::fs::write(&path, [1u8; 1000]).unwrap();
        let writer = {
            let path = path.clone();
            std::thread::spawn(move || {
                use std::io::Write;
                let mut file = File::options().append(true).open(path).unwrap();
                for _ in 0..5 {
                    std::thread::sleep(Duration::from_millis(60));
                    file.write_all(&[2; 1000]).unwrap();
                }
            })
        };
        let mut all = Vec::new();
        Tail::open(&path, Duration::from_millis(600)).unwrap().read_to_end(&mut all).unwrap();
        writer.join().unwrap();
        assert_eq!(all.len(), 6000);
    }
}

//! WAV files: integers of 8 to 32 bits and 32-bit floats, through hound.
use super::{Error, resample::Sink};
use hound::{SampleFormat, WavReader};
use std::fs::File;
use std::io::{BufReader, Read, Seek, SeekFrom};
use std::path::Path;

/// Frames handed on at a time.
const CHUNK: usize = 4096;

/// Decodes the file; false where it holds what hound doesn't know (A-law, ADPCM, a length left open ...).
pub fn decode(path: &Path, file: &File, sink: &mut Sink) -> Result<bool, Error> {
    if !check_length(path, file)? {
        return Ok(false);
    }
    let mut reader = match WavReader::new(BufReader::new(file)) {
        Ok(reader) => reader,
        Err(hound::Error::Unsupported) => {
            rewind(path, file)?;
            return Ok(false);
        }
        Err(e) => return Err(damaged(path, e)),
    };
    let spec = reader.spec();
    sink.begin(spec.sample_rate, spec.channels.into())?;
    match spec.sample_format {
        SampleFormat::Float => pour(path, reader.samples::<f32>(), spec.channels.into(), sink)?,
        SampleFormat::Int => {
            let scale = 1.0 / (1u64 << (spec.bits_per_sample - 1)) as f32;
            let samples = reader.samples::<i32>().map(|s| s.map(|s| s as f32 * scale));
            pour(path, samples, spec.channels.into(), sink)?;
        }
    }
    Ok(true)
}

fn pour(
    path: &Path,
    samples: impl Iterator<Item = hound::Result<f32>>,
    channels: usize,
    sink: &mut Sink,
) -> Result<(), Error> {
    let mut chunk = Vec::with_capacity(CHUNK * channels);
    for sample in samples {
        chunk.push(sample.map_err(|e| damaged(path, e))?);
        if chunk.len() == CHUNK * channels {
            sink.push(&chunk)?;
            chunk.clear();
        }
    }
    sink.push(&chunk)
}

fn damaged(path: &Path, error: hound::Error) -> Error {
    Error::Damaged { path: path.to_owned(), what: error.to_string() }
}

fn rewind(path: &Path, mut file: &File) -> Result<(), Error> {
    file.rewind().map_err(|source| Error::Open { path: path.to_owned(), source })
}

/// Refuses a file whose sound ends before its header says so; hound would only say "not enough bytes".
/// False where the header says that the length wasn't known, as a program writing into a pipe does.
fn check_length(path: &Path, file: &File) -> Result<bool, Error> {
    let failed = |source| Error::Open { path: path.to_owned(), source };
    let length = file.metadata().map_err(failed)?.len();
    let Some((start, size)) = find_chunk(file, *b"data").map_err(failed)? else {
        return Err(Error::CutOff { path: path.to_owned(), at: length, promised: length.max(44) + 1 });
    };
    rewind(path, file)?;
    if size == 0 && length > start {
        return Err(Error::Unfinished { path: path.to_owned() });
    }
    if size == u32::MAX {
        return Ok(false);
    }
    if start + u64::from(size) > length {
        return Err(Error::CutOff { path: path.to_owned(), at: length, promised: start + u64::from(size) });
    }
    Ok(true)
}

/// Where a chunk's content starts in a RIFF file and how many bytes it promises.
pub fn find_chunk(mut file: &File, wanted: [u8; 4]) -> std::io::Result<Option<(u64, u32)>> {
    let mut at = 12;
    loop {
        file.seek(SeekFrom::Start(at))?;
        let mut header = [0; 8];
        match file.read_exact(&mut header) {
            Err(e) if e.kind() == std::io::ErrorKind::UnexpectedEof => return Ok(None),
            other => other?,
        }
        let size = u32::from_le_bytes([header[4], header[5], header[6], header[7]]);
        if header[..4] == wanted {
            return Ok(Some((at + 8, size)));
        }
        // Chunks begin at even bytes.
        at += 8 + u64::from(size) + u64::from(size % 2);
    }
}

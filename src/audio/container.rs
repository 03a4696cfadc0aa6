//! Every recording that is no plain WAV: M4A, MP3, FLAC, Ogg, AIFF, CAF, WebM, through symphonia.
use super::mp4::{self, Edit};
use super::{Error, date, resample::Sink};
use jiff::Timestamp;
use std::fs::File;
use std::io::ErrorKind;
use std::path::Path;
use std::sync::LazyLock;
use symphonia::core::codecs::audio::{AudioDecoder, AudioDecoderOptions};
use symphonia::core::codecs::registry::CodecRegistry;
use symphonia::core::errors::Error as Fault;
use symphonia::core::formats::{FormatReader, Track, TrackType, probe::Hint};
use symphonia::core::io::MediaSourceStream;
use symphonia::default;

/// Damaged packets borne in a row before the file is called damaged; one click must not cost a note.
const MAX_DAMAGED: usize = 50;
/// A promised length is believed to within this; encoders round.
const SLACK_S: f64 = 1.0;

static CODECS: LazyLock<CodecRegistry> = LazyLock::new(|| {
    let mut codecs = CodecRegistry::new();
    default::register_enabled_codecs(&mut codecs);
    codecs.register_audio_decoder::<symphonia_adapter_libopus::OpusDecoder>();
    codecs
});

/// Decodes the file's first sound track and tells when it was recorded, where it says so.
///
/// `whole` says that the length was looked at before; a WAV written into a pipe promises no true one.
pub fn decode(path: &Path, file: File, whole: bool, sink: &mut Sink) -> Result<Option<Timestamp>, Error> {
    // Opened anew, with a place of its own: the reader below moves about in the other.
    let mut extra = File::open(path).map_err(|source| Error::Open { path: path.to_owned(), source })?;
    let length = file.metadata().map_or(0, |m| m.len());
    let stream = MediaSourceStream::new(Box::new(file), Default::default());
    let mut format = default::get_probe()
        .probe(&Hint::new(), stream, Default::default(), Default::default())
        .map_err(|fault| fail(path, length, fault))?;
    let track =
        format.default_track(TrackType::Audio).cloned().ok_or_else(|| Error::NoSound { path: path.to_owned() })?;
    let mut decoder = open(path, &track)?;
    let promised = promised_seconds(&track);
    let edit = mp4::edit(&mut extra).unwrap_or_default();
    let (ended, decoded_s) = pour(path, format.as_mut(), decoder.as_mut(), track.id, edit, sink)?;
    let short = promised.is_some_and(|promised| decoded_s + SLACK_S < promised);
    if !whole && (!ended || short) {
        return Err(Error::CutShort { path: path.to_owned(), at_s: sink.seconds() });
    }
    Ok(date::in_tags(format.as_mut()).or_else(|| mp4::created(&mut extra)))
}

fn open(path: &Path, track: &Track) -> Result<Box<dyn AudioDecoder>, Error> {
    let foreign = Error::Foreign { path: path.to_owned(), format: "a recording with an unknown sound coding" };
    let Some(params) = track.codec_params.as_ref().and_then(|p| p.audio()) else { return Err(foreign) };
    CODECS.make_audio_decoder(params, &AudioDecoderOptions::default()).map_err(|_| foreign)
}

/// Which decoded frames are still to be left out, and how many to be taken after them.
struct Cut {
    skip: usize,
    left: usize,
}

impl Cut {
    fn new(edit: Edit, rate: u32) -> Self {
        // `as` saturates, so that nonsense leaves out all or nothing.
        let frames = |seconds: f64| (seconds * f64::from(rate)).round() as usize;
        Cut { skip: frames(edit.skip_s), left: edit.length_s.map_or(usize::MAX, frames) }
    }

    /// What is to be heard of the next frames.
    fn take<'a>(&mut self, chunk: &'a [f32], channels: usize) -> &'a [f32] {
        let frames = chunk.len() / channels.max(1);
        let skipped = self.skip.min(frames);
        let taken = (frames - skipped).min(self.left);
        (self.skip, self.left) = (self.skip - skipped, self.left - taken);
        &chunk[skipped * channels..(skipped + taken) * channels]
    }
}

/// Reads packets to the end, false where it comes too early, with the seconds decoded; the first decoded packet sets rate
/// and channels.
fn pour(
    path: &Path,
    format: &mut dyn FormatReader,
    decoder: &mut dyn AudioDecoder,
    track: u32,
    edit: Edit,
    sink: &mut Sink,
) -> Result<(bool, f64), Error> {
    let mut begun = None;
    let mut cut = Cut::new(edit, 0);
    let mut decoded_s = 0.0;
    let mut damaged = 0;
    let mut chunk: Vec<f32> = Vec::new();
    loop {
        let packet = match format.next_packet() {
            Ok(Some(packet)) => packet,
            Ok(None) | Err(Fault::ResetRequired) => return Ok((true, decoded_s)),
            Err(Fault::IoError(e)) if e.kind() == ErrorKind::UnexpectedEof => return Ok((false, decoded_s)),
            Err(fault) => return Err(fail(path, 0, fault)),
        };
        if packet.track_id != track {
            continue;
        }
        let sound = match decoder.decode(&packet) {
            Ok(sound) => sound,
            Err(Fault::DecodeError(_) | Fault::IoError(_)) if damaged < MAX_DAMAGED => {
                damaged += 1;
                continue;
            }
            Err(fault) => return Err(fail(path, 0, fault)),
        };
        damaged = 0;
        let shape = (sound.spec().rate(), sound.spec().channels().count());
        if begun.is_none() {
            sink.begin(shape.0, shape.1)?;
            begun = Some(shape);
            cut = Cut::new(edit, shape.0);
        }
        if begun != Some(shape) {
            let what = "its sampling rate or channels change midway".to_owned();
            return Err(Error::Damaged { path: path.to_owned(), what });
        }
        sound.copy_to_vec_interleaved(&mut chunk);
        decoded_s += sound.frames() as f64 / f64::from(shape.0);
        sink.push(cut.take(&chunk, shape.1))?;
    }
}

fn promised_seconds(track: &Track) -> Option<f64> {
    let (base, duration) = (track.time_base?, track.duration?);
    Some(base.calc_duration(duration)?.as_secs_f64())
}

fn fail(path: &Path, length: u64, fault: Fault) -> Error {
    let path = path.to_owned();
    match fault {
        Fault::Unsupported(_) => Error::Unknown { path },
        Fault::IoError(e) if e.kind() == ErrorKind::UnexpectedEof => {
            Error::CutOff { path, at: length, promised: length + 1 }
        }
        Fault::IoError(source) => Error::Open { path, source },
        fault => Error::Damaged { path, what: fault.to_string() },
    }
}

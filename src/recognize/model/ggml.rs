//! Writes a GGML model file, the form that the engine reads.
use super::{Precision, mel};
use half::f16;

pub const MAGIC: u32 = 0x6767_6d6c;
/// Codes of the element types in a tensor's header.
pub const FLOAT32: u32 = 0;
pub const FLOAT16: u32 = 1;
pub const BLOCK8: u32 = 8;
/// Values that share a scale in an 8-bit tensor.
const BLOCK: usize = 32;

/// The sizes in a model's header, in the order that they are written.
#[derive(Debug, Clone, Copy)]
pub struct Shape {
    pub vocabulary: usize,
    pub audio_context: usize,
    pub audio_width: usize,
    pub audio_heads: usize,
    pub audio_layers: usize,
    pub text_context: usize,
    pub text_width: usize,
    pub text_heads: usize,
    pub text_layers: usize,
}

/// A model file in the making.
pub struct File {
    bytes: Vec<u8>,
    precision: Precision,
}

impl File {
    /// Begins with the header, the mel filterbank and the tokens.
    pub fn begin(shape: Shape, tokens: &[Vec<u8>], precision: Precision) -> Self {
        let mut file = File { bytes: Vec::new(), precision };
        file.int(MAGIC);
        let s = shape;
        let audio = [s.vocabulary, s.audio_context, s.audio_width, s.audio_heads, s.audio_layers];
        let text = [s.text_context, s.text_width, s.text_heads, s.text_layers, mel::BANDS];
        audio.into_iter().chain(text).for_each(|n| file.int(n as u32));
        file.int(match precision {
            Precision::Half => 1,
            // The second version of the quantised forms, form 7.
            Precision::Eight => 2007,
        });
        file.int(mel::BANDS as u32);
        file.int(mel::BINS as u32);
        mel::filterbank().iter().for_each(|f| file.bytes.extend(f.to_le_bytes()));
        file.int(tokens.len() as u32);
        for token in tokens {
            file.int(token.len() as u32);
            file.bytes.extend(token);
        }
        file
    }

    /// Adds an array that the engine wants as 32-bit floats.
    pub fn add_floats(&mut self, name: &str, dims: &[usize], values: impl Iterator<Item = f16>) {
        self.tensor(name, dims, FLOAT32);
        values.for_each(|v| self.bytes.extend(v.to_f32().to_le_bytes()));
    }

    /// Adds weights at the file's precision; only matrices may be made 8-bit.
    pub fn add_weights(&mut self, name: &str, dims: &[usize], halves: &[u8]) {
        let eight = self.precision == Precision::Eight && dims.len() == 2 && dims[1].is_multiple_of(BLOCK);
        if !eight {
            self.tensor(name, dims, FLOAT16);
            self.bytes.extend(halves);
            return;
        }
        self.tensor(name, dims, BLOCK8);
        for block in halves.chunks_exact(2 * BLOCK) {
            let values: Vec<f32> = block.chunks_exact(2).map(|b| f16::from_le_bytes([b[0], b[1]]).to_f32()).collect();
            self.block(&values);
        }
    }

    pub fn finish(self) -> Vec<u8> {
        self.bytes
    }

    fn block(&mut self, values: &[f32]) {
        let largest = values.iter().fold(0.0f32, |most, v| most.max(v.abs()));
        let scale = largest / 127.0;
        let per = if scale == 0.0 { 0.0 } else { 1.0 / scale };
        self.bytes.extend(f16::from_f32(scale).to_le_bytes());
        self.bytes.extend(values.iter().map(|v| (v * per).round() as i8 as u8));
    }

    fn tensor(&mut self, name: &str, dims: &[usize], kind: u32) {
        self.int(dims.len() as u32);
        self.int(name.len() as u32);
        self.int(kind);
        dims.iter().rev().for_each(|d| self.int(*d as u32));
        self.bytes.extend(name.as_bytes());
    }

    fn int(&mut self, n: u32) {
        self.bytes.extend(n.to_le_bytes());
    }
}

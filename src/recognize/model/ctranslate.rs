//! Reads a CTranslate2 model file: named variables, little-endian.
use super::Error;
use half::f16;
use std::collections::HashMap;

/// The only version that this reader was tested on.
const VERSION: u32 = 6;
/// The file's name for a Whisper model.
const SPEC: &str = "WhisperSpec";
/// The code of 16-bit floats.
const FLOAT16: u8 = 4;

/// The variables of a model, borrowed from the file's bytes.
pub struct Weights<'a> {
    variables: HashMap<&'a str, Variable<'a>>,
}

/// One array of 16-bit floats.
#[derive(Clone)]
pub struct Variable<'a> {
    pub dims: Vec<usize>,
    pub bytes: &'a [u8],
}

impl Variable<'_> {
    /// The values, exactly as stored.
    pub fn halves(&self) -> impl Iterator<Item = f16> + '_ {
        self.bytes.chunks_exact(2).map(|b| f16::from_le_bytes([b[0], b[1]]))
    }
}

impl<'a> Weights<'a> {
    /// Reads the file's table; arrays that aren't 16-bit floats are settings, and left out.
    pub fn read(bytes: &'a [u8]) -> Result<Self, Error> {
        let mut rest = Bytes(bytes);
        let version = rest.int()?;
        if version != VERSION {
            return Err(Error::format(format!("CTranslate2 version {version} instead of {VERSION}")));
        }
        if rest.string()? != SPEC {
            return Err(Error::format("not a Whisper model"));
        }
        let _revision = rest.int()?;
        let count = rest.int()?;
        let mut variables = HashMap::new();
        for _ in 0..count {
            let name = rest.string()?;
            let rank = rest.byte()?;
            let dims = (0..rank).map(|_| rest.int().map(|d| d as usize)).collect::<Result<Vec<_>, _>>()?;
            let kind = rest.byte()?;
            let size = rest.int()? as usize;
            let bytes = rest.take(size)?;
            if kind != FLOAT16 {
                continue;
            }
            let values = dims.iter().try_fold(1usize, |all, d| all.checked_mul(*d));
            if values.and_then(|n| n.checked_mul(2)) != Some(size) {
                return Err(Error::format(format!("'{name}' has {size} bytes for the shape {dims:?}")));
            }
            variables.insert(name, Variable { dims, bytes });
        }
        Ok(Weights { variables })
    }

    /// The variable with this name.
    pub fn get(&self, name: &str) -> Result<&Variable<'a>, Error> {
        self.variables.get(name).ok_or_else(|| Error::format(format!("'{name}' is missing")))
    }

    /// How many layers the encoder or the decoder has.
    pub fn layers(&self, half: &str) -> usize {
        (0..)
            .take_while(|n| self.variables.contains_key(format!("{half}/layer_{n}/ffn/linear_0/weight").as_str()))
            .count()
    }
}

/// What is still to be read; it never reads past the end.
struct Bytes<'a>(&'a [u8]);

impl<'a> Bytes<'a> {
    fn take(&mut self, count: usize) -> Result<&'a [u8], Error> {
        let (taken, rest) = self.0.split_at_checked(count).ok_or_else(|| Error::format("the file is cut off"))?;
        self.0 = rest;
        Ok(taken)
    }

    fn byte(&mut self) -> Result<u8, Error> {
        Ok(self.take(1)?[0])
    }

    fn int(&mut self) -> Result<u32, Error> {
        let b = self.take(4)?;
        Ok(u32::from_le_bytes([b[0], b[1], b[2], b[3]]))
    }

    /// A string's length counts the zero at its end.
    fn string(&mut self) -> Result<&'a str, Error> {
        let b = self.take(2)?;
        let bytes = self.take(u16::from_le_bytes([b[0], b[1]]).into())?;
        let text = bytes.strip_suffix(&[0]).unwrap_or(bytes);
        std::str::from_utf8(text).map_err(|_| Error::format("a name is not UTF-8"))
    }
}

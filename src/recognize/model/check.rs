//! Looks over a GGML file before the engine does, which trusts what it reads.
use super::ggml::{BLOCK8, FLOAT16, FLOAT32, MAGIC};
use crate::recognize::Error;
use std::path::Path;

/// Bytes of a block and values in it, for each element type that a model may hold.
fn block(kind: u32) -> Option<(u64, u64)> {
    Some(match kind {
        FLOAT32 => (4, 1),
        FLOAT16 => (2, 1),
        2 => (18, 32),
        3 => (20, 32),
        6 => (22, 32),
        7 => (24, 32),
        BLOCK8 => (34, 32),
        10 => (84, 256),
        11 => (110, 256),
        12 => (144, 256),
        13 => (176, 256),
        14 => (210, 256),
        _ => return None,
    })
}

/// Refuses a file that is no speech model, is cut off, or whose sizes contradict one another.
pub fn check(path: &Path) -> Result<(), Error> {
    let failed = |source| Error::Model { path: path.to_owned(), source };
    let bytes = std::fs::read(path).map_err(failed)?;
    walk(&bytes).map_err(|what| Error::NoModel { path: path.to_owned(), what: what.to_owned() })
}

fn walk(bytes: &[u8]) -> Result<(), &'static str> {
    let mut rest = Rest(bytes);
    if rest.int()? != MAGIC {
        return Err("it begins with other bytes");
    }
    let sizes: Vec<u64> = (0..11).map(|_| rest.int().map(u64::from)).collect::<Result<_, _>>()?;
    let (vocabulary, bands) = (sizes[0], sizes[9]);
    if !(50_000..60_000).contains(&vocabulary) || !matches!(bands, 80 | 128) || sizes[1..9].iter().any(|s| *s > 8192) {
        return Err("its sizes are not those of a speech model");
    }
    let filters = u64::from(rest.int()?) * u64::from(rest.int()?);
    if filters != bands * 201 {
        return Err("its filterbank has an odd size");
    }
    rest.skip(4 * filters)?;
    let tokens = rest.int()?;
    if u64::from(tokens) > vocabulary {
        return Err("it has more tokens than its vocabulary");
    }
    for _ in 0..tokens {
        let length = rest.int()?;
        rest.skip(length.into())?;
    }
    while !rest.0.is_empty() {
        tensor(&mut rest)?;
    }
    Ok(())
}

fn tensor(rest: &mut Rest) -> Result<(), &'static str> {
    let (rank, name, kind) = (rest.int()?, rest.int()?, rest.int()?);
    if !(1..=4).contains(&rank) || name > 256 {
        return Err("a tensor's header is damaged");
    }
    let mut values = 1u64;
    for _ in 0..rank {
        values = values.checked_mul(rest.int()?.into()).ok_or("a tensor is too large")?;
    }
    rest.skip(name.into())?;
    let (bytes, each) = block(kind).ok_or("a tensor has an unknown type")?;
    if !values.is_multiple_of(each) {
        return Err("a tensor's size doesn't fit its type");
    }
    rest.skip((values / each).checked_mul(bytes).ok_or("a tensor is too large")?)
}

struct Rest<'a>(&'a [u8]);

impl Rest<'_> {
    fn skip(&mut self, count: u64) -> Result<(), &'static str> {
        let count = usize::try_from(count).map_err(|_| CUT)?;
        self.0 = self.0.get(count..).ok_or(CUT)?;
        Ok(())
    }

    fn int(&mut self) -> Result<u32, &'static str> {
        let (int, rest) = self.0.split_first_chunk::<4>().ok_or(CUT)?;
        self.0 = rest;
        Ok(u32::from_le_bytes(*int))
    }
}

const CUT: &str = "it is cut off";

//! The model's tokens as bytes.
use super::Error;

/// The first of the special tokens, which the engine adds by itself.
const END_OF_TEXT: &str = "<|endoftext|>";

/// The ordinary tokens, in order, from a list of lines or a JSON array.
pub fn read(bytes: &[u8]) -> Result<Vec<Vec<u8>>, Error> {
    let text = std::str::from_utf8(bytes).map_err(|_| Error::format("the vocabulary is not UTF-8"))?;
    let tokens: Vec<String> = if text.starts_with('[') {
        serde_json::from_str(text).map_err(|e| Error::format(format!("the vocabulary can't be read: {e}")))?
    } else {
        text.lines().map(str::to_owned).collect()
    };
    let count = tokens
        .iter()
        .position(|t| t == END_OF_TEXT)
        .ok_or_else(|| Error::format("the vocabulary has no end-of-text token"))?;
    tokens[..count].iter().map(|token| to_bytes(token)).collect()
}

/// Undoes the printable stand-ins that GPT-2's vocabulary has for each byte.
fn to_bytes(token: &str) -> Result<Vec<u8>, Error> {
    token.chars().map(|c| to_byte(c).ok_or_else(|| Error::format(format!("a token holds '{c}'")))).collect()
}

/// Printable bytes stand for themselves; the other 68 were given the characters from 256 on, in order.
fn to_byte(c: char) -> Option<u8> {
    let code = u32::from(c);
    if code < 256 {
        return u8::try_from(code).ok().filter(|b| is_printable(*b));
    }
    (0..=255u8).filter(|b| !is_printable(*b)).nth(code as usize - 256)
}

fn is_printable(b: u8) -> bool {
    matches!(b, 0x21..=0x7e | 0xa1..=0xac | 0xae..=0xff)
}

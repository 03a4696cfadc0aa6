//! From CTranslate2's names and stacking to GGML's; the weights themselves stay as they are.
use super::ctranslate::{Variable, Weights};
use super::ggml::{File, Shape};
use super::package::Content;
use super::{Error, Precision, vocabulary};

/// The converted model.
pub fn to_ggml(content: &Content, precision: Precision) -> Result<Vec<u8>, Error> {
    let weights = Weights::read(&content.weights)?;
    let tokens = vocabulary::read(&content.vocabulary)?;
    let shape = shape(&weights)?;
    let mut writer = Writer { weights: &weights, file: File::begin(shape, &tokens, precision) };
    writer.encoder(shape.audio_layers)?;
    writer.decoder(shape.text_layers)?;
    Ok(writer.file.finish())
}

fn shape(weights: &Weights) -> Result<Shape, Error> {
    let pair = |name: &str| match weights.get(name)?.dims[..] {
        [rows, columns] => Ok((rows, columns)),
        ref other => Err(Error::format(format!("'{name}' has the shape {other:?}"))),
    };
    let (vocabulary, text_width) = pair("decoder/embeddings/weight")?;
    let (audio_context, audio_width) = pair("encoder/position_encodings/encodings")?;
    let (text_context, _) = pair("decoder/position_encodings/encodings")?;
    let (audio_layers, text_layers) = (weights.layers("encoder"), weights.layers("decoder"));
    if audio_layers == 0 || text_layers == 0 {
        return Err(Error::format("it has no layers"));
    }
    // Every Whisper model has heads of 64.
    let (audio_heads, text_heads) = (audio_width / 64, text_width / 64);
    Ok(Shape {
        vocabulary,
        audio_context,
        audio_width,
        audio_heads,
        audio_layers,
        text_context,
        text_width,
        text_heads,
        text_layers,
    })
}

struct Writer<'a> {
    weights: &'a Weights<'a>,
    file: File,
}

impl Writer<'_> {
    fn encoder(&mut self, layers: usize) -> Result<(), Error> {
        self.floats("encoder/position_encodings/encodings", "encoder.positional_embedding")?;
        for conv in ["conv1", "conv2"] {
            self.matrix(&format!("encoder/{conv}/weight"), &format!("encoder.{conv}.weight"))?;
            let bias = self.weights.get(&format!("encoder/{conv}/bias"))?;
            // The engine adds this bias to each frame, as a column.
            self.file.add_floats(&format!("encoder.{conv}.bias"), &[bias.dims[0], 1], bias.halves());
        }
        for n in 0..layers {
            let (from, to) = (format!("encoder/layer_{n}"), format!("encoder.blocks.{n}"));
            self.self_attention(&from, &to)?;
            self.feed_forward(&from, &to)?;
        }
        self.norm("encoder/layer_norm", "encoder.ln_post")
    }

    fn decoder(&mut self, layers: usize) -> Result<(), Error> {
        self.floats("decoder/position_encodings/encodings", "decoder.positional_embedding")?;
        self.matrix("decoder/embeddings/weight", "decoder.token_embedding.weight")?;
        for n in 0..layers {
            let (from, to) = (format!("decoder/layer_{n}"), format!("decoder.blocks.{n}"));
            self.self_attention(&from, &to)?;
            self.cross_attention(&from, &to)?;
            self.feed_forward(&from, &to)?;
        }
        self.norm("decoder/layer_norm", "decoder.ln")
    }

    fn self_attention(&mut self, from: &str, to: &str) -> Result<(), Error> {
        self.norm(&format!("{from}/self_attention/layer_norm"), &format!("{to}.attn_ln"))?;
        let names = ["query", "key", "value"].map(|part| format!("{to}.attn.{part}"));
        self.stacked(&format!("{from}/self_attention/linear_0"), &names)?;
        self.linear(&format!("{from}/self_attention/linear_1"), &format!("{to}.attn.out"))
    }

    fn cross_attention(&mut self, from: &str, to: &str) -> Result<(), Error> {
        self.norm(&format!("{from}/attention/layer_norm"), &format!("{to}.cross_attn_ln"))?;
        self.linear(&format!("{from}/attention/linear_0"), &format!("{to}.cross_attn.query"))?;
        let names = ["key", "value"].map(|part| format!("{to}.cross_attn.{part}"));
        self.stacked(&format!("{from}/attention/linear_1"), &names)?;
        self.linear(&format!("{from}/attention/linear_2"), &format!("{to}.cross_attn.out"))
    }

    fn feed_forward(&mut self, from: &str, to: &str) -> Result<(), Error> {
        self.norm(&format!("{from}/ffn/layer_norm"), &format!("{to}.mlp_ln"))?;
        self.linear(&format!("{from}/ffn/linear_0"), &format!("{to}.mlp.0"))?;
        self.linear(&format!("{from}/ffn/linear_1"), &format!("{to}.mlp.2"))
    }

    fn norm(&mut self, from: &str, to: &str) -> Result<(), Error> {
        self.floats(&format!("{from}/gamma"), &format!("{to}.weight"))?;
        self.floats(&format!("{from}/beta"), &format!("{to}.bias"))
    }

    fn linear(&mut self, from: &str, to: &str) -> Result<(), Error> {
        self.matrix(&format!("{from}/weight"), &format!("{to}.weight"))?;
        self.floats(&format!("{from}/bias"), &format!("{to}.bias"))
    }

    /// Several matrices stacked by rows. A key has no bias in this kind of model: it is all zeros, and not written.
    fn stacked(&mut self, from: &str, names: &[String]) -> Result<(), Error> {
        let weight = self.weights.get(&format!("{from}/weight"))?;
        let bias = self.weights.get(&format!("{from}/bias"))?;
        let (weights, biases) = (unstack(weight, names.len())?, unstack(bias, names.len())?);
        for ((name, weight), bias) in names.iter().zip(weights).zip(biases) {
            self.file.add_weights(&format!("{name}.weight"), &weight.dims, weight.bytes);
            if !name.ends_with("key") {
                self.file.add_floats(&format!("{name}.bias"), &bias.dims, bias.halves());
            } else if bias.halves().any(|v| v.to_f32() != 0.0) {
                return Err(Error::format(format!("'{from}' has a bias on its key")));
            }
        }
        Ok(())
    }

    fn matrix(&mut self, from: &str, to: &str) -> Result<(), Error> {
        let variable = self.weights.get(from)?;
        self.file.add_weights(to, &variable.dims, variable.bytes);
        Ok(())
    }

    fn floats(&mut self, from: &str, to: &str) -> Result<(), Error> {
        let variable = self.weights.get(from)?;
        self.file.add_floats(to, &variable.dims, variable.halves());
        Ok(())
    }
}

/// Cuts an array into equal parts by its first dimension.
fn unstack<'a>(whole: &Variable<'a>, parts: usize) -> Result<Vec<Variable<'a>>, Error> {
    let mut dims = whole.dims.clone();
    match dims.first_mut() {
        Some(rows) if rows.is_multiple_of(parts) && *rows > 0 => *rows /= parts,
        _ => return Err(Error::format(format!("{parts} matrices in the shape {:?}", whole.dims))),
    }
    let size = whole.bytes.len() / parts;
    Ok(whole.bytes.chunks_exact(size).map(|bytes| Variable { dims: dims.clone(), bytes }).collect())
}

//! Small upright copies of photographs: the pixels alone, nothing that the camera wrote beside them.
use super::Error;
use image::codecs::jpeg::JpegEncoder;
use image::metadata::Orientation;
use image::{DynamicImage, ImageReader, Limits};
use std::path::Path;

/// Longest side; enough for half a printed page.
const SIDE: u32 = 720;
const LOGO_SIDE: u32 = 400;
const QUALITY: u8 = 80;
/// No camera's picture is larger; a file that claims to be would fill the memory.
const MOST_PIXELS: u32 = 30_000;
const MOST_BYTES: u64 = 1 << 30;

/// A picture ready to stand in a report.
#[derive(Debug, Clone, PartialEq)]
pub struct Thumbnail {
    pub width: u32,
    pub height: u32,
    pub jpeg: Vec<u8>,
}

impl Thumbnail {
    /// The small copy of a photograph that was taken with the camera turned as `turn` says (EXIF, 1 to 8).
    pub fn of(path: &Path, turn: u8) -> Result<Thumbnail, Error> {
        small(path, turn, SIDE)
    }

    /// An office's logo.
    pub fn logo(path: &Path) -> Result<Thumbnail, Error> {
        small(path, 1, LOGO_SIDE)
    }
}

fn small(path: &Path, turn: u8, side: u32) -> Result<Thumbnail, Error> {
    let fault = |source| Error::Picture { path: path.to_owned(), source };
    let mut picture = open(path).map_err(fault)?;
    // Shrinking first makes turning cheap; a picture that is small already is not blown up.
    if picture.width().max(picture.height()) > side {
        picture = picture.thumbnail(side, side);
    }
    picture.apply_orientation(Orientation::from_exif(turn).unwrap_or(Orientation::NoTransforms));
    let flat = on_white(&picture);
    let mut jpeg = Vec::new();
    flat.write_with_encoder(JpegEncoder::new_with_quality(&mut jpeg, QUALITY)).map_err(fault)?;
    Ok(Thumbnail { width: flat.width(), height: flat.height(), jpeg })
}

fn open(path: &Path) -> image::ImageResult<DynamicImage> {
    let mut reader = ImageReader::open(path)?.with_guessed_format()?;
    let mut limits = Limits::default();
    limits.max_image_width = Some(MOST_PIXELS);
    limits.max_image_height = Some(MOST_PIXELS);
    limits.max_alloc = Some(MOST_BYTES);
    reader.limits(limits);
    reader.decode()
}

/// JPEG knows no transparency: what lets light through stands on white, as the paper would show it.
fn on_white(picture: &DynamicImage) -> DynamicImage {
    if !picture.color().has_alpha() {
        return DynamicImage::ImageRgb8(picture.to_rgb8());
    }
    let mut flat = image::RgbImage::new(picture.width(), picture.height());
    for (from, to) in picture.to_rgba8().pixels().zip(flat.pixels_mut()) {
        let [r, g, b, a] = from.0.map(u32::from);
        to.0 = [r, g, b].map(|c| ((c * a + 255 * (255 - a)) / 255) as u8);
    }
    DynamicImage::ImageRgb8(flat)
}

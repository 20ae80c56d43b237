//! What was sent, looked at: by its content, and by nothing that was said of it.
//!
//! A picture is decoded whole and written anew, so that what else its file held (where it was taken, by which device, by
//! whom, and whatever hides behind its end) is gone.

use std::io::Cursor;

use image::codecs::jpeg::JpegEncoder;
use image::codecs::png::PngEncoder;
use image::imageops::FilterType;
use image::metadata::Orientation;
use image::{DynamicImage, ImageDecoder, ImageError, ImageFormat, ImageReader, Limits};

use crate::desk::{Error, Result};
use crate::store;
use crate::store::pictures::PictureKind;

/// Longest side of a picture that is kept, px.
const LONGEST_SIDE: u32 = 2_048;
/// Longest side of its thumbnail, px.
const THUMBNAIL_SIDE: u32 = 320;
/// Most pixels of a picture that is taken: what a telephone makes, and far from what fills a server's memory.
const MOST_PIXELS: u64 = 50_000_000;
/// Longest side of a picture that is taken, px.
const MOST_SIDE: u32 = 20_000;
/// Memory that one decoding may take, bytes.
const MOST_MEMORY: u64 = 256 * 1024 * 1024;
/// Most bytes of a voice note: about a minute of speech needs a quarter of it.
const MOST_VOICE: usize = 1024 * 1024;
/// How well a JPEG is kept, of 100.
const QUALITY: u8 = 85;

/// What is kept of what was sent.
pub(super) struct Kept {
    pub kind: PictureKind,
    pub media_type: &'static str,
    pub content: Vec<u8>,
    /// A smaller one; a voice note has none.
    pub thumbnail: Option<Vec<u8>>,
    /// Width and height, px.
    pub size_px: Option<(u32, u32)>,
}

/// Looks at what was sent.
pub(super) fn look(content: Vec<u8>) -> Result<Kept> {
    match content.as_slice() {
        [0xFF, 0xD8, 0xFF, ..] => picture(&content, ImageFormat::Jpeg),
        [0x89, b'P', b'N', b'G', 0x0D, 0x0A, 0x1A, 0x0A, ..] => picture(&content, ImageFormat::Png),
        // EBML (RFC 8794), which WebM is made of; Ogg (RFC 3533); the ISO base media file format.
        [0x1A, 0x45, 0xDF, 0xA3, ..] => voice(content, "audio/webm"),
        [b'O', b'g', b'g', b'S', ..] => voice(content, "audio/ogg"),
        [_, _, _, _, b'f', b't', b'y', b'p', ..] => voice(content, "audio/mp4"),
        _ => Err(Error::refused(
            "body",
            "this is none that is taken: send a JPEG or PNG picture, or a voice note in WebM, Ogg or MP4",
        )),
    }
}

fn voice(content: Vec<u8>, media_type: &'static str) -> Result<Kept> {
    if content.len() > MOST_VOICE {
        let mend = format!("a voice note holds at most {MOST_VOICE} bytes: say it in a minute");
        return Err(Error::refused("body", mend));
    }
    Ok(Kept {
        kind: PictureKind::VoiceNote,
        media_type,
        content,
        thumbnail: None,
        size_px: None,
    })
}

fn picture(content: &[u8], format: ImageFormat) -> Result<Kept> {
    let image = decoded(content, format)?;
    let image = within(image, LONGEST_SIDE);
    let thumbnail = within(image.clone(), THUMBNAIL_SIDE);
    Ok(Kept {
        kind: PictureKind::Picture,
        media_type: format.to_mime_type(),
        content: written(&image, format)?,
        thumbnail: Some(written(&thumbnail, format)?),
        size_px: Some((image.width(), image.height())),
    })
}

/// The picture, upright. How large it says it is, is looked at before anything of it is laid into memory.
fn decoded(content: &[u8], format: ImageFormat) -> Result<DynamicImage> {
    let mut reader = ImageReader::with_format(Cursor::new(content), format);
    let mut limits = Limits::default();
    limits.max_alloc = Some(MOST_MEMORY);
    limits.max_image_width = Some(MOST_SIDE);
    limits.max_image_height = Some(MOST_SIDE);
    reader.limits(limits);
    let mut decoder = reader.into_decoder().map_err(|why| fault(&why))?;
    let (width, height) = decoder.dimensions();
    if u64::from(width) * u64::from(height) > MOST_PIXELS {
        return Err(too_many_pixels());
    }
    // A picture whose note on how it was held cannot be read is shown as it lies.
    let held = decoder.orientation().unwrap_or(Orientation::NoTransforms);
    let mut image = DynamicImage::from_decoder(decoder).map_err(|why| fault(&why))?;
    image.apply_orientation(held);
    Ok(image)
}

fn fault(why: &ImageError) -> Error {
    match why {
        ImageError::Limits(_) => too_many_pixels(),
        _ => Error::refused(
            "body",
            "this picture is not whole, or of a kind that is not read: take it again",
        ),
    }
}

fn too_many_pixels() -> Error {
    let mend = format!(
        "a picture has at most {MOST_PIXELS} pixels, and {MOST_SIDE} along one side: make it smaller"
    );
    Error::refused("body", mend)
}

fn within(image: DynamicImage, side: u32) -> DynamicImage {
    if image.width() <= side && image.height() <= side {
        return image;
    }
    image.resize(side, side, FilterType::Triangle)
}

fn written(image: &DynamicImage, format: ImageFormat) -> Result<Vec<u8>> {
    let mut content = Vec::new();
    let done = match format {
        ImageFormat::Png if image.color().has_alpha() => image
            .to_rgba8()
            .write_with_encoder(PngEncoder::new(&mut content)),
        ImageFormat::Png => image
            .to_rgb8()
            .write_with_encoder(PngEncoder::new(&mut content)),
        _ => image
            .to_rgb8()
            .write_with_encoder(JpegEncoder::new_with_quality(&mut content, QUALITY)),
    };
    done.map_err(|why| store::Error::Unreadable(format!("a picture cannot be written: {why}")))?;
    Ok(content)
}

//! Pictures made for the tests, byte by byte where that matters.

use std::io::Cursor;

use image::{DynamicImage, ImageFormat, Rgb, RgbImage};

/// What the latitude in [`jpeg_held_sideways`] is written with: no picture holds it by chance.
pub const WHERE: &[u8] = b"\x28\x00\x00\x00\x01\x00\x00\x00\x2c\x00\x00\x00\x01\x00\x00\x00";
/// What stands behind the end of it.
pub const BEHIND: &[u8] = b"a word behind the end";

/// Red on its left half, blue on its right.
fn halves(width: u32, height: u32) -> RgbImage {
    RgbImage::from_fn(width, height, |x, _| {
        if x < width / 2 {
            Rgb([250, 10, 10])
        } else {
            Rgb([10, 10, 250])
        }
    })
}

fn written(image: RgbImage, format: ImageFormat) -> Vec<u8> {
    let mut bytes = Cursor::new(Vec::new());
    let image = DynamicImage::ImageRgb8(image);
    image.write_to(&mut bytes, format).expect("a picture");
    bytes.into_inner()
}

/// A JPEG without a word beside the picture.
pub fn jpeg(width: u32, height: u32) -> Vec<u8> {
    written(halves(width, height), ImageFormat::Jpeg)
}

/// A PNG.
pub fn png(width: u32, height: u32) -> Vec<u8> {
    written(halves(width, height), ImageFormat::Png)
}

/// A JPEG of 80 by 40 pixels as a telephone writes it that was held sideways: with a note that it is to be turned by a
/// quarter (orientation 6), where it was taken, and something behind its end.
///
/// Source: CIPA DC-008 (Exif), tags 0x0112, 0x8825 and the GPS tags 1 and 2, from memory; ITU-T T.81 for the segments.
pub fn jpeg_held_sideways() -> Vec<u8> {
    let plain = jpeg(80, 40);
    let mut note: Vec<u8> = Vec::new();
    // TIFF, little-endian, its first directory at 8.
    note.extend(b"II\x2a\x00\x08\x00\x00\x00");
    note.extend(b"\x02\x00");
    // Orientation, one short: 6. Place of the GPS directory: 38.
    note.extend(b"\x12\x01\x03\x00\x01\x00\x00\x00\x06\x00\x00\x00");
    note.extend(b"\x25\x88\x04\x00\x01\x00\x00\x00\x26\x00\x00\x00");
    note.extend(b"\x00\x00\x00\x00");
    note.extend(b"\x02\x00");
    // North; the latitude's three fractions at 68.
    note.extend(b"\x01\x00\x02\x00\x02\x00\x00\x00N\x00\x00\x00");
    note.extend(b"\x02\x00\x05\x00\x03\x00\x00\x00\x44\x00\x00\x00");
    note.extend(b"\x00\x00\x00\x00");
    note.extend(WHERE);
    note.extend(b"\x0b\x00\x00\x00\x01\x00\x00\x00");
    let mut bytes = plain[..2].to_vec();
    let length = u16::try_from(2 + 6 + note.len()).expect("a short note");
    bytes.extend(b"\xff\xe1");
    bytes.extend(length.to_be_bytes());
    bytes.extend(b"Exif\x00\x00");
    bytes.extend(note);
    bytes.extend(&plain[2..]);
    bytes.extend(BEHIND);
    bytes
}

/// The head of a PNG that says it is so large, and nothing of the picture.
///
/// Source: W3C PNG specification, section 11.2.1 (IHDR); its checksum is that of annex D.
pub fn png_that_says(width: u32, height: u32) -> Vec<u8> {
    let mut head = b"IHDR".to_vec();
    head.extend(width.to_be_bytes());
    head.extend(height.to_be_bytes());
    head.extend(b"\x08\x02\x00\x00\x00");
    let mut bytes = b"\x89PNG\r\n\x1a\n\x00\x00\x00\x0d".to_vec();
    bytes.extend(&head);
    bytes.extend(checksum(&head).to_be_bytes());
    bytes.extend(b"\x00\x00\x00\x00IDAT\x35\xaf\x06\x1e");
    bytes
}

fn checksum(bytes: &[u8]) -> u32 {
    let mut sum = u32::MAX;
    for byte in bytes {
        sum ^= u32::from(*byte);
        for _ in 0..8 {
            sum = if sum & 1 == 1 {
                (sum >> 1) ^ 0xedb8_8320
            } else {
                sum >> 1
            };
        }
    }
    !sum
}

/// The markers of a JPEG's segments up to where its picture begins (ITU-T T.81, annex B).
pub fn markers(jpeg: &[u8]) -> Vec<u8> {
    let mut found = Vec::new();
    let mut at = 2;
    while let [0xff, marker, high, low, ..] = jpeg[at..] {
        found.push(marker);
        if marker == 0xda {
            break;
        }
        at += 2 + usize::from(u16::from_be_bytes([high, low]));
    }
    found
}

/// The picture as a viewer shows it.
pub fn seen(bytes: &[u8]) -> RgbImage {
    image::load_from_memory(bytes).expect("a picture").to_rgb8()
}

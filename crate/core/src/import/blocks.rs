//! Arrays of numbers as bytes: byte order, base64, zlib blocks.
//!
//! The encodings of the XML form of VTK: an array is a header (its length in bytes, or the number
//! and sizes of its zlib blocks) and its bytes, written as base64 or raw.

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use miniz_oxide::inflate::decompress_to_vec_zlib_with_limit;

/// A type of number and its size in bytes.
#[derive(Clone, Copy, Debug, PartialEq)]
pub(super) enum Kind {
    Unsigned(usize),
    Signed(usize),
    Float(usize),
}

impl Kind {
    pub const fn size(self) -> usize {
        match self {
            Kind::Unsigned(size) | Kind::Signed(size) | Kind::Float(size) => size,
        }
    }

    /// Bytes that so many numbers take; `None` where that is beyond any memory.
    pub fn bytes(self, count: u64) -> Option<usize> {
        usize::try_from(count).ok()?.checked_mul(self.size())
    }
}

/// The number in its bytes; `big` = highest byte first.
pub(super) fn number(kind: Kind, bytes: &[u8], big: bool) -> f64 {
    let raw = bytes.iter().enumerate().fold(0u64, |raw, (i, byte)| {
        let place = if big { bytes.len() - 1 - i } else { i };
        raw | u64::from(*byte) << (8 * place)
    });
    match kind {
        Kind::Unsigned(_) => raw as f64,
        Kind::Signed(size) => {
            // Shifted up and down again, so that the sign bit spreads.
            let unused = 64 - 8 * size as u32;
            ((raw << unused) as i64 >> unused) as f64
        }
        Kind::Float(4) => f64::from(f32::from_bits(raw as u32)),
        Kind::Float(_) => f64::from_bits(raw),
    }
}

/// How a file encodes its arrays.
#[derive(Clone, Copy, Debug)]
pub(super) struct Encoding {
    pub big: bool,
    /// Size of a number in the headers of arrays: 4 or 8 bytes.
    pub header: usize,
    pub zlib: bool,
}

/// Bytes of an array as the file has them.
#[derive(Clone, Copy, Debug)]
pub(super) enum Source<'a> {
    Base64(&'a [u8]),
    Raw(&'a [u8]),
}

impl Source<'_> {
    /// The first bytes after decoding, at least `count` of them where there are so many.
    fn decoded(self, count: usize) -> Result<Vec<u8>, String> {
        let text = match self {
            Source::Raw(bytes) => return Ok(bytes[..bytes.len().min(count)].to_vec()),
            Source::Base64(text) => text,
        };
        let mut bytes = Vec::new();
        // Header and data may be encoded each for itself, so padding may stand in the middle.
        let mut piece = Vec::new();
        let mut letters = text.iter().copied().filter(|b| !b.is_ascii_whitespace()).peekable();
        while let Some(letter) = letters.next() {
            piece.push(letter);
            let ends = letters.peek().is_none_or(|next| letter == b'=' && *next != b'=');
            let enough = piece.len() % 4 == 0 && bytes.len() + piece.len() / 4 * 3 >= count + 3;
            if ends || enough {
                let decoded = STANDARD.decode(&piece).map_err(|_| "is not base64".to_owned())?;
                bytes.extend(decoded);
                piece.clear();
            }
            if bytes.len() >= count {
                break;
            }
        }
        Ok(bytes)
    }
}

impl Encoding {
    /// The numbers of an array of which at most `most` are wanted.
    ///
    /// # Errors
    /// What is wrong, as the rest of a sentence that begins with the array.
    pub fn numbers(self, source: Source<'_>, kind: Kind, most: usize) -> Result<Vec<f64>, String> {
        let limit = most.saturating_mul(kind.size());
        let bytes = if self.zlib { self.inflated(source, limit)? } else { self.plain(source, limit)? };
        if bytes.len() % kind.size() != 0 {
            return Err(format!("has {} bytes, which is no whole number of values", bytes.len()));
        }
        Ok(bytes.chunks_exact(kind.size()).map(|bytes| number(kind, bytes, self.big)).collect())
    }

    fn head(self, bytes: &[u8], index: usize) -> Result<usize, String> {
        let at = index * self.header;
        let bytes = bytes.get(at..at + self.header).ok_or("ends within its header")?;
        let count = number(Kind::Unsigned(self.header), bytes, self.big);
        // Far below 2^53, so the conversion is exact; what is above is refused by its size.
        Ok(count as usize)
    }

    fn plain(self, source: Source<'_>, limit: usize) -> Result<Vec<u8>, String> {
        let length = self.head(&source.decoded(self.header)?, 0)?;
        within(length, limit)?;
        let bytes = source.decoded(self.header + length)?;
        bytes.get(self.header..self.header + length).map(<[u8]>::to_vec).ok_or_else(|| cut_off(length))
    }

    fn inflated(self, source: Source<'_>, limit: usize) -> Result<Vec<u8>, String> {
        let blocks = self.head(&source.decoded(self.header)?, 0)?;
        if blocks == 0 {
            return Ok(Vec::new());
        }
        // A block holds one byte at least, so their number is bounded by what is wanted.
        within(blocks, limit)?;
        let header = (3 + blocks) * self.header;
        let bytes = source.decoded(header)?;
        let sizes: Vec<usize> = (0..blocks).map(|k| self.head(&bytes, 3 + k)).collect::<Result<_, _>>()?;
        let total = sizes.iter().fold(0usize, |sum, size| sum.saturating_add(*size));
        // Zlib adds a few bytes a block to what cannot be made smaller.
        within(total, limit.saturating_mul(2).saturating_add(blocks.saturating_mul(64)))?;
        let bytes = source.decoded(header + total)?;
        let mut inflated = Vec::new();
        let mut at = header;
        for size in sizes {
            let block = bytes.get(at..at + size).ok_or_else(|| cut_off(total))?;
            at += size;
            let room = limit - inflated.len().min(limit);
            let block = decompress_to_vec_zlib_with_limit(block, room).map_err(|_| {
                "holds a compressed block that cannot be unpacked, or unpacks to more than the file declares".to_owned()
            })?;
            inflated.extend(block);
        }
        Ok(inflated)
    }
}

fn within(length: usize, limit: usize) -> Result<(), String> {
    if length <= limit { Ok(()) } else { Err(format!("declares {length} bytes where at most {limit} are expected")) }
}

fn cut_off(length: usize) -> String {
    format!("declares {length} bytes and is cut off before them")
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_in_both_byte_orders() {
        for (kind, bytes, value) in [
            (Kind::Float(4), 1.5f32.to_be_bytes().to_vec(), 1.5),
            (Kind::Float(8), (-2.25f64).to_be_bytes().to_vec(), -2.25),
            (Kind::Signed(4), (-7i32).to_be_bytes().to_vec(), -7.0),
            (Kind::Signed(8), (-7i64).to_be_bytes().to_vec(), -7.0),
            (Kind::Unsigned(2), 65535u16.to_be_bytes().to_vec(), 65535.0),
            (Kind::Signed(1), vec![0xff], -1.0),
        ] {
            assert_eq!(number(kind, &bytes, true), value);
            let little: Vec<u8> = bytes.into_iter().rev().collect();
            assert_eq!(number(kind, &little, false), value);
        }
    }

    // Header and data as one base64 text, and as two with padding between them.
    #[test]
    fn padding_may_stand_in_the_middle() {
        let encoding = Encoding { big: false, header: 4, zlib: false };
        let data: Vec<u8> = [1.0f32, 2.0].iter().flat_map(|v| v.to_le_bytes()).collect();
        let header = 8u32.to_le_bytes();
        let together = STANDARD.encode([&header[..], &data].concat());
        let apart = format!("{}\n  {}", STANDARD.encode(header), STANDARD.encode(&data));
        for text in [together, apart] {
            let numbers = encoding.numbers(Source::Base64(text.as_bytes()), Kind::Float(4), 2);
            assert_eq!(numbers, Ok(vec![1.0, 2.0]));
            let short = encoding.numbers(Source::Base64(&text.as_bytes()[..text.len() - 4]), Kind::Float(4), 2);
            assert!(short.is_err());
        }
    }

    #[test]
    fn a_block_that_swells_is_refused() {
        let encoding = Encoding { big: false, header: 8, zlib: true };
        let packed = miniz_oxide::deflate::compress_to_vec_zlib(&vec![0u8; 10_000_000], 9);
        let mut bytes: Vec<u8> = [1u64, 80, 0, packed.len() as u64].iter().flat_map(|v| v.to_le_bytes()).collect();
        bytes.extend(packed);
        assert!(encoding.numbers(Source::Raw(&bytes), Kind::Float(8), 10).is_err());
    }
}

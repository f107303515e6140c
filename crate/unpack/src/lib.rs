//! Unpacks the page's program when the page is opened.
//!
//! The one file must stay small, and what every browser can unpack by itself (gzip) leaves the program a
//! quarter larger than LZMA does. So the file holds this module as gzip, and all else as LZMA, which
//! this module unpacks. Knows nothing of what is in it.

use std::io::Read as _;

use lzma_rust2::LzmaReader;
use wasm_bindgen::prelude::wasm_bindgen;

/// Most memory that unpacking may take, in KiB; a damaged file could ask for any amount.
const MEMORY_KIB: u32 = 16 * 1024;
/// Most bytes that may come out.
const MOST: usize = 16 << 20;
/// Bytes taken at a time.
const PIECE: usize = 1 << 16;

/// The bytes that were packed in the `.lzma` format with their length at the head; nothing where they
/// are damaged or were cut short.
#[wasm_bindgen]
pub fn unpack(packed: &[u8]) -> Option<Vec<u8>> {
    let length = packed.get(5..13)?.try_into().ok().map(u64::from_le_bytes)?;
    let length = usize::try_from(length).ok().filter(|length| *length <= MOST)?;
    let mut reader = LzmaReader::new_mem_limit(packed, MEMORY_KIB, None).ok()?;
    let mut bytes = Vec::with_capacity(length);
    let mut piece = vec![0; PIECE];
    while bytes.len() < length {
        match reader.read(&mut piece).ok()? {
            0 => return None,
            taken => bytes.extend_from_slice(piece.get(..taken)?),
        }
    }
    (bytes.len() == length).then_some(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;
    use lzma_rust2::{LzmaOptions, LzmaWriter};
    use std::io::Write as _;

    fn packed(bytes: &[u8]) -> Option<Vec<u8>> {
        let mut writer =
            LzmaWriter::new_use_header(Vec::new(), &LzmaOptions::with_preset(3), Some(bytes.len() as u64)).ok()?;
        writer.write_all(bytes).ok()?;
        writer.finish().ok()
    }

    #[test]
    fn what_was_packed_comes_back() {
        let bytes: Vec<u8> = (0..200_000u32).map(|i| (i.wrapping_mul(i) >> 7) as u8).collect();
        for bytes in [&bytes[..], &bytes[..1], &[]] {
            assert_eq!(packed(bytes).and_then(|packed| unpack(&packed)).as_deref(), Some(bytes), "{}", bytes.len());
        }
    }

    #[test]
    fn what_is_damaged_or_cut_short_gives_nothing() {
        let whole = packed(&[7; 100_000]).unwrap_or_default();
        assert!(!whole.is_empty());
        for end in 0..whole.len() - 6 {
            assert_eq!(unpack(&whole[..end]), None, "{end}");
        }
        let mut greedy = whole.clone();
        greedy[5..13].fill(0x7F);
        assert_eq!(unpack(&greedy), None);
    }
}

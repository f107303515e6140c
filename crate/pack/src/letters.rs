//! Bytes as letters that may stand in a data block of a page: seven bits a letter, where base64 has
//! six in as many bytes.
//!
//! Seven bits at a time, highest first, become the ASCII character of that number. The four that a
//! page cannot hold (see [`BARRED`]) become, together with the seven bits that follow, one character
//! from U+0100 on, which takes two bytes of UTF-8. `start.js` reads them back. A copy of the file with
//! other line ends reads alike, for neither kind of line end is used.

/// What a data block may not hold: NUL is replaced by browsers, line ends are changed by programs, and
/// `<` could begin the end of the block.
const BARRED: [u8; 4] = [0x00, 0x0A, 0x0D, 0x3C];
/// First of the two-byte characters.
const FIRST: u32 = 0x100;
/// Two-byte characters from here on stand for a last group, which no other follows.
const ALONE: u32 = FIRST + (BARRED.len() as u32) * 128;

/// Bytes as letters.
pub fn write(bytes: &[u8]) -> String {
    let mut text = String::with_capacity(bytes.len() * 8 / 7 + 2);
    let mut groups = groups(bytes);
    while let Some(group) = groups.next() {
        let letter = match BARRED.iter().position(|barred| *barred == group) {
            None => u32::from(group),
            Some(place) => match groups.next() {
                Some(next) => FIRST + (place as u32) * 128 + u32::from(next),
                None => ALONE + (place as u32) * 128,
            },
        };
        text.extend(char::from_u32(letter));
    }
    text
}

/// Groups of seven bits; the last is filled up with zeros.
fn groups(bytes: &[u8]) -> impl Iterator<Item = u8> {
    let count = (bytes.len() * 8).div_ceil(7);
    (0..count).map(move |group| {
        let bit = group * 7;
        let pair = [bytes[bit / 8], bytes.get(bit / 8 + 1).copied().unwrap_or(0)];
        (u16::from_be_bytes(pair) >> (9 - bit % 8)) as u8 & 0x7F
    })
}

/// Letters as bytes.
///
/// # Errors
/// Where a character is none of ours.
pub fn read(text: &str) -> Result<Vec<u8>, String> {
    let mut bytes = Vec::with_capacity(text.len());
    let (mut held, mut bits) = (0u32, 0u32);
    let mut take = |group: u32| {
        held = (held << 7 | group) & 0x7FFF;
        bits += 7;
        if bits >= 8 {
            bits -= 8;
            bytes.push((held >> bits) as u8);
        }
    };
    for letter in text.chars() {
        let code = u32::from(letter);
        if code < 128 {
            take(code);
            continue;
        }
        let place = code.checked_sub(FIRST).map(|past| past / 128).filter(|place| *place < 2 * BARRED.len() as u32);
        let place = place.ok_or_else(|| format!("the character U+{code:04X} is none of the data's"))?;
        take(u32::from(BARRED[place as usize % BARRED.len()]));
        if code < ALONE {
            take(code % 128);
        }
    }
    Ok(bytes)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_byte_comes_back_and_nothing_barred_stands_in_the_text() {
        // Every pair of bytes, every length up to some hundreds, and the barred groups at every place.
        let pairs: Vec<u8> = (0..=u16::MAX).flat_map(u16::to_be_bytes).collect();
        let zeros = vec![0u8; 300];
        let mixed: Vec<u8> = (0..300u32).map(|i| (i * i * 7 + i / 3) as u8).collect();
        let cuts = |bytes: &[u8]| (0..bytes.len()).map(|end| bytes[..end].to_vec()).collect::<Vec<_>>();
        for bytes in [vec![pairs], cuts(&zeros), cuts(&mixed)].concat() {
            let text = write(&bytes);
            assert!(!text.bytes().any(|byte| BARRED.contains(&byte)));
            assert_eq!(read(&text).as_ref(), Ok(&bytes));
        }
    }

    #[test]
    fn seven_bits_a_letter() {
        let noise: Vec<u8> = (0..70_000u32).map(|i| (i.wrapping_mul(2_654_435_761) >> 13) as u8).collect();
        let share = write(&noise).len() as f64 / noise.len() as f64;
        assert!(share < 1.16, "{share}");
    }

    #[test]
    fn what_is_none_of_ours_is_refused() {
        assert!(read("a\u{20AC}").is_err());
        assert!(read("\u{80}").is_err());
    }
}

//! Widths of the letters of Helvetica and of every font cut to its widths (Arial, Liberation Sans).
//!
//! Printed pages are set in these fonts, so their words can be laid out exactly: in the browser by
//! family, in a PDF as one of the standard fonts. Widths in thousandths of the size, from the hmtx
//! tables of Liberation Sans, which the font's makers keep equal to those of Arial and Helvetica.

use super::style::Weight;

/// The family as outputs name it.
pub const FAMILY: &str = "Helvetica, Arial, 'Liberation Sans', Arimo, sans-serif";

/// From the space to the tilde.
const REGULAR: [u16; 95] = [
    278, 278, 355, 556, 556, 889, 667, 191, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556, 556, 556,
    556, 556, 556, 278, 278, 584, 584, 584, 556, 1015, 667, 667, 722, 722, 667, 611, 778, 722, 278, 500, 667, 556, 833,
    722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 278, 278, 278, 469, 556, 333, 556, 556, 500, 556,
    556, 278, 556, 556, 222, 222, 500, 222, 833, 556, 556, 556, 556, 333, 500, 278, 556, 500, 722, 500, 500, 500, 334,
    260, 334, 584,
];

/// The same in the bold weight.
const BOLD: [u16; 95] = [
    278, 333, 474, 556, 556, 889, 722, 238, 333, 333, 389, 584, 278, 333, 278, 278, 556, 556, 556, 556, 556, 556, 556,
    556, 556, 556, 333, 333, 584, 584, 584, 611, 975, 722, 722, 722, 722, 667, 611, 778, 722, 278, 556, 722, 611, 833,
    722, 778, 667, 778, 722, 667, 611, 722, 667, 944, 667, 667, 611, 333, 278, 333, 584, 556, 333, 556, 611, 556, 611,
    556, 333, 611, 611, 278, 278, 556, 278, 889, 611, 611, 611, 611, 389, 556, 333, 611, 556, 778, 556, 556, 500, 389,
    280, 389, 584,
];

/// Width of words, in sizes of the letters.
pub fn ems(words: &str, weight: Weight) -> f64 {
    words.chars().map(|letter| f64::from(thousandths(letter, weight))).sum::<f64>() / 1000.0
}

/// Width of a letter, in thousandths of its size. What the table has not is taken as wide as a wide
/// letter, so that words fit rather than run over.
pub fn thousandths(letter: char, weight: Weight) -> u16 {
    let table = if weight == Weight::Bold { &BOLD } else { &REGULAR };
    let place = (letter as usize).wrapping_sub(0x20);
    match letter {
        _ if place < table.len() => table[place],
        '\u{a0}' | '·' => 278,
        '°' => 400,
        '×' | '±' | '−' => 584,
        '≤' | '≥' | '≈' => 549,
        '–' => 556,
        '²' | '³' => 333,
        '•' => 350,
        '‘' | '’' => 278,
        '“' | '”' => 500,
        '…' | '—' | '→' | '←' => 1000,
        'à'..='ÿ' => 611,
        'À'..='Þ' => 778,
        _ => 1000,
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Adobe's metrics of Helvetica and Helvetica-Bold (AFM, Core 14): a digit is 556 wide in both.
    #[test]
    fn words_are_as_wide_as_the_standard_font_sets_them() {
        assert_eq!(ems("0123456789", Weight::Regular), 5.56);
        assert_eq!(ems("0123456789", Weight::Bold), 5.56);
        let wall: u32 = 944 + 556 + 222 + 222;
        assert_eq!(ems("Wall", Weight::Regular), f64::from(wall) / 1000.0);
        let bold: u32 = 944 + 556 + 278 + 278;
        assert_eq!(ems("Wall", Weight::Bold), f64::from(bold) / 1000.0);
    }
}

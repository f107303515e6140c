//! How much room words take, without asking a font.
//!
//! The page's letters are the system's, which nobody knows beforehand, so widths are those of a wide
//! sans-serif (the DejaVu family, about an eighth wider than Arial): whatever is laid out with them
//! fits in every usual font. Knows sizes and weights, no output.

use super::style::{Look, Medium, Weight};
use super::{Anchor, Spot};

/// A box of the drawing, mm, y down.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Extent {
    /// Left edge.
    pub left: f64,
    /// Upper edge.
    pub top: f64,
    /// Right edge.
    pub right: f64,
    /// Lower edge.
    pub bottom: f64,
}

impl Extent {
    /// Whether the two share room; touching edges do not count.
    pub fn meets(&self, other: &Extent) -> bool {
        self.left < other.right && other.left < self.right && self.top < other.bottom && other.top < self.bottom
    }

    /// Whether it lies inside another, with a hair's tolerance.
    pub fn inside(&self, other: &Extent) -> bool {
        self.left >= other.left - 1e-6
            && self.right <= other.right + 1e-6
            && self.top >= other.top - 1e-6
            && self.bottom <= other.bottom + 1e-6
    }

    /// The smallest box round points; none without points.
    pub fn around(points: &[Spot]) -> Option<Extent> {
        let first = points.first()?;
        let start = Extent { left: first[0], right: first[0], top: first[1], bottom: first[1] };
        Some(points.iter().fold(start, |frame, point| Extent {
            left: frame.left.min(point[0]),
            right: frame.right.max(point[0]),
            top: frame.top.min(point[1]),
            bottom: frame.bottom.max(point[1]),
        }))
    }

    /// The same box, larger by a margin on every side.
    pub fn grown(&self, margin_mm: f64) -> Extent {
        Extent {
            left: self.left - margin_mm,
            top: self.top - margin_mm,
            right: self.right + margin_mm,
            bottom: self.bottom + margin_mm,
        }
    }
}

/// Width of words set in a look, mm of the drawing.
pub fn width_mm(words: &str, look: &Look, medium: Medium) -> f64 {
    let ems: f64 = words.chars().map(em).sum();
    let heavier = if look.weight == Weight::Bold { 1.11 } else { 1.0 };
    ems * heavier * medium.text_mm(look.size)
}

/// The box that words fill when their anchor stands at a spot of the base line.
pub fn word_extent(words: &str, at: Spot, anchor: Anchor, look: &Look, medium: Medium) -> Extent {
    let width = width_mm(words, look, medium);
    let height = medium.text_mm(look.size);
    let left = match anchor {
        Anchor::Start => at[0],
        Anchor::Middle => at[0] - width / 2.0,
        Anchor::End => at[0] - width,
    };
    // Capitals rise 0.73 of the body above the base line, the tails of g and p hang 0.24 below.
    Extent { left, right: left + width, top: at[1] - 0.78 * height, bottom: at[1] + 0.24 * height }
}

/// Advance of a letter, in ems: classes of like width.
fn em(letter: char) -> f64 {
    match letter {
        'i' | 'j' | 'l' | '\'' | '|' | 'I' => 0.30,
        ' ' | '\u{a0}' | '.' | ',' | ':' | ';' | '·' | '/' | '!' => 0.34,
        'f' | 't' | 'r' | '(' | ')' | '[' | ']' | 'J' => 0.42,
        '-' => 0.37,
        '°' | '–' | '?' | 's' | 'c' | 'z' | 'k' | 'v' | 'x' | 'y' => 0.60,
        '0'..='9' => 0.64,
        'm' | 'M' | 'W' | '%' | '—' | '…' => 0.99,
        'w' | '+' | '±' | '−' | '=' | '<' | '>' | '→' | '≈' | '×' | 'O' | 'Q' | 'G' | 'D' | 'H' | 'N' | 'U' => {
            0.84
        }
        'a'..='z' => 0.64,
        'A'..='Z' => 0.72,
        _ if (letter as u32) < 0x2E80 => 0.84,
        // Ideographs and the like fill their body.
        _ => 1.0,
    }
}

#[cfg(test)]
mod tests {
    use super::super::style::Token;
    use super::*;

    // DejaVu Sans at 1000 units to the em: a digit is 636 wide and 696 in the bold weight, a full
    // stop 318, `m` 974 (its hmtx table).
    #[test]
    fn widths_are_those_of_a_wide_font() {
        let medium = Medium::Screen;
        let size = medium.text_mm(super::super::style::TextSize::Normal);
        let label = width_mm("0.0 mm", &Token::Label.look(), medium) / size;
        let dejavu = f64::from(636 * 2 + 318 * 2 + 974 * 2) / 1000.0;
        assert!(label >= dejavu && label < 1.1 * dejavu, "{label} {dejavu}");
        let number = width_mm("00", &Token::Number.look(), medium) / size;
        assert!((1.392..1.5).contains(&number), "{number}");
    }

    #[test]
    fn boxes_that_touch_do_not_meet() {
        let a = Extent { left: 0.0, top: 0.0, right: 2.0, bottom: 1.0 };
        let b = Extent { left: 2.0, top: 0.0, right: 3.0, bottom: 1.0 };
        assert!(!a.meets(&b));
        assert!(a.meets(&b.grown(0.1)));
        assert!(a.inside(&a));
        assert!(!b.inside(&a));
    }
}

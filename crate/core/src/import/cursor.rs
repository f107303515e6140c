//! Words of a file one after another, with the place of each.
//!
//! Knows nothing of what the words mean. Binary stretches can be taken out between words.

/// A reading position in a file.
#[derive(Clone, Debug)]
pub(super) struct Cursor<'a> {
    bytes: &'a [u8],
    at: usize,
    line: u32,
    counts_bytes: bool,
}

/// A word and where it stands: its line, or its first byte once bytes are counted.
#[derive(Clone, Copy, Debug)]
pub(super) struct Word<'a> {
    pub bytes: &'a [u8],
    pub at: u32,
}

impl Word<'_> {
    /// The word as text for a message: at most 40 characters, unreadable bytes replaced.
    pub fn shown(&self) -> String {
        let text = String::from_utf8_lossy(&self.bytes[..self.bytes.len().min(160)]);
        let mut shown: String = text.chars().take(40).filter(|c| !c.is_control()).collect();
        if shown.len() < self.bytes.len() && text.chars().count() > 40 {
            shown.push('…');
        }
        shown
    }

    /// The word as a number, of whatever size; `None` where it is none.
    pub fn number(&self) -> Option<f64> {
        std::str::from_utf8(self.bytes).ok()?.parse().ok()
    }

    /// The word as a count; `None` where it is none.
    pub fn count(&self) -> Option<u64> {
        std::str::from_utf8(self.bytes).ok()?.parse().ok()
    }

    /// Whether the word is a keyword, in any case of letters.
    pub fn is(&self, keyword: &str) -> bool {
        self.bytes.eq_ignore_ascii_case(keyword.as_bytes())
    }
}

impl<'a> Cursor<'a> {
    pub fn new(bytes: &'a [u8]) -> Self {
        Cursor { bytes, at: 0, line: 1, counts_bytes: false }
    }

    /// Tells places by bytes from here on, since binary files have no lines.
    pub fn count_bytes(&mut self) {
        self.counts_bytes = true;
    }

    /// Line or byte of what comes next, lines counted from 1.
    pub fn place(&self) -> u32 {
        if self.counts_bytes { u32::try_from(self.at).unwrap_or(u32::MAX) } else { self.line }
    }

    /// The next word, without moving.
    pub fn peek(&self) -> Option<Word<'a>> {
        self.clone().word()
    }

    /// The next word; `None` at the end of the file.
    pub fn word(&mut self) -> Option<Word<'a>> {
        while let Some(byte) = self.bytes.get(self.at) {
            if !byte.is_ascii_whitespace() {
                break;
            }
            if *byte == b'\n' {
                self.line = self.line.saturating_add(1);
            }
            self.at += 1;
        }
        let rest = &self.bytes[self.at..];
        let length = rest.iter().position(u8::is_ascii_whitespace).unwrap_or(rest.len());
        if length == 0 {
            return None;
        }
        let at = self.place();
        self.at += length;
        Some(Word { bytes: &rest[..length], at })
    }

    /// The rest of the line, without its end.
    pub fn rest_of_line(&mut self) -> Option<&'a [u8]> {
        let rest = &self.bytes[self.at..];
        if rest.is_empty() {
            return None;
        }
        let length = rest.iter().position(|b| *b == b'\n');
        self.at += length.map_or(rest.len(), |l| l + 1);
        if length.is_some() {
            self.line = self.line.saturating_add(1);
        }
        let line = &rest[..length.unwrap_or(rest.len())];
        Some(line.strip_suffix(b"\r").unwrap_or(line))
    }

    /// The next bytes as they stand; `None` where fewer are left.
    pub fn take(&mut self, count: usize) -> Option<&'a [u8]> {
        let taken = self.bytes.get(self.at..self.at.checked_add(count)?)?;
        self.at += count;
        Some(taken)
    }

    /// How many bytes are left.
    pub fn left(&self) -> usize {
        self.bytes.len() - self.at
    }
}

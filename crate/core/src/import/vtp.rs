//! Reader of the XML form of VTK PolyData (`.vtp`).
//!
//! Written from the published description of the format: arrays as ASCII, inline base64, or appended
//! as base64 or raw; plain or in zlib blocks; several pieces. Only the arrays that may hold the
//! radius are kept.

use super::blocks::{Encoding, Kind, Source};
use super::polydata::{Array, MOST_POINTS, Places, PolyData, Wanted, number_fault, too_many};
use crate::fault::{Fault, Faults};
use roxmltree::{Document, Node, ParsingOptions};

/// Most elements and texts of a file, most attributes of an element, most namespaces: far more than
/// any writer makes. The parser compares each with its like, so they bound its time.
const MOST_NODES: u32 = 10_000;
const MOST_ATTRIBUTES: usize = 100;
const MOST_NAMESPACES: usize = 100;

/// What the format has where a file says nothing else.
const PLAIN: Encoding = Encoding { big: false, header: 4, zlib: false };

const SAVE_AGAIN: &str = "Save the file again.";

/// Reads a file; `None` where it cannot be read at all. All faults are added to `faults`.
pub(super) fn read(file: &str, bytes: &[u8], wanted: Wanted<'_>, faults: &mut Faults) -> Option<PolyData> {
    let (head, appended) = split_appended(bytes);
    let text = match std::str::from_utf8(&head) {
        Ok(text) => text,
        Err(error) => {
            let line = Lines::of(&head).at(error.valid_up_to());
            faults.add(Fault::new(
                "not_text",
                format!("{file}, line {line}"),
                "The XML is not UTF-8 text.",
                SAVE_AGAIN,
            ));
            return None;
        }
    };
    if let Some(at) = crowded_element(&head) {
        let place = format!("{file}, line {}", Lines::of(&head).at(at));
        let text = format!(
            "More than {MOST_ATTRIBUTES} attributes of an element, or {MOST_NAMESPACES} namespaces, are not read."
        );
        faults.add(Fault::new("xml", place, text, SAVE_AGAIN));
        return None;
    }
    let options = ParsingOptions { nodes_limit: MOST_NODES, ..ParsingOptions::default() };
    let document = match Document::parse_with_options(text, options) {
        Ok(document) => document,
        Err(roxmltree::Error::UnclosedRootNode) => {
            let place = format!("{file}, line {}", 1 + count_lines(&head));
            faults.add(Fault::new("truncated", place, "The file ends before its XML does.", SAVE_AGAIN));
            return None;
        }
        Err(error) => {
            let place = format!("{file}, line {}", error.pos().row);
            faults.add(Fault::new("xml", place, format!("The XML cannot be read: {error}."), SAVE_AGAIN));
            return None;
        }
    };
    let root = document.root_element();
    let lines = Lines::of(&head);
    let mut reader = Reader { file, lines, wanted, faults, encoding: PLAIN, appended, data: PolyData::default() };
    if root.tag_name().name() != "VTKFile" || root.attribute("type") != Some("PolyData") {
        let text = format!(
            "The file is `{}` of type `{}`, not VTKFile of type PolyData.",
            super::axes::clip(root.tag_name().name()),
            super::axes::clip(root.attribute("type").unwrap_or_default())
        );
        reader.fault(root, "vtp_type", text, "Save the centreline as poly data with lines.");
        return None;
    }
    reader.encoding = reader.encoding_of(root)?;
    let mut pieces = root.descendants().filter(|n| n.has_tag_name("Piece")).peekable();
    if pieces.peek().is_none() {
        reader.fault(root, "no_lines", "The file holds no piece of poly data.".into(), SAVE_AGAIN);
        return None;
    }
    for piece in pieces {
        reader.piece(piece);
    }
    Some(reader.data)
}

/// What follows `_` in AppendedData, and whether it is raw.
type Appended<'a> = Option<(&'a [u8], bool)>;

/// The XML without its appended data, which may be raw and then is no XML, and those data.
fn split_appended(bytes: &[u8]) -> (std::borrow::Cow<'_, [u8]>, Appended<'_>) {
    let bytes = bytes.strip_prefix(b"\xef\xbb\xbf").unwrap_or(bytes);
    let find = |text: &[u8], from: usize| {
        bytes[from..].windows(text.len()).position(|window| window == text).map(|at| at + from)
    };
    let Some(start) = find(b"<AppendedData", 0) else { return (bytes.into(), None) };
    let Some(tag_end) = find(b">", start) else { return (bytes.into(), None) };
    let raw = bytes[start..tag_end].windows(3).any(|window| window == b"raw");
    let begin = find(b"_", tag_end).map_or(bytes.len(), |at| at + 1);
    let closing = b"</AppendedData";
    let end = bytes.windows(closing.len()).rposition(|window| window == closing).unwrap_or(bytes.len());
    let data = bytes.get(begin..end).unwrap_or_default();
    ([&bytes[..start], b"</VTKFile>"].concat().into(), Some((data, raw)))
}

/// Line numbers of a text, counted once.
struct Lines<'a> {
    text: &'a [u8],
    /// Line ends before each block of the text.
    before: Vec<usize>,
}

impl<'a> Lines<'a> {
    const BLOCK: usize = 1 << 16;

    fn of(text: &'a [u8]) -> Self {
        let mut before = vec![0];
        for block in text.chunks(Self::BLOCK) {
            before.push(before[before.len() - 1] + count_lines(block));
        }
        Lines { text, before }
    }

    /// Line of a byte, counted from 1.
    fn at(&self, byte: usize) -> usize {
        let block = byte.min(self.text.len()) / Self::BLOCK;
        1 + self.before[block] + count_lines(&self.text[block * Self::BLOCK..byte.min(self.text.len())])
    }
}

fn count_lines(text: &[u8]) -> usize {
    text.iter().filter(|byte| **byte == b'\n').count()
}

/// Where an element begins that has more than [`MOST_ATTRIBUTES`], or the namespace after the last
/// that is read; found without parsing.
fn crowded_element(text: &[u8]) -> Option<usize> {
    let mut namespaces = text.windows(5).enumerate().filter(|(_, window)| window == b"xmlns");
    if let Some((at, _)) = namespaces.nth(MOST_NAMESPACES) {
        return Some(at);
    }
    let (mut begin, mut equals) = (None, 0);
    let mut quote = None;
    for (at, byte) in text.iter().enumerate() {
        match (begin, quote, byte) {
            (None, _, b'<') => (begin, equals) = (Some(at), 0),
            (None, ..) => {}
            // Comments and declarations have no attributes, and may hold a lone quotation mark.
            (Some(from), _, b'!' | b'?') if at == from + 1 => begin = None,
            (_, Some(mark), byte) if mark == *byte => quote = None,
            (_, Some(_), _) => {}
            (_, None, b'"' | b'\'') => quote = Some(*byte),
            (_, None, b'>') => begin = None,
            (_, None, b'=') => equals += 1,
            _ => {}
        }
        if equals > MOST_ATTRIBUTES {
            return begin;
        }
    }
    None
}

struct Reader<'a, 'b> {
    file: &'a str,
    lines: Lines<'a>,
    wanted: Wanted<'a>,
    faults: &'b mut Faults,
    encoding: Encoding,
    appended: Appended<'a>,
    data: PolyData,
}

impl<'a> Reader<'a, '_> {
    fn place(&self, node: Node<'_, '_>) -> String {
        format!("{}, line {}", self.file, self.lines.at(node.range().start))
    }

    /// A fault after which the parts of the file do not hang together.
    fn fault(&mut self, node: Node<'_, '_>, code: &str, text: String, mend: &str) {
        self.data.broken = true;
        self.faults.add(Fault::new(code, self.place(node), text, mend));
    }

    fn too_many(&mut self, node: Node<'_, '_>, what: &str, count: usize) {
        self.data.broken = true;
        self.faults.add(too_many(self.place(node), what, count as u64));
    }

    fn encoding_of(&mut self, root: Node<'_, '_>) -> Option<Encoding> {
        let zlib = match root.attribute("compressor") {
            None | Some("") => false,
            Some("vtkZLibDataCompressor") => true,
            Some(other) => {
                let text = format!("The compression `{}` is not read.", super::axes::clip(other));
                self.fault(root, "vtp_compressor", text, "Save the file without compression, or with zlib.");
                return None;
            }
        };
        let header = if root.attribute("header_type") == Some("UInt64") { 8 } else { 4 };
        Some(Encoding { big: root.attribute("byte_order") == Some("BigEndian"), header, zlib })
    }

    fn piece(&mut self, piece: Node<'_, '_>) {
        let (Some(points), Some(lines)) = (self.count(piece, "NumberOfPoints"), self.count(piece, "NumberOfLines"))
        else {
            return;
        };
        let before = self.data.points.len();
        if before.saturating_add(points) > MOST_POINTS || lines > MOST_POINTS {
            self.too_many(piece, "points", points.max(lines));
            return;
        }
        let part = |name: &str| piece.children().find(|n| n.has_tag_name(name));
        if points > 0 {
            let array = part("Points").and_then(|n| n.children().find(|n| n.has_tag_name("DataArray")));
            let Some((values, _)) = self.required(piece, array, "points", points * 3) else { return };
            self.data.points.extend(values.chunks_exact(3).map(|p| [p[0], p[1], p[2]]));
        }
        if lines > 0 {
            let named = |name: &str| {
                part("Lines").and_then(|n| {
                    n.children().find(|n| n.has_tag_name("DataArray") && n.attribute("Name") == Some(name))
                })
            };
            self.lines(piece, named("offsets"), named("connectivity"), lines, before);
        }
        for array in part("PointData").iter().flat_map(|n| n.children()).filter(|n| n.has_tag_name("DataArray")) {
            self.point_array(piece, array, before, points);
        }
    }

    fn lines(
        &mut self,
        piece: Node<'_, '_>,
        offsets: Option<Node<'_, '_>>,
        connectivity: Option<Node<'_, '_>>,
        lines: usize,
        first_point: usize,
    ) {
        let Some((offsets, _)) = self.required(piece, offsets, "offsets of lines", lines) else { return };
        let rising = offsets.iter().all(|o| o.fract() == 0.0 && *o >= 0.0) && offsets.windows(2).all(|p| p[0] <= p[1]);
        let total = offsets.last().copied().unwrap_or(0.0);
        if !rising {
            self.fault(piece, "line_count", "The offsets of the lines do not rise.".into(), SAVE_AGAIN);
            return;
        }
        let start = self.data.connectivity.len();
        if total > 2.0 * MOST_POINTS as f64 - start as f64 {
            self.too_many(piece, "points in lines", total as usize);
            return;
        }
        let Some((indices, _)) = self.required(piece, connectivity, "connectivity of lines", total as usize) else {
            return;
        };
        self.data.connectivity.extend(indices.iter().map(|index| {
            // An index outside its own piece stays out of range in the whole.
            if *index >= 0.0 { index + first_point as f64 } else { *index }
        }));
        self.data.ends.extend(offsets.iter().map(|o| start + *o as usize));
        self.data.line_places = Places::In(self.place(piece), "polyline");
    }

    fn point_array(&mut self, piece: Node<'_, '_>, array: Node<'_, '_>, before: usize, points: usize) {
        let name = array.attribute("Name").unwrap_or_default().to_owned();
        let components = array.attribute("NumberOfComponents").unwrap_or("1");
        if components != "1" || !self.wanted.takes(&name) {
            if self.data.other_arrays.len() < 100 {
                self.data.other_arrays.push(name);
            }
            return;
        }
        let Some((values, place)) = self.required(piece, Some(array), &name, points) else { return };
        match self.data.arrays.iter_mut().find(|a| a.name == name && a.values.len() == before) {
            Some(known) if before > 0 => known.values.extend(values),
            _ => self.data.arrays.push(Array { name, values, places: Places::In(place, "value") }),
        }
    }

    /// The values of an array and its place; `None` where it is missing or broken, and the fault is told.
    fn required(
        &mut self,
        piece: Node<'_, '_>,
        array: Option<Node<'_, '_>>,
        what: &str,
        count: usize,
    ) -> Option<(Vec<f64>, String)> {
        let what = super::axes::clip(what);
        let Some(array) = array else {
            self.fault(piece, "vtp_array", format!("The array of the {what} is missing."), SAVE_AGAIN);
            return None;
        };
        let place = self.place(array);
        let read = match array.attribute("format") {
            Some("ascii") => Ok(self.ascii(array, &place, count)),
            Some("binary") => {
                self.encoded(array, Source::Base64(array.text().unwrap_or_default().as_bytes()), &place, count)
            }
            Some("appended") => self.appended(array).and_then(|source| self.encoded(array, source, &place, count)),
            other => {
                Err(format!("has the format `{}`, which is not read", super::axes::clip(other.unwrap_or_default())))
            }
        };
        match read {
            Ok(values) if values.len() == count => Some((values, place)),
            Ok(values) => {
                let many = if values.len() > count { "more".to_owned() } else { values.len().to_string() };
                let text = format!("The array of the {what} has {many} values instead of {count}.");
                self.fault(array, "vtp_count", text, "The file is cut off or its counts are wrong: save it again.");
                None
            }
            Err(reason) => {
                self.fault(array, "vtp_array", format!("The array of the {what} {reason}."), SAVE_AGAIN);
                None
            }
        }
    }

    /// Numbers as text: those that are wanted and at most one more.
    fn ascii(&mut self, array: Node<'_, '_>, place: &str, count: usize) -> Vec<f64> {
        let words = array.text().unwrap_or_default().split_ascii_whitespace().take(count + 1).enumerate();
        words
            .map(|(i, word)| {
                let value = word.parse().ok();
                let place = || format!("{place}, value {}", i + 1);
                if let Some(fault) = number_fault(place, || super::axes::clip(word), value) {
                    self.faults.add(fault);
                }
                value.unwrap_or(f64::NAN)
            })
            .collect()
    }

    /// Numbers as bytes.
    fn encoded(
        &mut self,
        array: Node<'_, '_>,
        source: Source<'_>,
        place: &str,
        count: usize,
    ) -> Result<Vec<f64>, String> {
        let name = array.attribute("type").unwrap_or_default();
        let kind =
            kind_named(name).ok_or_else(|| format!("has the type `{}`, which is not read", super::axes::clip(name)))?;
        let values = self.encoding.numbers(source, kind, count)?;
        for (i, value) in values.iter().enumerate() {
            let place = || format!("{place}, value {}", i + 1);
            if let Some(fault) = number_fault(place, || value.to_string(), Some(*value)) {
                self.faults.add(fault);
            }
        }
        Ok(values)
    }

    fn appended(&self, array: Node<'_, '_>) -> Result<Source<'a>, String> {
        let offset = array.attribute("offset").and_then(|offset| offset.parse::<usize>().ok());
        let offset = offset.ok_or("has no offset into the appended data")?;
        let (bytes, raw) = self.appended.ok_or("is appended, but the file has no appended data")?;
        let bytes = bytes.get(offset..).ok_or("begins past the end of the appended data")?;
        Ok(if raw { Source::Raw(bytes) } else { Source::Base64(bytes) })
    }

    fn count(&mut self, piece: Node<'_, '_>, attribute: &str) -> Option<usize> {
        let text = piece.attribute(attribute).unwrap_or_default();
        let count = text.trim().parse().ok();
        if count.is_none() {
            let text = format!("{attribute} is `{}`, which is no count.", super::axes::clip(text));
            self.fault(piece, "vtp_count", text, SAVE_AGAIN);
        }
        count
    }
}

/// The types of numbers by their names in the format.
fn kind_named(name: &str) -> Option<Kind> {
    Some(match name {
        "Int8" => Kind::Signed(1),
        "UInt8" => Kind::Unsigned(1),
        "Int16" => Kind::Signed(2),
        "UInt16" => Kind::Unsigned(2),
        "Int32" => Kind::Signed(4),
        "UInt32" => Kind::Unsigned(4),
        "Int64" => Kind::Signed(8),
        "UInt64" => Kind::Unsigned(8),
        "Float32" => Kind::Float(4),
        "Float64" => Kind::Float(8),
        _ => return None,
    })
}

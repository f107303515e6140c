//! Malformed and odd files: each gives all its faults at once, with places and mends, or a clean
//! import; none panics. The table names for every file what is expected; a corpus that shrinks fails.
//!
//! Small files lie in `tests/corpus`, huge ones are made here.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use extrados::casefile::document::{Document, read_graft};
use extrados::fault::{Fault, Faults, MOST_FAULTS};
use extrados::import::{MOST_BYTES, NamedBytes, Options, import};
use std::fmt::Write;
use std::path::{Path, PathBuf};

mod invented_arch;

/// Fewest files that must run.
const FEWEST: usize = 60;

/// What a file is expected to give.
enum Expected {
    /// No fault.
    Clean,
    /// These faults and no others, as (code, place); places in imported files without the file's name.
    Faults(&'static [(&'static str, &'static str)]),
    /// So many faults, all of one code, the first at this place.
    Many(usize, &'static str, &'static str),
}
use Expected::{Clean, Faults as Gives, Many};

const TABLE: &[(&str, Expected)] = &[
    ("case/a-list.json", Gives(&[("not_an_object", "")])),
    ("case/a-number.json", Gives(&[("not_an_object", "")])),
    ("case/another-format.json", Gives(&[("other_format", "/format")])),
    ("case/binary.json", Gives(&[("not_utf8", "line 2")])),
    ("case/clean-byte-order-mark-crlf.json", Clean),
    ("case/clean.json", Clean),
    (
        "case/contours.json",
        Gives(&[
            ("too_few", "/anatomy/lumen/2/radii_mm"),
            ("out_of_range", "/anatomy/lumen/3/radii_mm/1"),
            ("smallest_above_largest", "/anatomy/lumen/4/smallest_mm"),
        ]),
    ),
    ("case/empty.json", Gives(&[("empty_file", "")])),
    (
        "case/ids-and-references.json",
        Gives(&[
            ("doubled_id", "/anatomy/vessels/1/id"),
            ("no_such_id", "/anatomy/vessels/2/from"),
            ("circle", "/anatomy/vessels/3/from"),
            ("circle", "/anatomy/vessels/4/from"),
        ]),
    ),
    ("case/infinite.json", Gives(&[("number_too_large", "line 258 column 23")])),
    ("case/key-twice.json", Gives(&[("doubled_key", "/label")])),
    ("case/later-version.json", Gives(&[("later_version", "/version")])),
    ("case/more-than-a-hundred-faults.json", Many(101, "out_of_range", "/anatomy/centreline/points_lps_mm/0/0")),
    ("case/nan.json", Gives(&[("not_a_number", "line 258 column 19")])),
    ("case/no-anatomy.json", Clean),
    ("case/no-format.json", Gives(&[("missing", "")])),
    ("case/not-utf-8.json", Gives(&[("not_utf8", "line 4")])),
    ("case/one-point.json", Gives(&[("too_few_points", "/anatomy/centreline/points_lps_mm")])),
    ("case/only-duplicates.json", Gives(&[("too_few_points", "/anatomy/centreline/points_lps_mm")])),
    (
        "case/stations-out-of-order.json",
        Gives(&[("out_of_order", "/anatomy/lumen/1/station_mm"), ("given_twice", "/anatomy/lumen/2/station_mm")]),
    ),
    ("case/trailing-rubbish.json", Gives(&[("not_json", "line 280 column 1")])),
    ("case/truncated.json", Gives(&[("cut_off", "line 147 column 2")])),
    ("case/two-arches.json", Gives(&[("two_arches", "/anatomy")])),
    (
        "case/unknown-keys.json",
        Gives(&[
            ("unknown_key", "/anatomy/centreline/points"),
            ("unknown_key", "/anatomy/ostia/0/clok_deg"),
            ("unknown_key", "/colour"),
        ]),
    ),
    (
        "case/words-not-in-the-list.json",
        Gives(&[("unknown_word", "/clock/three_oclock_is"), ("unknown_word", "/anatomy/lumen/2/kind")]),
    ),
    (
        "case/wrong-types.json",
        Gives(&[
            ("not_a_flag", "/invented"),
            ("wrong_count", "/anatomy/centreline/points_lps_mm/2"),
            ("not_a_number", "/anatomy/lumen/0/diameter_mm"),
            ("not_a_list", "/anatomy/ostia"),
            ("not_an_object", "/anatomy/vessels/0/diameters/0"),
            ("no_such_id", "/anatomy/vessels/0/from"),
        ]),
    ),
    (
        "case/zero-and-negative.json",
        Gives(&[
            ("out_of_range", "/anatomy/lumen/0/diameter_mm"),
            ("out_of_range", "/anatomy/lumen/1/diameter_mm"),
            ("out_of_range", "/anatomy/ostia/0/station_mm"),
            ("out_of_range", "/anatomy/ostia/0/along_mm"),
        ]),
    ),
    ("csv/clean-comma.csv", Clean),
    ("csv/clean-old-mac-line-ends.csv", Clean),
    ("csv/clean-quoted-and-empty-columns.csv", Clean),
    ("csv/clean-semicolon-decimal-comma-crlf-bom.csv", Clean),
    ("csv/clean-tab-blank-lines-no-last-line-end.csv", Clean),
    ("csv/closed.csv", Gives(&[("closed_line", "")])),
    ("csv/column-twice.csv", Gives(&[("csv_columns", "line 1")])),
    ("csv/decimal-comma-with-comma.csv", Many(45, "csv_row", "line 2")),
    ("csv/empty.csv", Gives(&[("empty_file", "")])),
    ("csv/header-only.csv", Gives(&[("short_line", "")])),
    ("csv/json.csv", Gives(&[("not_recognised", "")])),
    ("csv/largest-below-smallest.csv", Gives(&[("extremes_swapped", "line 2"), ("extremes_swapped", "line 3")])),
    ("csv/latin-1.csv", Gives(&[("not_text", "line 1")])),
    ("csv/metres.csv", Gives(&[("unit_does_not_fit", "")])),
    ("csv/no-header.csv", Gives(&[("csv_columns", "line 1")])),
    ("csv/one-point.csv", Gives(&[("short_line", "")])),
    ("csv/only-blanks.csv", Gives(&[("empty_file", "")])),
    ("csv/only-duplicates.csv", Gives(&[("short_line", "")])),
    ("csv/ostia-clean.csv", Clean),
    ("csv/ostia-none.csv", Gives(&[("no_ostia", "")])),
    ("csv/ostia-outside.csv", Gives(&[("station_outside", "line 2"), ("station_outside", "line 3")])),
    (
        "csv/ostia-wrong-values.csv",
        Gives(&[
            ("out_of_range", "line 2"),
            ("out_of_range", "line 3"),
            ("ostium_id", "line 3"),
            ("out_of_range", "line 4"),
            ("ostium_id", "line 4"),
            ("ostium_id", "line 5"),
            ("csv_cell_empty", "line 6"),
            ("out_of_range", "line 7"),
        ]),
    ),
    ("csv/radius-and-largest.csv", Gives(&[("csv_columns", "line 1"), ("csv_columns", "line 1")])),
    ("csv/ragged.csv", Gives(&[("csv_row", "line 6"), ("csv_cell_empty", "line 10"), ("csv_cell_empty", "line 10")])),
    ("csv/thousands.csv", Gives(&[("not_a_number", "line 2")])),
    ("csv/unclosed-quote.csv", Gives(&[("csv_quote", "line 2")])),
    ("csv/utf-16.csv", Gives(&[("not_text", "")])),
    (
        "csv/words-nan-inf.csv",
        Gives(&[
            ("not_a_number", "line 2"),
            ("not_finite", "line 2"),
            ("not_finite", "line 2"),
            ("not_a_number", "line 2"),
        ]),
    ),
    ("csv/wrong-columns.csv", Gives(&[("csv_columns", "line 1"), ("csv_columns", "line 1")])),
    (
        "csv/zero-and-negative-radius.csv",
        Gives(&[("radius_not_positive", "line 2"), ("radius_not_positive", "line 3")]),
    ),
    ("graft/a-case.json", Gives(&[("other_format", "/format")])),
    ("graft/clean.json", Clean),
    ("graft/empty-object.json", Gives(&[("missing", ""), ("missing", ""), ("missing", "")])),
    (
        "graft/sections-apart.json",
        Gives(&[
            ("out_of_range", "/sections/0/from_diameter_mm"),
            ("empty_stretch", "/sections/0/to_u_mm"),
            ("off_fabric", "/sections/0/to_u_mm"),
            ("gap", "/sections/1/from_u_mm"),
        ]),
    ),
    ("graft/truncated.json", Gives(&[("cut_off", "line 18 column 13")])),
    (
        "graft/tunnels-wrong.json",
        Gives(&[
            ("unknown_word", "/tunnels/0/flow"),
            ("out_of_range", "/tunnels/0/length_mm"),
            ("unknown_key", "/tunnels/0/colour"),
            ("unknown_word", "/tunnels/1/flow"),
            ("out_of_range", "/tunnels/1/length_mm"),
            ("unknown_key", "/tunnels/1/colour"),
            ("doubled_id", "/tunnels/1/id"),
            ("off_fabric", "/tunnels/0/mouth_u_mm"),
            ("off_fabric", "/tunnels/1/mouth_u_mm"),
        ]),
    ),
    ("vtk/attribute-before-point-data.vtk", Gives(&[("vtk_keyword", "line 51")])),
    ("vtk/binary-but-text.vtk", Gives(&[("vtk_keyword", "byte 616")])),
    ("vtk/binary-index.vtk", Gives(&[("index_out_of_range", "byte 617, polyline 1")])),
    ("vtk/binary-nan.vtk", Gives(&[("not_finite", "byte 60, value 1"), ("not_finite", "byte 60, value 3")])),
    ("vtk/binary-truncated.vtk", Gives(&[("truncated", "byte 837")])),
    ("vtk/branch-off-the-aorta.vtk", Gives(&[("off_the_trunk", "line 62")])),
    ("vtk/clean-library-binary-5.vtk", Clean),
    ("vtk/clean-library-text-4.vtk", Clean),
    ("vtp/clean-library-appended-raw-zlib.vtp", Clean),
    ("vtp/clean-library-appended-base64-big-endian.vtp", Clean),
    ("vtp/clean-library-inline-zlib.vtp", Clean),
    ("vtk/clean-binary.vtk", Clean),
    ("vtk/clean-branch.vtk", Clean),
    ("vtk/clean-byte-order-mark.vtk", Clean),
    ("vtk/clean-crlf.vtk", Clean),
    ("vtk/clean-everything-else.vtk", Clean),
    ("vtk/clean-repeats.vtk", Clean),
    ("vtk/clean-self-crossing.vtk", Clean),
    ("vtk/clean-version-5.vtk", Clean),
    ("vtk/closed-ring.vtk", Gives(&[("closed_line", "line 44")])),
    ("vtk/count-of-two-to-the-64.vtk", Gives(&[("too_many_points", "line 5")])),
    ("vtk/empty-line.vtk", Gives(&[("short_line", "line 53")])),
    ("vtk/empty.vtk", Gives(&[("empty_file", "")])),
    ("vtk/fewer-points-than-declared.vtk", Gives(&[("truncated", "line 5")])),
    ("vtk/four-points.vtk", Gives(&[("too_few_points", "line 11")])),
    ("vtk/header-only.vtk", Gives(&[("truncated", "line 2")])),
    ("vtk/huge-count.vtk", Gives(&[("too_many_points", "line 5")])),
    ("vtk/huge-line-count.vtk", Gives(&[("too_many_points", "line 51")])),
    (
        "vtk/index-out-of-range.vtk",
        Gives(&[
            ("index_out_of_range", "line 52"),
            ("index_out_of_range", "line 53"),
            ("index_out_of_range", "line 54"),
        ]),
    ),
    ("vtk/line-count-too-long.vtk", Gives(&[("line_count", "line 52")])),
    ("vtk/line-count-wrong.vtk", Gives(&[("line_count", "line 51")])),
    ("vtk/more-points-than-declared.vtk", Gives(&[("vtk_keyword", "line 50")])),
    (
        "vtk/nan-inf-and-words.vtk",
        Gives(&[
            ("not_finite", "line 6"),
            ("not_finite", "line 6"),
            ("not_finite", "line 13"),
            ("not_a_number", "line 16"),
            ("number_too_large", "line 18"),
        ]),
    ),
    ("vtk/nan-radius.vtk", Gives(&[("not_finite", "line 56")])),
    ("vtk/negative-count.vtk", Gives(&[("vtk_count", "line 5")])),
    ("vtk/negative-line-count.vtk", Gives(&[("line_count", "line 52")])),
    ("vtk/no-connectivity.vtk", Gives(&[("vtk_keyword", "line 51")])),
    ("vtk/no-dataset.vtk", Gives(&[("vtk_dataset", "line 4")])),
    ("vtk/no-lines.vtk", Gives(&[("no_lines", "")])),
    ("vtk/offsets-fall.vtk", Gives(&[("line_count", "line 51")])),
    ("vtk/offsets-past-the-end.vtk", Gives(&[("line_count", "line 51")])),
    ("vtk/one-point.vtk", Gives(&[("short_line", "line 8")])),
    ("vtk/only-duplicates.vtk", Gives(&[("short_line", "line 27")])),
    ("vtk/radius-count.vtk", Gives(&[("radius_count", "line 56")])),
    ("vtk/radius-not-there.vtk", Gives(&[("radius_missing", "")])),
    ("vtk/straight.vtk", Clean),
    ("vtk/surface.stl", Gives(&[("not_recognised", "")])),
    ("vtk/too-many-lines.vtk", Gives(&[("too_many_lines", "line 52")])),
    ("vtk/truncated-in-lines.vtk", Gives(&[("truncated", "line 51")])),
    ("vtk/truncated-in-points.vtk", Gives(&[("truncated", "line 5")])),
    ("vtk/truncated-in-radii.vtk", Gives(&[("truncated", "line 55")])),
    ("vtk/two-radii.vtk", Gives(&[("radius_ambiguous", "")])),
    ("vtk/two-units-off.vtk", Gives(&[("short_line", "line 52")])),
    ("vtk/unknown-keyword.vtk", Gives(&[("vtk_keyword", "line 101")])),
    ("vtk/unknown-type.vtk", Gives(&[("vtk_type", "line 5")])),
    ("vtk/wrong-coding.vtk", Gives(&[("vtk_header", "line 3")])),
    ("vtk/wrong-dataset.vtk", Gives(&[("vtk_dataset", "line 4")])),
    ("vtk/wrong-header.vtk", Gives(&[("vtk_header", "line 1")])),
    (
        "vtk/zero-and-negative-radius.vtk",
        Gives(&[("radius_not_positive", "line 56"), ("radius_not_positive", "line 65")]),
    ),
    ("vtp/appended-cut-off.vtp", Gives(&[("vtp_array", "line 11")])),
    ("vtp/appended-missing.vtp", Gives(&[("vtp_array", "line 11")])),
    ("vtp/appended-offset-past-the-end.vtp", Gives(&[("vtp_array", "line 11")])),
    ("vtp/base64-cut-off.vtp", Gives(&[("vtp_array", "line 11")])),
    ("vtp/clean-appended-raw.vtp", Clean),
    ("vtp/clean-byte-order-mark-crlf.vtp", Clean),
    ("vtp/clean-two-pieces.vtp", Clean),
    ("vtp/count-no-number.vtp", Gives(&[("vtp_count", "line 4")])),
    ("vtp/counts-wrong.vtp", Gives(&[("vtp_count", "line 11")])),
    ("vtp/declares-gigabytes.vtp", Gives(&[("vtp_array", "line 11")])),
    ("vtp/entity-bomb.vtp", Gives(&[("xml", "line 1")])),
    ("vtp/huge-count.vtp", Gives(&[("too_many_points", "line 4")])),
    ("vtp/index-out-of-range.vtp", Gives(&[("index_out_of_range", "line 4, polyline 1")])),
    ("vtp/lz4.vtp", Gives(&[("vtp_compressor", "line 2")])),
    (
        "vtp/nan-and-words.vtp",
        Gives(&[
            ("not_finite", "line 11, value 1"),
            ("not_a_number", "line 11, value 3"),
            ("not_finite", "line 6, value 1"),
        ]),
    ),
    ("vtp/no-offsets.vtp", Gives(&[("vtp_array", "line 4")])),
    ("vtp/no-piece.vtp", Gives(&[("no_lines", "line 2")])),
    ("vtp/no-points.vtp", Gives(&[("vtp_array", "line 4")])),
    ("vtp/not-base64.vtp", Gives(&[("vtp_array", "line 11")])),
    ("vtp/not-utf-8.vtp", Gives(&[("not_text", "line 6")])),
    ("vtp/not-xml.vtp", Gives(&[("xml", "line 1")])),
    ("vtp/offsets-fall.vtp", Gives(&[("line_count", "line 4")])),
    ("vtp/truncated.vtp", Gives(&[("truncated", "line 12")])),
    ("vtp/unknown-format.vtp", Gives(&[("vtp_array", "line 11")])),
    ("vtp/unknown-number-type.vtp", Gives(&[("vtp_array", "line 11")])),
    ("vtp/wrong-root.vtp", Gives(&[("vtp_type", "line 1")])),
    ("vtp/wrong-type.vtp", Gives(&[("vtp_type", "line 2")])),
    ("vtp/zero-radius.vtp", Gives(&[("radius_not_positive", "line 6, value 1")])),
    ("vtp/zlib-broken.vtp", Gives(&[("vtp_array", "line 11")])),
    ("vtp/zlib-swells.vtp", Gives(&[("vtp_array", "line 11")])),
];

fn corpus() -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR")).join("../../tests/corpus")
}

fn stored(name: &str) -> Vec<u8> {
    std::fs::read(corpus().join(name)).unwrap_or_else(|error| panic!("{name}: {error}"))
}

/// Reads bytes as the kind of file their path in the corpus says.
fn read(name: &str, bytes: Vec<u8>) -> Result<(), Faults> {
    let (kind, file) = name.split_once('/').unwrap();
    match kind {
        "case" => return Document::read(&bytes).map(|_| ()),
        "graft" => return read_graft(&bytes).map(|_| ()),
        _ => {}
    }
    let mut files = vec![NamedBytes { name: file.into(), bytes }];
    if file.starts_with("ostia-") {
        files.push(NamedBytes { name: "trunk.csv".into(), bytes: stored("csv/clean-comma.csv") });
    }
    let mut options = Options::default();
    if file == "radius-not-there.vtk" {
        options.set("radius", "thickness").unwrap();
    }
    let imported = import(&files, &options)?;
    // A clean import is a case that can be written, read and measured.
    let text = Document::of(imported.case).text();
    let again = Document::read(text.as_bytes()).unwrap_or_else(|faults| panic!("{name}: {faults}"));
    extrados::anatomy::Anatomy::measure(&again.case).unwrap_or_else(|fault| panic!("{name}: {fault}"));
    Ok(())
}

/// Every fault is a sentence with a code and a mend; lists are capped and say so.
fn check_sentences(name: &str, faults: &Faults) {
    assert!(!faults.is_empty() && faults.faults.len() <= MOST_FAULTS + 1, "{name}");
    for Fault { code, text, mend, .. } in &faults.faults {
        assert!(!code.is_empty() && text.ends_with('.') && mend.ends_with('.'), "{name}: {text} | {mend}");
        assert!(text.len() < 600 && mend.len() < 600 && !text.contains('\n'), "{name}: {text} | {mend}");
    }
}

/// The place without the file's name: `line 12` for `x.vtk, line 12`, empty for the file itself.
fn short<'p>(name: &str, place: &'p str) -> &'p str {
    let file = name.split_once('/').unwrap().1;
    let rest = place.strip_prefix(file).unwrap_or(place);
    rest.strip_prefix(", ").unwrap_or(rest)
}

fn check(name: &str, bytes: Vec<u8>, expected: &Expected) {
    let result = read(name, bytes);
    if let Err(faults) = &result {
        check_sentences(name, faults);
    }
    let given: Vec<(&str, &str)> = match &result {
        Ok(()) => Vec::new(),
        Err(faults) => faults.faults.iter().map(|f| (f.code.as_str(), short(name, &f.place))).collect(),
    };
    match expected {
        Clean => assert!(result.is_ok(), "{name}: {}", result.unwrap_err()),
        Gives(list) => assert_eq!(&given, list, "{name}: {result:?}"),
        Many(count, code, place) => {
            let own = given.len().min(MOST_FAULTS);
            assert_eq!((given.len(), given.first()), (*count, Some(&(*code, *place))), "{name}");
            assert!(given[..own].iter().all(|(c, _)| c == code), "{name}: {given:?}");
        }
    }
}

#[test]
fn every_stored_file_gives_what_the_table_says() {
    let mut ran = 0;
    for (name, expected) in TABLE {
        check(name, stored(name), expected);
        ran += 1;
    }
    assert!(ran >= FEWEST, "only {ran} files ran");
    // No file lies in the corpus without a line in the table.
    for folder in std::fs::read_dir(corpus()).unwrap().flatten().filter(|e| e.path().is_dir()) {
        for file in std::fs::read_dir(folder.path()).unwrap().flatten() {
            let name = format!("{}/{}", folder.file_name().to_string_lossy(), file.file_name().to_string_lossy());
            assert!(TABLE.iter().any(|(listed, _)| *listed == name), "{name} is not in the table");
            ran -= 1;
        }
    }
    assert_eq!(ran, 0, "a file of the table lies twice");
}

/// Cut off and altered at many places, the clean files still give faults or a clean import.
#[test]
fn damaged_files_never_panic() {
    let mut ran = 0;
    for (name, _) in TABLE.iter().filter(|(_, expected)| matches!(expected, Clean)) {
        let whole = stored(name);
        let mut damaged = Vec::new();
        for k in 0..24 {
            damaged.push(whole[..whole.len() * k / 24].to_vec());
        }
        let mut state = 1u64;
        for k in 0..60u64 {
            state = state.wrapping_mul(6364136223846793005).wrapping_add(1442695040888963407 + k);
            let mut bytes = whole.clone();
            let at = (state >> 33) as usize % bytes.len();
            bytes[at] = [0, b'9', b'-', b' ', 0xff, b'\n', b'e', b'<', b'"', (state >> 20) as u8][k as usize % 10];
            damaged.push(bytes);
        }
        for bytes in damaged {
            if let Err(faults) = read(name, bytes) {
                check_sentences(name, &faults);
            }
            ran += 1;
        }
    }
    assert!(ran > 1000, "only {ran} damaged files ran");
}

/// A million points along the invented arch, as rows of four numbers.
fn million() -> Vec<[f64; 4]> {
    (0..1_000_000u32)
        .map(|k| {
            let s = invented_arch::LENGTH * f64::from(k) / 999_999.0;
            let p = invented_arch::frame(s).0;
            [p.x, p.y, p.z, invented_arch::lumen(s)]
        })
        .collect()
}

fn polyline(rows: &[[f64; 4]]) -> invented_arch::Polyline {
    invented_arch::Polyline {
        points: rows.iter().map(|r| invented_arch::V::new(r[0], r[1], r[2])).collect(),
        radii: rows.iter().map(|r| r[3]).collect(),
    }
}

#[test]
fn a_million_points_in_every_format() {
    let rows = million();
    let mut csv = String::from("x_mm,y_mm,z_mm,radius_mm\n");
    let mut points = String::new();
    for [x, y, z, r] in &rows {
        let _ = writeln!(csv, "{x:.4},{y:.4},{z:.4},{r:.3}");
        let _ = writeln!(points, "{x:.4} {y:.4} {z:.4}");
    }
    check("csv/million.csv", csv.into_bytes(), &Clean);
    // Legacy text, the line named by its first and every other point only.
    let mut vtk = format!(
        "# vtk DataFile Version 3.0\nmillion\nASCII\nDATASET POLYDATA\nPOINTS 1000000 float\n{points}LINES 1 500001\n500000"
    );
    for k in 0..500_000 {
        let _ = write!(vtk, " {}", 2 * k);
    }
    check("vtk/million.vtk", vtk.into_bytes(), &Clean);
    let line = polyline(&rows);
    let raw = invented_arch::vtp(std::slice::from_ref(&line), invented_arch::Vtp::AppendedRaw).bytes;
    check("vtp/million.vtp", raw, &Clean);
    // Beside an aorta of usual size, a branch of a million points.
    let branch = invented_arch::three()[0].whole_line();
    let mut dense = invented_arch::Polyline { points: Vec::new(), radii: Vec::new() };
    for k in 0..999_000usize {
        let t = k as f64 / 999_000.0 * (branch.points.len() - 1) as f64;
        let (i, share) = (t as usize, t.fract());
        dense.points.push(branch.points[i] + (branch.points[i + 1] - branch.points[i]) * share);
        dense.radii.push(branch.radii[i]);
    }
    check(
        "vtk/dense-branch.vtk",
        invented_arch::vtk_binary(&[invented_arch::trunk_to(230.0), dense], true).bytes,
        &Clean,
    );
    // A million points that jump to and fro are a line of kilometres.
    let noisy: Vec<[f64; 4]> =
        rows.iter().enumerate().map(|(k, r)| [r[0] + if k % 2 == 0 { 2.0 } else { -2.0 }, r[1], r[2], r[3]]).collect();
    let noisy = invented_arch::vtk_binary(&[polyline(&noisy)], false).bytes;
    let noisy = import(&[NamedBytes { name: "noisy.vtk".into(), bytes: noisy }], &Options::default());
    assert_eq!(noisy.unwrap_err().faults[0].code, "unit_does_not_fit");
    // In a case file they are refused: it holds 20,000.
    let mut case = String::from(
        "{\"format\":\"extrados-case\",\"version\":1,\"anatomy\":{\"centreline\":{\"points_lps_mm\":[[0,0,0]",
    );
    for k in 1..1_000_000 {
        let _ = write!(case, ",[0,0,{k}]");
    }
    case += "]}}}";
    let faults = Document::read(case.as_bytes()).unwrap_err();
    check_sentences("case/million.json", &faults);
}

#[test]
fn huge_and_hostile_files_are_refused_in_bounded_time() {
    let head = "# vtk DataFile Version 3.0\nhuge\nASCII\nDATASET POLYDATA\n";
    let rows: &[(&str, Vec<u8>, Expected)] = &[
        ("csv/too-large.csv", vec![b'1'; MOST_BYTES + 1], Gives(&[("too_large", "")])),
        ("csv/letters.csv", vec![b'a'; 10_000_000], Gives(&[("csv_columns", "line 1")])),
        ("csv/commas.csv", vec![b','; 3_000_000], Gives(&[("csv_columns", "line 1")])),
        ("csv/columns.csv", (0..1_000_000).map(|k| format!("x_mm{k},")).collect::<String>().into(), Gives(&[("csv_columns", "line 1")])),
        ("csv/quotes.csv", vec![b'"'; 10_000_001], Gives(&[("csv_columns", "line 1")])),
        ("csv/zeros.csv", vec![0; 10_000_000], Gives(&[("not_recognised", "")])),
        ("csv/lines.csv", [b"x_mm,y_mm,z_mm".to_vec(), vec![b'\n'; 10_000_000]].concat(), Gives(&[("short_line", "")])),
        ("csv/bad-cells.csv", format!("x_mm,y_mm,z_mm\n{}", "a,b,c\n".repeat(500_000)).into(), Many(101, "not_a_number", "line 2")),
        ("csv/wide-rows.csv", format!("x_mm,y_mm,z_mm\n{}", "1,2,3,4\n".repeat(500_000)).into(), Many(101, "csv_row", "line 2")),
        ("vtk/bad-words.vtk", format!("{head}POINTS 1000000 float\n{}", "nought\n".repeat(1_500_000)).into(), Many(101, "not_a_number", "line 6")),
        ("vtk/stray-words.vtk", format!("{head}{}", "POINTS\n".repeat(1_000_000)).into(), Many(101, "vtk_count", "line 6")),
        ("vtk/line-of-1e300.vtk", format!("{head}POINTS 2 float\n0 0 0 0 0 9\nLINES 1 3\n1e300 0 1\n").into(), Gives(&[("number_too_large", "line 8"), ("line_count", "line 8")])),
        ("vtp/points-of-2-to-the-64.vtp", b"<VTKFile type=\"PolyData\"><PolyData><Piece NumberOfPoints=\"1\" NumberOfLines=\"0\"><Points><DataArray type=\"Float32\" format=\"ascii\">1 2 3</DataArray></Points></Piece><Piece NumberOfPoints=\"18446744073709551615\" NumberOfLines=\"0\"/></PolyData></VTKFile>".to_vec(), Gives(&[("too_many_points", "line 1")])),
        ("vtk/one-word.vtk", format!("{head}POINTS 3 float\n{}", "1".repeat(20_000_000)).into(), Gives(&[("not_finite", "line 6"), ("truncated", "line 5")])),
        ("vtk/many-lines.vtk", format!("{head}POINTS 2 float\n0 0 0 0 0 9\nLINES 500000 1500000\n{}", "2 0 1\n".repeat(500_000)).into(), Gives(&[("too_many_lines", "line 8")])),
        ("vtk/same-point-a-million-times.vtk", format!("{head}POINTS 1 float\n1 2 3\nLINES 1 1000001\n1000000{}", " 0".repeat(1_000_000)).into(), Gives(&[("short_line", "line 8")])),
        ("vtk/lines-over-two-million-points.vtk", format!("{head}POINTS 2 float\n0 0 0 0 0 9\nLINES 2 3000002\n{0}{0}", format!("1500000{}\n", " 0 1".repeat(750_000))).into(), Gives(&[("too_many_points", "")])),
        ("vtk/field-of-endless-arrays.vtk", format!("{head}FIELD f 18446744073709551615\n{}", "a 1 0 float\n".repeat(500_000)).into(), Gives(&[("truncated", "line 500005")])),
        ("vtk/overflowing-array.vtk", format!("{head}POINT_DATA 3\nFIELD f 1\nradius 18446744073709551615 18446744073709551615 double\n1 2 3\n").into(), Gives(&[("truncated", "line 7")])),
        ("vtk/overflowing-binary.vtk", format!("{}POINT_DATA 3\nFIELD f 1\nx 4294967296 4294967296 double\n", head.replace("ASCII", "BINARY")).into(), Gives(&[("truncated", "byte 79")])),
        ("vtp/deep.vtp", "<a>".repeat(3_000_000).into(), Gives(&[("xml", "line 1")])),
        ("vtp/attributes.vtp", format!("<VTKFile {}/>", (0..200_000).map(|k| format!("a{k}=\"\" ")).collect::<String>()).into(), Gives(&[("xml", "line 1")])),
        ("vtp/namespaces.vtp", format!("<VTKFile>{}", (0..9_000).map(|k| format!("<a xmlns:b{k}=\"u{k}\">")).collect::<String>()).into(), Gives(&[("xml", "line 1")])),
        ("vtp/spaces.vtp", [b"<VTKFile".to_vec(), vec![b' '; 10_000_000]].concat(), Gives(&[("xml", "line 1")])),
        ("vtp/appended-again-and-again.vtp", "<AppendedData encoding=\"raw\">_".repeat(300_000).into(), Gives(&[("xml", "line 1")])),
        ("case/deep.json", "[".repeat(3_000_000).into(), Gives(&[("too_deep", "line 1 column 128")])),
        ("case/deep-objects.json", "{\"a\":".repeat(1_000_000).into(), Gives(&[("too_deep", "line 1 column 636")])),
        ("case/too-large.json", vec![b' '; 17 << 20], Gives(&[("too_big", "")])),
        ("case/long-text.json", format!("{{\"format\":\"extrados-case\",\"version\":1,\"label\":\"{}\"}}", "x".repeat(10_000_000)).into(), Gives(&[("too_long", "/label")])),
        ("case/long-key.json", format!("{{\"format\":\"extrados-case\",\"version\":1,\"{}\":1}}", "x".repeat(10_000_000)).into(), Gives(&[("unknown_key", "")])),
    ];
    for (name, bytes, expected) in rows {
        check(name, bytes.clone(), expected);
    }
}

#[test]
fn no_file_at_all_is_a_fault() {
    let faults = import(&[], &Options::default()).unwrap_err();
    assert_eq!(faults.faults[0].code, "no_lines");
    let table = NamedBytes { name: "ostia.csv".into(), bytes: stored("csv/ostia-clean.csv") };
    let faults = import(&[table.clone(), table], &Options::default()).unwrap_err();
    let codes: Vec<&str> = faults.faults.iter().map(|f| f.code.as_str()).collect();
    assert_eq!(codes, ["no_lines", "two_ostia_files"]);
}

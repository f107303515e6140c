//! An invented arch built from its answer, as lines in files of every kind the importer reads.
//!
//! Nobody's anatomy: straight for 30 mm, half a turn of radius 40 mm, straight again, in a plane that
//! runs from the back 50° towards the left. The lumen narrows evenly. Branches run radially to the
//! wall at a planted station and clock and leave it along a planted direction.
#![allow(dead_code)]

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use extrados::import::NamedBytes;
use std::fmt::Write;

pub type V = nalgebra::Vector3<f64>;

pub const BEND_AT: f64 = 30.0;
pub const RADIUS: f64 = 40.0;
pub const LENGTH: f64 = 230.0;

/// Radius of the lumen at a station.
pub fn lumen(s: f64) -> f64 {
    16.0 - 0.01 * s
}

/// A polyline with the radius at each point, LPS mm.
#[derive(Clone, Debug, PartialEq)]
pub struct Polyline {
    pub points: Vec<V>,
    pub radii: Vec<f64>,
}

impl Polyline {
    pub fn reversed(&self) -> Self {
        let mut reversed = self.clone();
        reversed.points.reverse();
        reversed.radii.reverse();
        reversed
    }

    /// Scaled, and with some axes turned round: what a file in other axes and units holds.
    pub fn in_file_axes(&self, signs: [f64; 3], mm_per_unit: f64) -> Self {
        let turned = |p: &V| V::new(p.x * signs[0], p.y * signs[1], p.z * signs[2]) / mm_per_unit;
        Polyline {
            points: self.points.iter().map(turned).collect(),
            radii: self.radii.iter().map(|r| r / mm_per_unit).collect(),
        }
    }
}

/// Point, tangent, outer direction and side (T × o) of the arch at a station, in closed form.
pub fn frame(s: f64) -> (V, V, V, V) {
    let (sin, cos) = 50f64.to_radians().sin_cos();
    let (along, up) = (V::new(sin, cos, 0.0), V::z());
    let start = V::new(-25.0, -30.0, 110.0);
    let end = BEND_AT + std::f64::consts::PI * RADIUS;
    let a = ((s.clamp(BEND_AT, end) - BEND_AT) / RADIUS).clamp(0.0, std::f64::consts::PI);
    let tangent = along * a.sin() + up * a.cos();
    let outer = up * a.sin() - along * a.cos();
    let bend = along * (RADIUS - RADIUS * a.cos()) + up * (RADIUS * a.sin());
    let straight = up * s.min(BEND_AT) - up * (s - end).max(0.0);
    (start + straight + bend, tangent, outer, tangent.cross(&outer))
}

/// Unit vectors outward and towards larger clock at a wall point.
pub fn outward(s: f64, clock_deg: f64) -> (V, V) {
    let (_, _, o, b) = frame(s);
    let (sin, cos) = clock_deg.to_radians().sin_cos();
    (o * cos + b * sin, b * cos - o * sin)
}

/// A branch as planted.
#[derive(Clone, Copy, Debug)]
pub struct Branch {
    pub station: f64,
    pub clock_deg: f64,
    /// Station and clock of the ostium, in whose frame the take-off is given.
    pub ostium: (f64, f64),
    pub takeoff_deg: f64,
    pub lean_deg: f64,
    /// Radius from 10 mm beyond the wall on.
    pub radius: f64,
    pub beyond: f64,
}

impl Branch {
    pub fn new(station: f64, clock_deg: f64, takeoff_deg: f64, lean_deg: f64, radius: f64) -> Self {
        Branch { station, clock_deg, ostium: (station, clock_deg), takeoff_deg, lean_deg, radius, beyond: 45.0 }
    }

    pub fn direction(&self) -> V {
        let (_, t, _, _) = frame(self.ostium.0);
        let (er, et) = outward(self.ostium.0, self.ostium.1);
        let (a, l) = (self.takeoff_deg.to_radians(), self.lean_deg.to_radians());
        t * a.cos() + (er * l.cos() + et * l.sin()) * a.sin()
    }

    pub fn wall_point(&self) -> V {
        frame(self.station).0 + outward(self.station, self.clock_deg).0 * lumen(self.station)
    }

    /// The branch from the trunk's centreline outward, about 1 mm a step.
    pub fn own_line(&self) -> Polyline {
        let r = lumen(self.station);
        let (er, _) = outward(self.station, self.clock_deg);
        let (centre, at_wall) = (frame(self.station).0, 1.3 * self.radius);
        let mut line = Polyline { points: Vec::new(), radii: Vec::new() };
        let steps = 15;
        for k in 0..=steps {
            let share = f64::from(k) / f64::from(steps);
            line.points.push(centre + er * (r * share));
            line.radii.push(r + (at_wall - r) * share);
        }
        for k in 1..=(self.beyond as usize) {
            let x = k as f64;
            line.points.push(self.wall_point() + self.direction() * x);
            line.radii.push(at_wall + (self.radius - at_wall) * (x / 10.0).min(1.0));
        }
        line
    }

    /// The same with the trunk from the root in front of it.
    pub fn whole_line(&self) -> Polyline {
        let mut line = trunk_to(self.station);
        let own = self.own_line();
        line.points.extend(&own.points[1..]);
        line.radii.extend(&own.radii[1..]);
        line
    }
}

/// The trunk from the root to a station, 1 mm a step.
pub fn trunk_to(end: f64) -> Polyline {
    let steps = end.ceil() as usize;
    let stations: Vec<f64> = (0..=steps).map(|k| end * k as f64 / steps as f64).collect();
    Polyline {
        points: stations.iter().map(|s| frame(*s).0).collect(),
        radii: stations.iter().map(|s| lumen(*s)).collect(),
    }
}

/// The three branches of the plain arch: IA, LCCA, LSA.
pub fn three() -> [Branch; 3] {
    [
        Branch::new(70.0, 10.0, 75.0, 8.0, 6.0),
        Branch::new(88.0, -12.0, 60.0, -15.0, 3.5),
        Branch::new(105.0, 5.0, 100.0, 20.0, 4.5),
    ]
}

/// Trunk and three branches, all from the root.
pub fn plain() -> Vec<Polyline> {
    let mut lines = vec![trunk_to(LENGTH)];
    lines.extend(three().iter().map(Branch::whole_line));
    lines
}

fn file(name: &str, bytes: impl Into<Vec<u8>>) -> NamedBytes {
    NamedBytes { name: name.into(), bytes: bytes.into() }
}

/// All points and radii one after another, and the indices of each line.
fn flat(lines: &[Polyline]) -> (Vec<f64>, Vec<f64>, Vec<Vec<i64>>) {
    let points = lines.iter().flat_map(|l| &l.points).flat_map(|p| [p.x, p.y, p.z]).collect();
    let radii = lines.iter().flat_map(|l| &l.radii).copied().collect();
    let mut next = 0;
    let indices = lines
        .iter()
        .map(|l| {
            let from = next;
            next += l.points.len() as i64;
            (from..next).collect()
        })
        .collect();
    (points, radii, indices)
}

fn words<T: ToString>(values: &[T]) -> String {
    values.iter().map(T::to_string).collect::<Vec<_>>().join(" ")
}

/// Legacy VTK as text; `new_layout` writes LINES as version 5 does.
pub fn vtk(lines: &[Polyline], new_layout: bool) -> NamedBytes {
    let (points, radii, indices) = flat(lines);
    let count = radii.len();
    let version = if new_layout { "5.1" } else { "3.0" };
    let mut text = format!("# vtk DataFile Version {version}\ninvented\nASCII\nDATASET POLYDATA\n");
    let _ = write!(text, "POINTS {count} double\n{}\n", words(&points));
    if new_layout {
        let mut offsets = vec![0];
        offsets.extend(indices.iter().scan(0, |sum, line| {
            *sum += line.len();
            Some(*sum)
        }));
        let all: Vec<i64> = indices.concat();
        let _ = write!(text, "LINES {} {}\nOFFSETS vtktypeint64\n{}\n", offsets.len(), all.len(), words(&offsets));
        let _ = write!(text, "CONNECTIVITY vtktypeint64\n{}\n", words(&all));
    } else {
        let _ = writeln!(text, "LINES {} {}", indices.len(), count + indices.len());
        for line in &indices {
            let _ = writeln!(text, "{} {}", line.len(), words(line));
        }
    }
    let _ = write!(
        text,
        "POINT_DATA {count}\nSCALARS Index int 1\nLOOKUP_TABLE default\n{}\n",
        words(&(0..count).collect::<Vec<_>>())
    );
    let _ = write!(text, "FIELD FieldData 1\nLumenRadius 1 {count} double\n{}\n", words(&radii));
    file("invented.vtk", text)
}

/// Legacy VTK as binary, highest byte first.
pub fn vtk_binary(lines: &[Polyline], new_layout: bool) -> NamedBytes {
    let (points, radii, indices) = flat(lines);
    let count = radii.len();
    let mut bytes: Vec<u8> = b"# vtk DataFile Version 5.1\ninvented\nBINARY\nDATASET POLYDATA\n".to_vec();
    let doubles = |values: &[f64]| values.iter().flat_map(|v| v.to_be_bytes()).collect::<Vec<u8>>();
    let longs = |values: &[i64]| values.iter().flat_map(|v| v.to_be_bytes()).collect::<Vec<u8>>();
    bytes.extend(format!("POINTS {count} double\n").bytes());
    bytes.extend(doubles(&points));
    if new_layout {
        let mut offsets = vec![0];
        for line in &indices {
            offsets.push(offsets[offsets.len() - 1] + line.len() as i64);
        }
        bytes.extend(format!("\nLINES {} {count}\nOFFSETS vtktypeint64\n", offsets.len()).bytes());
        bytes.extend(longs(&offsets));
        bytes.extend(b"\nCONNECTIVITY vtktypeint64\n");
        bytes.extend(longs(&indices.concat()));
    } else {
        bytes.extend(format!("\nLINES {} {}\n", indices.len(), count + indices.len()).bytes());
        for line in &indices {
            bytes.extend((line.len() as i32).to_be_bytes());
            bytes.extend(line.iter().flat_map(|i| (*i as i32).to_be_bytes()));
        }
    }
    bytes.extend(format!("\nPOINT_DATA {count}\nSCALARS LumenRadius double\nLOOKUP_TABLE default\n").bytes());
    bytes.extend(doubles(&radii));
    bytes.extend(b"\nNORMALS other float\n");
    bytes.extend(vec![0u8; count * 12]);
    bytes.extend(b"\n");
    file("invented.vtk", bytes)
}

/// Encodings of the XML form.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Vtp {
    Ascii,
    Inline,
    InlineZlib,
    Appended,
    AppendedRaw,
    AppendedRawZlib,
    BigEndian,
}

pub const VTP: [Vtp; 7] =
    [Vtp::Ascii, Vtp::Inline, Vtp::InlineZlib, Vtp::Appended, Vtp::AppendedRaw, Vtp::AppendedRawZlib, Vtp::BigEndian];

/// VTK's XML form.
pub fn vtp(lines: &[Polyline], encoding: Vtp) -> NamedBytes {
    let (points, radii, indices) = flat(lines);
    let mut offsets = Vec::new();
    for line in &indices {
        offsets.push(offsets.last().copied().unwrap_or(0) + line.len() as i64);
    }
    let all = indices.concat();
    let big = encoding == Vtp::BigEndian;
    let zlib = matches!(encoding, Vtp::InlineZlib | Vtp::AppendedRawZlib);
    let raw = matches!(encoding, Vtp::AppendedRaw | Vtp::AppendedRawZlib);
    let wide = matches!(encoding, Vtp::AppendedRawZlib | Vtp::BigEndian);
    let doubles = |values: &[f64]| -> Vec<u8> {
        values.iter().flat_map(|v| if big { v.to_be_bytes() } else { v.to_le_bytes() }).collect()
    };
    let longs = |values: &[i64]| -> Vec<u8> {
        values.iter().flat_map(|v| if big { v.to_be_bytes() } else { v.to_le_bytes() }).collect()
    };
    let head = |values: &[u64]| -> Vec<u8> {
        let bytes = |v: &u64| match (wide, big) {
            (true, true) => v.to_be_bytes().to_vec(),
            (true, false) => v.to_le_bytes().to_vec(),
            (false, _) => (*v as u32).to_le_bytes().to_vec(),
        };
        values.iter().flat_map(bytes).collect()
    };
    // Header and bytes of an array; blocks of 1000 bytes where they are compressed.
    let packed = |bytes: &[u8]| -> (Vec<u8>, Vec<u8>) {
        if !zlib {
            return (head(&[bytes.len() as u64]), bytes.to_vec());
        }
        let blocks: Vec<Vec<u8>> =
            bytes.chunks(1000).map(|b| miniz_oxide::deflate::compress_to_vec_zlib(b, 6)).collect();
        let mut header = vec![blocks.len() as u64, 1000, (bytes.len() % 1000) as u64];
        header.extend(blocks.iter().map(|b| b.len() as u64));
        (head(&header), blocks.concat())
    };
    let mut appended: Vec<u8> = Vec::new();
    let mut array = |attributes: &str, bytes: Vec<u8>, text: String| -> String {
        let (header, data) = packed(&bytes);
        match encoding {
            Vtp::Ascii => format!("<DataArray {attributes} format=\"ascii\">\n{text}\n</DataArray>\n"),
            Vtp::Inline | Vtp::BigEndian => {
                let text = STANDARD.encode([header, data].concat());
                format!("<DataArray {attributes} format=\"binary\">\n   {text}\n</DataArray>\n")
            }
            Vtp::InlineZlib => {
                let text = STANDARD.encode(header) + &STANDARD.encode(data);
                format!("<DataArray {attributes} format=\"binary\">{text}</DataArray>\n")
            }
            Vtp::Appended | Vtp::AppendedRaw | Vtp::AppendedRawZlib => {
                let offset = appended.len();
                let bytes = [header, data].concat();
                appended.extend(if raw { bytes } else { STANDARD.encode(bytes).into_bytes() });
                format!("<DataArray {attributes} format=\"appended\" offset=\"{offset}\"/>\n")
            }
        }
    };
    let radius = array("type=\"Float64\" Name=\"LumenRadius\"", doubles(&radii), words(&radii));
    let points_array =
        array("type=\"Float64\" Name=\"Points\" NumberOfComponents=\"3\"", doubles(&points), words(&points));
    let connectivity = array("type=\"Int64\" Name=\"connectivity\"", longs(&all), words(&all));
    let offsets_array = array("type=\"Int64\" Name=\"offsets\"", longs(&offsets), words(&offsets));
    let mut bytes = format!(
        "<?xml version=\"1.0\"?>\n<VTKFile type=\"PolyData\" version=\"1.0\" byte_order=\"{}\" header_type=\"{}\"{}>\n<PolyData>\n\
         <Piece NumberOfPoints=\"{}\" NumberOfVerts=\"0\" NumberOfLines=\"{}\" NumberOfStrips=\"0\" NumberOfPolys=\"0\">\n\
         <PointData>\n{radius}</PointData>\n<Points>\n{points_array}</Points>\n<Lines>\n{connectivity}{offsets_array}</Lines>\n\
         </Piece>\n</PolyData>\n",
        if big { "BigEndian" } else { "LittleEndian" },
        if wide { "UInt64" } else { "UInt32" },
        if zlib { " compressor=\"vtkZLibDataCompressor\"" } else { "" },
        radii.len(),
        lines.len(),
    )
    .into_bytes();
    if !appended.is_empty() {
        bytes.extend(format!("<AppendedData encoding=\"{}\">\n_", if raw { "raw" } else { "base64" }).bytes());
        bytes.extend(appended);
        bytes.extend(b"\n</AppendedData>\n");
    }
    bytes.extend(b"</VTKFile>\n");
    file("invented.vtp", bytes)
}

/// One CSV file a line.
pub fn csv(lines: &[Polyline], separator: char) -> Vec<NamedBytes> {
    let number = |v: f64| if separator == ',' { v.to_string() } else { v.to_string().replace('.', ",") };
    let row = |cells: &[f64]| cells.iter().map(|v| number(*v)).collect::<Vec<_>>().join(&separator.to_string());
    let head = ["x_mm", "y_mm", "z_mm", "radius_mm"].join(&separator.to_string());
    let write = |(k, line): (usize, &Polyline)| {
        let mut text = format!("\u{feff}{head}\r\n");
        for (p, r) in line.points.iter().zip(&line.radii) {
            let _ = write!(text, "{}\r\n", row(&[p.x, p.y, p.z, *r]));
        }
        file(&format!("line{k}.csv"), text)
    };
    lines.iter().enumerate().map(write).collect()
}

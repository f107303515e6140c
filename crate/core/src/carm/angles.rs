//! Positioner angles of a C-arm and directions in the patient.
//!
//! DICOM PS3.3 C.8.7.5.1.2: the primary angle counts like a longitude from the front of the chest, +
//! towards the patient's left (LAO); the secondary like a latitude, + towards the head (cranial).
//! Both give where the detector stands. They are the patient's own for a patient who lies supine, head
//! first, on a table that is not turned; [`Table`] joins the two for a turned one.

use crate::fault::Fault;
use crate::units::{Angle, Point3, Vec3};

/// Where the detector stands.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Positioner {
    /// Primary angle, + = LAO.
    pub primary: Angle,
    /// Secondary angle, + = cranial.
    pub secondary: Angle,
}

/// The three axes of the detector's picture as it is shown, unit vectors.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Screen {
    /// To the right on the screen; the patient's left at LAO 0 / CRA 0.
    pub right: Vec3,
    /// Up on the screen.
    pub up: Vec3,
    /// From the patient to the detector: the eye looks against it.
    pub toward: Vec3,
}

impl Positioner {
    /// From its two angles.
    pub const fn new(primary: Angle, secondary: Angle) -> Self {
        Positioner { primary, secondary }
    }

    /// From degrees.
    pub fn deg(primary_deg: f64, secondary_deg: f64) -> Self {
        Positioner { primary: Angle::deg(primary_deg), secondary: Angle::deg(secondary_deg) }
    }

    /// Unit vector from the patient to the detector, in the machine's axes, which are the patient's
    /// (LPS) while the table is not turned: d = (sin p cos s, −cos p cos s, sin s).
    pub fn direction(&self) -> Vec3 {
        let (p, s) = (self.primary, self.secondary);
        Vec3::new(p.sin() * s.cos(), -p.cos() * s.cos(), s.sin())
    }

    /// The angles that put the detector in a direction: p = atan2(d_x, −d_y), s = asin(d_z). Straight
    /// up or down, where every primary angle is the same, the primary is 0.
    pub fn towards(direction: &Vec3) -> Self {
        let across = direction.x.hypot(direction.y);
        let secondary = Angle::atan2(direction.z, across);
        let primary = if across < 1e-12 { Angle::ZERO } else { Angle::atan2(direction.x, -direction.y) };
        Positioner { primary, secondary }
    }

    /// The picture's axes in the machine's axes: right = (cos p, sin p, 0), up = (−sin p sin s,
    /// cos p sin s, cos s).
    pub fn screen(&self) -> Screen {
        let (p, s) = (self.primary, self.secondary);
        Screen {
            right: Vec3::new(p.cos(), p.sin(), 0.0),
            up: Vec3::new(-p.sin() * s.sin(), p.cos() * s.sin(), s.cos()),
            toward: self.direction(),
        }
    }

    /// The same to whole degrees, as a C-arm shows it.
    #[must_use]
    pub fn rounded(&self) -> Self {
        let whole = |angle: Angle| Angle::deg(angle.to_deg().round());
        Positioner { primary: whole(self.primary).wrapped(), secondary: whole(self.secondary) }
    }

    /// As it stands on the wall: `LAO 42 / CRA 8`, to whole degrees.
    pub fn words(&self) -> String {
        let side = |angle: Angle, more: &'static str, less: &'static str| {
            let whole = angle.to_deg().round();
            format!("{} {:.0}", if whole < 0.0 { less } else { more }, whole.abs())
        };
        format!("{} / {}", side(self.primary.wrapped(), "LAO", "RAO"), side(self.secondary, "CRA", "CAU"))
    }

    /// From words: `LAO 42 / CRA 8`, `rao30 cau12`, `CRA 5`. An angle that is not named is 0.
    ///
    /// # Errors
    /// Words that are no view, an angle that is named twice or lies outside what a view can have.
    pub fn read(text: &str) -> Result<Self, Fault> {
        let refuse = |what: String| Fault::new("no_view", "", what, "Write it as LAO 42 / CRA 8.");
        let mut found: [Option<f64>; 2] = [None, None];
        let mut rest = text.trim();
        if rest.is_empty() || rest.chars().count() > 60 {
            return Err(refuse("This is no C-arm view.".into()));
        }
        while !rest.is_empty() {
            let letters = rest.find(|c: char| !c.is_ascii_alphabetic()).unwrap_or(rest.len());
            let (name, after) = rest.split_at(letters);
            let (axis, sign) = match name.to_ascii_uppercase().as_str() {
                "LAO" => (0, 1.0),
                "RAO" => (0, -1.0),
                "CRA" | "CRAN" | "CRANIAL" => (1, 1.0),
                "CAU" | "CAUD" | "CAUDAL" => (1, -1.0),
                _ => return Err(refuse(format!("{text:?} is no C-arm view."))),
            };
            let after = after.trim_start();
            let digits = after.find(|c: char| !c.is_ascii_digit() && c != '.').unwrap_or(after.len());
            let (number, after) = after.split_at(digits);
            let degrees: f64 = number.parse().map_err(|_| refuse(format!("{name} has no angle.")))?;
            let most = if axis == 0 { 180.0 } else { 90.0 };
            if degrees > most {
                return Err(refuse(format!("{name} {number} is more than {most:.0}°.")));
            }
            if found[axis].replace(sign * degrees).is_some() {
                return Err(refuse(format!("{text:?} names the same angle twice.")));
            }
            rest = after.trim_start_matches(|c: char| c.is_whitespace() || matches!(c, '°' | '/' | ',' | ';'));
        }
        Ok(Positioner::deg(found[0].unwrap_or(0.0), found[1].unwrap_or(0.0)))
    }
}

/// The table under the patient, turned about the vertical: + is clockwise seen from above, so the
/// head goes towards the patient's left (sense of the turn from memory).
///
/// Positioner angles are the machine's; everything in the patient is turned by the table first.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Table {
    /// How far it is turned.
    pub turn: Angle,
}

impl Table {
    /// A direction in the patient (LPS) as the machine has it.
    pub fn to_machine(&self, v: &Vec3) -> Vec3 {
        let (sin, cos) = (self.turn.sin(), self.turn.cos());
        Vec3::new(cos * v.x + sin * v.z, v.y, cos * v.z - sin * v.x)
    }

    /// A direction of the machine as the patient (LPS) has it.
    pub fn to_patient(&self, v: &Vec3) -> Vec3 {
        Table { turn: -self.turn }.to_machine(v)
    }

    /// The picture's axes of a positioner, in the patient.
    pub fn screen(&self, at: &Positioner) -> Screen {
        let machine = at.screen();
        Screen {
            right: self.to_patient(&machine.right),
            up: self.to_patient(&machine.up),
            toward: self.to_patient(&machine.toward),
        }
    }

    /// The direction to the detector, in the patient.
    pub fn direction(&self, at: &Positioner) -> Vec3 {
        self.to_patient(&at.direction())
    }

    /// The positioner that puts the detector in a direction of the patient.
    pub fn positioner(&self, direction: &Vec3) -> Positioner {
        Positioner::towards(&self.to_machine(direction))
    }
}

impl Screen {
    /// Where a direction points on the picture, and how far it goes towards the detector.
    pub fn split(&self, v: &Vec3) -> [f64; 3] {
        [v.dot(&self.right), v.dot(&self.up), v.dot(&self.toward)]
    }

    /// The same of a point about another.
    pub fn split_point(&self, p: &Point3, about: &Point3) -> [f64; 3] {
        self.split(&(p - about))
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used)]
mod tests {
    use super::*;

    fn close(a: &Vec3, b: [f64; 3], tolerance: f64) {
        assert!((a - Vec3::from(b)).norm() < tolerance, "{a} {b:?}");
    }

    // Directions of DICOM's positioner angles, each by closed form and by the product of DICOM's two
    // rotations (PS3.17 Z.2): 12 digits.
    #[test]
    fn directions_of_angles() {
        for (p, s, d) in [
            (0.0, 0.0, [0.0, -1.0, 0.0]),
            (90.0, 0.0, [1.0, 0.0, 0.0]),
            (-90.0, 0.0, [-1.0, 0.0, 0.0]),
            (0.0, 90.0, [0.0, 0.0, 1.0]),
            (30.0, 20.0, [0.469846310393, -0.813797681349, 0.342020143326]),
            (-25.0, -15.0, [-0.408217893677, -0.875426098066, -0.258819045103]),
            (55.0, -10.0, [0.806707284112, -0.564862521464, -0.173648177667]),
            (40.0, 25.0, [0.58256341607, -0.694272044015, 0.422618261741]),
        ] {
            close(&Positioner::deg(p, s).direction(), d, 1e-11);
        }
    }

    #[test]
    fn angles_come_back_from_directions() {
        for p in (-179..=180).step_by(7) {
            for s in (-89..=89).step_by(8) {
                let at = Positioner::deg(f64::from(p), f64::from(s));
                let back = Positioner::towards(&at.direction());
                assert!((back.primary - at.primary).wrapped().abs().to_deg() < 1e-10, "{p} {s}");
                assert!((back.secondary - at.secondary).abs().to_deg() < 1e-10, "{p} {s}");
                let screen = at.screen();
                // The eye looks along −d: right = (−d) × up.
                close(&(-screen.toward).cross(&screen.up), screen.right.into(), 1e-12);
            }
        }
        assert_eq!(Positioner::towards(&Vec3::z()).primary, Angle::ZERO);
    }

    // The patient's left is on the right of the screen, the head up.
    #[test]
    fn the_patient_faces_the_detector() {
        let screen = Positioner::deg(0.0, 0.0).screen();
        close(&screen.right, [1.0, 0.0, 0.0], 1e-15);
        close(&screen.up, [0.0, 0.0, 1.0], 1e-15);
    }

    // Ring normal (.48, −.6, .64) en face, to 12 digits.
    #[test]
    fn a_ring_en_face() {
        let at = Positioner::towards(&Vec3::new(0.48, -0.6, 0.64));
        assert!((at.primary.to_deg() - 38.6598082541).abs() < 1e-9);
        assert!((at.secondary.to_deg() - 39.7918194996).abs() < 1e-9);
    }

    #[test]
    fn views_are_written_and_read() {
        for (text, words) in [
            ("LAO 42 / CRA 8", "LAO 42 / CRA 8"),
            ("cau12 rao 30", "RAO 30 / CAU 12"),
            ("LAO 42°/CRAN 8.4°", "LAO 42 / CRA 8"),
            ("CRA 5", "LAO 0 / CRA 5"),
            ("RAO 0.4, CAUD 0.4", "LAO 0 / CRA 0"),
            ("LAO 180", "LAO 180 / CRA 0"),
        ] {
            assert_eq!(Positioner::read(text).unwrap().words(), words, "{text}");
        }
        for text in
            ["", "42", "LAO", "LAO x", "LAO 200", "CRA 91", "LAO 4 RAO 4", "AP", "LAO 1..2", "LAO -4", "LAO NaN"]
        {
            assert!(Positioner::read(text).is_err(), "{text}");
        }
    }

    // A turned table turns the patient; at LAO 0 / CRA 0 the head leans to the side it went to.
    #[test]
    fn a_turned_table_turns_the_picture() {
        let table = Table { turn: Angle::deg(20.0) };
        let [right, up, toward] = table.screen(&Positioner::deg(0.0, 0.0)).split(&Vec3::z());
        assert!((right - 20f64.to_radians().sin()).abs() < 1e-12 && (up - 20f64.to_radians().cos()).abs() < 1e-12);
        assert!(toward.abs() < 1e-12);
        let d = Vec3::new(0.48, -0.6, 0.64);
        close(&table.direction(&table.positioner(&d)), d.into(), 1e-12);
        close(&table.to_patient(&table.to_machine(&d)), d.into(), 1e-15);
        assert_eq!(Table::default().positioner(&d), Positioner::towards(&d));
    }
}

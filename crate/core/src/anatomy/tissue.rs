//! What the wall of the aorta is made of, stretch by stretch, and where it is healthy enough to seal in.
//!
//! A stretch that nobody described is unknown, never healthy. Knows nothing of lengths or of grafts.

use super::Stretch;
use crate::casefile::case::{AnatomyInput, WallKind, WallSign, WallStretch};
use crate::message;
use crate::quantity::Unknown;

/// A piece of wall along which nothing changes.
#[derive(Clone, Debug, PartialEq)]
pub struct Piece {
    /// Where it lies.
    pub stretch: Stretch,
    /// What it is made of.
    pub kind: WallKind,
    /// What is seen on it.
    pub signs: Vec<WallSign>,
    /// Whether it belongs to what is to be treated.
    pub lesion: bool,
}

impl Piece {
    /// In the words that rules are narrowed by: native, dissected, surgical_graft or stent_graft.
    pub fn word(&self) -> &'static str {
        match self.kind {
            WallKind::Native if self.signs.contains(&WallSign::Dissected) => "dissected",
            WallKind::Native => "native",
            WallKind::SurgicalGraft => "surgical_graft",
            WallKind::StentGraft => "stent_graft",
        }
    }

    /// Whether a graft may seal on it: nothing is seen on it and it is not to be treated.
    fn is_healthy(&self) -> bool {
        self.signs.is_empty() && !self.lesion
    }

    /// Whether any of these is seen on it.
    pub fn shows(&self, signs: &[WallSign]) -> bool {
        self.signs.iter().any(|sign| signs.contains(sign))
    }
}

/// The wall between two stations, upstream first.
///
/// # Errors
/// Unknown where a part of it was not described.
pub fn pieces(input: &AnatomyInput, from_mm: f64, to_mm: f64) -> Result<Vec<Piece>, Unknown> {
    let lesion = input.lesion.as_ref().map(|lesion| (lesion.from_station_mm, lesion.to_station_mm));
    let mut bounds = vec![from_mm, to_mm];
    bounds.extend(input.wall.iter().flat_map(|w| [w.from_station_mm, w.to_station_mm]));
    bounds.extend(lesion.into_iter().flat_map(|(from, to)| [from, to]));
    bounds.retain(|s| (from_mm..=to_mm).contains(s));
    bounds.sort_by(f64::total_cmp);
    bounds.dedup_by(|a, b| *a - *b < 1e-9);
    if bounds.len() < 2 {
        // A single station: the wall that lies over it.
        bounds = vec![from_mm, from_mm];
    }
    bounds
        .windows(2)
        .map(|pair| {
            let middle = (pair[0] + pair[1]) / 2.0;
            let over = |from: f64, to: f64| middle >= from && middle <= to;
            let here: Vec<&WallStretch> =
                input.wall.iter().filter(|w| over(w.from_station_mm, w.to_station_mm)).collect();
            let first = here.first().ok_or_else(|| Unknown(message::wall_not_said(pair[0], pair[1])))?;
            let mut signs: Vec<WallSign> = Vec::new();
            for sign in here.iter().flat_map(|w| &w.signs) {
                if !signs.contains(sign) {
                    signs.push(*sign);
                }
            }
            Ok(Piece {
                stretch: Stretch { from_mm: pair[0], to_mm: pair[1] },
                kind: first.kind,
                signs,
                lesion: lesion.is_some_and(|(from, to)| over(from, to)),
            })
        })
        .collect()
}

/// The healthy stretches between two stations, joined where they touch.
///
/// # Errors
/// As [`pieces`]; unknown too while the lesion is not entered.
pub fn healthy(input: &AnatomyInput, from_mm: f64, to_mm: f64) -> Result<Vec<Stretch>, Unknown> {
    // Where nobody said what is to be treated, no wall is known to be spared by it.
    if input.lesion.is_none() {
        return Err(Unknown::because(message::NO_LESION));
    }
    let mut joined: Vec<Stretch> = Vec::new();
    for piece in pieces(input, from_mm, to_mm)?.iter().filter(|piece| piece.is_healthy()) {
        match joined.last_mut() {
            Some(last) if piece.stretch.from_mm - last.to_mm < 1e-9 => last.to_mm = piece.stretch.to_mm,
            _ => joined.push(piece.stretch),
        }
    }
    Ok(joined)
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::casefile::case::Lesion;

    fn input() -> AnatomyInput {
        let wall = |from_station_mm, to_station_mm, kind, signs: &[WallSign]| WallStretch {
            from_station_mm,
            to_station_mm,
            kind,
            signs: signs.to_vec(),
            diameter_measured: None,
        };
        AnatomyInput {
            wall: vec![
                wall(0.0, 40.0, WallKind::SurgicalGraft, &[]),
                wall(30.0, 40.0, WallKind::SurgicalGraft, &[WallSign::Kinked]),
                wall(40.0, 90.0, WallKind::Native, &[]),
                wall(90.0, 120.0, WallKind::Native, &[WallSign::Dissected]),
            ],
            lesion: Some(Lesion { from_station_mm: 70.0, to_station_mm: 80.0, side: None }),
            ..AnatomyInput::default()
        }
    }

    #[test]
    fn signs_add_up_and_the_lesion_is_not_healthy() {
        let pieces = pieces(&input(), 0.0, 120.0).unwrap();
        let words: Vec<(&str, bool)> = pieces.iter().map(|p| (p.word(), p.is_healthy())).collect();
        assert_eq!(
            words,
            [
                ("surgical_graft", true),
                ("surgical_graft", false),
                ("native", true),
                ("native", false),
                ("native", true),
                ("dissected", false),
            ]
        );
        let healthy: Vec<(f64, f64)> =
            healthy(&input(), 10.0, 100.0).unwrap().iter().map(|s| (s.from_mm, s.to_mm)).collect();
        assert_eq!(healthy, [(10.0, 30.0), (40.0, 70.0), (80.0, 90.0)]);
    }

    #[test]
    fn what_nobody_described_is_unknown() {
        assert!(pieces(&input(), 100.0, 130.0).is_err());
        assert!(pieces(&AnatomyInput::default(), 0.0, 10.0).is_err());
        assert_eq!(pieces(&input(), 95.0, 95.0).unwrap()[0].word(), "dissected");
    }
}

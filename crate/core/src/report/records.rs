//! A centre's own errors: what its records of what was done say of landing and rotation. Knows no file.
//!
//! Mean and standard deviation are the usual ones (n − 1 below the line). The rotation's narrow deviation is
//! 1.4826 times the median distance from the median (Rousseeuw and Croux 1993), which a few grafts that did
//! not follow hardly move; its wide one then meets the whole variance, with the share of the wide one as
//! it was: a dozen records cannot tell it.

use super::{record, words};
use crate::casefile::case::{Errors, RotationError};
use crate::message;
use crate::plan::Plan;
use crate::quantity::Unknown;
use crate::units::Angle;

/// Fewest records from which an error is taken.
pub const FEWEST: usize = 5;
/// From so many on nothing more is said of their number.
const MANY: usize = 20;
/// What the median distance of a normal is multiplied with to give its standard deviation.
const OF_MEDIAN: f64 = 1.4826;

/// What one record says.
#[derive(Clone, Debug, PartialEq)]
pub struct Landed {
    /// Whose it is: the name of its file.
    pub name: String,
    /// Landing, done less planned, + downstream, mm; the mean over how the graft may lie.
    pub off_mm: Option<f64>,
    /// How far it came to lie turned, + clockwise looking downstream.
    pub turned: Option<Angle>,
}

impl Landed {
    /// What the record of a plan says; nothing where nothing was done.
    pub fn of(name: String, plan: &Plan) -> Self {
        let own = record::record(plan);
        let off: Vec<f64> =
            own.iter().flat_map(|own| own.landings.iter().filter_map(|landing| landing.difference_mm)).collect();
        let off_mm = (!off.is_empty()).then(|| off.iter().sum::<f64>() / off.len() as f64);
        Landed { name, off_mm, turned: own.and_then(|own| own.turn_deg).map(Angle::deg) }
    }
}

/// How values spread.
#[derive(Clone, Copy, Debug, PartialEq)]
struct Spread {
    count: usize,
    mean: f64,
    sd: f64,
    /// The one farthest from zero.
    farthest: f64,
}

fn spread(values: &[f64]) -> Option<Spread> {
    let count = values.len();
    if count < 2 {
        return None;
    }
    let mean = values.iter().sum::<f64>() / count as f64;
    let square = values.iter().map(|value| (value - mean).powi(2)).sum::<f64>();
    let farthest = values.iter().copied().fold(0.0_f64, |far, own| if own.abs() > far.abs() { own } else { far });
    Some(Spread { count, mean, sd: (square / (count - 1) as f64).sqrt(), farthest })
}

fn median(values: impl Iterator<Item = f64>) -> f64 {
    let mut sorted: Vec<f64> = values.collect();
    sorted.sort_by(f64::total_cmp);
    let middle = |at: usize| sorted.get(at).copied().unwrap_or_default();
    (middle(sorted.len() / 2) + middle(sorted.len().saturating_sub(1) / 2)) / 2.0
}

/// Errors with landing and rotation as records say, and both in words. What too few records tell of stays
/// as it was.
///
/// # Errors
/// Where there are too few records for either.
pub fn own_errors(records: &[Landed], before: &Errors) -> Result<(Errors, Vec<String>), Unknown> {
    let off: Vec<f64> = records.iter().filter_map(|own| own.off_mm).collect();
    let turned: Vec<f64> = records.iter().filter_map(|own| own.turned).map(|own| own.wrapped().to_deg()).collect();
    let enough = |values: &[f64]| spread(values).filter(|own| own.count >= FEWEST);
    let (landing, rotation) = (enough(&off), enough(&turned));
    if landing.is_none() && rotation.is_none() {
        return Err(Unknown(message::few_records(off.len().max(turned.len()), FEWEST)));
    }
    // What stays as it was must not pass for one's own.
    let taken = match (landing, rotation) {
        (Some(_), Some(_)) => "landing and rotation",
        (Some(_), None) => "landing",
        (None, _) => "rotation",
    };
    let source = format!("{taken} from {} own records, the rest {}", records.len(), before.source);
    let mut errors = Errors { entered_by_user: true, source, ..before.clone() };
    let mut said = Vec::new();
    if let Some(own) = landing {
        (errors.axial_mean_mm, errors.axial_sd_mm) = (tenths(own.mean), tenths(own.sd));
        let [mean, sd, far] = [own.mean, own.sd, own.farthest].map(words::mm);
        said.push(message::landings_say(own.count, &mean, &sd, &far));
    }
    if let Some(own) = rotation {
        errors.rotation = mixture(&turned, own, &before.rotation);
        let [mean, sd, far] = [own.mean, own.sd, own.farthest].map(|deg| words::degrees(Angle::deg(deg)));
        said.push(message::rotations_say(own.count, &mean, &sd, &far));
    }
    let fewest = landing.iter().chain(&rotation).map(|own| own.count).min().unwrap_or_default();
    if fewest < MANY {
        said.push(message::records_few(MANY));
    }
    Ok((errors, said))
}

/// The mixture that has the records' mean, narrow deviation and whole variance.
fn mixture(turned: &[f64], own: Spread, before: &RotationError) -> RotationError {
    let middle = median(turned.iter().copied());
    let narrow = (OF_MEDIAN * median(turned.iter().map(|deg| (deg - middle).abs()))).min(own.sd);
    let share = before.large_share.clamp(0.0, 1.0);
    let left = own.sd.powi(2) - (1.0 - share) * narrow.powi(2);
    let wide = if share > 0.0 { (left.max(0.0) / share).sqrt().max(narrow) } else { narrow };
    RotationError {
        mean_deg: tenths(own.mean),
        small_sd_deg: tenths(narrow),
        large_sd_deg: tenths(wide),
        ..before.clone()
    }
}

/// As it is typed: records know no more.
fn tenths(value: f64) -> f64 {
    (value * 10.0).round() / 10.0
}

#[cfg(test)]
mod tests {
    use super::*;

    fn records(off: &[f64], turned: &[f64]) -> Vec<Landed> {
        let own = |index: usize| Landed {
            name: format!("{index}.json"),
            off_mm: off.get(index).copied(),
            turned: turned.get(index).map(|deg| Angle::deg(*deg)),
        };
        (0..off.len().max(turned.len())).map(own).collect()
    }

    #[test]
    fn mean_deviation_and_mixture() {
        // numpy: np.mean, np.std(ddof=1): 1.0, 2.387; 12.667, 28.696.
        // scipy.stats.median_abs_deviation(turned, scale="normal"): 3.7065.
        // 28.696² = 0.65 · 3.7065² + 0.35 · 48.24².
        let off = [1.0, -2.0, 3.5, 0.5, 4.0, -1.0];
        let turned = [2.0, -3.0, 1.0, 5.0, 0.0, 71.0];
        let (errors, said) = own_errors(&records(&off, &turned), &Errors::default()).unwrap_or_default();
        assert_eq!((errors.axial_mean_mm, errors.axial_sd_mm), (1.0, 2.4));
        assert_eq!(
            errors.rotation,
            RotationError { mean_deg: 12.7, small_sd_deg: 3.7, large_sd_deg: 48.2, ..RotationError::default() }
        );
        assert!(errors.entered_by_user);
        assert_eq!(errors.source, "landing and rotation from 6 own records, the rest from memory");
        assert_eq!(said.len(), 3, "landing, rotation, and that six are few");
    }

    #[test]
    fn too_few_say_nothing_and_what_is_missing_stays() {
        assert!(own_errors(&records(&[1.0; 4], &[2.0; 4]), &Errors::default()).is_err());
        let before = Errors::default();
        let (errors, _) = own_errors(&records(&[1.0; 5], &[]), &before).unwrap_or_default();
        assert!(errors.source.starts_with("landing from 5"), "{}", errors.source);
        assert_eq!((errors.axial_sd_mm, &errors.rotation), (0.0, &before.rotation));
    }
}

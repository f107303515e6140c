//! Days of the calendar: how old the CT is on the day of planning. No clock is read.

use super::case::Case;
use super::shape::is_date;
use crate::message;
use crate::quantity::Quantity;

/// Days from one day to another, both as `2026-03-31`; negative where the second comes first. `None`
/// where either is no day of the calendar.
pub fn between(from: &str, to: &str) -> Option<i64> {
    Some(number(to)? - number(from)?)
}

/// A day's number in the Gregorian calendar, from a day of no meaning.
///
/// Years begin in March, so that the day that comes and goes is the last one: 365 days a year, one more
/// every fourth, none every hundredth, one every four-hundredth; months from March on alternate as
/// ⌊(153 m + 2) / 5⌋ (E. G. Richards, *Mapping Time*, 1998, ch. 25).
fn number(day: &str) -> Option<i64> {
    if !is_date(day) {
        return None;
    }
    let part = |range: std::ops::Range<usize>| day.get(range)?.parse::<i64>().ok();
    let (year, month, day) = (part(0..4)?, part(5..7)?, part(8..10)?);
    let (year, month) = if month > 2 { (year, month - 3) } else { (year - 1, month + 9) };
    Some(365 * year + year / 4 - year / 100 + year / 400 + (153 * month + 2) / 5 + day)
}

impl Case {
    /// How many days lie from the CT to the day of planning; negative where the CT comes later.
    pub fn ct_age_days(&self) -> Quantity {
        let planned_on = self.procedure.as_ref().and_then(|procedure| procedure.planned_on.as_deref());
        let (Some(taken), Some(planned_on)) = (self.ct.date.as_deref(), planned_on) else {
            let why = if self.ct.date.is_none() { message::NO_CT_DATE } else { message::NO_PLANNED_DAY };
            return Quantity::unknown(why);
        };
        match between(taken, planned_on) {
            Some(days) => Quantity::exact(days as f64),
            None => Quantity::unknown(message::NO_CT_DATE),
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Expected from Python's datetime: (date(...) - date(...)).days.
    #[test]
    fn days_between_days() {
        for (from, to, days) in [
            ("2026-03-31", "2026-03-31", 0),
            ("2026-02-28", "2026-03-01", 1),
            ("2024-02-28", "2024-03-01", 2),
            ("2000-02-28", "2000-03-01", 2),
            ("1900-02-28", "1900-03-01", 1),
            ("2025-12-31", "2026-01-01", 1),
            ("2025-10-17", "2026-04-02", 167),
            ("1901-01-01", "2199-12-31", 109_207),
            ("2026-04-02", "2025-10-17", -167),
        ] {
            assert_eq!(between(from, to), Some(days), "{from} {to}");
        }
        for wrong in ["", "2026-13-01", "2026-02-29", "31.03.2026", "2026-3-1"] {
            assert_eq!(between(wrong, "2026-01-01"), None, "{wrong}");
        }
    }

    // Every day of 300 years is one after the day before it.
    #[test]
    fn each_day_follows_the_last() {
        let mut last = None;
        let mut count = 0;
        for year in 1900..2200 {
            for month in 1..=12 {
                for day in 1..=31 {
                    let Some(here) = number(&format!("{year:04}-{month:02}-{day:02}")) else { continue };
                    assert_eq!(here, last.map_or(here, |last: i64| last + 1));
                    last = Some(here);
                    count += 1;
                }
            }
        }
        // 300 years of 365 days, 75 of them divisible by four, of which 1900 and 2100 are no leap years.
        assert_eq!(count, 300 * 365 + 75 - 2);
    }

    #[test]
    fn the_age_of_the_ct_needs_both_days() {
        let mut case = Case::default();
        assert_eq!(case.ct_age_days().why(), Some(message::NO_CT_DATE));
        case.ct.date = Some("2025-10-17".into());
        assert_eq!(case.ct_age_days().why(), Some(message::NO_PLANNED_DAY));
        let planned_on = Some("2026-04-02".into());
        case.procedure = Some(crate::casefile::case::Procedure { planned_on, ..Default::default() });
        assert_eq!(case.ct_age_days(), Quantity::exact(167.0));
    }
}

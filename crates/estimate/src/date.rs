//! A date some days after another.

/// The date so many days after one written `2026-03-14` (ISO 8601); `None` where it is written otherwise.
///
/// Days are counted in the Gregorian calendar by whole eras of 400 years, years beginning in March (common practice).
pub fn days_after(date: &str, days: u32) -> Option<String> {
    let mut parts = date.trim().splitn(3, '-');
    let (year, month, day) = (parts.next()?, parts.next()?, parts.next()?);
    let sized = year.len() == 4 && month.len() == 2 && day.len() == 2;
    let (year, month, day): (i64, i64, i64) = (year.parse().ok()?, month.parse().ok()?, day.parse().ok()?);
    if !sized || !(1..=12).contains(&month) || !(1..=31).contains(&day) {
        return None;
    }
    let start = number(year, month, day);
    if written(start) != date.trim() {
        return None;
    }
    Some(written(start + i64::from(days)))
}

fn number(year: i64, month: i64, day: i64) -> i64 {
    let year = if month <= 2 { year - 1 } else { year };
    let (era, of_era) = (year.div_euclid(400), year.rem_euclid(400));
    let of_year = (153 * ((month + 9) % 12) + 2) / 5 + day - 1;
    era * 146_097 + of_era * 365 + of_era / 4 - of_era / 100 + of_year
}

fn written(number: i64) -> String {
    let (era, of_era) = (number.div_euclid(146_097), number.rem_euclid(146_097));
    let year = (of_era - of_era / 1_460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year + year / 4 - year / 100);
    let shifted = (5 * of_year + 2) / 153;
    let day = of_year - (153 * shifted + 2) / 5 + 1;
    let month = if shifted < 10 { shifted + 3 } else { shifted - 9 };
    let year = year + era * 400 + i64::from(month <= 2);
    format!("{year:04}-{month:02}-{day:02}")
}

#[cfg(test)]
mod tests {
    use super::days_after;

    #[test]
    fn days_are_counted_over_ends_of_months_and_leap_years() {
        let after = |date, days| days_after(date, days);
        assert_eq!(after("2026-03-14", 30).as_deref(), Some("2026-04-13"));
        assert_eq!(after("2024-02-28", 1).as_deref(), Some("2024-02-29"));
        assert_eq!(after("2025-02-28", 1).as_deref(), Some("2025-03-01"));
        assert_eq!(after("2000-02-28", 366).as_deref(), Some("2001-02-28"));
        assert_eq!(after("2026-12-31", 1).as_deref(), Some("2027-01-01"));
        assert_eq!(after("12 May 2026", 1), None);
        assert_eq!(after("2026-02-30", 1), None);
    }
}

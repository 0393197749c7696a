//! The day that is printed or recorded: never the clock's.

use super::Trouble;

/// The day that was given; else that of SOURCE_DATE_EPOCH, if it is set.
#[allow(clippy::disallowed_methods, reason = "the environment is read here")]
pub(super) fn of(given: Option<&str>) -> Result<Option<String>, Trouble> {
    if let Some(given) = given {
        return Ok(Some(given.to_owned()));
    }
    let Ok(epoch) = std::env::var("SOURCE_DATE_EPOCH") else { return Ok(None) };
    let seconds: i64 =
        epoch.trim().parse().map_err(|_| Trouble(format!("SOURCE_DATE_EPOCH is no number: `{epoch}`")))?;
    Ok(Some(day(seconds)))
}

/// The day, UTC, of a number of seconds since 1970, by the proleptic Gregorian calendar (years of 365.2425 days).
fn day(seconds: i64) -> String {
    let days = seconds.div_euclid(86_400) + 719_468;
    let era = days.div_euclid(146_097);
    let of_era = days.rem_euclid(146_097);
    let year_of_era = (of_era - of_era / 1460 + of_era / 36_524 - of_era / 146_096) / 365;
    let of_year = of_era - (365 * year_of_era + year_of_era / 4 - year_of_era / 100);
    let shifted = (5 * of_year + 2) / 153;
    let day = of_year - (153 * shifted + 2) / 5 + 1;
    let month = if shifted < 10 { shifted + 3 } else { shifted - 9 };
    let year = year_of_era + era * 400 + i64::from(month <= 2);
    format!("{year:04}-{month:02}-{day:02}")
}

#[cfg(test)]
mod tests {
    use super::day;

    /// Known days: the epoch, a leap day, the last second of a century's year.
    #[test]
    fn seconds_become_days() {
        assert_eq!(day(0), "1970-01-01");
        assert_eq!(day(951_782_400), "2000-02-29");
        assert_eq!(day(951_782_399), "2000-02-28");
        assert_eq!(day(4_102_444_799), "2099-12-31");
        assert_eq!(day(-1), "1969-12-31");
    }
}

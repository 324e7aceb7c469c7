//! Dates of games and the bounds asked for.

use std::fmt;
use std::str::FromStr;

use serde::{Deserialize, Serialize};

/// A whole date, in PGN `2031.05.17`, else `2031-05-17`; ordered by time.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct Date {
    year: u16,
    month: u8,
    day: u8,
}

impl Date {
    /// Reads a tag value; `None` if any part is unknown (`?`) or no date.
    pub fn from_tag(value: &[u8]) -> Option<Date> {
        let text = std::str::from_utf8(value).ok()?.trim();
        let date = Self::parse(text.as_bytes(), b'.')?;
        date.is_whole().then_some(date)
    }

    fn parse(text: &[u8], separator: u8) -> Option<Date> {
        let separators: &[usize] = match text.len() {
            7 => &[4],
            10 => &[4, 7],
            _ => return None,
        };
        if separators.iter().any(|&at| text[at] != separator) {
            return None;
        }
        let number = |from: usize, width: usize| {
            let mut digits = text[from..from + width].iter();
            digits.try_fold(0, |sum, byte| {
                byte.is_ascii_digit().then(|| 10 * sum + u16::from(byte - b'0'))
            })
        };
        let (year, month) = (number(0, 4)?, number(5, 2)? as u8);
        let day = if text.len() == 10 { number(8, 2).filter(|&day| day > 0)? as u8 } else { 0 };
        (day <= days_of(year, month)?).then_some(Date { year, month, day })
    }

    /// Months from the beginning of the year 0, the days as parts of a month.
    pub fn in_months(self) -> f64 {
        const DAYS: f64 = 30.44;
        let day = (f64::from(self.day) - 0.5).max(0.0) / DAYS;
        12.0 * f64::from(self.year) + f64::from(self.month) - 1.0 + day
    }

    fn is_whole(self) -> bool {
        self.day > 0
    }
}

impl fmt::Display for Date {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}", self.year, self.month)?;
        if self.is_whole() { write!(f, "-{:02}", self.day) } else { Ok(()) }
    }
}

/// The days of a month in the Gregorian calendar; `None` if there is no such month.
fn days_of(year: u16, month: u8) -> Option<u8> {
    let is_leap = year.is_multiple_of(4) && (!year.is_multiple_of(100) || year.is_multiple_of(400));
    match month {
        2 => Some(28 + u8::from(is_leap)),
        4 | 6 | 9 | 11 => Some(30),
        1..=12 => Some(31),
        _ => None,
    }
}

/// A bound on dates: a day (`2031-05-17`) or a month (`2031-05`), inclusive either way.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct DateBound(Date);

impl DateBound {
    /// Whether the date is not before the bound.
    pub fn allows_from(self, date: Date) -> bool {
        date >= self.0
    }

    /// Whether the date is not after the bound (a month ends with its last day).
    pub fn allows_until(self, date: Date) -> bool {
        if self.0.is_whole() {
            date <= self.0
        } else {
            (date.year, date.month) <= (self.0.year, self.0.month)
        }
    }
}

impl DateBound {
    /// Whether no date is both allowed from here and allowed until `last`.
    pub fn excludes_until(self, last: DateBound) -> bool {
        let first = Date { day: self.0.day.max(1), ..self.0 };
        !last.allows_until(first)
    }
}

impl FromStr for DateBound {
    type Err = String;

    fn from_str(text: &str) -> Result<DateBound, String> {
        Date::parse(text.as_bytes(), b'-')
            .or_else(|| Date::parse(text.as_bytes(), b'.'))
            .map(DateBound)
            .ok_or_else(|| format!("'{text}' is no date; write 2031-05-17 or 2031-05"))
    }
}

impl fmt::Display for DateBound {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}

impl From<Date> for String {
    fn from(date: Date) -> String {
        date.to_string()
    }
}

impl TryFrom<String> for Date {
    type Error = String;

    fn try_from(text: String) -> Result<Date, String> {
        let date = Date::parse(text.as_bytes(), b'-').filter(|date| date.is_whole());
        date.ok_or_else(|| format!("'{text}' is no date"))
    }
}

impl From<DateBound> for String {
    fn from(bound: DateBound) -> String {
        bound.to_string()
    }
}

impl TryFrom<String> for DateBound {
    type Error = String;

    fn try_from(text: String) -> Result<DateBound, String> {
        text.parse()
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn date(text: &str) -> Date {
        Date::from_tag(text.as_bytes()).expect("a date")
    }

    #[test]
    fn unknown_digits_are_no_date() {
        for tag in [
            "????.??.??",
            "2031.??.??",
            "2031.05",
            "2031.13.01",
            "2031.00.01",
            "2031.04.31",
            "2031.02.29",
            "2100.02.29",
            "2031-05-01",
            "",
        ] {
            assert_eq!(Date::from_tag(tag.as_bytes()), None, "{tag}");
        }
    }

    #[test]
    fn bounds_are_inclusive_and_a_month_ends_with_its_last_day() {
        let may: DateBound = "2031-05".parse().expect("a month");
        assert!(may.allows_from(date("2031.05.01")) && !may.allows_from(date("2031.04.30")));
        assert!(may.allows_until(date("2031.05.31")) && !may.allows_until(date("2031.06.01")));
        let day: DateBound = "2031-05-17".parse().expect("a day");
        assert!(day.allows_until(date("2031.05.17")) && !day.allows_until(date("2031.05.18")));
    }

    #[test]
    fn months_have_their_days() {
        assert_eq!((date("2032.02.29").day, date("2000.02.29").day), (29, 29));
        assert_eq!((date("2031.01.31").day, date("2031.11.30").day), (31, 30));
    }

    #[test]
    fn bounds_may_leave_no_date() {
        let bound = |text: &str| text.parse::<DateBound>().expect("a bound");
        let excludes = |since, until| bound(since).excludes_until(bound(until));
        assert!(excludes("2031-06", "2031-05") && excludes("2031-05-18", "2031-05-17"));
        assert!(excludes("2031-05", "2031-04-30") && excludes("2031-05-01", "2031-04"));
        for (since, until) in
            [("2031-05", "2031-05"), ("2031-05-17", "2031-05"), ("2031-05", "2031-05-01")]
        {
            assert!(!excludes(since, until), "{since} {until}");
        }
    }

    #[test]
    fn a_bound_that_is_no_date_is_refused() {
        for text in ["May", "2031", "2031-5", "2031-05-1", "2031-05-17-01", "2031-02-31"] {
            assert!(text.parse::<DateBound>().is_err(), "{text}");
        }
    }
}

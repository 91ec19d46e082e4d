//! A day of the calendar.

use std::fmt;

use time::Date;
use time::Duration;
use time::format_description::BorrowedFormatItem;
use time::macros::format_description;

const FORM: &[BorrowedFormatItem<'_>] = format_description!("[year]-[month]-[day]");

/// A day of the Gregorian calendar, written year-month-day (ISO 8601-1).
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub struct Day(Date);

/// A text that is no day.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("\"{0}\"")]
pub struct NoDay(pub String);

impl NoDay {
    /// What would be one, for messages.
    pub const ALLOWED: &'static str = "a day as year-month-day, such as 2026-03-09";
}

impl Day {
    /// Reads a day.
    ///
    /// # Errors
    /// [`NoDay`].
    pub fn parse(text: &str) -> Result<Self, NoDay> {
        Date::parse(text, FORM).map(Self).map_err(|_| NoDay(text.into()))
    }

    /// So many days later; the last day there is where that lies beyond it.
    #[must_use]
    pub fn after(self, days: u32) -> Self {
        Self(self.0.saturating_add(Duration::days(days.into())))
    }
}

impl From<Date> for Day {
    fn from(date: Date) -> Self {
        Self(date)
    }
}

impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:04}-{:02}-{:02}", self.0.year(), u8::from(self.0.month()), self.0.day())
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn days_are_read_and_written() {
        for text in ["2026-03-09", "2024-02-29", "1999-12-31"] {
            assert_eq!(Day::parse(text).expect(text).to_string(), text);
        }
        for text in ["2025-02-29", "2026-13-01", "2026-3-9", "9.3.2026", ""] {
            assert_eq!(Day::parse(text), Err(NoDay(text.into())));
        }
        let [earlier, later] = ["2026-03-09", "2026-11-01"].map(|text| Day::parse(text).expect(text));
        assert!(earlier < later);
        // 22 days left of March, 30 of April, 31 of May, 30 of June, 31 of July and of August, 30 of September, 31 of October, 1.
        assert_eq!(earlier.after(22 + 30 + 31 + 30 + 31 + 31 + 30 + 31 + 1), later);
    }
}

//! Days as people of this trade write and type them ("Nov 28, 2026"; common practice, no source).

use jiff::civil::Date;

/// The day for people: "Nov 28, 2026".
#[must_use]
pub fn day(day: Date) -> String {
    day.strftime("%b %-d, %Y").to_string()
}

/// A sentence of this program with its days as [`day`] writes them. Not for words of a letter,
/// which stay as they are.
#[must_use]
pub fn told(said: &str) -> String {
    /// Bytes of YEAR-MONTH-DAY.
    const WRITTEN: usize = 10;
    let mut out = String::with_capacity(said.len());
    let mut rest = said;
    let mut before = ' ';
    while let Some(c) = rest.chars().next() {
        let date = rest
            .get(..WRITTEN)
            .filter(|_| !before.is_ascii_alphanumeric() && before != '-')
            .filter(|_| {
                let after = rest.get(WRITTEN..).and_then(|r| r.chars().next());
                !after.is_some_and(|c| c.is_ascii_alphanumeric() || c == '-')
            })
            .and_then(|words| words.parse::<Date>().ok());
        let length = date.map_or(c.len_utf8(), |_| WRITTEN);
        let (head, tail) = rest.split_at(length);
        match date {
            Some(date) => out.push_str(&day(date)),
            None => out.push_str(head),
        }
        before = head.chars().next_back().unwrap_or(' ');
        rest = tail;
    }
    out
}

/// A day as typed: 2026-11-25, 11/25/2026 (month first) or Nov 25, 2026.
#[must_use]
pub fn typed(words: &str) -> Option<Date> {
    let words = words.trim();
    words
        .parse()
        .or_else(|_| Date::strptime("%m/%d/%Y", words))
        .or_else(|_| Date::strptime("%b %d, %Y", words))
        .or_else(|_| Date::strptime("%B %d, %Y", words))
        .ok()
        .filter(|day: &Date| (1000..=9999).contains(&day.year()))
}

/// How a day can be typed, for a message.
pub const TYPED: &str = "2026-11-25, or 11/25/2026 with the month first";

#[cfg(test)]
mod tests {
    use super::*;
    use jiff::civil::date;

    #[test]
    fn days_are_written_as_the_trade_does() {
        assert_eq!(day(date(2026, 11, 8)), "Nov 8, 2026");
        assert_eq!(
            told("(reported 2025-12-11, grade B)"),
            "(reported Dec 11, 2025, grade B)"
        );
        for other in [
            "12345-12-11",
            "2025-12-112",
            "2025-13-11",
            "§ 21-2025-12-1",
            "é",
        ] {
            assert_eq!(told(other), other);
        }
    }

    #[test]
    fn days_are_taken_as_the_trade_types_them() {
        let day = Some(date(2026, 3, 4));
        for words in [
            "2026-03-04",
            "03/04/2026",
            "3/4/2026",
            " Mar 4, 2026 ",
            "March 4, 2026",
        ] {
            assert_eq!(typed(words), day, "{words}");
        }
        for wrong in [
            "13/01/2026",
            "2/30/2026",
            "3/4/26",
            "tomorrow",
            "2026-3-4x",
            "",
        ] {
            assert_eq!(typed(wrong), None, "{wrong}");
        }
    }
}
